"""Leaves: faces in the making, from which a tree of flat faces and bends is built.

A face is drawn by its corners, with flanges hung on its straight edges, and here becomes a face:
each stretch that a flange hangs on is set back to the bend's tangent line, notches beside it keep
the bend from tearing into the sheet, and where two flanges meet at a corner their ends are
brought together as given.

A hung face has its hinge for edge 0, from (x0, 0) to (x1, 0), y away from the bend.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise
from typing import Literal

import shapely

from fabgen.geometry.plane.outline import Corner, Outline, OutlineError, Vertex, Xy, without_repeats, worked_corner
from fabgen.geometry.plane.regions import crossing
from fabgen.geometry.sheet.flange_ends import LEAST_STEP, Closing, EndLine, FlangeStance, end_line, end_points
from fabgen.geometry.sheet.folds import SAME, Bend, Face, Flange, FoldTree
from fabgen.wording.sentence import lengths, mm, sentence

ReliefKind = Literal["round", "rectangular", "none"]


@dataclass(frozen=True, slots=True)
class Relief:
    """The notch beside the end of a bend: `width` along the edge, `depth` past the bend's tangent
    line, mm.  Where two bends meet at a corner it is cut half its width from where their tangent
    lines cross.  With 'none' the sheet is left to tear."""

    kind: ReliefKind = "none"
    width: float = 0.0
    depth: float = 0.0

    @property
    def at_corner(self) -> float:
        """How far it reaches along the edge from a corner of two bends, mm: half its width."""
        return self.width / 2.0


NO_RELIEF = Relief()
OPEN = Closing()


@dataclass(frozen=True, slots=True)
class Hinge:
    """What a face hangs on: from `x0` to `x1` along its bend, in its own x, and what bounds its ends."""

    x0: float
    x1: float
    left: EndLine | None = None
    right: EndLine | None = None

    def strip(self, height: float, radius: float = 0.0, chamfer: float = 0.0) -> tuple[Corner, ...]:
        """Corners of a plain flange, counter-clockwise from its hinge.

        Args:
            height: from its bend's tangent line, mm.
            radius: of the far edge's corners, mm.
            chamfer: of the far edge's corners, mm a side.
        """
        right = [(self.x1, 0.0), *end_points(self.x1, self.right, height, 1.0)]
        left = [(self.x0, 0.0), *end_points(self.x0, self.left, height, -1.0)]
        if right[-1][0] - left[-1][0] < SAME:
            raise OutlineError("its ends cross before its far edge")
        points = [left[0], *right, *left[:0:-1]]
        far = (len(right), len(right) + 1)
        return tuple(Corner(x, y, *((radius, chamfer) if i in far else ())) for i, (x, y) in enumerate(points))

    def far_edge(self, height: float) -> int:
        """The number of the far edge of `strip`.

        Args:
            height: as given there, mm.
        """
        return 1 + len(end_points(self.x1, self.right, height, 1.0))


@dataclass(frozen=True, eq=False)
class HungFace:
    """A face hung on an edge of another.

    `inset`: how far inside the edge as drawn the bend's tangent line lies, mm.  `start`, `end`: mm
    along the edge from its first corner; None = from, or to, the corner.  `first`: the hung face's
    own x at the edge's last corner; its x runs against the edge.  `rank`: where flanges butt, the
    one of higher rank runs over the other's end.
    """

    name: str
    edge: int
    bend: Bend
    inset: float
    sketch: Callable[[Hinge], FaceSketch]
    up: bool = True
    start: float | None = None
    end: float | None = None
    relief: Relief = NO_RELIEF
    first: float = 0.0
    rank: int = 0


@dataclass(frozen=True, eq=False)
class FaceSketch:
    """Corners counter-clockwise, edge i from corner i to the next.  `curves`: for an edge that is not
    straight its vertices, the first at its first corner, the last before its last corner."""

    name: str
    corners: tuple[Corner, ...]
    hung: tuple[HungFace, ...] = ()
    closing: Closing = OPEN
    curves: Mapping[int, tuple[Vertex, ...]] = field(default_factory=dict)


def fold_tree(sketch: FaceSketch) -> FoldTree:
    """The tree of faces that the sketches of faces make.

    Args:
        sketch: the root face, with what hangs on it.
    Raises:
        OutlineError: flanges, notches and corners leave no room for one another.
    """
    rim = _Rim(sketch)
    outline = Outline(without_repeats(rim.vertices()))
    spot = crossing(outline)
    if outline.signed_area <= 0.0 or spot is not None:
        raise OutlineError(rim.run_together(spot))
    flanges = tuple(rim.flange(hung) for hung in rim.hung)
    return FoldTree(Face(sketch.name, outline), flanges)


# -- one edge -----------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class _Stretch:
    """A stretch of an edge, mm along it, that lies at one level inside the edge as drawn: free, a
    hinge, or the bottom of a notch."""

    start: float
    end: float
    level: float
    hung: HungFace | None = None
    notch: Relief | None = None
    name: str = ""

    @property
    def words(self) -> str:
        return f'{"bend" if self.notch is None else "notch"} of "{self.name}"'

    @property
    def corners(self) -> tuple[Xy, Xy, Xy, Xy]:
        return (self.start, 0.0), (self.end, 0.0), (self.end, self.level), (self.start, self.level)


@dataclass(frozen=True, eq=False)
class _Edge:
    """A straight edge: its first corner, its heading (rad), its length (mm) and what hangs on it, in order."""

    corner: Xy
    heading: float
    length: float
    hung: tuple[HungFace, ...]
    cut_off: tuple[bool, bool] = (False, False)
    """Whether the notch beside the first flange runs on to the edge's first corner, and that beside the last to its
    last corner."""

    @property
    def direction(self) -> Xy:
        return math.cos(self.heading), math.sin(self.heading)

    def point(self, along: float, inward: float) -> Xy:
        c, s = self.direction
        return self.corner[0] + along * c - inward * s, self.corner[1] + along * s + inward * c

    def along(self, point: Xy) -> float:
        c, s = self.direction
        return (point[0] - self.corner[0]) * c + (point[1] - self.corner[1]) * s

    @cached_property
    def stretches(self) -> tuple[_Stretch, ...]:
        """From corner to corner as drawn; none where nothing hangs on the edge."""
        found: list[_Stretch] = []
        reached, before = 0.0, None
        for hung in self.hung:
            start, end = hung.start or 0.0, self.length if hung.end is None else hung.end
            if start < reached - SAME and before is not None:
                raise OutlineError(f'flange "{hung.name}" overlaps flange "{before.name}" on the same edge')
            found += _between(reached, start, before, hung, self.cut_off[0] and before is None)
            found.append(_Stretch(start, end, hung.inset, hung, name=hung.name))
            reached, before = end, hung
        return (*found, *_between(reached, self.length, before, None, self.cut_off[1])) if found else ()


def _between(
    start: float, end: float, before: HungFace | None, after: HungFace | None, cut_off: bool
) -> list[_Stretch]:
    """What lies between two flanges, or between a flange and the edge's end: notches and what they leave; nothing
    but the notch where it is `cut_off`."""
    hungs = [hung for hung in (before, after) if hung is not None]
    widths = [hung.relief.width for hung in hungs]
    if end - start < SAME or not hungs:
        return []
    if max(widths) > 0.0 and (cut_off or end - start < sum(widths) + max(widths) - SAME):
        # No strip narrower than a notch is left standing.
        deepest = max(hungs, key=lambda hung: hung.inset + hung.relief.depth)
        return [_notch(start, end, deepest)]
    found = []
    if before is not None and before.relief.width > 0.0:
        found.append(_notch(start, start + before.relief.width, before))
        start += before.relief.width
    last = end - (after.relief.width if after is not None else 0.0)
    found.append(_Stretch(start, last, 0.0))
    if after is not None and last < end:
        found.append(_notch(last, end, after))
    return found


def _notch(start: float, end: float, hung: HungFace) -> _Stretch:
    return _Stretch(start, end, hung.inset + hung.relief.depth, notch=hung.relief, name=hung.name)


# -- the whole boundary ---------------------------------------------------------
class _Rim:
    """The boundary of a face."""

    def __init__(self, sketch: FaceSketch) -> None:
        self.sketch, self.count = sketch, len(sketch.corners)
        drawn = [_drawn(a, b) for a, b in pairwise([*sketch.corners, sketch.corners[0]])]
        taken: list[list[HungFace]] = [[] for _ in drawn]
        for hung in sketch.hung:
            if not 0 <= hung.edge < self.count or hung.edge in sketch.curves:
                raise OutlineError(f'flange "{hung.name}" hangs on no straight edge of "{sketch.name}"')
            taken[hung.edge].append(_ends_told(hung, drawn[hung.edge].length))
        for hungs in taken:
            hungs.sort(key=lambda hung: hung.start or 0.0)
        self.edges = [replace(edge, hung=tuple(hungs)) for edge, hungs in zip(drawn, taken, strict=True)]
        self._cut_off_corners()
        self.hung = [hung for edge in self.edges for hung in edge.hung]
        self.points = [self._meeting_point(i) for i in range(self.count)]

    def _cut_off_corners(self) -> None:
        """Lets notches run on to a corner from which the bend, or the notch, on the other edge leaves less than a
        notch's width standing."""
        for i in range(self.count):
            before, after = self.edges[i - 1], self.edges[i]
            slant = math.sin(after.heading - before.heading)
            if slant < 1e-6 or not before.hung or not after.hung or self._met(i) is not None:
                continue
            last, first = before.hung[-1], after.hung[0]
            # Both as the other sees it: how far a flange lies off the corner, and how far it is set back there.
            room = ((before.length - (before.length if last.end is None else last.end)), first.start or 0.0)
            deep = tuple(
                (hung.inset + (hung.relief.depth if off > 0.0 else 0.0)) / slant
                for hung, off in zip((last, first), room, strict=True)
            )
            narrow = [
                off > 0.0 and other.relief.width > 0.0 and off < set_back + 2.0 * other.relief.width - SAME
                for off, set_back, other in ((room[0], deep[1], last), (room[1], deep[0], first))
            ]
            # Of two flanges that both stand off the corner the notches meet only where each is near the other.
            if min(room) > 0.0 and not all(narrow):
                continue
            for off, hung, other in ((room[0], last, first), (room[1], first, last)):
                inside = other.inset / slant - off
                if off > 0.0 and inside > SAME:
                    runs = sentence(f'flange "{hung.name}" runs ', mm(inside, 2), f' into the bend of "{other.name}"')
                    end = sentence(": end it ", mm(off + inside, 2), " from the corner or more, or at the corner")
                    raise OutlineError(sentence(runs, end))
            self.edges[i - 1] = replace(before, cut_off=(before.cut_off[0], narrow[0]))
            self.edges[i] = replace(self.edges[i], cut_off=(narrow[1], self.edges[i].cut_off[1]))

    def run_together(self, spot: Xy | None) -> str:
        """Words for an outline that crosses itself: which bends or notches overlap most, and by how much."""
        taken = [
            (i, stretch, shapely.Polygon([edge.point(*at) for at in stretch.corners]))
            for i, edge in enumerate(self.edges)
            for stretch in edge.stretches
            if stretch.level > 0.0
        ]
        meeting = {frozenset(hung.name for hung in met) for i in range(self.count) if (met := self._met(i)) is not None}
        overlaps = [
            (_width(area.intersection(other_area)), f"the {one.words} and the {other.words}")
            for n, (i, one, area) in enumerate(taken)
            for j, other, other_area in taken[n + 1 :]
            if i != j and frozenset((one.name, other.name)) not in meeting
        ]
        most, which = max(overlaps, default=(0.0, ""))
        name = self.sketch.name
        if most > 0.005:
            return f'{which} overlap by {most:.2f} mm on face "{name}"'
        where = "" if spot is None else f" near ({spot[0]:.1f}, {spot[1]:.1f})"
        return f'the bends, notches and corners of face "{name}" run into one another{where}'

    def _met(self, i: int) -> tuple[HungFace, HungFace] | None:
        """The two flanges that meet at corner i, if any: the last on the edge before, the first on the edge after."""
        before, after = self.edges[i - 1].hung, self.edges[i].hung
        if before and after and before[-1].end is None and after[0].start is None:
            return before[-1], after[0]
        return None

    def _corner_relief(self, i: int) -> Relief:
        met = self._met(i)
        return NO_RELIEF if met is None else max((hung.relief for hung in met), key=lambda relief: relief.width)

    def _levels(self, i: int) -> tuple[float, float]:
        """How far the boundary lies inside the edges as drawn just before and just after corner i, mm."""
        before, after = self.edges[i - 1].stretches, self.edges[i].stretches
        return before[-1].level if before else 0.0, after[0].level if after else 0.0

    def _meeting_point(self, i: int) -> Xy:
        """Where edge i - 1 and edge i meet once both are set back."""
        before, after = self.edges[i - 1], self.edges[i]
        down, up = self._levels(i)
        if down == up == 0.0:
            return after.corner
        if (i - 1) % self.count in self.sketch.curves or i in self.sketch.curves:
            raise OutlineError("a flange reaches the end of an edge that is not straight")
        turn = math.sin(after.heading - before.heading)
        if abs(turn) < 1e-6:
            raise OutlineError("a flange ends where one straight edge runs on into the next")
        # Along the set-back edge i to the set-back edge i - 1.
        (x, y), (bx, by), (c, s) = after.point(0.0, up), before.point(before.length, down), before.direction
        along = ((by - y) * c - (bx - x) * s) / turn
        return x + along * after.direction[0], y + along * after.direction[1]

    def _span(self, hung: HungFace) -> tuple[float, float]:
        """The hinge of a flange, mm along its edge."""
        i, edge = hung.edge, self.edges[hung.edge]
        low, high = hung.start, hung.end
        if low is None:
            low = edge.along(self.points[i]) + self._corner_relief(i).at_corner
        if high is None:
            following = (i + 1) % self.count
            high = edge.along(self.points[following]) - self._corner_relief(following).at_corner
        if high - low < SAME:
            raise OutlineError(f'no length is left for the bend of flange "{hung.name}"')
        return low, high

    # -- vertices -------------------------------------------------------------
    def vertices(self) -> list[Vertex]:
        path: list[Vertex] = []
        for i in range(self.count):
            if i in self.sketch.curves:
                path += self.sketch.curves[i]
            else:
                path += self._corner(i)
                path += _along(self.edges[i])
        return path

    def _corner(self, i: int) -> list[Vertex]:
        corner, met = self.sketch.corners[i], self._met(i)
        if met is not None:
            return self._relieved(i, met)
        if self._levels(i) != (0.0, 0.0) or (i - 1) % self.count in self.sketch.curves:
            if corner.radius or corner.chamfer:
                reached = "a flange or notch reaches this corner, so it cannot be rounded or cut off"
                raise OutlineError(reached, key=(i,))
            return [Vertex(*self.points[i])]
        before, after = (self.sketch.corners[j % self.count] for j in (i - 1, i + 1))
        vertices = worked_corner(before, corner, after)
        used = math.dist((corner.x, corner.y), (vertices[0].x, vertices[0].y))
        room = min(self._room(i - 1, True), self._room(i, False))
        if used > room + 1e-9:
            what = sentence(
                "the radius or chamfer here needs ",
                mm(used, 2, fixed=True),
                " of an edge of which ",
                mm(max(0.0, room), 2, fixed=True),
                " are free",
            )
            raise OutlineError(what, key=(i,))
        return vertices

    def _room(self, i: int, at_end: bool) -> float:
        """What is free of an edge at its end or its start, mm, the work on its other corner counted."""
        edge = self.edges[i]
        if edge.stretches:
            stretch = edge.stretches[-1 if at_end else 0]
            return stretch.end - stretch.start
        a, b, c = (self.sketch.corners[(i + step) % self.count] for step in ((-1, 0, 1) if at_end else (0, 1, 2)))
        worked = worked_corner(a, b, c)
        return edge.length - math.dist((b.x, b.y), (worked[0].x, worked[0].y))

    def _relieved(self, i: int, met: tuple[HungFace, HungFace]) -> list[Vertex]:
        """The corner between two bends, cut out as their relief says."""
        before, after = self.edges[i - 1], self.edges[i]
        turn = math.remainder(after.heading - before.heading, 2.0 * math.pi)
        if turn < SAME:
            raise OutlineError(f'flanges "{met[0].name}" and "{met[1].name}" meet at an inside corner')
        (x, y), relief = self.points[i], self._corner_relief(i)
        far = relief.at_corner
        if far == 0.0:
            return [Vertex(x, y)]
        back = (x - far * before.direction[0], y - far * before.direction[1])
        ahead = (x + far * after.direction[0], y + far * after.direction[1])
        if relief.kind == "round":
            return [Vertex(*back, -math.tan((math.pi - turn) / 4.0)), Vertex(*ahead)]
        return [Vertex(*back), Vertex(back[0] + ahead[0] - x, back[1] + ahead[1] - y), Vertex(*ahead)]

    # -- what hangs on it -------------------------------------------------------
    def flange(self, hung: HungFace) -> Flange:
        edge = self.edges[hung.edge]
        low, high = self._span(hung)
        beyond = edge.length + hung.first
        hinge = Hinge(beyond - high, beyond - low, self._bound(hung, True), self._bound(hung, False))
        try:
            tree = fold_tree(hung.sketch(hinge))
        except OutlineError as error:
            raise OutlineError(f'flange "{hung.name}": {error}') from error
        standing = self._standing(hung)
        return Flange(hung.bend, standing.x, standing.y, standing.turn, hung.up, tree)

    def _standing(self, hung: HungFace) -> FlangeStance:
        edge = self.edges[hung.edge]
        x, y = edge.point(edge.length + hung.first, hung.inset)
        return FlangeStance(hung.bend, hung.up, x, y, edge.heading + math.pi)

    def _bound(self, hung: HungFace, left: bool) -> EndLine | None:
        """What bounds an end of a flange where it meets another one."""
        i = (hung.edge + 1) % self.count if left else hung.edge
        met = self._met(i)
        if met is None or met[0 if left else 1] is not hung or met[0].up != met[1].up:
            return None
        other = met[1 if left else 0]
        over = (hung.rank, left) > (other.rank, not left)
        start = max(self._corner_relief(i).at_corner, LEAST_STEP)
        return end_line(self._standing(hung), self._standing(other), left, self.sketch.closing, over, start)


