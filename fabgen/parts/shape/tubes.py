"""Tubes as solids, straight or bent, and the axis of a main as a branch sees it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.centreline import Centreline, Straight, Turn
from fabgen.geometry.tube.elbow import Elbow
from fabgen.geometry.tube.solids import HalfSpace, Solid, Trimmed, Union
from fabgen.parts.piece import LengthPart, TubeBend, WorkedEnd
from fabgen.parts.shape.sections import section_solid
from fabgen.shop.section import Section

SKEW = math.radians(0.5)
"""A rectangular tube bends square to a face, to within this."""

Planes = Sequence[HalfSpace]


def tube_solid(
    section: Section, frame: Frame, path: Centreline | None = None, start: Planes = (), finish: Planes = ()
) -> Solid:
    """The tube filled up.

    Args:
        frame: of a straight tube: along frame.x, its top at frame.z.
        path: the centreline of a bent one, None for a straight one.
        start: half-spaces that the start is cut back to; with none the tube runs on past it.
        finish: the same of the finish.
    Returns: of a ring no end runs on: each stops at the butt joint.
    """
    if path is None:
        planes = (*start, *finish)
        solid = section_solid(section, frame)
        return Trimmed(solid, planes) if planes else solid
    if path.closed:
        start = (*start, HalfSpace.at(path.start.origin, -path.start.x))
        finish = (*finish, HalfSpace.at(path.finish.origin, path.finish.x))
    parts: list[Solid] = []
    last = len(path.stretches) - 1
    for i, stretch in enumerate(path.stretches):
        if isinstance(stretch, Turn):
            parts.append(elbow(section, stretch))
            continue
        if stretch.length == 0.0 and 0 < i < last:
            continue
        planes = (
            *(start if i == 0 else (HalfSpace.at(stretch.frame.origin, -stretch.frame.x),)),
            *(finish if i == last else (HalfSpace.at(stretch.end.origin, stretch.frame.x),)),
        )
        solid = section_solid(section, stretch.frame)
        parts.append(Trimmed(solid, planes) if planes else solid)
    return Union(tuple(parts))


def elbow(section: Section, turn: Turn) -> Elbow:
    """A bend filled up.

    Raises:
        ValueError: a rectangular tube would bend askew.
    """
    start = turn.frame.origin - turn.centre
    if section.is_round:
        r = section.width / 2.0
        return Elbow(turn.centre, turn.axis, start, turn.angle, r, r, r)
    askew = skew(turn)
    if abs(askew) > SKEW:
        raise ValueError(f"a rectangular tube bends square to a face, not {math.degrees(askew):.1f} degrees off it")
    upright = abs(math.sin(turn.from_top)) < 0.5
    across, up = (section.width, section.depth) if upright else (section.depth, section.width)
    return Elbow(turn.centre, turn.axis, start, turn.angle, across / 2.0, up / 2.0, section.corner)


def skew(turn: Turn) -> float:
    """How far the bend's inside lies from the nearest face's middle, clockwise seen from the start, rad."""
    return math.remainder(turn.from_top, math.pi / 2.0)


def size_in_bend(section: Section, turn: Turn | TubeBend) -> float:
    """The section's size in the plane of a bend, mm."""
    return section.width if section.is_round or abs(math.sin(turn.from_top)) < 0.5 else section.depth


def axis_near(frame: Frame, path: Centreline | None, point: Array, along: Array) -> Frame:
    """A main's axis as a branch's end sees it.

    On a bend it is the tangent at the place of the centreline that comes nearest to the end's own
    axis, looked for from the place nearest to the end's point.

    Args:
        frame: of the main, along its axis where it is straight.
        path: its centreline where it is bent.
        point: (3,) mm, the end's.
        along: (3,), unit direction of the end.
    Returns: along x from start to finish, through the origin, the main's top line at z.
    """
    if path is None:
        return frame
    stretch = path.nearest(point)
    if isinstance(stretch, Straight):
        return stretch.frame
    return stretch.frame_at(_nearest_pass(stretch, point, along))


