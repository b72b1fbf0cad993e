"""A point from measures to known places: distances from a tape, coordinates from a level or a string.

Three measures that do not depend on one another settle a point, mostly with a second point that
fits them as well, on the other side of what was measured from.  Every one more is a check: the
point is then the one whose measures differ least, each counted in units of its own reading error
(least squares; Gauss and Newton's steps, held back as Levenberg, 1944, does).

What a change of a measure, or of a known place, moves the point by is the usual linear law of
propagation (JCGM 100:2008, 'GUM', 5.2), from the same normal equations.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Array

SAME = 0.02
"""Two fitted points nearer than this are one, mm."""
FLAT = 1e-3
"""A point is not held along a direction in which its measures change by less than this, mm a mm."""


@dataclass(frozen=True, eq=False)
class Measures:
    """What was measured of one point: `lengths` (d,) to `centres` (d, 3), then `levels` (c,) of the
    coordinates `axes` (c,); `sigma` (d + c,) is the standard deviation of each reading.  All mm."""

    centres: Array
    lengths: Array
    axes: tuple[int, ...]
    levels: Array
    sigma: Array

    @property
    def read(self) -> Array:
        """All readings, (m,) mm."""
        return np.concatenate((self.lengths, self.levels))

    def made(self, at: Array) -> Array:
        """The readings that points would give, (s, m) mm.

        Args:
            at: (s, 3), mm.
        """
        reach = np.linalg.norm(at[:, None, :] - self.centres, axis=2)
        return np.hstack((reach, at[:, list(self.axes)]))

    def slopes(self, at: Array) -> Array:
        """Change of each reading with a point's coordinates, (s, m, 3).

        Args:
            at: (s, 3), mm.
        """
        away = at[:, None, :] - self.centres
        reach = np.maximum(np.linalg.norm(away, axis=2, keepdims=True), 1e-9)
        level = np.broadcast_to(np.eye(3)[list(self.axes)].reshape(1, -1, 3), (len(at), len(self.axes), 3))
        return np.concatenate((away / reach, level), axis=1)

    def without(self, index: int) -> Measures:
        """The same but for one reading.

        Args:
            index: its number, lengths first.
        """
        kept = np.arange(len(self.sigma)) != index
        d = len(self.lengths)
        axes = tuple(axis for axis, keep in zip(self.axes, kept[d:], strict=True) if keep)
        return replace(
            self,
            centres=self.centres[kept[:d]],
            lengths=self.lengths[kept[:d]],
            axes=axes,
            levels=self.levels[kept[d:]],
            sigma=self.sigma[kept],
        )


@dataclass(frozen=True, eq=False)
class Fit:
    """A point (3,) mm that fits its measures.

    `misfit`: sum of squares of the differences in units of the reading errors.  `gain` (3, m): how
    the point moves with each reading.  `held`: the least a reading changes, mm a mm, whichever way
    the point moves; 0 where nothing holds it.  `loose` (3,): the way it is held least.
    """

    measures: Measures
    at: Array
    misfit: float
    gain: Array
    held: float
    loose: Array

    @property
    def made(self) -> Array:
        """What each reading should be for this point, (m,) mm."""
        return np.asarray(self.measures.made(self.at[None])[0])

    @property
    def ways(self) -> Array:
        """Unit directions (d, 3) from the known places to the point."""
        return np.asarray(self.measures.slopes(self.at[None])[0][: len(self.measures.lengths)])

    @property
    def spare(self) -> int:
        """How many readings there are more than are needed."""
        return len(self.measures.sigma) - 3


def fits(measures: Measures) -> list[Fit]:
    """The points that fit the measures better than any near them, the best first; one or two as a rule.

    Args:
        measures: of one point.
    """
    settled, misfits = _settled(measures, _starts(measures))
    order = np.argsort(np.round(misfits, 6), kind="stable")
    kept: list[int] = []
    for i in order:
        if all(np.linalg.norm(settled[i] - settled[j]) > SAME for j in kept):
            kept.append(int(i))
    return [_judged(measures, settled[i], float(misfits[i])) for i in kept]


def nearest_fit(measures: Measures, start: Array) -> Fit:
    """The fit that small steps lead to.

    Args:
        measures: of one point.
        start: where to begin, (3,), mm.
    """
    settled, misfits = _settled(measures, start[None])
    return _judged(measures, settled[0], float(misfits[0]))


def in_line(centres: Array) -> bool:
    """Whether known places lie on one line, so that distances to them leave a circle.

    Args:
        centres: (d, 3), mm.
    """
    if len(centres) < 3:
        return True
    sizes = np.linalg.svd(centres - centres.mean(axis=0), compute_uv=False)
    return bool(sizes[1] < 0.01 * sizes[0] or sizes[1] < 0.5)


def _judged(measures: Measures, at: Array, misfit: float) -> Fit:
    slopes = measures.slopes(at[None])[0]
    _, sizes, ways = np.linalg.svd(slopes)
    held = float(sizes[-1]) if len(sizes) == 3 else 0.0
    gain = np.linalg.pinv(slopes / measures.sigma[:, None], rcond=1e-9) / measures.sigma
    return Fit(measures, at, misfit, np.asarray(gain), held, np.asarray(ways[-1]))


def _starts(measures: Measures) -> Array:
    """Points all round what was measured from, and off its plane on both sides, (s, 3)."""
    centres = measures.centres if len(measures.centres) else np.zeros((1, 3))
    middle = centres.mean(axis=0)
    reach = float(measures.lengths.mean()) if len(measures.lengths) else 1000.0
    ways = [np.array(way, dtype=float) for way in itertools.product((-1, 0, 1), repeat=3) if sum(map(abs, way)) % 2]
    # Off the three axes' own planes, so that no start lies just where two sides meet.
    ways = [way / np.linalg.norm(way) + np.array([0.011, 0.017, 0.023]) for way in ways]
    normal = np.linalg.svd(centres - middle)[2][-1]
    starts = middle + reach * np.vstack([*ways, normal, -normal])
    for axis, level in zip(measures.axes, measures.levels, strict=True):
        starts[:, axis] = level
    return np.asarray(starts)


def _settled(measures: Measures, starts: Array) -> tuple[Array, Array]:
    """All starts followed down to where no step lessens their misfit, (s, 3), and those misfits (s,)."""
    read, weight = measures.read, 1.0 / measures.sigma
    at = starts.copy()
    hold = np.full(len(at), 1e-2)
    gap = (read - measures.made(at)) * weight
    misfit = np.einsum("sm,sm->s", gap, gap)
    scale = float(np.square(weight).mean())
    for _ in range(120):
        slope = measures.slopes(at) * weight[:, None]
        normal = np.einsum("smi,smj->sij", slope, slope) + (hold * scale)[:, None, None] * np.eye(3)
        step = np.linalg.solve(normal, np.einsum("smi,sm->si", slope, gap)[..., None])[..., 0]
        trial = at + step
        trial_gap = (read - measures.made(trial)) * weight
        after = np.einsum("sm,sm->s", trial_gap, trial_gap)
        better = after <= misfit
        at = np.where(better[:, None], trial, at)
        gap = np.where(better[:, None], trial_gap, gap)
        misfit = np.where(better, after, misfit)
        hold = np.where(better, np.maximum(hold * 0.2, 1e-9), np.minimum(hold * 8.0, 1e9))
        if float(np.abs(step).max()) < 1e-9 or (not better.any() and float(hold.min()) > 1e6):
            break
    return at, misfit


@dataclass(frozen=True, eq=False)
class Suspect:
    """The reading (by number) that is likeliest wrong: what the others say it ought to be (mm), and
    the point without it."""

    index: int
    likely: float
    fit: Fit


LIMIT = 3.29
"""A standardised misfit above this comes of chance once in a thousand readings: the usual limit
(W. Baarda, A Testing Procedure for Use in Geodetic Networks, 1968; from memory)."""


def left_over(fit: Fit) -> Array:
    """How much of a change of each reading the fit leaves as misfit of each, (m, m).

    Args:
        fit: a point and its measures.
    """
    slopes = fit.measures.slopes(fit.at[None])[0]
    return np.asarray(np.eye(len(fit.measures.sigma)) - slopes @ fit.gain)


def standardised(fit: Fit, spread: Array) -> Array:
    """Each reading's misfit in units of what chance makes it, (m,); nan where no other checks it.

    Args:
        fit: a point and its measures.
        spread: how each reading is off by each of k independent unit errors, (m, k), mm; known places' errors
            count as those of the readings to them.
    """
    measures = fit.measures
    left = left_over(fit)
    size = np.linalg.norm(left @ spread, axis=1)
    gap = measures.read - fit.made
    total = np.linalg.norm(spread, axis=1)
    # Not checked by any other where the fit takes all of it up.
    checked = np.diag(left) > 1e-4
    return np.where(checked & (size > 1e-6 * total), gap / np.maximum(size, 1e-12), np.nan)


def suspects(fit: Fit) -> list[Suspect]:
    """The reading without which the rest agree; several where they serve alike.

    Args:
        fit: a point and its measures.
    Returns: none where fewer than two readings are spare: then any one may be left out.
    """
    if fit.spare < 2:
        return []
    found: list[tuple[float, Suspect]] = []
    for index in range(len(fit.measures.sigma)):
        rest = fit.measures.without(index)
        if not rest.axes and in_line(rest.centres):
            continue
        again = nearest_fit(rest, fit.at)
        if again.held > FLAT:
            likely = float(fit.measures.made(again.at[None])[0][index])
            found.append((again.misfit, Suspect(index, likely, again)))
    least = min((misfit for misfit, _ in found), default=0.0)
    return [each for misfit, each in sorted(found, key=lambda f: f[0]) if misfit <= least + 2.0 * LIMIT**2]


def check_share(slopes: Array, more: Array, sigma: Array) -> float:
    """How well further readings check those there are: the least share of an error in one of these that shows, 0 to 1.

    Args:
        slopes: change of each reading with the point's coordinates, (m, 3).
        more: the same of the further readings, (k, 3).
        sigma: standard deviation of each of them all, (m + k,), mm.
    Source: the redundancy numbers of W. Baarda, A Testing Procedure for Use in Geodetic Networks, 1968; from memory.
    """
    rows = np.vstack((slopes, more)) / sigma[:, None]
    taken_up = np.einsum("mi,im->m", rows, np.linalg.pinv(rows, rcond=1e-9))
    return float(1.0 - taken_up[: len(slopes)].max())


def slip(read: float, likely: float, room: float, inches: bool = False) -> str:
    """The slip of hand that turns one length into another; '' where none does.

    A tape held at one of its marks in place of its end reads too long, never too short.

    Args:
        read: as read, mm.
        likely: as it ought to be, mm.
        room: how near the slip must come, mm.
        inches: the tape reads in inches, so that figures change places among the whole inches.
    """
    for step, words in ((100.0, "the tape held at its 100 mm mark"), (25.4, "the tape held at its 1 in mark")):
        if abs(read - likely - step) <= room:
            return words
    unit = 25.4 if inches else 1.0
    # A tape shows whole units and a part: 1303.6 has no 4 that could have changed places.
    whole = math.floor(read / unit + 0.02)
    rest, figures = read / unit - whole, str(whole)
    for i, j in itertools.combinations(range(len(figures)), 2):
        swapped = list(figures)
        swapped[i], swapped[j] = swapped[j], swapped[i]
        other = "".join(swapped)
        if other != figures and math.isclose((float(other) + rest) * unit, likely, abs_tol=room):
            right = f"{other} in for {figures} in" if inches else f"{round(float(other) + rest, 1):g}"
            return f"two figures changed places: {right}"
    return ""
