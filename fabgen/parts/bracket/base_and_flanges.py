"""Brackets of a base and flanges on any of its edges, flanges on flanges; and the box, which is one of them.

The base keeps the coordinates its corners are given in.  Along an edge all is measured from its
left end, of an upright edge from its lower end; along the side of a flange from the flange's fold.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from fabgen.geometry.plane.outline import Corner, Outline, OutlineError
from fabgen.geometry.sheet.fold_tree_building import NO_RELIEF, FaceSketch, Hinge, HungFace
from fabgen.geometry.sheet.folds import Bend
from fabgen.job.errors import Path
from fabgen.job.tables.bracket_tables import Bracket, FlangeGiven
from fabgen.job.tables.flat_tables import CornerGiven
from fabgen.parts.bracket.bracket_request import BracketRequest, BracketShape, LegEnd
from fabgen.parts.piece import Fact, fact
from fabgen.parts.shape.outlines import crossing_words, rectangle_corners
from fabgen.parts.sheet.face_axes import FaceAxes
from fabgen.shop.bending.bends import COMMON
from fabgen.wording.figures import figure
from fabgen.wording.sentence import mm, sentence

SIDES = ("front", "right", "back", "left")
"""Sides of a box, on the edges of its base from the lower one round."""

OnEdge = Callable[[int, float], HungFace]
"""Hangs a flange on the edge of that number and length (mm)."""


def box(request: BracketRequest) -> BracketShape:
    """A base with a side on each of its four edges; front and back run over the others' ends where they butt."""
    given = request.given
    hem = {"hem": given.hem, "gap": given.hem_gap, "fold": "down" if given.hem_fold == "out" else "up"}
    below = {"flanges": [hem]} if given.hem is not None else {}
    sides = [
        FlangeGiven.model_validate({"edge": i + 1, "height": given.height, "name": name} | below)
        for i, name in enumerate(SIDES)
    ]
    return _Built(request, of_box=True).shape(sides)


def base_and_flanges(request: BracketRequest) -> BracketShape:
    """What hangs on a base; where flanges butt, the one listed first runs over the other."""
    return _Built(request).shape(_flanges(request.given))


def flange_names(bracket: Bracket) -> list[str]:
    """The faces of a bracket of base and flanges: its own names, else 'flange 1', 'flange 1.1' and so on."""
    return ["base", *_names(_flanges(bracket), "flange ")]


def _flanges(bracket: Bracket) -> list[FlangeGiven]:
    return [each for each in bracket.flanges or [] if isinstance(each, FlangeGiven)]


def _names(given: Sequence[FlangeGiven], prefix: str) -> Iterator[str]:
    for i, flange in enumerate(given, 1):
        yield flange.name or f"{prefix}{i}"
        yield from _names(flange.flanges, f"{flange.name or f'{prefix}{i}'}.")


@dataclass(frozen=True, slots=True)
class _Measured:
    """How an edge is measured: from its first corner or its last, and the figure at that end."""

    from_first: bool
    zero: float = 0.0


@dataclass(frozen=True, eq=False)
class _Base:
    """The base's corners, counter-clockwise, and for each edge as the job numbers it its place among them."""

    corners: tuple[Corner, ...]
    edges: tuple[int, ...]
    own: frozenset[int] = frozenset()
    """Corners that say themselves how they are worked, be it not at all."""


