"""What a travel does: wheels, dampers, rod ends, bushes and watched points in every position.

Signs after ISO 8855:2011 (road vehicles, vehicle dynamics, vocabulary; from memory): camber is
positive with the wheel's top leaning outward, toe is positive with its front nearer the
middle of the vehicle (toe-in).  x forward, y left, z up; a wheel's side is the side its
centre is drawn on.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.mechanics.constraints import Places
from fabgen.geometry.mechanics.sweeping import Ending, Travel, sweep
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.movement_tables import Wheel
from fabgen.motion.linkage import Linkage, stiffness
from fabgen.parts.shape.directions import array, direction

SIGNS = (
    "camber: plus with the wheel's top leaning outward; toe: plus with its front nearer the middle (toe-in), in "
    "degrees, both as ISO 8855:2011 (from memory). Track and wheelbase: shift of the tyre's contact point, plus "
    "outward and plus forward, for this wheel alone."
)


@dataclass(frozen=True, eq=False)
class WheelPath:
    """One wheel through a travel, (s,) each: camber and toe, rad; contact point outward and forward of
    where it is drawn, mm; its centre's height over where it is drawn, mm."""

    name: str
    camber: Array
    toe: Array
    outward: Array
    forward: Array
    height: Array


@dataclass(frozen=True, eq=False)
class Tilt:
    """How far a ball is tilted, (s,) rad: end `at` of link `mark`, or a ball joint.  `square` says that
    the bolt's direction is known; else the whole swing from the drawing is counted."""

    mark: str
    at: str
    angle: Array
    square: bool


@dataclass(frozen=True, eq=False)
class Give:
    """What a bush gives from where it is drawn: endwise (mm) and tilt (rad), (s,)."""

    joint: str
    endwise: Array
    tilt: Array


@dataclass(frozen=True, eq=False)
class SweepResult:
    """One sweep.  `driver` (s,) is the driver's change, mm; `places` the bodies in each position; `held`
    where other sweeps' drivers stood meanwhile, if not as drawn, mm."""

    name: str
    words: str
    driver: Array
    travel: Travel
    given: tuple[float, float]
    wheels: tuple[WheelPath, ...]
    dampers: Mapping[str, Array]
    tilts: tuple[Tilt, ...]
    gives: tuple[Give, ...]
    watched: Mapping[str, Array]
    held: Mapping[str, float]

    @property
    def places(self) -> tuple[Places, ...]:
        return tuple(position.places for position in self.travel.positions)

    @property
    def ends(self) -> tuple[tuple[float, Ending], ...]:
        return self.travel.ends


def run_sweep(linkage: Linkage, number: int) -> SweepResult:
    """One sweep of the job through its travel.

    Args:
        number: of the sweep, from 0; all other drivers are held as it says, or as drawn.
    """
    given, driver = linkage.job.sweep[number], linkage.drives[number]
    system = linkage.driven.system
    least, most = given.travel
    changes = np.linspace(least, most, given.steps)
    # The drawn position is always shown where it lies in the travel.
    changes = np.where(np.abs(changes) < 1e-9 * (most - least), 0.0, changes)
    if least < 0.0 < most and 0.0 not in changes:
        changes = np.sort(np.append(changes, 0.0))
    row, held = _rows(linkage, number)
    travel = sweep(system, row, list(changes), held)
    places = [position.places for position in travel.positions]
    follow = Follow(linkage, places)
    return SweepResult(
        name=given.name,
        words=linkage.drivers[driver].words,
        driver=np.array([position.driver for position in travel.positions]),
        travel=travel,
        given=(least, most),
        wheels=tuple(wheel_path(follow, wheel) for wheel in linkage.job.wheel),
        dampers={
            damper.name: np.linalg.norm(
                follow.point(linkage.body_of(damper.between[1]), array(damper.between[1]))
                - follow.point(linkage.body_of(damper.between[0]), array(damper.between[0])),
                axis=1,
            )
            for damper in linkage.job.damper
        },
        tilts=(*_rod_tilts(follow), *_ball_tilts(follow)),
        gives=tuple(_gives(follow)),
        watched={point.name: follow.point(linkage.body_of(point), array(point)) for point in given.watch},
        held={name: change for name, change in given.held.items() if change},
    )


def _rows(linkage: Linkage, number: int) -> tuple[int, list[tuple[int, float]]]:
    """The row that drives a sweep, and those that are held otherwise than drawn, by how much, mm."""
    first, names = len(linkage.mechanism.rows), [other.name for other in linkage.job.sweep]
    given = linkage.job.sweep[number].held
    held = [(first + linkage.drives[names.index(name)], change) for name, change in given.items() if change]
    return first + linkage.drives[number], held


def held_rows(linkage: Linkage, result: SweepResult) -> tuple[int, list[tuple[int, float]]]:
    """The row that drives a travel, and those that are held meanwhile, by how much, mm.

    Args:
        linkage: what moves.
        result: the travel.
    """
    return _rows(linkage, [sweep.name for sweep in linkage.job.sweep].index(result.name))


class Follow:
    """Points and directions of bodies through all positions of a travel."""

    def __init__(self, linkage: Linkage, places: list[Places]) -> None:
        self.linkage, self.count = linkage, len(places)
        bodies = len(linkage.mechanism.bodies)
        self.origins = np.array([p.origins for p in places]).reshape(-1, bodies + 1, 3)
        self.turns = np.array([p.turns for p in places]).reshape(-1, bodies + 1, 3, 3)
        self.drawn = linkage.driven.system.drawn.origins

    def point(self, body: int, drawn: Array) -> Array:
        """Where a point drawn there is, (s, 3)."""
        return np.asarray(self.origins[:, body] + self.turns[:, body] @ (drawn - self.drawn[body]))

    def along(self, body: int, drawn: Array) -> Array:
        """A direction of the body, (s, 3)."""
        return np.asarray(self.turns[:, body] @ drawn)

    def back(self, body: int, directions: Array) -> Array:
        """Directions (s, 3) of space as the body sees them, in drawn coordinates."""
        return np.asarray((directions[:, None, :] @ self.turns[:, body])[:, 0])


