"""The legs, web, flanges and stem of a profile as they are marked and cut: strips of metal behind an outer face.

A limb is one edge of the outline, flat or the arc of a folded heel.  Stations run along it, counter-clockwise in the
plane (y, z): looked at from outside with x up, to the right.  At each station the metal goes `depth` mm square inward,
through the limb.  Metal that two limbs share, as at a heel, belongs to both: what is cut off either is gone.  The
filling of a root radius belongs to neither: where it would foul it is ground off flush, and the limb beside it stays
whole.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from fabgen.geometry.plane.outline import Edge, Outline, Vertex, Xy
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
    lines, arcs = _edges_of(outline)
    t = np.hstack((_to_lines(lines, points, way), *_to_arcs(arcs, points, way)))
    return np.asarray(np.fmax.reduce(np.where((t > 1e-9) & (t <= farthest), t, np.nan), axis=1, initial=np.nan))


@dataclass(frozen=True, eq=False)
class _Lines:
    """The straight edges of an outline: their starts and what they run along, (n, 2), and their lengths, (n,) mm."""

    start: Array
    along: Array
    chord: Array


@dataclass(frozen=True, eq=False)
class _Arcs:
    """Its arcs: starts, chords and centres, (n, 2), radii and, where they turn left, -1, where right, 1, (n,)."""

    start: Array
    chord: Array
    centre: Array
    radius: Array
    side: Array


@lru_cache(maxsize=256)
def _edges_of(outline: Outline) -> tuple[_Lines, _Arcs]:
    lines, arcs = ([edge for edge in outline.edges() if edge.is_arc is arc] for arc in (False, True))

    def pairs(values: Iterable[Xy]) -> Array:
        return np.array(list(values), dtype=float).reshape(-1, 2)

    def chords(edges: Sequence[Edge]) -> Array:
        return pairs(edge.end for edge in edges) - pairs(edge.start for edge in edges)

    return (
        _Lines(pairs(edge.start for edge in lines), chords(lines), np.array([edge.chord for edge in lines])),
        _Arcs(
            pairs(edge.start for edge in arcs),
            chords(arcs),
            pairs(edge.centre for edge in arcs),
            np.array([edge.radius for edge in arcs]),
            np.array([-1.0 if edge.bulge > 0.0 else 1.0 for edge in arcs]),
        ),
    )


def _to_lines(lines: _Lines, points: Array, way: Array) -> Array:
    """How far it is from each point to each line, (points, lines); inf where the ray passes it by."""
    away, along = lines.start - points[:, None], lines.along
    wx, wy = way[:, :1], way[:, 1:]
    with np.errstate(divide="ignore", invalid="ignore"):
        det = wx * along[:, 1] - wy * along[:, 0]
        t = (away[..., 0] * along[:, 1] - away[..., 1] * along[:, 0]) / det
        u = (away[..., 0] * wy - away[..., 1] * wx) / det
    on = (np.abs(det) > _ALONG * lines.chord) & (u >= -1e-9) & (u <= 1.0 + 1e-9)
    return np.where(on, t, np.inf)


def _to_arcs(arcs: _Arcs, points: Array, way: Array) -> Iterator[Array]:
    """How far it is from each point to where its ray goes into each arc's circle and out of it, (points, arcs) each;
    inf where it does not cross the arc there."""
    away, ways = points[:, None] - arcs.centre, way[:, None]
    ahead = (away * ways).sum(axis=2)
    inside = ahead**2 - (away * away).sum(axis=2) + arcs.radius**2
    root = np.sqrt(np.maximum(inside, 0.0))
    for t in (-ahead - root, -ahead + root):
        at = points[:, None] + t[..., None] * ways - arcs.start
        # The arc lies to the right of its chord where it turns left, and to the left where it turns right.
        side = (arcs.chord[:, 0] * at[..., 1] - arcs.chord[:, 1] * at[..., 0]) * arcs.side
        yield np.where((inside >= 0.0) & (side >= -1e-9), t, np.inf)
