"""Dimensions stacked beside a view: rows of lengths, and running dimensions from a datum.

Lengths go into rows, the shortest nearest the part, so that no extension line crosses the
dimension line of a shorter one and no figure is crossed.  Where a row of many positions is
requested, they are running dimensions (ISO 129-1, 'superimposed running dimensioning'): one line from an
origin circle, each figure at the end of its extension line, moved aside when neighbours are
too close to stand side by side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from fabgen.documents.drawing.sheet.dimensions import (
    ARROW,
    FIGURE,
    DimensionLine,
    Length,
    arrow,
    dot,
    draw_length,
    natural_room,
)
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Arc, Item, Text, line, polyline
from fabgen.documents.render.sketch import ASCENT, DESCENT, Sketch
from fabgen.documents.render.text_room import reading_turn
from fabgen.geometry.plane.outline import Box, Xy

SideName = Literal["below", "above", "left", "right"]
SIGN_GAP = 1.5
"""Between a sign and its words, mm."""
SAID_GAP = 2.0
"""Between a figure and what is said of its line, mm."""
_TRIES = 16
"""How many half rows farther out a figure looks for a free place."""
_BETWEEN = 1.6
"""Bare paper between two level figures, mm."""
_ASIDE = 16.0
"""So far aside of its extension line a level figure may stand, mm of paper."""
FIRST, PITCH = 8.0, 6.5
"""First row's distance from the part and the rows' distance from one another, mm."""

_DIRECTIONS: dict[SideName, tuple[Xy, Xy]] = {
    "below": ((1.0, 0.0), (0.0, -1.0)),
    "above": ((1.0, 0.0), (0.0, 1.0)),
    "left": ((0.0, 1.0), (-1.0, 0.0)),
    "right": ((0.0, 1.0), (1.0, 0.0)),
}


@dataclass(frozen=True, slots=True)
class LineEnd:
    """What is said of a line at its end: a small sign, given along its base line and up from it, mm, and words."""

    sign: tuple[Xy, ...]
    text: str

    @property
    def width(self) -> float:
        """What both take along the base line, mm."""
        return self.text_at + text_width(self.text, FIGURE)

    @property
    def text_at(self) -> float:
        """Where along the base line the words begin, mm."""
        return max((u for u, _ in self.sign), default=-SIGN_GAP) + SIGN_GAP

    def items(self, foot: Xy, along: Xy) -> list[Item]:
        """The sign and the words, from `foot` on along the unit vector `along`, which reads."""
        up = (-along[1], along[0])

        def at(u: float, v: float) -> Xy:
            return (foot[0] + u * along[0] + v * up[0], foot[1] + u * along[1] + v * up[1])

        x, y = at(self.text_at, 0.0)
        turn = math.degrees(math.atan2(along[1], along[0]))
        drawn: list[Item] = [Text(x, y, self.text, FIGURE, turn=turn)]
        return [polyline([at(*p) for p in self.sign]), *drawn] if self.sign else drawn


@dataclass(frozen=True, slots=True)
class Station:
    """One position to be dimensioned from the datum: a feature point, its figure and a name that goes with that."""

    at: Xy
    text: str
    gap: float = 1.0
    name: str = ""
    says: LineEnd | None = None
    """What stands after the figure, at the end of the line that this is the position of."""

    @property
    def words(self) -> str:
        """Figure and name."""
        return f"{self.text}  {self.name}" if self.name else self.text

    @property
    def width(self) -> float:
        """Of the figure above the name, mm of paper."""
        return max(text_width(self.text, FIGURE), text_width(self.name, FIGURE)) + _BETWEEN


@dataclass
class Side:
    """What is dimensioned on one side of a view."""

    name: SideName
    lengths: list[Length] = field(default_factory=list)
    outermost: list[Length] = field(default_factory=list)
    """Lengths that lie outside all others: the overall sizes."""
    stations: list[Station] = field(default_factory=list)
    origin: Xy = (0.0, 0.0)
    level: bool = False
    """Below a view: figures of running dimensions lie level, their names under them, where they have room so."""

    def draw(self, sketch: Sketch, start: float) -> list[Length]:
        """Draw everything; `start` is the part's edge on this side, as a distance in the side's outward direction.

        Lengths lie nearest the part, running dimensions beyond them, the outermost last.
        Returns the lengths that found no place between the running dimensions' extension lines.
        """
        along, out = _DIRECTIONS[self.name]
        level = start
        rows = _rows(self.lengths, along)
        passing = [dot(p, along) for p in (self.origin, *(s.at for s in self.stations))] if self.stations else []
        outer = [dot(p, along) for dim in self.outermost for p in (dim.a, dim.b)]
        left_out: list[Length] = []
        for index, row in enumerate(rows):
            later = [dot(p, along) for following in rows[index + 1 :] for dim in following for p in (dim.a, dim.b)]
            avoid = [*later, *passing, *outer]
            level, without = _draw_row(sketch, row, (along, out), (start, level), avoid, force=not passing)
            left_out += without
        if self.stations:
            places = _level_places(self.origin, self.stations) if self.level and self.name == "below" else None
            if places is not None:
                level = _running_level(sketch, self.origin, self.stations, places, level)
            else:
                level = _running(sketch, self.origin, self.stations, along, out, level)
        for dim in self.outermost:
            level, _ = _draw_row(sketch, [dim], (along, out), (start, level), [], force=True)
        return left_out


def draw_sides(sketch: Sketch, box: Box, *sides: Side) -> None:
    """What is dimensioned on several sides of a view that fills `box`, side by side in that order."""
    for side in sides:
        side.draw(sketch, edge(side.name, box))


def _draw_row(
    sketch: Sketch, row: Sequence[Length], axes: tuple[Xy, Xy], levels: Xy, avoid: Sequence[float], force: bool
) -> tuple[float, list[Length]]:
    """Draw one row beyond levels[1], each length as much farther out as its figure needs.

    `levels`: the part's edge, and where the row before lies.  Returns the level the row takes
    and the lengths that found no place, none when `force` draws them across lines if it must.
    """
    start, before = levels
    level = before + (FIRST if before == start else PITCH)
    farthest = before
    left_out: list[Length] = []
    for dim in row:
        steps = [DimensionLine(*axes, level + step * PITCH / 2.0) for step in range(_TRIES)]
        # Clear of everything; else as near as its figure is free, should an extension line have to pass a text.
        found = next((own for own in steps if draw_length(sketch, dim, own, avoid)), None)
        if found is None and force:
            passing = (own for own in steps if draw_length(sketch, dim, own, avoid, passing=True))
            found = next(passing, None)
        if found is None and force and draw_length(sketch, dim, steps[-1], avoid, force=True):
            found = steps[-1]
        if found is None:
            left_out.append(dim)
        else:
            farthest = max(farthest, found.level)
    return farthest, left_out


def edge(name: SideName, box: Box) -> float:
    """The box's edge on that side as an outward distance."""
    return {"below": -box[1], "above": box[3], "left": -box[0], "right": box[2]}[name]


