"""Weld symbols in the manner of ISO 2553:2019 (elements and clauses from memory, check against the standard), beside
a joint and as a block on a part's own drawing.

System A, with first-angle drawings: a symbol on the continuous reference line is on the arrow's
side, one on the dashed line on the other.  System B, with third-angle drawings: no dashed line;
below the reference line is the arrow's side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from fabgen.documents.drawing.sheet.dimensions import arrow, unit_vector
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.drawing.sheet.views import Content, View
from fabgen.documents.render.lettering import TEXT
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Arc, Fill, Item, Text, line, polyline
from fabgen.documents.render.sketch import Panel, Sketch, grown, within
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.piece import Piece
from fabgen.parts.shape.welds.end_welds import end_welds
from fabgen.parts.shape.welds.welded_edge import WeldedEdge
from fabgen.wording.figures import MILLIMETRES, Figures

HIGH = 3.5
"""Height of an elementary symbol, mm of paper."""
_SIZE = TEXT
_APART = 1.7
"""The dashed line below the continuous one."""
_FLAG = 6.5
_TAIL = 2.6
_CIRCLE = 1.5


def weld_symbol(
    weld: Weld, projection: Projection, leftward: bool = False, figures: Figures = MILLIMETRES, tail: str = ""
) -> Panel:
    """The symbol without its arrow: that meets it at the origin, and the reference line runs to the right of
    there, or to the left.  `tail`: what stands in its tail after the process."""
    left, right = size_text(weld, figures), run_text(weld, figures)
    before = text_width(left, _SIZE) + 1.0 if left else 0.0
    after = text_width(right, _SIZE) + 1.0 if right else 0.0
    lead = 3.0 + (_CIRCLE if weld.all_round else 0.0)
    long = lead + before + _width(weld) + 1.2 + after + 2.0
    # A reference line that runs to the left is drawn from its far end, so that it reads all the same.
    x0 = -long if leftward else 0.0
    at = x0 + (2.0 if leftward else lead) + before
    items: list[Item] = [line((x0, 0.0), (x0 + long, 0.0), "thin")]
    dashed = projection == "first" and weld.side != "both"
    if dashed:
        items.append(line((x0 + 1.0, -_APART), (x0 + long - 1.0, -_APART), "hidden"))
    for above in _sides(weld, projection):
        foot = 0.0 if above or not dashed else -_APART
        way = 1.0 if above else -1.0
        items += [_placed(stroke, at, foot, way) for stroke in _elementary(weld)]
        base = foot + 0.7 if above else foot - 0.7 - _SIZE * 0.72
        if left:
            items.append(Text(at - 0.8, base, left, _SIZE, "end"))
        if right:
            items.append(Text(at + _width(weld) + 0.8, base, right, _SIZE))
    if weld.all_round:
        items.append(Arc(0.0, 0.0, _CIRCLE, pen="thin"))
    if weld.site:
        items += [line((0.0, 0.0), (0.0, _FLAG), "thin"), Fill(((0.0, _FLAG), (0.0, _FLAG - 2.4), (3.0, _FLAG - 1.2)))]
    if said := ", ".join(filter(None, (weld.process, tail))):
        items += _tail(said, x0 if leftward else x0 + long, leftward)
    return _panel(items)


def size_text(weld: Weld, figures: Figures = MILLIMETRES) -> str:
    """'a3', 'z4' or 's5'."""
    named = (("a", weld.throat), ("z", weld.leg), ("s", weld.depth))
    return next((f"{letter}{figures.size(size)}" for letter, size in named if size is not None), "")


def run_text(weld: Weld, figures: Figures = MILLIMETRES) -> str:
    """'3 × 50 (30)' of a broken weld: runs, their length, the space between."""
    if weld.runs is None or weld.length is None or weld.space is None:
        return ""
    return f"{weld.runs} × {figures.size(weld.length)} ({figures.size(weld.space)})"


def weld_words(weld: Weld, figures: Figures = MILLIMETRES) -> str:
    """'fillet, throat 3 mm, all round', for those who do not read symbols."""
    kinds = {"fillet": "fillet", "square": "square butt", "bevel": "single bevel butt", "vee": "single vee butt"}
    unit = "" if figures.inches else " mm"
    words = [kinds[weld.type]]
    sizes = (("throat", weld.throat), ("leg", weld.leg), ("penetration", weld.depth))
    words += [f"{name} {figures.size(size)}{unit}" for name, size in sizes if size is not None]
    words += {"arrow": [], "other": ["on the other side"], "both": ["on both sides"]}[weld.side]
    words += ["all round"] if weld.all_round else []
    if weld.runs is not None and weld.length is not None and weld.space is not None:
        words.append(f"{weld.runs} runs of {figures.size(weld.length)}{unit}, {figures.size(weld.space)}{unit} apart")
    words += ["when fitted"] if weld.site else []
    words += [f"process {weld.process}"] if weld.process else []
    return ", ".join(words)


def place_symbol(
    sketch: Sketch, weld: Weld, projection: Projection, spot: Xy, limit: Box, figures: Figures = MILLIMETRES
) -> bool:
    """The symbol where it finds room, its arrow to `spot`; False where it finds none."""
    panels = {leftward: weld_symbol(weld, projection, leftward, figures) for leftward in (False, True)}
    for reach in range(8, 90, 4):
        for i in range(16):
            turn = 2.0 * math.pi * (i + 0.5) / 16
            foot = (spot[0] + reach * math.cos(turn), spot[1] + reach * math.sin(turn))
            panel = panels[math.cos(turn) < 0.0].moved(*foot)
            if not within(panel.box, limit) or not sketch.free(grown(panel.box, 0.6)):
                continue
            if sketch.board.text_on_line(spot, foot):
                continue
            toward = ((spot[0] - foot[0]) / reach, (spot[1] - foot[1]) / reach)
            sketch.draw(line(foot, spot, "thin"), arrow(spot, toward), *panel.picture.items)
            sketch.board.add_text(panel.box)
            return True
    return False


def _sides(weld: Weld, projection: Projection) -> Iterator[bool]:
    """Whether above the line, for each side that is welded."""
    arrow_above = projection == "first"
    if weld.side in ("arrow", "both"):
        yield arrow_above
    if weld.side in ("other", "both"):
        yield not arrow_above


def _width(weld: Weld) -> float:
    return {"fillet": HIGH, "square": 1.4, "bevel": HIGH * 0.8, "vee": 2.0 * HIGH * math.tan(math.radians(30.0))}[
        weld.type
    ]


def _elementary(weld: Weld) -> list[list[Xy]]:
    """The symbol's strokes, standing on the origin."""
    wide = _width(weld)
    if weld.type == "fillet":
        return [[(0.0, 0.0), (0.0, HIGH), (wide, 0.0)]]
    if weld.type == "square":
        return [[(0.0, 0.0), (0.0, HIGH)], [(wide, 0.0), (wide, HIGH)]]
    if weld.type == "bevel":
        return [[(0.0, HIGH), (0.0, 0.0), (wide, HIGH)]]
    return [[(0.0, HIGH), (wide / 2.0, 0.0), (wide, HIGH)]]


