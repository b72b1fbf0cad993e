"""A profile's cross-section: its outline in the plane (y, z) of its own frame, its named flat faces, its centroid.

The profile runs along x; seen from its start toward its finish z is up and y is to the left, so what turns
counter-clockwise in (y, z) turns clockwise there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from fabgen.geometry.plane.outline import Edge, Loop, Outline, Xy


@dataclass(frozen=True, slots=True)
class Face:
    """A flat face of a profile: the straight edge of its outline from `start` to `end`, (y, z) mm, metal on its left;
    `thickness` mm is what lies behind it, measured square to it."""

    name: str
    start: Xy
    end: Xy
    thickness: float

    @property
    def width(self) -> float:
        """From end to end, mm."""
        return math.dist(self.start, self.end)

    @property
    def outward(self) -> Xy:
        """Unit normal away from the metal, (y, z)."""
        along = self.along
        return along[1], -along[0]

    @property
    def along(self) -> Xy:
        """Unit direction from its start to its end, (y, z)."""
        width = self.width
        return (self.end[0] - self.start[0]) / width, (self.end[1] - self.start[1]) / width


@dataclass(frozen=True, slots=True)
class CrossSection:
    """The outline of a profile, counter-clockwise in (y, z), mm, and its flat faces in their order round it.

    `slabs` are the flats that it is made of, as convex polygons of four corners: its legs, web and flanges without
    their radii, which share nothing but corners; () of a bar that has none.
    """

    outline: Loop
    faces: tuple[Face, ...] = ()
    slabs: tuple[tuple[Xy, ...], ...] = ()

    @property
    def area(self) -> float:
        """Of its metal, mm2."""
        return self.outline.area

    @property
    def centroid(self) -> Xy:
        """Of its metal, (y, z) mm."""
        return centroid(self.outline)

    def face(self, name: str) -> Face:
        """The face of a name.

        Raises:
            KeyError: it has none of that name.
        """
        for face in self.faces:
            if face.name == name:
                return face
        raise KeyError(name)

    def moved(self, dy: float, dz: float) -> CrossSection:
        """The same with its origin elsewhere.

        Args:
            dy: along y, mm.
            dz: along z, mm.
        """
        faces = (
            Face(f.name, (f.start[0] + dy, f.start[1] + dz), (f.end[0] + dy, f.end[1] + dz), f.thickness)
            for f in self.faces
        )
        slabs = (tuple((y + dy, z + dz) for y, z in slab) for slab in self.slabs)
        return CrossSection(self.outline.moved(dy, dz), tuple(faces), tuple(slabs))

    def flipped(self) -> CrossSection:
        """Its mirror image, y to -y: what one sees of the same bar from its other end."""
        faces = (Face(f.name, (-f.end[0], f.end[1]), (-f.start[0], f.start[1]), f.thickness) for f in self.faces)
        slabs = (tuple((-y, z) for y, z in reversed(slab)) for slab in self.slabs)
        return CrossSection(self.outline.flipped(), tuple(faces), tuple(slabs))


def centroid(outline: Loop) -> Xy:
    """The centroid of what an outline encloses, its arcs counted exactly.

    Args:
        outline: any closed loop, mm.
    Returns: (x, y) mm.
    Source: polygon by the shoelace formula, and each arc's segment: 4 r sin(a/2)^3 / (3 (a - sin a)) from the centre.
    """
    if not isinstance(outline, Outline):
        return outline.x, outline.y
    area = first = second = 0.0
    for edge in outline.edges():
        for part, (x, y) in _parts(edge):
            area += part
            first += part * x
            second += part * y
    return first / area, second / area


def _parts(edge: Edge) -> Iterable[tuple[float, Xy]]:
    """Signed areas and their centroids: the triangle from the origin, and the segment between chord and arc."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    yield (x0 * y1 - x1 * y0) / 2.0, ((x0 + x1) / 3.0, (y0 + y1) / 3.0)
    if edge.is_arc:
        r, a = edge.radius, edge.sweep
        (cx, cy), middle = edge.centre, edge.heading_in + a / 2.0
        way = 4.0 * r * math.sin(abs(a) / 2.0) ** 3 / (3.0 * (abs(a) - math.sin(abs(a))))
        side = -1.0 if a > 0.0 else 1.0  # the centre lies to the left of an arc that turns left
        yield r * r * (a - math.sin(a)) / 2.0, (cx - side * way * math.sin(middle), cy + side * way * math.cos(middle))
