"""A hole that is drilled when the part is folded: not cut, its centre marked, and there in all that asks for holes."""

import pytest
from one_part import OnePart

from fabgen.documents.dxf.flat_dxf import flat_dxf
from fabgen.geometry.plane.outline import Circle
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.hole_groups import hole_groups

BRACKET = OnePart("bracket", mark="B1", thickness=3, length=80, shape="angle", legs=[60, 60], mark_text="")
NEAR = {"face": "b", "at": [40, 20], "diameter": 9}


def flat_of(piece: Piece) -> FlatPart:
    assert piece.flat_part is not None
    return piece.flat_part


def test_its_centre_is_marked_where_the_hole_would_be_cut() -> None:
    cut, later = (flat_of(BRACKET.piece(holes=[NEAR | keys])) for keys in ({}, {"drilled": True}))
    assert (len(cut.holes), len(later.holes), len(later.drilled)) == (1, 0, 1)
    hole = later.drilled[0].shape
    assert isinstance(hole, Circle)
    assert hole == cut.holes[0].shape
    crosses = [mark.line for mark in later.marks if mark.line and mark not in cut.marks]
    assert len(crosses) == 2
    for (x0, y0), (x1, y1) in crosses:
        assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((hole.x, hole.y))
    assert later.net_area == pytest.approx(cut.net_area + hole.area)


def test_the_file_that_is_cut_has_no_hole_and_the_drawing_names_it() -> None:
    piece = BRACKET.piece(holes=[NEAR | {"drilled": True}])
    assert b"CIRCLE" in flat_dxf(BRACKET.piece(holes=[NEAR]))
    assert b"CIRCLE" not in flat_dxf(piece)
    (group,) = hole_groups(flat_of(piece))
    assert group.callout == "Ø9, drilled last"
    (holes,) = [fact.text.words("mm") for fact in piece.facts if fact.key == "holes"]
    assert "not cut" in holes


def test_a_boxed_bolt_s_hole_is_drilled_unless_the_job_says_otherwise() -> None:
    tabbed = OnePart("bracket", mark="B1", thickness=2, shape="tabbed", base=[40, 90], bolt="M10")
    assert flat_of(tabbed.piece()).drilled
    assert flat_of(tabbed.piece(drilled=False)).holes


def test_slots_are_not_drilled() -> None:
    with pytest.raises(ValueError, match="a slot cannot be drilled"):
        BRACKET.piece(holes=[NEAR | {"length": 20, "drilled": True}])