def _placed(stroke: list[Xy], x: float, foot: float, way: float) -> Item:
    return polyline([(x + u, foot + way * v) for u, v in stroke], "visible")


def _tail(text: str, x: float, leftward: bool) -> list[Item]:
    way = -1.0 if leftward else 1.0
    fork = [line((x, 0.0), (x + way * _TAIL, v), "thin") for v in (_TAIL * 0.8, -_TAIL * 0.8)]
    return [*fork, Text(x + way * (_TAIL + 0.6), -_SIZE * 0.36, text, _SIZE, "end" if leftward else "start")]


def _panel(items: list[Item]) -> Panel:
    sketch = Sketch()
    sketch.draw(*items)
    return sketch.panel()


_NAME_SIZE = TEXT
_ARROW = 7.0
_BETWEEN = 3.0


def with_welds_shown(
    content: Content, piece: Piece, projection: Projection, figures: Figures, edges: Sequence[WeldedEdge] | None = None
) -> Content:
    """The content, with a note in words where the job gives welds for the piece, and a block of the symbols of those
    that no view shows at an edge.

    Args:
        edges: of a sheet part those that meet others, where its view shows the symbols; None where nobody looked.
    """
    if not piece.welds:
        return content
    notes = [f"Weld on {', '.join(weld.parts[1:])}: {weld_words(weld, figures)}." for weld in piece.welds]
    if piece.flat_part is not None and piece.is_placed:
        if edges is not None:
            met = {mark for edge in edges for mark in edge.on}
            notes = [
                note if met & set(weld.parts[1:]) else f"{note[:-1]}; no symbol: it runs along no edge of the flat."
                for note, weld in zip(notes, piece.welds, strict=True)
            ]
        return replace(content, notes=(*content.notes, *notes))
    shown = [weld for _, weld in end_welds(piece)]
    rest = [weld for weld in piece.welds if weld not in shown]
    if not rest:
        return replace(content, notes=(*content.notes, *notes))
    panel = weld_block(rest, projection, figures)
    view = View("Welds", lambda scale: (panel.width, panel.height), lambda scale, room: panel, False, 1.0)
    return replace(content, sides=(*content.sides, view), notes=(*content.notes, *notes))


def weld_block(welds: Sequence[Weld], projection: Projection, figures: Figures) -> Panel:
    """A row a weld: symbol with a short arrow, and the marks it is welded to."""
    sketch = Sketch()
    y = 0.0
    for weld in welds:
        symbol = weld_symbol(weld, projection, figures=figures)
        y -= symbol.box[3]
        placed = symbol.moved(_ARROW, y)
        sketch.draw(*placed.picture.items)
        tip = (0.0, y - 4.0)
        sketch.draw(line((_ARROW, y), tip, "thin"), arrow(tip, unit_vector((_ARROW, y), tip)))
        sketch.write(Text(placed.box[2] + 2.5, y - 0.9, f"on {', '.join(weld.parts[1:])}", _NAME_SIZE))
        y += min(symbol.box[1], -4.0) - _BETWEEN
    return sketch.panel()