def wheel_path(follow: Follow, wheel: Wheel) -> WheelPath:
    """A wheel through all positions of a travel, with the signs at the head of this module."""
    centre, body = array(wheel.centre), follow.linkage.number(wheel.on)
    side = math.copysign(1.0, centre[1])
    axis = direction(wheel.axis, centre)
    outward = axis if axis[1] * side >= 0.0 else -axis
    spindle = follow.along(body, outward)
    contact = _contact(follow.point(body, centre), spindle, wheel.diameter / 2.0)
    drawn = _contact(centre[None], outward[None], wheel.diameter / 2.0)[0]
    return WheelPath(
        name=wheel.name,
        camber=np.arcsin(np.clip(-spindle[:, 2], -1.0, 1.0)),
        toe=np.arctan2(spindle[:, 0], side * spindle[:, 1]),
        outward=side * (contact[:, 1] - drawn[1]),
        forward=contact[:, 0] - drawn[0],
        height=follow.point(body, centre)[:, 2] - centre[2],
    )


def _contact(centre: Array, spindle: Array, radius: float) -> Array:
    """Lowest point of the wheel's middle circle, (s, 3)."""
    down = np.array([0.0, 0.0, -1.0]) + spindle[:, 2:3] * spindle
    return np.asarray(centre + radius * down / np.maximum(np.linalg.norm(down, axis=1), 1e-9)[:, None])


def _rod_tilts(follow: Follow) -> list[Tilt]:
    linkage, found = follow.linkage, []
    for rod in linkage.rods:
        ends = [follow.point(body, end) for body, end in zip(rod.bodies, rod.ends, strict=True)]
        along = ends[1] - ends[0]
        along = along / np.linalg.norm(along, axis=1)[:, None]
        drawn = (rod.ends[1] - rod.ends[0]) / np.linalg.norm(rod.ends[1] - rod.ends[0])
        for at, body, pin in zip(("start", "finish"), rod.bodies, rod.pins, strict=True):
            seen = follow.back(body, along)
            if pin is None:
                angle = np.arccos(np.clip(seen @ drawn, -1.0, 1.0))
            else:
                angle = np.arcsin(np.clip(np.abs(seen @ pin), 0.0, 1.0))
            found.append(Tilt(rod.mark, at, angle, pin is not None))
    return found


def _ball_tilts(follow: Follow) -> list[Tilt]:
    """Ball joints: how far the stud (along the axis given, or the worst there may be) tilts from the drawing."""
    found = []
    for joint in follow.linkage.job.joint:
        if joint.kind == "ball":
            one, other = (follow.linkage.number(name) for name in joint.between)
            turn = np.transpose(follow.turns[:, one], (0, 2, 1)) @ follow.turns[:, other]
            if joint.axis is None:
                angle = np.arccos(np.clip((np.trace(turn, axis1=1, axis2=2) - 1.0) / 2.0, -1.0, 1.0))
            else:
                axis = direction(joint.axis, array(joint.at))
                angle = np.arccos(np.clip((turn @ axis) @ axis, -1.0, 1.0))
            found.append(Tilt(joint.name, "", angle, joint.axis is not None))
    return found


def _gives(follow: Follow) -> list[Give]:
    found = []
    for joint in follow.linkage.job.joint:
        if joint.kind == "bush" and joint.axis is not None and not {"axial", "tilt"} <= set(stiffness(joint)):
            one, other = (follow.linkage.number(name) for name in joint.between)
            at = array(joint.at)
            axis = direction(joint.axis, at)
            first = follow.along(one, axis)
            gap = follow.point(other, at) - follow.point(one, at)
            cosine = (first * follow.along(other, axis)).sum(axis=1)
            found.append(Give(joint.name, (gap * first).sum(axis=1), np.arccos(np.clip(cosine, -1.0, 1.0))))
    return found


def forced_lengths(linkage: Linkage) -> dict[str, tuple[float, float]]:
    """For an assembly that binds: how far each link rod would have to shorten and lengthen (mm) for the
    first sweep's travel, if it alone could give; rods that would not free it are left out."""
    found: dict[str, tuple[float, float]] = {}
    if not linkage.drives or linkage.wanted is None:
        return found
    for rod in linkage.rods:
        freed = linkage.mechanism.without(rod.mark)
        driven = freed.with_rows([driver.row for driver in linkage.drivers])
        if freed.mobility().lasting != linkage.wanted or driven.mobility().freedoms:
            continue
        given = linkage.job.sweep[0]
        least, most = given.travel
        system = driven.system
        driver = len(freed.rows) + linkage.drives[0]
        travel = sweep(system, driver, list(np.linspace(least, most, min(given.steps, 21))))
        lengths = []
        for position in travel.positions:
            one, other = (
                system.point(body, end, position.places) for body, end in zip(rod.bodies, rod.ends, strict=True)
            )
            lengths.append(float(np.linalg.norm(other - one)))
        drawn = float(np.linalg.norm(rod.ends[1] - rod.ends[0]))
        if lengths:
            found[rod.mark] = (min(lengths) - drawn, max(lengths) - drawn)
    return found