def _rows(lengths: Sequence[Length], along: Xy) -> list[list[Length]]:
    """The lengths in rows, shortest first, with nothing overlapping in a row."""
    rows: list[list[tuple[float, float]]] = []
    placed: list[list[Length]] = []
    for dim in sorted(lengths, key=lambda d: abs(dot(d.a, along) - dot(d.b, along))):
        low, high = sorted((dot(dim.a, along), dot(dim.b, along)))
        if high - low < natural_room(dim.text):
            # The figure will stand outside, to the right of or above the arrows.
            reach = ARROW + 2.5 + text_width(dim.text, FIGURE) + 0.8
            taken = (low - ARROW - 2.5, high + reach)
        else:
            taken = (low, high)
        row = 0
        for i, others in enumerate(rows):
            if any(taken[0] < b - 1e-6 and a < taken[1] - 1e-6 for a, b in others):
                row = i + 1
        if row == len(rows):
            rows.append([])
            placed.append([])
        rows[row].append(taken)
        placed[row].append(dim)
    return placed


def spread(wanted: Sequence[float], pitch: float) -> list[float]:
    """Places at least `pitch` apart, in order, as near to the wanted ones as they can be (least squares).

    Pool-adjacent-violators: clusters of places that touch are moved to their common mean.
    """
    return spread_by(wanted, [index * pitch for index in range(len(wanted))])


def spread_by(wanted: Sequence[float], offsets: Sequence[float]) -> list[float]:
    """The same for places of different widths.

    Args:
        wanted: in order.
        offsets: how far each place is from the first at least, where all touch.
    """
    clusters: list[tuple[float, int]] = []  # mean of (wanted - offset), size
    for value, offset in zip(wanted, offsets, strict=True):
        mean, size = value - offset, 1
        while clusters and clusters[-1][0] > mean:
            other, count = clusters.pop()
            mean = (mean * size + other * count) / (size + count)
            size += count
        clusters.append((mean, size))
    flat = [mean for mean, size in clusters for _ in range(size)]
    return [mean + offset for offset, mean in zip(offsets, flat, strict=True)]


def _level_places(origin: Xy, stations: Sequence[Station]) -> list[float] | None:
    """Where the figures of running dimensions stand that lie level, in order; None where they would have to stand too
    far aside."""
    ordered = sorted(stations, key=lambda s: s.at[0])
    offsets = [0.0]
    for one, other in pairwise(ordered):
        offsets.append(offsets[-1] + (one.width + other.width) / 2.0)
    true = [s.at[0] for s in ordered]
    places = spread_by(true, offsets)
    return places if all(abs(a - b) < _ASIDE for a, b in zip(places, true, strict=True)) else None


