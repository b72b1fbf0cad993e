"""tube-templates.pdf: a paper wrap at true size for every worked tube end, and for every hole in a main.

Each gets a block: what it is, how it can be sawn, the drawing to cut out (`template_drawing.py`,
`hole_template.py`) and its ordinates.  `template_blocks.py` lays them out.  The last page is a
card with all ends' ordinates, for whoever marks by hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabgen.documents.hole_template import HoleTemplate
from fabgen.documents.ordinate_card import card_pages
from fabgen.documents.ordinates import ordinate_table, with_unit
from fabgen.documents.paper import Paper
from fabgen.documents.pdf import Page
from fabgen.documents.sketch import Panel, Sketch
from fabgen.documents.template_blocks import Book
from fabgen.documents.template_drawing import template_box, template_landmarks, template_sketch
from fabgen.documents.tiling import Joins
from fabgen.documents.words import end_text, figure
from fabgen.documents.wrap import Wrap, unrolled
from fabgen.geometry.outline import Box
from fabgen.job.definitions import Header
from fabgen.parts.marking import Marking
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.saw_setup import SawSetup


def template_pages(
    pieces: Sequence[Piece],
    header: Header,
    paper: Paper,
    paper_thickness: float = 0.1,
    marking: Marking | None = None,
    card: bool = True,
) -> list[Page]:
    """The pages, in the order of the pieces, start before finish, then the holes; none where no end is worked.

    `marking`: the saw set-ups and holes to show, left out = the pieces' own; `card`: with the ordinates card.
    """
    book = Book(header, paper)
    shown = Marking.of(pieces) if marking is None else marking
    worked: list[tuple[Piece, WorkedEnd, Wrap]] = []
    for piece in pieces:
        if not isinstance(piece.shape, LengthPart):
            continue
        for end in piece.shape.ends:
            if end.cut != "plain":
                wrap = unrolled(piece.shape, end, paper_thickness, header.units)
                saw = shown.saws.get((piece.mark, end.at))
                # The card says once what else is to be known of hole saws.
                book.add(_EndTemplate(piece, piece.shape, end, wrap, header.units, saw, brief=card))
                worked.append((piece, end, wrap))
        for hole in shown.holes.get(piece.mark, ()):
            book.add(HoleTemplate(piece, hole, paper_thickness, header.units))
    if card:
        for items, sheet in card_pages(worked, header.units, paper):
            book.add_page(items, sheet)
    return book.pages()


@dataclass(frozen=True)
class _EndTemplate:
    """One worked end and its wrap."""

    piece: Piece
    part: LengthPart
    end: WorkedEnd
    wrap: Wrap
    units: str
    saw: SawSetup | None
    brief: bool

    @property
    def name(self) -> str:
        return f"{self.piece.mark} {self.end.at}"

    @property
    def title(self) -> str:
        return self.piece.title

    @property
    def quantity(self) -> str:
        return f"{self.piece.quantity} tubes like this" if self.piece.quantity > 1 else ""

    @property
    def box(self) -> Box:
        return template_box(self.wrap)

    def facts(self) -> Iterator[str]:
        part, wrap = self.part, self.wrap
        yield f"{part.section}, {self.piece.material}"
        yield end_text(self.end)
        yield f"fit {self.end.fit}"
        yield "TOP line common to both ends"
        yield f"saw length {with_unit(part.length, self.units)} between longest points"
        yield f"straight edge {with_unit(wrap.height, self.units)} from the longest point"
        drawn = f", drawn {figure(wrap.width)} for {figure(wrap.girth.paper, 2)} mm paper" if wrap.girth.paper else ""
        yield f"round the tube {with_unit(wrap.girth.length, self.units)}{drawn}"
        if not part.section.is_round:
            yield f"corners of {figure(part.section.corner)} mm radius outside: measure yours"
        if wrap.height > part.length:
            yield "the paper is longer than the tube: set its lowest point on the saw cut"
        if self.end.line.misses:
            yield "no contact: the tube runs past there and is left at the saw cut"

    def advice(self) -> tuple[str, str]:
        if self.saw is None:
            return "Saw", ""
        return "Saw", self.saw.brief if self.brief else self.saw.advice

    def drawing(self, joins: Joins) -> Sketch:
        return template_sketch(self.piece.mark, self.end, self.wrap, self.units, joins)

    def table(self, width: float) -> Panel:
        return ordinate_table(self.wrap, width, self.units)

    def landmarks(self) -> tuple[Sequence[float], Sequence[float]]:
        return template_landmarks(self.wrap), (0.0, self.wrap.height - 13.0, self.wrap.height)
