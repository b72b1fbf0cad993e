"""Transitions laid flat: from one outline to another, e.g. square to round."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from fabgen.geometry.plane.outline import Circle, Loop, Outline, OutlineError, Xy
from fabgen.geometry.plane.regions import crossing
from fabgen.geometry.sheet.band_flat import BandBend, BandFlat, band_flat
from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.sheet.folds import Bend
from fabgen.geometry.sheet.outline_rings import ring_of
from fabgen.geometry.sheet.transition import Band, band
from fabgen.geometry.sheet.unfolding import normals
from fabgen.geometry.space.frame import Frame
from fabgen.job.tables.cover_tables import EndOutline
from fabgen.parts.cover.cover_request import STEEPEST, CoverDevelopment, CoverRequest
from fabgen.parts.cover.rolled_covers import seam_words
from fabgen.parts.piece import Fact, FlatBend, fact
from fabgen.parts.sheet.bend_data import brake_facts
from fabgen.parts.sheet.request import outline_of
from fabgen.shop.bending.bends import KFactor
from fabgen.wording.figures import figure
from fabgen.wording.sentence import angles, degrees, mm, number

USUAL_BENDS = 6
COARSE = 0.01
_FACETS = 96


def transition(request: CoverRequest) -> CoverDevelopment:
    """True-length triangles on the middle of the sheet, drawn from outside, the bottom edge below."""
    cover = request.given
    loops = [_end(request, "bottom", cover.bottom), _end(request, "top", cover.top)]
    given = _band(request, loops[0], loops[1].turned(cover.turn))
    half = cover.thickness / 2.0
    shift = {"outside": -half, "inside": half, "middle": 0.0}[cover.measured]
    k, radius, t = request.k, request.radius, cover.thickness

    def deduction(angle: float) -> float:
        if angle > STEEPEST:
            raise OutlineError(f"the sheet would be folded by {math.degrees(angle):.0f} degrees")
        return request.deduction(angle)

    strikes = USUAL_BENDS if cover.bends is None else cover.bends
    try:
        flat = band_flat(given.middle(shift), strikes, deduction, cover.seam, cover.seam_gap)
    except OutlineError as error:
        key = "seam" if "lap" in error.what or "seam" in error.what else "height"
        raise request.unfit(key, error.said, "a lap and sizes that leave a sheet which can be folded") from error
    outline, moved = _level(flat)
    if crossing(outline) is not None:
        what = "laid flat from this seam the sheet laps over itself"
        raise request.unfit("seam_at", what, "a seam elsewhere, seam_at = [x, y], or a narrower lap")
    bends = tuple(_bend(bend, moved, t, radius, k) for bend in flat.bends)
    line = flat.lap_line
    return CoverDevelopment(
        outline,
        sizes=(
            ("height", cover.height or 0.0),
            ("bottom edge, flat", flat.bottom),
            ("top edge, flat", flat.top),
            ("seam", flat.seam),
        ),
        facts=tuple(_facts(request, flat, bends, loops, k, strikes)),
        runs=((moved(line[0]), moved(line[1])),) if line else (),
        bends=bends,
        surface=_facets(given, shift, half, {bend.ruling for bend in flat.bends if bend.crease}),
    )


def _end(request: CoverRequest, key: str, given: float | EndOutline | None) -> Loop:
    """The outline of one end, rectangles about the origin."""
    assert given is not None
    if isinstance(given, float):
        return Circle(0.0, 0.0, given)
    outline = outline_of(request, given, key)
    if given.rectangle is not None:
        return outline.moved(-given.rectangle[0] / 2.0, -given.rectangle[1] / 2.0)
    return outline


def _band(request: CoverRequest, bottom: Loop, top: Loop) -> Band:
    cover = request.given
    x, y = cover.shift or (0.0, 0.0)
    c, s = math.cos(cover.tilt), math.sin(cover.tilt)
    low = Frame(np.zeros(3), *np.eye(3))
    high = Frame(
        np.array([x, y, cover.height or 0.0]),
        np.array([c, 0.0, s]),
        np.array([0.0, 1.0, 0.0]),
        np.array([-s, 0.0, c]),
    )
    seam = (cover.seam_at[0], cover.seam_at[1]) if cover.seam_at else _lowest(bottom)
    rings = [ring_of(bottom, low), ring_of(top, high)]
    if not all(ring.is_convex for ring in rings):
        # The search for the least bent sheet looks at every pair of points: fewer of them will do.
        rings = [ring_of(bottom, low, COARSE), ring_of(top, high, COARSE)]
    with request.refusing("tilt" if cover.tilt else "height", "a top that lies wholly above the bottom"):
        return band(rings[0], rings[1], seam)


def _lowest(loop: Loop) -> Xy:
    """The middle of the lowest side, a circle's lowest point."""
    if isinstance(loop, Circle):
        return loop.x, loop.y - loop.diameter / 2.0
    middles = [_middle_of(edge.start, edge.end, edge.bulge) for edge in loop.counter_clockwise().edges()]
    return min(middles, key=lambda p: (round(p[1], 6), round(abs(p[0]), 6)))


