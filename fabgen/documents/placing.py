"""Finding room for a text: the first place where it crosses no line and no other text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fabgen.documents.picture import Anchor, Text
from fabgen.documents.sketch import Sketch, grown, text_box, within
from fabgen.documents.tiling import Joins
from fabgen.geometry.outline import Box, Xy

_SHRINK = 0.87


@dataclass(frozen=True)
class Lettering:
    """Writes on `sketch`, inside `limit` (mm)."""

    sketch: Sketch
    limit: Box

    def put(
        self,
        text: str,
        places: Iterable[Xy],
        size: float,
        least: float,
        anchor: Anchor = "start",
        turn: float = 0.0,
        bold: bool = False,
        clear: float = 0.35,
    ) -> bool:
        """Write the text at the first (u, v) of its base line where `clear` mm round it are free.

        Tried smaller, down to `least`, where it must be; False where there is no place at all.
        """
        spots = list(places)
        while size >= least:
            for u, v in spots:
                item = Text(u, v, text, size, anchor, turn, bold)
                box = grown(text_box(item), clear)
                if within(box, self.limit) and self.sketch.free(box):
                    self.sketch.write(item)
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
