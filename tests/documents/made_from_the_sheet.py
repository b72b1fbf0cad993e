"""A second person's way to a flat: from the dimensions on its sheet alone.

What he sees is a picture that is not to scale: which edges are straight, level or upright, which arcs run smoothly
into what, what stands in line with what.  The sizes he has from the figures as printed.  Unknown are all corners,
centres and radii; every figure and everything he sees is one equation.  Where the equations have full rank, everything
follows; and where solving them, from a distorted picture, comes to the flat within the rounding, it follows rightly.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fabgen.documents.drawing.flat.drawn_sizes import DrawnSize
from fabgen.documents.drawing.flat.flat_view import draw_flat
from fabgen.documents.drawing.flat.outline_features import outline_features
from fabgen.documents.drawing.flat.point_tables import etched_lines
from fabgen.documents.drawing.flat.rolled_view import development_rows, draw_sector_sizes
from fabgen.documents.drawing.sheet.views import TableText
from fabgen.documents.drawing.tables_of_a_part import bend_line_table, flat_tables
from fabgen.geometry.plane.outline import Circle, Edge, Xy
from fabgen.parts.piece import FlatPart
from fabgen.parts.shape.hole_groups import as_slot, centre_of, hole_groups
from fabgen.wording.figures import MILLIMETRES

Array = NDArray[np.float64]
Value = Callable[[Array], float]
IN_LINE = 0.02
"""What is drawn no farther apart than this stands in line, mm."""
AT = 0.06
"""A dimension's extension line leads to what lies within this of its place, mm."""
SQUARE = 1e-4
CORNER = math.radians(115.0)
"""An arc that turns farther has no corner to be seen."""


@dataclass(frozen=True)
class Feature:
    """Something that dimensions lead to: its place in the picture, and x and y of it from the unknowns."""

    at: Xy
    x: Value | None
    y: Value | None

    def along(self, axis: int) -> Value | None:
        return (self.x, self.y)[axis]


@dataclass
class Equation:
    what: str
    off: Value
    size: DrawnSize | None = None


@dataclass
class Made:
    """What came out."""

    free: int
    """Unknowns that nothing fixes."""
    off: float
    """The farthest that a corner, centre or radius comes out from where the flat has it, mm."""
    doubled: list[str] = field(default_factory=list)
    """Sizes that could be left out."""
    unread: list[str] = field(default_factory=list)
    """Sizes that lead to nothing."""
    wrong: list[str] = field(default_factory=list)
    """Holes whose printed size is not theirs, curves that their points do not follow."""


