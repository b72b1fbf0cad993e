"""The heel of an end that sits on several tubes: where the cut is, not which tube is listed first."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.documents.drawing.tube.section_view import heel
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.alike import alike_ends, alike_tubes
from fabgen.parts.shape.cuts import side_lengths, side_range
from fabgen.parts.tube.tube import pieces

Point = tuple[float, float, float]


def tube(mark: str, a: Point, b: Point, section: str = "33.7 x 2.6", **more: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(a), list(b)], **more}


def made(*tubes: dict[str, Any]) -> dict[str, Piece]:
    head = {"title": "t", "number": "1", "units": "mm", "date": "2026-01-01"}
    job = Definitions.model_validate({"job": head, "tube": list(tubes)}, context={})
    return {piece.mark: piece for piece in pieces(job)}


def part(piece: Piece) -> LengthPart:
    assert piece.length_part is not None
    return piece.length_part


def about(x: float, y: float) -> Point:
    """The same place half a turn on about the upright, where up stays up."""
    return (-x, -y, 0.0)


RAIL = [(0.0, -600.0), (0.0, 600.0)]
OBLIQUE = [(0.0, 0.0), (350.0, -500.0)]
BRANCH = [(0.0, 0.0), (700.0, 60.0)]
"""A branch on a rail and on the oblique that sits on the rail at the same node, flat on the floor."""


def two_nodes(first: str, second: str, **more: Any) -> dict[str, Piece]:
    """The node, and the same half a turn on about the upright; there the branch names its mains the other way round."""
    one = [(x + 2000.0, y, 0.0) for x, y in (*RAIL, *OBLIQUE, *BRANCH)]
    other = [about(x + 2000.0, y) for x, y in (*RAIL, *OBLIQUE, *BRANCH)]
    plain = {"cut": "plain"}
    return made(
        tube("R1", one[0], one[1], "48.3 x 3.2"),
        tube("O1", one[2], one[3], "42.4 x 3.2", start={"onto": ["R1"]}, finish=plain),
        tube("R2", other[0], other[1], "48.3 x 3.2"),
        tube("O2", other[2], other[3], "42.4 x 3.2", start={"onto": ["R2"]}, finish=plain),
        tube("B1", one[4], one[5], start={"onto": [f"{first}1", f"{second}1"]}, finish=plain, **more),
        tube("B2", other[4], other[5], start={"onto": [f"{second}2", f"{first}2"]}, finish=plain, **more),
    )


@pytest.mark.parametrize("section", ["33.7 x 2.6", "30 x 30 x 2.6"])
def test_ends_that_are_equal_from_the_top_have_one_heel_and_are_made_as_two(section: str) -> None:
    all_ = two_nodes("R", "O")
    one, other = part(all_["B1"]).ends[0], part(all_["B2"]).ends[0]
    assert heel(one) == pytest.approx(heel(other), abs=1e-6)
    assert one.line.apart(other.line) < 1e-3
    branches = [all_["B1"], all_["B2"]]
    assert len(alike_ends([(piece, part(piece).ends[0]) for piece in branches])) == 1
    assert len(alike_tubes(branches)) == 1


def from_top(end: WorkedEnd) -> np.ndarray[Any, np.dtype[np.float64]]:
    return end.line.at(end.top + np.radians(np.arange(0.0, 360.0, 0.5))) - end.line.longest


@settings(max_examples=25, deadline=None)
@given(st.floats(-500.0, 500.0), st.floats(-400.0, 400.0), st.floats(200.0, 700.0))
def test_the_order_in_which_mains_are_named_changes_nothing(x: float, y: float, z: float) -> None:
    mains = [
        tube("M", (-700, 0, 0), (700, 0, 0), "60.3 x 3.2"),
        tube("N", (-100, -700, -20), (80, 700, 10), "60.3 x 3.2", start={"cut": "plain"}, finish={"cut": "plain"}),
    ]
    ends = [
        part(made(*mains, tube("B", (0, 0, 0), (x, y, z), start={"onto": order}))["B"]).ends[0]
        for order in (["M", "N"], ["N", "M"])
    ]
    assert from_top(ends[0]) == pytest.approx(from_top(ends[1]), abs=0.02)
    if all(end.has_heel for end in ends):
        assert math.remainder(heel(ends[0]) - heel(ends[1]), 2.0 * math.pi) == pytest.approx(0.0, abs=1e-4)
    assert ends[0].frame.origin == pytest.approx(ends[1].frame.origin, abs=1e-6)


def test_a_mitre_of_three_has_its_heel_by_its_own_cut() -> None:
    """Three tubes a third of a turn apart: each end is a roof whose ridge lies level: nothing is its heel."""
    thirds = [(500 * math.cos(a), 500 * math.sin(a), 0.0) for a in (0.0, 2.0 * math.pi / 3.0, -2.0 * math.pi / 3.0)]
    flat = made(*(tube(mark, (0, 0, 0), to, start={"cut": "mitre"}) for mark, to in zip("ABC", thirds, strict=True)))
    for mark in "ABC":
        end = part(flat[mark]).ends[0]
        assert not end.has_heel
        assert end.top == pytest.approx(0.0, abs=1e-9)
    leaning = [(x, y, 200.0) for x, y, _ in thirds]
    tent = made(*(tube(mark, (0, 0, 0), to, start={"cut": "mitre"}) for mark, to in zip("ABC", leaning, strict=True)))
    for mark in "ABC":
        end = part(tent[mark]).ends[0]
        assert end.has_heel
        assert heel(end) == pytest.approx(0.0, abs=1e-6)  # the legs lean together on their upper sides


def test_an_end_on_one_tube_keeps_the_acute_side() -> None:
    """An offset moves where the cut is farthest back, and not the heel, which is where weld is tight."""
    all_ = made(tube("M", (-500, 0, 0), (500, 0, 0), "60.3 x 3.2"), tube("B", (0, 10, 0), (300, 10, 400)))
    end = part(all_["B"]).ends[0]
    assert end.line.heel[0] != pytest.approx(0.0, abs=1e-3)
    assert end.frame.y @ np.array([1.0, 0.0, 0.0]) > 0.0
    assert end.frame.y @ np.array([0.0, 1.0, 0.0]) == pytest.approx(0.0, abs=1e-12)


def test_the_shortest_side_is_found_at_the_finish_too() -> None:
    """A roof of two flats at the finish: its highest points are kinks that lie at no whole degree of the start."""
    mitre = {"cut": "mitre"}
    tubes = made(
        tube("A", (600, 0, 0), (0, 0, 0), "60.3 x 2.9", finish=mitre),
        tube("B", (0, 0, 0), (-300, 520, 40), "60.3 x 2.9", start=mitre),
        tube("C", (0, 0, 0), (-250, -480, 260), "60.3 x 2.9", start=mitre),
    )
    one = part(tubes["A"])
    finish = one.ends[1]
    # The two flats' own crests, in closed form: x = r tan(from square) where the wall leans most into each.
    crest = max(30.15 * math.tan(flat.from_square) for flat in finish.flats)
    shortest, longest = side_range(one)
    assert shortest == pytest.approx(600.0 - crest, abs=0.01)
    assert longest == pytest.approx(one.length, abs=0.01)
    assert shortest <= float(np.nanmin(side_lengths(one))) + 1e-9
