"""Ends coped onto one another in a ring are refused; a ring of tubes each on the side of the next is none."""

from __future__ import annotations

from typing import Any

import pytest

from fabgen.job.errors import JobError
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.plan.fit_order import fit_steps

Point = tuple[float, float, float]
PLAIN = {"cut": "plain"}


def tube(mark: str, a: Point, b: Point, **more: Any) -> dict[str, Any]:
    return {"mark": mark, "section": "48.3 x 3.2", "route": [list(a), list(b)], **more}


def made(*tubes: dict[str, Any]) -> list[Piece]:
    head = {"title": "t", "number": "1", "units": "mm", "date": "2026-01-01"}
    return all_pieces(Definitions.model_validate({"job": head, "tube": list(tubes)}, context={}))


def refused(*tubes: dict[str, Any]) -> str:
    with pytest.raises(JobError) as caught:
        made(*tubes)
    return str(caught.value)


def test_two_onto_one_another_though_their_points_lie_apart() -> None:
    """20 mm apart, as measured axes may be."""
    one = tube("T1", (0, 0, 0), (600, 0, 0), start={"onto": ["T2"]})
    other = tube("T2", (0, 0, 20), (0, 600, 20), start={"onto": ["T1"]})
    assert "each coped onto the other here" in refused(one, other)


def test_two_that_cross_far_from_their_ends() -> None:
    one = tube("T1", (0, 0, 0), (600, 0, 0), start={"onto": ["T2"]})
    other = tube("T2", (0, -300, 0), (0, 300, 0), finish={"onto": ["T1"]})
    assert "each coped onto the other here" in refused(one, other)


def test_three_in_a_ring_at_one_node() -> None:
    text = refused(
        tube("T1", (0, 0, 0), (600, 0, 0), start={"onto": ["T2"]}),
        tube("T2", (0, 0, 0), (-300, 500, 0), start={"onto": ["T3"]}),
        tube("T3", (0, 0, 0), (-300, -500, 0), start={"onto": ["T1"]}),
    )
    assert "T1 onto T2, T2 onto T3, T3 onto T1: none can be first" in text


def test_a_pinwheel_is_no_ring() -> None:
    """Four tubes, each ending on the side of the next: all are laid out at once and slid together."""
    pieces = made(
        tube("T1", (-600, 0, 0), (600, 0, 0), start=PLAIN, finish={"onto": ["T2"]}),
        tube("T2", (600, -150, 0), (600, 900, 0), start=PLAIN, finish={"onto": ["T3"]}),
        tube("T3", (750, 900, 0), (-450, 900, 0), start=PLAIN, finish={"onto": ["T4"]}),
        tube("T4", (-450, 1050, 0), (-450, 0, 0), start=PLAIN, finish={"onto": ["T1"]}),
    )
    assert sum(len(step.pieces) for step in fit_steps(pieces)) == 4


def test_an_order_that_is_given_stands_and_is_followed() -> None:
    """T1 names T2, listed after it: T2 is the main, and T1 is fitted after it."""
    pieces = made(
        tube("T1", (0, 0, 0), (600, 0, 0), start={"onto": ["T2"]}),
        tube("T2", (0, -300, 0), (0, 300, 0)),
    )
    assert [[piece.mark for piece in step.pieces] for step in fit_steps(pieces)] == [["T2"], ["T1"]]
