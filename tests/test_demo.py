"""The demonstration job, end to end, as the README says it."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from typer.testing import CliRunner

from fabgen.cli import app

SAMPLES = Path(__file__).parent.parent / "sample_parts"
DEMO = SAMPLES / "curlew-trailer.toml"


def make(out: Path) -> Path:
    result = CliRunner().invoke(app, ["make", str(DEMO), "--out", str(out)])
    assert result.exit_code == 0, result.output
    return out / "curlew-trailer"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make(tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="module")
def data(made: Path) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((made / "job.json").read_text(encoding="utf-8"))
    return loaded


def test_it_has_what_a_demo_must_have(data: dict[str, Any]) -> None:
    kinds = Counter(piece["kind"] for piece in data["pieces"])
    assert kinds["tube"] >= 12
    assert kinds["link"] >= 3
    assert kinds["plate"] >= 8
    assert kinds["bracket"] >= 5
    assert kinds["cover"] >= 3
    assert {check["rule"] for check in data["checks"] if check["level"] != "note"} == {"rod-end-figures"}


def test_what_has_no_place_is_what_goes_on_things_that_are_no_part_of_it(data: dict[str, Any]) -> None:
    """The stays of the tail-board, the stiffeners under the floor, the funnel."""
    (loose,) = [check["marks"] for check in data["checks"] if check["rule"] == "no-place"]
    assert loose == ["L3", "B3", "C3"]


def test_all_files_stand_as_listed(made: Path, data: dict[str, Any]) -> None:
    files = {p.relative_to(made).as_posix() for p in made.rglob("*") if p.is_file()}
    assert files == set(data["files"])
    assert {"cut-list.pdf", "tube-templates.pdf", "drawings.pdf", "cut-list.csv", "shopping-list.csv"} <= files
    for piece in data["pieces"]:
        if piece.get("state"):
            continue  # bought or there already: nothing of it is cut
        if "flat" in piece:
            assert piece["flat"]["dxf"] in files
        else:
            for end in piece["ends"]:
                assert (f"wrap/{piece['mark']}-{end['at']}.dxf" in files) == (end["cut"] != "plain")


def test_a_second_run_is_byte_identical(made: Path, tmp_path: Path) -> None:
    again = make(tmp_path)
    for path in made.rglob("*"):
        if path.is_file():
            assert path.read_bytes() == (again / path.relative_to(made)).read_bytes(), path.name


def test_every_dxf_passes_the_audit(made: Path) -> None:
    drawings = sorted(made.rglob("*.dxf"))
    assert len(drawings) > 30
    for path in drawings:
        document = ezdxf.readfile(path)
        audit = document.audit()
        assert not audit.errors, path.name
        assert not audit.fixes, path.name
        assert document.units == 4
        edge = {"SHEET"} if path.parent.name == "sheets" else set()
        assert {entity.dxf.layer for entity in document.modelspace()} <= {"CUT", "HOLE", "BEND", "MARK"} | edge


def test_every_piece_is_in_the_plan(data: dict[str, Any]) -> None:
    wanted = Counter({piece["mark"]: piece["quantity"] for piece in data["pieces"] if not piece.get("state")})
    planned: Counter[str] = Counter()
    for bar in data["plan"]["bars"]:
        for mark, _ in bar["cuts"]:
            planned[mark] += bar["count"]
    for sheet in data["plan"]["sheets"]:
        planned.update(mark for mark, *_ in sheet["placed"])
    assert planned == wanted
    assert data["plan"]["unplaced"] == []


def test_some_end_sits_on_two_mains(data: dict[str, Any]) -> None:
    assert any(len(end["onto"]) >= 2 for piece in data["pieces"] for end in piece.get("ends", []))


def test_the_lists_read_as_csv(made: Path, data: dict[str, Any]) -> None:
    rows = list(csv.DictReader(io.StringIO((made / "cut-list.csv").read_text(encoding="utf-8"))))
    made_here = [piece["mark"] for piece in data["pieces"] if not piece.get("state")]
    assert [row["mark"] for row in rows] == made_here
    bought = list(csv.DictReader(io.StringIO((made / "shopping-list.csv").read_text(encoding="utf-8"))))
    assert len(bought) == len(data["shopping"])
    assert {"tube", "sheet", "rod end", "jam nut"} <= {row["item"] for row in bought}
