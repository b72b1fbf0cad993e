"""A profile as a solid: its outline swept without end, in pieces for first contact (`geometry/tube/contact.py`).

The polygon of the outline's corners is parted into convex prisms.  Where an arc bulges out, the part of a round bar
beyond its chord is added; so toes are exact.  Where one curves in, as a root radius does, the polygon takes in what
lies between the arc and its chord: that is the chamfer by which whatever sits in the root clears it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from fabgen.geometry.plane.outline import Outline, Xy
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import Convex, HalfSpace, RoundBar, Union

_FLAT = 1e-9
"""Corners that turn by less than this, as the sine, run straight on."""


@dataclass(frozen=True, eq=False)
class ProfilePrism:
    """A profile without ends: `outline` in (y, z) mm, counter-clockwise, swept along `frame.x`."""

    frame: Frame
    outline: Outline

    def pieces(self) -> tuple[Convex, ...]:
        """Convex prisms, and what its outward arcs add."""
        prisms = [self._prism(corners) for corners in convex_parts(self.outline)]
        return (*prisms, *self._rounds())

    def grown(self, by: float) -> Union:
        """Every surface moved out, so that sharp edges stay sharp.

        Args:
            by: mm.
        """
        return Union(tuple(piece.grown(by) for piece in self.pieces()))

    def _across(self, y: float, z: float) -> Array:
        return y * self.frame.y + z * self.frame.z

    def _prism(self, corners: tuple[Xy, ...]) -> Convex:
        faces = []
        for (y0, z0), (y1, z1) in zip(corners, corners[1:] + corners[:1], strict=True):
            outward = self._across(z1 - z0, y0 - y1)
            faces.append(HalfSpace.at(self.frame.origin + self._across(y0, z0), outward))
        return Convex(None, tuple(faces))

    def _rounds(self) -> list[Convex]:
        found = []
        for edge in self.outline.edges():
            if edge.bulge > 0.0:
                (y0, z0), (y1, z1) = edge.start, edge.end
                bar = RoundBar(self.frame.origin + self._across(*edge.centre), self.frame.x, edge.radius)
                beyond = HalfSpace.at(self.frame.origin + self._across(y0, z0), self._across(z0 - z1, y1 - y0))
                found.append(Convex(bar, (beyond,)))
        return found


@lru_cache(maxsize=256)
def convex_parts(outline: Outline) -> tuple[tuple[Xy, ...], ...]:
    """The polygon of an outline's corners, its arcs taken as chords, parted into convex polygons.

    Ears are cut off one after another, then neighbours are put together again as long as they stay convex.

    Args:
        outline: counter-clockwise, without crossings.
    Returns: polygons, counter-clockwise, which together are the whole and share edges alone.
    """
    corners = [(v.x, v.y) for v in outline.vertices]
    parts: list[tuple[Xy, ...]] = []
    while len(corners) > 3:
        parts.append(_cut_ear(corners))
    parts.append(tuple(corners))
    return tuple(_put_together(parts))


def _turn(a: Xy, b: Xy, c: Xy) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _cut_ear(corners: list[Xy]) -> tuple[Xy, ...]:
    """Take the first corner off that is convex and whose triangle holds no other corner; where all that are left to
    try are straight on, one of those, whose triangle has no area."""
    count = len(corners)
    for straight_on in (False, True):
        for i in range(count):
            a, b, c = corners[i - 1], corners[i], corners[(i + 1) % count]
            straight = straight_on and abs(_turn(a, b, c)) <= _FLAT
            others = (p for p in corners if p not in (a, b, c))
            if straight or (_turn(a, b, c) > _FLAT and not any(_holds((a, b, c), p) for p in others)):
                del corners[i]
                return a, b, c
    raise ValueError("an outline that crosses itself has no convex parts")


def _holds(triangle: tuple[Xy, Xy, Xy], point: Xy) -> bool:
    a, b, c = triangle
    return min(_turn(a, b, point), _turn(b, c, point), _turn(c, a, point)) >= -_FLAT


def _put_together(parts: list[tuple[Xy, ...]]) -> list[tuple[Xy, ...]]:
    for i, first in enumerate(parts):
        for j in range(i):
            if (whole := _joined(first, parts[j])) is not None:
                return _put_together([whole, *(p for k, p in enumerate(parts) if k not in (i, j))])
    return parts


def _joined(first: Sequence[Xy], second: Sequence[Xy]) -> tuple[Xy, ...] | None:
    """Two convex polygons as one; None where they share no edge or the whole would not be convex."""
    for i, start in enumerate(first):
        end = first[(i + 1) % len(first)]
        if start in second and second[(second.index(start) - 1) % len(second)] == end:
            k = second.index(start)
            ring = [
                *first[i + 1 :],
                *first[: i + 1],
                *(second[(k + n) % len(second)] for n in range(1, len(second) - 1)),
            ]
            count = len(ring)
            turns = [_turn(ring[n - 1], ring[n], ring[(n + 1) % count]) for n in range(count)]
            return tuple(ring) if min(turns) >= -_FLAT else None
    return None