def _middle_of(start: Xy, end: Xy, bulge: float) -> Xy:
    """The middle point of an edge, arcs bulging to their right."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    return (start[0] + end[0] + bulge * dy) / 2.0, (start[1] + end[1] - bulge * dx) / 2.0


# -- the flat -------------------------------------------------------------------
class _Turned:
    """Points of the flat turned so that the seam's ends stand alike left and right, in the corner of the sheet."""

    def __init__(self, turn: float, dx: float, dy: float) -> None:
        self._cos, self._sin, self._dx, self._dy = math.cos(turn), math.sin(turn), dx, dy

    def __call__(self, p: Xy) -> Xy:
        x, y = p
        return x * self._cos - y * self._sin + self._dx, x * self._sin + y * self._cos + self._dy


def _level(flat: BandFlat) -> tuple[Outline, _Turned]:
    """The outline with the middle of the sheet upright, and how points follow it there."""
    turn = math.pi / 2.0 - flat.heading
    outline = flat.outline.turned(turn)
    left, low = outline.bounds[:2]
    return outline.moved(-left, -low), _Turned(turn, -left, -low)


def _bend(bend: BandBend, moved: _Turned, thickness: float, radius: float, k: KFactor) -> FlatBend:
    # A rounded part is bent a little at a time and keeps the length of the sheet's middle.
    factor = k.value if bend.crease else 0.5
    name = f"crease {bend.part}" if bend.crease else f"round {bend.part}"
    made = Bend(thickness, radius, abs(bend.angle), factor)
    return FlatBend(moved(bend.start), moved(bend.end), made, bend.angle < 0.0, name)


# -- words ----------------------------------------------------------------------
def _facts(
    request: CoverRequest, flat: BandFlat, bends: Sequence[FlatBend], loops: Sequence[Loop], k: KFactor, strikes: int
) -> list[Fact]:
    cover = request.given
    development = fact(
        "development",
        "development",
        "true-length triangles on the middle of the sheet; bottom edge ",
        mm(flat.bottom, 2).named("bottom edge"),
        ", top edge ",
        mm(flat.top, 2).named("top edge"),
        ", seam ",
        mm(flat.seam, 2).named("seam"),
        seam_words(cover),
        "; drawn from outside",
    )
    facts = [development, fact("sizes", "sizes", f"outlines are those of the sheet's {cover.measured}")]
    rounds = [bend for bend in flat.bends if not bend.crease]
    creases = [bend for bend in flat.bends if bend.crease]
    if rounds:
        parts = len({bend.part for bend in rounds})
        each = max(abs(bend.angle) for bend in rounds)
        radius = max((_largest_arc(loop) for loop in loops), default=0.0)
        off = radius * (1.0 - math.cos(math.pi / 4.0 / strikes))
        facts.append(
            fact(
                "rounded",
                "rounded",
                f"{parts} rounded part{'s' if parts > 1 else ''}, ",
                number(len(rounds), 0).named("bends"),
                " bends of up to ",
                degrees(each).named("each"),
                ", or rolled; between bends the round edge stands up to ",
                mm(off, 2).named("inside the round"),
                " in, more bends lessen that",
            )
        )
    if creases:
        # Angles that are written alike are one.
        unlike = {figure(math.degrees(abs(bend.angle))): abs(bend.angle) for bend in creases}
        few = [unlike[name] for name in sorted(unlike, key=float)[:4]]
        facts.append(
            fact(
                "creases",
                "creases",
                number(len(creases), 0).named("count"),
                " of ",
                angles(few, " and ").named("angle"),
                ", inside radius ",
                mm(request.radius, 2).named("inside radius"),
                ", K ",
                number(k.value, 3).named("K"),
                " from ",
                k.source,
                "; the flat is shorter there by what the bend saves",
            )
        )
    return facts + brake_facts(request, bends)


