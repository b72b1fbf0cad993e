"""Names of points beside them, in pictures of frames and mechanisms."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence

from fabgen.documents.render.lettering import LEAST_CAPITAL, TEXT
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Item, Text, polyline
from fabgen.documents.render.sketch import Sketch, grown, text_box
from fabgen.geometry.plane.outline import Box, Xy

_DOT = 1.0
"""Room that a point takes from its middle, mm of paper."""
_APART = 2.5
"""A name farther than this from its point has a leader, mm of paper."""
_CROWDED = 15.0
"""Points nearer than this to one another are crowded, mm of paper."""
_TOGETHER = 4
"""How many names are written at one point."""
_COVERING = 60.0
"""From this cost on, mm, a name that covers lines near its point is tried farther off too."""
_THROUGH = 1000.0
"""What it costs a name that its leader runs through another, mm."""
_ON_TEXT = 1e6
"""What it costs a name to lie on another, mm: a place beyond all that is drawn is better."""
_RUNS = 4
"""How often the names are placed anew, those that found no room first."""
_NEAR = (1.8, 4.0, 7.0, 10.0, 14.0, 19.0, 25.0)
_FAR = (*_NEAR, 32.0, 40.0, 50.0, 62.0)
"""How far from its point a name is tried, and where there is no room, mm of paper."""
_BESIDE = ((1, 0.6), (1, -1), (-1, 0.6), (-1, -1), (0, 1), (0, -1.3))
_SLANTING = ((0.4, 1), (-0.4, 1), (0.4, -1.3), (-0.4, -1.3))
_BETWEEN = ((1, 0.2), (1, -0.4), (-1, 0.2), (-1, -0.4), (0.8, 1), (0.8, -1.3), (-0.8, 1), (-0.8, -1.3))


Spot = tuple[Xy, Sequence[str]]
"""A point on paper and the names that fall on it."""


def disc(at: Xy, radius: float, corners: int) -> tuple[Xy, ...]:
    """A small disc about a point, as the corners of a polygon."""
    angles = [math.tau * i / corners for i in range(corners)]
    return tuple((at[0] + radius * math.cos(a), at[1] + radius * math.sin(a)) for a in angles)


def gathered(named: Iterable[tuple[str, Xy]], near: float = 1.5) -> list[tuple[Xy, list[str]]]:
    """Points with their names, those within `near` mm of paper of one another as one."""
    spots: list[tuple[Xy, list[str]]] = []
    for name, at in named:
        names = next((names for other, names in spots if math.dist(other, at) < near), None)
        if names is None:
            spots.append((at, [name]))
        else:
            names.append(name)
    return spots


def write_names(sketch: Sketch, named: Sequence[Spot], most: float = math.inf, least: float = -math.inf) -> None:
    """The names beside their points, from x = `least` to `most` at the farthest, the crowded points' first: near, clear
    of lines, other points and names, with a leader where they stand apart.  Of many names at one point the first are
    written and how many more there are; where these find no room, they keep farther off, or the first stands alone.
    Points that others' names shut in get theirs first in the next run.  No name lies on another: one that finds no
    room at all stands above or below all that is drawn."""
    for (x, y), _ in named:
        sketch.board.add_line((x - _DOT, y), (x + _DOT, y))
        sketch.board.add_line((x, y - _DOT), (x, y + _DOT))
    crowd = [sum(math.dist(at, other) < _CROWDED for other, _ in named) for at, _ in named]
    order = [one for _, one in sorted(zip(crowd, named, strict=True), key=lambda one: -one[0])]
    tried = []
    for _ in range(_RUNS):
        items, cramped = _placed(sketch.copy(), order, least, most)
        tried.append((len(cramped), items))
        if not cramped:
            break
        order = cramped + [one for one in order if one not in cramped]
    sketch.draw(*min(tried, key=lambda one: one[0])[1])


def _placed(sketch: Sketch, order: Sequence[Spot], least: float, most: float) -> tuple[list[Item], list[Spot]]:
    """The names, with their leaders, as they find room one after another, and the points that the others shut in."""
    items: list[Item] = []
    cramped = []
    for at, names in order:
        cost, text = _best(sketch, at, names, least, most)
        if cost >= _THROUGH:
            cramped.append((at, names))
        leader = _leader(at, text_box(text))
        new: list[Item] = [polyline(leader, "mark"), text] if math.dist(*leader) > _APART else [text]
        sketch.draw(*new)
        items += new
    return items, cramped


def _first_of(names: Sequence[str], count: int) -> str:
    more = len(names) - count
    return ", ".join(names[:count]) + (f" +{more}" if more > 0 else "")


def _best(sketch: Sketch, at: Xy, names: Sequence[str], least: float, most: float) -> tuple[float, Text]:
    """The names of a point in the place that is nearest and covers least, and what it costs, mm."""
    tried = []
    counts = dict.fromkeys((min(_TOGETHER, len(names)), 1))
    for count, farther in itertools.product(counts, (False, True)):
        cost, text = _cheapest(sketch, at, _places(at, _first_of(names, count), farther), least, most)
        if cost < (_THROUGH if farther else _COVERING):
            return cost, text
        tried.append((cost, text))
    cost, text = min(tried, key=lambda one: one[0])
    return cost, text if cost < _ON_TEXT else _beyond(sketch, at, text, least, most)


def _cheapest(
    sketch: Sketch, at: Xy, tried: Iterable[tuple[float, Text]], least: float, most: float
) -> tuple[float, Text]:
    """The place for a name that is nearest and covers least, and what it costs, mm."""
    places = list(tried)
    boxes = [text_box(text) for _, text in places]
    within = [place for place, box in zip(places, boxes, strict=True) if least <= box[0] and box[2] <= most]
    places = within or [place for place, box in zip(places, boxes, strict=True) if box[2] <= most] or places
    costs = [far + _in_the_way(sketch, at, text_box(text)) for far, text in places]
    return min(zip(costs, (text for _, text in places), strict=True), key=lambda one: one[0])


def _places(at: Xy, text: str, farther: bool) -> Iterator[tuple[float, Text]]:
    """Places about a point, each with its distance, mm."""
    width = text_width(text, TEXT)
    for far in _FAR if farther else _NEAR:
        for dx, dy in _BESIDE + _SLANTING + (_BETWEEN if farther else ()):
            x = at[0] + dx * far - (width if dx < 0 else width / 2 if dx == 0 else 0.0)
            yield far, Text(x, at[1] + dy * far - LEAST_CAPITAL / 3.0, text, TEXT)


def _beyond(sketch: Sketch, at: Xy, text: Text, least: float, most: float) -> Text:
    """The text above or below all that is drawn, whichever is nearer."""
    _, low, _, high = sketch.box
    width = text_width(text.text, TEXT)
    x = max(min(at[0], most - width), least)
    y = high + TEXT if high - at[1] < at[1] - low else low - 2.0 * TEXT
    return Text(x, y, text.text, TEXT)


def _in_the_way(sketch: Sketch, at: Xy, box: Box) -> float:
    """What a name in that box would cover and its leader cross, as so many mm farther away."""
    board = sketch.board
    a, b = _leader(at, box)
    apart = math.dist(a, b)
    cost = 2.0 * board.ink_under(grown(box, 0.5)) + (_ON_TEXT if board.text_under(grown(box, 1.0)) else 0.0)
    if apart > _APART:
        past = 2.0 * _DOT / apart
        a = (a[0] + past * (b[0] - a[0]), a[1] + past * (b[1] - a[1]))
        cost += board.ink_on_line(a, b) + (_THROUGH if board.text_on_line(a, b) else 0.0)
    return cost


def _leader(at: Xy, box: Box) -> tuple[Xy, Xy]:
    x0, y0, x1, y1 = grown(box, 0.4)
    return at, (min(max(at[0], x0), x1), min(max(at[1], y0), y1))
