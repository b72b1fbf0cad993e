"""The welds of one part on its own drawing: each symbol, and what it is welded to."""

from __future__ import annotations

from dataclasses import replace

from fabgen.documents.drawing.assembly.weld_symbol import weld_symbol, weld_words
from fabgen.documents.drawing.sheet.dimensions import arrow, unit_vector
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.drawing.sheet.views import Content, View
from fabgen.documents.render.picture import Text, line
from fabgen.documents.render.sketch import Panel, Sketch
from fabgen.parts.piece import Piece
from fabgen.wording.figures import Figures

_SIZE = 2.6
_ARROW = 7.0
_BETWEEN = 3.0


def with_welds_shown(content: Content, piece: Piece, projection: Projection, figures: Figures) -> Content:
    """The content, with a block of symbols and a note in words where the job gives welds for the piece."""
    if not piece.welds:
        return content
    panel = weld_block(piece, projection, figures)
    view = View("Welds", lambda scale: (panel.width, panel.height), lambda scale, room: panel, False, 1.0)
    notes = [f"Weld on {', '.join(weld.parts[1:])}: {weld_words(weld, figures)}." for weld in piece.welds]
    return replace(content, sides=(*content.sides, view), notes=(*content.notes, *notes))


def weld_block(piece: Piece, projection: Projection, figures: Figures) -> Panel:
    """A row a weld: symbol with a short arrow, and the marks it is welded to."""
    sketch = Sketch()
    y = 0.0
    for weld in piece.welds:
        symbol = weld_symbol(weld, projection, figures=figures)
        y -= symbol.box[3]
        placed = symbol.moved(_ARROW, y)
        sketch.draw(*placed.picture.items)
        tip = (0.0, y - 4.0)
        sketch.draw(line((_ARROW, y), tip, "thin"), arrow(tip, unit_vector((_ARROW, y), tip)))
        sketch.write(Text(placed.box[2] + 2.5, y - 0.9, f"on {', '.join(weld.parts[1:])}", _SIZE))
        y += min(symbol.box[1], -4.0) - _BETWEEN
    return sketch.panel()
