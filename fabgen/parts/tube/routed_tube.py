"""A tube as the job places it, before its ends are worked: route, section and top.

The top of a straight tube is the line of its skin nearest to +z (to +x where it stands upright).
That of a bent one is so at its start, and is carried through the bends as a line scribed along the
tube (`centreline.py`); at its finish it may lie anywhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, cross, upright
from fabgen.geometry.tube.centreline import Centreline, RouteError, centreline
from fabgen.geometry.tube.solids import HalfSpace, Solid
from fabgen.job.tables.part_tables import Tube, TubeEnd
from fabgen.parts.piece import ENDS, At
from fabgen.parts.shape.tubes import SKEW, axis_near, size_in_bend, tube_solid
from fabgen.shop.section import Section
from fabgen.wording.sentence import mm, sentence

SAME_POINT = 1.0
"""Ends this near meet at one point, mm."""

_SQUARE = 1e-7
"""Cosines below this count as a right angle."""

_BOX_STEP = math.radians(10.0)
"""A bend's box is that of places so far apart, and of what the curve rises between them."""


@dataclass(frozen=True, eq=False)
class RoutedTube:
    """One tube on its route.

    `frame`: origin at the route's start, x along it, z the tube's top: as near +z of the job as
    square to the tube allows (+x for a vertical tube), turned about x by the job's `turn` where
    the section is rectangular.  `axis` is the route's length along the centreline, mm; `path` is
    the centreline of a bent tube, None for a straight one.
    """

    index: int
    mark: str
    section: Section
    frame: Frame
    axis: float
    start: TubeEnd
    finish: TubeEnd
    path: Centreline | None = None
    is_sleeve: bool = False
    """Whether it lies inside two others: nothing sits on it, and it sits on nothing."""
    as_it_is: bool = False
    """Whether it is bought or there already: others are fitted to it, and it to none of those made here."""
    given_at: tuple[Array, Array] | None = None
    """The points (3,) that the job gives for its two ends, mm, where they lie on its face; None where on its axis."""

    @staticmethod
    def of(index: int, tube: Tube) -> RoutedTube:
        """Raises RouteError where no tube can follow the route."""
        points = np.array([[p.x, p.y, p.z] for p in tube.route])
        first, second = points[0], points[1]
        length = float(np.linalg.norm(second - first))
        if length < 0.01:
            what = "its points are the same" if len(points) == 2 else "its first two points are the same"
            raise RouteError(f"the route has no length: {what}", "points apart", key=(1,) if len(points) > 2 else ())
        frame = upright(first, second - first, 0.0 if tube.section.is_round else tube.turn)
        routed = RoutedTube(
            index, tube.mark, tube.section, frame, length, tube.start, tube.finish, is_sleeve=bool(tube.sleeve_of),
            as_it_is=tube.as_it_is,
        )  # fmt: skip
        if any(point.drawn is not None for point in tube.route):
            one, other = (np.array(tube.route[i].as_given.xyz) for i in (0, -1))
            routed = replace(routed, given_at=(one, other))
        return routed if len(points) == 2 else routed._bent(points, tube.bend_radius or ())

    def _bent(self, points: Array, radii: tuple[float, ...]) -> RoutedTube:
        inner = len(points) - 2
        each = radii * inner if len(radii) == 1 else radii
        if len(each) != inner:
            raise RouteError(
                f"{len(radii)} bend radii for {inner} inner points", "one for all, or one for each", key=(1,)
            )
        path = centreline(points, each, self.frame)
        for turn in path.turns:
            if turn.radius <= size_in_bend(self.section, turn) / 2.0:
                what = sentence("a bend of ", mm(turn.radius, 3), " centreline radius is tighter than the tube itself")
                raise RouteError(what, "a bend_radius of more than half the tube's size", key=(1,))
        if path.closed and not self.section.is_round:
            self._match(path)
        return replace(self, axis=path.length, path=path if path.turns else None)

    def _match(self, path: Centreline) -> None:
        """Raises RouteError where the two ends of a ring come together twisted."""
        one, other = path.start.z, path.finish.z
        twist = math.atan2(float(cross(one, other) @ path.start.x), float(one @ other))
        alike = math.pi / 2.0 if self.section.width == self.section.depth else math.pi
        if abs(math.remainder(twist, alike)) > SKEW:
            turned = abs(math.degrees(math.remainder(twist, 2.0 * math.pi)))
            what = f"the ends of this ring come together turned by {turned:.1f} degrees, so they do not fit"
            raise RouteError(what, "corners in one plane, or a round tube")

    @property
    def order(self) -> tuple[bool, int]:
        """Its place in the order of fitting: what is there stands first, then as the job lists them."""
        return not self.as_it_is, self.index

    def given(self, at: At) -> TubeEnd:
        """What the job says of that end."""
        return self.start if at == "start" else self.finish

    def point(self, at: At) -> Array:
        """The route's point at that end."""
        if at == "start":
            return self.frame.origin
        return self.frame.origin + self.axis * self.frame.x if self.path is None else self.path.finish.origin

    def node(self, at: At) -> Array:
        """The point that the job gives for that end, where it meets others: the route's, or one on the tube's face."""
        if self.given_at is None:
            return self.point(at)
        return self.given_at[0 if at == "start" else 1]

    def meets(self, at: At, point: Array) -> bool:
        """Whether that end's point, or the one that the job gives for it, is a point, (3,) mm."""
        return min(math.dist(self.point(at), point), math.dist(self.node(at), point)) <= SAME_POINT

    def meets_end(self, at: At, other: RoutedTube, end: At) -> bool:
        """Whether two ends meet at one point, by their axes, or as the job gives them if one's axis lies within the
        other: of two that are stacked, points on the faces between them, neither does."""
        if math.dist(self.point(at), other.point(end)) <= SAME_POINT:
            return True
        if self.given_at is None and other.given_at is None:
            return False
        one, two = (self.point(at), self.node(at)), (other.point(end), other.node(end))
        if min(math.dist(a, b) for a in one for b in two) > SAME_POINT:
            return False
        return self._has_within(at, other.point(end)) or other._has_within(end, self.point(at))

    def _has_within(self, at: At, point: Array) -> bool:
        """Whether a point, (3,) mm, lies within the section at that end, seen along the tube."""
        frame = self.frame_at(at)
        away = point - self.point(at)
        half = self.section.depth / 2.0 - SAME_POINT, self.section.width / 2.0 - SAME_POINT
        return abs(float(away @ frame.y)) < half[0] and abs(float(away @ frame.z)) < half[1]

    def frame_at(self, at: At) -> Frame:
        """Origin at that end, x from start to finish as the tube lies there, z its top line."""
        if self.path is not None:
            return self.path.start if at == "start" else self.path.finish
        return self.frame if at == "start" else replace(self.frame, origin=self.point(at))

    def inward(self, at: At) -> Array:
        """Unit direction from that end along the tube."""
        if at == "start":
            return self.frame.x
        return -self.frame.x if self.path is None else -self.path.finish.x

    def straight(self, at: At) -> float:
        """How far the tube is straight from that end, mm."""
        return self.axis if self.path is None else self.path.straights[0 if at == "start" else -1].length

    @cached_property
    def solid(self) -> Solid:
        """The tube filled up and without ends."""
        return tube_solid(self.section, self.frame, self.path)

    def cut_back(self, start: tuple[HalfSpace, ...], finish: tuple[HalfSpace, ...]) -> Solid:
        """The tube filled up, each end cut back to half-spaces; it runs on past an end with none."""
        return tube_solid(self.section, self.frame, self.path, start, finish) if start or finish else self.solid

    @cached_property
    def body(self) -> Solid:
        """The tube filled up, from end to end of its route with its plain ends' extensions."""
        start, finish = (HalfSpace.at(self._last_point(at), -self.inward(at)) for at in ENDS)
        return tube_solid(self.section, self.frame, self.path, (start,), (finish,))

    def _last_point(self, at: At) -> Array:
        return self.point(at) - self.inward(at) * self.given(at).extend

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Lower and upper corner of a box that holds the body."""
        ends = np.array([self._last_point(at) for at in ENDS])
        if self.path is None:
            reach = self.section.reach * np.sqrt(np.maximum(0.0, 1.0 - self.frame.x**2))
        else:
            between = [self.path.frame_at(s).origin for s in self.path.stations(_BOX_STEP)]
            ends = np.vstack((ends, between))
            rise = max(turn.radius for turn in self.path.turns) * (1.0 - math.cos(_BOX_STEP / 2.0))
            reach = np.full(3, self.section.reach + rise)
        return ends.min(axis=0) - reach, ends.max(axis=0) + reach

    def axis_near(self, point: Array, along: Array) -> Frame:
        """The axis as an end at `point` with direction `along` sees it: along x, through the origin."""
        return axis_near(self.frame, self.path, point, along)

    def face(self, at: At) -> Array:
        """Points (n, 3) spread over the tube's end face at the route's end: rings out to the skin."""
        angle = np.linspace(0.0, 2.0 * math.pi, 48, endpoint=False)
        ring = np.column_stack((np.cos(angle), np.sin(angle)))
        section = self.section
        if not section.is_round:
            # On the square the ring is drawn out to; the corner radius is left out of account.
            ring = ring / np.abs(ring).max(axis=1)[:, None]
        sizes = np.array([section.depth, section.width]) / 2.0
        rings = (np.linspace(0.125, 1.0, 8)[:, None, None] * ring).reshape(-1, 2) * sizes
        frame = self.frame_at(at)
        across = np.vstack((frame.y, frame.z))
        return np.asarray(self.point(at) + np.vstack((np.zeros(2), rings)) @ across)


@dataclass(frozen=True, eq=False)
class Setting:
    """How a branch's end stands to a main: the end's frame (x along, y heel), the acute angle (rad)
    and the signed offset (mm) of the axes."""

    frame: Frame
    angle: float
    offset: float


def setting(branch: RoutedTube, at: At, main: RoutedTube) -> Setting:
    """The end's frame: origin at the work point (where the branch's axis is nearest the
    main's), x along the branch away from the end, y on the heel side.  Of a bent main the axis is
    its tangent there.

    Where the axes are square to one another both sides are alike; then y is the side nearer
    the branch's top, and if that is square to the main too, the side nearer the branch's left.
    Raises ValueError where the axes are parallel.
    """
    along, point = branch.inward(at), branch.point(at)
    axis = main.axis_near(point, along)
    origin, heel = axis.origin, axis.x
    lean = float(heel @ along)
    if abs(lean) < _SQUARE:
        own = branch.frame_at(at)
        lean = next((float(heel @ side) for side in (own.z, own.y) if abs(heel @ side) > 1e-6), 1.0)
    if lean < 0.0:
        heel = -heel
    cosine = float(heel @ along)
    away = point - origin
    way = (float(heel @ away) * cosine - float(along @ away)) / (1.0 - cosine**2)
    frame = Frame.along(point + way * along, along, heel)
    angle = math.atan2(float(heel @ frame.y), cosine)
    return Setting(frame, angle, float((origin - frame.origin) @ frame.z))
