"""Points of a flat that its view names and a table gives: corners too many to dimension, curves to cut by hand, etched
lines."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from fabgen.documents.drawing.flat.outline_features import OutlineFeatures
from fabgen.documents.drawing.sheet.views import TableText
from fabgen.geometry.plane.outline import Circle, Edge, Loop, Outline, Xy
from fabgen.parts.piece import FlatPart, Mark
from fabgen.parts.shape.hole_groups import NEAR, as_slot, distinct
from fabgen.wording.figures import Figures

OFF_CHORD = 0.5
"""Points of a curve stand so near to one another that a straight line between two is off it by no more, mm …"""
COUNTS = (5, 7, 9, 11, 13, 17, 21, 25)
"""… or a curve is parted into the most of these; odd, so that none lies at the crown of an even curve."""
EDGE_ROOM = 1.6
"""An etched line that ends this near to the edge of the metal runs right across, mm."""
MANY_STEPS = 12
"""More positions of corners than this between the edges, along both axes, go into a table."""
ACROSS = 3
"""Points stand side by side in so many columns of a table."""


@dataclass(frozen=True, slots=True)
class NamedPoint:
    """A point as its table names it, e.g. 'a3'."""

    name: str
    at: Xy


@dataclass(frozen=True)
class NamedCurve:
    """A freely curved line: the points on it that its table gives, in order."""

    points: tuple[NamedPoint, ...]


def tabled_corners(part: FlatPart, features: OutlineFeatures) -> list[NamedPoint]:
    """The corners of an outline that has too many to dimension each, against the clock; else none."""
    if part.surface:
        return []
    if part.rolled is not None and features.fillets:
        # A cone's sector less the gap at its seam: its edges do not run to the apex.
        ends = [end for run in features.runs for end in (run[0].start, run[-1].end)]
        loose = [p for p in features.corners if all(math.dist(p, end) > NEAR for end in ends)]
        return [NamedPoint(f"p{i}", p) for i, p in enumerate(loose, 1)]
    bounds = part.outline.bounds
    inside = [
        [v for v in distinct(p[axis] for p in features.corners) if bounds[axis] + NEAR < v < bounds[axis + 2] - NEAR]
        for axis in (0, 1)
    ]
    if sum(map(len, inside)) <= MANY_STEPS:
        return []
    return [NamedPoint(f"p{i}", p) for i, p in enumerate(features.corners, 1)]


def named_curves(part: FlatPart, features: OutlineFeatures) -> list[NamedCurve]:
    """The curves of a flat: those of its outline, then holes that are neither round nor slots nor have corners.

    Between corners that the view dimensions only what lies between is named; of a curve that is closed, or that leaves
    an edge whose corners are not dimensioned, all.
    """
    sector = part.rolled is not None and bool(features.fillets)
    found: list[NamedCurve] = []
    for run in (*features.runs, *_curved_holes(part)):
        closed = math.dist(run[0].start, run[-1].end) < NEAR
        points = _spaced(run, closed)
        letter = "abcdfghjknqrstuvwxyz"[len(found) % 20]
        kept = points if closed or sector else points[1:-1]
        found.append(NamedCurve(tuple(NamedPoint(f"{letter}{i}", p) for i, p in enumerate(kept, 1))))
    return found


def _curved_holes(part: FlatPart) -> Iterator[tuple[Edge, ...]]:
    for hole in part.holes:
        if is_curved(hole.shape):
            assert isinstance(hole.shape, Outline)
            yield tuple(hole.shape.edges())


def is_curved(shape: Loop) -> bool:
    """Whether a hole is a freely curved line, of many edges."""
    return not isinstance(shape, Circle) and as_slot(shape) is None and len(shape.vertices) > 8


def _spaced(run: Sequence[Edge], closed: bool) -> list[Xy]:
    """Points along a curve, evenly spaced, both ends among them; of a closed one the first only once."""
    chain = [run[0].start]
    for edge in run:
        chain += edge.points(0.01)[1:]
        if math.dist(chain[-1], edge.end) > 1e-9:
            chain.append(edge.end)
    along = [0.0]
    for a, b in pairwise(chain):
        along.append(along[-1] + math.dist(a, b))
    for count in COUNTS:
        stops = [along[-1] * i / count for i in range(count + 1)]
        points = [_at(chain, along, stop) for stop in stops]
        if max(_off(chain, along, pair) for pair in pairwise(stops)) <= OFF_CHORD:
            break
    return points[:-1] if closed else points


def _at(chain: Sequence[Xy], along: Sequence[float], stop: float) -> Xy:
    i = next((i for i in range(1, len(along)) if along[i] >= stop - 1e-9), len(along) - 1)
    share = (stop - along[i - 1]) / max(along[i] - along[i - 1], 1e-12)
    (x0, y0), (x1, y1) = chain[i - 1], chain[i]
    return (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)


def _off(chain: Sequence[Xy], along: Sequence[float], stops: tuple[float, float]) -> float:
    """How far the curve leaves the straight line between two places on it, mm."""
    a, b = (_at(chain, along, stop) for stop in stops)
    between = [p for p, s in zip(chain, along, strict=True) if stops[0] < s < stops[1]]
    return max((_from_line(p, a, b) for p in between), default=0.0)


def points_table(title: str, points: Sequence[NamedPoint], origin: Xy, figures: Figures) -> TableText:
    """Name, x and y of each, in a few columns side by side, each read from top to bottom."""
    across = ACROSS if len(points) > 2 * ACROSS else 1
    rows = math.ceil(len(points) / across)
    cells = [(p.name, figures.size(p.at[0] - origin[0]), figures.size(p.at[1] - origin[1])) for p in points]
    cells += [("", "", "")] * (rows * across - len(cells))
    lines = tuple(tuple(cell for c in range(across) for cell in cells[c * rows + r]) for r in range(rows))
    return TableText(title, ("point", "x", "y") * across, lines)


# -- etched lines -----------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class EtchedPoint:
    """A point of an etched line, and what it is of it: 'from', 'to'."""

    point: NamedPoint
    what: str


@dataclass(frozen=True)
class Etched:
    """Etched lines of a flat, without letters, ticks of bends and crosses of holes.

    `square`: axis that the position is measured along, and ends, of those that run right across the metal, level or
    upright; `named`: points of the others.
    """

    square: tuple[tuple[int, tuple[Xy, Xy]], ...]
    named: tuple[EtchedPoint, ...]


def etched_lines(part: FlatPart, figures: Figures) -> Etched:
    """What of a flat's marks is dimensioned."""
    square: list[tuple[int, tuple[Xy, Xy]]] = []
    named: list[EtchedPoint] = []
    for mark in _whole_lines(part):
        if (axis := _runs_across(part, mark)) is not None:
            square.append((axis, (mark.line[0], mark.line[-1])))
            continue
        name = f"m{len({each.point.name for each in named}) + 1}"
        if isinstance(mark.curve, Circle):
            at = (mark.curve.x, mark.curve.y)
            named.append(EtchedPoint(NamedPoint(name, at), f"middle of Ø{figures.size(mark.curve.diameter)}"))
        elif mark.curve is None:
            ends = (mark.line[0], mark.line[-1])
            named += [EtchedPoint(NamedPoint(name, p), what) for p, what in zip(ends, ("from", "to"), strict=True)]
        else:
            spaced = _spaced(tuple(mark.curve.edges()), True)
            named += [EtchedPoint(NamedPoint(name, p), "through") for p in spaced]
    return Etched(tuple(square), tuple(named))


