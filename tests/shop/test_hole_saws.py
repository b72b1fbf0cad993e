"""The list of ready-made hole saws: sizes from memory, held together by their inch sizes."""

from itertools import pairwise

import pytest

from fabgen.shop.hole_saws import MEMORY, SIZES, neighbours


def test_sizes_ascend_and_are_sold_by_whole_millimetres() -> None:
    assert all(a.diameter < b.diameter and a.sold < b.sold for a, b in pairwise(SIZES))
    assert (SIZES[0].sold, SIZES[-1].sold) == (14, 152)
    assert MEMORY == "from memory, check yours"


@pytest.mark.parametrize(
    ("inches", "sold"),
    [("3/4 in", 19), ("1 in", 25), ("1 1/2 in", 38), ("2 3/8 in", 60), ("3 in", 76), ("4 1/2 in", 114)],
)
def test_well_known_pairs(inches: str, sold: int) -> None:
    """An inch is 25.4 mm (ISO 31-1:1992, annex A); the saw is sold by the nearest whole millimetre."""
    assert {saw.inch_text: saw.sold for saw in SIZES}[inches] == sold


def test_neighbours() -> None:
    under, over = neighbours(60.3)
    assert under is not None
    assert over is not None
    assert (under.inch_text, over.inch_text) == ("2 5/16 in", "2 3/8 in")
    assert [saw and saw.sold for saw in neighbours(25.4)] == [25, 25]
    assert neighbours(200.0)[1] is None
    assert neighbours(10.0)[0] is None
