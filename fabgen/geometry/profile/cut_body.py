"""A profile with both its ends cut, as a body to be drawn and held against others.

Its outline is swept, trimmed to the saw's planes, and each limb is cut square through to its edge (manifold3d).  Toes
are sharp and the roots of rolled sections empty: their radii are smaller than a line is apart from the next on a page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from fabgen.geometry.plane.outline import Edge, Outline
from fabgen.geometry.plane.regions import region
from fabgen.geometry.profile.corners import sharpened
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.end_cut import EndCut, LimbEdge, SawnPlane
from fabgen.geometry.profile.limbs import Limb
from fabgen.geometry.space.creases import creased
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import EdgedMesh, joined
from fabgen.geometry.space.shared_metal import mesh_of, solid_of

if TYPE_CHECKING:
    from manifold3d import Manifold

_FINE = 0.05
"""Of the chords of a folded heel, mm."""
_CLEAR = 1.0
"""What cuts reaches so far beyond the metal, mm."""
_BELOW = 1e-3
"""It goes so far below a limb's inner face, mm, so that no skin is left there."""
_NOTCHED = 1e-6
"""An edge so far beyond the saw's plane is notched, mm."""
_BESIDE = 0.01
"""Whether a limb ends free is asked so far beside its end, mm."""
_CRUMB = 1.0
"""Less metal, mm3, is what rounding leaves between two flats."""
_MIRRORED = np.array([-1.0, 1.0])
_ALONG_X = np.array([[0.0, 0.0, 1.0, 0.0], [1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0]])
"""What is swept along z, its outline in (x, y), is x, y and z of the profile's frame."""


def cut_body(section: CrossSection, start: EndCut, finish: EndCut, axis: float) -> EdgedMesh:
    """The body in the frame of its start.

    Args:
        section: with flat sides, seen from the start.
        start: the end at x = 0.
        finish: the other, whose frame is turned half round about z and whose section is the mirror image.
        axis: from the one frame's origin to the other's, mm.
    """
    outline = _drawn(section)
    body = _sawn(outline, start.sawn, finish.sawn, axis)
    body -= _cut_off(start, outline)
    body -= _turned(_cut_off(finish, outline.flipped()), axis)
    return creased(mesh_of(body))


def solid_body(outline: Outline, start: SawnPlane, finish: SawnPlane, axis: float) -> EdgedMesh:
    """The body of a solid bar that is sawn at both ends, in the frame of its start.

    Args:
        outline: of flats alone, in (y, z), counter-clockwise, mm.
        start: its plane.
        finish: the other, in a frame that is turned half round about z.
        axis: from the one frame's origin to the other's, mm.
    """
    return creased(mesh_of(_sawn(outline, start, finish, axis)))


def parted(body: EdgedMesh, section: CrossSection) -> EdgedMesh:
    """A body as its legs, web and flanges, closed each, which touch one another: how deep something lies in one of them
    is no deeper than that is thick.

    Args:
        body: of a profile, in the frame of its section.
        section: as it lies there.
    """
    rest, (low, high) = solid_of([body]), body.bounds
    found: list[Manifold] = []
    for slab in section.slabs:
        flat = _swept(np.array(slab), low[0] - _CLEAR, high[0] + _CLEAR)
        found.append(rest ^ flat)
        rest -= flat
    return joined([creased(mesh_of(each)) for each in (*found, rest) if each.volume() > _CRUMB])


def _drawn(section: CrossSection) -> Outline:
    """Its outline, its toes sharp and, but for a folded one, its roots too."""
    assert isinstance(section.outline, Outline)
    thinnest = min(face.thickness for face in section.faces)
    is_folded = any(_is_heel(edge, thinnest) for edge in section.outline.edges())
    return sharpened(section.outline, lambda edge: not is_folded or (edge.bulge > 0.0 and not _is_heel(edge, thinnest)))


def _is_heel(edge: Edge, thinnest: float) -> bool:
    return edge.bulge > 0.0 and edge.radius > thinnest


def _sawn(outline: Outline, start: SawnPlane, finish: SawnPlane, axis: float) -> Manifold:
    """The outline swept from the one saw's plane to the other's."""
    ring = outline.points(_FINE)
    low = float(start.x(ring).min()) - _CLEAR
    high = axis - float(finish.x(ring * _MIRRORED).min()) + _CLEAR
    body = _swept(ring, low, high)
    body = body.trim_by_plane(start.normal, start.at * start.normal[0])
    ahead, y, z = finish.normal
    return body.trim_by_plane((-ahead, -y, z), (finish.at - axis) * ahead)


