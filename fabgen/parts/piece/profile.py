"""Profiles: lengths of angle, channel, T, flat, square and hexagon bar, their ends sawn or notched."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np

from fabgen.geometry.profile.bevel import Bevel
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.development import developed
from fabgen.geometry.profile.end_cut import MARKED, EndCut
from fabgen.geometry.profile.sawing import SawStand
from fabgen.geometry.space.frame import Array, Frame
from fabgen.parts.piece.cut import At
from fabgen.parts.piece.joint import FaceLanding
from fabgen.parts.piece.leg_hole import LegHole
from fabgen.shop.profiles.profile_section import ProfileSection

ProfileCut = Literal["plain", "plane", "level", "mitre", "face", "notch"]
"""What is done to an end: sawn square; sawn to a plane of the job's, or level; mitred with another profile; sawn flat
to a face that it butts on; or notched to sit on what it meets."""

_SQUARE = 1e-4
"""A cut less far from square than this is square, rad."""


@dataclass(frozen=True, eq=False)
class ProfileEnd:
    """One end of a profile.

    `frame`: origin where the route ends, x into the profile, y and z those of the section; at the finish it is turned
    half round about z, and the section is seen as its mirror image.  `onto`: marks of what it sits on or is mitred
    with.
    `stand`: how the saw stands for its cut; None where that is square.  `ground`: how far along the profile the filling
    of each root is ground off flush, x mm of this frame, nan where it fouls nothing.
    """

    at: At
    kind: ProfileCut
    cut: EndCut
    frame: Frame
    onto: tuple[str, ...] = ()
    gap: float = 0.0
    """Root gap, mm: how far the cut stands off what the end sits on."""
    stand: SawStand | None = None
    ground: tuple[float, ...] = ()
    bevels: tuple[Bevel, ...] = ()
    """Edges that are ground after sawing, to clear the roots of what the end sits on."""
    root: float = 0.0
    """Of an end that is sawn slanted to clear a root: the radius, mm."""
    weld: float = field(default=0.0, compare=False)
    """Length of its weld, mm: once along the limbs that butt; of a mitre half of what the two have in common."""

    @cached_property
    def longest(self) -> float:
        """Where its longest point lies, least x of this frame, mm: of a sawn end on any side of the metal."""
        if self.is_notched:
            return self.cut.longest
        return float(self.cut.sawn.x(self.cut.lines[0].limb.outline.points(0.02)).min())

    @property
    def is_square(self) -> bool:
        """Whether it is sawn square to the profile."""
        return self.cut.sawn.from_square < _SQUARE

    @cached_property
    def is_notched(self) -> bool:
        """Whether metal is cut out of it besides the saw cut: it is marked out by a template."""
        return self.cut.beyond_saw() > MARKED

    @property
    def face_lines(self) -> dict[str, Array]:
        """By name of each outer face the line to which it is cut, saw cut and notch together: (n, 2) mm, across from
        the face's left edge and back from the end's longest point."""
        back = np.array([0.0, self.longest])
        return {face.name: face.ordinates - back for face in developed(self.cut).faces if face.name}


@dataclass(frozen=True, eq=False)
class ProfilePart:
    """A length of a profile.

    `length`: to saw, longest point to longest point, mm; `axis`: from end to end of the route, mm.  `frame`: origin at
    the route's start, x toward its finish; `cross`: the section as it lies in that frame's (y, z), its origin on the
    route.  `flipped`: it lies as the mirror image of how the trade draws it.
    """

    section: ProfileSection
    cross: CrossSection
    length: float
    axis: float
    ends: tuple[ProfileEnd, ProfileEnd]
    frame: Frame
    flipped: bool = False
    holes: tuple[LegHole, ...] = ()
    landings: tuple[FaceLanding, ...] = field(default=(), compare=False)
    """The ends that land on it, from its start on; there once all pieces of the job are known (`build.py`)."""

    @property
    def is_sawn_square(self) -> bool:
        """Whether both its ends are sawn square and nothing more is done to it."""
        plain = (end.is_square and not end.is_notched and not end.bevels for end in self.ends)
        return all(plain) and not self.holes

    def along_near(self, point: Array) -> float:
        """How far along it the place nearest to a point is, mm from the start's saw cut.

        Args:
            point: (3,) mm.
        """
        return float((point - self.frame.origin) @ self.frame.x) - self.begins

    @property
    def begins(self) -> float:
        """Where its longest point at the start lies along the frame's x, mm: saw lengths count from there."""
        return self.ends[0].longest
