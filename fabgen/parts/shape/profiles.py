"""Profiles' sections as cross-sections, what a metre of them weighs, and profiles as they are cut."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.profile import shapes
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.cut_body import cut_body, parted, solid_body
from fabgen.geometry.profile.end_cut import EndCut
from fabgen.geometry.profile.hands import NO_MARKS, has_hand
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import EdgedMesh, joined, round_edges
from fabgen.parts.piece import LegHole, ProfilePart
from fabgen.shop.profiles.profile_section import ProfileSection

_LIFT = 0.1
"""A hole's lid lies so far off the leg, to be seen, mm."""
_FINE = 0.2
"""Of the chords of a hole's edge, mm."""


@lru_cache(maxsize=256)
def cross_section(section: ProfileSection) -> CrossSection:
    """The outline and the faces of a section in its own frame (y, z), its origin at the trade's datum.

    Args:
        section: of the profile.
    """
    root, toe, slope = section.root, section.toe, section.slope
    match section.kind:
        case "angle":
            a, b, t = section.sizes
            return shapes.angle(a, b, t, root, toe, root + t if section.folded else 0.0)
        case "channel":
            h, b, web, flange = section.sizes
            return shapes.channel(
                h, b, web, flange, root, toe, slope, section.at, root + web if section.folded else 0.0
            )
        case "T":
            h, b, flange, stem = section.sizes
            return shapes.tee(h, b, flange, stem, root, toe, section.stem_toe, slope)
        case "flat":
            width, thickness = section.sizes
            return shapes.flat(width, thickness)
    (size,) = section.sizes
    if section.kind == "square bar":
        return shapes.flat(size, size)
    return shapes.hexagon(size) if section.kind == "hexagon bar" else shapes.round_bar(size)


def mass_per_metre(section: ProfileSection, density: float) -> float:
    """What a metre of it weighs.

    Args:
        section: of the profile.
        density: of its metal, kg/m3.
    Returns: kg/m.
    """
    return cross_section(section).area * density * 1e-6


def profile_body(part: ProfilePart) -> EdgedMesh:
    """A profile as it is cut, in its own frame; its toes sharp, its roots empty.

    Args:
        part: the profile.
    """
    start, finish = part.ends
    if part.section.kind == "hexagon bar":
        assert isinstance(part.cross.outline, Outline)
        return solid_body(part.cross.outline, start.cut.sawn, finish.cut.sawn, part.axis)
    return _cut_body(part.cross, start.cut, finish.cut, part.axis)


_cut_body = lru_cache(maxsize=256)(cut_body)


def parted_body(part: ProfilePart) -> EdgedMesh:
    """The same as its flats, closed each, which touch one another.

    Args:
        part: the profile.
    """
    body = profile_body(part)
    return parted(body, part.cross) if part.cross.slabs else body


def differs_from_mirrored(part: ProfilePart) -> bool:
    """Whether a profile, its holes counted, differs from its mirror image, so that one is made left and one right.

    Args:
        part: the profile.
    """
    # Of square and hexagon bar, whose principal moments are alike, the body would not tell.
    return not part.is_sawn_square and has_hand(
        profile_body(part), np.array([mark for hole in part.holes for mark in _marks(part, hole)] or NO_MARKS)
    )


def _marks(part: ProfilePart, hole: LegHole) -> Iterator[Array]:
    """Where the round ends of a hole lie on the outer face, in the profile's own frame, and its width, mm."""
    for station, along in hole.round_ends:
        skin, _ = part.ends[0].cut.edge(hole.face).limb.skin(np.array([station]))
        yield np.array([part.begins + along, *skin[0], hole.width])


def drilled_body(part: ProfilePart) -> EdgedMesh:
    """A profile as it is cut with its holes to be seen, in its own frame.

    Args:
        part: the profile.
    """
    metal = profile_body(part)
    lids = [_lid(part, hole, inner) for hole in part.holes for inner in (False, True)]
    return joined([metal, *lids]) if lids else metal


def _lid(part: ProfilePart, hole: LegHole, inner: bool) -> EdgedMesh:
    """A hole as a lid on a face of its leg with the hole's edge: the leg's own triangles go on below it."""
    ring = np.vstack((hole.loop.points(_FINE), [[hole.station, hole.along]]))
    skin, inward = part.ends[0].cut.edge(hole.face).limb.skin(ring[:, 0])
    lifted = skin + inward * (hole.thickness + _LIFT if inner else -_LIFT)
    count = len(ring) - 1
    fan = np.array([(count, i, (i + 1) % count) for i in range(count)])
    points = np.column_stack((part.begins + ring[:, 1], lifted))
    return EdgedMesh(points, fan[:, ::-1] if inner else fan, np.array(round_edges(0, count)))


def profile_volume(part: ProfilePart) -> float:
    """Its metal, mm3: that of the sawn bar, its radii counted, less what is notched, bevelled and drilled off its
    limbs.

    Args:
        part: the profile.
    """
    start, finish = part.ends
    y, z = part.cross.centroid
    first = float(start.cut.sawn.x(np.array([[y, z]]))[0])
    last = part.axis - float(finish.cut.sawn.x(np.array([[-y, z]]))[0])
    drilled = sum(hole.area * hole.thickness for hole in part.holes)
    bevelled = sum(bevel.taken for end in part.ends for bevel in end.bevels)
    return part.cross.area * max(0.0, last - first) - _notched(start.cut) - _notched(finish.cut) - drilled - bevelled


def _notched(end: EndCut) -> float:
    """What a notch takes off the limbs of an end, mm3."""
    taken = 0.0
    for edge in end.edges:
        over = np.maximum(edge.x - end.sawn.x(edge.limb.skin(edge.station)[0]), 0.0)
        middle = (edge.station[1:] + edge.station[:-1]) / 2.0
        taken += float((np.diff(edge.station) * (over[1:] + over[:-1]) / 2.0 * edge.limb.depth(middle)).sum())
    return taken
