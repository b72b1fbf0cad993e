"""Names of points beside them, in pictures of frames and mechanisms."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Text, polyline
from fabgen.documents.render.sketch import Sketch, grown, text_box
from fabgen.geometry.plane.outline import Xy

LETTER = 2.3


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


def write_names(sketch: Sketch, at: Xy, names: Sequence[str], most: float = math.inf) -> None:
    """The names beside the point, ending at x = `most` at the farthest: the first place with nothing under it,
    else the least covered."""
    text = ", ".join(names)
    width = text_width(text, LETTER)
    places = []
    for far in (1.8, 4.0, 7.0, 10.0, 14.0, 19.0):
        for dx, dy in ((1, 0.6), (1, -1), (-1, 0.6), (-1, -1), (0, 1), (0, -1.3)):
            x = at[0] + dx * far - (width if dx < 0 else width / 2 if dx == 0 else 0.0)
            places.append(Text(x, at[1] + dy * far - 0.8, text, LETTER))
    places = [place for place in places if text_box(place)[2] <= most] or places
    clear = [place for place in places if not sketch.board.text_under(grown(text_box(place), 1.0))]
    best = min(clear or places, key=lambda place: (sketch.board.ink_under(text_box(place)), places.index(place)))
    x0, y0, x1, y1 = text_box(best)
    near = (min(max(at[0], x0 - 0.4), x1 + 0.4), min(max(at[1], y0), y1))
    if math.dist(at, near) > 2.5:
        sketch.draw(polyline([at, near], "mark"))
    sketch.write(best)
