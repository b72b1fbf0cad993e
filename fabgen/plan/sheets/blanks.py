"""Flat blanks: the parts to be cut from sheet, and the turns in which each may lie."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from fabgen.geometry.plane.outline import Circle, Loop, Outline
from fabgen.parts.piece import FlatPart, Grain, Piece
from fabgen.plan.plan import PlacedPart

QUARTERS = (0.0, 90.0, 180.0, 270.0)
Axis = Literal["x", "y"]
"""Which way the rolling direction runs: along x or along y."""
_SAME = 1e-6


@dataclass(frozen=True, eq=False)
class Blank:
    """One flat part to be cut; like parts share one object."""

    mark: str
    part: FlatPart

    @cached_property
    def size(self) -> tuple[float, float]:
        """Of its bounding rectangle as drawn, mm."""
        x0, y0, x1, y1 = self.part.outline.bounds
        return x1 - x0, y1 - y0

    @cached_property
    def area(self) -> float:
        """Of metal, mm2."""
        return self.part.net_area

    @property
    def grain(self) -> Grain | None:
        return self.part.grain

    @cached_property
    def _quarters(self) -> tuple[float, ...]:
        return distinct_turns(self.part.outline)

    def turns(self, grain: Axis | None) -> tuple[float, ...]:
        """Turns, degrees, in which it may lie on metal whose rolling direction is `grain`.

        None: the direction is not known, so a part that minds it may not lie there at all.
        Turns that lay the part over itself are left out.
        """
        if self.grain is None:
            return self._quarters
        if grain is None:
            return ()
        along = (self.grain == "along") == (grain == "x")
        return tuple(turn for turn in ((0.0, 180.0) if along else (90.0, 270.0)) if self._is_first(turn))

    def _is_first(self, turn: float) -> bool:
        return turn in self._quarters or turn - 180.0 not in self._quarters


def blanks_of(pieces: Sequence[Piece]) -> dict[tuple[str, float], list[Blank]]:
    """Every flat blank, by (material, thickness)."""
    wanted: dict[tuple[str, float], list[Blank]] = defaultdict(list)
    for piece in pieces:
        if part := piece.sheet_part:
            wanted[piece.material, part.thickness] += [Blank(piece.mark, part)] * piece.quantity
    return dict(sorted(wanted.items()))


# -- turning and placing ------------------------------------------------------
def turned(loop: Loop, degrees: float) -> Loop:
    """The loop turned about the origin; quarter turns without rounding."""
    quarters, rest = divmod(degrees % 360.0, 90.0)
    if rest:
        return loop.turned(np.radians(degrees))
    c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters)]
    if isinstance(loop, Circle):
        return Circle(loop.x * c - loop.y * s, loop.x * s + loop.y * c, loop.diameter)
    return Outline(tuple(type(v)(v.x * c - v.y * s, v.x * s + v.y * c, v.bulge) for v in loop.vertices))


def laid(loop: Loop, place: PlacedPart) -> Loop:
    """A loop of a part where the part lies."""
    return turned(loop, place.turn).moved(place.x, place.y)


def within(inner: PlacedPart, outer: PlacedPart) -> PlacedPart:
    """Where a part lies on the sheet that lies at `inner` on a part which itself lies at `outer`."""
    spot = turned(Circle(inner.x, inner.y, 0.0), outer.turn)
    x, y = spot.bounds[:2]
    return PlacedPart(inner.mark, x + outer.x, y + outer.y, (inner.turn + outer.turn) % 360.0)


def distinct_turns(outline: Loop) -> tuple[float, ...]:
    """The quarter turns that give the outline a look of its own, the first of each."""
    if isinstance(outline, Circle):
        return (0.0,)
    looks: list[np.ndarray] = []
    kept = []
    for turn in QUARTERS:
        look = _look(turned(outline, turn))
        if not any(other.shape == look.shape and np.allclose(other, look, atol=_SAME) for other in looks):
            looks.append(look)
            kept.append(turn)
    return tuple(kept)


def _look(outline: Loop) -> np.ndarray:
    """Corners and bulges from the lower left, wherever the outline lies and begins; shape (n, 3)."""
    assert isinstance(outline, Outline)
    x0, y0 = outline.bounds[:2]
    corners = np.array([(v.x - x0, v.y - y0, v.bulge) for v in outline.vertices])
    first = np.lexsort((np.round(corners[:, 0], 5), np.round(corners[:, 1], 5)))[0]
    return np.roll(corners, -int(first), axis=0)
