"""Sheet parts and what is on their flats, as their mirror image.

A flat is mirrored left to right (x to -x), a strap's across its width (y to -y).  The made part follows: a folded one's
first face is mirrored left to right too, what is rolled or drawn from end to end from side to side of its axis (y to
-y), a strap along the axis that it goes round (z to -z).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from fabgen.geometry.plane.outline import Circle, Loop, Outline, Xy
from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.sheet.folds import mirrored_tree
from fabgen.parts.piece import FlatBend, FlatPart, Hole, Mark, Rolled


class Carrier(Protocol):
    """What carries points and loops of a flat to their images."""

    def point(self, at: Xy) -> Xy:
        """The image of a point, mm."""
        ...

    def loop(self, loop: Loop) -> Loop:
        """The image of a loop."""
        ...


@dataclass(frozen=True, slots=True)
class FlatMirror:
    """Carries what lies on a flat to where its mirror image lies: left to right, or across."""

    across: bool = False

    def point(self, at: Xy) -> Xy:
        """The image of a point, mm."""
        return (at[0], -at[1]) if self.across else (-at[0], at[1])

    def loop(self, loop: Loop) -> Loop:
        """The image of a loop."""
        flipped = mirrored_loop(loop)
        return flipped.turned(math.pi) if self.across else flipped


def mirrored_loop(loop: Loop) -> Loop:
    """The loop mirrored left to right, its first edge that of the loop, run the other way."""
    flipped = loop.flipped()
    if isinstance(flipped, Circle):
        return flipped
    return Outline((*flipped.vertices[-2:], *flipped.vertices[:-2]))


def mirrored_hole(hole: Hole, to: Carrier) -> Hole:
    """A hole's image."""
    return replace(hole, shape=to.loop(hole.shape))


def mirrored_bend(bend: FlatBend, to: Carrier) -> FlatBend:
    """A bend line's image, which folds as it did."""
    return replace(bend, start=to.point(bend.end), end=to.point(bend.start))


def mirrored_rolled(rolled: Rolled, to: Carrier) -> Rolled:
    """The image of what says how a part is rolled."""
    sector = rolled.sector
    if sector is None:
        return rolled
    start = math.remainder(math.pi - sector.start - sector.sweep, 2.0 * math.pi)
    return replace(rolled, sector=replace(sector, apex=to.point(sector.apex), start=start))


def mirrored_facet(facet: Facet) -> Facet:
    """A facet mirrored from side to side, and so with its corners the other way round."""
    side = np.array([1.0, -1.0, 1.0])
    drawn = (*facet.drawn[-2::-1], facet.drawn[-1])
    holes = tuple(hole[::-1] * side for hole in facet.holes)
    return replace(facet, points=facet.points[::-1] * side, drawn=drawn, holes=holes)


def mirrored_flat(part: FlatPart) -> FlatPart:
    """The opposite hand of a part as it was built, its lower left corner at the origin again; it stands nowhere, and
    no letters are etched on it.

    Args:
        part: of sheet.
    """
    wide, high = part.size
    turned = FlatMirror(part.band is not None)
    back = (0.0, high) if turned.across else (wide, 0.0)
    to = _Shifted(turned, back)
    marked = tuple(_mark(mark, to) for mark in part.marked)
    return replace(
        part,
        outline=to.loop(part.outline),
        holes=tuple(mirrored_hole(hole, to) for hole in part.holes),
        drilled=tuple(mirrored_hole(hole, to) for hole in part.drilled),
        bends=tuple(mirrored_bend(bend, to) for bend in part.bends),
        marks=tuple(mark for mark in marked if not mark.text),
        marked=marked,
        tree=None if part.tree is None else mirrored_tree(part.tree, mirrored_loop),
        rolled=None if part.rolled is None else mirrored_rolled(part.rolled, to),
        surface=tuple(mirrored_facet(facet) for facet in part.surface),
        places=(),
        datums={},
        numbered=(),
    )


def _mark(mark: Mark, to: Carrier) -> Mark:
    curve = None if mark.curve is None else to.loop(mark.curve)
    return replace(mark, at=to.point(mark.at), line=tuple(to.point(at) for at in reversed(mark.line)), curve=curve)


@dataclass(frozen=True, slots=True)
class _Shifted:
    mirror: FlatMirror
    by: Xy

    def point(self, at: Xy) -> Xy:
        x, y = self.mirror.point(at)
        return x + self.by[0], y + self.by[1]

    def loop(self, loop: Loop) -> Loop:
        return self.mirror.loop(loop).moved(*self.by)
