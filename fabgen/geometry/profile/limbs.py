"""The legs, web, flanges and stem of a profile as they are marked and cut: strips of metal behind an outer face.

A limb is one edge of the outline, flat or the arc of a folded heel.  Stations run along it, counter-clockwise in the
plane (y, z): looked at from outside with x up, to the right.  At each station the metal goes `depth` mm square inward,
through the limb.  Metal that two limbs share, as at a heel, belongs to both: what is cut off either is gone.  The
filling of a root radius belongs to neither: where it would foul it is ground off flush, and the limb beside it stays
whole.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.geometry.plane.outline import Edge, Outline, Vertex
from fabgen.geometry.profile.corners import tangent_corner, with_sharp_roots
from fabgen.geometry.profile.cross_section import CrossSection, Face
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import Walls

_ALONG = 0.5
"""A flat that a ray meets at a smaller angle than this, as the sine, is the side of another limb: of a T's stem, which
tapers, beneath its flange."""
GRAZE = 0.005
"""What reaches no deeper than this into a limb only touches it, mm."""

_TAPER = 1.6
"""A tapered flange is no thicker than so many times its nominal thickness; where the section is deeper, as over a web,
that belongs to another limb."""


_MARKED = (
    ("leg a outside", "leg b outside"),
    ("flange a outside", "web outside", "flange b outside"),
    ("flange outside",),
    ("stem side a",),
    ("face a",),
    ("flat 1", "flat 2", "flat 3"),
)
"""Outer faces by which an end is marked, those that fold over one another together; a section has what it has.  All
of a hexagon lies behind three of its flats."""


@dataclass(frozen=True, eq=False)
class Limb:
    """A leg, web, flange or stem behind one outer face, or the bend between two of them.

    `edge` in (y, z), mm, as far as the limb reaches where a toe or a root is rounded; `thickness` mm; `name` is that of
    the face, '' of a bend.  `outline` is that of the whole section, its roots sharp.
    """

    name: str
    edge: Edge
    thickness: float
    outline: Outline

    @property
    def width(self) -> float:
        """Along its outer face, mm."""
        return self.edge.length

    @cached_property
    def thickest(self) -> float:
        """Its greatest thickness, mm: of a tapered flange that beside the web."""
        through = self._through(np.linspace(0.0, self.width, 101))
        return max(self.thickness, float(through.max(initial=0.0, where=np.isfinite(through))))

    def skin(self, station: Array) -> tuple[Array, Array]:
        """Places on the outer face and the unit normals inward there, (n, 2) each, in (y, z).

        Args:
            station: (n,) mm from its start.
        """
        edge = self.edge
        heading = edge.heading_in + (station / edge.radius if edge.bulge > 0.0 else np.zeros_like(station))
        inward = np.column_stack((-np.sin(heading), np.cos(heading)))
        if edge.is_arc:
            return np.array(edge.centre) - edge.radius * inward, inward
        along = np.array([math.cos(edge.heading_in), math.sin(edge.heading_in)])
        return np.array(edge.start) + station[:, None] * along, inward

    def depth(self, station: Array) -> Array:
        """How deep the metal goes, (n,) mm: its thickness there, less where its toe is rounded.

        Args:
            station: (n,) mm from its start.
        """
        through = self._through(station)
        return np.where(np.isfinite(through), through, self.thickest)

    def _through(self, station: Array) -> Array:
        """From the outer face to where the limb's metal ends, (n,) mm; nan where the section is deeper there."""
        return _way_out(self.outline, *self.skin(station), _TAPER * self.thickness)

    def place(self, points: Array) -> tuple[Array, Array]:
        """Where places lie on it: their stations, and how deep below its outer face they are, (n,) mm each.

        Args:
            points: (n, 2) in (y, z).
        """
        edge = self.edge
        if edge.is_arc:
            away = points - np.array(edge.centre)
            heading = np.arctan2(away[:, 1], away[:, 0]) + np.pi / 2.0 - edge.heading_in
            return (np.mod(heading + np.pi, 2.0 * np.pi) - np.pi) * edge.radius, edge.radius - np.hypot(*away.T)
        (skin,), (inward,) = self.skin(np.zeros(1))
        away = points - skin
        return away @ np.array([inward[1], -inward[0]]), away @ inward

    def walls(self, station: Array, frame: Frame) -> Walls:
        """Its strips of metal in space, without what lies within `GRAZE` of either face.

        Args:
            station: (n,) mm from its start.
            frame: x along the profile, y and z those of the outline.
        """
        skin, inward = self.skin(station)
        across = np.vstack((frame.y, frame.z))
        depth = np.maximum(self.depth(station) - 2.0 * GRAZE, 0.0)
        return Walls(frame.origin + (skin + GRAZE * inward) @ across, inward @ across, depth, frame.x)


def marked_limbs(section: CrossSection) -> tuple[Limb, ...]:
    """The limbs of a section in the order in which an end is marked on their outer faces; () of a round bar.

    Args:
        section: angle, channel, T, flat or hexagon bar; of a bar seen from its finish its mirror image, whose limbs
            follow one another the other way round.
    """
    found: list[Limb] = []
    has = {face.name for face in section.faces}
    if isinstance(section.outline, Outline):
        for chain in _MARKED:
            if has.issuperset(chain):
                faces = [section.face(name) for name in chain]
                found += limbs_between(section.outline, faces if _run_on(section.outline, faces) else faces[::-1])
    return tuple(found)


