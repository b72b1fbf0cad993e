"""What there is to dimension on the outline of a flat part: corners, steps, fillets, chamfers, cut-outs.

Pure analysis, in millimetres of the part; drawing is done by `flat_view`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fabgen.geometry.plane.outline import Box, Circle, Edge, Loop, Outline, Xy
from fabgen.parts.shape.hole_groups import NEAR

ROUND_END = math.radians(115.0)
"""An arc that turns farther than this is a rounded end, placed by its centre, and no corner."""
SMOOTH = math.radians(1.0)
"""Edges that meet at less than this run into one another."""
FLAT_ARC = math.radians(60.0)
"""An arc that turns less than this may be a part of a freely curved line."""

ON_EDGE = 0.05
"""Ends closer to an edge than this lie on it, mm."""


# -- the outline ----------------------------------------------------------------
@dataclass(frozen=True)
class Fillet:
    """An arc between two lines it is tangent to, or any other arc of an outline.

    `middle` is the arc's middle point, `outward` the direction (rad) from there away from the centre;
    `convex` is True when the metal lies on the centre's side; `rounds_corner` when it is of the first kind."""

    radius: float
    centre: Xy
    middle: Xy
    convex: bool
    sweep: float
    rounds_corner: bool = True


@dataclass(frozen=True)
class Chamfer:
    """A corner cut at 45 degrees by `size` a side; `middle` of the cut."""

    size: float
    middle: Xy
    outward: float


@dataclass(frozen=True)
class CutOut:
    """A freely curved line that leaves a straight edge along x (`axis` 0) or y (1) and comes back to it:
    its two ends, ascending along the edge, and its point farthest from there."""

    axis: int
    ends: tuple[Xy, Xy]
    deepest: Xy


@dataclass(frozen=True)
class OutlineFeatures:
    """What an outline is made of.  `corners` are its corner points, sharp ones in place of those that
    are filleted or chamfered, centres in place of rounded ends; those of `cut_outs` are none of them."""

    corners: tuple[Xy, ...]
    fillets: tuple[Fillet, ...]
    chamfers: tuple[Chamfer, ...]
    curved: bool
    """True when some of it is a freely curved line, given by many short edges or arcs."""
    cut_outs: tuple[CutOut, ...] = ()
    virtual: tuple[tuple[Xy, Xy, Xy], ...] = ()
    """Sharp corners that are worked away between sides that are not both level or upright, and where the sides end."""
    runs: tuple[tuple[Edge, ...], ...] = ()
    """The freely curved lines, edge by edge; one that is closed where all of the outline is."""


def outline_features(outline: Loop) -> OutlineFeatures:
    if isinstance(outline, Circle):
        return OutlineFeatures((), (), (), False)
    edges = list(outline.edges())
    count = len(edges)
    short = _short_runs(outline, edges)
    chamfers: list[Chamfer] = []
    stands_for: dict[int, Xy] = {}  # the point that stands for both ends of a worked corner
    for i, here in enumerate(edges):
        if i in short:
            continue
        before, after = edges[i - 1], edges[(i + 1) % count]
        if here.is_arc:
            sharp = _sharp(before, here, after)
            if abs(here.sweep) > ROUND_END:
                sharp = here.centre if _runs_into(before, here) and _runs_into(here, after) else None
            if sharp is not None:
                stands_for[i] = sharp
        elif (cut := _chamfer(before, here, after)) is not None:
            chamfers.append(cut[0])
            stands_for[i] = cut[1]
    corners: list[Xy] = list(stands_for.values())
    for i, here in enumerate(edges):
        before_i = (i - 1) % count
        if before_i not in stands_for and i not in stands_for and not (before_i in short and i in short):
            corners.append(here.start)
    runs = _curved_runs(short, edges)
    cut_outs = [one for run in runs if (one := _cut_out(run, outline.bounds)) is not None]
    ends = {end for one in cut_outs for end in one.ends}
    corners = [p for p in corners if p not in ends]
    fillets = tuple(_fillet(e, i in stands_for) for i, e in enumerate(edges) if e.is_arc and i not in short)
    worked_away = [(sharp, edges[i].start, edges[i].end) for i, sharp in stands_for.items()]
    askew = [each for each in worked_away if not _square_corner(*each)]
    curves = tuple(map(tuple, runs)) or ((tuple(edges),) if short else ())
    worked = tuple(_unrepeated(corners))
    return OutlineFeatures(worked, fillets, tuple(chamfers), bool(short), tuple(cut_outs), tuple(askew), curves)


def _short_runs(outline: Outline, edges: Sequence[Edge]) -> set[int]:
    """Edges that belong to a freely curved line: six or more short straight ones that turn gently, or four or
    more flat arcs that run into one another."""
    x0, y0, x1, y1 = outline.bounds
    limit = 0.08 * math.hypot(x1 - x0, y1 - y0)
    short = [abs(e.sweep) < FLAT_ARC if e.is_arc else e.chord < limit for e in edges]
    if all(short):
        return set(range(len(edges)))
    found: set[int] = set()
    run: list[int] = []
    offset = short.index(False)
    for step in range(1, len(edges) + 1):
        i = (offset + step) % len(edges)
        gentle = math.radians(20.0)
        if short[i] and (not run or abs(_meeting_angle(edges[run[-1]], edges[i])) < gentle):
            run.append(i)
            continue
        if len(run) >= 6 or sum(edges[k].is_arc for k in run) >= 4:
            found.update(run)
        run = [i] if short[i] else []
    return found | _compound(edges)


