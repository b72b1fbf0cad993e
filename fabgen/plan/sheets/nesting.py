"""True-shape nesting, one part after another: each goes where it lies tightest on what is still free.

What is free for a part is exact: the moves that keep it in the room, less the no-fit polygons of
the parts that lie there already (`geometry.no_fit`).  So a part finds pockets, notches and holes
of any shape, and rooms of any outline.  Which part goes first is the caller's choice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fabgen.geometry.plane.no_fit import convex_pieces, covering, inner_fit, less, no_fit, united
from fabgen.geometry.plane.outline import Box, Loop
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import Grain
from fabgen.plan.effort import BUDGETS, Effort
from fabgen.plan.plan import PlacedPart
from fabgen.plan.sheets.blanks import Blank, turned
from fabgen.plan.sheets.sheet_stock import Room

Toward = tuple[float, float]
"""How much a part's reach along x and along y counts when places are compared."""
LEFT: Toward = (1.0, 1e-3)
DOWN: Toward = (1e-3, 1.0)
CORNER: Toward = (1.0, 0.4)

FLATTENED = 0.25
"""How far the polygons that parts are nested by may stand out from their arcs, mm."""
SPARE = 0.01
"""Each part is grown by this more than half the gap, mm: rounding must not eat into the gap."""
_SLACK = 0.005
_SHARPEST = 1.5
"""A grown corner stays sharp until its point would stand this many times the growth off; so square ones do."""


_MANY_PIECES = 50
"""Outlines of more convex pieces than this are simplified: what a pair of them takes grows with the product."""
_SIMPLER, _SIMPLEST = 0.5, 2.0
"""How far simplified outlines stand out at first, and at most, mm."""
_CORNERS_A_SUM = 50
"""Corners gone through, when what is taken is cut out of what is free, in the time of one sum of two pieces."""


