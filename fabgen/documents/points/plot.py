"""A small line plot: one curve over another figure, with round ticks."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fabgen.documents.render.lettering import LEAST_CAPITAL, TEXT
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Anchor, Fill, Item, Picture, Text, line, polyline, rectangle
from fabgen.documents.render.sketch import grown, text_box
from fabgen.documents.render.words import figure
from fabgen.geometry.plane.outline import Box, Xy

_APART = 1.5
"""A word this far from the curve is clear of it, mm of paper."""


def plot(
    xs: Sequence[float],
    ys: Sequence[float],
    title: str,
    along: str,
    size: tuple[float, float],
    limits: Sequence[tuple[float, str]] = (),
) -> Picture:
    """The curve ys over rising xs in a picture `size` mm; `limits` are levels drawn dashed, with a word each.

    Levels far outside the curve are left out.
    """
    width, height = size
    low, high = min(ys), max(ys)
    spread = high - low
    near = [(level, word) for level, word in limits if low - spread - 1e-9 <= level <= high + spread + 1e-9]
    y_ticks = ticks(min([low, *(level for level, _ in near)]), max([high, *(level for level, _ in near)]), 5)
    x0, x1 = min(xs), max(xs)
    x_ticks = [tick for tick in ticks(x0, x1, 8) if x0 - 1e-9 <= tick <= x1 + 1e-9]
    labels = [figure(tick, 4) for tick in y_ticks]
    left = max(text_width(label, TEXT) for label in labels) + 2.0
    bottom, top, right = 10.0, height - 5.0, width - 3.0
    y0, y1 = y_ticks[0], y_ticks[-1]

    def at(x: float, y: float) -> tuple[float, float]:
        return left + (x - x0) / (x1 - x0) * (right - left), bottom + (y - y0) / (y1 - y0) * (top - bottom)

    items: list[Item] = [Text(left, height - 3.2, title, TEXT, bold=True)]
    for tick, label in zip(y_ticks, labels, strict=True):
        items.append(line(at(x0, tick), at(x1, tick), "mark"))
        items.append(Text(left - 1.0, at(x0, tick)[1] - LEAST_CAPITAL / 2.0, label, TEXT, "end"))
    shown = -math.inf
    for tick in x_ticks:
        x, _ = at(tick, y0)
        label = figure(tick, 4)
        half = text_width(label, TEXT) / 2.0
        items.append(line(at(tick, y0), (x, bottom - 0.8), "thin"))
        if x - half > shown + 1.0:
            items.append(Text(x, bottom - 4.2, label, TEXT, "middle"))
            shown = x + half
    items.append(Text((left + right) / 2.0, 1.5, along, TEXT, "middle"))
    curve = [at(x, y) for x, y in zip(xs, ys, strict=True)]
    items.append(rectangle(left, bottom, right - left, top - bottom, "thin"))
    for level, word in near:
        a, b = at(x0, level), at(x1, level)
        items.append(line(a, b, "hidden"))
        ends: tuple[tuple[float, Anchor], ...] = (
            (b[0] - 1.0, "end"),
            (a[0] + 1.0, "start"),
            ((a[0] + b[0]) / 2.0, "middle"),
        )
        places = [
            Text(x, b[1] + over, word, TEXT, anchor)
            for x, anchor in ends
            for over in (0.9, -0.9 - LEAST_CAPITAL)
            if bottom < b[1] + over - 0.4 and b[1] + over + LEAST_CAPITAL + 0.4 < top
        ]
        text = max(places, key=lambda place: min(_APART, _clear_of(curve, text_box(place))))
        fx0, fy0, fx1, fy1 = grown(text_box(text), 0.3)
        items.append(Fill(((fx0, fy0), (fx1, fy0), (fx1, fy1), (fx0, fy1)), 1.0))
        items.append(text)
    items.append(polyline(curve, "visible"))
    return Picture.of(items)


def _clear_of(curve: Sequence[Xy], box: Box) -> float:
    """How far a box lies from the curve, mm of paper."""
    from shapely import LineString
    from shapely import box as rectangle_of

    return float(LineString(curve).distance(rectangle_of(*box)))


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round figures that enclose low to high, at most `most` steps: 1, 2 or 5 times a power of ten apart."""
    if high - low < 1e-6:
        middle = (low + high) / 2.0
        low, high = middle - 0.5, middle + 0.5
    power = 10.0 ** math.floor(math.log10((high - low) / most))
    for factor in (1.0, 2.0, 5.0, 10.0, 20.0):
        step = factor * power
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first <= most:
            break
    return [k * step for k in range(first, last + 1)]
