"""Rods that may turn about themselves: what hangs on balls in one line alone, and carries nothing beside that line.

Such a turn moves no joint, no wheel, no damper and no point of the job, so it does no harm.  It is held by a row of
its own, noted, and not counted among the freedoms.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.mechanics.constraints import FRAME, ConstraintRow, across
from fabgen.geometry.mechanics.mechanism import Mechanism, Screw, null_spaces
from fabgen.geometry.space.frame import Array, unit
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.movement_tables import BodyGiven, JointGiven
from fabgen.parts.shape.directions import array, direction

ON_LINE = 1.0
"""What lies no farther from a line is on it, mm."""
_PARALLEL = 1e-4
"""Sine of the angle below which two axes run alike."""


@dataclass(frozen=True, eq=False)
class Held:
    """How a body hangs on another, `other`, at a point: on a ball, by a joint that lets it turn about an axis alone, or
    by one that does not let it turn (no ball, no axis)."""

    other: int
    at: Array
    ball: bool
    axis: Array | None = None


@dataclass(frozen=True, eq=False)
class Spin:
    """A turn that does no harm: of bodies by number, all as one, about a line as drawn, and the row that holds it
    meanwhile."""

    bodies: tuple[int, ...]
    at: Array
    along: Array
    row: ConstraintRow

    def is_own_turn(self, screw: Screw) -> bool:
        """Whether a motion of a body is this turn and no more."""
        about = screw.turns and np.linalg.norm(np.cross(screw.along, self.along)) < _PARALLEL
        still = abs(screw.pitch) < _PARALLEL and _off(screw.at, self.at, self.along) < ON_LINE
        return screw.body in self.bodies and bool(about) and still


@dataclass(frozen=True, eq=False)
class Hanging:
    """How each body hangs on others (`held`), which pairs stiffer joints than balls tie together (`tied`), and the
    points that each carries."""

    held: dict[int, list[Held]]
    tied: list[tuple[int, int]]
    carried: dict[int, list[Array]]


def hanging(
    job: Definitions, number: Callable[[str], int], rods: Iterable[tuple[tuple[int, int], tuple[Array, Array]]]
) -> Hanging:
    """How the bodies of a job hang on one another.

    Args:
        job: the definitions.
        number: a body's number by its name.
        rods: of each link rod its bodies and its ends, (3,) each, mm.
    """
    held: dict[int, list[Held]] = {}
    tied: list[tuple[int, int]] = []
    for joint in job.joint:
        one, other = (number(name) for name in joint.between)
        at, ball, axis = array(joint.at), _is_ball(joint), _turns_about(joint)
        held.setdefault(one, []).append(Held(other, at, ball, axis))
        held.setdefault(other, []).append(Held(one, at, ball, axis))
        if not ball and FRAME not in (one, other):
            tied.append((one, other))
    for (one, other), (start, finish) in rods:
        held.setdefault(one, []).append(Held(other, start, True))
        held.setdefault(other, []).append(Held(one, finish, True))
    return Hanging(held, tied, {number(body.name): list(_carried(job, body)) for body in job.body})


def _is_ball(joint: JointGiven) -> bool:
    soft = joint.kind == "bush" and joint.stiff is not None and not {"tilt", "turn"} & set(joint.stiff)
    return joint.kind == "ball" or soft


def _turns_about(joint: JointGiven) -> Array | None:
    turns = joint.kind in ("hinge", "sleeve") or (joint.kind == "bush" and "turn" not in (joint.stiff or ()))
    return direction(joint.axis, array(joint.at)) if turns and joint.axis is not None else None


def _carried(job: Definitions, body: BodyGiven) -> Iterator[Array]:
    yield from (array(point) for point in body.points)
    yield from (array(point) for tube in job.tube if tube.mark in body.marks for point in tube.route)
    yield from (array(point) for part in job.profile if part.mark in body.marks for point in part.route)
    yield from (array(wheel.centre) for wheel in job.wheel if wheel.on == body.name)


def spins(mechanism: Mechanism, hung: Hanging) -> list[Spin]:
    """The turns of rods about themselves that a mechanism leaves free.

    Args:
        mechanism: with its joints and link rods.
        hung: how its bodies hang on one another.
    """
    found: list[Spin] = []
    held = mechanism
    left = _freedoms(held)
    for bodies in [*((body,) for body in range(len(mechanism.bodies))), *_groups(hung.tied)]:
        spin = _spin(mechanism, hung, bodies)
        if spin is None:
            continue
        less = held.with_rows([spin.row])
        count = _freedoms(less)
        if count < left:
            found.append(spin)
            held, left = less, count
    return found


def _freedoms(mechanism: Mechanism) -> int:
    system = mechanism.system
    return int(null_spaces(system.worked_out(system.drawn)[1])[0].shape[1])


def _groups(tied: Iterable[tuple[int, int]]) -> Iterator[tuple[int, ...]]:
    """Bodies that stiffer joints tie together, from two on."""
    groups: list[set[int]] = []
    for pair in tied:
        joined = set(pair).union(*(group for group in groups if group & set(pair)))
        groups = [*(group for group in groups if not group & joined), joined]
    yield from (tuple(sorted(group)) for group in groups)


def _spin(mechanism: Mechanism, hung: Hanging, bodies: tuple[int, ...]) -> Spin | None:
    """The turn of bodies as one about their line; None where they hang on no line or carry something beside it."""
    outside = [(body, held) for body in bodies for held in hung.held.get(body, ()) if held.other not in bodies]
    balls = [(body, held) for body, held in outside if held.ball]
    axes = [held.axis for _, held in outside if not held.ball and held.axis is not None]
    if not balls or len(outside) < 2 or len(balls) + len(axes) < len(outside):
        return None
    first = balls[0][1].at
    far = max((held.at for _, held in outside), key=lambda at: float(np.linalg.norm(at - first)))
    if np.linalg.norm(far - first) > ON_LINE:
        along = unit(far - first)
    elif axes:
        along = unit(axes[0])
    else:
        return None
    carried = [point for body in bodies for point in hung.carried.get(body, ())]
    if any(_off(point, first, along) > ON_LINE for point in [*(held.at for _, held in outside), *carried]):
        return None
    if any(np.linalg.norm(np.cross(unit(axis), along)) > _PARALLEL for axis in axes):
        return None
    body, held = balls[0]
    one, other = across(along)
    names = " and ".join(mechanism.bodies[number] for number in bodies)
    row = ConstraintRow(f"spin of {names}", "dot", body, held.other, one, other, holds="turn about itself")
    return Spin(bodies, first, along, row)


def _off(point: Array, at: Array, along: Array) -> float:
    return float(np.linalg.norm(np.cross(point - at, along)))
