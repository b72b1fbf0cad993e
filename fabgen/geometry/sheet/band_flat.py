"""The flat of a transition: its true-length triangles laid side by side, its edges, its bends and its seam.

Bends are of two kinds.  Where two flat parts meet in an edge the sheet is creased, and the flat is
made shorter there by what a bend saves.  Where the surface is rounded it is bent a little at a
time, or rolled; it keeps its length, and the bends only say where to strike.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from fabgen.geometry.plane.arc_fit import arcs_through
from fabgen.geometry.plane.outline import Outline, OutlineError, Vertex, Xy
from fabgen.geometry.sheet.transition import Band
from fabgen.geometry.sheet.unfolding import Fold, Unfolded, folds_of, unfold
from fabgen.wording.sentence import mm, sentence

CREASE = math.radians(4.0)
"""A fold between two triangles sharper than this is a crease; less belongs to a rounded part."""


@dataclass(frozen=True, slots=True)
class BandBend:
    """A bend on the flat from the bottom edge to the top edge: its angle (rad, positive away from the viewer),
    whether it is a crease, and which rounded part or crease it belongs to, from 1.  `ruling` is its line."""

    start: Xy
    end: Xy
    angle: float
    crease: bool
    part: int
    ruling: tuple[int, int]


@dataclass(frozen=True, eq=False)
class BandFlat:
    """Outline and bends, drawn from outside, the seam's ends at the left and the right.

    `bottom` and `top` are the lengths of the two edges and `seam` that of the seam on the flat, mm, without
    lap or gap; `heading` is the direction of the sheet's middle from bottom to top, rad; `lap_line` is
    where a lap begins.
    """

    outline: Outline
    bends: tuple[BandBend, ...]
    bottom: float
    top: float
    seam: float
    heading: float
    lap_line: tuple[Xy, Xy] | None


def band_flat(
    band: Band, strikes: int, deduction: Callable[[float], float], lap: float = 0.0, gap: float = 0.0
) -> BandFlat:
    """The flat of a band, which lies on the sheet's middle.

    Args:
        band: the surface from seam to seam.
        strikes: how many bends are laid to a quarter turn of a rounded part.
        deduction: what a crease of an angle (rad) makes the flat shorter, mm.
        lap: how far the right-hand end goes on past the seam, cut like the sheet it lies on, mm.
        gap: both ends stand back by half of this where there is no lap, mm.
    Raises:
        OutlineError: lap or gap is wider than the sheet.
    """
    points, triangles = band.points, band.triangles
    folds = folds_of(points, triangles)
    laid = unfold(points, triangles, folds, lambda fold: deduction(abs(fold.angle)) if _is_crease(fold) else 0.0)
    chains = [_chain(band, laid, False), _chain(band, laid, True)]
    seam = math.dist(chains[0].points[0], chains[1].points[0])
    lengths = [chain.length for chain in chains]
    bends = _bends(band, laid, folds, strikes)
    left = (chains[0].points[0], chains[1].points[0])
    right = (chains[0].points[-1], chains[1].points[-1])
    if lap > 0.0:
        chains = _lapped(chains, lap)
    elif gap > 0.0:
        chains = [chain.trimmed(right, gap / 2.0) for chain in chains]
        chains = [chain.turned().trimmed(left, gap / 2.0).turned() for chain in chains]
    bottom, top = chains
    corners = [*bottom.vertices(), Vertex(*bottom.points[-1])]
    corners += [*top.turned().vertices(), Vertex(*top.points[0])]
    return BandFlat(
        Outline(tuple(corners)),
        tuple(bends),
        lengths[0],
        lengths[1],
        seam,
        _heading([left, *(laid.middle(fold) for fold in laid.folds), right]),
        right if lap else None,
    )


def _heading(lines: Sequence[tuple[Xy, Xy]]) -> float:
    """The direction half way from that of the first line to that of the last, followed from line to line."""
    turned = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in lines]
    total = sum(math.remainder(after - before, 2.0 * math.pi) for before, after in pairwise(turned))
    return turned[0] + total / 2.0


def _is_crease(fold: Fold) -> bool:
    return abs(fold.angle) > CREASE


# -- the two edges --------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _Chain:
    """One edge of the flat from left to right; `breaks[i]` where a stretch of the outline ends."""

    points: tuple[Xy, ...]
    breaks: tuple[bool, ...]

    @property
    def length(self) -> float:
        return sum(math.dist(p, q) for p, q in pairwise(self.points))

    def turned(self) -> _Chain:
        return _Chain(self.points[::-1], self.breaks[::-1])

    def vertices(self) -> list[Vertex]:
        """Without the last point; curved stretches as arcs."""
        found: list[Vertex] = []
        first = 0
        for i in range(1, len(self.points)):
            if self.breaks[i] or i == len(self.points) - 1:
                found += arcs_through(self.points[first : i + 1])
                first = i
        return found

    def trimmed(self, seam: tuple[Xy, Xy], by: float) -> _Chain:
        """Without what lies within `by` mm of the seam, which ends the chain at the right."""
        off = [_distance(p, seam) for p in self.points]
        last = next((i for i in range(len(off) - 1, -1, -1) if off[i] > by), None)
        if last is None or last == len(off) - 1:
            raise OutlineError(sentence("the seam takes ", mm(by, 3), ", more than there is"))
        share = (off[last] - by) / (off[last] - off[last + 1])
        end = _between(self.points[last], self.points[last + 1], share)
        return _Chain((*self.points[: last + 1], end), (*self.breaks[: last + 1], True))


def _between(p: Xy, q: Xy, share: float) -> Xy:
    return p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share


def _distance(p: Xy, line: tuple[Xy, Xy]) -> float:
    (ax, ay), (bx, by) = line
    return abs((p[0] - ax) * (by - ay) - (p[1] - ay) * (bx - ax)) / math.dist(*line)


def _chain(band: Band, laid: Unfolded, top: bool) -> _Chain:
    """One edge, corner by corner; where sheet is left out at a crease its two sides are led together."""
    ring = band.top if top else band.bottom
    count = len(ring.flat)
    base = len(band.bottom.flat) + 1 if top else 0
    owners: dict[int, int] = {}
    for t, ((i, j), (_, m)) in enumerate(pairwise(band.rulings)):
        if (m > j) == top:
            owners[j if top else i] = t
    spans = [(laid.at(owners[i], base + i), laid.at(owners[i], base + i + 1)) for i in range(count)]
    points, breaks = [spans[0][0]], [True]
    for i in range(1, count):
        points.append(laid.led_together(spans[i - 1], spans[i]))
        # Where sheet was taken out the edge has a corner of its own, however smooth the outline is there.
        breaks.append(ring.ends[i] or math.dist(spans[i - 1][1], spans[i][0]) > 1e-7)
    return _Chain((*points, spans[-1][1]), (*breaks, True))


def _lapped(chains: list[_Chain], lap: float) -> list[_Chain]:
    """Both edges carried on past the right-hand end by what begins at the left one, up to `lap` mm from the seam."""
    left = (chains[0].points[0], chains[1].points[0])
    right = (chains[0].points[-1], chains[1].points[-1])
    turn = math.atan2(right[1][1] - right[0][1], right[1][0] - right[0][0])
    turn -= math.atan2(left[1][1] - left[0][1], left[1][0] - left[0][0])
    c, s = math.cos(turn), math.sin(turn)

    def carried(p: Xy) -> Xy:
        x, y = p[0] - left[0][0], p[1] - left[0][1]
        return right[0][0] + x * c - y * s, right[0][1] + x * s + y * c

    longer = []
    for chain in chains:
        off = [_distance(p, left) for p in chain.points]
        last = next((i for i in range(1, len(off)) if off[i] >= lap), None)
        if last is None:
            raise OutlineError(sentence("a lap of ", mm(lap, 3), " is wider than the sheet"))
        share = (lap - off[last - 1]) / (off[last] - off[last - 1])
        more = [*chain.points[1:last], _between(chain.points[last - 1], chain.points[last], share)]
        breaks = (*chain.breaks[1:last], True)
        longer.append(_Chain((*chain.points, *(carried(p) for p in more)), (*chain.breaks, *breaks)))
    return longer


# -- bends ----------------------------------------------------------------------
def _bends(band: Band, laid: Unfolded, folds: Sequence[Fold], strikes: int) -> list[BandBend]:
    """Creases as they are; in every rounded part as many evenly turned bends as its turn asks for."""
    head = len(band.bottom.flat) + 1
    found: list[BandBend] = []
    run: list[Fold] = []
    part = 0

    def bend(fold: Fold, angle: float, crease: bool) -> BandBend:
        start, end = laid.middle(fold)
        return BandBend(start, end, angle, crease, part, (fold.side[0], fold.side[1] - head))

    def struck() -> None:
        nonlocal part
        total = sum(fold.angle for fold in run)
        if abs(total) > CREASE:
            part += 1
            count = max(1, round(strikes * abs(total) / (math.pi / 2.0)))
            turned, wanted = 0.0, 0
            for fold in run:
                turned += fold.angle
                while wanted < count and abs(turned) >= abs(total) * (wanted + 0.5) / count:
                    found.append(bend(fold, total / count, False))
                    wanted += 1
        run.clear()

    flat = _stand_on_straight(band)
    for fold in folds:
        if flat[fold.first]:
            struck()
        if _is_crease(fold):
            struck()
            part += 1
            found.append(bend(fold, fold.angle, True))
        else:
            run.append(fold)
    struck()
    return found


def _stand_on_straight(band: Band) -> list[bool]:
    """Of every triangle whether it stands on a straight stretch of an outline: a flat part of the sheet."""
    steps = pairwise(band.rulings)
    return [not (band.bottom.arcs[i] if k > i else band.top.arcs[j]) for (i, j), (k, _) in steps]
