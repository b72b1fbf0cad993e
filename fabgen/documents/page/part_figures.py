"""What the page draws and tabulates of one part: its views, its flat, its cope lines."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.documents.drawing.sheet.blocks import titled
from fabgen.documents.drawing.sheet.views import SCALES, View, last_scale, scale_name, worth
from fabgen.documents.drawing.sheet_content import sheet_content
from fabgen.documents.render.picture import Anchor, Fill, Picture, Stroke, Text, line, polyline
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.slim import slimmed
from fabgen.documents.render.svg import FACE, to_svg
from fabgen.documents.render.words import end_text, figure
from fabgen.documents.wrap.ordinates import ordinate_strips
from fabgen.documents.wrap.wrap import Wrap, unrolled
from fabgen.geometry.plane.outline import Xy
from fabgen.parts.piece import Piece, WorkedEnd
from fabgen.wording.figures import Figures

ROOMS: tuple[Xy, ...] = ((120.0, 110.0), (150.0, 120.0), (190.0, 190.0), (270.0, 240.0))
"""Rooms that a view is tried in, the smallest first: what is drawn small reads well on a phone, mm."""
TUBE_ROOMS: tuple[Xy, ...] = ((190.0, 125.0), (230.0, 140.0), (270.0, 150.0), (270.0, 240.0))
_LEAST_SCALE = 1 / 20
SIDE_ROOM = (110.0, 90.0)
PICTURE_ROOM = (62.0, 62.0)
"""Of a view that is not to scale: no larger than it was worked out for."""
PER_MM = 3.7
"""CSS pixels a millimetre of drawing on the screen, so that its letters can be read."""
_PLACES = 2
"""Decimals of coordinates, mm of drawing."""
_EDGE = 2.0
_LETTER = 3.0
_FONT = re.compile(f' font-family="{re.escape(FACE)}"')


@dataclass(frozen=True)
class Drawing:
    """A picture with its caption; `width` mm of drawing."""

    caption: str
    svg: str
    width: float

    @property
    def pixels(self) -> int:
        """Its width on the screen."""
        return round(self.width * PER_MM)


@dataclass(frozen=True)
class PageTable:
    """A table: what it holds, the heads of its columns, its rows."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


@dataclass(frozen=True)
class PartFigures:
    """All that is drawn and tabulated of one part; `notes` are what its drawing says besides."""

    drawings: tuple[Drawing, ...]
    grids: tuple[PageTable, ...]
    notes: tuple[str, ...]


def figured(piece: Piece, known: Mapping[str, Piece], units: str) -> PartFigures:
    """Drawings and tables of a piece; `known` gives the pieces its ends sit on, by mark."""
    content = sheet_content(piece, known, Figures(units == "in"), "first")
    main = "Flat pattern" if piece.flat_part is not None else "Views"
    rooms = ROOMS if piece.flat_part is not None else TUBE_ROOMS
    drawings = [view_drawing(content.main.view, rooms, main, piece.mark)]
    drawings += [_side(view, piece.mark) for view in content.sides]
    grids = [PageTable(each.title, each.heads, each.rows) for each in content.tables]
    part = piece.length_part
    for end in part.ends if part is not None else ():
        if part is not None and end.needs_template:
            wrap = unrolled(part, end, units=units)
            drawings.append(_cut_line(piece, end, wrap))
            grids += _ordinates(end, wrap, units)
    return PartFigures(tuple(drawings), tuple(grids), content.notes)


def view_drawing(view: View, rooms: Sequence[Xy], caption: str, mark: str) -> Drawing:
    """A view as large as the smallest of the rooms lets it be.

    Args:
        view: drawn once, or at a few scales where it takes more than it said.
        rooms: (width, height) in mm of drawing, the smallest first.
        caption: what it shows.
        mark: of the part, for those who do not see the picture.
    """
    most = rooms[-1]
    for room in rooms:
        for scale in SCALES:
            if scale < _LEAST_SCALE and room != most:
                break
            # What a view takes at the least tells the scale: drawing it to find out would take many times as long.
            if not worth(view, scale) or not _holds(room, *view.least(scale)):
                continue
            panel = view.draw(scale, room)
            if _holds(most, panel.width, panel.height):
                title = f"{caption}, {scale_name(scale)}" if view.scaled else caption
                return panel_drawing(titled(panel, view.title) if view.title else panel, title, mark)
    return panel_drawing(view.draw(last_scale(view, most), most), caption, mark)


