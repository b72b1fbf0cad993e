"""The folded part seen from the end of its bends: true thickness, bend radii and outside sizes.

Works from the flat and its bend lines: bends that run parallel and lie behind one another make
one chain of faces, and the chain is folded up in the plane square to the bends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.documents.drawing.sheet.dimensions import dot
from fabgen.geometry.plane.outline import Loop, Xy, box_of
from fabgen.geometry.sheet.folds import Bend
from fabgen.parts.piece import FlatBend, FlatPart

SHARPEST = math.radians(160.0)
"""A bend beyond this has no useful outside corner: its outermost line is taken instead."""


@dataclass(frozen=True, slots=True)
class ProfileFace:
    """A flat stretch: its bottom skin runs from `start` to `end`, the metal lies to the left of it."""

    start: Xy
    end: Xy
    heading: float

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True)
class ProfileBend:
    """A bend seen from its end: `centre` and inside radius, from direction `start` by `sweep` (rad,
    negative for a bend away from the viewer).  `corner` is the outside mould point."""

    bend: Bend
    centre: Xy
    start: float
    sweep: float
    corner: Xy

    @property
    def up(self) -> bool:
        return self.sweep > 0.0

    @property
    def inner_corner(self) -> Xy:
        """Where the inner skins would meet: on the line from the outside mould point to the centre."""
        far = self.bend.thickness / math.cos(self.bend.angle / 2.0)
        toward = math.atan2(self.centre[1] - self.corner[1], self.centre[0] - self.corner[0])
        return self.corner[0] + far * math.cos(toward), self.corner[1] + far * math.sin(toward)

    def at(self, inside: bool) -> Xy:
        """Where a size ends that is measured inside, or outside; at a bend that is nearly closed, over it."""
        return self.inner_corner if inside and self.bend.angle < SHARPEST else self.corner


@dataclass(frozen=True)
class FoldedProfile:
    """Faces and bends by turns, mm; the largest of the middle faces lies along +x."""

    thickness: float
    faces: tuple[ProfileFace, ...]
    bends: tuple[ProfileBend, ...]
    indices: tuple[int, ...]
    """Which bends of the flat these are."""
    across: Xy = (1.0, 0.0)
    """The way on the flat that the faces follow one another in."""
    inside: bool = False
    """Whether the part is measured between the inner skins of its bends."""
    starts: tuple[float, ...] = ()
    """Where each face begins on the flat, along `across`, mm."""

    @property
    def points(self) -> list[Xy]:
        """Points of both skins that hold the whole profile: corners, and where arcs are outermost."""
        found: list[Xy] = []
        for face in self.faces:
            found += [face.start, face.end, self.top(face, face.start), self.top(face, face.end)]
        for each in self.bends:
            low, high = sorted((each.start, each.start + each.sweep))
            quarters = range(math.ceil(low / (math.pi / 2.0)), math.floor(high / (math.pi / 2.0)) + 1)
            radius = each.bend.radius + self.thickness
            found += [
                (
                    each.centre[0] + radius * math.cos(q * math.pi / 2.0),
                    each.centre[1] + radius * math.sin(q * math.pi / 2.0),
                )
                for q in quarters
            ]
        return found

    def top(self, face: ProfileFace, point: Xy) -> Xy:
        """The point across the sheet from one on the face's bottom skin."""
        return (point[0] - self.thickness * math.sin(face.heading), point[1] + self.thickness * math.cos(face.heading))

    def outside_size(self, index: int) -> tuple[Xy, Xy, float]:
        """Face `index` from outside corner to outside corner (or free end): the two points and the size
        along the face, mm."""
        return self._size(index, inside=False)

    def size(self, index: int) -> tuple[Xy, Xy, float]:
        """The same as the part is measured: of one that is measured inside from inner corner to inner corner."""
        return self._size(index, self.inside)

    def _size(self, index: int, inside: bool) -> tuple[Xy, Xy, float]:
        face = self.faces[index]
        before = self.bends[index - 1] if index > 0 else None
        after = self.bends[index] if index < len(self.bends) else None
        # A free end is taken on the skin that the size is measured on.
        a = before.at(inside) if before else self._end(face, face.start, after, inside)
        b = after.at(inside) if after else self._end(face, face.end, before, inside)
        u = (math.cos(face.heading), math.sin(face.heading))
        return a, b, abs((b[0] - a[0]) * u[0] + (b[1] - a[1]) * u[1])

    def _end(self, face: ProfileFace, point: Xy, bend: ProfileBend | None, inside: bool) -> Xy:
        return point if bend is None or bend.up != inside else self.top(face, point)

    @property
    def sizes(self) -> list[float]:
        """Every face's size as the part is measured, then width and height over all, mm."""
        x0, y0, x1, y1 = box_of(self.points)
        faces = [self.size(i)[2] for i in range(len(self.faces))]
        return [*faces, x1 - x0, y1 - y0]


def folded_profiles(part: FlatPart) -> list[FoldedProfile]:
    """One profile for each direction that bends run in, the one with most bends first."""
    chains = _chains(part.bends)
    return [profile for chain in chains if (profile := _profile(part, chain)) is not None]


def _chains(bends: Sequence[FlatBend]) -> list[list[int]]:
    """Bends of one direction whose stretches face one another, widest families first."""
    chains: list[list[int]] = []
    for i, bend in enumerate(bends):
        for chain in chains:
            others = [bends[j] for j in chain]
            if abs(math.sin(_direction(bend) - _direction(others[0]))) < 1e-3 and _facing([bend, *others]):
                chain.append(i)
                break
        else:
            chains.append([i])
    return sorted(chains, key=lambda chain: -len(chain))


