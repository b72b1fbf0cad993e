"""The lists of an inch job as data: sizes in inches, the unit in the heads, and what the rack compares in mm."""

import csv
import io
from pathlib import Path

import openpyxl
import pytest
from jobs import checked, definitions
from typer.testing import CliRunner

from fabgen.cli import app

JOB = """[job]
title = "Foot"
number = "F-1"
units = "in"
material = "A36"
[[tube]]
mark = "BEAM"
section = "3 x 2 x 3/16"
turn = 0
route = [[0, 0, 18], [48, 0, 18]]
[[profile]]
mark = "G1"
section = "angle 2 x 2 x 1/4"
route = [[0, 20, 0], [24.5, 20, 0]]
legs = ["top", "left"]
[[plate]]
mark = "FP"
thickness = "1/4 in"
rectangle = [4, 6]
holes = [{ at = [1, 1], bolt = "1/2-13 UNC" }]
[[bolt]]
thread = "1/2-13 UNC"
through = ["FP", 0.5]
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("inch")
    job = folder / "foot.toml"
    job.write_text(JOB, encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(job), "--out", str(folder / "out")])
    assert result.exit_code == 0, result.output
    return folder / "out" / "foot"


def rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_text("utf-8"))))


def test_the_cut_list_is_in_inches(made: Path) -> None:
    by_mark = {row["mark"]: row for row in rows(made / "cut-list.csv")}
    assert not any("_mm" in head for head in by_mark["BEAM"])
    assert float(by_mark["BEAM"]["length_in"]) == 48.0
    assert by_mark["G1"]["section"] == 'angle 2 x 2 x 1/4"'
    assert float(by_mark["G1"]["length_in"]) == 24.5
    assert [float(by_mark["FP"][head]) for head in ("thickness_in", "width_in", "height_in")] == [0.25, 4.0, 6.0]


def test_the_shopping_list_is_in_inches_and_names_the_goods_in_mm_too(made: Path) -> None:
    angle = next(row for row in rows(made / "shopping-list.csv") if row["item"] == "angle")
    assert angle["spec"].startswith('angle 2 x 2 x 1/4" A36')
    assert angle["spec_mm"] == "angle 50.8 x 50.8 x 6.35 A36, 6096 mm"


def test_so_is_the_workbook(made: Path) -> None:
    book = openpyxl.load_workbook(made / "shopping-list.xlsx")
    cells = [cell.value for row in book["Shopping list"].iter_rows() for cell in row]
    assert any(isinstance(value, str) and 'angle 2 x 2 x 1/4"' in value for value in cells)
    bolts = [[cell.value for cell in row] for row in book["Bolts"].iter_rows()]
    assert bolts[1][bolts[0].index("grip, in")] == pytest.approx(0.75)


def test_a_job_in_mm_keeps_its_heads(tmp_path: Path) -> None:
    job = tmp_path / "foot.toml"
    job.write_text(JOB[: JOB.index("[[profile]]")].replace('"in"', '"mm"').replace("3/16", "0.5"), encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(job), "--out", str(tmp_path / "out")])
    assert result.exit_code in (0, 1), result.output
    (row,) = rows(tmp_path / "out" / "foot" / "cut-list.csv")
    assert float(row["length_mm"]) == 48.0
    assert "spec_mm" not in rows(tmp_path / "out" / "foot" / "shopping-list.csv")[0]


def test_the_head_of_a_bung_is_in_inches_where_its_thread_is() -> None:
    """A bung for a metric rod end keeps its mm."""
    for thread, head in (("1/2-20 UNF right", 'head 0.165" [4.2 mm]'), ("M12 right", "head 4 mm")):
        link = {"mark": "L1", "section": "1 x 0.156", "length": 10, "rod_ends": [thread, thread]}
        (piece,) = checked(definitions({"units": "in"}, link=[link])).pieces
        (bung,) = (each for each in piece.hardware if each.item == "weld-in threaded bung")
        assert bung.note.words("in").endswith(head)