def _compound(edges: Sequence[Edge]) -> set[int]:
    """Arcs that run smoothly into an arc of nearly the same radius: pieces of an ellipse or the like."""
    found: set[int] = set()
    for i, here in enumerate(edges):
        before = edges[i - 1]
        if here.bulge * before.bulge > 0.0 and _runs_into(before, here):
            ratio = max(here.radius, before.radius) / min(here.radius, before.radius)
            if 1.001 < ratio < 1.6:
                found |= {i, (i - 1) % len(edges)}
    return found


def _square_corner(sharp: Xy, start: Xy, end: Xy) -> bool:
    """Whether both sides of a worked corner are level or upright; or it is a rounded end, which has none."""
    turns = [math.atan2(p[1] - sharp[1], p[0] - sharp[0]) for p in (start, end)]
    is_corner = abs(math.sin(turns[1] - turns[0])) > 1e-6
    return not is_corner or all(abs(math.remainder(turn, math.pi / 2.0)) < math.radians(0.02) for turn in turns)


def _runs_into(a: Edge, b: Edge) -> bool:
    """Whether one edge goes on smoothly as the next."""
    return abs(_meeting_angle(a, b)) < SMOOTH


def _meeting_angle(a: Edge, b: Edge) -> float:
    return math.remainder(b.heading_in - a.heading_out, 2.0 * math.pi)


def _fillet(edge: Edge, rounds_corner: bool) -> Fillet:
    cx, cy = edge.centre
    turn = math.atan2(edge.start[1] - cy, edge.start[0] - cx) + edge.sweep / 2.0
    middle = (cx + edge.radius * math.cos(turn), cy + edge.radius * math.sin(turn))
    return Fillet(edge.radius, (cx, cy), middle, edge.bulge > 0.0, abs(edge.sweep), rounds_corner)


def _sharp(before: Edge, arc: Edge, after: Edge) -> Xy | None:
    """Where the lines either side of a tangent arc would meet; None when it is no fillet."""
    if before.is_arc or after.is_arc:
        return None
    (cx, cy), r = arc.centre, arc.radius
    for line_edge, end in ((before, arc.start), (after, arc.end)):
        u = (
            (line_edge.end[0] - line_edge.start[0]) / line_edge.chord,
            (line_edge.end[1] - line_edge.start[1]) / line_edge.chord,
        )
        if abs(u[0] * (end[0] - cx) + u[1] * (end[1] - cy)) > 0.02 * r:
            return None
    return _meet(before, after)


def _chamfer(before: Edge, here: Edge, after: Edge) -> tuple[Chamfer, Xy] | None:
    if before.is_arc or after.is_arc or here.chord > 0.7 * min(before.chord, after.chord):
        return None
    turns = (abs(_meeting_angle(before, here)), abs(_meeting_angle(here, after)))
    if any(abs(turn - math.pi / 4.0) > 0.01 for turn in turns):
        return None
    sharp = _meet(before, after)
    if sharp is None:
        return None
    middle = ((here.start[0] + here.end[0]) / 2.0, (here.start[1] + here.end[1]) / 2.0)
    outward = math.atan2(sharp[1] - middle[1], sharp[0] - middle[0])
    return Chamfer(here.chord / math.sqrt(2.0), middle, outward), sharp


def _meet(a: Edge, b: Edge) -> Xy | None:
    (x1, y1), (x2, y2) = a.start, a.end
    (x3, y3), (x4, y4) = b.start, b.end
    d = (x1 - x2) * (y3 - y4) - (y1 - y2) * (x3 - x4)
    if abs(d) < 1e-9:
        return None
    p, q = x1 * y2 - y1 * x2, x3 * y4 - y3 * x4
    return ((p * (x3 - x4) - (x1 - x2) * q) / d, (p * (y3 - y4) - (y1 - y2) * q) / d)


def _unrepeated(points: Iterable[Xy]) -> list[Xy]:
    seen: dict[tuple[int, int], Xy] = {}
    for p in points:
        seen.setdefault((round(p[0] / NEAR), round(p[1] / NEAR)), p)
    return list(seen.values())


# -- cut-outs that come to an edge along a freely curved line ----------------------
def _curved_runs(short: set[int], edges: Sequence[Edge]) -> list[list[Edge]]:
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


def _cut_out(run: Sequence[Edge], box: Box) -> CutOut | None:
    """The cut-out that a curved line makes in one of the outermost edges of an outline with bounds `box`."""
    a, b = run[0].start, run[-1].end
    for axis, across in ((0, 1), (1, 0)):
        low, high = (abs(a[across] - edge) < ON_EDGE and abs(b[across] - edge) < ON_EDGE for edge in box[across::2])
        if not (low or high):
            continue
        points = [p for edge in run for p in _outermost(edge)]
        deepest = (max if low else min)(points, key=lambda p: p[across])
        if abs(deepest[across] - a[across]) > ON_EDGE and abs(b[axis] - a[axis]) > ON_EDGE:
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
