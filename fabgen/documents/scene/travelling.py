"""What moves in the scene: where each of its bodies is in the places of every travel, and what is nearest there.

A body of the scene may be several of one mark, or a damper's two halves: equal shares of its corners, in their order,
each of which goes with one mover.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from fabgen.documents.scene.scene import base64_of
from fabgen.geometry.mechanics.constraints import FRAME, rotations
from fabgen.geometry.space.frame import Array, unit
from fabgen.motion.keep_out import Clearance
from fabgen.motion.movement import Movement
from fabgen.motion.riders import Riders
from fabgen.motion.travel import Follow, SweepResult
from fabgen.parts.piece import FlatPart, LinkPart, Piece
from fabgen.parts.shape.directions import array
from fabgen.wording.sentence import changes, mm, sentence

MOST = 81
"""So many places of a travel are shown at most."""
_STAYS = -1
"""The number of what does not move."""
_STILL = 0.05
"""What changes less than this through a travel, mm, is no matter of it, where there is room enough."""

Mover = tuple[object, Callable[[Follow], Array]]
"""What tells it from others, and its poses in the places of a travel, (s, 3, 4): turned, then shifted, mm."""


class _Movers:
    """Ways of moving, each kept once."""

    def __init__(self) -> None:
        self.known: dict[object, int] = {}
        self.poses: list[Callable[[Follow], Array]] = []

    def number(self, mover: Mover | None) -> int:
        if mover is None:
            return _STAYS
        key, poses = mover
        if key not in self.known:
            self.known[key] = len(self.poses)
            self.poses.append(poses)
        return self.known[key]


def travels(movement: Movement, pieces: Sequence[Piece]) -> dict[str, Any]:
    """For `travel.js`: 'travels', each with its name, the driver's place in words and what is nearest in each place,
    and the poses of all that moves; 'rides', of each part of the scene and then of what stands beside it the numbers of
    what its shares move with, None of what stays.

    Args:
        movement: of the job; its wheels, dampers and envelopes stand in the scene as `wires` has them.
        pieces: of the scene, in its order.
    """
    movers = _Movers()
    riders = Riders(movement.linkage, pieces)
    rods = {rod.mark: rod for rod in movement.linkage.rods}
    rides: list[list[int]] = []
    for piece in pieces:
        if isinstance(piece.shape, LinkPart) and (rod := rods.get(piece.mark)) is not None:
            rides.append([movers.number(_held_between(rod.mark, rod.bodies, rod.ends, 0))])
            continue
        count = max(1, len(piece.shape.places)) if isinstance(piece.shape, FlatPart) else 1
        rides.append([movers.number(_body(riders.body(piece, number))) for number in range(count)])
    job = movement.linkage.job
    for damper in job.damper:
        bodies = [movement.linkage.body_of(point) for point in damper.between]
        ends = [array(point) for point in damper.between]
        rides.append([movers.number(_held_between(damper.name, bodies, ends, end)) for end in (0, 1)])
    standing = [each.on for each in job.wheel] + [each.on for each in job.envelope]
    rides += [[movers.number(_body(movement.linkage.number(body)))] for body in standing]
    return {
        "travels": [
            _travel(movement, result, movement.clearances[number], movers)
            for number, result in enumerate(movement.sweeps)
            if len(result.places) > 1
        ],
        "rides": [each if any(number != _STAYS for number in each) else None for each in rides],
    }


def _body(body: int) -> Mover | None:
    """With a body of the mechanism."""
    if body == FRAME:
        return None

    def poses(follow: Follow) -> Array:
        turns = follow.turns[:, body]
        return _posed(turns, follow.origins[:, body] - turns @ follow.drawn[body])

    return body, poses


def _held_between(name: str, bodies: Sequence[int], ends: Sequence[Array], kept: int) -> Mover:
    """What is held by its two ends alone: its line goes from end to end, and it does not turn about that."""

    def poses(follow: Follow) -> Array:
        now = [follow.point(body, end) for body, end in zip(bodies, ends, strict=True)]
        drawn, seen = unit(ends[1] - ends[0]), now[1] - now[0]
        seen = seen / np.linalg.norm(seen, axis=1)[:, None]
        about = np.cross(drawn, seen)
        sine = np.linalg.norm(about, axis=1)
        angle = np.arctan2(sine, seen @ drawn)
        turns = rotations(about * (angle / np.maximum(sine, 1e-12))[:, None])
        return _posed(turns, now[kept] - turns @ ends[kept])

    return (name, kept), poses


def _posed(turns: Array, shifts: Array) -> Array:
    return np.concatenate((turns, shifts[:, :, None]), axis=2)


def _travel(
    movement: Movement, result: SweepResult, clearances: Sequence[Clearance], movers: _Movers
) -> dict[str, Any]:
    shown = np.unique(np.round(np.linspace(0, len(result.places) - 1, MOST)).astype(int))
    follow = Follow(movement.linkage, [result.places[number] for number in shown])
    units = movement.linkage.job.job.units
    poses = np.array([poses(follow) for poses in movers.poses]).reshape(len(movers.poses), len(shown), 12)
    return {
        "name": result.name,
        "drawn": int(np.argmin(np.abs(result.driver[shown]))),
        "driver": [sentence(f"{result.words} ", changes(result.driver[number])).words(units) for number in shown],
        "near": [_nearest(clearances, int(number), units) for number in shown],
        "poses": base64_of(poses.astype("<f4")),
    }


def _nearest(clearances: Sequence[Clearance], number: int, units: str) -> list[Any] | None:
    """Of all that must keep clear the two that have least to spare in a place of the travel: their names, how far
    apart in words, whether that is enough, and where, six figures, mm; None where nothing is near."""
    told = [each for each in clearances if np.ptp(each.clear) > _STILL or each.least < each.wanted]
    if not told:
        return None
    least = min(told, key=lambda each: float(each.clear[number]) - each.wanted)
    clear = float(least.clear[number])
    said = sentence(mm(clear), " apart") if clear > 0.0 else sentence(mm(-clear), " into one another")
    where = np.round(least.nearest[number], 1) + 0.0
    return [least.one, least.other, said.words(units), clear >= least.wanted, where.ravel().tolist()]
