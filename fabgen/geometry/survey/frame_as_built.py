"""The shape of a frame as built, from distances, heights and places measured on it.

Least squares: the points' places as built are those that agree best with all readings, moved from
the drawing only in ways that change some reading at first order.  So what no reading shows stays as
drawn, and a slip of the tape along a row of points shows as a misfit instead of bowing the row out.
Where the frame stands is no matter of its shape: heights may all be off by a shift and a tilt,
places by any turn and shift, and distances know of neither.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array
from fabgen.geometry.survey.rigid_fit import RigidMotion, rigid_fit, rigid_modes, rotation

FELT = 0.02
"""A way of moving that changes the readings by less than this, mm a mm, is not shown by them."""
HELD = 0.75
"""A coordinate is held by the readings where this share of its moving shows in them."""


@dataclass(frozen=True, eq=False)
class FrameReadings:
    """What was measured, mm: `lengths` (d,) between point numbers `pairs`; `heights` (h,) of points `high`;
    `places` (p, 3) of points `placed`.  All are of one accuracy."""

    pairs: tuple[tuple[int, int], ...]
    lengths: Array
    high: tuple[int, ...]
    heights: Array
    placed: tuple[int, ...]
    places: Array


@dataclass(frozen=True, eq=False)
class FrameAsBuilt:
    """The frame laid on its drawing.

    `places` (n, 3) as built and `drawn` (n, 3); `held` (n, 3) whether readings tell of that
    coordinate; `made` (m,) what each reading should be, lengths first, then heights, then places
    coordinate by coordinate; `gain` (3 n, m) how the places move with the readings; `checked` (m,)
    how much of each reading the others check; `ways` (3 n, k) orthonormal, how the points can move so that readings
    change.  `stands`: how the frame as measured lies to its
    drawing, by its places, None without any; `level`: shift (mm) and slopes along x and y of its
    heights.
    """

    drawn: Array
    places: Array
    held: NDArray[np.bool_]
    made: Array
    gain: Array
    checked: Array
    ways: Array
    stands: RigidMotion | None
    level: Array | None

    @property
    def off(self) -> Array:
        """How far each point is from the drawing, (n, 3) mm."""
        return np.asarray(self.places - self.drawn)

    def holds(self, one: int, other: int) -> bool:
        """Whether the readings say how far two of its points, by number, are from one another."""
        apart = self.drawn[other] - self.drawn[one]
        change = np.zeros_like(self.drawn)
        change[other], change[one] = apart, -apart
        shown = self.ways.T @ change.ravel()
        return bool(shown @ shown >= HELD * np.square(change).sum())


def frame_as_built(drawn: Array, readings: FrameReadings) -> FrameAsBuilt:
    """The frame that agrees best with all readings (least squares), laid on its drawing.

    Args:
        drawn: its points, (n, 3), mm.
        readings: what was measured.
    """
    problem = _Problem(drawn, readings)
    places, more = drawn.copy(), np.zeros(problem.more)
    turn = np.eye(3)
    if readings.placed:
        first = rigid_fit(drawn[list(readings.placed)], readings.places)
        turn, more[-3:] = first.rotation, first.shift
    ways = problem.ways(problem.slopes(places, more, turn))
    for _ in range(60):
        gap = problem.read - problem.made(places, more, turn)
        step = np.linalg.lstsq(problem.along(ways, problem.slopes(places, more, turn)), gap, rcond=1e-9)[0]
        places = places + (ways @ step[: ways.shape[1]]).reshape(-1, 3)
        more = more + step[ways.shape[1] :]
        if readings.placed:
            turn = rotation(np.asarray(step[-6:-3], dtype=np.float64)) @ turn
            more[-6:-3] = 0.0
        if float(np.abs(step).max(initial=0.0)) < 1e-9:
            break
    return problem.judged(places, more, turn, ways)


class _Problem:
    """The readings as equations.  Unknown: 3 n coordinates, then `more`: of heights a shift and two slopes, of
    places a small turn (3) on top of the one found so far, and a shift (3)."""

    def __init__(self, drawn: Array, readings: FrameReadings) -> None:
        self.drawn, self.readings = drawn, readings
        self.middle = drawn.mean(axis=0)
        self.more = (3 if readings.high else 0) + (6 if readings.placed else 0)
        self.read = np.concatenate((readings.lengths, readings.heights, readings.places.ravel()))

    def made(self, places: Array, more: Array, turn: Array) -> Array:
        """What the readings would be, (m,)."""
        r = self.readings
        parts = [np.array([np.linalg.norm(places[j] - places[i]) for i, j in r.pairs])]
        if r.high:
            at = places[list(r.high)]
            parts.append(at[:, 2] + more[0] + (at - self.middle)[:, :2] @ more[1:3])
        if r.placed:
            parts.append((places[list(r.placed)] @ turn.T + more[-3:]).ravel())
        return np.concatenate(parts)

    def slopes(self, places: Array, more: Array, turn: Array) -> Array:
        """Change of each reading with the unknowns, (m, 3 n + more)."""
        r, n = self.readings, self.drawn.size
        slope = np.zeros((len(self.read), n + self.more))
        for row, (i, j) in enumerate(r.pairs):
            way = (places[j] - places[i]) / max(float(np.linalg.norm(places[j] - places[i])), 1e-9)
            slope[row, 3 * j : 3 * j + 3], slope[row, 3 * i : 3 * i + 3] = way, -way
        row = len(r.pairs)
        for i in r.high:
            slope[row, 3 * i : 3 * i + 3] = (more[1], more[2], 1.0)
            slope[row, n : n + 3] = (1.0, *(places[i] - self.middle)[:2])
            row += 1
        for i in r.placed:
            x, y, z = turn @ places[i]
            slope[row : row + 3, 3 * i : 3 * i + 3] = turn
            slope[row : row + 3, -6:-3] = [[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]]
            slope[row : row + 3, -3:] = np.eye(3)
            row += 3
        return slope

    def ways(self, slope: Array) -> Array:
        """The ways of moving the points that show in the readings, orthonormal columns (3 n, k); what the
        shift, tilt or turn of the readings themselves takes up does not."""
        n = self.drawn.size
        own, sizes, _ = np.linalg.svd(slope[:, n:], full_matrices=False)
        own = own[:, sizes > 1e-9 * max(float(sizes.max(initial=0.0)), 1e-9)]
        seen = slope[:, :n] - own @ (own.T @ slope[:, :n])
        _, sizes, found = np.linalg.svd(seen, full_matrices=False)
        return np.asarray(found[sizes > FELT].T)

    def along(self, ways: Array, slope: Array) -> Array:
        """Change of each reading with each way of moving, then with the further unknowns."""
        n = self.drawn.size
        return np.hstack((slope[:, :n] @ ways, slope[:, n:]))

    def judged(self, places: Array, more: Array, turn: Array, ways: Array) -> FrameAsBuilt:
        r = self.readings
        rows = self.along(ways, self.slopes(places, more, turn))
        solve = np.linalg.pinv(rows, rcond=1e-9)
        gain = ways @ solve[: ways.shape[1]]
        checked = 1.0 - np.einsum("mi,im->m", rows, solve)
        modes = rigid_modes(self.drawn)
        own = 1.0 - np.einsum("im,im->i", modes, modes)
        share_shown = np.einsum("ik,ik->i", ways, ways)
        # A coordinate that is all rigid motion (z of three points) says nothing of shape.
        held = ((share_shown > HELD * own) & (own > 0.01)).reshape(-1, 3)
        made = self.made(places, more, turn)
        # What is no shape at all: the last, second-order remains of a turn.
        shown = held.any(axis=1)
        if int(shown.sum()) >= 3:
            places = rigid_fit(places[shown], self.drawn[shown]).moved(places)
        stands = rigid_fit(self.drawn[list(r.placed)], r.places) if r.placed else None
        level = more[:3] if r.high else None
        return FrameAsBuilt(self.drawn, places, held, made, gain, checked, ways, stands, level)


def alike(values: Array, width: float) -> list[int]:
    """The numbers of the values that differ from one another by no more than `width`: the most there are, in order.

    Args:
        values: (n,), mm.
        width: mm.
    """
    order = np.argsort(values, kind="stable")
    best: list[int] = []
    for i in range(len(order)):
        same = [int(j) for j in order[i:] if values[j] - values[order[i]] <= width]
        best = same if len(same) > len(best) else best
    return sorted(best)


def levelled(frame: FrameAsBuilt, lift: float) -> FrameAsBuilt:
    """The frame as its heights were read, none of a tilt taken out of them.

    Args:
        frame: as built, from heights among others.
        lift: what is taken out of all heights alike, mm.
    """
    if frame.level is None:
        return frame
    middle = frame.drawn.mean(axis=0)
    shift, along, across = frame.level
    tilt = RigidMotion(rotation(np.array([across, -along, 0.0])), np.zeros(3))
    places = tilt.about(middle, middle + np.array([0.0, 0.0, shift - lift])).moved(frame.places)
    return replace(frame, places=places, level=np.array([lift, 0.0, 0.0]))


@dataclass(frozen=True, eq=False)
class OneOut:
    """The one point (by number) that is out where all others are as drawn, and by what (3,) mm; `laid`: the frame
    laid on its drawing by those others."""

    index: int
    off: Array
    laid: FrameAsBuilt


def one_out(frame: FrameAsBuilt, allowed: float) -> OneOut | None:
    """The point without which the others, four or more, are all as drawn; None where there is none.

    Args:
        frame: as built.
        allowed: how far a point may be off and still count as drawn, mm.
    """
    shown = np.flatnonzero(frame.held.any(axis=1))
    best: tuple[float, int, RigidMotion] | None = None
    for i in shown if len(shown) > 4 else ():
        rest = shown[shown != i]
        turn = rigid_fit(frame.places[rest], frame.drawn[rest])
        left = float(np.linalg.norm(turn.moved(frame.places[rest]) - frame.drawn[rest], axis=1).max())
        if best is None or left < best[0]:
            best = left, int(i), turn
    if best is None or best[0] > allowed:
        return None
    laid = replace(frame, places=best[2].moved(frame.places))
    off = laid.off[best[1]]
    return OneOut(best[1], off, laid) if float(np.linalg.norm(off)) > allowed else None


@dataclass(frozen=True, eq=False)
class Strain:
    """A frame that is stretched and skewed as a whole: `stretch` of lengths along x, y, z and `skew` (rad) of the
    right angles xy, xz, yz; `twist`: rise per mm of x and of y, 1/mm.  `left` (n, 3): what remains, mm."""

    stretch: Array
    skew: Array
    twist: float
    left: Array


NARROW = 0.1
"""A stretch or skew that moves the points by less than this share of the others' is not shown."""
PLANES = ((0, 1), (0, 2), (1, 2))


