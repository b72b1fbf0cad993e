"""Marks in balloons with leaders to the parts they name (ISO 6433): close by, and no leader over another."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from fabgen.documents.drawing.sheet.dimensions import FIGURE
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Arc, Fill, Text, line
from fabgen.documents.render.sketch import Sketch, arc_points, grown, text_box, within
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.geometry.space.frame import Array

Flags = NDArray[np.bool_]

RADIUS = 4.0
_ASIDE = 1.4
"""Text this much narrower than the balloon, mm on each side."""
_APART = 0.6
"""Bare paper round a balloon, mm."""
_RINGS, _FIRST, _PITCH = 12, 7.0, 4.5
"""Balloons stand on rings round the picture, the first so far off it, and so far from one another, mm."""
_WITHIN = 5.0
"""Places between the lines of the picture are tried so far apart, mm."""
_NEAREST = 7.5
"""A balloon's middle is no nearer to what it names, mm."""
_INK = 1.2
"""A leader that crosses a half-millimetre cell of ink counts as so much longer, mm …"""
_OVER = 60.0
"""… one that crosses another leader by this, mm …"""
_STRUCK = 1000.0
"""… one that strikes a balloon, which can still move, by this …"""
_TEXT = 2000.0
"""… and one that strikes a text, which cannot, by this."""
_TRIED = 10
"""Of the free places so many, those that are nearest, are weighed for a balloon."""
_LOOKED_AT = (40, 120, 280, 600, 1240)
"""The nearest places are looked at up to so many at first, then more at a time."""
_PASSES, _LONGEST = 4, 8
"""So often all are bettered, and more often while one is struck."""
_DOT = 0.55


@dataclass(frozen=True, slots=True)
class Named:
    """A mark and the place that its leader points to; `hidden`: something lies before it, so the leader is dashed."""

    mark: str
    spot: Xy
    hidden: bool = False


def radius_of(mark: str) -> float:
    """Of a circle round a text, mm."""
    return max(RADIUS, half_width(mark))


def half_width(mark: str) -> float:
    """Of a balloon round a mark, mm: a circle, or for a longer mark a circle drawn out."""
    return max(RADIUS, text_width(mark, FIGURE) / 2.0 + _ASIDE)


def draw_balloon(sketch: Sketch, mark: str, centre: Xy, spot: Xy, radius: float, tip: Fill) -> None:
    """A mark in a circle about `centre`, its leader to `spot`, and what that ends in there."""
    sketch.draw(Arc(*centre, radius, pen="thin"), line(_rim(centre, spot, radius, radius), spot, "thin"), tip)
    _write(sketch, mark, centre)


def balloons(sketch: Sketch, named: Sequence[Named], limit: Box) -> list[str]:
    """A balloon for each place that is named; the marks that found no room in `limit`.

    Each goes to the free place whose leader is short and crosses little; then they are moved and exchanged while that
    makes the leaders shorter, until none crosses another where that can be.
    """
    for each in named:  # no balloon where a leader will end
        sketch.board.add_line(each.spot, each.spot)
    layout = _Layout(sketch, named, limit)
    layout.settle()
    for each, centre in zip(named, layout.centres, strict=True):
        if centre is not None:
            _draw(sketch, each, centre)
    return [each.mark for each, centre in zip(named, layout.centres, strict=True) if centre is None]


