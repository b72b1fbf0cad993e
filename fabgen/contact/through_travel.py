"""What moves held against everything else through the travels: what runs into what, and where it does so worst.

Boxes of all positions sieve the pairs, boxes of single positions their positions; only there are skins asked, and only
where these meet is the metal that both share cut out and measured, in a few positions spread over those.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fabgen.contact.meant import are_one
from fabgen.contact.moving_solids import MovingSolid, moving_solids
from fabgen.contact.pair import LAP
from fabgen.contact.solids import Solid
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.shared_metal import Shared, shared_metal
from fabgen.motion.movement import Movement
from fabgen.motion.riders import Riders
from fabgen.motion.travel import Follow, SweepResult
from fabgen.parts.piece import Piece
from fabgen.parts.shape.directions import array

if TYPE_CHECKING:
    pass

SOFT = 40.0
"""So near to the middle of a bush or a ball joint between two bodies they give or swing, mm: what meets there is not
told (common practice, no source)."""
MEASURED = 7
"""Of the positions where two meet so many are measured, spread over all, and then those beside the worst."""


_Key = tuple[str, int, int]
"""A mark, which of its places, and which half of it."""
_Name = tuple[str, int]


@dataclass(frozen=True, eq=False)
class RunsInto:
    """Something that runs into another in a travel, and whether that moves too: the travel, the number of its position
    where they lie deepest in one another, and what they share there."""

    one: Solid
    other: Solid
    both_move: bool
    sweep: SweepResult
    position: int
    shared: Shared


def runs_into(movement: Movement, solids: Sequence[Solid], pieces: Sequence[Piece]) -> list[RunsInto]:
    """Every pair of which one runs into the other in a travel, once, where it is worst; what lies in one another as
    drawn already is left out.

    Args:
        movement: of the job.
        solids: everything that has a place, as drawn.
        pieces: of the job, complete.
    """
    linkage = movement.linkage
    riders = Riders(linkage, pieces)
    worst: dict[tuple[_Name, _Name], RunsInto] = {}
    met_as_drawn: dict[tuple[_Key, _Key], bool] = {}
    drawn = Follow(linkage, [linkage.driven.system.drawn])
    for sweep in movement.sweeps:
        if not sweep.places:
            continue
        follow = Follow(linkage, list(sweep.places))
        moving = moving_solids(solids, linkage, riders, follow)
        as_drawn = {_key(each): each for each in moving_solids(solids, linkage, riders, drawn)}
        for one, other in _pairs(moving):
            key = (_key(one), _key(other))
            found = _worst(one, other, sweep, list(_soft_joints(one, other, follow)))
            if found is None:
                continue
            if key not in met_as_drawn:
                met_as_drawn[key] = _meet(as_drawn[_key(one)], as_drawn[_key(other)], 0)
            marks = key[0][:2], key[1][:2]
            before = worst.get(marks)
            if not met_as_drawn[key] and (before is None or found.shared.deep > before.shared.deep):
                worst[marks] = found
    return list(worst.values())


def _key(moving: MovingSolid) -> _Key:
    """What tells it from the others of one list, in all travels."""
    return moving.drawn.mark, moving.drawn.number, moving.half


def _pairs(moving: Sequence[MovingSolid]) -> Iterator[tuple[MovingSolid, MovingSolid]]:
    """Those that move against one another and come near somewhere."""
    if len(moving) < 2:
        return
    low = np.array([each.boxes[0].min(axis=0) for each in moving])
    high = np.array([each.boxes[1].max(axis=0) for each in moving])
    for i, j in overlapping(low, high, low, high).tolist():
        one, other = moving[i], moving[j]
        if i < j and one.rides_on != other.rides_on and not are_one(one.drawn, other.drawn):
            yield one, other


def _soft_joints(one: MovingSolid, other: MovingSolid, follow: Follow) -> Iterator[Array]:
    """Where the bushes and balls between two bodies are, (s, 3) each."""
    linkage = follow.linkage
    for joint in linkage.job.joint:
        bodies = [linkage.number(name) for name in joint.between]
        if joint.kind in ("ball", "bush") and {one.rides_on, other.rides_on} == set(bodies):
            yield follow.point(bodies[0], array(joint.at))


def _positions(one: MovingSolid, other: MovingSolid) -> list[int]:
    """Where their boxes meet."""
    apart = (one.boxes[0] > other.boxes[1] - LAP) | (other.boxes[0] > one.boxes[1] - LAP)
    return [int(i) for i in np.flatnonzero(~apart.any(axis=1))]


def _meet(one: MovingSolid, other: MovingSolid, position: int) -> bool:
    small, large = sorted((one, other), key=lambda each: len(each.drawn.shape.skin.mesh.triangles))
    return small.at(position).core(LAP).meets(large.at(position).skin)


def _worst(one: MovingSolid, other: MovingSolid, sweep: SweepResult, soft: Sequence[Array]) -> RunsInto | None:
    meeting = [position for position in _positions(one, other) if _meet(one, other, position)]
    if not meeting:
        return None
    step = max(1, -(-len(meeting) // MEASURED))
    tried = dict.fromkeys([*meeting[::step], meeting[-1]])
    found = {position: _shared(one, other, position, soft) for position in tried}
    best = max(found, key=lambda position: _deep(found[position]))
    for position in range(best - step + 1, best + step):
        if position in meeting and position not in found:
            found[position] = _shared(one, other, position, soft)
    best = max(found, key=lambda position: _deep(found[position]))
    shared = found[best]
    if shared is None:
        return None
    if one.is_still:
        one, other = other, one
    return RunsInto(one.drawn, other.drawn, not other.is_still, sweep, best, shared)


def _deep(shared: Shared | None) -> float:
    return 0.0 if shared is None else shared.deep


def _shared(one: MovingSolid, other: MovingSolid, position: int, soft: Sequence[Array]) -> Shared | None:
    """The deepest piece of what both share in a position, away from joints that give."""
    for piece in shared_metal(*(each.at(position).filled for each in (one, other))):
        if piece.deep > LAP and not any(float(np.linalg.norm(piece.middle - at[position])) < SOFT for at in soft):
            return piece
    return None
