"""Straps sawn from flat bar: every list names the bar, and none has them cut from sheet."""

from __future__ import annotations

import csv
import io
import subprocess
from pathlib import Path

import pytest
from typer.testing import CliRunner

from fabgen.cli import app

JOB = """[job]
title = "t"
number = "n"
units = "{units}"
material = "S235"
[[strap]]
mark = "S1"
quantity = 3
round = "60.3 mm"
width = "{width}"
thickness = "{thickness}"
bolt = "M8"
cut_from = "{cut_from}"
[[plate]]
mark = "P1"
rectangle = ["100 mm", "80 mm"]
thickness = "{thickness}"
"""


SIZES = {"mm": ("40 mm", "4 mm"), "in": ("1.5 in", "0.25 in")}


def made(tmp_path: Path, cut_from: str, units: str = "mm") -> Path:
    job = tmp_path / "job.toml"
    job.write_text(JOB.format(cut_from=cut_from, units=units, width=SIZES[units][0], thickness=SIZES[units][1]))
    ran = CliRunner().invoke(app, ["make", str(job), "--order", "--out", str(tmp_path)])
    assert ran.exit_code == 0, ran.output
    return tmp_path / "job"


def text_of(pdf: Path) -> str:
    return subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True).stdout


def rows(path: Path) -> dict[str, dict[str, str]]:
    return {row["mark"]: row for row in csv.DictReader(io.StringIO(path.read_text("utf-8-sig")))}


@pytest.mark.parametrize(("units", "bar", "order"), [("mm", "40 x 4", "4mm"), ("in", "38.1 x 6.35", "6.35mm")])
def test_what_is_sawn_from_bar_is_no_flat_to_order(tmp_path: Path, units: str, bar: str, order: str) -> None:
    out = made(tmp_path, "bar", units)
    cut_list = text_of(out / "cut-list.pdf")
    flats, sawn = cut_list.index("Flat parts to cut"), cut_list.index("Flat bar to saw")
    assert not any(line.split()[:1] == ["S1"] for line in cut_list[flats : cut_list.index("Job map")].splitlines())
    shown = 'flat 1 1/2 x 1/4"' if units == "in" else f"flat {bar}"
    assert shown in cut_list[sawn : sawn + 400]
    assert "Saw the flat bars square" in cut_list
    assert list(rows(out / "order" / f"{order}_S235" / "parts.csv")) == ["P1"]
    line = rows(out / "cut-list.csv")["S1"]
    assert line["section"] == shown
    assert float(line[f"length_{units}"]) == pytest.approx(float(line[f"width_{units}"]), abs=0.1)
    bought = (out / "shopping-list.csv").read_text("utf-8-sig")
    assert f"flat {bar}" in bought
    ordered = text_of(out / "shopping-list.pdf")
    assert "S1" not in ordered[ordered.index("Sheet, or parts cut from it") :]


def test_a_strap_from_sheet_is_ordered_with_the_flats(tmp_path: Path) -> None:
    out = made(tmp_path, "sheet")
    assert "Flat bar to saw" not in text_of(out / "cut-list.pdf")
    assert list(rows(out / "order" / "4mm_S235" / "parts.csv")) == ["P1", "S1"]
    assert rows(out / "cut-list.csv")["S1"]["section"] == ""