@dataclass(eq=False)
class _Built:
    """Builds the shape, flange by flange, and collects its axes and sizes."""

    request: BracketRequest
    of_box: bool = False
    axes: dict[str, FaceAxes] = field(default_factory=dict)
    sizes: list[tuple[str, float]] = field(default_factory=list)

    def shape(self, given: Sequence[FlangeGiven]) -> BracketShape:
        base = self._base()
        self.axes["base"] = FaceAxes()
        hung: list[HungFace] = []
        for i, (flange, name) in enumerate(zip(given, _top_names(given), strict=True)):
            path: Path = ("height",) if self.of_box else ("flanges", i)
            edge = self._edge(flange, path, base)
            if edge is not None:
                a, b = base.corners[edge], base.corners[(edge + 1) % len(base.corners)]
                rank = 1 - edge % 2 if self.of_box else -i
                on_edge = self._flange(flange, name, path, _Measured(_from_first(a, b)), rank)
                hung.append(on_edge(edge, math.hypot(b.x - a.x, b.y - a.y)))
        self.request.need_no_faults()
        leaf = FaceSketch("base", self._worked(base, hung), tuple(hung), self.request.closing)
        return BracketShape(leaf, self.axes, (*self._base_sizes(leaf), *self.sizes), facts=tuple(self._facts(hung)))

    # -- the base -------------------------------------------------------------
    def _base(self) -> _Base:
        given = self.request.given.base
        assert given is not None
        if all(isinstance(each, float) for each in given):
            width, height = (each for each in given if isinstance(each, float))
            return _Base(tuple(rectangle_corners(width, height)), (0, 1, 2, 3))
        listed = [each for each in given if isinstance(each, CornerGiven)]
        corners = tuple(Corner(each.at[0], each.at[1], each.radius, each.chamfer) for each in listed)
        own = {i for i, each in enumerate(listed) if each.model_fields_set & {"radius", "chamfer"}}
        count = len(corners)
        with self.request.refusing("base", "corners apart from one another"):
            outline = Outline.polygon([(c.x, c.y) for c in corners])
            what = crossing_words(outline, "the base")
        if what:
            raise self.request.unfit("base", what, "corners in the order in which one walks round the base")
        if (outline.vertices[0].x, outline.vertices[0].y) == (corners[0].x, corners[0].y):
            return _Base(corners, tuple(range(count)), frozenset(own))
        # Listed clockwise: turned round, edge i lies between what were corners i + 1 and i.
        edges = tuple((count - 2 - i) % count for i in range(count))
        return _Base(corners[::-1], edges, frozenset(count - 1 - i for i in own))

    def _edge(self, flange: FlangeGiven, path: Path, base: _Base) -> int | None:
        count = len(base.edges)
        if isinstance(flange.edge, int) and flange.edge <= count:
            return base.edges[flange.edge - 1]
        key = path if flange.edge is None else (*path, "edge")
        what = "the flange does not say" if flange.edge is None else f"the base has no edge {flange.edge}:"
        self.request.fault(key, f"{what} which edge of the base it hangs on", f"edge = 1 to edge = {count}")
        return None

    def _worked(self, base: _Base, hung: Sequence[HungFace]) -> tuple[Corner, ...]:
        """The base's corners, those that say nothing of their own and that no flange reaches worked as the part's."""
        given, corners, count = self.request.given, base.corners, len(base.corners)
        lengths = [math.hypot(b.x - a.x, b.y - a.y) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
        reached = {each.edge for each in hung if not each.start}
        reached |= {
            (each.edge + 1) % count for each in hung if each.end is None or each.end > lengths[each.edge] - 1e-6
        }
        radius, chamfer = given.corner_radius, given.corner_chamfer
        return tuple(
            corner if i in base.own or i in reached else Corner(corner.x, corner.y, radius, chamfer)
            for i, corner in enumerate(corners)
        )

    def _base_sizes(self, leaf: FaceSketch) -> Iterator[tuple[str, float]]:
        """Outside and inside, along x and y, of a base given by [width, height]."""
        if len(leaf.corners) != 4 or any(isinstance(each, CornerGiven) for each in self.request.given.base or []):
            return
        for axis, size, edges in (("x", leaf.corners[2].x, (1, 3)), ("y", leaf.corners[2].y, (0, 2))):
            bends = [next((each.bend for each in leaf.hung if each.edge == edge), None) for edge in edges]
            for way, outside in (("outside", True), ("inside", False)):
                more = sum((b.setback if outside else b.inner) - self.request.taken(b) for b in bends if b is not None)
                yield f"base along {axis}, {way}", size + more

    def _facts(self, hung: Sequence[HungFace]) -> Iterator[Fact]:
        """How flanges meet at corners, and the notches beside their bends."""
        closing = self.request.closing
        if self.request.given.corner is not None or self.of_box:
            gap = mm(closing.gap, 2)
            first = "front and back run" if self.of_box else "the flange listed first runs"
            words = {
                "open": sentence("open: each flange ends where the next one's bend begins"),
                "gap": sentence("inner edge to inner edge, ", gap, " apart"),
                "butt": sentence(f"butted: {first} over the other's end, ", gap, " between"),
            }
            yield fact("corners", "corners", words[closing.kind])
        widest = max((each.relief for each in hung), key=lambda relief: relief.width, default=NO_RELIEF)
        if widest.width and (len(hung) > 1 or any(each.start or each.end for each in hung)):
            width, depth = mm(widest.width, 2).named("width"), mm(widest.depth, 2).named("past the bend")
            meet = f" past the bend; half as wide where two bends meet ({COMMON})"
            yield fact("notches", "notches", f"{widest.kind}, ", width, " wide, ", depth, meet)

    # -- flanges ----------------------------------------------------------------
    def _bend(self, given: FlangeGiven) -> Bend:
        if given.hem is not None:
            return self.request.hem(given.gap or 0.0)
        return self.request.bend(given.angle, given.radius)

    def _flange(self, given: FlangeGiven, name: str, path: Path, measured: _Measured, rank: int) -> OnEdge:
        """What hangs the flange on an edge so measured; not to be used where it has faults."""
        request = self.request
        if name in self.axes:
            request.fault((*path, "name"), f'there is another face "{name}"', "a name of its own for every flange")
        bend = self._bend(given)
        size = (given.hem or given.height) or 0.0
        below = [
            self._below(each, f"{name}.{i}", (*path, "flanges", i - 1), measured, bend)
            for i, each in enumerate(given.flanges, 1)
        ]
        far = [(self.request.taken(b), LegEnd(b).taken(outside=True)) for b, side, _ in below if side == "far"]
        beyond, beyond_outside = max(far, default=(0.0, 0.0))
        taken = self.request.taken(bend)
        if size < taken + beyond + 1e-6:
            key = path if self.of_box else (*path, "height" if given.hem is None else "hem")
            what = sentence(mm(size, 2), f" is too short for its bend{'s' if beyond else ''}")
            accepted = sentence(
                "more than ", mm(taken + beyond, 2), ", which the bend alone takes up; or a smaller radius"
            )
            request.fault(key, what, accepted)
        along = -1.0 if measured.from_first else 1.0
        self.axes[name] = FaceAxes(along, 1.0, -along * measured.zero, -bend.setback)
        self.sizes.append((f"{name}, outside", size + bend.setback - taken + beyond_outside - beyond))
        make = self._leaf(given, name, size - taken, below)
        relief = request.relief(given.relief)

        def on_edge(edge: int, length: float) -> HungFace:
            start, end = self._ends(given, path, measured, length)
            first = -length if measured.from_first else 0.0
            up = given.fold == "up"
            return HungFace(name, edge, bend, taken, make, up, start, end, relief, first, rank)

        return on_edge

    def _ends(
        self, given: FlangeGiven, path: Path, measured: _Measured, length: float
    ) -> tuple[float | None, float | None]:
        """Where on the edge it begins and ends, from the edge's first corner, mm; None at the corners."""
        low = None if given.from_ is None else given.from_ - measured.zero
        high = None if given.to is None else given.to - measured.zero
        least = 0.0
        if measured.zero:
            # On the side of a flange: a notch and as much metal again between it and the flange's own bend.
            least = max(2.0 * self.request.relief(given.relief).width, self.request.thickness)
            low = least if low is None else low
        if (low or 0.0) < least - 1e-9 or (length if high is None else high) > length + 1e-6:
            key = "from" if (low or 0.0) < least else "to"
            top = figure(length + measured.zero, 2)
            accepted = f"from {figure(least + measured.zero, 2)} to {top} mm along the edge"
            raise self.request.unfit((*path, key), f"the flange leaves its edge, which ends at {top} mm", accepted)
        if (length if high is None else high) - (low or 0.0) < 1e-6:
            raise self.request.unfit((*path, "to"), "the flange has no length", "`to` greater than `from`")
        if measured.from_first:
            return low, high
        return (None if high is None else length - high), (None if low is None else length - low)

    def _below(
        self, given: FlangeGiven, own: str, path: Path, measured: _Measured, bend: Bend
    ) -> tuple[Bend, str, OnEdge]:
        """A flange on a flange: its bend, the side it is on, and what hangs it there."""
        side = given.edge or "far"
        if not isinstance(side, str):
            raise self.request.unfit((*path, "edge"), f"a flange has no edge {side}", 'edge = "far", "left" or "right"')
        if side == "far":
            on = _Measured(measured.from_first)
        else:
            # The side that goes up from the fold's first corner has its lower end first.
            on = _Measured((side == "right") != measured.from_first, bend.setback)
        return self._bend(given), side, self._flange(given, given.name or own, path, on, 0)

    def _leaf(
        self, given: FlangeGiven, name: str, height: float, below: Sequence[tuple[Bend, str, OnEdge]]
    ) -> Callable[[Hinge], FaceSketch]:
        """The flange's leaf, `height` mm from its tangent line as drawn."""
        part = self.request.given
        own = given.corner_radius is not None or given.corner_chamfer is not None
        radius = (given.corner_radius or 0.0) if own else part.corner_radius
        chamfer = (given.corner_chamfer or 0.0) if own else part.corner_chamfer

        def leaf(hinge: Hinge) -> FaceSketch:
            if not below:
                return FaceSketch(name, self.request.corners(name, hinge.strip(height, radius, chamfer), height))
            corners, far = hinge.strip(height), hinge.far_edge(height)
            hung = []
            for _, side, on_edge in below:
                edge = far
                if side != "far":
                    if len(corners) != 4:
                        raise OutlineError("its ends are cut to meet its neighbours, so no flange can hang on them")
                    edge = 1 if (side == "right") == (self.axes[name].along > 0.0) else 3
                a, b = corners[edge], corners[(edge + 1) % len(corners)]
                hung.append(on_edge(edge, math.hypot(b.x - a.x, b.y - a.y)))
            return FaceSketch(name, corners, tuple(hung), self.request.closing)

        return leaf


def _top_names(given: Sequence[FlangeGiven]) -> list[str]:
    return [flange.name or f"flange {i}" for i, flange in enumerate(given, 1)]


def _from_first(a: Corner, b: Corner) -> bool:
    """Whether the edge's first corner is its left end (of an upright edge: its lower one)."""
    dx, dy = b.x - a.x, b.y - a.y
    return dx > 0.0 if abs(dx) > 1e-9 * math.hypot(dx, dy) else dy > 0.0
