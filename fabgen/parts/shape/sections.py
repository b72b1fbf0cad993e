"""Sections as profiles and as solids, and how they lie about a tube's axis."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.geometry.tube.profile import Profile, rectangular_at, rectangular_profile, round_at, round_profile
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism, Solid
from fabgen.parts.piece import WorkedEnd
from fabgen.shop.section import Section


def section_profile(section: Section, turn: float = 0.0, tangents: bool = True, per_degree: int = 1) -> Profile:
    """Places round a section's outside.

    Args:
        turn: by which a rectangular section's first figure is turned from +y toward +z, rad.
        tangents: whether a rectangular one gets its corners' tangent points too.
        per_degree: places to each degree.
    """
    if section.is_round:
        return round_profile(section.width, section.wall, per_degree)
    return rectangular_profile(section.width, section.depth, section.wall, section.corner, turn, tangents, per_degree)


def profile_at(section: Section, turn: float, phi: Array) -> Profile:
    """Given places round a section's outside.

    Args:
        turn: by which a rectangular section's first figure is turned from +y toward +z, rad.
        phi: (n,) rad, ascending in [0, 2 pi).
    """
    if section.is_round:
        return round_at(section.width, section.wall, phi)
    return rectangular_at(section.width, section.depth, section.wall, section.corner, turn, phi)


def end_profile(section: Section, end: WorkedEnd) -> Profile:
    """The places of an end's cut line on the outside of its tube.

    Args:
        section: the tube's.
    """
    return _end_profile(section, 0.0 if section.is_round else end.top, end.line.phi.tobytes())


@lru_cache(maxsize=1024)
def _end_profile(section: Section, turn: float, phi: bytes) -> Profile:
    return profile_at(section, turn, np.frombuffer(phi))


def bore_of(section: Section) -> Section:
    """The bore of a tube as a solid section.

    Args:
        section: hollow.
    """
    inner = 2.0 * section.wall
    return Section(section.shape, section.width - inner, section.depth - inner, 0.0, section.inner_corner)


def section_solid(section: Section, axis: Frame) -> Solid:
    """The tube filled up and without ends.

    Args:
        axis: it runs along axis.x, its first figure along axis.z.
    """
    if section.is_round:
        return RoundBar(axis.origin, axis.x, section.width / 2.0)
    sides = Frame(axis.origin, axis.x, axis.z, -axis.y)
    return RoundedPrism(sides, section.width, section.depth, section.corner)


def half_size(section: Section, along: Array, up: Array, inside: Array) -> float:
    """Half a section's size square to a tube in the plane of the tube and a direction.

    Args:
        along: (3,), unit direction of the tube.
        up: (3,), unit direction of its top.
        inside: (3,), a direction not along the tube.
    Returns: mm.
    """
    across = unit(inside - (inside @ along) * along)
    return _reach(section, abs(float(across @ up)), abs(float(across @ np.cross(along, up))))


def _reach(section: Section, up: float, side: float) -> float:
    """How far a section reaches from its axis in a direction of so much up and so much to the side."""
    if section.is_round:
        return section.width / 2.0
    r = section.corner
    return (section.width / 2.0 - r) * up + (section.depth / 2.0 - r) * side + r


def angle_about(frame: Frame, direction: Array) -> float:
    """Where a direction lies round an end.

    Args:
        direction: (3,), square to frame.x.
    Returns: phi, rad in [0, 2 pi).
    """
    phi = math.atan2(float(direction @ frame.z), float(direction @ frame.y)) % (2.0 * math.pi)
    return 0.0 if 2.0 * math.pi - phi < 1e-12 else phi
