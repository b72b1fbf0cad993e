"""tube-templates.pdf: a paper wrap at true size for every worked tube end, for every hole in a main, and for every
notched end of a profile.

Ends that are cut alike share one, which says how many to make.  Each gets a block: what it is, how it
can be sawn, the drawing to cut out (`template_drawing.py`, `hole_template.py`) and its ordinates.
`template_blocks.py` lays them out, `template_book.py` fills pages with them.  At the end stand an index
(`template_index.py`) and a card with all ends' ordinates, for marking by hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.sketch import Panel, Sketch
from fabgen.documents.render.tiling import Joins
from fabgen.documents.render.true_size import PROFILES, TUBES
from fabgen.documents.render.words import corners_by, end_text, length_text, mm_text, with_unit
from fabgen.documents.templates.drill_template import DrillTemplate
from fabgen.documents.templates.fold_template import FoldTemplate
from fabgen.documents.templates.hole_template import PAPER_THICKNESS, PRINTED_SIDE, HoleTemplate
from fabgen.documents.templates.ordinate_card import card_panels
from fabgen.documents.templates.profile_templates import profile_templates
from fabgen.documents.templates.template_book import Book
from fabgen.documents.templates.template_drawing import template_box, template_landmarks, template_sketch
from fabgen.documents.templates.template_index import alike_panels, where_panels
from fabgen.documents.wrap.fold_wrap import FoldPaper
from fabgen.documents.wrap.ordinates import ordinate_table
from fabgen.documents.wrap.wrap import Wrap, unrolled
from fabgen.geometry.plane.outline import Box
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import (
    LengthPart,
    Opening,
    Piece,
    WorkedEnd,
    drilled_to_make,
    holes_to_make,
    length_parts,
    like_holes,
    to_make,
)
from fabgen.parts.shape.alike import EndOf, alike_ends, names

MOST = 6
"""Ends that a template's heading names; of more there is a page of their own."""


def template_pages(
    pieces: Sequence[Piece],
    header: Header,
    paper: Paper,
    card: bool = True,
    every_end: bool = False,
) -> list[Page]:
    """The pages, in the order of the pieces as far as they are filled with it, start before finish, then the holes;
    none where no end is worked.  What is made already needs none.

    `card`: with the ordinates card;
    `every_end`: an end that is sawn square has one too.
    """
    folded: dict[str, list[FoldTemplate]] = {}
    for mark, of_profile in profile_templates(pieces, FoldPaper(PAPER_THICKNESS, header.units)):
        folded.setdefault(mark, []).append(of_profile)
    book = Book(header, paper, PROFILES if folded else TUBES)
    worked = (
        (piece, end)
        for piece, part in length_parts(to_make(pieces))
        for end in part.ends
        if end.cut != "plain" and (every_end or end.needs_template)
    )
    groups = {(group[0][0].mark, group[0][1].at): group for group in alike_ends(worked)}
    holes: dict[str, list[Opening]] = {}
    for piece, hole in holes_to_make(pieces):
        holes.setdefault(piece.mark, []).append(hole)
    templates: list[_EndTemplate] = []
    for piece in pieces:
        part = piece.length_part
        own = [groups.get((piece.mark, end.at)) for end in part.ends] if part is not None else []
        # The card says once what else is to be known of hole saws.
        ends = [_EndTemplate.of(group, header.units, brief=card) for group in own if group]
        templates += ends
        book.add(*ends)
        for hole in holes.get(piece.mark, ()):
            book.add(HoleTemplate(piece, hole, header.units))
        for alike in like_holes(drilled_to_make(piece)):
            book.add(DrillTemplate(piece, alike[0], header.units, alike))
        book.add(*folded.get(piece.mark, ()))
    if card:
        for panel in card_panels([(each.short, each.wrap) for each in templates], header.units, paper):
            book.add_panel(panel)
        many = [(each.name, each.all_ends()) for each in templates if len(each.ends) > MOST]
        served: dict[str, Sequence[str]] = {each.name: each.all_ends()[:MOST] for each in templates}
        served |= {each.name: each.serves[:MOST] for notched in folded.values() for each in notched}
        where = [(end, number) for name, number in book.places for end in served.get(name, [name])]
        for panel in [] if book.in_order else where_panels(where, paper):
            book.add_panel(panel)
        for panel in alike_panels(many, paper):
            book.add_panel(panel)
    return book.pages()


