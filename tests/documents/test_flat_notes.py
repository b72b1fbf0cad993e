"""What the view of a flat leaves out, and says so: nothing but letters that are too small to show."""

from __future__ import annotations

from functools import cache

import pytest

from fabgen.app.starters import starters
from fabgen.documents.drawing.flat.flat_view import FlatDrawing, draw_flat
from fabgen.documents.render.picture import Stroke, Text
from fabgen.job.reader import read_job
from fabgen.parts.bracket import bracket
from fabgen.parts.cover import cover
from fabgen.parts.piece import Piece
from fabgen.wording.figures import Figures


@cache
def pieces() -> dict[str, Piece]:
    made = [*cover.pieces(read_job(starters()["covers"]).definitions)]
    made += bracket.pieces(read_job(starters()["brackets"]).definitions)
    return {piece.mark: piece for piece in made}


def drawn(mark: str, scale: float) -> FlatDrawing:
    part = pieces()[mark].flat_part
    assert part is not None
    return draw_flat(part, scale, Figures(), (250.0, 250.0), lambda *_: None)


@pytest.mark.parametrize("mark", ["C1", "C7", "C8", "B1", "B5", "B9"])
def test_nothing_is_left_to_the_file(mark: str) -> None:
    """A cap, square to round, square to square, an angle, a box, tabs with notches."""
    assert drawn(mark, 0.5).left_out == []


def test_letters_too_small_are_shown_larger_or_named_below() -> None:
    """At 1:5 the number's letters are 1.6 mm high."""
    drawing = drawn("B1", 0.2)
    letters = [item for item in drawing.sketch.panel().picture.items if isinstance(item, Text) and item.text == "UP 90"]
    assert all(item.size * 0.72 >= 3.0 - 1e-9 for item in letters)
    assert letters or "UP 90" in drawing.left_out[0]


def test_a_bend_is_named_at_its_own_end_and_ways_differ_by_their_lines() -> None:
    """The stiffener's four bends lie 22 mm apart in pairs."""
    items = drawn("B3", 0.2).sketch.panel().picture.items
    part = pieces()["B3"].flat_part
    assert part is not None
    for number, bend in enumerate(part.bends, 1):
        way = "up" if bend.up else "down"
        (label,) = [i for i in items if isinstance(i, Text) and i.text == f"{number} {way} 90° R1.6"]
        other = min(abs(bend.start[1] - each.start[1]) for each in part.bends if each is not bend) * 0.2
        assert abs(label.y + label.size * 0.36 - bend.start[1] * 0.2) < other / 2.0
        assert label.x > part.size[0] * 0.2
    pens = {i.pen for i in items if isinstance(i, Stroke) and i.pen in ("bend", "bend down")}
    assert pens == {"bend", "bend down"}


def test_a_shallow_arc_has_its_radius_on_a_leader() -> None:
    """The lower edge of the wing panel, an arc through three stations: 450 mm either way, 50 mm deep."""
    drawing = drawn("C3", 0.2)
    radius = (450.0**2 + 50.0**2) / (2.0 * 50.0)
    assert drawing.left_out == []
    # In brackets: it follows from the corners and the crown.
    assert f"(R{radius:g})" in {item.text for item in drawing.sketch.panel().picture.items if isinstance(item, Text)}
