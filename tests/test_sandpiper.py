"""The Sandpiper nose frame, end to end: bent tubes, a node, mitres, planes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from fabgen.cli import app

SAMPLE = Path(__file__).parent.parent / "sample_parts" / "sandpiper-nose.toml"


def make(out: Path) -> Path:
    result = CliRunner().invoke(app, ["make", str(SAMPLE), "--out", str(out)])
    assert result.exit_code == 0, result.output
    return out / SAMPLE.stem


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make(tmp_path_factory.mktemp("sandpiper"))


@pytest.fixture(scope="module")
def data(made: Path) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((made / "job.json").read_text(encoding="utf-8"))
    return loaded


@pytest.fixture(scope="module")
def ends(data: dict[str, Any]) -> dict[tuple[str, str], dict[str, Any]]:
    return {(piece["mark"], end["at"]): end for piece in data["pieces"] for end in piece.get("ends", [])}


def section_of(data: dict[str, Any], mark: str) -> str:
    return str(next(piece["section"] for piece in data["pieces"] if piece["mark"] == mark))


def test_no_check_says_stop(data: dict[str, Any]) -> None:
    assert not [check for check in data["checks"] if check["level"] == "stop"]
    assert not [check for check in data["checks"] if check["level"] == "warn"]


def test_a_node_of_four_tubes(ends: dict[tuple[str, str], dict[str, Any]]) -> None:
    assert ends["N2", "start"]["onto"] == ["N1"]
    assert ends["N3", "start"]["onto"] == ["N1", "N2"]
    assert ends["N4", "start"]["onto"] == ["N1", "N2"]


def test_braces_sit_on_the_hoops_bends(ends: dict[tuple[str, str], dict[str, Any]]) -> None:
    for mark in ("B1", "B2"):
        assert ends[mark, "start"]["onto"] == ["H1"]
        assert all(x is not None for _, x in ends[mark, "start"]["line"])
        assert 45.0 < ends[mark, "start"]["joints"][0]["angle_deg"] < 75.0


def test_left_and_right_are_alike(data: dict[str, Any]) -> None:
    lengths = {piece["mark"]: piece.get("length_mm") for piece in data["pieces"]}
    for one, other in (("S1", "S2"), ("B1", "B2"), ("N3", "N4"), ("G1", "G2"), ("K1", "K2")):
        assert lengths[one] == pytest.approx(lengths[other], abs=0.01)


def test_rectangular_on_round_and_round_on_rectangular(
    data: dict[str, Any], ends: dict[tuple[str, str], dict[str, Any]]
) -> None:
    def onto(mark: str, at: str) -> list[str]:
        return [section_of(data, main) for main in ends[mark, at]["onto"]]

    assert section_of(data, "S1").count("x") == 2
    assert onto("S1", "finish") == ["60.3 x 2.9"]
    assert section_of(data, "H1").count("x") == 1
    assert onto("H1", "start")[0].count("x") == 2


def test_mitres_and_planes(ends: dict[tuple[str, str], dict[str, Any]]) -> None:
    assert ends["R1", "start"]["cut"] == ends["S1", "start"]["cut"] == "mitre"
    assert ends["K1", "finish"]["cut"] == ends["K2", "finish"]["cut"] == "plane"


def test_the_hoops_developed_length(data: dict[str, Any]) -> None:
    """Two legs, the top and two quarters of 4 1/2 in radius along the centreline: 261, 622.3 mm and so on by hand."""
    hoop = next(piece for piece in data["pieces"] if piece["mark"] == "H1")
    bend, half, top = 4.5 * 25.4, 300.0 - 0.13 * 300.0, 24.5 * 25.4
    axis = 2.0 * (top - bend) + 2.0 * (half - bend) + 3.14159265 * bend
    assert hoop["axis_mm"] == pytest.approx(axis, abs=0.01)
    assert hoop["length_mm"] < axis - 2.0 * 30.0  # each foot stands on a rail, half of 60 mm above its axis


def test_a_second_run_is_byte_identical(made: Path, tmp_path: Path) -> None:
    again = make(tmp_path)
    for path in made.rglob("*"):
        if path.is_file():
            assert path.read_bytes() == (again / path.relative_to(made)).read_bytes(), path.name