class Reader:
    def __init__(self, part: FlatPart, sizes: Sequence[DrawnSize], tables: Sequence[TableText]) -> None:
        self.part, self.sizes = part, sizes
        self.tables = tables
        self.true: list[float] = []
        self.features: list[Feature] = []
        self.equations: list[Equation] = []
        self.made = Made(0, 0.0)
        self.arcs: list[tuple[Xy, int]] = []  # middle, index of its radius
        self.curve_points: list[Xy] = []
        self.cut: list[tuple[Xy, tuple[int, int], Feature]] = []  # middle and ends of a cut corner, and where it was
        self.alike: dict[str, list[int]] = {}
        self.centre_of: dict[int, int] = {}
        self._outline()
        self._holes()
        self._lines()
        self._in_line()
        self._datum()
        for size in sizes:
            self._read(size)
        for radii in self.alike.values():
            for one, other in pairwise(radii):
                self.require("alike", lambda q, a=one, b=other: q[a] - q[b])
        self._sector()
        self._bend_table()

    # -- the picture ------------------------------------------------------
    def unknown(self, *values: float) -> int:
        self.true += values
        return len(self.true) - len(values)

    def point(self, at: Xy, start: int) -> Feature:
        feature = Feature(at, lambda q: q[start], lambda q: q[start + 1])
        self.features.append(feature)
        return feature

    def require(self, what: str, off: Value, size: DrawnSize | None = None) -> None:
        self.equations.append(Equation(what, off, size))

    def _outline(self) -> None:
        outline = self.part.outline
        if isinstance(outline, Circle):
            self.features.append(Feature((outline.x, outline.y), lambda q: outline.x, lambda q: outline.y))
            return
        edges = list(outline.edges())
        seen = outline_features(outline)
        free = {id_of(edge) for run in seen.runs for edge in run}
        straight = [edge for edge in edges if id_of(edge) not in free]
        smooth_ends = {
            (round(a.end[0], 6), round(a.end[1], 6))
            for a, b in zip(edges, [*edges[1:], edges[0]], strict=True)
            if is_smooth(a, b) and (a.is_arc or b.is_arc) and not {id_of(a), id_of(b)} & free
        }
        places: dict[Xy, int] = {}
        for edge in straight:
            for end in (edge.start, edge.end):
                key = (round(end[0], 6), round(end[1], 6))
                if key not in places:
                    places[key] = self.unknown(*end)
                    # Where a line runs into an arc there is nothing to be seen.
                    if key not in smooth_ends:
                        self.point(end, places[key])

        def at(p: Xy) -> int:
            return places[(round(p[0], 6), round(p[1], 6))]

        centres: dict[int, int] = {}
        sector = self.part.rolled is not None and self.part.rolled.sector is not None
        shared: int | None = None
        for i, edge in enumerate(edges):
            if id_of(edge) in free:
                continue
            a, b = at(edge.start), at(edge.end)
            if not edge.is_arc:
                for axis in (0, 1):
                    if abs(edge.start[axis] - edge.end[axis]) < SQUARE:
                        self.require("square", lambda q, a=a, b=b, k=axis: q[a + k] - q[b + k])
                continue
            if sector and shared is not None:
                c = self.unknown(edge.radius) - 2  # concentric arcs of one apex
                r, c = c + 2, shared
            else:
                c = self.unknown(*edge.centre, edge.radius)
                r = c + 2
                if sector:
                    shared = c
            centres[i] = c
            self.centre_of[r] = c
            smooth = is_smooth(edges[i - 1], edge) and is_smooth(edge, edges[(i + 1) % len(edges)])
            if smooth and abs(edge.sweep) > CORNER:  # the centre of a rounded end is seen; no other has a mark
                self.point(edge.centre, c)
            self.arcs.append((middle_of(edge), r))
            for v in (a, b):
                self.require("on arc", lambda q, v=v, c=c, r=r: math.hypot(q[v] - q[c], q[v + 1] - q[c + 1]) - q[r])
            self._extremes(edge, c, r)
        count = len(edges)
        for i, edge in enumerate(edges):
            following = edges[(i + 1) % count]
            if {id_of(edge), id_of(following)} & free:
                continue
            smooth = is_smooth(edge, following)
            v = at(edge.end)
            if smooth and edge.is_arc != following.is_arc:
                c = centres[i if edge.is_arc else (i + 1) % count]
                other = at(edge.start if not edge.is_arc else following.end)
                self.require("tangent", lambda q, v=v, c=c, o=other: _dot_unit(q, v, c, o))
            elif smooth and edge.is_arc and following.is_arc:
                c, d = centres[i], centres[(i + 1) % count]
                if c != d:
                    self.require("tangent", lambda q, v=v, c=c, d=d: _cross_unit(q, v, c, d))
        self._virtual(edges, free, at)

    def _extremes(self, edge: Edge, c: int, r: int) -> None:
        """Where an arc is outermost, it is dimensioned to."""
        for way, (dx, dy) in enumerate(((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))):
            p = (edge.centre[0] + edge.radius * dx, edge.centre[1] + edge.radius * dy)
            if (
                math.dist(p, middle_of(edge))
                > 2.0 * edge.radius * math.sin(min(abs(edge.sweep), 2 * math.pi) / 4.0) + 1e-3
            ):
                continue
            if way % 2 == 0:
                self.features.append(Feature(p, lambda q, c=c, r=r, s=dx: q[c] + s * q[r], None))
            else:
                self.features.append(Feature(p, None, lambda q, c=c, r=r, s=dy: q[c + 1] + s * q[r]))

    def _virtual(self, edges: Sequence[Edge], free: set[tuple[Xy, Xy]], at: Callable[[Xy], int]) -> None:
        """Corners that are worked away: where the lines beside a fillet or chamfer would meet."""
        cuts = outline_features(self.part.outline).chamfers
        for i, edge in enumerate(edges):
            before, after = edges[i - 1], edges[(i + 1) % len(edges)]
            is_cut = any(math.dist(middle_of(edge), each.middle) < 1e-6 for each in cuts)
            if before.is_arc or after.is_arc or {id_of(e) for e in (before, edge, after)} & free:
                continue
            if not (is_cut or 0.0 < abs(edge.sweep) < CORNER):
                continue
            lines = (at(before.start), at(before.end), at(after.start), at(after.end))
            true = np.array(self.true)
            met = _meet(true, *lines)
            if not all(map(math.isfinite, met)) or math.dist(met, middle_of(edge)) > 5.0 * max(edge.chord, 1.0):
                continue
            sharp = Feature(met, lambda q, n=lines: _meet(q, *n)[0], lambda q, n=lines: _meet(q, *n)[1])
            self.features.append(sharp)
            if not edge.is_arc:
                self.cut.append((middle_of(edge), (at(edge.start), at(edge.end)), sharp))

    def _holes(self) -> None:
        self.centres = []
        for hole in self.part.all_holes:
            if not isinstance(hole.shape, Circle) and as_slot(hole.shape) is None:
                continue
            at = centre_of(hole.shape)
            start = self.unknown(*at)
            self.centres.append((at, start, hole))
            self.point(at, start)
        for group in hole_groups(self.part):
            if group.pattern is not None and hasattr(group.pattern, "centre"):
                starts = [start for at, start, _ in self.centres if any(math.dist(at, c) < 1e-6 for c in group.centres)]
                n = len(starts)
                self.features.append(
                    Feature(
                        group.pattern.centre,
                        lambda q, s=starts, n=n: sum(q[i] for i in s) / n,
                        lambda q, s=starts, n=n: sum(q[i + 1] for i in s) / n,
                    )
                )

    def _lines(self) -> None:
        """Bend lines that run square across: where they are."""
        for bend in self.part.bends:
            for axis in (0, 1):
                if abs(bend.start[axis] - bend.end[axis]) < 0.01:
                    i = self.unknown(bend.start[axis])
                    values: list[Value | None] = [None, None]
                    values[axis] = lambda q, i=i: q[i]
                    for end in (bend.start, bend.end):
                        self.features.append(Feature(end, *values))
        for axis, ends in etched_lines(self.part, MILLIMETRES).square:
            i = self.unknown(ends[0][axis])
            values = [None, None]
            values[axis] = lambda q, i=i: q[i]
            self.features.append(Feature(ends[0], *values))

    def _in_line(self) -> None:
        for axis in (0, 1):
            known = [f for f in self.features if f.along(axis) is not None]
            known.sort(key=lambda f: f.at[axis])
            for one, other in pairwise(known):
                if other.at[axis] - one.at[axis] < IN_LINE:
                    a, b = one.along(axis), other.along(axis)
                    self.require("in line", lambda q, a=a, b=b: a(q) - b(q))

    def _datum(self) -> None:
        bounds = self.part.outline.bounds
        if isinstance(self.part.outline, Circle):
            return
        for axis in (0, 1):
            low = next((f for f in self.features if f.along(axis) and abs(f.at[axis] - bounds[axis]) < AT), None)
            if low is None:
                self.made.unread.append(f"datum {'xy'[axis]}")
                continue
            value = low.along(axis)
            self.require("datum", lambda q, v=value, at=bounds[axis]: v(q) - at)

    # -- the figures ------------------------------------------------------
    def _near(self, at: Xy, axis: int) -> Value | None:
        """What an extension line at that place leads to."""
        found = [f for f in self.features if f.along(axis) is not None and abs(f.at[axis] - at[axis]) < AT]
        best = min(found, key=lambda f: (round(abs(f.at[axis] - at[axis]), 2), math.dist(f.at, at)), default=None)
        return None if best is None else best.along(axis)

    def _feature(self, at: Xy, reach: float = AT) -> Feature | None:
        found = [f for f in self.features if f.x and f.y and math.dist(f.at, at) < reach]
        return min(found, key=lambda f: math.dist(f.at, at), default=None)

    def _read(self, size: DrawnSize) -> None:
        if size.reference:
            if size.kind == "radius":  # '(2 x R24)' says at least that they are alike
                self.alike.setdefault(size.text, []).append(self._radius(size))
            return
        if size.kind in ("x", "y"):
            axis = 0 if size.kind == "x" else 1
            a, b = (self._near(p, axis) for p in size.points)
            if b is None and self._on_curve(size.points[1]):
                # The crown of a curve: said besides its points.
                if abs(abs(size.points[1][axis] - size.points[0][axis]) - float(size.text)) > AT:
                    self.made.wrong.append(size.text)
                return
            if a is None or b is None:
                self.made.unread.append(f"{size.kind} {size.text}")
                return
            way = 1.0 if size.points[1][axis] >= size.points[0][axis] else -1.0
            self.require(size.text, lambda q, a=a, b=b, v=way * float(size.text): b(q) - a(q) - v, size)
        elif size.kind == "straight":
            one, other = (self._feature(p, 0.3) for p in size.points)
            if one is None or other is None or not (one.x and one.y and other.x and other.y):
                self.made.unread.append(f"straight {size.text}")
                return
            ends = (one.x, one.y, other.x, other.y)
            value = float(size.text)
            self.require(
                size.text,
                lambda q, e=ends, v=value: math.hypot(e[0](q) - e[2](q), e[1](q) - e[3](q)) - v,
                size,
            )
        elif size.kind == "radius":
            r = self._radius(size)
            self.require(size.text, lambda q, r=r, v=float(size.text[1:]): q[r] - v, size)
        elif size.kind == "chamfer":
            self._chamfer(size)
        elif size.kind in ("row x", "row y"):
            self._row(size, 0 if size.kind == "row x" else 1)
        elif size.kind == "hole":
            self._hole(size)
        elif size.kind == "place":
            self._place(size)
        elif size.kind == "disc":
            assert isinstance(self.part.outline, Circle)
            if abs(float(size.text[1:]) - self.part.outline.diameter) > AT:
                self.made.wrong.append(size.text)

    def _radius(self, size: DrawnSize) -> int:
        return min(self.arcs, key=lambda arc: math.dist(arc[0], size.points[0]))[1]

    def _chamfer(self, size: DrawnSize) -> None:
        legs = float(size.text.split(" x ")[0])
        _, ends, sharp = min(self.cut, key=lambda cut: math.dist(cut[0], size.points[0]))
        for v in ends:
            self.require(size.text, lambda q, v=v, s=sharp: math.hypot(q[v] - s.x(q), q[v + 1] - s.y(q)) - legs, size)

    def _row(self, size: DrawnSize, axis: int) -> None:
        total = float(size.text.split("= ")[1].rstrip(")"))
        values = [self._near(p, axis) for p in size.points]
        if None in values:
            self.made.unread.append(size.text)
            return
        for i, value in enumerate(values[1:], 1):
            far = total * i / (len(values) - 1)
            self.require(size.text, lambda q, a=values[0], b=value, v=far: b(q) - a(q) - v, size)

    def _hole(self, size: DrawnSize) -> None:
        starts = [
            (start, hole, at) for at, start, hole in self.centres if any(math.dist(at, p) < 1e-6 for p in size.points)
        ]
        text = re.sub(r"^(\d+) x (?=[Øs])", "", size.text)
        for _, hole, _ in starts:
            slot = as_slot(hole.shape)
            if slot is not None:
                length, width = re.match(r"slot ([\d.]+) x ([\d.]+)", text).groups()  # type: ignore[union-attr]
                right = abs(float(length) - slot.length) < AT and abs(float(width) - slot.width) < AT
            else:
                right = abs(float(re.match(r"Ø([\d.]+)", text).group(1)) - hole.shape.diameter) < AT  # type: ignore[union-attr]
            if not right:
                self.made.wrong.append(size.text)
        if (circle := re.search(r" on Ø([\d.]+)(?:, one at ([\d.]+)°)?", text)) is not None:
            n = len(starts)
            centre = (sum(at[0] for _, _, at in starts) / n, sum(at[1] for _, _, at in starts) / n)
            turns = [math.atan2(at[1] - centre[1], at[0] - centre[0]) for _, _, at in starts]
            if circle.group(2):
                begin = math.radians(float(circle.group(2)))
            else:
                begin = min(
                    (round(t / (math.pi / 2)) * math.pi / 2 for t in turns),
                    key=lambda b: min(abs(t - b) for t in turns),
                )
            middle = self._feature(centre)
            assert middle is not None
            radius, step = float(circle.group(1)) / 2.0, 2.0 * math.pi / n
            for (start, _, _), turn in zip(starts, turns, strict=True):
                turn = begin + round((turn - begin) / step) * step
                x, y = radius * math.cos(turn), radius * math.sin(turn)
                self.require(size.text, lambda q, s=start, x=x: q[s] - middle.x(q) - x, size)
                self.require(size.text, lambda q, s=start, y=y: q[s + 1] - middle.y(q) - y, size)

    def _place(self, size: DrawnSize) -> None:
        given = self._tabled(size.text)
        if given is None:
            self.made.unread.append(size.text)
            return
        feature = self._feature(size.points[0])
        if feature is None:
            self.curve_points.append(given)
            return
        x0, y0 = (0.0, 0.0) if not isinstance(self.part.outline, Circle) else (self.part.outline.x, self.part.outline.y)
        self.require(size.text, lambda q: feature.x(q) - given[0] - x0, size)  # type: ignore[misc]
        self.require(size.text, lambda q: feature.y(q) - given[1] - y0, size)  # type: ignore[misc]

    def _tabled(self, name: str) -> Xy | None:
        for table in self.tables:
            for row in table.rows:
                for i in range(len(row) - 2):
                    if row[i] == name:
                        return float(row[i + 1]), float(row[i + 2])
        return None

    def _sector(self) -> None:
        """A cone's sector: its radii from their table."""
        rolled = self.part.rolled
        if rolled is None or rolled.sector is None:
            return
        rows = dict(next(t for t in self.tables if t.title == "Setting out the sector").rows)
        for _, r in self.arcs:
            near = min(
                (float(rows[name]) for name in ("outer radius", "inner radius")), key=lambda v: abs(v - self.true[r])
            )
            self.require("radius", lambda q, r=r, v=near: q[r] - v)

    def _on_curve(self, at: Xy) -> bool:
        outline = self.part.outline
        runs = () if isinstance(outline, Circle) else outline_features(outline).runs
        points = [p for run in runs for edge in run for p in edge.points(0.01)]
        return any(math.dist(p, at) < 1.0 for p in points)

    def _bend_table(self) -> None:
        """Ends of bend lines that run askew, from their tables; corners lie there."""
        found: list[tuple[Xy, Xy]] = []
        for table in self.tables:
            if table.title.startswith("Bend lines"):
                found += [((float(r[1]), float(r[2])), (float(r[3]), float(r[4]))) for r in table.rows]
            elif table.title.startswith("Bends") and table.heads[-1] == "bend line":
                for row in table.rows:
                    if " to " in row[-1]:
                        a, b = (tuple(map(float, end.split(", "))) for end in row[-1].split(" to "))
                        found.append((a, b))  # type: ignore[arg-type]
        for ends in found:
            for end in ends:
                feature = self._feature(end, 0.15)
                if feature is not None:
                    self.require("bend end", lambda q, f=feature, e=end: f.x(q) - e[0])  # type: ignore[misc]
                    self.require("bend end", lambda q, f=feature, e=end: f.y(q) - e[1])  # type: ignore[misc]

    # -- the answer -------------------------------------------------------
    def solve(self) -> Made:
        true = np.array(self.true)
        made = self.made
        if len(true) == 0:
            return made
        x0, y0, x1, y1 = self.part.outline.bounds
        spread = 0.004 * max(x1 - x0, y1 - y0)
        q = true + np.random.default_rng(7).uniform(-spread, spread, len(true))
        for _ in range(12):
            step = np.linalg.lstsq(self.slopes(q), -self.offs(q), rcond=1e-9)[0]
            q = q + step
            if np.abs(step).max() < 1e-7:
                break
        slopes = self.slopes(q)
        made.free = len(true) - rank(slopes)
        off = np.abs(q - true)
        for middle, r in self.arcs:
            # Of an arc its middle: the centre of a shallow one is far away and may well be off.
            c = self.centre_of[r]
            u = ((middle[0] - true[c]) / true[r], (middle[1] - true[c + 1]) / true[r])
            moved = q - true
            off[r] = abs(moved[c] * u[0] + moved[c + 1] * u[1] + moved[r])
        for c in self.centre_of.values():
            off[c : c + 2] = 0.0
        made.off = float(off.max())
        for size in dict.fromkeys(e.size for e in self.equations if e.size is not None):
            if size.kind in ("x", "y", "straight"):
                kept = [i for i, e in enumerate(self.equations) if e.size is not size]
                if rank(slopes[kept]) == len(true) - made.free:
                    made.doubled.append(f"{size.kind} {size.text}")
        self._curves()
        return made

    def offs(self, q: Array) -> Array:
        return np.array([each.off(q) for each in self.equations])

    def slopes(self, q: Array) -> Array:
        base, h = self.offs(q), 1e-6
        columns = []
        for i in range(len(q)):
            moved = q.copy()
            moved[i] += h
            columns.append((self.offs(moved) - base) / h)
        return np.array(columns).T

    def _curves(self) -> None:
        """Points of a curve lie on it, and straight lines between them and its ends are not far off it."""
        outline = self.part.outline
        loops = [outline, *(hole.shape for hole in self.part.holes)]
        fine = np.vstack([np.asarray(loop.points(0.01)) for loop in loops])
        ends = np.vstack([np.roll(np.asarray(loop.points(0.01)), -1, axis=0) for loop in loops])
        for point in self.curve_points:
            if off_chain(np.array(point), fine, ends) > 0.12:
                self.made.wrong.append(f"point {point}")


