"""Where the line of a wrap turns, against the closed forms of plain joints."""

import math

import pytest
from coped_tubes import coped_tube, round_tube

from fabgen.documents.wrap.wrap import Wrap, unrolled


def wrap(angle: float, branch: float = 40.0, main: float = 60.0, wall: float = 1e-6) -> Wrap:
    part = coped_tube(round_tube(branch, wall), round_tube(main), angle).length_part
    assert part is not None
    return unrolled(part, part.ends[0])


def test_a_square_tee() -> None:
    """x = sqrt(R^2 - (r sin phi)^2): highest at the heel and toe, lowest at the sides."""
    quarter = math.pi * 10.0
    deep = 30.0 - math.sqrt(30.0**2 - 20.0**2)
    found = sorted(wrap(90.0).peaks())
    # The turn at the seam may come from either side of it.
    ways = [(round(station / quarter) % 4, up) for station, up in found]
    assert sorted(ways) == [
        (0, pytest.approx(deep)),
        (1, pytest.approx(0.0)),
        (2, pytest.approx(deep)),
        (3, pytest.approx(0.0)),
    ]


def test_a_leaning_tube_has_its_lowest_places_where_the_slope_is_nought() -> None:
    """x sin a = r cos phi cos a + sqrt(R^2 - r^2 sin^2 phi): each turn is where the derivative changes sign."""
    shown = wrap(60.0)
    turns = shown.peaks()
    assert len(turns) == 4
    for station, up in turns:
        sides = [float(shown.rise(station + d)) - up for d in (-6.0, 6.0)]
        assert sides[0] * sides[1] > 0.0


def test_a_square_cut_turns_nowhere() -> None:
    part = coped_tube(round_tube(40.0), round_tube(60.0), 60.0).length_part
    assert part is not None
    assert unrolled(part, part.ends[1]).peaks() == []
