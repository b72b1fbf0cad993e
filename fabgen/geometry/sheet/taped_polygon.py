"""A polygon from the distances between its corners: taped sides and diagonals, least squares.

With n corners 2 n - 3 distances settle the shape; every one more is a check.  The corrections
that make all of them agree with the least sum of squares are the textbook adjustment of a
trilateration net; which measure is most likely wrong is shown by the standardised corrections
(W. Baarda, A Testing Procedure for Use in Geodetic Networks, Netherlands Geodetic Commission,
1968: data snooping), all measures being of one accuracy.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Array
from fabgen.wording.input_error import InputError, Words
from fabgen.wording.sentence import mm, sentence

Pair = tuple[int, int]
"""Two corners, counted from 0, the lesser first."""

MOST_BRANCHES = 512
_FOUND = 1e-9


class TapedError(InputError):
    """Distances that make no polygon.  `pairs` are those at fault, `missing` those that would help."""

    def __init__(self, message: Words, pairs: Sequence[Pair] = (), missing: Sequence[Pair] = ()) -> None:
        super().__init__(message)
        self.pairs, self.missing = tuple(pairs), tuple(missing)


@dataclass(frozen=True, eq=False)
class Measure:
    """One distance: as taped, as the adjusted polygon has it (mm), how much of it the others check (0 to 1),
    and how far its correction stands out (standardised: in units of the tape's reading)."""

    pair: Pair
    taped: float
    made: float
    checked: float
    stands_out: float

    @property
    def correction(self) -> float:
        """Adjusted less taped, mm."""
        return self.made - self.taped

    @property
    def without(self) -> float:
        """The distance that all the others together say, mm; nan where they say nothing."""
        return self.taped + self.correction / self.checked if self.checked > 1e-6 else math.nan


@dataclass(frozen=True, eq=False)
class Adjusted:
    """A polygon, counter-clockwise, corner 1 at the origin and corner 2 on +x, with its measures."""

    corners: tuple[Xy, ...]
    measures: tuple[Measure, ...]

    @property
    def spare(self) -> int:
        """How many measures there are more than are needed."""
        return len(self.measures) - needed(len(self.corners))

    @property
    def worst(self) -> Measure:
        """The measure with the largest correction."""
        return max(self.measures, key=lambda m: (round(abs(m.correction), 9), m.pair))

    @property
    def suspect(self) -> Measure | None:
        """The measure that stands out most; None where the others cannot tell it from another one."""
        if self.spare < 2:
            return None
        ordered = sorted(self.measures, key=lambda m: -m.stands_out)
        if ordered[0].stands_out < 1.05 * ordered[1].stands_out or ordered[0].checked < 1e-3:
            return None
        return ordered[0]


def needed(corners: int) -> int:
    """How many distances settle a polygon.

    Args:
        corners: how many it has.
    Returns: 2 n - 3, what fixes n points in the plane but for where they lie.
    """
    return 2 * corners - 3


def adjusted(count: int, taped: Mapping[Pair, float], inward: frozenset[int] = frozenset()) -> Adjusted:
    """The polygon that agrees best with taped distances.

    Args:
        count: how many corners it has.
        taped: distances by pairs of corner numbers, mm.
        inward: the corners, from 0, at which it turns inward; all others turn outward.
    Raises:
        TapedError: there are too few distances, they leave a corner free to move, a triangle does not close, or
            no polygon that turns so has these distances.
    """
    pairs = sorted(taped)
    lengths = np.array([taped[pair] for pair in pairs])
    if len(pairs) < needed(count):
        lacking = needed(count) - len(pairs)
        missing = _unmeasured(count, taped)
        raise TapedError(
            f"{count} corners need {needed(count)} measures and {len(pairs)} are given: {lacking} too few", (), missing
        )
    _must_close(taped)
    best: tuple[float, Array] | None = None
    other: Array | None = None
    for start in _starts(count, taped):
        corners = least_squares(start, pairs, lengths)
        corners = _placed(corners)
        misfit = float(np.sqrt(np.mean((_distances(corners, pairs) - lengths) ** 2)))
        if _inward(corners) != inward:
            other = corners if other is None and _is_simple(corners) else other
        elif _is_simple(corners) and (best is None or misfit < best[0] - 1e-9):
            best = misfit, corners
    if best is None:
        raise _no_polygon(other, inward)
    return _judged(best[1], pairs, lengths, count, taped)


def _unmeasured(count: int, taped: Mapping[Pair, float]) -> list[Pair]:
    return [pair for pair in combinations(range(count), 2) if pair not in taped]


def _must_close(taped: Mapping[Pair, float]) -> None:
    """Raises TapedError at a triangle of which one side is longer than the other two together.

    A little, a thousandth of it or a millimetre, is left to the adjustment.
    """
    corners = sorted({corner for pair in taped for corner in pair})
    for a, b, c in combinations(corners, 3):
        sides = [(a, b), (b, c), (a, c)]
        if all(side in taped for side in sides):
            longest = max(sides, key=lambda side: taped[side])
            rest = sum(taped[side] for side in sides if side != longest)
            if taped[longest] > rest + max(1.0, 0.001 * taped[longest]):
                raise TapedError(
                    sentence(
                        f"{_name(longest)} of ",
                        mm(taped[longest], 3),
                        f" is longer than {' and '.join(_name(s) for s in sides if s != longest)} together, ",
                        mm(rest, 3),
                    ),
                    (longest, *(s for s in sides if s != longest)),
                )


def _name(pair: Pair) -> str:
    return f"{pair[0] + 1}-{pair[1] + 1}"


# -- where to start from ------------------------------------------------------------
def _starts(count: int, taped: Mapping[Pair, float]) -> Iterator[Array]:
    """Polygons to improve on: every way to lay triangle on triangle, then round ones."""
    found = 0
    for pair in sorted(taped):
        placed_any = False
        for placed in _triangles({pair[0]: (0.0, 0.0), pair[1]: (taped[pair], 0.0)}, count, taped):
            placed_any = True
            found += 1
            yield np.array([placed[i] for i in range(count)])
            if found >= MOST_BRANCHES:
                return
        if placed_any:
            return
    sides = [taped.get((min(i, (i + 1) % count), max(i, (i + 1) % count)), 0.0) for i in range(count)]
    turn = 2.0 * np.pi * np.cumsum([0.0, *sides[:-1]]) / sum(sides)
    ring = np.column_stack((np.cos(turn), np.sin(turn))) * sum(sides) / (2.0 * np.pi)
    yield ring
    random = np.random.default_rng(1)
    for _ in range(40):
        yield ring + random.normal(0.0, 0.15 * sum(sides) / count, ring.shape)


def _triangles(placed: dict[int, Xy], count: int, taped: Mapping[Pair, float]) -> Iterator[dict[int, Xy]]:
    """Every way to place the remaining corners, each where two measured circles about placed corners cross."""
    if len(placed) == count:
        yield placed
        return
    tied = {
        corner: [other for other in placed if (min(corner, other), max(corner, other)) in taped]
        for corner in range(count)
        if corner not in placed
    }
    corner = max(tied, key=lambda c: (len(tied[c]), -c))
    if len(tied[corner]) < 2:
        return
    # Of several pairs of circles the two whose centres are farthest apart cross most squarely.
    one, other = max(combinations(tied[corner], 2), key=lambda two: math.dist(placed[two[0]], placed[two[1]]))
    radii = {c: taped[(min(corner, c), max(corner, c))] for c in tied[corner]}
    spots = _crossings(placed[one], radii[one], placed[other], radii[other])
    more = [c for c in radii if c not in (one, other)]
    if more and len(spots) == 2:
        # A third measure separates the two, unless it fits both as badly.
        off = [sum(abs(math.dist(spot, placed[c]) - radii[c]) for c in more) for spot in spots]
        better = int(off[1] < off[0])
        if off[better] < 0.3 * off[1 - better]:
            spots = [spots[better]]
    for spot in spots:
        yield from _triangles(placed | {corner: spot}, count, taped)


def _crossings(a: Xy, ra: float, b: Xy, rb: float) -> list[Xy]:
    """Where two circles cross; the point between them where they just miss one another."""
    apart = math.dist(a, b)
    if apart < 1e-6:
        return []
    along = (apart * apart + ra * ra - rb * rb) / (2.0 * apart)
    half = math.sqrt(max(0.0, ra * ra - along * along))
    ux, uy = (b[0] - a[0]) / apart, (b[1] - a[1]) / apart
    spots = [(a[0] + along * ux - s * half * uy, a[1] + along * uy + s * half * ux) for s in (1.0, -1.0)]
    return spots if half > 1e-6 else spots[:1]


# -- the adjustment -----------------------------------------------------------------
def _distances(corners: Array, pairs: Sequence[Pair]) -> Array:
    i, j = np.array(pairs).T
    return np.asarray(np.hypot(*(corners[j] - corners[i]).T))


def _jacobian(corners: Array, pairs: Sequence[Pair]) -> Array:
    """Change of each distance with each coordinate, shape (m, 2 n)."""
    i, j = np.array(pairs).T
    step = corners[j] - corners[i]
    unit = step / np.maximum(np.hypot(*step.T), 1e-12)[:, None]
    rows = np.arange(len(pairs))
    jacobian = np.zeros((len(pairs), 2 * len(corners)))
    for axis in (0, 1):
        jacobian[rows, 2 * j + axis] = unit[:, axis]
        jacobian[rows, 2 * i + axis] = -unit[:, axis]
    return jacobian


def least_squares(start: Array, pairs: Sequence[Pair], lengths: Array) -> Array:
    """Corners (n, 2) whose distances agree best with those given, mm.

    Args:
        start: corners to begin from, (n, 2), mm.
        pairs: pairs of corner numbers, m of them.
        lengths: their distances, (m,), mm.
    Source: Gauss and Newton's steps, held back where they would not lessen the misfit (K. Levenberg, 1944).
    """
    corners, hold = start.copy(), 1e-3
    misfit = float(((_distances(corners, pairs) - lengths) ** 2).sum())
    for _ in range(200):
        jacobian = _jacobian(corners, pairs)
        gap = lengths - _distances(corners, pairs)
        normal = jacobian.T @ jacobian
        step = np.linalg.lstsq(normal + hold * np.eye(len(normal)), jacobian.T @ gap, rcond=None)[0]
        trial = corners + step.reshape(-1, 2)
        after = float(((_distances(trial, pairs) - lengths) ** 2).sum())
        if after <= misfit:
            small = float(np.abs(step).max()) < _FOUND
            corners, misfit, hold = trial, after, hold * 0.1
            if small:
                break
        else:
            hold *= 10.0
            if hold > 1e6:
                break
    return corners


def _placed(corners: Array) -> Array:
    """Corner 1 at the origin, corner 2 on +x, counter-clockwise."""
    moved = corners - corners[0]
    turn = math.atan2(moved[1, 1], moved[1, 0])
    c, s = math.cos(turn), math.sin(turn)
    moved = moved @ np.array([[c, -s], [s, c]])
    x, y = moved.T
    area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    return np.asarray(moved if area >= 0.0 else moved * np.array([1.0, -1.0]))


def _inward(corners: Array) -> frozenset[int]:
    """The corners at which a counter-clockwise polygon turns to the right."""
    before, after = corners - np.roll(corners, 1, axis=0), np.roll(corners, -1, axis=0) - corners
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    size = np.hypot(*before.T) * np.hypot(*after.T)
    return frozenset(int(i) for i in np.flatnonzero(cross < -1e-6 * size))


def _is_simple(corners: Array) -> bool:
    from shapely import LinearRing

    return bool(LinearRing(corners).is_simple)


def _no_polygon(other: Array | None, inward: frozenset[int]) -> TapedError:
    if other is None:
        return TapedError("these measures make an outline that crosses itself")
    turned = sorted(_inward(other))
    names = " and ".join(str(i + 1) for i in turned) or "none"
    named = " and ".join(str(i + 1) for i in sorted(inward))
    return TapedError(
        f"these measures make an outline that points inward at corner {names}"
        if turned
        else f"these measures make an outline that nowhere points inward, not at corner {named} either"
    )


def _judged(corners: Array, pairs: Sequence[Pair], lengths: Array, count: int, taped: Mapping[Pair, float]) -> Adjusted:
    """The polygon with its measures judged; raises TapedError when a corner is free to move."""
    jacobian = _jacobian(corners, pairs)
    left, sizes, right = np.linalg.svd(jacobian)
    rank = int((sizes > 1e-6 * sizes[0]).sum())
    if rank < needed(count):
        raise _loose(corners, right[rank:], count, taped)
    # Share of each measure that the others check: the diagonal of I - J J+.
    basis = left[:, :rank]
    checked = np.clip(1.0 - (basis**2).sum(axis=1), 0.0, 1.0)
    made = _distances(corners, pairs)
    out = np.abs(made - lengths) / np.sqrt(np.maximum(checked, 1e-12))
    measures = [
        Measure(pair, float(taped_), float(m), float(c), float(o) if c > 1e-6 else 0.0)
        for pair, taped_, m, c, o in zip(pairs, lengths, made, checked, out, strict=True)
    ]
    return Adjusted(tuple((round(float(x), 9) + 0.0, round(float(y), 9) + 0.0) for x, y in corners), tuple(measures))


def _loose(corners: Array, free: Array, count: int, taped: Mapping[Pair, float]) -> TapedError:
    """The error that names a measure which would hold the shape still."""
    best: tuple[float, Pair] | None = None
    for pair in _unmeasured(count, taped):
        change = _jacobian(corners, [pair]) @ free.T
        size = float(np.abs(change).max())
        if best is None or size > best[0] + 1e-9:
            best = size, pair
    missing = [best[1]] if best else []
    return TapedError("the measures leave the outline free to fold: some parts are measured twice over", (), missing)


def out_of_plane(taped: Mapping[Pair, float]) -> float | None:
    """How far the last of four corners stands out of the plane of the others when all six distances are true.

    Args:
        taped: all six distances by pairs of corner numbers, mm.
    Returns: mm; None where no four points in space have these distances.
    Source: the volume of their tetrahedron, 288 V^2 being Cayley and Menger's determinant.
    """
    matrix = np.ones((5, 5)) - np.eye(5)
    for (i, j), length in taped.items():
        matrix[i + 1, j + 1] = matrix[j + 1, i + 1] = length * length
    determinant = float(np.linalg.det(matrix))
    a, b, c = taped[0, 1], taped[1, 2], taped[0, 2]
    half = (a + b + c) / 2.0
    area = math.sqrt(max(0.0, half * (half - a) * (half - b) * (half - c)))
    if determinant < 0.0 or area < 1e-9:
        return None
    return 3.0 * math.sqrt(determinant / 288.0) / area
