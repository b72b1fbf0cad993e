"""The centreline of a bent tube: straights and circular turns, and the frame carried along it.

The frame at a place has x along the tube, from start to finish, and z its top line.  Bending does
not twist a tube: in a turn the frame turns about the bend's own axis and about nothing else, so
the top line is one line along the tube's skin, as if scribed on it before it was bent.

The rotation of a bend is counted as a right-hand screw along the tube: looking from the start
toward the finish, clockwise is plus.  `from_top` is where a bend's inside lies, so counted from
the top line; the rotation from one bend to the next is the difference of the two.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.wording.input_error import InputError
from fabgen.wording.sentence import mm, sentence

STRAIGHT = 1e-6
"""A route that turns by less than this goes straight on, rad."""

SHARPEST = math.radians(170.0)
"""A route that turns by more than this at one point has no bend there: it takes two."""

NOTHING = 0.01
"""Lengths below this count as none, mm."""


class RouteError(InputError):
    """A route that no tube can follow; its `key` is the number of the point at fault, from 0."""


@dataclass(frozen=True, eq=False)
class Straight:
    """A straight from `frame` on; `at` is how far along the centreline it begins, mm."""

    frame: Frame
    length: float
    at: float

    @property
    def end(self) -> Frame:
        """The frame at its end."""
        return self.frame_at(self.length)

    def frame_at(self, s: float) -> Frame:
        """The frame at a place of it.

        Args:
            s: mm on from its beginning.
        """
        return replace(self.frame, origin=self.frame.origin + s * self.frame.x)

    def locate(self, points: Array, low: float, high: float) -> tuple[Array, Array, Array]:
        """Where points are nearest to it.

        Args:
            points: (n, 3), mm.
            low: places before this count as this, mm along it; -inf where it runs on.
            high: places past this count as this, mm along it.
        Returns: the place along it, (n,) mm; (y, z) in the frame there, (n, 2) mm; the distance from the
            centreline, (n,) mm.
        """
        local = self.frame.inside(points)
        s = np.clip(local[:, 0], low, high)
        return s, local[:, 1:], np.hypot(local[:, 0] - s, np.hypot(local[:, 1], local[:, 2]))


@dataclass(frozen=True, eq=False)
class Turn:
    """A circular turn by `angle` rad about the unit `axis` through `centre`, from `frame` on."""

    frame: Frame
    centre: Array
    axis: Array
    radius: float
    angle: float
    at: float

    @property
    def length(self) -> float:
        """Along the centreline, mm."""
        return self.radius * self.angle

    @property
    def end(self) -> Frame:
        """The frame at its end."""
        return self.frame_at(self.length)

    @property
    def corner(self) -> Array:
        """Where the straights before and after it would meet, (3,) mm."""
        return np.asarray(self.frame.origin + self.radius * math.tan(self.angle / 2.0) * self.frame.x)

    @property
    def from_top(self) -> float:
        """Where its inside lies: clockwise from the top line seen from the start, rad in (-pi, pi]."""
        inside = np.cross(self.axis, self.frame.x)
        return math.atan2(-float(inside @ self.frame.y), float(inside @ self.frame.z))

    def frame_at(self, s: float) -> Frame:
        """The frame at a place of it.

        Args:
            s: mm of centreline on from its beginning.
        """
        turned = _turning(self.axis, s / self.radius)
        f = self.frame
        origin = self.centre + turned @ (f.origin - self.centre)
        return Frame(origin, turned @ f.x, turned @ f.y, turned @ f.z)

    def locate(self, points: Array, low: float, high: float) -> tuple[Array, Array, Array]:
        """As `Straight.locate`.

        Args:
            points: (n, 3), mm.
            low: not used: a turn ends where it ends.
            high: not used.
        """
        away = points - self.centre
        out = unit(self.frame.origin - self.centre)
        angle = np.arctan2(away @ self.frame.x, away @ out)
        middle = self.angle / 2.0
        angle = np.clip(np.remainder(angle - middle + math.pi, 2.0 * math.pi) - math.pi, -middle, middle) + middle
        c, s = np.cos(angle), np.sin(angle)
        z = away @ self.axis
        x, r = away @ self.frame.x, away @ out
        along, radial = c * x - s * r, c * r + s * x - self.radius
        across = radial[:, None] * (out @ np.column_stack((self.frame.y, self.frame.z)))
        across = across + z[:, None] * (self.axis @ np.column_stack((self.frame.y, self.frame.z)))
        return angle * self.radius, across, np.hypot(along, np.hypot(radial, z))


Stretch = Straight | Turn


@dataclass(frozen=True, eq=False)
class Centreline:
    """Straights and turns in order: it begins and ends with a straight, if of no length, and has
    one between any two turns."""

    stretches: tuple[Stretch, ...]

    @property
    def start(self) -> Frame:
        """The frame at the start."""
        return self.stretches[0].frame

    @cached_property
    def finish(self) -> Frame:
        """The frame at the finish, x still from start to finish."""
        return self.stretches[-1].end

    @property
    def length(self) -> float:
        """mm along the centreline."""
        last = self.stretches[-1]
        return last.at + last.length

    @property
    def straights(self) -> tuple[Straight, ...]:
        """Its straights in order."""
        return tuple(s for s in self.stretches if isinstance(s, Straight))

    @property
    def turns(self) -> tuple[Turn, ...]:
        """Its turns in order."""
        return tuple(s for s in self.stretches if isinstance(s, Turn))

    @cached_property
    def closed(self) -> bool:
        """Whether it ends where it begins, and goes on there as it began: a ring."""
        gap = float(np.linalg.norm(self.finish.origin - self.start.origin))
        return bool(self.turns) and gap < 2.0 * NOTHING and float(self.finish.x @ self.start.x) > 1.0 - 1e-6

    def frame_at(self, s: float) -> Frame:
        """The frame at a place of it, also before the start and past the finish.

        Args:
            s: mm along it.
        """
        stretch = next((x for x in reversed(self.stretches) if x.at <= s and x.length > 0.0), self.stretches[0])
        if stretch is not self.stretches[0] and stretch.at + stretch.length < s:
            stretch = self.stretches[-1]
        return stretch.frame_at(s - stretch.at)

    def locate(self, points: Array) -> tuple[Array, Array]:
        """Where points are nearest to it; the first and last straight run on without end, but those of a ring.

        Args:
            points: (n, 3), mm.
        Returns: the place along it, (n,) mm, and (y, z) in the frame there, (n, 2) mm.
        """
        best = np.full(len(points), np.inf)
        at, across = np.zeros(len(points)), np.zeros((len(points), 2))
        for stretch in self.stretches:
            low = -np.inf if stretch is self.stretches[0] and not self.closed else 0.0
            high = np.inf if stretch is self.stretches[-1] and not self.closed else stretch.length
            s, yz, off = stretch.locate(points, low, high)
            nearer = off < best - 1e-9
            best = np.where(nearer, off, best)
            at, across = np.where(nearer, stretch.at + s, at), np.where(nearer[:, None], yz, across)
        return at, across

    def nearest(self, point: Array) -> Stretch:
        """The straight or turn that a point is nearest to, the earlier of two alike.

        Args:
            point: (3,), mm.
        """
        offs = [float(s.locate(point[None, :], 0.0, s.length)[2][0]) for s in self.stretches]
        return self.stretches[min(range(len(offs)), key=lambda i: (round(offs[i], 6), i))]

    def stations(self, step: float) -> Iterator[float]:
        """Places along it, mm: where straights and turns meet, and between these in the turns.

        Args:
            step: greatest turn between two places, rad.
        """
        for stretch in self.stretches:
            count = math.ceil(stretch.angle / step) if isinstance(stretch, Turn) else 1
            yield from (stretch.at + stretch.length * i / count for i in range(count))
        yield self.length


def centreline(points: Array, radii: Sequence[float], start: Frame) -> Centreline:
    """The centreline through points, with a circular turn at each inner one.

    Args:
        points: (n, 3), mm, in the order of the route.
        radii: of the turns, (n - 2,), mm.  Turns that follow one another at once in one plane and with one
            radius are one turn.
        start: the frame at the first point; its x leads to the second.
    Raises:
        RouteError: two points are the same, the route turns back on itself, or bends take more than a leg has.
    """
    ways = _ways(points)
    bends = [_Corner.of(i, a, b, r) for i, ((a, b), r) in enumerate(zip(pairwise(ways), radii, strict=True), 1)]
    takes = [0.0, *(bend.takes for bend in bends), 0.0]
    frame, at = start, 0.0
    stretches: list[Stretch] = []
    for i, (a, b) in enumerate(pairwise(points)):
        long = float(np.linalg.norm(b - a))
        rest = long - takes[i] - takes[i + 1]
        if rest < -NOTHING:
            raise _overlap(i, long, takes)
        rest = rest if rest > NOTHING else 0.0
        stretches.append(Straight(frame, rest, at))
        frame, at = stretches[-1].end, at + rest
        if i < len(bends) and bends[i].angle > 0.0:
            stretches.append(bends[i].turn(frame, at))
            frame, at = stretches[-1].end, at + stretches[-1].length
    return Centreline(tuple(_joined(stretches)))


@dataclass(frozen=True, eq=False)
class _Corner:
    """An inner point: the route turns there by `angle` about `axis`, no angle where it goes straight on."""

    axis: Array
    angle: float
    radius: float

    @staticmethod
    def of(place: int, before: Array, after: Array, radius: float) -> _Corner:
        across = np.cross(before, after)
        angle = math.atan2(float(np.linalg.norm(across)), float(before @ after))
        if angle > SHARPEST:
            what = f"at its point {place + 1} the route turns back on itself by {math.degrees(angle):.0f} degrees"
            raise RouteError(what, "two points there, each with a bend of its own", key=(place,))
        if angle < STRAIGHT:
            return _Corner(across, 0.0, radius)
        return _Corner(unit(across), angle, radius)

    @property
    def takes(self) -> float:
        """Of the leg on either side, mm."""
        return self.radius * math.tan(self.angle / 2.0)

    def turn(self, frame: Frame, at: float) -> Turn:
        centre = frame.origin + self.radius * np.cross(self.axis, frame.x)
        return Turn(frame, centre, self.axis, self.radius, self.angle, at)


def _ways(points: Array) -> list[Array]:
    """Unit directions of the legs."""
    ways = []
    for i, (a, b) in enumerate(pairwise(points)):
        if float(np.linalg.norm(b - a)) < NOTHING:
            raise RouteError(f"its points {i + 1} and {i + 2} are the same", "points apart", key=(i + 1,))
        ways.append(unit(b - a))
    return ways


def _overlap(i: int, long: float, takes: Sequence[float]) -> RouteError:
    needs = takes[i] + takes[i + 1]
    what = sentence(
        f"its points {i + 1} and {i + 2} are ",
        mm(long, 1, fixed=True),
        " apart, and the bends there take ",
        mm(needs, 1, fixed=True),
        f" of it ({takes[i]:.1f} + {takes[i + 1]:.1f})",
    )
    return RouteError(what, "points farther apart, or a smaller bend_radius", key=(i,))


def _joined(stretches: Sequence[Stretch]) -> Iterator[Stretch]:
    """With turns made one that follow at once in one plane and of one radius, and with straights
    made one that follow at once."""
    done: list[Stretch] = []
    for stretch in stretches:
        last = done[-1] if done else None
        before = done[-2] if len(done) > 1 else None
        if isinstance(stretch, Straight) and isinstance(last, Straight):
            done[-1] = replace(last, length=last.length + stretch.length)
        elif (
            isinstance(stretch, Turn)
            and isinstance(last, Straight)
            and isinstance(before, Turn)
            and last.length == 0.0
            and abs(stretch.radius - before.radius) < NOTHING
            and float(np.linalg.norm(np.cross(stretch.axis, before.axis))) < 10.0 * STRAIGHT
            and float(stretch.axis @ before.axis) > 0.0
        ):
            done[-2:] = [replace(before, angle=before.angle + stretch.angle)]
        else:
            done.append(stretch)
    return iter(done)


def _turning(axis: Array, angle: float) -> Array:
    """The matrix that turns about a unit axis by `angle` rad (Rodrigues' formula)."""
    x, y, z = axis
    skew = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + math.sin(angle) * skew + (1.0 - math.cos(angle)) * (skew @ skew))


def in_plane(frame: Frame, legs: Sequence[float], bends: Sequence[float], radii: Sequence[float]) -> Centreline:
    """A centreline that stays in the plane of the frame's x and z.

    Args:
        frame: at its start, x along it, z to its left.
        legs: straights in order, one more than there are bends, mm.
        bends: angles, rad, plus to the left.
        radii: of the bends in the centreline, mm.
    """
    page, stretches, at = -frame.y, list[Stretch](), 0.0
    for leg, bend, radius in zip(legs, (*bends, 0.0), (*radii, 0.0), strict=True):
        stretches.append(Straight(frame, leg, at))
        frame, at = stretches[-1].end, at + leg
        if bend:
            axis = page if bend > 0.0 else -page
            turn = Turn(frame, frame.origin + radius * np.cross(axis, frame.x), axis, radius, abs(bend), at)
            stretches.append(turn)
            frame, at = turn.end, at + turn.length
    return Centreline(tuple(stretches))
