"""Bolts end to end on one line, and rod ends tilted before a washer."""

from __future__ import annotations

from typing import Any

import pytest
from faulty_bolt_lines import bolt, plate
from held_rods import leaning
from jobs import checked, definitions, findings, read

from fabgen.checks.bolt.bolt_rooms import RULES as ROOMS
from fabgen.checks.bolt.end_to_end import bolts_end_to_end
from fabgen.checks.bolt.tilted_eyes import tilted_eye
from fabgen.parts.piece import LinkPart
from fabgen.shop.threaded.fasteners import hexagon_head

HERE = (30.0, 30.0)


def two_pairs(free: float, *bolts: dict[str, Any], beside: float = 0.0) -> list[str]:
    """Two pairs of plates with so much room between them, and a bolt through each on one line, or `beside` it."""
    low = [plate("P1", 0, HERE), plate("P2", 6, HERE)]
    there = (HERE[0] + beside, HERE[1])
    high = [plate("P3", 12 + free, there), plate("P4", 18 + free, there)]
    job = checked(definitions(plate=[*low, *high], bolt=list(bolts)), planned=True)
    return [f"{each.level}: {each.text}" for each in findings(job, [bolts_end_to_end])]


UP, DOWN = bolt("P1", "P2"), bolt("P3", "P4")
"""Nuts: of the lower pair toward the upper; of the upper pair away from the lower, which its head looks at."""
HEAD_UP = bolt("P2", "P1")
NUT_DOWN = bolt("P4", "P3")


@pytest.mark.parametrize(
    ("free", "bolts", "said"),
    [
        (20.0, (UP, NUT_DOWN), "bolt 1's nut and bolt 2's nut have 20 mm"),
        (16.0, (UP, DOWN), "bolt 1's nut and bolt 2's head have 16 mm"),
        (10.0, (HEAD_UP, DOWN), "bolt 1's head and bolt 2's head have 10 mm"),
        (16.0, (HEAD_UP, NUT_DOWN), "bolt 1's head and bolt 2's nut have 16 mm"),
        (4.0, (UP, NUT_DOWN), "bolt 1's nut and bolt 2's nut have 4 mm"),
    ],
)
def test_two_ends_that_run_into_one_another_are_one_finding(free: float, bolts: Any, said: str) -> None:
    (found,) = two_pairs(free, *bolts)
    assert found.startswith(f"stop: end to end with too little room: {said} between what they clamp, and take ")


@pytest.mark.parametrize(("free", "beside"), [(60.0, 0.0), (20.0, 25.0)])
def test_ends_with_room_between_or_beside_are_silent(free: float, beside: float) -> None:
    assert two_pairs(free, UP, NUT_DOWN, beside=beside) == []


def test_heads_take_what_their_standard_says_and_one_is_turned_where_that_helps() -> None:
    """M10: a head of 6.4 mm (ISO 4014), here without washers or with one of 2 mm."""
    head = hexagon_head("M10")
    assert head is not None
    assert head.height == 6.4
    (found,) = two_pairs(26.0, UP, NUT_DOWN)
    assert "turn bolt 1 round" in found
    (found,) = two_pairs(10.0, HEAD_UP, DOWN)
    assert "round" not in found


# -- a tilted eye before a washer -------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "room"),
    [
        (leaning(8, "L1", "3 mm", "E1"), "head"),
        (leaning(-8, "L1", "3 mm", "E1"), "head"),
        (leaning(8, "E1", "3 mm", "L1"), "nut"),
        (leaning(12, "E1", "3 mm", "L1"), "nut"),
        (leaning(12, "L1", "1 mm", "E1"), "head"),
    ],
)
def test_an_eye_tilted_under_a_washer_asks_for_a_spacer_and_nothing_else(text: str, room: str) -> None:
    job = checked(read(text), planned=True)
    (found,) = findings(job, [tilted_eye])
    assert f"before its washer under its {room}: a spacer of " in found.text
    assert not any("L1" in each.text for each in findings(job, ROOMS))


@pytest.mark.parametrize(
    "text", [leaning(0, "L1", "3 mm", "E1"), leaning(8, "5 mm", "L1", "3 mm", "E1"), leaning(1, "E1", "3 mm", "L1")]
)
def test_one_that_is_square_or_has_its_spacer_is_silent(text: str) -> None:
    job = checked(read(text), planned=True)
    assert any(isinstance(piece.shape, LinkPart) for piece in job.pieces)
    assert findings(job, [tilted_eye]) == []
