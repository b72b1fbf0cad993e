"""Profiles, straps, bushes and crush sleeves: found on the page by what they are, in the view, each with a label."""

from __future__ import annotations

import pytest

from fabgen.documents.lists.label_sheets import LabelOptions, label_pages
from fabgen.documents.lists.label_stock import read_label_stock
from fabgen.documents.page.page_lists import cut_list
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Text
from fabgen.documents.scene.bodies import body
from fabgen.documents.scene.scene import standing_bodies
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece

JOB = """[job]
title = "Kinds"
number = "K-1"
units = "mm"
material = "S235"
[[tube]]
mark = "T1"
section = "60.3 x 3.2"
route = [[0, 0, 0], [400, 0, 0]]
holes = [{ at = 100, side = "left", bolt = "M10", both_walls = true, sleeve = "16 x 2" }]
[[profile]]
mark = "A1"
section = "angle 40 x 40 x 4"
route = [[0, 200, 0], [400, 200, 0]]
legs = ["top", "left"]
[[strap]]
mark = "S1"
width = 40
thickness = 4
round = "T1"
bolt = "M8"
ear = 40
at = 210
[[link]]
mark = "L1"
section = "25 x 3"
between = [[0, 400, 100], [400, 400, 100]]
rod_ends = [{ eye = "38 x 3", width = 45, bush = "B1" }, "M12 right"]
[[bush]]
mark = "B1"
section = "31.7 x 4"
"""


@pytest.fixture(scope="module")
def pieces() -> list[Piece]:
    return all_pieces(read_text(JOB).definitions)


@pytest.mark.parametrize(
    ("typed", "marks"),
    [
        ("profile", {"A1"}),
        ("angle 40", {"A1"}),
        ("strap", {"S1"}),
        ("bush", {"B1", "T1-S1"}),
        ("crush sleeve", {"T1-S1"}),
        ("link rod", {"L1"}),
    ],
)
def test_the_search_finds_a_part_by_what_it_is(pieces: list[Piece], typed: str, marks: set[str]) -> None:
    prints = {piece.mark: "" for piece in pieces}
    rows = [row for _, group in cut_list(pieces, [], prints, "mm") for row in group]
    assert {row.piece.mark for row in rows if typed in row.words} == marks


def test_each_has_a_body_in_its_place(pieces: list[Piece]) -> None:
    """The bush's middle is the pin of its eye, the sleeve's that of its hole."""
    standing = {each.piece.mark: each for each in standing_bodies(pieces, {p.mark: body(p) for p in pieces})}
    assert all(each.placed for each in standing.values())
    assert all(len(each.body.triangles) for each in standing.values())
    middles = {mark: each.body.vertices.min(axis=0) / 2.0 + each.body.vertices.max(axis=0) / 2.0
               for mark, each in standing.items()}  # fmt: skip
    assert middles["B1"] == pytest.approx([0.0, 400.0, 100.0], abs=0.01)
    assert middles["T1-S1"] == pytest.approx([100.0, 0.0, 0.0], abs=0.01)


def test_each_has_its_label(pieces: list[Piece]) -> None:
    options = LabelOptions(read_label_stock("3 x 8"))
    job = read_text(JOB).definitions
    said = [each.text for page in label_pages(pieces, job.job, paper.A4, options) for each in page.picture.items
            if isinstance(each, Text)]  # fmt: skip
    for piece in pieces:
        assert said.count(piece.mark) == piece.quantity
    assert "angle 40 x 40 x 4 S235" in said
