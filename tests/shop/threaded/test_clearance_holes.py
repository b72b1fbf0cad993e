"""Clearance holes: what is read as a bolt, and what is not."""

import itertools
from typing import Literal

import pytest

from fabgen.shop.threaded.clearance_holes import UnknownBoltError, clearance, holes


@pytest.mark.parametrize(
    ("text", "bolt", "hole"),
    [
        ("M10", "M10", 11.0),
        ("m10", "M10", 11.0),
        (" M 10 ", "M10", 11.0),
        ("M10x1.25", "M10", 11.0),
        ("M12 x 1.75", "M12", 13.5),
        ("M2.5", "M2.5", 2.9),
        ("M2,5", "M2.5", 2.9),
        ("3/8", "3/8 in", 13 / 32 * 25.4),
        ('3/8"', "3/8 in", 13 / 32 * 25.4),
        ("1/2-20 UNF", "1/2 in", 9 / 16 * 25.4),
        ("1/2 in", "1/2 in", 9 / 16 * 25.4),
        ("1 1/4 in", "1 1/4 in", 43 / 32 * 25.4),
        ("1-1/4", "1 1/4 in", 43 / 32 * 25.4),
        ("1 in", "1 in", 35 / 32 * 25.4),
        ("3/8-16", "3/8 in", 13 / 32 * 25.4),
    ],
)
def test_bolts_as_people_write_them(text: str, bolt: str, hole: float) -> None:
    size = clearance(text)
    assert (size.bolt, size.diameter) == (bolt, pytest.approx(hole))


def test_fits_and_sources() -> None:
    assert [clearance("M8", fit).diameter for fit in ("close", "medium", "coarse")] == [8.4, 9.0, 10.0]
    assert clearance("M8", "close").source == "ISO 273:1979 (table from memory), fine series"
    assert "from memory" in clearance("1/4").source


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_holes_grow_with_bolt_and_fit(system: Literal["metric", "inch"]) -> None:
    rows = [(row["close"], row["medium"], row["coarse"]) for row in holes(system).values()]
    assert all(close < medium < coarse for close, medium, coarse in rows)
    assert all(small[i] < large[i] for small, large in itertools.pairwise(rows) for i in range(3))
    assert all(float(size[1:]) < row["close"] for size, row in holes("metric").items())


@pytest.mark.parametrize(
    ("text", "nearest"),
    [
        ("M11", "M10 or M12"),
        ("M9", "M8 or M10"),
        ("M100", "M64, the largest in the table"),
        ("9/17", ""),
        ("bolt", ""),
        ("", ""),
        ("3/9 in", "3/8 in"),
    ],
)
def test_unknown_bolts_name_the_nearest(text: str, nearest: str) -> None:
    with pytest.raises(UnknownBoltError) as caught:
        clearance(text)
    assert caught.value.nearest == nearest or not nearest
    assert "M1.6 to M64" in caught.value.accepted
    assert text in caught.value.what