def _direction(bend: FlatBend) -> float:
    return math.atan2(bend.end[1] - bend.start[1], bend.end[0] - bend.start[0])


def _facing(bends: Sequence[FlatBend]) -> bool:
    """Whether one line square to the bends crosses them all."""
    along = _direction(bends[0])
    u = (math.cos(along), math.sin(along))
    spans = [sorted(dot(p, u) for p in (bend.start, bend.end)) for bend in bends]
    return min(span[1] for span in spans) - max(span[0] for span in spans) > 0.5


def _profile(part: FlatPart, chain: Sequence[int]) -> FoldedProfile | None:
    bends = [part.bends[i] for i in chain]
    along = _direction(bends[0]) % math.pi
    # Across: from left to right, or from bottom to top, of the flat as drawn.
    u, across = (math.cos(along), math.sin(along)), (abs(math.sin(along)), abs(math.cos(along)))
    if dot(u, across) > 1e-6:
        across = (math.sin(along), -math.cos(along))
    order = sorted(range(len(bends)), key=lambda i: dot(bends[i].start, across))
    positions = [dot(bends[i].start, across) for i in order]
    low = max(min(dot(p, u) for p in (b.start, b.end)) for b in bends)
    high = min(max(dot(p, u) for p in (b.start, b.end)) for b in bends)
    level = (low + high) / 2.0
    reach = _reach(part.outline, u, across, level, positions)
    others = [bend for i, bend in enumerate(part.bends) if i not in chain]
    if reach is None or any(_crosses(bend, u, across, level, reach) for bend in others):
        return None
    # Seen from the end that has `across` to the right, up is toward the viewer of the flat.
    folded = _fold(part.thickness, [bends[i] for i in order], positions, reach)
    beyond = [position + bends[i].bend.allowance / 2.0 for i, position in zip(order, positions, strict=True)]
    indices = tuple(chain[i] for i in order)
    return FoldedProfile(part.thickness, folded[0], folded[1], indices, across, part.inside, (reach[0], *beyond))


def _crosses(bend: FlatBend, u: Xy, across: Xy, level: float, reach: Xy) -> bool:
    """Whether the section's line meets a bend of another direction, so that the section is no true one."""
    a, b = dot(bend.start, u) - level, dot(bend.end, u) - level
    if (a > 0.0) == (b > 0.0):
        return False
    at = dot(bend.start, across) + (dot(bend.end, across) - dot(bend.start, across)) * a / (a - b)
    return reach[0] < at < reach[1]


def _reach(outline: Loop, u: Xy, across: Xy, level: float, positions: Sequence[float]) -> Xy | None:
    """First and last crossing of the outline with the line at `level` along the bends."""
    points = [(float(x), float(y)) for x, y in outline.points(0.1)]
    crossings = []
    for p, q in zip(points, points[1:] + points[:1], strict=True):
        a, b = dot(p, u) - level, dot(q, u) - level
        if (a > 0.0) != (b > 0.0):
            f = a / (a - b)
            crossings.append(dot((p[0] + (q[0] - p[0]) * f, p[1] + (q[1] - p[1]) * f), across))
    before = [c for c in crossings if c < positions[0]]
    after = [c for c in crossings if c > positions[-1]]
    return (max(before), min(after)) if before and after else None


def _fold(
    thickness: float, bends: Sequence[FlatBend], positions: Sequence[float], reach: Xy
) -> tuple[tuple[ProfileFace, ...], tuple[ProfileBend, ...]]:
    limits = [reach[0]]
    for line, position in zip(bends, positions, strict=True):
        limits += [position - line.bend.allowance / 2.0, position + line.bend.allowance / 2.0]
    limits.append(reach[1])
    lengths = [max(0.0, b - a) for a, b in zip(limits[::2], limits[1::2], strict=True)]
    ways = [(1.0 if b.up else -1.0) * b.bend.angle for b in bends]
    inner = range(1, len(lengths) - 1) if len(lengths) > 2 else range(len(lengths))
    base = max(inner, key=lambda i: (round(lengths[i], 3), -abs(2 * i - len(lengths) + 1)))
    heading = -sum(ways[:base])
    point: Xy = (0.0, 0.0)
    faces: list[ProfileFace] = []
    turned: list[ProfileBend] = []
    for i, length in enumerate(lengths):
        end = _ahead(point, heading, length)
        faces.append(ProfileFace(point, end, heading))
        if i == len(bends):
            break
        bend, up = bends[i].bend, bends[i].up
        away = (thickness + bend.radius) if up else -bend.radius
        centre = _ahead(end, heading + math.pi / 2.0, away)
        back = heading - math.pi / 2.0 if up else heading + math.pi / 2.0
        setback = bend.setback if bend.angle < SHARPEST else bend.radius + thickness
        corner = _ahead(_ahead(end, heading, setback), heading + math.pi / 2.0, 0.0 if up else thickness)
        turned.append(ProfileBend(bend, centre, back, ways[i], corner))
        radius = (bend.radius + thickness) if up else bend.radius
        point = _ahead(centre, back + ways[i], radius)
        heading += ways[i]
    return tuple(faces), tuple(turned)


def _ahead(point: Xy, heading: float, by: float) -> Xy:
    return (point[0] + by * math.cos(heading), point[1] + by * math.sin(heading))