def strain(frame: FrameAsBuilt, points: Sequence[int]) -> Strain:
    """The even stretch, skew and twist that explain best where points are; what they cannot show is nought.

    Args:
        frame: as built.
        points: their numbers.
    """
    at, off = frame.drawn[list(points)], frame.off[list(points)]
    away = at - at.mean(axis=0)
    columns = [_along(away, axis, axis, 1.0) for axis in range(3)]
    columns += [_along(away, i, j, 0.5) + _along(away, j, i, 0.5) for i, j in PLANES]
    rise = np.zeros_like(away)
    rise[:, 2] = away[:, 0] * away[:, 1]
    columns.append(rise.ravel())
    modes = rigid_modes(at)
    rows = np.column_stack([*columns])
    rows = rows - modes @ (modes.T @ rows)
    goal = off.ravel() - modes @ (modes.T @ off.ravel())
    sizes = np.linalg.norm(rows, axis=0)
    # Along a way in which the frame hardly extends nothing can be shown; a twist takes four corners.
    shown = sizes > NARROW * max(float(sizes[:6].max()), 1e-9)
    shown[6] = len(at) > 3 and float(np.ptp(at[:, 0])) > 1.0 and float(np.ptp(at[:, 1])) > 1.0
    unit = np.where(shown, rows / np.maximum(sizes, 1e-12), 0.0)
    found = np.linalg.lstsq(unit, goal, rcond=1e-3)[0] / np.maximum(sizes, 1e-12) * shown
    left = goal - rows @ found
    return Strain(found[:3], found[3:6], float(found[6]), left.reshape(-1, 3))


def _along(away: Array, of: int, moves: int, share: float) -> Array:
    column = np.zeros_like(away)
    column[:, moves] = share * away[:, of]
    return column.ravel()