def _whole_lines(part: FlatPart) -> Iterator[Mark]:
    """The etched lines and curves, pieces of one line as one, without the crosses that name a circle's middle."""
    middles = [(m.curve.x, m.curve.y) for m in part.marked if isinstance(m.curve, Circle)]
    whole: list[Mark] = []
    for mark in part.marked:
        ends = mark.line
        if mark.text or (len(ends) == 2 and any(math.dist(_middle(*ends), at) < NEAR for at in middles)):
            continue
        before = whole[-1].line if whole else ()
        if len(before) == len(ends) == 2 and all(_from_line(p, *before) < NEAR for p in ends):
            whole[-1] = replace(mark, line=(before[0], ends[1]))
        else:
            whole.append(mark)
    yield from whole


def _middle(a: Xy, b: Xy) -> Xy:
    return (a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0


def _from_line(p: Xy, a: Xy, b: Xy) -> float:
    """How far a point lies from the line through two, mm."""
    return abs((p[0] - a[0]) * (b[1] - a[1]) - (p[1] - a[1]) * (b[0] - a[0])) / max(math.dist(a, b), 1e-9)


def _runs_across(part: FlatPart, mark: Mark) -> int | None:
    """The axis that the position of an etched line is measured along, if it is straight and ends near the metal's
    edge at both ends."""
    if mark.curve is not None or len(mark.line) < 2:
        return None
    a, b = mark.line[0], mark.line[-1]
    axis = next((i for i in (0, 1) if len(distinct(p[i] for p in mark.line)) == 1), None)
    if axis is None:
        return None
    outline = part.outline.points(0.05)
    edges = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    near = (min(_from_edge(p, *edge) for edge in edges) for p in (a, b))
    return axis if all(off < EDGE_ROOM for off in near) else None


def _from_edge(p: Xy, a: Sequence[float], b: Sequence[float]) -> float:
    dx, dy = float(b[0] - a[0]), float(b[1] - a[1])
    share = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / max(dx * dx + dy * dy, 1e-12)
    share = min(1.0, max(0.0, share))
    return math.hypot(p[0] - a[0] - share * dx, p[1] - a[1] - share * dy)


def etched_table(etched: Etched, origin: Xy, figures: Figures) -> TableText | None:
    """The etched lines that run askew or end within the metal; None where there are none."""
    if not etched.named:
        return None
    rows = []
    for name, points in groupby(etched.named, key=lambda each: each.point.name):
        told = [f"{each.what} {_place(each.point.at, origin, figures)}" for each in points]
        rows.append((name, " ".join(told)))
    return TableText("Etched lines (x, y from lower left)", ("line", "runs"), tuple(rows))


def _place(at: Xy, origin: Xy, figures: Figures) -> str:
    return ", ".join(figures.size(v - low) for v, low in zip(at, origin, strict=True))
