"""Edges of an end that are bevelled to clear the root radius of what the end sits on.

A flange that lies in the root of another profile would be cut short by the whole radius if the saw alone had to clear
it.  So it is sawn to the web, and the edge that lies in the root is ground to the radius's chord, from tangent to
tangent: the metal clears the root, and the bevel is where the weld goes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.profile.end_cut import EndCut, SawnPlane
from fabgen.geometry.profile.limbs import Limb
from fabgen.geometry.profile.notch import LimbLine
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import HalfSpace

_FOULS = 0.05
"""What a root takes off a limb beyond what its faces do, mm, is more than a file's stroke."""
_MOST = 0.5
"""Share of a limb's width over which its edge lies in the root, for that edge to be bevelled."""
_LEANS = 0.3
"""How much a bevel leans through a limb's thickness at least, as its rise along the profile."""
_WIDER = 1.5
"""A bevel goes back by no more than so many times the root's chord: else the end does not lie in the root."""
_OPEN = 0.5
"""The side of a limb away from the root reaches the face, or is open by no more than this, mm, which weld fills."""
_PLACES = 41


@dataclass(frozen=True, slots=True)
class Bevel:
    """An edge of an end that is ground to a plane.

    `plane`: its normal into the metal; `faces`: the outer or inner faces whose edges it takes; `back` along the
    profile and `into` the metal from the face, mm; `through`: how far back it still is where it comes out of the other
    face, mm; `root`: the radius that it clears, mm; `taken`: metal, mm3."""

    plane: SawnPlane
    faces: tuple[str, ...]
    back: float
    into: float
    through: float
    root: float
    taken: float = 0.0


@dataclass(frozen=True, eq=False)
class RootChord:
    """The chord of a root radius as a plane that looks out of the metal, how long it is and the radius, mm."""

    plane: HalfSpace
    length: float
    radius: float

    def grown(self, by: float) -> RootChord:
        """Moved out.

        Args:
            by: mm.
        """
        return RootChord(self.plane.grown(by), self.length, self.radius)


def root_chords(outline: Outline, frame: Frame) -> tuple[RootChord, ...]:
    """The chords of a profile's root radii.

    Args:
        outline: in (y, z) of the frame, counter-clockwise, mm.
        frame: x along the profile.
    """
    found = []
    for edge in outline.edges():
        if edge.bulge < 0.0:
            (y0, z0), (y1, z1) = edge.start, edge.end
            outward = (z1 - z0) * frame.y + (y0 - y1) * frame.z
            at = frame.origin + y0 * frame.y + z0 * frame.z
            found.append(RootChord(HalfSpace.at(at, outward), edge.chord, edge.radius))
    return tuple(found)


@dataclass(frozen=True, eq=False)
class BevelPlane:
    """A plane to which the edges of `limbs` are ground, its normal into the metal, for a root radius, mm."""

    plane: SawnPlane
    limbs: tuple[Limb, ...]
    root: float

    def is_outside(self, limb: Limb) -> bool:
        """Whether it is the outer face of a limb whose edge it takes."""
        return face_of(limb, self.plane) == limb.name

    def of(self, cut: EndCut) -> Bevel:
        """The bevel, measured from the end as it is cut before.

        Args:
            cut: without bevels.
        """
        sizes: list[tuple[float, float, float]] = []
        taken = 0.0
        for limb in self.limbs:
            edge, station = cut.edge(limb.name), _stations(limb)
            outer, inner = faces_met(limb, self.plane, station)
            base = np.interp(station, edge.station, edge.x)
            high, low, depth = np.maximum(outer, inner) - base, np.minimum(outer, inner) - base, limb.depth(station)
            into = np.where(low >= 0.0, depth, depth * high / np.maximum(high - low, 1e-9))
            area = np.where(high > 0.0, (high + np.maximum(low, 0.0)) / 2.0 * into, 0.0)
            back, deep, through = (float(np.median(each[high > 0.0])) for each in (high, into, np.maximum(low, 0.0)))
            sizes.append((back, deep, through))
            taken += float(area.mean()) * limb.width
        back, deep, through = max(sizes)
        faces = tuple(face_of(limb, self.plane) for limb in self.limbs)
        return Bevel(self.plane, faces, back, deep, through, self.root, taken)


