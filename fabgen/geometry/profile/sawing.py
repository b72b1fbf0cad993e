"""A flat cut of a profile: the plane between two that are mitred, and how the saw stands for it.

Angle and channel do not lie on any face: only those lie still that the whole section stands on, a leg, the web, a
flange, or a channel's two toes.  With the face on the table and the profile against the fence, the blade is swung about
the upright and then leaned about its own slot, as for a tube (`parts/tube/saw_angles.py`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import Loop
from fabgen.geometry.profile.cross_section import CrossSection, Face
from fabgen.geometry.profile.end_cut import SawnPlane
from fabgen.geometry.space.frame import Array, Frame, unit

_TOLERANCE = 0.02


@dataclass(frozen=True, slots=True)
class SawStand:
    """The saw for a cut of a profile that lies on a face: `swing` and `tilt`, rad.

    Looking from the start along the profile with that face down: `swing` > 0 leaves its right side longer, `tilt` > 0
    its upper side."""

    lies_on: str
    swing: float
    tilt: float

    @property
    def greatest(self) -> float:
        """The greater of the two, rad."""
        return max(abs(self.swing), abs(self.tilt))


def resting_faces(section: CrossSection) -> tuple[Face, ...]:
    """The faces on which the section lies still: nothing of it is beyond the face, and its middle is above it.

    Args:
        section: of any shape.
    """
    points = section.outline.points(_TOLERANCE)
    centre = np.array(section.centroid)
    found = []
    for face in section.faces:
        start, along = np.array(face.start), unit(np.subtract(face.end, face.start))
        outward = np.array([along[1], -along[0]])
        beyond = float(((points - start) @ outward).max())
        over = float((centre - start) @ along)
        if beyond < 1e-3 and 0.0 <= over <= math.dist(face.start, face.end):
            found.append(face)
    return tuple(found)


def saw_stand(face: Face, sawn: SawnPlane) -> SawStand:
    """The saw's two angles for a cut, the profile lying on a face.

    Args:
        face: down on the table.
        sawn: the plane, in the frame of the start.
    """
    along = unit(np.subtract(face.end, face.start))
    up = np.array([-along[1], along[0]])
    # Seen from the start along x with `up` up, right is x cross up: (y, z) -> (-z', y') of up.
    right = np.array([-up[1], up[0]])
    across = np.array(sawn.normal[1:])
    ahead = sawn.normal[0]
    return SawStand(face.name, math.atan2(float(across @ right), ahead), math.asin(float(np.clip(across @ up, -1, 1))))


def best_stand(section: CrossSection, sawn: SawnPlane) -> SawStand:
    """The way to lay it on the saw that needs the least tilt, and of those the least swing.

    Args:
        section: of any shape.
        sawn: the plane, in the frame of the start.
    Raises:
        ValueError: it lies still on none of the faces.
    """
    stands = [saw_stand(face, sawn) for face in resting_faces(section)]
    if not stands:
        raise ValueError("the section lies still on none of its faces")
    return min(stands, key=lambda stand: (round(abs(stand.tilt), 6), round(abs(stand.swing), 6)))


def mitre_plane(frame: Frame, other: Frame) -> SawnPlane:
    """The plane that mitres two profiles whose datum lines meet at one point.

    Args:
        frame: of the end, origin where the datum lines meet, x into the profile.
        other: of the other profile's end, alike.
    Raises:
        ValueError: the two run on in one line back to back over one another.
    """
    normal = unit(frame.x - other.x)
    y, z = float(normal @ frame.y), float(normal @ frame.z)
    return SawnPlane(0.0, (float(normal @ frame.x), y, z))


def apart_on_mitre(outline: Loop, frame: Frame, other_outline: Loop, other: Frame) -> float:
    """How far two mitred profiles are from meeting all round, mm: 0 where their cut faces are one another's image.

    Each corner of one section is followed along it to the mitre's plane, and held against the outline of the other.

    Args:
        outline: of the one, mm.
        frame: of its end.
        other_outline: of the other, mm.
        other: of its end.
    """
    plane = mitre_plane(frame, other)
    here = outline.points(_TOLERANCE)
    met = frame.outside(np.column_stack((plane.x(here), here)))
    mine = other.inside(met)[:, 1:]
    there = other_outline.points(_TOLERANCE)
    return max(_farthest(mine, there), _farthest(there, mine))


def _farthest(points: Array, ring: Array) -> float:
    """The greatest distance of any point from a closed ring of straight edges, mm."""
    start, way = ring, np.roll(ring, -1, axis=0) - ring
    square = np.maximum((way * way).sum(axis=1), 1e-30)
    share = np.clip(((points[:, None] - start) * way).sum(axis=2) / square, 0.0, 1.0)
    near = start + share[..., None] * way
    return float(np.linalg.norm(points[:, None] - near, axis=2).min(axis=1).max())
