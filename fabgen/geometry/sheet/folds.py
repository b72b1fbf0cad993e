"""Bends and folded parts: bend allowance, and a tree of flat faces joined by bends.

Terms: the *outside mould line* of a bend is where the two outside surfaces would meet if
the bend were sharp.  `angle` is the bend angle: how far the sheet turns from flat, rad.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from fabgen.geometry.plane.outline import Loop, Outline, OutlineError, Vertex, Xy

SAME = 1e-7
"""Points nearer than this are one point, mm; directions, rad."""


@dataclass(frozen=True, slots=True)
class Bend:
    """One bend: sheet thickness and inside radius (mm), bend angle (rad), K-factor.

    K is the neutral line's depth from the inside surface over the thickness, so
    allowance = angle * (radius + k * thickness); setback = tan(angle / 2) * (radius +
    thickness); deduction = 2 * setback - allowance.  A hem, folded right back, has no mould
    line: its legs are measured over the fold, so its setback is radius + thickness.
    """

    thickness: float
    radius: float
    angle: float
    k: float

    @property
    def allowance(self) -> float:
        """Length of the neutral line through the bend, mm."""
        return self.angle * (self.radius + self.k * self.thickness)

    @property
    def is_hem(self) -> bool:
        """Whether the sheet is folded right back, by 180 degrees."""
        return self.angle > math.pi - SAME

    @property
    def setback(self) -> float:
        """Tangent line to outside mould line (a hem's: to the outermost line of its fold), mm."""
        return (1.0 if self.is_hem else math.tan(self.angle / 2.0)) * (self.radius + self.thickness)

    @property
    def inner(self) -> float:
        """Tangent line to inside mould line, where the inner surfaces would meet (a hem's: to the
        innermost line of its fold), mm."""
        return (1.0 if self.is_hem else math.tan(self.angle / 2.0)) * self.radius

    @property
    def deduction(self) -> float:
        """What the flat is shorter than the sum of the outside leg lengths, mm."""
        return 2.0 * self.setback - self.allowance


@dataclass(frozen=True, eq=False)
class Face:
    """A flat face of a folded part, drawn in its own coordinates: x along the bend it hangs
    on, y away from it, y = 0 at the bend's tangent line.  The root face may lie anywhere."""

    name: str
    outline: Outline
    holes: tuple[Loop, ...] = ()


@dataclass(frozen=True, eq=False)
class Flange:
    """A face hung on an edge of its parent.

    The bend's tangent line on the parent runs from (`x`, `y`) in the parent's coordinates in
    direction `turn` (rad); the child's x axis lies along it, and its y axis, in the flat, is
    that direction turned left by 90 degrees.  `up` is True when it folds toward the viewer.
    """

    bend: Bend
    x: float
    y: float
    turn: float
    up: bool
    tree: FoldTree


@dataclass(frozen=True, eq=False)
class FoldTree:
    """A face and the flanges that hang on it."""

    face: Face
    flanges: tuple[Flange, ...] = ()

    def all_faces(self) -> Iterator[Face]:
        """Every face, this one first, each parent before its children."""
        yield self.face
        for flange in self.flanges:
            yield from flange.tree.all_faces()


def mirrored_tree(tree: FoldTree, loop: Callable[[Loop], Loop]) -> FoldTree:
    """The folded part as its mirror image: every face mirrored left to right (x to -x), each bend folding as it did.

    Args:
        tree: the folded part.
        loop: gives a loop mirrored left to right, counter-clockwise as it was.
    """
    face = tree.face
    outline = loop(face.outline)
    assert isinstance(outline, Outline)
    flanges = tuple(
        replace(each, x=-each.x, turn=-each.turn, tree=mirrored_tree(each.tree, loop)) for each in tree.flanges
    )
    return FoldTree(Face(face.name, outline, tuple(map(loop, face.holes))), flanges)


# -- the flat pattern ---------------------------------------------------------
@dataclass(frozen=True, slots=True)
class BendLine:
    """The middle of a bend zone on the flat, along the child's x axis; `name` is 'parent / child'."""

    start: Xy
    end: Xy
    bend: Bend
    up: bool
    name: str


@dataclass(frozen=True, eq=False)
class FlatPattern:
    """A folded part laid flat, in the coordinates of its root face.

    `holes` are (name of the face, hole), face by face in the order of `all_faces` and in each
    face's own order.  Lines and arcs of the faces are kept as they are.
    """

    outline: Outline
    holes: tuple[tuple[str, Loop], ...]
    lines: tuple[BendLine, ...]


@dataclass(frozen=True, slots=True)
class FacePlace:
    """Where a face's coordinates lie in the flat: origin (mm) and turn (rad)."""

    x: float = 0.0
    y: float = 0.0
    turn: float = 0.0

    def point(self, x: float, y: float) -> Xy:
        """A point of the face, in the flat, mm.

        Args:
            x: in the face's coordinates, mm.
            y: likewise, mm.
        """
        c, s = math.cos(self.turn), math.sin(self.turn)
        return self.x + x * c - y * s, self.y + x * s + y * c

    def child(self, flange: Flange) -> FacePlace:
        """The place of the face that hangs on a flange, the bend zone lying between.

        Args:
            flange: of the face that has this place.
        """
        turn = self.turn + flange.turn
        x, y = self.point(flange.x, flange.y)
        reach = flange.bend.allowance
        return FacePlace(x - reach * math.sin(turn), y + reach * math.cos(turn), turn)


def hinge(face: Face) -> tuple[float, float]:
    """Where along y = 0 the face meets its bend: (x from, x to), mm.

    Args:
        face: its outline lies at y >= 0.
    Raises:
        OutlineError: the outline has not exactly one straight edge there.
    """
    return _hinge_edge(face)[1]


def flat_pattern(tree: FoldTree) -> FlatPattern:
    """The folded part laid flat, by walking once round its boundary.

    Each bend zone is a rectangle as long as the child's hinge and as wide as the bend allowance.

    Args:
        tree: the folded part.
    Raises:
        OutlineError: a flange hangs on no edge of its parent, or flanges overlap in the flat.
    """
    from fabgen.geometry.plane.regions import crossing

    vertices = _boundary(tree, FacePlace(), None)
    outline = Outline(_without_needless(vertices)).counter_clockwise()
    spot = crossing(outline)
    if spot is not None:
        raise OutlineError(f"flanges overlap in the flat near ({spot[0]:.1f}, {spot[1]:.1f})")
    holes: list[tuple[str, Loop]] = []
    lines: list[BendLine] = []
    for placed, place, flange, parent in _laid(tree, FacePlace(), None, ""):
        holes += [(placed.name, hole.turned(place.turn).moved(place.x, place.y)) for hole in placed.holes]
        if flange is not None:
            x0, x1 = hinge(placed)
            middle = -flange.bend.allowance / 2.0
            start, end = place.point(x0, middle), place.point(x1, middle)
            lines.append(BendLine(start, end, flange.bend, flange.up, f"{parent} / {placed.name}"))
    return FlatPattern(outline, tuple(holes), tuple(lines))


def laid_faces(tree: FoldTree) -> list[tuple[Face, FacePlace]]:
    """Every face with its place in the flat, in the root's coordinates.

    Args:
        tree: the folded part.
    """
    return [(face, place) for face, place, _, _ in _laid(tree, FacePlace(), None, "")]


def _laid(
    tree: FoldTree, place: FacePlace, flange: Flange | None, parent: str
) -> Iterator[tuple[Face, FacePlace, Flange | None, str]]:
    yield tree.face, place, flange, parent
    for each in tree.flanges:
        yield from _laid(each.tree, place.child(each), each, tree.face.name)


def _hinge_edge(face: Face) -> tuple[int, tuple[float, float]]:
    edges = list(face.outline.edges())
    found = [
        i
        for i, edge in enumerate(edges)
        if not edge.is_arc and abs(edge.start[1]) < SAME and abs(edge.end[1]) < SAME and edge.end[0] > edge.start[0]
    ]
    if len(found) != 1 or face.outline.bounds[1] < -SAME:
        raise OutlineError(f'face "{face.name}" needs one straight edge along its bend and nothing below it')
    return found[0], (edges[found[0]].start[0], edges[found[0]].end[0])


def _boundary(tree: FoldTree, place: FacePlace, skip: int | None) -> list[Vertex]:
    """Vertices in root coordinates, counter-clockwise; from after edge `skip` (the hinge) round to it."""
    vertices = tree.face.outline.vertices
    count = len(vertices)
    first = 0 if skip is None else skip + 1
    waiting = list(tree.flanges)
    walked: list[Vertex] = []
    for i in range(first, first + count):
        here, there = vertices[i % count], vertices[(i + 1) % count]
        walked.append(Vertex(*place.point(here.x, here.y), here.bulge))
        if skip is not None and i % count == skip:
            continue
        hung = sorted((span, j) for j, flange in enumerate(waiting) if (span := _span(flange, here, there)) is not None)
        reached = 0.0
        for (start, end), j in hung:
            flange = waiting[j]
            if start < reached - SAME:
                raise OutlineError(f'flange "{flange.tree.face.name}" overlaps its neighbour on "{tree.face.name}"')
            reached = end
            x0, x1 = hinge(flange.tree.face)
            base = FacePlace(flange.x, flange.y, flange.turn)
            walked.append(Vertex(*place.point(*base.point(x1, 0.0))))
            walked += _boundary(flange.tree, place.child(flange), _hinge_edge(flange.tree.face)[0])
            walked.append(Vertex(*place.point(*base.point(x0, 0.0))))
        waiting = [flange for j, flange in enumerate(waiting) if j not in {j for _, j in hung}]
    if waiting:
        raise OutlineError(f'flange "{waiting[0].tree.face.name}" lies on no edge of "{tree.face.name}"')
    return walked


def _span(flange: Flange, here: Vertex, there: Vertex) -> tuple[float, float] | None:
    """The stretch of the parent's edge that the flange hangs on, mm from its start; None if another edge."""
    length = math.hypot(there.x - here.x, there.y - here.y)
    if here.bulge != 0.0 or length < SAME:
        return None
    ex, ey = (there.x - here.x) / length, (there.y - here.y) / length
    # The child's x axis runs against the edge: outward is to its left.
    if math.hypot(math.cos(flange.turn) + ex, math.sin(flange.turn) + ey) > SAME:
        return None
    dx, dy = flange.x - here.x, flange.y - here.y
    if abs(dx * ey - dy * ex) > SAME:
        return None
    x0, x1 = hinge(flange.tree.face)
    along = dx * ex + dy * ey
    start, end = along - x1, along - x0
    return (start, end) if start > -SAME and end < length + SAME else None


def _without_needless(vertices: list[Vertex]) -> tuple[Vertex, ...]:
    """Without repeated points, without slits of no width (where metal beside a bend is left to
    tear) and without points in the middle of a straight run."""
    apart = _apart(vertices)
    while (tip := next((i for i in range(len(apart)) if _lie_along(apart, i) < 0.0), None)) is not None:
        del apart[tip]
        apart = _apart(apart)
    return tuple(here for i, here in enumerate(apart) if _lie_along(apart, i) == 0.0)


def _apart(vertices: list[Vertex]) -> list[Vertex]:
    following = vertices[1:] + vertices[:1]
    return [v for v, w in zip(vertices, following, strict=True) if math.hypot(w.x - v.x, w.y - v.y) > SAME]


def _lie_along(vertices: list[Vertex], i: int) -> float:
    """1 where the outline runs straight on through vertex i, -1 where it turns right back, else 0."""
    before, here, after = vertices[i - 1], vertices[i], vertices[(i + 1) % len(vertices)]
    if before.bulge != 0.0 or here.bulge != 0.0:
        return 0.0
    ax, ay, bx, by = here.x - before.x, here.y - before.y, after.x - here.x, after.y - here.y
    if abs(ax * by - ay * bx) >= SAME * math.hypot(ax, ay) * math.hypot(bx, by):
        return 0.0
    return math.copysign(1.0, ax * bx + ay * by)
