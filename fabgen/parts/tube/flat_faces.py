"""Straight saw cuts up to the tube that an end sits on.

A branch that lies wholly on the flat of a rectangular main, between its corner radii, sits on the plane of that face.
So one straight saw cut makes the whole of its end, and the wall's edge lies in that plane all through, as at a mitre.
One that runs onto the corners, as wide as its main, is open there by the corner's radius outside and by less at the
wall's inner edge; weld fills that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.centreline import Straight
from fabgen.geometry.tube.contact import greatest
from fabgen.geometry.tube.profile import Profile
from fabgen.geometry.tube.solids import HalfSpace, Solid
from fabgen.parts.piece import WIDEST_ROOT
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.tube.routed_tube import RoutedTube

_HAIR = 1e-9
"""What arithmetic may lose, mm."""
SEATED = 0.01
"""A cut within this of a main sits on it, mm."""


@dataclass(frozen=True, eq=False)
class FaceMet:
    """What a straight cut is sawn to.

    `plane`: its normal points into the branch, the root gap is on it.  `main`: which of the mains it is of, by its
    place among them.  `left_open`: how far the branch's outside stays off that main at most, mm, and `root_open` how
    far the wall's inner edge does.  `corner`: that main's corner radius, mm.  `clears`: whether nothing of any main
    stands in a branch that is sawn to it.
    """

    plane: HalfSpace
    main: int
    left_open: float
    root_open: float
    corner: float
    clears: bool

    @property
    def is_whole(self) -> bool:
        """Whether the straight cut seats all of the end."""
        return self.clears and self.left_open < SEATED

    @property
    def is_sawn_by_itself(self) -> bool:
        """Whether the trade saws it straight: seated all round, or open only beside the face's rounded corners, with a
        root that weld fills."""
        return self.clears and self.left_open <= self.corner + SEATED and self.root_open <= WIDEST_ROOT


def face_met(
    profile: Profile, frame: Frame, mains: Sequence[RoutedTube], solids: Sequence[Solid], lines: Sequence[Array],
    gap: float,
) -> FaceMet | None:  # fmt: skip
    """The flat face that an end is sawn to; None where no main has one there.

    Args:
        profile: places round the branch, which runs along frame.x from frame.origin.
        mains: the tubes that it reaches.
        solids: these as it meets them, with the root gap on them.
        lines: where the branch is cut to sit on each of them alone, (n,) mm.
        gap: root gap, mm.
    """
    walls = profile.walls(frame)
    outer = walls.outer()
    # The edge of a branch as wide as its main lies in that one's own: it meets it, however a turn is rounded.
    solids = [solid.grown(_HAIR) for solid in solids]
    found: list[FaceMet] = []
    for i, main in enumerate(mains):
        if (plane := _face(main, frame)) is None:
            continue
        plane = plane.grown(gap)
        cut = greatest(plane, outer)
        lean = float(plane.normal @ frame.x)  # what is along the branch, square to the face
        off = (cut - greatest(solids[i], outer)) * lean
        root = (greatest(plane, walls.inner()) - greatest(solids[i], walls.inner())) * lean
        others = [line for k, line in enumerate(lines) if k != i]
        clears = not (off < -SEATED).any() and all(not (line > cut + SEATED).any() for line in others)
        found.append(FaceMet(plane, i, _most(off), _most(root), main.section.corner, clears))
    return next((face for face in found if face.clears), None)


def _most(off: Array) -> float:
    """The greatest of distances, inf where some miss."""
    return float(np.nanmax(off, initial=0.0)) if np.isfinite(off).all() else math.inf


def square_stop(profile: Profile, frame: Frame, solids: Sequence[Solid], lines: Sequence[Array]) -> FaceMet | None:
    """A square cut that only just touches the first of the mains; None where the end meets none.

    Args:
        profile, frame, solids, lines: as those of `face_met`.
    """
    met = [i for i, line in enumerate(lines) if np.isfinite(line).any()]
    if not met:
        return None
    first = max(met, key=lambda i: float(np.nanmax(lines[i])))
    touch = float(np.nanmax(lines[first]))
    off = touch - greatest(solids[first], profile.walls(frame).outer())
    plane = HalfSpace.at(frame.origin + touch * frame.x, frame.x)
    return FaceMet(plane, first, _most(off), _most(off), 0.0, True)


def _face(main: RoutedTube, frame: Frame) -> HalfSpace | None:
    """The face of a rectangular main that a branch's axis comes to first."""
    if main.section.is_round:
        return None
    along = main.frame
    if main.path is not None:
        straight = main.path.nearest(frame.origin)
        if not isinstance(straight, Straight):
            return None
        along = straight.frame
    best: tuple[float, HalfSpace] | None = None
    for way, half in ((along.z, main.section.width / 2.0), (along.y, main.section.depth / 2.0)):
        for sense in (1.0, -1.0):
            lean = sense * float(way @ frame.x)
            if lean < np.sin(LEAST_ANGLE):
                continue
            plane = HalfSpace.at(along.origin + sense * half * way, sense * way)
            x = (plane.level - float(plane.normal @ frame.origin)) / lean
            if best is None or x < best[0]:
                best = x, plane
    return None if best is None else best[1]
