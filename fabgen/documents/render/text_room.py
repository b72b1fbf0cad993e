"""Finding room for texts: the first place where one crosses no line and no other text."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Anchor, Fill, Item, Text, line
from fabgen.documents.render.sketch import Sketch, within
from fabgen.documents.render.tiling import Joins
from fabgen.geometry.plane.outline import Box, Xy

_SHRINK = 0.87


@dataclass(frozen=True)
class Lettering:
    """Writes on `sketch`, inside `limit` (mm), on base lines turned by `turn` degrees."""

    sketch: Sketch
    limit: Box
    turn: float = 0.0

    def put(
        self,
        text: str,
        places: Iterable[Xy],
        sizes: tuple[float, float],
        anchor: Anchor = "start",
        bold: bool = False,
        clear: float = 0.35,
    ) -> bool:
        """Write the text where it is free.

        Args:
            places: (u, v) of its base line, mm, the best first.
            sizes: height of its letters, mm, and the least to which they are made smaller where they must be.
            clear: what must be free round it, mm.
        Returns: False where there is no place at all.
        """
        spots = list(places)
        size, least = sizes
        while size >= least:
            items = (Text(u, v, text, size, anchor, self.turn, bold) for u, v in spots)
            if self.sketch.write_free(items, self.limit, clear):
                return True
            size *= _SHRINK
        return False


def draw_joins(sketch: Sketch, joins: Joins, box: Box) -> None:
    """The registration crosses where they find room, and the join lines as what no text may cross."""

    def free(place: Box) -> bool:
        return sketch.free(place) and within(place, box)

    for letter, cross in zip(joins.letters(), joins.crosses(free), strict=False):
        sketch.draw(*cross.items(letter))
    for a, b in joins.lines(box):
        sketch.board.add_line(a, b)


def arrow(foot: Xy, head: float) -> list[Item]:
    """An arrow that points up, 6.2 mm tall; `head` is half the width of its head."""
    x, y = foot
    return [line((x, y), (x, y + 4.0), "frame"), Fill(((x - head, y + 3.2), (x + head, y + 3.2), (x, y + 6.2)))]


def reading_turn(along: Xy) -> float:
    """Degrees to turn a text on a line of that direction so that it reads from below or from the right."""
    turn = math.degrees(math.atan2(along[1], along[0]))
    if turn > 90.0 + 1e-9:
        turn -= 180.0
    if turn <= -90.0 + 1e-9:
        turn += 180.0
    return turn + 0.0


def beside_line(a: Xy, b: Xy, text: str, size: float, lift: float, shares: Sequence[float] = ()) -> list[Text]:
    """Places for a text on either side of a line, reading along it.

    Args:
        a, b: the line's ends, mm.
        size: height of the letters, mm.
        lift: base line above the line, mm.
        shares: of the line, where the text's middle may stand, the best first; left out: from its middle outward as
            far as there is room.
    Returns: the texts, the best first; none where the line is too short.
    """
    length, width = math.dist(a, b), text_width(text, size)
    if length < width + 2.0:
        return []
    turn = reading_turn((b[0] - a[0], b[1] - a[1]))
    up = (-math.sin(math.radians(turn)), math.cos(math.radians(turn)))
    spare = (length - width - 2.0) / 2.0 / length
    places = []
    for f in shares or [0.5 + aside * spare for aside in (0.0, -0.5, 0.5, -1.0, 1.0, -0.25, 0.25, -0.75, 0.75)]:
        for rise in (lift, -lift - size * 0.8):
            x, y = a[0] + (b[0] - a[0]) * f + up[0] * rise, a[1] + (b[1] - a[1]) * f + up[1] * rise
            places.append(Text(x, y, text, size, "middle", turn))
    return places