class _Layout:
    """Where the balloons stand so far: of each the number of its place, -1 of one that has none."""

    def __init__(self, sketch: Sketch, named: Sequence[Named], limit: Box) -> None:
        self.board, self.named = sketch.board, named
        self.spots = np.array([each.spot for each in named]).reshape(-1, 2)
        self.places = np.array(list(_places(sketch, self.spots))).reshape(-1, 2)
        self.halves = np.array([half_width(each.mark) for each in named])
        self.at = np.full(len(named), -1)
        self._bare = {half: _bare(sketch, self.places, half, limit) for half in sorted(set(self.halves.tolist()))}
        self._ink: dict[tuple[int, int], float] = {}

    @property
    def centres(self) -> list[Xy | None]:
        return [None if at < 0 else (float(self.places[at, 0]), float(self.places[at, 1])) for at in self.at.tolist()]

    def settle(self) -> None:
        """Set all, those farthest inside first, then better what can be bettered."""
        inside = np.linalg.norm(self.spots - self.places.mean(axis=0), axis=1)
        order = np.argsort(inside, kind="stable").tolist()
        for i in order:
            self._place(i)
        kept, least = self.at.copy(), len(self._struck())
        for number in range(1, _LONGEST + 1):
            moved = [self._place(i) for i in order]
            changed = any([*moved, self._exchange()])
            if (struck := len(self._struck())) <= least:
                kept, least = self.at.copy(), struck
            if not changed or (number >= _PASSES and not least):
                break
        self.at = kept

    def _struck(self) -> list[int]:
        """Those that lie on another or on a leader, or have a leader through a text."""
        which = np.flatnonzero(self.at >= 0).tolist()
        return [
            i for i in which if not self._free(i, self.at[i : i + 1])[0] or self._under(i, int(self.at[i])) >= _TEXT
        ]

    def _place(self, i: int) -> bool:
        """Put a balloon where it is best with the others as they are; whether that is elsewhere than before."""
        before = int(self.at[i])
        self.at[i] = -1
        away = np.linalg.norm(self.places - self.spots[i], axis=1)
        near = np.argsort(away, kind="stable")
        near = near[self._bare[float(self.halves[i])][near] & (away[near] >= _NEAREST)]
        found = np.zeros(0, dtype=np.int64)
        for few in np.split(near, _LOOKED_AT):
            free = few[self._free(i, few)]
            clear = [place for place in free.tolist() if self._under(i, place) < _TEXT]
            found = np.concatenate((found, np.array(clear, dtype=np.int64)))
            if len(found) >= _TRIED:
                break
        if not len(found):
            # Others may still make way: where the fewest have to, and a text none.
            beside = near[~self._laps(i, near)]
            text = np.array([self._under(i, place) >= _TEXT for place in beside.tolist()], dtype=bool)
            found = beside[np.argsort(_STRUCK * self._hit(i, beside) + _TEXT * text, kind="stable")]
        found = found[:_TRIED]
        if before >= 0:
            found = np.unique(np.append(found, before))
        if len(found):
            cost = self._cost(i, found) + _STRUCK * (self._hit(i, found) + self._laps(i, found))
            best = int(found[np.argmin(cost)])
            stays = before >= 0 and float(cost[found == before][0]) <= float(cost.min()) + 1e-6
            self.at[i] = before if stays else best
        return int(self.at[i]) != before

    def _exchange(self) -> bool:
        """Let two change places wherever both leaders together are shorter for it."""
        changed = False
        long = np.linalg.norm(self.spots[:, None] - self.places[self.at][None], axis=2)
        set_out = self.at >= 0
        gain = np.diag(long)[:, None] + np.diag(long)[None, :] - long - long.T
        for i, j in np.argwhere(np.triu((gain > 1e-6) & set_out[:, None] & set_out[None, :], 1)).tolist():
            a, b = int(self.at[i]), int(self.at[j])
            step = [math.dist(self.spots[k], self.places[at]) for k, at in ((i, a), (j, b), (i, b), (j, a))]
            if step[2] + step[3] >= step[0] + step[1] - 1e-6 or min(step[2:]) < _NEAREST:
                continue
            fits = self._bare[float(self.halves[i])][b] and self._bare[float(self.halves[j])][a]
            self.at[i], self.at[j] = -1, -1
            if fits and self._free(i, np.array([b]))[0]:
                self.at[i] = b
                fits = bool(self._free(j, np.array([a]))[0])
            else:
                fits = False
            self.at[i], self.at[j] = (b, a) if fits else (a, b)
            changed = changed or fits
        return changed

    def _others(self, i: int) -> tuple[Array, Array, Array]:
        """Of the other balloons that are set: their middles, what they name, (k, 2), and their boxes, (k, 4)."""
        which = np.flatnonzero(self.at >= 0)
        which = which[which != i]
        middles = self.places[self.at[which]]
        return middles, self.spots[which], _boxes(middles, self.halves[which])

    def _laps(self, i: int, places: NDArray[np.int64]) -> Flags:
        """At which places this balloon lies on another."""
        _, _, boxes = self._others(i)
        own = _boxes(self.places[places], np.full(len(places), self.halves[i]))
        own, boxes = own.T[:, :, None], boxes.T[:, None, :]
        lap = (own[0] < boxes[2]) & (own[1] < boxes[3]) & (boxes[0] < own[2]) & (boxes[1] < own[3])
        return np.asarray(lap.any(axis=1))

    def _free(self, i: int, places: NDArray[np.int64]) -> Flags:
        """At which places it lies on no other and on no leader of another, and its leader on no other."""
        free = ~self._laps(i, places)
        free[free] = self._hit(i, places[free]) == 0
        return np.asarray(free)

    def _hit(self, i: int, places: NDArray[np.int64]) -> NDArray[np.int64]:
        """How many leaders of others would run through it, and others through its leader, at each of the places."""
        middles, spots, boxes = self._others(i)
        at = self.places[places]
        own = _boxes(at, np.full(len(at), self.halves[i]))
        ends = np.broadcast_to(self.spots[i], (len(at), 1, 2))
        over, under = _cut(spots[None], middles[None], own[:, None]), _cut(ends, at[:, None], boxes[None])
        return np.asarray(over.sum(axis=1) + under.sum(axis=1))

    def _cost(self, i: int, places: NDArray[np.int64]) -> Array:
        """What a leader to each place counts, mm."""
        middles, spots, _ = self._others(i)
        own, spot = self.places[places], self.spots[i]
        over = _cross(np.broadcast_to(spot, own.shape)[:, None], own[:, None], spots, middles)
        ink = np.array([self._under(i, int(place)) for place in places.tolist()])
        return np.asarray(np.linalg.norm(own - spot, axis=1) + ink + _OVER * over.sum(axis=1))

    def _under(self, i: int, place: int) -> float:
        """What a leader crosses of the picture, counted as mm."""
        if (i, place) not in self._ink:
            centre = (float(self.places[place, 0]), float(self.places[place, 1]))
            spot = self.named[i].spot
            rim = _rim(centre, spot, float(self.halves[i]), RADIUS)
            text = _TEXT if self.board.text_on_line(spot, rim) else 0.0
            self._ink[i, place] = text + _INK * self.board.ink_on_line(spot, rim)
        return self._ink[i, place]