def _width(area: shapely.Geometry) -> float:
    """The lesser side of the least rectangle round an area, mm; 0 of what has none."""
    ring = getattr(area.minimum_rotated_rectangle, "exterior", None) if area.area > 0.0 else None
    return 0.0 if ring is None else min(math.dist(ring.coords[i], ring.coords[i + 1]) for i in (0, 1))


def _drawn(a: Corner, b: Corner) -> _Edge:
    return _Edge((a.x, a.y), math.atan2(b.y - a.y, b.x - a.x), math.hypot(b.x - a.x, b.y - a.y), ())


def _ends_told(hung: HungFace, length: float) -> HungFace:
    """The same with None for ends that lie at the edge's corners."""
    start = None if hung.start is None or hung.start < SAME else hung.start
    end = None if hung.end is None or hung.end > length - SAME else hung.end
    low, high = start or 0.0, length if end is None else end
    if high - low < SAME:
        what = sentence(
            f'flange "{hung.name}" runs from ', lengths((low, high), " to ", 2), " of an edge ", mm(length, 2), " long"
        )
        raise OutlineError(what)
    return replace(hung, start=start, end=end)


def _along(edge: _Edge) -> list[Vertex]:
    """The vertices between the corners of an edge."""
    path: list[Vertex] = []
    for i, stretch in enumerate(edge.stretches):
        before = edge.stretches[i - 1].level if i else None
        after = edge.stretches[i + 1].level if i + 1 < len(edge.stretches) else None
        if stretch.notch is not None and stretch.notch.kind == "round":
            path += _round_bottom(edge, stretch, before, after)
            continue
        path += [Vertex(*edge.point(stretch.start, stretch.level))] if before is not None else []
        path += [Vertex(*edge.point(stretch.end, stretch.level))] if after is not None else []
    return path


def _round_bottom(edge: _Edge, notch: _Stretch, before: float | None, after: float | None) -> list[Vertex]:
    """The bottom of a notch whose corners are rounded; one that runs off the edge is open on that side."""
    assert notch.notch is not None
    walls = [notch.level - level for level in (before, after) if level is not None]
    radius = min(notch.notch.width / 2.0, (notch.end - notch.start) / len(walls), *walls)
    low, high = notch.start + radius, notch.end - radius
    if len(walls) == 2 and high - low < SAME:
        return [
            Vertex(*edge.point(notch.start, notch.level - radius), -1.0),
            Vertex(*edge.point(notch.end, notch.level - radius)),
        ]
    quarter = -math.tan(math.pi / 8.0)  # to the right, as the outline goes round the corner of a notch
    path: list[Vertex] = []
    if before is not None:
        path += [Vertex(*edge.point(notch.start, notch.level - radius), quarter), Vertex(*edge.point(low, notch.level))]
    if after is not None:
        path += [Vertex(*edge.point(high, notch.level), quarter), Vertex(*edge.point(notch.end, notch.level - radius))]
    return path
