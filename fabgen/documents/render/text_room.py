"""Finding room for texts: the first place where one crosses no line and no other text; lines of a width."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fabgen.documents.render.pdf import fitted, text_width
from fabgen.documents.render.picture import Anchor, Fill, Item, Text, line
from fabgen.documents.render.sketch import Sketch, grown, text_box, within
from fabgen.documents.render.tiling import Joins
from fabgen.geometry.plane.outline import Box, Xy

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


def arrow(foot: Xy, head: float) -> list[Item]:
    """An arrow that points up, 6.2 mm tall; `head` is half the width of its head."""
    x, y = foot
    return [
        line((x, y), (x, y + 4.0), "frame"),
        Fill(((x - head, y + 3.2), (x + head, y + 3.2), (x, y + 6.2))),
    ]


def folded(text: str, width: float, size: float) -> list[str]:
    """The text in lines no wider than `width` mm, broken at spaces."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return [fitted(part, width, size)[0] for part in lines]
