"""Taped outlines: distances back from the corners, faults that say what is wrong, suspects that are the guilty ones."""

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fabgen.geometry.sheet.taped_polygon import TapedError, adjusted, needed, out_of_plane

Points = list[tuple[float, float]]
FIVE: Points = [(0, 0), (300, -20), (400, 150), (250, 320), (20, 280)]
ELL: Points = [(0, 0), (300, 0), (300, 100), (120, 100), (120, 250), (0, 250)]


def distances(points: Points, pairs: list[tuple[int, int]] | None = None) -> dict[tuple[int, int], float]:
    wanted = pairs or list(combinations(range(len(points)), 2))
    return {(min(p), max(p)): math.dist(points[p[0]], points[p[1]]) for p in wanted}


def sides(count: int) -> list[tuple[int, int]]:
    return [(i, (i + 1) % count) for i in range(count)]


@st.composite
def convex(draw: st.DrawFn) -> Points:
    count = draw(st.integers(3, 8))
    steps = [draw(st.floats(0.6, 1.4)) for _ in range(count)]
    turns = np.cumsum(steps) / sum(steps) * 2.0 * math.pi
    wide, tall = draw(st.floats(100, 900)), draw(st.floats(100, 900))
    return [(wide * math.cos(a), tall * math.sin(a)) for a in turns]


@settings(max_examples=30)
@given(convex(), st.randoms(use_true_random=False))
def test_just_enough_measures_give_the_polygon_back(points: Points, random: object) -> None:
    count = len(points)
    fan = [(0, i) for i in range(2, count - 1)]
    found = adjusted(count, distances(points, [*sides(count), *fan]))
    assert found.spare == 0
    assert len(found.measures) == needed(count)
    for (i, j), length in distances(points).items():
        assert math.dist(found.corners[i], found.corners[j]) == pytest.approx(length, abs=1e-5)
    assert found.corners[0] == (0.0, 0.0)
    assert found.corners[1][1] == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=30)
@given(convex(), st.integers(0, 1000), st.floats(8.0, 20.0))
def test_the_slip_is_the_suspect(points: Points, which: int, slip: float) -> None:
    """With all distances of five corners or more taped and one read wrong, that one is named, and put right."""
    assume(len(points) >= 5)
    measured = distances(points)
    pair = sorted(measured)[which % len(measured)]
    true = measured[pair]
    measured[pair] = true + slip
    try:
        found = adjusted(len(points), measured)
    except TapedError:
        return  # the slip breaks a triangle, or turns a flat corner inward
    suspect = found.suspect
    if suspect is not None:
        assert suspect.pair == pair
        assert suspect.without == pytest.approx(true, abs=0.35 * slip)


def test_adjustment_is_least_squares() -> None:
    """No small move of a corner lessens the sum of squares."""
    measured = distances(FIVE)
    measured[1, 3] += 12.0
    measured[0, 2] -= 3.0
    found = adjusted(5, measured)

    def misfit(corners: np.ndarray) -> float:
        return sum((math.dist(corners[i], corners[j]) - d) ** 2 for (i, j), d in measured.items())

    at = np.array(found.corners)
    least = misfit(at)
    for i in range(5):
        for step in ((0.01, 0.0), (-0.01, 0.0), (0.0, 0.01), (0.0, -0.01)):
            moved = at.copy()
            moved[i] += step
            assert misfit(moved) > least
    assert sum(m.checked for m in found.measures) == pytest.approx(found.spare)


def test_one_measure_too_many_cannot_say_which_is_wrong() -> None:
    measured = distances([(0, 0), (400, 0), (400, 300), (0, 300)])
    measured[2, 3] += 10
    found = adjusted(4, measured)
    assert found.spare == 1
    assert found.suspect is None
    assert {round(m.stands_out, 6) for m in found.measures} == {round(found.measures[0].stands_out, 6)}
    assert abs(found.worst.correction) > 1.5


def test_corners_that_point_inward_are_said_so() -> None:
    measured = distances(ELL, [*sides(6), (0, 2), (0, 3), (0, 4)])
    with pytest.raises(TapedError, match="points inward at corner 4"):
        adjusted(6, measured)
    found = adjusted(6, measured, frozenset({3}))
    assert np.allclose(found.corners, ELL, atol=1e-6)


def test_too_few_and_badly_spread_measures_name_a_diagonal() -> None:
    square = distances([(0, 0), (400, 0), (400, 300), (0, 300)], sides(4))
    with pytest.raises(TapedError, match="4 corners need 5 measures and 4 are given: 1 too few") as few:
        adjusted(4, square)
    assert few.value.missing == ((0, 2), (1, 3))
    six: Points = [(0, 0), (300, 0), (350, 100), (250, 200), (100, 200), (0, 150)]
    with pytest.raises(TapedError, match="free to fold") as loose:
        adjusted(6, distances(six, [*sides(6), (0, 2), (0, 3), (1, 3)]))
    (pair,) = loose.value.missing
    held = distances(six, [*sides(6), (0, 2), (0, 3), pair])
    assert adjusted(6, held).spare == 0


def test_a_triangle_that_does_not_close_is_named() -> None:
    with pytest.raises(TapedError, match="1-2 of 500 mm is longer than 2-3 and 1-3 together, 400 mm") as error:
        adjusted(3, {(0, 1): 500.0, (1, 2): 200.0, (0, 2): 200.0})
    assert error.value.pairs[0] == (0, 1)


@given(st.floats(0.5, 200.0))
def test_lift_of_a_warped_quadrilateral(height: float) -> None:
    space = [(0.0, 0.0, 0.0), (400.0, 0.0, 0.0), (420.0, 300.0, 0.0), (10.0, 280.0, height)]
    measured = {(i, j): math.dist(space[i], space[j]) for i, j in combinations(range(4), 2)}
    assert out_of_plane(measured) == pytest.approx(height, rel=1e-4)
    measured[0, 2] += 20.0 + height
    assert out_of_plane(measured) is None
