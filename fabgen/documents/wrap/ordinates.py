"""Ordinates of a tube end's line: for marking a cut with a tape where there is no printer.

Round tube: every 15 degrees from the heel line; every other row is bold, and these twelve are
enough for a tape and a string.  Rectangular tube: face by face, at distances from the face's
edge.  Heights are up the tube from its longest point, the saw cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.documents.render.pdf import fitted, text_width, wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.words import figure, length_text
from fabgen.documents.wrap.wrap import Wrap, WrapFace
from fabgen.parts.piece import Array
from fabgen.wording.inches import nearest_fraction

_SMALLEST = 0.8
"""Where room is short a strip's title is set no smaller than this share of its size."""
SIZE, PITCH = 3.5, 4.7
_GAP = 4.0
_LEAST_ROWS = 2
_PARTS = (1, 2, 3)
"""A table is not split into strips of fewer rows."""
MISSED = 0.3
"""A turn of the line farther than this from the straight between two places of the table is noted, mm."""
_STEPS = (2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0, 1000.0)


@dataclass(frozen=True)
class OrdinateStrip:
    """One block of columns: a title, column heads, rows; bold are the rows numbered in `bold`, or
    where there are none the first column.  Of a long one `parts` may stand side by side under its title."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    bold: frozenset[int] = frozenset()
    parts: int = 1

    def begins(self, column: int) -> bool:
        """Whether a part begins with that column."""
        return column % (len(self.heads) // self.parts) == 0

    def parted(self, parts: int) -> OrdinateStrip:
        """The same in so many parts, rows running down the first and on in the next."""
        each, blank = math.ceil(len(self.rows) / parts), ("",) * len(self.heads)
        filled = [*self.rows, *[blank] * (each * parts - len(self.rows))]
        rows = tuple(tuple(cell for row in filled[i::each] for cell in row) for i in range(each))
        return OrdinateStrip(self.title, self.heads * parts, rows, self.bold, parts)


def ordinate_table(wrap: Wrap, width: float, units: str) -> Panel:
    """The table, no wider than `width` mm where that can be, drawn downward from y = 0."""
    inches = units == "in"
    up = up_words(inches)
    faces = bool(wrap.faces())
    strips = ordinate_strips(wrap, units)
    first = "the heel, 0°" if wrap.heel else "0°, the seam"
    where = f"round: to the right from {first}; {_top(wrap, units)}. bold: every 30°."
    if faces:
        where = "across: from the face’s left edge."
    if turns := _turns(wrap, units):
        where += f" Between these it turns: {turns}."
    return table(strips, width, f"{up} {where}", split=not faces)


def up_words(inches: bool) -> str:
    """What the heights of a table are."""
    return f"up: from the longest point, {'inches to 1/32, mm beside' if inches else 'mm'};"


def _turns(wrap: Wrap, units: str) -> str:
    """'21.3 up at 40.2 round; …': the points where the line turns between the table's places, which joining
    those would miss; '' where there are none."""
    found = []
    if faces := wrap.faces():
        for face in faces:
            places, first = _places(face)
            for station, up in wrap.peaks():
                across = (station - face.start) % wrap.girth.length + first
                if not first <= across <= face.size - first:
                    continue
                heights = wrap.rise(places + face.start - first)
                if abs(float(np.interp(across, places, heights)) - up) > MISSED:
                    found.append(f"{in_figures(up, units)} up at {in_figures(across, units)} across the {face.name}")
    else:
        stations = np.interp(np.radians(np.arange(0, 360, 15)), wrap.phi, wrap.station)
        found = [
            f"{in_figures(up, units)} up at {in_figures(at, units)} round" for at, up in turns_between(wrap, stations)
        ]
    return "; ".join(found)


def turns_between(wrap: Wrap, stations: Array) -> list[tuple[float, float]]:
    """(station, v), mm, of the line's turning points that are missed by joining its heights at `stations`, (n,)
    round the tube."""
    heights, girth = wrap.rise(stations), wrap.girth.length
    return [
        (station, up)
        for station, up in wrap.peaks()
        if abs(float(np.interp(station, stations, heights, period=girth)) - up) > MISSED
    ]


def in_figures(value: float, units: str) -> str:
    """'21.3', in an inch job '27/32 in'."""
    return f"{nearest_fraction(value)} in" if units == "in" else figure(value)


def table(strips: Sequence[OrdinateStrip], width: float, note: str, split: bool) -> Panel:
    """The strips under a note, in rows of as many as fit `width` mm; one strip that may be `split` is divided into so
    many, and others have parts side by side where that makes the table lower."""
    if not split:
        ways = [_in_columns([strip.parted(parts) for strip in strips], width, note) for parts in _PARTS]
        return min((way for way in ways if way.width <= width), key=lambda way: way.height, default=ways[0])
    one = sum(_widths(strips[0], width))
    fit = max(1, int((width + _GAP) / (one + _GAP)))
    rows = len(strips[0].rows)
    fit = min(fit, max(1, rows // _LEAST_ROWS))
    even = [count for count in (6, 5, 4, 3, 2) if count <= fit and rows % count == 0]
    return _in_columns(_split(strips[0], even[0] if even else min(fit, 6)), width, note)


def _in_columns(strips: Sequence[OrdinateStrip], width: float, note: str) -> Panel:
    """The strips in rows of as many as fit `width` mm."""
    fit = min(max(1, int((width + _GAP) / (sum(_widths(strips[0], width)) + _GAP))), len(strips))
    while fit > 1 and _widest(strips, fit, width) > width:  # others may be wider than the first
        fit -= 1
    return _drawn(strips, fit, width, note)


def _widest(strips: Sequence[OrdinateStrip], columns: int, width: float) -> float:
    """The width of the widest row of so many strips, mm."""
    each = [sum(_widths(strip, width)) + _GAP for strip in strips]
    return max(sum(each[start : start + columns]) for start in range(0, len(each), columns)) - _GAP


def _top(wrap: Wrap, units: str) -> str:
    return f"TOP at {figure(math.degrees(wrap.top_phi))}°, {in_figures(wrap.top_station, units)}"


def figures(value: float, inches: bool) -> tuple[str, ...]:
    """A length as the table prints it: mm, in an inch job inches and mm beside them; '–' where there is none."""
    if math.isnan(value):
        return ("–", "–") if inches else ("–",)
    text = f"{value + 0.0:.1f}"
    return (nearest_fraction(value), text) if inches else (text,)


def ordinate_strips(wrap: Wrap, units: str) -> list[OrdinateStrip]:
    """The ordinates as blocks of text, one for a round tube and one a face for a rectangular one."""
    return _by_face(wrap, units) if wrap.faces() else [_by_degrees(wrap, units == "in")]


def _by_degrees(wrap: Wrap, inches: bool) -> OrdinateStrip:
    heads = ("φ°", "round", "mm", "up", "mm") if inches else ("φ°", "round", "up")
    degrees = np.arange(0, 360, 15)
    stations = np.interp(np.radians(degrees), wrap.phi, wrap.station)
    rows = [
        (str(phi), *figures(station, inches), *figures(up, inches))
        for phi, station, up in zip(degrees.tolist(), stations.tolist(), wrap.rise(stations).tolist(), strict=True)
    ]
    return OrdinateStrip("", heads, tuple(rows), frozenset(range(0, 24, 2)))


def _by_face(wrap: Wrap, units: str) -> list[OrdinateStrip]:
    inches = units == "in"
    heads = ("across", "mm", "up", "mm") if inches else ("across", "up")
    strips = []
    for face in wrap.faces():
        places, first = _places(face)
        ups = wrap.rise(places + face.start - first).tolist()
        rows = [
            (*figures(across, inches), *figures(up, inches)) for across, up in zip(places.tolist(), ups, strict=True)
        ]
        strips.append(OrdinateStrip(f"{face.name}, {length_text(face.size, units)} wide", heads, tuple(rows)))
    return strips


def _places(face: WrapFace) -> tuple[Array, float]:
    """Where a face's ordinates are taken, mm across from its left edge: its two tangent points and round
    figures between; and where the first tangent point is."""
    first = (face.size - (face.finish - face.start)) / 2.0
    last = face.size - first
    step = next((s for s in _STEPS if (last - first) / s <= 6.0), _STEPS[-1])
    inner = [s * step for s in range(1, int(face.size / step) + 1) if first + 0.3 * step < s * step < last - 0.3 * step]
    return np.array([first, *inner, last]), first


def _split(strip: OrdinateStrip, count: int) -> list[OrdinateStrip]:
    each = math.ceil(len(strip.rows) / count)
    return [
        OrdinateStrip(
            "", strip.heads, strip.rows[i : i + each], frozenset(k - i for k in strip.bold if i <= k < i + each)
        )
        for i in range(0, len(strip.rows), each)
    ]


def _widths(strip: OrdinateStrip, room: float) -> list[float]:
    """Of its columns; a title too wide for the room is set smaller."""
    columns = zip(strip.heads, *strip.rows, strict=True)
    widths = [max(text_width(text, SIZE, True) for text in column) + 2.4 for column in columns]
    widths = [wide + (_GAP if i and strip.begins(i) else 0.0) for i, wide in enumerate(widths)]
    title = text_width(strip.title, SIZE, True) + 2.0
    widths[-1] += max(0.0, min(title, max(room, _SMALLEST * title)) - sum(widths))
    return widths


def _drawn(strips: Sequence[OrdinateStrip], columns: int, width: float, note: str) -> Panel:
    """Strips side by side, `columns` to a row, under the note; drawn downward from y = 0."""
    items: list[Item] = []
    y = -3.2
    lines = wrapped(note, max(width, 60.0), 3.0)
    for text in lines:
        items.append(Text(0.0, y, text, 3.0))
        y -= 4.0
    right = max(text_width(text, 3.0) for text in lines)
    for start in range(0, len(strips), columns):
        x, lowest = 0.0, y
        for strip in strips[start : start + columns]:
            widths = _widths(strip, width)
            bottom = _draw_strip(items, strip, widths, x, y)
            x += sum(widths) + _GAP
            lowest = min(lowest, bottom)
        right = max(right, x - _GAP)
        y = lowest - 4.0
    height = -y - 2.8
    return Panel(Picture.of(items), (0.0, -height, right, 0.0))


def _draw_strip(items: list[Item], strip: OrdinateStrip, widths: Sequence[float], x: float, y: float) -> float:
    """Draws one strip with its upper left corner about (x, y); returns where it ends."""
    if strip.title:
        title, size = fitted(strip.title, sum(widths), SIZE, True)
        items.append(Text(x, y - 0.6, title, size, bold=True))
        y -= PITCH
    ends = [x + sum(widths[: i + 1]) - 0.8 for i in range(len(widths))]
    for end, head in zip(ends, strip.heads, strict=True):
        items.append(Text(end, y - 0.6, head, 3.0, "end"))
    y -= 1.7
    items.append(line((x, y), (x + sum(widths), y), "visible"))
    for number, row in enumerate(strip.rows):
        base = y - PITCH + 1.2
        for column, (end, text) in enumerate(zip(ends, row, strict=True)):
            bold = number in strip.bold if strip.bold else strip.begins(column)
            items += [Text(end, base, text, SIZE, "end", bold=bold)] if text else []
        y -= PITCH
        if number % 2 == 1 or number == len(strip.rows) - 1:
            items.append(line((x, y), (x + sum(widths), y), "thin"))
    return y
