"""The holes of tubes and profiles as bodies to cut out of them; those of sheet are in its outline already."""

from __future__ import annotations

import numpy as np

from fabgen.contact.round_shells import prism
from fabgen.geometry.space.frame import Array, unit
from fabgen.geometry.space.mesh import Mesh
from fabgen.geometry.tube.penetration import Outside
from fabgen.parts.piece import DrilledHole, LegHole, LengthPart, Opening, ProfilePart

_PAST = 1.0
"""A cutter comes out of the skin so far, mm."""
_FINE = 0.05
"""Of the chords of a hole's edge, mm."""


def hole_cutters(part: LengthPart | ProfilePart) -> tuple[Mesh, ...]:
    """What is drilled, slit and opened out of a length, each hole of a wall or leg for itself.

    Args:
        part: a tube in space; of a profile the cutters stand in its own frame.
    """
    if isinstance(part, ProfilePart):
        return tuple(_of_leg(part, hole) for hole in part.holes)
    passed = [_of_branch(opening, opening.skin) for opening in part.holes if opening.skin is not None]
    return (*(_of_tube(hole) for hole in part.drilled), *passed)


def _of_tube(hole: DrilledHole) -> Mesh:
    """From the tube's middle out through the wall; a slit out of its saw cut too."""
    station, along = _corners(np.column_stack((hole.edge.station, hole.edge.along))).T
    rim = hole.skin.at(station, along)
    if hole.slit is not None:
        at_cut = np.abs(along - (along.min() if hole.slit.at == "start" else along.max())) < _FINE
        rim = rim + np.outer(at_cut, hole.skin.frame.x) * (-_PAST if hole.slit.at == "start" else _PAST)
    out = hole.frame.x
    height = (rim - hole.frame.origin) @ out
    return prism(rim - height[:, None] * out, (float(height.max()) + _PAST) * out)


def _of_branch(opening: Opening, outside: Outside) -> Mesh:
    """For the bore of a branch, or for a tube that passes: square to the wall."""
    station, along = _corners(np.column_stack((opening.edge.station, opening.edge.along))).T
    rim = outside.at(station, along)
    frame = outside.frame
    centre = (rim.max(axis=0) + rim.min(axis=0)) / 2.0 - frame.origin
    out = unit(centre - float(centre @ frame.x) * frame.x)
    height = (rim - frame.origin) @ out
    return prism(rim - height[:, None] * out, (float(height.max()) + _PAST) * out)


def _corners(ring: Array) -> Array:
    """As few places of a closed ring (n, 2) as keep it to within `_FINE`."""
    import shapely

    closed = shapely.LineString(np.vstack((ring, ring[:1])))
    return np.asarray(shapely.get_coordinates(closed.simplify(_FINE))[:-1])


def _of_leg(part: ProfilePart, hole: LegHole) -> Mesh:
    ring = hole.loop.points(_FINE)
    skin, inward = part.ends[0].cut.edge(hole.face).limb.skin(ring[:, 0])
    through = inward * (hole.thickness + 2.0 * _PAST)
    low = np.column_stack((part.begins + ring[:, 1], skin - inward * _PAST))
    return prism(low, np.array([0.0, *np.asarray(through).reshape(-1, 2)[0]]))