def _nearest_pass(turn: Turn, point: Array, along: Array) -> float:
    """Place s on a turn, mm, where its centreline passes the line nearest, downhill from the place
    nearest to `point`."""
    out, ahead = turn.frame.origin - turn.centre, np.cross(turn.axis, turn.frame.origin - turn.centre)

    def slope(angle: Array) -> Array:
        """Of half the square of the distance."""
        c, s = np.cos(angle)[:, None], np.sin(angle)[:, None]
        away = turn.centre + c * out + s * ahead - point
        away = away - (away @ along)[:, None] * along
        return np.asarray((away * (c * ahead - s * out)).sum(axis=1))

    angles = np.linspace(0.0, turn.angle, max(3, math.ceil(turn.angle / math.radians(0.5))))
    slopes = slope(angles)
    first = float(turn.locate(point[None, :], 0.0, turn.length)[0][0]) / turn.radius
    i = int(np.abs(angles - first).argmin())
    while slopes[i] > 0.0 and i > 0 and slopes[i - 1] > 0.0:
        i -= 1
    while slopes[i] < 0.0 and i < len(angles) - 1 and slopes[i + 1] < 0.0:
        i += 1
    low, high = (i - 1, i) if slopes[i] > 0.0 else (i, i + 1)
    if low < 0 or high >= len(angles):
        return float(angles[i]) * turn.radius
    a, b = float(angles[low]), float(angles[high])
    for _ in range(40):
        middle = (a + b) / 2.0
        a, b = (a, middle) if slope(np.array([middle]))[0] > 0.0 else (middle, b)
    return (a + b) / 2.0 * turn.radius


def solid_of(part: LengthPart | None) -> Solid | None:
    """A made tube filled up and without ends; None where the job does not place it."""
    return None if part is None or part.frame is None else tube_solid(part.section, part.frame, part.path)


def frame_near(part: LengthPart, point: Array, along: Array) -> Frame:
    """`axis_near` of a made tube that the job places."""
    assert part.frame is not None
    return axis_near(part.frame, part.path, point, along)


def route_point(part: LengthPart, at: str) -> Array:
    """The route's point at an end of a made tube that the job places."""
    assert part.frame is not None
    if at == "start":
        return part.frame.origin
    return part.path.finish.origin if part.path is not None else part.frame.origin + part.axis * part.frame.x


def as_met(main: LengthPart | None, branch: LengthPart, end: WorkedEnd) -> Solid | None:
    """A made main as a branch's end was cut to it: filled up and without ends, with the end's root gap on it.

    A bent one counts only as far as the branch is straight, at most to its middle.

    Returns: None where the job does not place it.
    """
    solid = solid_of(main)
    if main is None or solid is None:
        return None
    if end.gap:
        solid = solid.grown(end.gap)
    if main.path is None or branch.frame is None:
        return solid
    counts = branch.axis / 2.0
    if branch.path is not None:
        counts = branch.path.straights[0 if end.at == "start" else -1].length
    along = end.frame.x
    return Trimmed(solid, (HalfSpace.at(route_point(branch, end.at) + counts * along, along),))


def outside_wall(section: Section, bend: TubeBend) -> float:
    """Wall left at the outside of a bend, by an estimate.

    The section stays plane and the centreline keeps its length, so the outermost fibre, half the
    tube's size d / 2 outside it, is stretched by d / (2 R); as wide and of the same volume as
    before, it is left at t R / (R + d / 2).  Bending between a former and a shoe pushes material
    after, or stretches it more: measure a test bend.

    Returns: mm.
    """
    half = size_in_bend(section, bend) / 2.0
    return section.wall * bend.radius / (bend.radius + half)


def facing(mark: str, end: WorkedEnd, other: LengthPart) -> WorkedEnd | None:
    """The other tube's end that is mitred with this one."""
    ends = [far for far in other.ends if far.cut == "mitre" and any(joint.onto == mark for joint in far.joints)]
    return min(ends, key=lambda far: float(np.linalg.norm(far.frame.origin - end.frame.origin)), default=None)
