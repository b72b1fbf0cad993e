"""What is made of a job of bent bars alone: lists, data, bodies, the page."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from fabgen.app.work import work_on
from fabgen.documents.everything import MakeOptions, job_files
from fabgen.documents.page.page_lists import cut_list
from fabgen.documents.render.paper import SIZES
from fabgen.documents.scene.bodies import body
from fabgen.parts.piece import Piece

JOB = """
[job]
title = "bars"
number = "B-1"
units = "mm"
[[bar]]
mark = "U1"
shape = "U-bolt"
diameter = 12
around = "60.3 x 3.2"
clamps = [8]
quantity = 2
[[bar]]
mark = "H1"
diameter = 10
legs = [90, 40]
bends = [-120]
radius = 15
start = { thickness = 5, length = 28, hole = 7 }
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[Piece], dict[str, bytes]]:
    path = tmp_path_factory.mktemp("bars") / "bars.toml"
    path.write_text(JOB)
    work = work_on(path)
    files = job_files(work.job.definitions.job, work.pieces, work.plan, (), MakeOptions(SIZES[0]))
    return list(work.pieces), files


def text(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)


def test_lists_count_and_name_them(made: tuple[list[Piece], dict[str, bytes]]) -> None:
    pieces, files = made
    said = text(files["cut-list.pdf"])
    assert "2 marks, 3 pieces: 3 bent bars" in said
    assert "Bars to bend" in said
    assert "start: thread M12 x 1.75 right" in said
    assert "start: flattened to 5 mm over 28 mm, hole 7 mm" in said
    ((heading, rows),) = cut_list(pieces, [], {piece.mark: "" for piece in pieces}, "mm")
    assert heading == "Bent bars"
    assert len(rows) == 2


def test_bar_is_bought_as_bar(made: tuple[list[Piece], dict[str, bytes]]) -> None:
    rows = list(csv.DictReader(io.StringIO(made[1]["shopping-list.csv"].decode())))
    assert {(row["item"], row["spec"], row["quantity"]) for row in rows if row["unit"] == "bar"} == {
        ("bar", "bar 10 S235, 6000 mm", "1"),
        ("bar", "bar 12 S235, 6000 mm", "1"),
    }
    assert {(row["item"], row["quantity"]) for row in rows if row["item"] in ("nut", "washer")} == {
        ("nut", "8"),
        ("washer", "4"),
    }


def test_data_hold_bends_and_ends(made: tuple[list[Piece], dict[str, bytes]]) -> None:
    bolt, hook = json.loads(made[1]["job.json"])["pieces"]
    assert bolt["kind"] == "bar"
    assert bolt["ends"][0]["thread"]["name"] == "M12 x 1.75"
    assert [bend["angle_deg"] for bend in bolt["bends"]] == [180.0]
    assert hook["ends"][0]["flattened"]["hole_mm"] == 7.0
    assert hook["ends"][1].keys() & {"thread", "flattened"} == set()


def test_drawings_say_sizes(made: tuple[list[Piece], dict[str, bytes]]) -> None:
    said = text(made[1]["drawings.pdf"])
    for words in ("61.3 inside", "2 x M12, ", "R30.7 inside", "Bends, from the start's saw cut", "hole"):
        assert words in said
    assert re.search(r"R15 inside", said)


def volume(piece: Piece) -> float:
    """Of the body that the page shows, mm3, by Gauss' theorem."""
    a, b, c = np.moveaxis(body(piece).corners, 1, 0)
    return float((a * np.cross(b, c)).sum() / 6.0)


def test_bodies_hold_as_much_metal_as_the_bar(made: tuple[list[Piece], dict[str, bytes]]) -> None:
    """The mass is that of the bar as sawn; a body of chords holds a little less, and a flat lacks its hole."""
    bolt, hook = made[0]
    density = 7850e-9
    assert volume(bolt) == pytest.approx(bolt.mass / density, rel=0.01)
    assert volume(hook) == pytest.approx(hook.mass / density - math.pi / 4.0 * 49.0 * 5.0, rel=0.01)


def test_the_starter_draws_no_finding_but_of_the_open_tube() -> None:
    found = work_on(Path(__file__).parents[2] / "templates" / "bars.toml").findings
    assert [finding.rule for finding in found] == ["open-ends"]
