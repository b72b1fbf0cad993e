"""Pictures of a mechanism: bodies, links and wheels in three views, its travel, and a free motion.

Bodies are drawn as their points joined to their middle, tubes as their axes, joints as
circles.  Where the mechanism goes to is dashed.  The axis of a free motion is drawn right
through, with an arrow round it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.documents.points.point_names import disc, gathered, write_names
from fabgen.documents.render.lettering import TEXT
from fabgen.documents.render.picture import Arc, Fill, Pen, Text, polyline
from fabgen.documents.render.sketch import Sketch
from fabgen.geometry.mechanics.constraints import FRAME, Places
from fabgen.geometry.mechanics.mechanism import Screw
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Array, any_across
from fabgen.motion.linkage import Linkage
from fabgen.motion.travel import Follow
from fabgen.parts.shape.directions import array, direction

_ASIDE = 13.0
"""Room for names on either side of the views, mm of paper."""
_GHOST = math.radians(9.0)
_CIRCLE = np.linspace(0.0, 2.0 * math.pi, 49)


@dataclass(frozen=True, eq=False)
class Direction:
    """A way of looking: the directions on paper to the right and up."""

    name: str
    right: Array
    up: Array

    def flat(self, points: Array) -> Array:
        return np.column_stack((points @ self.right, points @ self.up))


_X, _Y, _Z = np.eye(3)
SIDE = Direction("seen from the right", _X, _Z)
BEHIND = Direction("seen from behind", -_Y, _Z)
ABOVE = Direction("seen from above", _X, _Y)
AHEAD_UP = Direction("seen from above, forward upward", -_Y, _X)


@dataclass(frozen=True, eq=False)
class Chain:
    """Points (n, 3) in space, drawn as one line."""

    points: Array
    pen: Pen


def three_views(
    linkage: Linkage, ghosts: Sequence[Places], screws: Sequence[Screw], room: tuple[float, float]
) -> tuple[Sketch, float]:
    """Side, rear and top view to one scale within `room` mm, and that scale (mm of paper a mm)."""
    drawn = list(_chains(linkage, linkage.driven.system.drawn, ghost=False))
    for places in ghosts:
        drawn += _chains(linkage, places, ghost=True)
    for screw in screws:
        drawn += _screw_chains(linkage, screw, drawn)
    every = np.vstack([chain.points for chain in drawn])
    low, size = every.min(axis=0), np.ptp(every, axis=0)
    gap, head = 7.0, 7.0
    # The view from above lies under that from the right, or turned under that from behind: where the lower of the two
    # arrangements lets all be larger.
    plan, deep = (AHEAD_UP, size[0]) if size[0] < size[1] else (ABOVE, size[1])
    scale = min(
        (room[0] - 2.0 * gap - 2.0 * _ASIDE) / max(size[0] + size[1], 1.0),
        (room[1] - gap - 2 * head) / max(deep + size[2], 1.0),
    )
    sketch = Sketch()
    side = (_ASIDE, deep * scale + gap + head)
    behind = (_ASIDE + size[0] * scale + 2.0 * gap, side[1])
    above = (behind[0] if plan is AHEAD_UP else _ASIDE, 0.0)
    corners = {SIDE: low, BEHIND: low + size * _Y, ABOVE: low, AHEAD_UP: low + size * _Y}
    spots = []
    for view, at in ((SIDE, side), (BEHIND, behind), (plan, above)):
        corner = view.flat(corners[view][None])[0]
        shift = np.array(at) - corner * scale
        _draw(sketch, linkage, drawn, view, scale, shift)
        spots.append(_labels(linkage, view, scale, shift))
        extent = deep if view is plan else size[2]
        sketch.write(Text(at[0], at[1] + extent * scale + 3.0, view.name, TEXT, bold=True))
    # The names of all views keep clear of the lines and titles of all.
    for named in spots:
        write_names(sketch, named, room[0], 0.0)
    return sketch, scale


# -- lines ------------------------------------------------------------------------------
def _chains(linkage: Linkage, places: Places, ghost: bool) -> Iterator[Chain]:
    follow = Follow(linkage, [places])
    main: Pen = "hidden" if ghost else "visible"
    thin: Pen = "hidden" if ghost else "thin"
    for body in range(len(linkage.mechanism.bodies)):
        points = [follow.point(body, at)[0] for at in _points_of(linkage, body)]
        if len(points) == 2:
            yield Chain(np.array(points), main)
        elif points:
            middle = np.mean(points, axis=0)
            for point in points:
                yield Chain(np.array([middle, point]), main)
    for tube in linkage.job.tube:
        body = linkage.riding.get(f"mark {tube.mark}", FRAME)
        if body == FRAME and ghost:
            continue
        yield Chain(np.array([follow.point(body, array(point))[0] for point in tube.route]), thin)
    for rod in linkage.rods:
        ends = [follow.point(body, end)[0] for body, end in zip(rod.bodies, rod.ends, strict=True)]
        yield Chain(np.array(ends), main)
    for damper in linkage.job.damper:
        yield Chain(
            np.array([follow.point(linkage.body_of(point), array(point))[0] for point in damper.between]),
            "hidden" if ghost else "centre",
        )
    for wheel in linkage.job.wheel:
        centre, body = array(wheel.centre), linkage.number(wheel.on)
        axis = direction(wheel.axis, centre)
        ring = _ring(centre, axis, wheel.diameter / 2.0)
        yield Chain(np.vstack([follow.point(body, point) for point in ring]), thin)


def _points_of(linkage: Linkage, body: int) -> list[Array]:
    """Where the body is held, driven and named, each place once."""
    job = linkage.job
    joints = [joint for joint in job.joint if body in (linkage.number(name) for name in joint.between)]
    found = [array(joint.at) for joint in joints]
    # A hinge whose axis runs on to a second point is held there too, as a wishbone is.
    found += [array(joint.axis.toward) for joint in joints if joint.axis is not None and joint.axis.toward is not None]
    found += [array(point) for point in job.body[body].points]
    found += [array(wheel.centre) for wheel in job.wheel if linkage.number(wheel.on) == body]
    kept: list[Array] = []
    for point in found:
        if all(np.linalg.norm(point - other) > 0.5 for other in kept):
            kept.append(point)
    return kept


def _ring(centre: Array, axis: Array, radius: float, part: float = 1.0) -> Array:
    hint = any_across(axis)
    one = np.cross(axis, hint)
    one = one / np.linalg.norm(one)
    other = np.cross(axis, one)
    angle = _CIRCLE[:, None] * part
    return np.asarray(centre + radius * (np.cos(angle) * one + np.sin(angle) * other))


def _screw_chains(linkage: Linkage, screw: Screw, drawn: Sequence[Chain]) -> list[Chain]:
    """The axis right through, an arrow round it, and the body turned a little (or a slide's arrow)."""
    every = np.vstack([chain.points for chain in drawn])
    size = float(np.linalg.norm(np.ptp(every, axis=0)))
    points = np.array(_points_of(linkage, screw.body) or [screw.at])
    if not screw.turns:
        start = points.mean(axis=0)
        end = start + 0.15 * size * screw.along
        return [Chain(np.array([start, end]), "frame"), *_head(end, screw.along, screw.along, 0.03 * size)]
    along = (points - screw.at) @ screw.along
    low, high = float(along.min()) - 0.08 * size, float(along.max()) + 0.08 * size
    chains = [Chain(np.array([screw.at + low * screw.along, screw.at + high * screw.along]), "bend")]
    radius = 0.05 * size
    ring = _ring(screw.at + high * screw.along, screw.along, radius, 0.75)
    chains.append(Chain(ring, "trim"))
    chains += _head(ring[-1], ring[-1] - ring[-2], screw.along, 0.02 * size)
    middle = points.mean(axis=0)
    for angle in (_GHOST, -_GHOST):
        turned = [_turned(point, screw, angle) for point in (*points, middle)]
        chains += [Chain(np.array([turned[-1], point]), "hidden") for point in turned[:-1]]
    return chains


def _head(tip: Array, way: Array, axis: Array, length: float) -> list[Chain]:
    """An arrow head at the tip, its barbs spread both across the axis and along it."""
    way = way / np.linalg.norm(way)
    aside = np.cross(axis, way)
    if np.linalg.norm(aside) < 1e-6:
        aside = np.cross(any_across(way), way)
    aside = aside / np.linalg.norm(aside)
    other = np.cross(way, aside)
    return [
        Chain(np.array([tip, tip - length * (way + spread)]), "trim")
        for spread in (0.45 * aside, -0.45 * aside, 0.45 * other, -0.45 * other)
    ]


def _turned(point: Array, screw: Screw, angle: float) -> Array:
    """The point turned about the screw's axis, and slid by its pitch: Rodrigues' formula."""
    k, r = screw.along, point - screw.at
    turned = r * math.cos(angle) + np.cross(k, r) * math.sin(angle) + k * float(k @ r) * (1.0 - math.cos(angle))
    return np.asarray(screw.at + turned + k * screw.pitch * angle)


# -- on paper ------------------------------------------------------------------------------
def _draw(
    sketch: Sketch, linkage: Linkage, chains: Sequence[Chain], view: Direction, scale: float, shift: Array
) -> None:
    for chain in chains:
        flat = view.flat(chain.points) * scale + shift
        if float(np.linalg.norm(np.ptp(flat, axis=0))) > 0.05:
            sketch.draw(polyline([(x, y) for x, y in flat], chain.pen))
    joints = {joint.name: array(joint.at) for joint in linkage.job.joint}
    for at in [*joints.values(), *(end for rod in linkage.rods for end in rod.ends)]:
        x, y = (float(v) for v in view.flat(at[None])[0] * scale + shift)
        ring = disc((x, y), 0.8, 12)
        sketch.draw(Fill((*ring, ring[0]), 1.0), Arc(x, y, 0.8))


def _labels(linkage: Linkage, view: Direction, scale: float, shift: Array) -> list[tuple[Xy, list[str]]]:
    """Names of the points that matter, those that fall on one another as one."""
    points = {point.name: array(point) for body in linkage.job.body for point in body.points}
    points |= {joint.at.name or joint.name: array(joint.at) for joint in linkage.job.joint}
    for rod in linkage.rods:
        for point in linkage.job.link[rod.index].between or ():
            if point.name:
                points[point.name] = array(point)
    for damper in linkage.job.damper:
        points |= {point.name: array(point) for point in damper.between if point.name}
    flat = view.flat(np.array([*points.values()]).reshape(-1, 3)) * scale + shift
    return gathered((name, (x, y)) for name, (x, y) in zip(points, flat.tolist(), strict=True))
