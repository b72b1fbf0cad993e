"""One part on the page: what it is."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fabgen.documents.drawing.assembly.weld_symbol import weld_words
from fabgen.documents.render import cautions
from fabgen.documents.render.words import degrees, end_text, size_text, stock_text, with_unit
from fabgen.job.tables.definitions import FAMILIES
from fabgen.job.tables.part_tables import COATED
from fabgen.parts.piece import FlatPart, LengthPart, Piece
from fabgen.wording.figures import Figures
from fabgen.wording.sentence import kilograms


def anchor(mark: str) -> str:
    """The part's place in the page, for links from other documents too: page.html#part-T7."""
    return f"part-{quote(mark, safe='')}"


@dataclass(frozen=True)
class PartSheet:
    """What the page says of one part; `caution` '' where it needs none."""

    piece: Piece
    facts: list[tuple[str, str]]
    caution: str


def part_sheet(piece: Piece, units: str) -> PartSheet:
    """The part's own words.

    Args:
        piece: the part.
        units: of the job.
    """
    caution = cautions.of_part(piece) if FAMILIES[piece.kind].cautioned else ""
    return PartSheet(piece, _facts(piece, units), caution)


def _facts(piece: Piece, units: str) -> list[tuple[str, str]]:
    shape = piece.shape
    rows: list[tuple[str, str]] = [("stock", stock_text(piece, units)), ("quantity", str(piece.quantity))]
    if isinstance(shape, FlatPart):
        rows.append(("flat, width x height", size_text(piece, units) + ("" if units == "in" else " mm")))
        if shape.holes:
            rows.append(("holes and openings", str(len(shape.holes))))
        rows += [(what, with_unit(size, units)) for what, size in shape.sizes]
    else:
        rows.append(("length to saw", with_unit(shape.length, units)))
        rows += [(end.at, end_text(end, units)) for end in shape.ends]
        rows += [
            (
                f"bend {i}",
                f"{degrees(bend.angle)}, centreline radius {with_unit(bend.radius, units)}, "
                f"mark at {with_unit(bend.mark, units)}",
            )
            for i, bend in enumerate(shape.bends if isinstance(shape, LengthPart) else (), 1)
        ]
    rows.append(("mass, each, as sawn" if piece.is_assembly else "mass, each", kilograms(piece.mass).words()))
    if finish := piece.finish or COATED.get(piece.coating):
        rows.append(("finish", finish))
    known = {label for label, _ in rows}
    rows += [(fact.label, fact.text.words(units)) for fact in piece.facts if fact.label not in known]
    rows += [
        ("to buy", f"{each.quantity} {each.item} {each.goods.words(units)} {each.note.words(units)}".rstrip())
        for each in piece.hardware
    ]
    figures = Figures(units == "in")
    rows += [(f"weld on {', '.join(weld.parts[1:])}", weld_words(weld, figures)) for weld in piece.welds]
    if piece.note:
        rows.append(("note", piece.note))
    return rows
