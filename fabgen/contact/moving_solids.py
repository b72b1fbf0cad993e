"""The solids of a job in every position of a travel: on their bodies, link rods from pin to pin, dampers by halves."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.contact.link_shells import link_shells
from fabgen.contact.round_shells import bar
from fabgen.contact.solids import Shape, Solid
from fabgen.geometry.mechanics.constraints import FRAME
from fabgen.geometry.space.frame import Array, Frame, any_across
from fabgen.geometry.space.mesh import Mesh
from fabgen.job.tables.movement_tables import Damper
from fabgen.motion.dampers import halves, thickness
from fabgen.motion.linkage import Linkage, Rod
from fabgen.motion.riders import Riders
from fabgen.motion.travel import Follow
from fabgen.parts.piece import LinkPart, Piece
from fabgen.parts.shape.directions import array


@dataclass(frozen=True, eq=False)
class MovingSolid:
    """A solid through a travel.

    Args:
        drawn: it as drawn, or what stands for it.
        rides_on: what it moves with: things of one such do not move against one another.
        frames: where its shape stands, position by position; one frame where it stands still.
        half: which of two halves of a damper.
    """

    drawn: Solid
    rides_on: Hashable
    frames: tuple[Frame, ...]
    half: int = 0

    @property
    def is_still(self) -> bool:
        return len(self.frames) == 1

    def at(self, position: int) -> Solid:
        """It in one position."""
        frame = self.frames[0 if self.is_still else position]
        return Solid(self.drawn.source, self.drawn.number, self.drawn.shape, frame)

    @cached_property
    def boxes(self) -> tuple[Array, Array]:
        """Lower and upper corners of what holds it in each position, (s, 3) or (1, 3)."""
        low, high = self.drawn.shape.skin.mesh.bounds
        corners = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])
        placed = np.array([frame.outside(corners) for frame in self.frames])
        return placed.min(axis=1), placed.max(axis=1)


def moving_solids(solids: Sequence[Solid], linkage: Linkage, riders: Riders, follow: Follow) -> list[MovingSolid]:
    """What has a place, through a travel; bolts and the eyes that are welded to link rods left out.

    Args:
        solids: as drawn.
        linkage: what moves.
        riders: which body each part rides on.
        follow: the positions.
    """
    rods = {rod.mark: rod for rod in linkage.rods}
    found = [
        MovingSolid(solid, body := riders.body(solid.source, solid.number), _frames(solid.frame, body, follow))
        for solid in solids
        if isinstance(solid.source, Piece) and solid.owner not in rods
    ]
    found += [_rod(solid, rods[solid.mark], follow) for solid in solids if solid.mark in rods]
    for damper in linkage.job.damper:
        found += _damper(linkage, damper, follow)
    return found


def _frames(frame: Frame, body: int, follow: Follow) -> tuple[Frame, ...]:
    if body == FRAME:
        return (frame,)
    origins = follow.point(body, frame.origin)
    axes = frame.axes @ follow.turns[:, body].transpose(0, 2, 1)
    return tuple(Frame(origin, *own) for origin, own in zip(origins, axes, strict=True))


def _between(a: Array, b: Array) -> tuple[Frame, ...]:
    """Frames from points to points, (s, 3) each: x along, and y without a jump from one to the next."""
    hint = any_across(b[0] - a[0])
    found = []
    for p, q in zip(a, b, strict=True):
        frame = Frame.along(p, q - p, hint)
        found.append(frame)
        hint = frame.y
    return tuple(found)


def _rod(solid: Solid, rod: Rod, follow: Follow) -> MovingSolid:
    """A link rod, its ends as the balls that stay between what holds them however it leans."""
    assert isinstance(solid.part, LinkPart)
    frames = _between(*(follow.point(body, end) for body, end in zip(rod.bodies, rod.ends, strict=True)))
    (drawn,) = _between(*(end[None] for end in rod.ends))
    shells = tuple(Mesh(drawn.inside(shell.vertices), shell.triangles) for shell in link_shells(solid.part, None))
    return MovingSolid(Solid(solid.source, 0, Shape(shells, (), solid.shape.thickness), drawn), rod.mark, frames)


def _damper(linkage: Linkage, damper: Damper, follow: Follow) -> Iterator[MovingSolid]:
    ends = [(linkage.body_of(point), array(point)) for point in damper.between]
    thick = thickness(damper)
    for half, (a, b) in enumerate(halves(damper, *(follow.point(body, at) for body, at in ends))):
        frames = _between(a, b)
        long = float(np.linalg.norm(b[0] - a[0]))
        body = bar(np.zeros(3), np.array([long, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]), thick)
        yield MovingSolid(Solid(damper, 0, Shape((body,), (), thick), frames[0]), damper.name, frames, half)
