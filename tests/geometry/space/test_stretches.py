"""How near two stretches of line come to one another, by hand and against a great many places on either."""

from __future__ import annotations

import numpy as np
import pytest
from random_seeds import first_seed

from fabgen.geometry.space.lines import nearest_of_stretches

Ends = tuple[tuple[float, float, float], tuple[float, float, float]]


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        (((0, 0, 0), (10, 0, 0)), ((5, -5, 3), (5, 5, 3)), 3.0),  # one over the other
        (((0, 0, 0), (10, 0, 0)), ((5, 2, 0), (5, 9, 0)), 2.0),  # a tee that stops short
        (((0, 0, 0), (10, 0, 0)), ((13, 4, 0), (20, 4, 0)), 5.0),  # 3, 4, 5 between two ends
        (((0, 0, 0), (10, 0, 0)), ((2, 7, 0), (30, 7, 0)), 7.0),  # side by side
        (((0, 0, 0), (0, 0, 0)), ((3, 4, 0), (3, 9, 0)), 5.0),  # one without a length
        (((2, 3, 4), (2, 3, 4)), ((2, 3, 4), (2, 3, 4)), 0.0),  # both, at one point
    ],
)
def test_by_hand(one: Ends, other: Ends, apart: float) -> None:
    (a, b), (c, d) = (tuple(np.array(point, dtype=float) for point in each) for each in (one, other))
    assert nearest_of_stretches((a, b), (c, d))[0] == pytest.approx(apart)
    assert nearest_of_stretches((c, d), (a, b))[0] == pytest.approx(apart)


@pytest.mark.parametrize("seed", range(first_seed(4100), first_seed(4100) + 50))
def test_no_places_on_the_two_are_nearer(seed: int) -> None:
    a, b, c, d = np.random.default_rng(seed).normal(scale=100.0, size=(4, 3))
    if seed % 5 == 0:
        d = c + 0.7 * (b - a)  # parallel
    apart, s, t = nearest_of_stretches((a, b), (c, d))
    shares = np.linspace(0.0, 1.0, 201)[:, None]
    every = np.linalg.norm((a + shares * (b - a))[:, None] - (c + shares * (d - c))[None], axis=2)
    step = (np.linalg.norm(b - a) + np.linalg.norm(d - c)) / 400.0
    assert float(every.min()) - step <= apart <= float(every.min()) + 1e-9
    u, v = (b - a) / np.linalg.norm(b - a), (d - c) / np.linalg.norm(d - c)
    assert np.linalg.norm(a + s * u - c - t * v) == pytest.approx(apart)