def bevels_of(
    full: Sequence[LimbLine], bare: Sequence[LimbLine], chords: Sequence[RootChord], frame: Frame
) -> tuple[BevelPlane, ...]:
    """The bevels with which an end clears roots, where it then reaches farther than cut square through its limbs.

    Args:
        full: lines of its limbs, cut square to clear what they meet, its roots filled to their chords.
        bare: the same as if those roots were sharp corners.
        chords: of those roots, moved out by the root gap.
        frame: of the end.
    Returns: () where none helps, or where one would take more than an edge.
    """
    found = []
    for chord in chords:
        if float(chord.plane.normal @ frame.x) <= 0.0:
            continue
        plane = SawnPlane.of(chord.plane, frame)
        taking = [(o, b) for o, b in zip(full, bare, strict=True) if _lies_in(o, b, plane)]
        # Of an end that lies in the root with all it has nothing else reaches the face: that is sawn slanted.
        if len(taking) == sum(line.is_cut for line in bare):
            taking = [(o, b) for o, b in taking if _reaches(b, plane)]
        if taking and _takes_an_edge(full, bare, [o for o, _ in taking], plane, chord.length):
            found.append(BevelPlane(plane, tuple(o.limb for o, _ in taking), chord.radius))
    return tuple(found)


def face_of(limb: Limb, plane: SawnPlane) -> str:
    """The face of a limb whose edge a bevel takes: where the metal is cut back farther.

    Args:
        limb: of the end.
        plane: of the bevel.
    """
    outer, inner = faces_met(limb, plane, np.array([limb.width / 2.0]))
    return outer_and_inner(limb)[0 if outer[0] > inner[0] else 1]


def outer_and_inner(limb: Limb) -> tuple[str, str]:
    """The names of a limb's two faces.

    Args:
        limb: of an end, '' where it is a bend.
    """
    swap = (("outside", "inside"), ("stem side a", "stem side b"), ("face a", "face b"))
    return limb.name, next((limb.name.replace(*pair) for pair in swap if pair[0] in limb.name), limb.name)


def _stations(limb: Limb) -> Array:
    return np.linspace(0.02, 0.98, _PLACES) * limb.width


def faces_met(limb: Limb, plane: SawnPlane, station: Array) -> tuple[Array, Array]:
    """x of a plane at a limb's outer and its inner face, (n,) mm each.

    Args:
        limb: of the end.
        plane: in the end's frame.
        station: (n,) mm.
    """
    skin, inward = limb.skin(station)
    return plane.x(skin), plane.x(skin + limb.depth(station)[:, None] * inward)


def _lies_in(full: LimbLine, bare: LimbLine, plane: SawnPlane) -> bool:
    """Whether the edge of a limb lies in the root along most of its width: the root, not a face, stops it, and the
    plane leans through its thickness."""
    limb = full.limb
    if limb.edge.is_arc or not bare.is_cut:
        return False
    station = _stations(limb)
    outer, inner = faces_met(limb, plane, station)
    stopped = full.at(station) > bare.at(station) + _FOULS
    by_it = np.abs(np.maximum(outer, inner) - full.at(station)) < 2.0 * _FOULS
    leans = np.abs(outer - inner) > _LEANS * limb.depth(station)
    return bool(np.mean(stopped & by_it & leans) > _MOST)


def _reaches(bare: LimbLine, plane: SawnPlane) -> bool:
    """Whether the side of a limb away from the root reaches the face along most of its width."""
    station = _stations(bare.limb)
    return bool(np.mean(np.minimum(*faces_met(bare.limb, plane, station)) < bare.at(station) + _OPEN) > _MOST)


def _takes_an_edge(
    full: Sequence[LimbLine], bare: Sequence[LimbLine], taking: Sequence[LimbLine], plane: SawnPlane, chord: float
) -> bool:
    """Whether the plane takes no more than an edge of the limbs that lie in the root, and nothing of the others."""
    longest = min(float(np.nanmin(line.x)) for line in bare if line.is_cut)
    for own, without in zip(full, bare, strict=True):
        station = _stations(own.limb)
        line = without if own in taking else own
        base = np.nan_to_num(line.at(station), nan=longest)
        most = _WIDER * chord if own in taking else 2.0 * _FOULS
        outer, inner = faces_met(own.limb, plane, station)
        if float((np.maximum(outer, inner) - base).max()) > most:
            return False
    return True