def is_smooth(a: Edge, b: Edge) -> bool:
    return abs(math.remainder(b.heading_in - a.heading_out, 2.0 * math.pi)) < math.radians(0.6)


def id_of(edge: Edge) -> tuple[Xy, Xy]:
    return (edge.start, edge.end)


def middle_of(edge: Edge) -> Xy:
    if not edge.is_arc:
        return ((edge.start[0] + edge.end[0]) / 2.0, (edge.start[1] + edge.end[1]) / 2.0)
    (cx, cy), r = edge.centre, edge.radius
    turn = math.atan2(edge.start[1] - cy, edge.start[0] - cx) + edge.sweep / 2.0
    return (cx + r * math.cos(turn), cy + r * math.sin(turn))


def off_chain(p: Array, a: Array, b: Array) -> float:
    d = b - a
    share = np.clip(((p - a) * d).sum(axis=1) / np.maximum((d * d).sum(axis=1), 1e-12), 0.0, 1.0)
    return float(np.linalg.norm(a + d * share[:, None] - p, axis=1).min())


def rank(slopes: Array) -> int:
    """How many unknowns the equations fix, with room for the rounding of their coefficients."""
    values = np.linalg.svd(slopes, compute_uv=False)
    return int((values > 2e-4).sum())


def _dot_unit(q: Array, v: int, c: int, o: int) -> float:
    """How far from square a radius stands to a line at their common point, mm along the line."""
    dx, dy = q[o] - q[v], q[o + 1] - q[v + 1]
    return float(((q[c] - q[v]) * dx + (q[c + 1] - q[v + 1]) * dy) / max(math.hypot(dx, dy), 1e-9))


