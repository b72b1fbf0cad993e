"""Outlines in space as rings of points: what a transition runs from and to."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.plane.outline import Circle, Loop, Xy
from fabgen.geometry.space.frame import Array, Frame

CHORD = 0.0005
"""Greatest distance between an arc and the chords that stand for it, mm: any whole round comes 0.001 mm short, and
the far end of its development is 0.004 mm out of place at most."""
_TURN = math.radians(3.0)


@dataclass(frozen=True, eq=False)
class Ring:
    """A closed ring of points, counter-clockwise in its plane; the last is not the first again.

    `flat` (n, 2) mm in the plane of `frame`; `ends[i]` is True where an edge of the outline ends at
    point i, False inside an arc; `arcs[i]` whether the stretch from point i on is part of an arc.
    """

    flat: Array
    ends: tuple[bool, ...]
    arcs: tuple[bool, ...]
    frame: Frame

    @property
    def points(self) -> Array:
        """The points in space, (n, 3) mm."""
        return self.frame.outside(np.column_stack((self.flat, np.zeros(len(self.flat)))))

    @property
    def is_convex(self) -> bool:
        """Whether the ring nowhere turns inward."""
        step = np.roll(self.flat, -1, axis=0) - self.flat
        cross = step[:, 0] * np.roll(step[:, 1], -1) - step[:, 1] * np.roll(step[:, 0], -1)
        size = np.hypot(*step.T)
        return bool((cross > -1e-9 * size * np.roll(size, -1)).all())

    def begun_at(self, index: int) -> Ring:
        """The same ring, begun at another point.

        Args:
            index: number of the point that becomes the first.
        """
        ends, arcs = self.ends[index:] + self.ends[:index], self.arcs[index:] + self.arcs[:index]
        return replace(self, flat=np.roll(self.flat, -index, axis=0), ends=ends, arcs=arcs)

    def with_point(self, after: int, at: Xy) -> Ring:
        """The ring with a further point on a straight stretch.

        Args:
            after: number of the point before it.
            at: the point in the ring's plane, mm.
        """
        i = after + 1
        flat = np.insert(self.flat, i, at, axis=0)
        return replace(
            self,
            flat=flat,
            ends=(*self.ends[:i], True, *self.ends[i:]),
            arcs=(*self.arcs[:i], self.arcs[after], *self.arcs[i:]),
        )

    def begun_nearest(self, at: Xy) -> Ring:
        """The ring begun where it is nearest to a place: at one of its points, or at a new one on a straight stretch.

        Args:
            at: in the ring's plane, mm.
        """
        here, there = self.flat, np.roll(self.flat, -1, axis=0)
        step = there - here
        share = np.clip(((np.array(at) - here) * step).sum(axis=1) / (step**2).sum(axis=1), 0.0, 1.0)
        foot = here + share[:, None] * step
        i = int(np.argmin(np.round(np.hypot(*(foot - at).T), 9)))
        length = float(np.hypot(*step[i]))
        if share[i] * length < 1e-3 or self.arcs[i]:
            return self.begun_at(i if share[i] < 0.5 else (i + 1) % len(here))
        if (1.0 - share[i]) * length < 1e-3:
            return self.begun_at((i + 1) % len(here))
        return self.with_point(i, (float(foot[i, 0]), float(foot[i, 1]))).begun_at(i + 1)


def ring_of(loop: Loop, frame: Frame, chord: float = CHORD) -> Ring:
    """The outline as a ring of points in space.

    Args:
        loop: its arcs become points, 3 degrees apart at most.
        frame: in whose plane it lies.
        chord: greatest distance of a chord from its arc, mm.
    """
    if isinstance(loop, Circle):
        count = 4 * math.ceil(math.pi / 2.0 / _step(loop.diameter / 2.0, chord))
        turn = np.arange(count) * (2.0 * math.pi / count) - math.pi / 2.0
        r = loop.diameter / 2.0
        flat = np.column_stack((loop.x + r * np.cos(turn), loop.y + r * np.sin(turn)))
        return Ring(flat, (False,) * count, (True,) * count, frame)
    points: list[Xy] = []
    ends: list[bool] = []
    arcs: list[bool] = []
    for edge in loop.counter_clockwise().edges():
        points.append(edge.start)
        ends.append(True)
        arcs.append(edge.is_arc)
        if edge.is_arc:
            count = max(2, math.ceil(abs(edge.sweep) / _step(edge.radius, chord)))
            cx, cy = edge.centre
            first = math.atan2(edge.start[1] - cy, edge.start[0] - cx)
            turns = [first + edge.sweep * i / count for i in range(1, count)]
            points += [(cx + edge.radius * math.cos(a), cy + edge.radius * math.sin(a)) for a in turns]
            ends += [False] * len(turns)
            arcs += [True] * len(turns)
    return Ring(np.array(points), tuple(ends), tuple(arcs), frame)


def _step(radius: float, chord: float) -> float:
    return min(_TURN, 2.0 * math.acos(max(0.0, 1.0 - chord / radius)))


def moved_sideways(ring: Ring, amounts: Array) -> Ring:
    """The ring with each stretch moved outward in its plane, corners kept sharp.

    Args:
        ring: n points.
        amounts: how far the stretch from point i on is moved, (n,), mm.
    """
    step = np.roll(ring.flat, -1, axis=0) - ring.flat
    unit = step / np.hypot(*step.T)[:, None]
    out = np.column_stack((unit[:, 1], -unit[:, 0]))
    before, after = np.roll(out, 1, axis=0), out
    less, more = np.roll(amounts, 1), amounts
    across = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    sharp = np.abs(across) > 0.05
    safe = np.where(sharp, across, 1.0)
    # Where the two moved stretches meet: d . before = less, d . after = more.
    meeting = np.column_stack(
        ((less * after[:, 1] - more * before[:, 1]) / safe, (more * before[:, 0] - less * after[:, 0]) / safe)
    )
    both = before + after
    mean = both / (both**2).sum(axis=1)[:, None] * (less + more)[:, None]
    return replace(ring, flat=ring.flat + np.where(sharp[:, None], meeting, mean))