def _largest_arc(loop: Loop) -> float:
    if isinstance(loop, Circle):
        return loop.diameter / 2.0
    return max((edge.radius for edge in loop.edges() if edge.is_arc), default=0.0)


# -- the made shape -------------------------------------------------------------
def _facets(given: Band, shift: float, half: float, creases: set[tuple[int, int]]) -> tuple[Facet, ...]:
    """Both skins and the edges of the sheet, rounded parts in flats small enough for a picture."""
    outer, inner = given.middle(shift + half).points, given.middle(shift - half).points
    head = len(given.bottom.flat) + 1
    step = max(1, len(given.rulings) // _FACETS)
    last = len(given.rulings) - 1
    kept = [
        ruling
        for n, ruling in enumerate(given.rulings)
        if n in (0, last) or n % step == 0 or ruling in creases or _bounds_flat(given, n)
    ]
    facets: list[Facet] = []
    turns = (ruling for n, ruling in enumerate(given.rulings) if _bounds_flat(given, n) and not _is_level(given, n))
    seen = creases | set(turns)
    for n, ((i, j), (p, q)) in enumerate(pairwise(kept)):
        right, left = (p, q) in seen or n == len(kept) - 2, (i, j) in seen or n == 0
        # Counter-clockwise from outside: each corner and whether the edge from it on is drawn.
        ring = [(p, right), (head + j, left)]
        if i != p:
            ring.insert(0, (i, True))
        if q != j:
            ring.insert(-1, (head + q, True))
        index, flags = np.array([c for c, _ in ring]), tuple(drawn for _, drawn in ring)
        facets.append(Facet("top", "", outer[index], flags))
        facets.append(Facet("bottom", "", inner[index[::-1]], flags[-2::-1] + flags[-1:]))
        for a, b in ((i, p), (head + q, head + j)):
            if a != b:
                rim = np.array([outer[b], outer[a], inner[a], inner[b]])
                facets.append(Facet("wall", "", rim, (True, False, True, False)))
    for (i, j), way in ((kept[0], 1), (kept[-1], -1)):
        ends = np.array([outer[i], outer[head + j], inner[head + j], inner[i]])
        facets.append(Facet("wall", "", ends[::way], (True,) * 4))
    return tuple(facets)


def _bounds_flat(given: Band, n: int) -> bool:
    """Whether ruling n is a side of a flat triangle, one that stands on a straight stretch."""
    for m in (n - 1, n):
        if 0 <= m < len(given.rulings) - 1:
            (i, j), (p, _) = given.rulings[m], given.rulings[m + 1]
            if not (given.bottom.arcs[i] if p > i else given.top.arcs[j]):
                return True
    return False


def _is_level(given: Band, n: int) -> bool:
    """Whether the sheet goes on in one plane across ruling n."""
    if not 0 < n < len(given.rulings) - 1:
        return False
    before, after = normals(given.points, given.triangles[n - 1 : n + 1])
    return float(before @ after) > 1.0 - 1e-7