def _cross_unit(q: Array, v: int, c: int, d: int) -> float:
    ax, ay, bx, by = q[c] - q[v], q[c + 1] - q[v + 1], q[d] - q[v], q[d + 1] - q[v + 1]
    return float((ax * by - ay * bx) / max(math.hypot(bx, by), 1e-9))


def _meet(q: Array, a: int, b: int, c: int, d: int) -> Xy:
    x1, y1, x2, y2, x3, y3, x4, y4 = (q[i + k] for i in (a, b, c, d) for k in (0, 1))
    n = (x1 - x2) * (y3 - y4) - (y1 - y2) * (x3 - x4)
    if abs(n) < 1e-9:
        return (math.inf, math.inf)
    u, w = x1 * y2 - y1 * x2, x3 * y4 - y3 * x4
    return (u * (x3 - x4) - (x1 - x2) * w) / n, (u * (y3 - y4) - (y1 - y2) * w) / n


def sheet_of(part: FlatPart) -> tuple[list[DrawnSize], list[TableText]]:
    """The sizes and tables of a flat's sheet."""
    sizes = draw_flat(part, 1.0, MILLIMETRES, (400.0, 400.0), draw_sector_sizes).sizes
    tables = [*flat_tables(part, MILLIMETRES)]
    if (lines := bend_line_table(part, MILLIMETRES)) is not None:
        tables.append(lines)
    if rows := development_rows(part, MILLIMETRES):
        tables.append(TableText("Setting out the sector", ("size", "mm"), rows))
    return sizes, tables


def made_from_sheet(part: FlatPart) -> Made:
    """What comes of a flat by what its sheet says."""
    return Reader(part, *sheet_of(part)).solve()