def _holds(room: Xy, width: float, height: float) -> bool:
    return width <= room[0] and height <= room[1]


def _side(view: View, mark: str) -> Drawing:
    bare = replace(view, title="")
    return view_drawing(bare, (SIDE_ROOM if view.scaled else PICTURE_ROOM,), view.title, mark)


def panel_drawing(panel: Panel, caption: str, mark: str) -> Drawing:
    """A finished drawing with its caption."""
    x0, y0, x1, y1 = panel.box
    width, height = x1 - x0 + 2.0 * _EDGE, y1 - y0 + 2.0 * _EDGE
    picture = slimmed(panel.picture.moved(_EDGE - x0, _EDGE - y0))
    svg = to_svg(picture, width, height, f"{mark}: {caption}", _PLACES)
    # The page's own style sheet says the face once, for all drawings.
    return Drawing(caption, _FONT.sub("", svg), width)


# -- cope lines ---------------------------------------------------------------------
def _cut_line(piece: Piece, end: WorkedEnd, wrap: Wrap) -> Drawing:
    """The end's line unrolled, small: where it is deep, where the top line, heel and toe are."""
    scale = min(1.0, 104.0 / wrap.width)
    width, high = wrap.width * scale, wrap.span * scale + 13.0
    edge = [(u * scale, v * scale) for u, v in wrap.cut_edge()]
    picture = Picture.of(
        [
            Fill((*edge, (width, high), (0.0, high)), 0.92),
            polyline([*edge, (width, high), (0.0, high)], "cut", closed=True),
            line((0.0, 0.0), (width, 0.0), "hidden"),
            *_uprights(wrap, scale, high),
            Text(0.0, -4.2, "saw cut", _LETTER),
            Text(width, -4.2, f"round {figure(wrap.width)}, depth {figure(wrap.span)}", _LETTER, "end"),
        ]
    )
    panel = Panel(picture, (-1.0, -5.5, width + 1.0, high + 5.0))
    word = {"cope": "Cope line", "mitre": "Mitre line"}.get(end.cut, "Cut line")
    return panel_drawing(panel, f"{word} of the {end.at}, unrolled: {end_text(end)}", piece.mark)


def _uprights(wrap: Wrap, scale: float, high: float) -> Iterator[Stroke | Text]:
    """Lines up the tube that a marker looks for: heel, top and toe, or the four faces."""
    faces = wrap.faces()
    for face in faces:
        start, finish = (float(u) * scale for u in wrap.girth.on_paper(np.array([face.start, face.finish])))
        yield line((start, high - 6.0), (start, high), "thin")
        middle = (start + finish) / 2.0 % (wrap.width * scale)
        yield Text(middle, high + 1.2, face.name, _LETTER, "middle")
    if not faces:
        top = wrap.top * scale
        if wrap.heel:
            yield Text(0.0, high + 1.2, "heel", _LETTER)
        toe = [("toe", wrap.at(math.pi) * scale)] if wrap.heel else []
        for name, u in (*toe, ("TOP", top)):
            if name == "TOP" or abs(u - top) > 9.0:
                anchor: Anchor = "end" if u > wrap.width * scale - 9.0 else "middle"
                if not (anchor == "middle" and u < 14.0):
                    yield Text(u, high + 1.2, name, _LETTER, anchor, bold=name == "TOP")
                yield line(
                    (u, high - (high if name == "TOP" else 6.0)), (u, high), "centre" if name == "TOP" else "thin"
                )


def _ordinates(end: WorkedEnd, wrap: Wrap, units: str) -> Iterator[PageTable]:
    """The table of a round tube in two halves side by side; a rectangular one's face by face."""
    words = "mm" if units == "mm" else "inches and mm"
    up = "up: from the longest point, the saw cut"
    for strip in ordinate_strips(wrap, units):
        if strip.title:
            caption = f"Ordinates of the {end.at}, {strip.title}, {words}"
            yield PageTable(caption, strip.heads, strip.rows, f"across: from the face's left edge; {up}.")
            continue
        half = len(strip.rows) // 2
        rows = tuple((*a, *b) for a, b in zip(strip.rows[:half], strip.rows[half:], strict=True))
        first = "the heel, the side cut shortest" if wrap.heel else "the seam"
        note = f"round: to the right from {first}, seen from outside with the tube's far end up; {up}."
        yield PageTable(f"Ordinates of the {end.at}, {words}", strip.heads * 2, rows, note)
