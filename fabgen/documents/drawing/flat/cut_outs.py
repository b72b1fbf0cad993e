"""Cut-outs that come to an edge of a flat along a freely curved line, given by many short edges or arcs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.geometry.plane.outline import Box, Edge, Xy

NEAR = 0.05
"""Ends closer to an edge than this lie on it, mm."""


@dataclass(frozen=True)
class CutOut:
    """A freely curved line that leaves a straight edge along x (`axis` 0) or y (1) and comes back to it:
    its two ends, ascending along the edge, and its point farthest from there."""

    axis: int
    ends: tuple[Xy, Xy]
    deepest: Xy


def curved_runs(short: set[int], edges: Sequence[Edge]) -> list[list[Edge]]:
    """Those of an outline's edges, given by index, that follow one another, in order; none where it is all one."""
    count = len(edges)
    if len(short) == count:
        return []
    runs: list[list[int]] = []
    for first in sorted(i for i in short if (i - 1) % count not in short):
        run = [first]
        while (following := (run[-1] + 1) % count) in short:
            run.append(following)
        runs.append(run)
    return [[edges[i] for i in run] for run in runs]


def cut_out(run: Sequence[Edge], box: Box) -> CutOut | None:
    """The cut-out that a curved line makes in one of the outermost edges of an outline with bounds `box`."""
    a, b = run[0].start, run[-1].end
    for axis, across in ((0, 1), (1, 0)):
        low, high = (abs(a[across] - edge) < NEAR and abs(b[across] - edge) < NEAR for edge in box[across::2])
        if not (low or high):
            continue
        points = [p for edge in run for p in _outermost(edge)]
        deepest = (max if low else min)(points, key=lambda p: p[across])
        if abs(deepest[across] - a[across]) > NEAR and abs(b[axis] - a[axis]) > NEAR:
            first, last = sorted((a, b), key=lambda p: p[axis])
            return CutOut(axis, (first, last), deepest)
    return None


def _outermost(edge: Edge) -> list[Xy]:
    """An edge's ends and, of an arc, the points where it runs along x or y."""
    found = [edge.start, edge.end]
    if edge.is_arc:
        (cx, cy), r = edge.centre, edge.radius
        begin = math.atan2(edge.start[1] - cy, edge.start[0] - cx)
        way = math.copysign(1.0, edge.sweep)
        for turn in (0.0, 0.5 * math.pi, math.pi, 1.5 * math.pi):
            if ((turn - begin) * way) % (2.0 * math.pi) < abs(edge.sweep):
                found.append((cx + r * math.cos(turn), cy + r * math.sin(turn)))
    return found
