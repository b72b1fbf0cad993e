"""The lists as CSV: one row a mark, one row a purchase."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from fabgen.documents.render.words import end_text, figure
from fabgen.parts.piece import FlatPart, Piece
from fabgen.plan.plan import Plan

CUT_LIST_COLUMNS = (
    "mark", "kind", "quantity", "material", "section", "length_mm", "start", "finish", "thickness_mm", "width_mm",
    "height_mm", "bends", "dxf", "mass_kg", "note",
)  # fmt: skip


def cut_list_csv(pieces: Sequence[Piece], dxf_names: dict[str, str]) -> str:
    """One row a mark; `dxf_names` gives the flat's file of a mark."""
    return csv_text([CUT_LIST_COLUMNS, *(_row(piece, dxf_names) for piece in pieces)])


def _row(piece: Piece, dxf_names: dict[str, str]) -> list[str]:
    head = [piece.mark, piece.kind, str(piece.quantity), piece.material]
    tail = [figure(piece.mass, 3), piece.note]
    if isinstance(piece.shape, FlatPart):
        sizes = [figure(size, 2) for size in (piece.shape.thickness, *piece.shape.size)]
        bar = piece.shape.bar
        sawn = ["", ""] if bar is None else [str(bar), figure(piece.shape.size[0], 1)]
        return [*head, *sawn, "", "", *sizes, str(len(piece.shape.bends)), dxf_names.get(piece.mark, ""), *tail]
    ends = [end_text(end) for end in piece.shape.ends]
    return [*head, str(piece.shape.section), figure(piece.shape.length, 1), *ends, "", "", "", "", "", *tail]


def shopping_csv(plan: Plan, units: str) -> str:
    """One row a purchase, in the order of the plan; the price column is empty where the job gives none."""
    rows = [["item", "spec", "quantity", "unit", "price_each", "note"]]
    for p in plan.shopping:
        price = "" if p.price is None else f"{p.price:.2f}"
        rows.append([p.item, p.spec, figure(p.quantity, 2), p.unit, price, p.note.words(units)])
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
