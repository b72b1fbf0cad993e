"""The lists as CSV: one row a mark, one row a purchase."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence

from fabgen.documents.render.words import end_text, figure
from fabgen.parts.piece import FlatPart, Piece
from fabgen.plan.plan import Plan
from fabgen.wording.inches import INCH


def cut_list_csv(pieces: Sequence[Piece], dxf_names: Mapping[str, str], units: str) -> str:
    """One row a mark, sizes in the job's unit, which the heads of their columns name.

    Args:
        pieces: to cut.
        dxf_names: the flat's file of a mark.
        units: 'mm' or 'in'.
    """
    heads = (
        "mark", "kind", "quantity", "material", "section", f"length_{units}", "start", "finish", f"thickness_{units}",
        f"width_{units}", f"height_{units}", "bends", "dxf", "mass_kg", "note",
    )  # fmt: skip
    return csv_text([heads, *(_row(piece, dxf_names, units) for piece in pieces)])


def _row(piece: Piece, dxf_names: Mapping[str, str], units: str) -> list[str]:
    head = [piece.mark, piece.kind, str(piece.quantity), piece.material]
    tail = [figure(piece.mass, 3), piece.note]
    if isinstance(piece.shape, FlatPart):
        sizes = [_size(size, units, 2) for size in (piece.shape.thickness, *piece.shape.size)]
        bar = piece.shape.bar
        sawn = ["", ""] if bar is None else [bar.words(units), _size(piece.shape.size[0], units, 1)]
        return [*head, *sawn, "", "", *sizes, str(len(piece.shape.bends)), dxf_names.get(piece.mark, ""), *tail]
    ends = [end_text(end, units) for end in piece.shape.ends]
    section, length = piece.shape.section.words(units), _size(piece.shape.length, units, 1)
    return [*head, section, length, *ends, "", "", "", "", "", *tail]


def _size(size: float, units: str, places: int) -> str:
    """A size in the job's unit, in inches with two places more than in mm."""
    return figure(size / INCH, places + 2) if units == "in" else figure(size, places)


def shopping_csv(plan: Plan, units: str) -> str:
    """One row a purchase, in the order of the plan; the price column is empty where the job gives none.

    In an inch job `spec` is in inches too, and the last column names the goods in mm, as [[price]] and the rack do.

    Args:
        plan: of the job.
        units: 'mm' or 'in'.
    """
    inches = units == "in"
    rows = [["item", "spec", "quantity", "unit", "price_each", "note", *(["spec_mm"] if inches else [])]]
    for p in plan.shopping:
        price = "" if p.price is None else f"{p.price:.2f}"
        row = [p.item, p.goods.words(units), figure(p.quantity, 2), p.unit, price, p.note.words(units)]
        rows.append([*row, *([p.spec] if inches else [])])
    return csv_text(rows)


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows as comma separated values (RFC 4180); no cell that a spreadsheet would take for a formula."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")  # RFC 4180
    writer.writerows([[_plain(cell) for cell in row] for row in rows])
    return text.getvalue()


def _plain(cell: str) -> str:
    """Text a spreadsheet will not take for a formula."""
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@") and not _is_number(cell) else cell


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