def limbs_between(outline: Outline, faces: Sequence[Face]) -> tuple[Limb, ...]:
    """The limbs behind outer faces that follow one another round an outline, with the bends between them.

    Args:
        outline: of the section, counter-clockwise, mm.
        faces: in order; each is an edge of the outline and nothing but arcs lie between two.
    Raises:
        ValueError: they do not follow one another, or are no edges of the outline.
    """
    sharp = with_sharp_roots(outline)
    edges = list(outline.edges())
    at = [_edge_of(edges, face) for face in faces]
    limbs: list[Limb] = []
    for number, (place, face) in enumerate(zip(at, faces, strict=True)):
        if number:
            between = (at[number - 1] + 1) % len(edges)
            while between != place:
                if edges[between].bulge <= 0.0:
                    raise ValueError(f"{faces[number - 1].name} and {face.name} are not neighbours")
                limbs.append(Limb("", edges[between], face.thickness, sharp))
                between = (between + 1) % len(edges)
        edge = edges[place]
        if number == 0:
            edge = _reaching(edge, [edges[place - n] for n in (1, 2, 3)], back=True)
        if number == len(faces) - 1:
            edge = _reaching(edge, [edges[(place + n) % len(edges)] for n in (1, 2, 3)], back=False)
        limbs.append(Limb(face.name, edge, face.thickness, sharp))
    return tuple(limbs)


def roots_of(outline: Outline) -> tuple[Limb, ...]:
    """What fills the root radii, each as strips from one of the faces that meet there, as deep as it is.

    Args:
        outline: of a section, counter-clockwise, mm.
    """
    found = []
    for edge in outline.edges():
        if edge.bulge < 0.0:
            corner = tangent_corner(edge)
            filling = Outline((Vertex(*corner), Vertex(*edge.start, edge.bulge), Vertex(*edge.end)))
            found.append(Limb("root", Edge(corner, edge.start, 0.0), edge.radius, filling))
    return tuple(found)


def _run_on(outline: Outline, faces: Sequence[Face]) -> bool:
    """Whether the second of the faces follows the first round the outline, but for a bend; so does a single one."""
    edges = list(outline.edges())
    first, second = (_edge_of(edges, face) for face in (faces[0], faces[min(1, len(faces) - 1)]))
    return (second - first) % len(edges) <= 2


def _edge_of(edges: Sequence[Edge], face: Face) -> int:
    for i, edge in enumerate(edges):
        if not edge.is_arc and math.dist(edge.start, face.start) < 1e-6 and math.dist(edge.end, face.end) < 1e-6:
            return i
    raise ValueError(f"{face.name} is no edge of the outline")


def _reaching(edge: Edge, beside: Sequence[Edge], back: bool) -> Edge:
    """The face as far as a rounded toe or a root radius beside it reaches: a T's stem begins at its flange.

    Of a toe that includes what lies beyond its arc: seen from a tapered face it is not square.
    """
    if not beside[0].is_arc:
        return edge
    way = np.subtract(edge.end, edge.start) / edge.chord * (-1.0 if back else 1.0)
    corner = np.array(edge.start if back else edge.end)
    points = [p for each in (beside if beside[0].bulge > 0.0 else beside[:1]) for p in (*each.points(1e-3), each.end)]
    moved = corner + max(0.0, max(float((np.array(p) - corner) @ way) for p in points)) * way
    end = (float(moved[0]), float(moved[1]))
    return Edge(end, edge.end, 0.0) if back else Edge(edge.start, end, 0.0)


def _way_out(outline: Outline, points: Array, way: Array, farthest: float) -> Array:
    """How far it is from each point, along its unit direction, to the last edge of the outline that is no farther than
    so many mm, (n,) mm; nan where none is.  Before a rounded toe a ray meets the toe first and then the way out."""
    last = np.full(len(points), np.nan)
    for edge in outline.edges():
        for t in _ray_arc(edge, points, way) if edge.is_arc else _ray_line(edge, points, way):
            last = np.fmax(last, np.where((t > 1e-9) & (t <= farthest), t, np.nan))
    return last


def _ray_line(edge: Edge, points: Array, way: Array) -> list[Array]:
    along = np.subtract(edge.end, edge.start)
    away = np.array(edge.start) - points
    with np.errstate(divide="ignore", invalid="ignore"):
        det = way[:, 0] * along[1] - way[:, 1] * along[0]
        t = (away[:, 0] * along[1] - away[:, 1] * along[0]) / det
        u = (away[:, 0] * way[:, 1] - away[:, 1] * way[:, 0]) / det
    on = (np.abs(det) > _ALONG * edge.chord) & (u >= -1e-9) & (u <= 1.0 + 1e-9)
    return [np.where(on, t, np.inf)]


def _ray_arc(edge: Edge, points: Array, way: Array) -> list[Array]:
    away = points - np.array(edge.centre)
    ahead = (away * way).sum(axis=1)
    inside = ahead**2 - (away * away).sum(axis=1) + edge.radius**2
    root = np.sqrt(np.maximum(inside, 0.0))
    chord = np.subtract(edge.end, edge.start)
    found = []
    for t in (-ahead - root, -ahead + root):
        at = points + t[:, None] * way - np.array(edge.start)
        # The arc lies to the right of its chord where it turns left, and to the left where it turns right.
        side = (chord[0] * at[:, 1] - chord[1] * at[:, 0]) * (-1.0 if edge.bulge > 0.0 else 1.0)
        found.append(np.where((inside >= 0.0) & (side >= -1e-9), t, np.inf))
    return found
