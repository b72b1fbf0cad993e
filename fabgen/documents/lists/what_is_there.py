"""What the cut list says of parts that are bought or there already: which they are, and what is drilled into them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.documents.render.flow import Column, Noted, listed, section
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import size_text, stock_text
from fabgen.job.tables.definitions import FAMILIES, Header
from fabgen.parts.piece import Piece, drilled_to_make, holes_to_make, leg_holes_to_make, taken_as_it_is
from fabgen.wording.sentence import mm, sentence

Row = tuple[str, str, str, str]


def what_is_there(header: Header, pieces: Sequence[Piece], width: float) -> Noted:
    """A row a part, and a row a hole to drill; nothing where all is made here."""
    there = taken_as_it_is(pieces)
    if not there:
        return Noted()
    columns = [
        Column("mark", lambda p: p.mark),
        Column("qty", lambda p: str(p.quantity), right=True),
        Column("part", lambda p: p.title or FAMILIES[p.kind].one),
        Column("stock", lambda p: stock_text(p, header.units)),
        Column("size", lambda p: size_text(p, header.units), right=True),
        Column("state", lambda p: p.state),
        Column("note", lambda p: p.note),
    ]
    title = "Bought, or there already"
    story = section(title, listed(there, columns, width))
    drilled = [
        Column("mark", lambda row: row[0]),
        Column("hole", lambda row: row[1]),
        Column("size", lambda row: row[2]),
        Column("where", lambda row: row[3]),
    ]
    work = list(_holes(pieces, header.units))
    if work:
        story += section("Holes to drill in what is there", listed(work, drilled, width))
    return Noted(story, title, prose("cut_list", "as_it_is"))


def _holes(pieces: Sequence[Piece], units: str) -> Iterator[Row]:
    """Of each hole to drill or cut in a part that is bought or there already: the part's mark, which hole, its size
    and its place."""
    for piece, bore in holes_to_make(pieces):
        if piece.as_it_is:
            yield piece.mark, f"for {bore.name}", bore.bore_size.words(units), bore.place.words(units)
    for piece in taken_as_it_is(pieces):
        for hole in drilled_to_make(piece):
            yield piece.mark, hole.name, hole.kind.words(units), hole.place.words(units)
        for each in leg_holes_to_make(piece):
            place = sentence(each.where, ", ", mm(each.along, fixed=True), " from the start's saw cut")
            yield piece.mark, each.name, each.kind.words(units), place.words(units)