class Nester:
    """Nests blanks `gap` mm apart.  Keeps what it has worked out about pairs of them for the next room.

    Parts of one outline are one kind, whatever their marks: what is worked out of one holds for all.  `moves` is how
    much work on moves it may do, as in `Budget`; once that is spent (`is_spent`) it places nothing more.
    """

    def __init__(self, blanks: Iterable[Blank], gap: float, moves: int = BUDGETS[Effort.NORMAL].moves) -> None:
        self.blanks: Mapping[str, Blank] = {blank.mark: blank for blank in blanks}
        self._moves_left = float(moves)
        self._kinds = _kinds(self.blanks.values())
        self.gap = gap
        self.growth = gap / 2.0 + SPARE
        # Cached for the life of this nester only.
        self.bounds, self.bare, self.grown = cache(self._bounds), cache(self._bare), cache(self._grown)
        self._pieces, self._slack = cache(self._pieces_of), cache(self._slack_of)
        self._apart, self._inside = cache(self._moves_apart), cache(self._moves_in)

    def fill(
        self, room: Room, parts: Sequence[Blank], lying: Sequence[PlacedPart] = (), toward: Toward = LEFT
    ) -> tuple[list[PlacedPart], list[Blank]]:
        """Place `parts` in their order beside those `lying` there; returns the new places and what is left."""
        free: dict[tuple[str, float], tuple[BaseGeometry, int]] = {}
        there = list(lying)
        left: list[Blank] = []
        full: set[tuple[str, Grain | None]] = set()
        for part in parts:
            alike = self._kinds[part.mark], part.grain
            place = None if alike in full or self.is_spent else self._best(room, part, there, free, toward)
            if place is None:
                full.add(alike)
                left.append(part)
            else:
                there.append(place)
        return there[len(lying) :], left

    @property
    def is_spent(self) -> bool:
        """Whether it has done all the work on moves that it may do."""
        return self._moves_left <= 0.0

    def _best(
        self,
        room: Room,
        part: Blank,
        there: Sequence[PlacedPart],
        free: dict[tuple[str, float], tuple[BaseGeometry, int]],
        toward: Toward,
    ) -> PlacedPart | None:
        best: tuple[float, PlacedPart] | None = None
        for turn in part.turns(room.grain):
            moves = self._free(room, part.mark, turn, there, free)
            points = shapely.get_coordinates(moves)
            if not len(points):
                continue
            x0, y0, x1, y1 = self.bounds(part.mark, turn)
            reach = (points[:, 0] + x1) * toward[0] + (points[:, 1] + y1) * toward[1]
            lowest = int(np.argmin(np.round(reach, 6)))
            if best is None or reach[lowest] < best[0] - 1e-6:
                x, y = _kept_in(room, points[lowest], (x0, y0, x1, y1))
                best = (float(reach[lowest]), PlacedPart(part.mark, x, y, turn))
        return best[1] if best else None

    def _free(
        self,
        room: Room,
        mark: str,
        turn: float,
        there: Sequence[PlacedPart],
        free: dict[tuple[str, float], tuple[BaseGeometry, int]],
    ) -> BaseGeometry:
        """Moves of a part that keep it in the room and clear of all that lies there; `free` remembers them."""
        kind = self._kinds[mark]
        moves, counted = free.get((kind, turn), (None, 0))
        if moves is None:
            moves = self._inside(room, kind, turn)
        if not moves.is_empty and counted < len(there):
            others = ((self._kinds[p.mark], p) for p in there[counted:])
            taken = [_moved(self._apart(other, p.turn, kind, turn), p.x, p.y) for other, p in others]
            corners = int(shapely.get_num_coordinates([moves, *taken]).sum())
            self._moves_left -= corners / _CORNERS_A_SUM
            moves = less(moves, united(taken))
        free[kind, turn] = moves, len(there)
        return moves

    # -- worked out once -------------------------------------------------------
    def _bounds(self, mark: str, turn: float) -> Box:
        return turned(self.blanks[mark].part.outline, turn).bounds

    def _bare(self, mark: str, turn: float) -> Polygon:
        return Polygon(covering(turned(self.blanks[mark].part.outline, turn), FLATTENED))

    def _grown(self, mark: str, turn: float) -> Polygon:
        if (kind := self._kinds[mark]) != mark:
            return self.grown(kind, turn)
        slack = self._slack(mark)
        grown = _around(self.bare(mark, turn), self.growth + slack)
        return shapely.orient_polygons(shapely.simplify(grown, slack)) if slack else grown

    def _slack_of(self, mark: str) -> float:
        """How far the grown outline stands out further so that it can be a simpler one, mm; 0 where it is simple."""
        bare, slack = self.bare(mark, 0.0), 0.0
        grown = _around(bare, self.growth)
        while slack < _SIMPLEST and len(convex_pieces(grown)) > _MANY_PIECES:
            slack = 2.0 * slack or _SIMPLER
            grown = shapely.simplify(_around(bare, self.growth + slack), slack)
        return slack

    def _pieces_of(self, mark: str, turn: float) -> list[Array]:
        return convex_pieces(self.grown(mark, turn))

    def _moves_apart(self, fixed: str, fixed_turn: float, moving: str, turn: float) -> BaseGeometry:
        """Moves of `moving` that bring it nearer than the gap to `fixed` at its origin."""
        if fixed_turn:
            # The same as with both turned back, and the moves turned with them.
            return _turned(self._apart(fixed, 0.0, moving, (turn - fixed_turn) % 360.0), fixed_turn)
        if fixed > moving:
            # Seen from the other part, the moves are the opposite ones.
            return _turned(self._apart(moving, turn, fixed, 0.0), 180.0)
        ones, others = self._pieces(fixed, 0.0), self._pieces(moving, turn)
        self._moves_left -= len(ones) * len(others)
        return no_fit(ones, others)

    def _moves_in(self, room: Room, mark: str, turn: float) -> BaseGeometry:
        x0, y0, x1, y1 = self.bounds(mark, turn)
        left, low, right, high = room.bounds
        if not room.is_rectangle:
            return inner_fit(room.region, self.bare(mark, turn))
        if right - left < x1 - x0 - 1e-9 or high - low < y1 - y0 - 1e-9:
            return Polygon()
        # A part as high as the room has a line of places, which is no area: a hair more room makes it one.
        return shapely.box(left - x0 - _SLACK, low - y0 - _SLACK, right - x1 + _SLACK, high - y1 + _SLACK)


def _kinds(blanks: Iterable[Blank]) -> dict[str, str]:
    """For each mark the first mark whose part has just its outline."""
    first: dict[Loop, str] = {}
    return {blank.mark: first.setdefault(blank.part.outline, blank.mark) for blank in blanks}


def _around(bare: Polygon, growth: float) -> Polygon:
    grown = bare.buffer(growth, join_style="mitre", mitre_limit=_SHARPEST)
    # A pocket closed by the growth is no place for anything: keep the outside only.
    return shapely.orient_polygons(Polygon(grown.exterior))


def _moved(shape: BaseGeometry, x: float, y: float) -> BaseGeometry:
    return shapely.transform(shape, lambda points: points + np.array([x, y]))


def _turned(shape: BaseGeometry, degrees: float) -> BaseGeometry:
    """Turned about the origin by a number of quarter turns."""
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[round(degrees / 90.0) % 4]
    return shapely.transform(shape, lambda points: points @ np.array([[c, s], [-s, c]], dtype=float))


def _kept_in(room: Room, point: Array, box: Box) -> tuple[float, float]:
    """The move without the hair by which it may leave a rectangular room."""
    x, y = float(point[0]), float(point[1])
    if room.is_rectangle:
        left, low, right, high = room.bounds
        x = min(max(x, left - box[0]), max(right - box[2], left - box[0]))
        y = min(max(y, low - box[1]), max(high - box[3], low - box[1]))
    return x, y