def _swept(ring: Array, low: float, high: float) -> Manifold:
    """Corners (n, 2) in (y, z), counter-clockwise, from the one x to the other."""
    from manifold3d import CrossSection as Flat
    from manifold3d import Manifold

    return Manifold.extrude(Flat([ring]), high - low).translate((0.0, 0.0, low)).transform(_ALONG_X)


def _cut_off(end: EndCut, outline: Outline) -> Manifold:
    """What its notch cuts off the limbs of an end, square through each, in the end's frame.

    Args:
        end: of the profile.
        outline: of the section as it is drawn, seen from the end.
    """
    from manifold3d import Manifold, OpType

    metal = region(outline, _FINE)
    low = min(float(end.sawn.x(outline.points(_FINE)).min()), end.longest) - 2.0 * _CLEAR
    cuts = [cut for edge in end.edges for cut in _limb_cuts(edge, end.sawn, metal, low)]
    return Manifold.batch_boolean(cuts, OpType.Add) if cuts else Manifold()


def _limb_cuts(edge: LimbEdge, sawn: SawnPlane, metal: shapely.Polygon, low: float) -> Iterator[Manifold]:
    """Of one limb: a solid for every run of its edge that is notched, from `low` to the edge."""
    from manifold3d import CrossSection as Flat
    from manifold3d import Manifold

    limb, deep = edge.limb, edge.limb.thickest + _BELOW
    for run in _notched_runs(edge, sawn):
        if limb.edge.is_arc:
            for pair in pairwise(run):
                rows = np.array([(s, x) for s, high in pair for x in (low, high)])
                skin, inward = limb.skin(rows[:, 0])
                sides = (skin - _CLEAR * inward, skin + deep * inward)
                yield Manifold.hull_points(np.vstack([np.column_stack((rows[:, 1], side)) for side in sides]))
            continue
        ring = _from_low(run, low, [_is_open(limb, run[at, 0], way, metal) for at, way in ((0, -1.0), (-1, 1.0))])
        (skin,), (inward,) = limb.skin(np.zeros(1))
        along = np.array([inward[1], -inward[0]])
        origin = np.array([0.0, *(skin - _CLEAR * inward)])
        place = np.column_stack(([0.0, *along], [1.0, 0.0, 0.0], [0.0, *inward], origin))
        yield Manifold.extrude(Flat([ring]), deep + _CLEAR).transform(place)


def _notched_runs(edge: LimbEdge, sawn: SawnPlane) -> Iterator[Array]:
    """Where an edge lies beyond the saw's plane: (station, x) of each run, (n, 2)."""
    over = edge.x - sawn.x(edge.limb.skin(edge.station)[0]) > _NOTCHED
    line = np.column_stack((edge.station, edge.x))
    notched = over[1:] | over[:-1]
    begins = np.flatnonzero(notched & ~np.concatenate(([False], notched[:-1])))
    ends = np.flatnonzero(notched & ~np.concatenate((notched[1:], [False])))
    for first, last in zip(begins, ends, strict=True):
        run = line[first : last + 2]
        if run[-1, 0] > run[0, 0]:
            yield run


def _from_low(run: Array, low: float, is_open: Sequence[bool]) -> Array:
    """The outline, counter-clockwise, of what is cut off from `low` to a run of an edge; it goes on beyond an open
    end."""
    (first, x), (last, back) = run[0], run[-1]
    first, last = (at + way * _CLEAR * on for at, way, on in zip((first, last), (-1.0, 1.0), is_open, strict=True))
    return np.vstack(([first, low], [last, low], [last, back], run[::-1], [first, x]))


def _is_open(limb: Limb, station: float, way: float, metal: shapely.Polygon) -> bool:
    """Whether a limb ends at a station with nothing of the section beside it."""
    if station > _BESIDE and station < limb.width - _BESIDE:
        return False
    (skin,), (inward,) = limb.skin(np.array([0.0 if way < 0.0 else limb.width]))
    along = np.array([inward[1], -inward[0]])
    return not shapely.contains_xy(metal, *(skin + way * _BESIDE * along + limb.thickness / 2.0 * inward))


def _turned(body: Manifold, axis: float) -> Manifold:
    """What is in the finish's frame, half round about z, in that of the start."""
    return body.transform(np.array([[-1.0, 0.0, 0.0, axis], [0.0, -1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0]]))