def _running_level(
    sketch: Sketch, origin: Xy, stations: Sequence[Station], places: Sequence[float], start: float
) -> float:
    """Running dimensions below a view from `origin`, their figures level at the ends of the extension lines; returns
    the level where they end."""
    level = start + 6.0
    ordered = sorted(stations, key=lambda s: s.at[0])
    knee = 4.0 if all(abs(p - s.at[0]) < 4.0 for p, s in zip(places, ordered, strict=True)) else 6.0
    true = [origin[0], *(s.at[0] for s in ordered)]
    sketch.draw(line((min(true), -level), (max(true), -level), "thin"), Arc(origin[0], -level, 0.9, pen="thin"))
    sketch.draw(line((origin[0], origin[1] - 1.0), (origin[0], -level - 1.0), "thin"))
    for station, place in zip(ordered, places, strict=True):
        x, y = station.at
        sketch.draw(line((x, y - station.gap), (x, -level - 1.0), "thin"))
        sketch.draw(line((x, -level - 1.0), (place, -level - knee), "thin"))
        if _clear_of_neighbours(x, true):
            sketch.draw(arrow((x, -level), (math.copysign(1.0, x - origin[0]), 0.0)))
        low = -level - knee - 0.8 - FIGURE * ASCENT
        for row, text in enumerate(filter(None, (station.text, station.name))):
            sketch.write(Text(place, low - row * FIGURE * 1.15, text, FIGURE, "middle"))
    rows = 2 if any(station.name for station in stations) else 1
    return level + knee + 0.8 + FIGURE * (ASCENT + (rows - 1) * 1.15 + DESCENT)


def _running(sketch: Sketch, origin: Xy, stations: Sequence[Station], along: Xy, out: Xy, start: float) -> float:
    """Running dimensions from `origin`; returns the level where they end."""
    level = start + 6.0

    def on(t: float, height: float) -> Xy:
        return (along[0] * t + out[0] * height, along[1] * t + out[1] * height)

    zero = Station(origin, "0")
    ordered = sorted([zero, *stations], key=lambda s: dot(s.at, along))
    true = [dot(s.at, along) for s in ordered]
    places = spread(true, FIGURE * 1.12)
    base = dot(origin, along)
    sketch.draw(line(on(min(true[0], base), level), on(max(true[-1], base), level), "thin"))
    c = on(base, level)
    sketch.draw(Arc(c[0], c[1], 0.9, pen="thin"))
    longest = 0.0
    for station, t, place in zip(ordered, true, places, strict=True):
        foot = dot(station.at, out) + station.gap
        sketch.draw(line(on(t, foot), on(t, level + 1.0), "thin"))
        if station is not zero:
            sketch.draw(line(on(t, level + 1.0), on(place, level + 4.0), "thin"))
        if station is not zero and _clear_of_neighbours(t, true):
            way = 1.0 if t > base else -1.0
            sketch.draw(arrow(on(t, level), (along[0] * way, along[1] * way)))
        if station is zero:
            continue  # the circle says it
        figure = _end_figure(station.words, place, level + 4.6, along, out)
        if station.words:
            sketch.write(figure)
        taken = text_width(station.words, FIGURE)
        if station.says is not None:
            taken += SAID_GAP
            sketch.draw(*_said(station.says, figure, taken, out))
            taken += station.says.width
        longest = max(longest, taken)
    return level + 4.6 + longest - 1.5


def _said(says: LineEnd, figure: Text, off: float, out: Xy) -> list[Item]:
    """What is said of a line, beyond its figure, which takes `off` mm with the gap after it."""
    turn = math.radians(figure.turn)
    reads = (math.cos(turn), math.sin(turn))
    before = off if dot(reads, out) > 0.0 else -off - says.width
    return says.items((figure.x + before * reads[0], figure.y + before * reads[1]), reads)


def _clear_of_neighbours(t: float, true: Sequence[float]) -> bool:
    return all(other == t or abs(other - t) > ARROW + 0.3 for other in true)


def _end_figure(text: str, place: float, height: float, along: Xy, out: Xy) -> Text:
    """A figure in line with its extension line, beyond the line's end."""
    turn = reading_turn(out)
    runs_out = math.cos(math.radians(turn)) * out[0] + math.sin(math.radians(turn)) * out[1] > 0
    up = (-math.sin(math.radians(turn)), math.cos(math.radians(turn)))
    x = along[0] * place + out[0] * height - up[0] * FIGURE * 0.36
    y = along[1] * place + out[1] * height - up[1] * FIGURE * 0.36
    return Text(x, y, text, FIGURE, "start" if runs_out else "end", turn)
