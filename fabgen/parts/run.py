"""A tube as the job places it, before its ends are worked: route, section and top."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from fabgen.geometry.contact import Array, HalfSpace, Solid, Trimmed
from fabgen.geometry.frame import Frame
from fabgen.job.definitions import Tube, TubeEnd
from fabgen.parts.cope import section_solid
from fabgen.shop.section import Section

At = Literal["start", "finish"]
ENDS: tuple[At, At] = ("start", "finish")

_SQUARE = 1e-7
"""Cosines below this count as a right angle."""


@dataclass(frozen=True, eq=False)
class Run:
    """One tube on its straight route.

    `frame`: origin at the route's start, x toward its finish, z the tube's top: as near +z of
    the job as square to the route allows (+x for a vertical tube), turned about x by the
    job's `turn` where the section is rectangular.  `axis` is the route's length, mm.
    """

    index: int
    mark: str
    section: Section
    frame: Frame
    axis: float
    start: TubeEnd
    finish: TubeEnd

    @staticmethod
    def of(index: int, tube: Tube) -> Run:
        """Raises ValueError where the route has no length."""
        first, last = (np.array([p.x, p.y, p.z]) for p in (tube.route[0], tube.route[-1]))
        length = float(np.linalg.norm(last - first))
        if length < 0.01:
            raise ValueError("the route has no length: its points are the same")
        frame = upright(first, last - first, 0.0 if tube.section.is_round else tube.turn)
        return Run(index, tube.mark, tube.section, frame, length, tube.start, tube.finish)

    def given(self, at: At) -> TubeEnd:
        """What the job says of that end."""
        return self.start if at == "start" else self.finish

    def point(self, at: At) -> Array:
        """The route's point at that end."""
        return self.frame.origin if at == "start" else self.frame.origin + self.axis * self.frame.x

    def inward(self, at: At) -> Array:
        """Unit direction from that end along the tube."""
        return self.frame.x if at == "start" else -self.frame.x

    @cached_property
    def solid(self) -> Solid:
        """The tube filled up and without ends."""
        return section_solid(self.section, self.frame)

    @cached_property
    def body(self) -> Solid:
        """The tube filled up, from end to end of its route with its plain ends' extensions."""
        ends = [HalfSpace.at(self.point(at) - self.inward(at) * self.given(at).extend, -self.inward(at)) for at in ENDS]
        return Trimmed(self.solid, tuple(ends))

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Lower and upper corner of a box that holds the body."""
        ends = np.array([self.point(at) - self.inward(at) * self.given(at).extend for at in ENDS])
        reach = self.section.reach * np.sqrt(np.maximum(0.0, 1.0 - self.frame.x**2))
        return ends.min(axis=0) - reach, ends.max(axis=0) + reach

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
        across = np.vstack((self.frame.y, self.frame.z))
        return np.asarray(self.point(at) + np.vstack((np.zeros(2), rings)) @ across)


def upright(origin: Array, along: Array, turn: float = 0.0) -> Frame:
    """Frame along a tube: z is its top, as near +z as `along` allows, or +x where the tube is
    vertical, then turned about x by `turn` rad."""
    x = along / np.linalg.norm(along)
    up = np.array([1.0, 0.0, 0.0]) if math.hypot(x[0], x[1]) < 1e-6 else np.array([0.0, 0.0, 1.0])
    frame = Frame.along(origin, x, np.cross(up, x))
    c, s = math.cos(turn), math.sin(turn)
    return Frame(frame.origin, frame.x, c * frame.y + s * frame.z, c * frame.z - s * frame.y)


@dataclass(frozen=True, eq=False)
class Setting:
    """How a branch's end stands to a main: the end's frame (DESIGN 6), the acute angle (rad)
    and the signed offset (mm) of the axes."""

    frame: Frame
    angle: float
    offset: float


def setting(branch: Run, at: At, main: Run) -> Setting:
    """The end's frame: origin at the work point (where the branch's axis is nearest the
    main's), x along the branch away from the end, y on the heel side.

    Where the axes are square to one another both sides are alike; then y is the side nearer
    the branch's top, and if that is square to the main too, the side nearer the branch's left.
    Raises ValueError where the axes are parallel.
    """
    along, point = branch.inward(at), branch.point(at)
    heel = main.frame.x
    lean = float(heel @ along)
    if abs(lean) < _SQUARE:
        lean = next((float(heel @ side) for side in (branch.frame.z, branch.frame.y) if abs(heel @ side) > 1e-6), 1.0)
    if lean < 0.0:
        heel = -heel
    cosine = float(heel @ along)
    away = point - main.frame.origin
    way = (float(heel @ away) * cosine - float(along @ away)) / (1.0 - cosine**2)
    frame = Frame.along(point + way * along, along, heel)
    angle = math.atan2(float(heel @ frame.y), cosine)
    return Setting(frame, angle, float((main.frame.origin - frame.origin) @ frame.z))


def angle_about(frame: Frame, direction: Array) -> float:
    """phi, rad in [0, 2 pi), of a direction square to frame.x."""
    phi = math.atan2(float(direction @ frame.z), float(direction @ frame.y)) % (2.0 * math.pi)
    return 0.0 if 2.0 * math.pi - phi < 1e-12 else phi