def _bare(sketch: Sketch, places: Array, half: float, limit: Box) -> Flags:
    """At which places a balloon of that half width lies on bare paper."""
    boxes = [(float(a), float(b), float(c), float(d)) for a, b, c, d in _boxes(places, np.full(len(places), half))]
    return np.array([within(box, limit) and sketch.free(box) for box in boxes], dtype=bool)


def _places(sketch: Sketch, spots: Array) -> Iterator[Xy]:
    """Middles that a balloon may have: on rings round what is drawn and named, and between its lines."""
    items = (item for item in sketch.items if not isinstance(item, Text))
    points = [p for item in items for p in (arc_points(item) if isinstance(item, Arc) else item.points)]
    hull = shapely.MultiPoint([*points, *spots.tolist()]).convex_hull
    for ring in range(_RINGS):
        line_round = shapely.buffer(hull, _FIRST + _PITCH * ring).exterior
        count = max(8, int(line_round.length / (_PITCH * 0.75)))
        for x, y in shapely.get_coordinates(line_round.interpolate(np.linspace(0.0, line_round.length, count, False))):
            yield (float(x), float(y))
    x0, y0, x1, y1 = hull.bounds
    for y in np.arange(y0, y1, _WITHIN).tolist():
        for x in np.arange(x0, x1, _WITHIN).tolist():
            yield (x, y)


def _boxes(centres: Array, halves: Array) -> Array:
    """Of balloons with the bare paper round them, (n, 4)."""
    out = np.column_stack((halves + _APART, np.full(len(halves), RADIUS + _APART)))
    return np.hstack((centres - out, centres + out))


def _cut(a: Array, b: Array, boxes: Array) -> Flags:
    """Whether lines run through boxes, each against each by the rules of broadcasting."""
    first, last = np.zeros(1), np.ones(1)
    for k in (0, 1):  # written out: numpy is slow along an axis of two
        step = b[..., k] - a[..., k]
        step = np.where(np.abs(step) < 1e-9, 1e-9, step)
        one, other = (boxes[..., k] - a[..., k]) / step, (boxes[..., k + 2] - a[..., k]) / step
        first, last = np.maximum(first, np.minimum(one, other)), np.minimum(last, np.maximum(one, other))
    return np.asarray(first < last)


def _cross(a: Array, b: Array, c: Array, d: Array) -> Flags:
    """Whether lines cross, by the same rules."""

    def side(p: Array, q: Array, r: Array) -> Array:
        step, away = q - p, r - p
        return np.asarray(step[..., 0] * away[..., 1] - step[..., 1] * away[..., 0])

    return np.asarray((side(a, b, c) * side(a, b, d) < 0.0) & (side(c, d, a) * side(c, d, b) < 0.0))


def _draw(sketch: Sketch, named: Named, centre: Xy) -> None:
    half, (x, y) = half_width(named.mark), centre
    if half > RADIUS:
        out = half - RADIUS
        sketch.draw(
            Arc(x + out, y, RADIUS, -90.0, 90.0, pen="thin"),
            Arc(x - out, y, RADIUS, 90.0, 270.0, pen="thin"),
            line((x - out, y + RADIUS), (x + out, y + RADIUS), "thin"),
            line((x - out, y - RADIUS), (x + out, y - RADIUS), "thin"),
        )
    else:
        sketch.draw(Arc(x, y, RADIUS, pen="thin"))
    rim = _rim(centre, named.spot, half, RADIUS)
    sketch.draw(line(rim, named.spot, "hidden" if named.hidden else "thin"), Fill(arc_points(Arc(*named.spot, _DOT))))
    _write(sketch, named.mark, centre)


def _write(sketch: Sketch, mark: str, centre: Xy) -> None:
    text = Text(centre[0], centre[1] - FIGURE * 0.36, mark, FIGURE, "middle")
    sketch.write(text)
    sketch.board.add_text(grown(text_box(text), 0.6))


def _rim(centre: Xy, spot: Xy, half: float, radius: float) -> Xy:
    """Where the leader to a spot leaves the balloon."""
    out = max(0.0, half - radius)
    x = min(max(spot[0], centre[0] - out), centre[0] + out)
    away = math.dist((x, centre[1]), spot) or 1.0
    return (x + (spot[0] - x) * radius / away, centre[1] + (spot[1] - centre[1]) * radius / away)