@dataclass(frozen=True)
class _EndTemplate:
    """One worked end, or several alike, and their wrap; what holds for one end is stated of the first."""

    ends: Sequence[EndOf]
    part: LengthPart
    wrap: Wrap
    units: str
    brief: bool

    @staticmethod
    def of(ends: Sequence[EndOf], units: str, brief: bool) -> _EndTemplate:
        piece, end = ends[0]
        part = piece.length_part
        assert part is not None
        wrap = unrolled(part, end, PAPER_THICKNESS, units)
        return _EndTemplate(ends, part, wrap, units, brief)

    @property
    def piece(self) -> Piece:
        return self.ends[0][0]

    @property
    def end(self) -> WorkedEnd:
        return self.ends[0][1]

    @property
    def name(self) -> str:
        return f"{self.piece.mark} {self.end.at}"

    @property
    def short(self) -> str:
        """'T3 start', or 'T3 start +2' of three alike."""
        return f"{self.name} +{len(self.ends) - 1}" if len(self.ends) > 1 else self.name

    @property
    def title(self) -> str:
        return self.piece.title if len({piece.title for piece, _ in self.ends}) == 1 else ""

    @property
    def quantity(self) -> str:
        count = sum(piece.quantity for piece, _ in self.ends)
        if len(self.ends) > 1:
            return f"make {count}"
        return f"{count} tubes like this" if count > 1 else ""

    @property
    def box(self) -> Box:
        return template_box(self.wrap)

    def facts(self) -> Iterator[str]:
        part, wrap = self.part, self.wrap
        materials = dict.fromkeys(piece.material for piece, _ in self.ends)
        yield f"{part.section.words(self.units)}, {' or '.join(materials)}"
        yield end_text(self.end, self.units)
        if len(self.ends) > 1:
            more = " (all under Ends alike)" if len(self.ends) > MOST and self.brief else ""
            yield f"alike: {names([self._called(piece, end) for piece, end in self.ends], MOST)}{more}"
        yield f"fit {self.end.fit}"
        yield f"{PRINTED_SIDE}; TOP line common to both ends"
        if wrap.heel:
            yield "heel: the side cut shortest; toe: opposite"
        lengths = sorted({round(own.length, 1) for piece, _ in self.ends if (own := piece.length_part)})
        if len(lengths) == 1:
            yield f"saw length {with_unit(part.length, self.units)} between longest points"
        else:
            each = names([with_unit(length, self.units) for length in lengths])
            yield f"saw lengths {each} between longest points: see the cut list"
        thick = mm_text(wrap.girth.paper, self.units, 2)
        drawn = f", drawn {length_text(wrap.width, self.units)} for {thick} paper" if wrap.girth.paper else ""
        yield f"round the tube {with_unit(wrap.girth.length, self.units)}{drawn}"
        if not part.section.is_round:
            yield f"corners of {mm_text(part.section.corner, self.units)} radius outside{corners_by(part.section)}"
        if wrap.height > min(lengths):
            yield "the paper is longer than the tube: set its lowest point on the saw cut"
        if self.end.line.misses:
            yield "no contact: the tube runs past there and is left at the saw cut"

    def advice(self) -> tuple[str, str]:
        if (saw := self.end.saw) is None:
            return "Saw", ""
        return "Saw", (saw.brief if self.brief else saw.advice).words(self.units)

    def all_ends(self) -> list[str]:
        return [f"{piece.mark} {end.at}" for piece, end in self.ends]

    def _called(self, piece: Piece, end: WorkedEnd) -> str:
        """'T3 start', and what it sits on where that is not what the first sits on."""
        onto = [seat.onto for seat in end.seats]
        if onto == [seat.onto for seat in self.end.seats]:
            return f"{piece.mark} {end.at}"
        return f"{piece.mark} {end.at} on {' and '.join(onto)}"

    def drawing(self, joins: Joins) -> Sketch:
        ways = {end.at for _, end in self.ends}
        other = "other end" if len(ways) > 1 else ""
        return template_sketch(self.piece.mark, self.end, self.wrap, self.units, joins, self.short, other)

    def table(self, width: float) -> Panel:
        return ordinate_table(self.wrap, width, self.units)

    def landmarks(self) -> tuple[Sequence[float], Sequence[float]]:
        return template_landmarks(self.wrap), (0.0, self.wrap.height - 13.0, self.wrap.height)
