"""Like discs in a round hole: how small the hole may be.

S. Kravitz, "Packing cylinders into cylindrical containers", Mathematics Magazine 40(2), 1967,
pages 65 to 71: least diameter of the container over that of 2 to 7 cylinders, in closed form.
"""

import math

import pytest

from fabgen.geometry.plane.outline import Circle
from fabgen.parts.piece import FlatPart, Hole, Piece
from fabgen.plan.sheets.blanks import blanks_of
from fabgen.plan.sheets.hole_filling import fill_holes
from fabgen.plan.sheets.nesting import Nester

RATIOS = {
    2: 2.0,
    3: 1.0 + 2.0 / math.sqrt(3.0),
    4: 1.0 + math.sqrt(2.0),
    5: 1.0 + math.sqrt(2.0 * (1.0 + 1.0 / math.sqrt(5.0))),
    6: 3.0,
    7: 3.0,
}
SPARE = {5: 1.13}
"""How much larger the hole is that does for sure.  Placed one after another, five discs do not find
their ring of five: they go in where six would."""
GAP, DISC = 5.0, 60.0


def discs_in_hole(count: int, hole: float) -> int:
    """How many of `count` discs are cut from a round hole of that diameter."""
    ring = FlatPart(3.0, Circle(0, 0, hole + 80.0), (Hole(Circle(0, 0, hole)),))
    disc = FlatPart(3.0, Circle(0, 0, DISC))
    pieces = [Piece("P1", "plate", 1, "S235", 1.0, ring), Piece("P2", "plate", count, "S235", 1.0, disc)]
    blanks = blanks_of(pieces)["S235", 3.0]
    hosts = fill_holes(blanks, Nester(blanks, GAP))
    return count + 1 - len(hosts)


@pytest.mark.parametrize("count", RATIOS)
def test_discs_go_into_the_least_hole_and_into_none_smaller(count: int) -> None:
    # Every disc takes half the gap round it, and the hole's edge half a gap more.
    least = RATIOS[count] * (DISC + GAP) + GAP
    assert discs_in_hole(count, least * SPARE.get(count, 1.02)) == count
    assert discs_in_hole(count, least * 0.99) < count
