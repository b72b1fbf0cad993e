"""What a flat's edges meet, said at each edge: the symbol of its weld, its arrow on the edge, with the marks of what it
lies on in its tail.

A weld that the job lists has its size.  Others are where sheet is seated on something and nothing bolts it there: their
symbols have none, and what is said of them is only where a weld can run.  The side of the joint is that of the view:
what is welded behind the sheet is on the other side.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

from fabgen.documents.drawing.assembly.symbol_at_edge import symbol_at_edge
from fabgen.documents.drawing.assembly.weld_symbol import weld_symbol
from fabgen.documents.drawing.sheet.dimensions import Target, draw_leader
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.render.sketch import Sketch, grown
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.piece import Piece
from fabgen.parts.shape.alike import names
from fabgen.parts.shape.welds.welded_edge import Side, WeldedEdge
from fabgen.wording.figures import Figures

UNSIZED = (
    "Weld symbols without a size: where the part is seated and a weld can run. Whether, how large and how long is the "
    "designer's to say."
)
SQUARE = 4.0
"""Sheet up to this, mm, may butt with square edges (common practice, no source); of a thicker one the symbol would name
a preparation that nobody gave, and words stand there."""
_SHARES = (0.5, 0.3, 0.7, 0.12, 0.88)
"""Where along an edge an arrow may end."""
_OVER = 1.0
"""A sign may reach so far beyond what is drawn without taking room from others, mm of paper …"""
_SHORT = 44.0
"""… where its arrow is no longer than this."""
_TURNED: dict[Side, Side] = {"arrow": "other", "other": "arrow", "both": "both"}


@dataclass(frozen=True)
class EdgeSign:
    """What stands at an edge: its weld, None where words do, and the words."""

    edge: WeldedEdge
    weld: Weld | None
    words: str


def edge_signs(
    piece: Piece, edges: Iterable[WeldedEdge], known: Iterable[Piece], projection: Projection, figures: Figures
) -> EdgeSigns | None:
    """What is to be said at the edges of a piece; None where none meets another.

    Args:
        piece: a sheet part.
        edges: of its flat, that meet others.
        known: all pieces: the weld of two parts may be listed by either.
        projection: first angle: system A of ISO 2553; third angle: system B.
        figures: the job's units.
    """
    welds = [*piece.welds, *(weld for each in known for weld in each.welds if piece.mark in weld.parts[1:])]
    signs = tuple(_sign(piece, edge, welds) for edge in edges)
    return EdgeSigns(signs, projection, figures) if signs else None


def _sign(piece: Piece, edge: WeldedEdge, welds: Iterable[Weld]) -> EdgeSign:
    words = f"{'butts' if edge.butts else 'on'} {names(sorted(edge.on))}"
    given = next((weld for weld in welds if {*edge.on} & {*weld.parts} - {piece.mark}), None)
    if given is not None:
        # A weld on one side is on the one that can be reached.
        turned = (
            {"arrow": "other", "other": "arrow", "both": "both"}[given.side] if edge.side == "other" else given.side
        )
        return EdgeSign(edge, given.model_copy(update={"side": turned}), words)
    part = piece.flat_part
    if edge.butts and part is not None and part.thickness > SQUARE:
        return EdgeSign(edge, None, words)
    kind = "square" if edge.butts else "fillet"
    weld = Weld.model_construct(parts=[piece.mark, *edge.on], type=kind, side=edge.side, all_round=edge.whole)
    return EdgeSign(edge, weld, words)


@dataclass(frozen=True)
class EdgeSigns:
    """The signs of a flat, drawn in the manner of a projection."""

    signs: tuple[EdgeSign, ...]
    projection: Projection
    figures: Figures

    @property
    def has_unsized(self) -> bool:
        """Whether a symbol has no size."""
        welds = [sign.weld for sign in self.signs if sign.weld is not None]
        return any(weld.throat is None and weld.leg is None and weld.depth is None for weld in welds)

    def draw(self, sketch: Sketch, scale: float, limits: Sequence[Box]) -> list[str]:
        """Draw them where there is room: near by, beside the metal or on it, where that takes no room from the views
        beside this one.

        Args:
            sketch: with all that is dimensioned.
            scale: mm of paper to 1 mm.
            limits: boxes, mm of paper: within the first that has room a sign is drawn.
        Returns: the words of those that have none.
        """
        return [
            sign.words
            for sign in self.signs
            if not self._drawn(sketch, sign, scale, grown(sketch.box, _OVER), _SHORT)
            and not any(self._drawn(sketch, sign, scale, each) for each in limits)
        ]

    def _drawn(self, sketch: Sketch, sign: EdgeSign, scale: float, limit: Box, most: float = math.inf) -> bool:
        tips = [((x * scale, y * scale), out) for (x, y), out in _tips(sign.edge.line)]
        if most < math.inf:
            tips += [(tip, out + math.pi) for tip, out in tips]
        if sign.weld is None:
            return draw_leader(sketch, [Target(tip, 0.0, out, 1.3) for tip, out in tips], sign.words, limit)
        symbol = partial(weld_symbol, sign.weld, self.projection, figures=self.figures, tail=sign.words)
        return symbol_at_edge(sketch, tips, symbol, limit, most)


def _tips(line: Sequence[Xy]) -> Iterator[tuple[Xy, float]]:
    """Points of an edge for an arrow to end at, and the heading away from the metal, rad."""
    lengths = [math.dist(a, b) for a, b in pairwise(line)]
    whole = sum(lengths)
    for share in _SHARES:
        left = share * whole
        for index, length in enumerate(lengths):
            if left <= length or index == len(lengths) - 1:
                (ax, ay), (bx, by) = line[index], line[index + 1]
                part = min(1.0, left / length)
                yield (ax + (bx - ax) * part, ay + (by - ay) * part), math.atan2(ax - bx, by - ay)
                break
            left -= length
