"""Times of measured points, a frame as built, and a stepped column."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np

from fabgen.geometry.mechanics.buckling import StrutLength, euler_load
from fabgen.geometry.survey.frame_as_built import FrameReadings, frame_as_built
from fabgen.job.points.named_points import resolve_points
from fabgen.job.values.point import ReadingAccuracy


def test_fifty_taped_points(benchmark: Any) -> None:
    known = {"A": [0, 600, 0], "B": [0, -600, 0], "C": [1500, 600, 30], "E": [1450, -560, 210]}
    written: dict[str, object] = dict(known)
    for i in range(50):
        at = (300.0 + 17.0 * i, 400.0 - 13.0 * i, 250.0 + 5.0 * i)
        written[f"P{i}"] = {"tape": {n: round(math.dist(at, known[n])) for n in known}, "side": "above"}
    points, problems = benchmark(resolve_points, written, "mm", {}, ReadingAccuracy(2.0, 2.0))
    assert not problems
    assert len(points) == 54


def test_a_frame_of_twelve_points_taped_all_ways(benchmark: Any) -> None:
    random = np.random.default_rng(1)
    drawn = np.array([[x, y, z] for x in (0, 900, 2000) for y in (-550, 550) for z in (0, 300.0)])
    real = drawn + random.normal(0.0, 3.0, drawn.shape)
    pairs = tuple(itertools.combinations(range(len(drawn)), 2))
    lengths = np.array([np.linalg.norm(real[i] - real[j]) for i, j in pairs])
    readings = FrameReadings(pairs, lengths, (), np.zeros(0), (), np.zeros((0, 3)))
    found = benchmark(frame_as_built, drawn, readings)
    assert found.held.all()


def test_a_stepped_column(benchmark: Any) -> None:
    stretches = [
        StrutLength(42.0, 1e8),
        StrutLength(4.0, 2e9),
        StrutLength(500.0, 3e9),
        StrutLength(4.0, 2e9),
        StrutLength(42.0, 1e8),
    ]
    assert benchmark(euler_load, stretches) > 0.0
