"""cut-list.pdf: parts to saw, to have cut, to fold and to buy, and the findings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from fabgen.checks.finding import Finding, graded, listed_marks, merged
from fabgen.documents.drawing.tables_of_a_part import bend_groups
from fabgen.documents.drawing.tube.bend_table import CUT_LIST_HEADS, cut_list_rows, heading
from fabgen.documents.lists.bars_and_sheets import (
    BAR_HEIGHT,
    bar_picture,
    bill_texts,
    drawn_width,
    sheet_origin,
    sheet_picture,
)
from fabgen.documents.lists.job_map import job_map
from fabgen.documents.lists.shopping_list import priced_total
from fabgen.documents.lists.weld_table import weld_table
from fabgen.documents.render import cautions
from fabgen.documents.render.findings_table import findings_section
from fabgen.documents.render.flow import (
    BODY,
    CELL_BOLD,
    MARGIN,
    SMALL,
    PictureBlock,
    cell,
    flowing_pdf,
    opening,
    section,
    shared,
    table,
)
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.words import (
    counted,
    degrees,
    end_text,
    figure,
    length_text,
    mm_text,
    quantity_text,
    stock_text,
)
from fabgen.job.tables.definitions import FAMILIES, Header
from fabgen.job.tables.part_tables import Family
from fabgen.parts.piece import FlatPart, LengthPart, Piece, to_make
from fabgen.plan.plan import BarPlan, Plan, SheetPlan
from fabgen.wording.inches import INCH
from fabgen.wording.sentence import lengths


def cut_list_pdf(
    header: Header,
    pieces: Sequence[Piece],
    plan: Plan,
    findings: Sequence[Finding],
    dxf_names: dict[str, str],
    paper: Paper,
) -> bytes:
    """The whole document; the same input gives the same bytes."""
    width = paper.width - 2 * MARGIN
    cut = to_make(pieces)
    story: list[Flowable] = [
        *_opening(header, pieces),
        *_stops(findings),
        *job_map(pieces, plan, header.units, width),
        *_findings(findings, width),
        *_made(header, pieces, width),
        *_to_saw(header, cut, width),
        *_tube_bends(header, cut, width),
        *weld_table(pieces, header.units, width),
        *_set_ups(header, cut, width),
        *_flats(header, cut, dxf_names, width),
        *_bends(cut, width),
        *_bars(header, plan, width),
        *_sheets(plan, pieces, header.units, width),
        *_shopping(plan, header.units, width),
        *_cautions(),
    ]
    return flowing_pdf(story, paper, header, "cut list")


def _opening(header: Header, pieces: Sequence[Piece]) -> list[Flowable]:
    mass = sum(piece.mass * piece.quantity for piece in pieces)
    made = sum(piece.quantity for piece in pieces)
    made_of = [(family, sum(p.quantity for p in pieces if p.kind == kind)) for kind, family in FAMILIES.items()]
    already = sum(piece.quantity for piece in pieces if piece.made)
    done = f"; {already} of them made already" if already else ""
    counts = ", ".join(f"{n} {family.many if n != 1 else family.one}" for family, n in made_of if n)
    text = (
        f"{counted(len(pieces), 'mark')}, {counted(made, 'piece')}: {counts}{done}. "
        f"Finished mass of all pieces {figure(mass, 2)} kg, hardware not counted. "
        f"Lengths in mm{' with inches beside them' if header.units == 'in' else ''}; "
        f"general tolerances {header.tolerance} unless a drawing says otherwise."
    )
    drawn_by = f"drawn by {header.drawn_by}" if header.drawn_by else ""
    return opening(header, header.title, text, header.owner, drawn_by)


def _stops(findings: Sequence[Finding]) -> list[Flowable]:
    """Where a check says stop, that stands before everything else."""
    stops = [f for f in findings if f.is_stop]
    marks = listed_marks(list(dict.fromkeys(mark for f in stops for mark in f.marks)))
    text = f"STOP: put right before the first cut: {marks}. See the findings below."
    return [cell(text, CELL_BOLD)] if stops else []


def _findings(findings: Sequence[Finding], width: float) -> list[Flowable]:
    nothing = "The checks found nothing to report."
    return findings_section("Before the first cut", "mark", nothing, graded(merged(findings)), width)


_LENGTH_HEADS = ["mark", "qty", "section, material", "saw length"]


def _lengths(
    header: Header, pieces: Sequence[Piece], set_up: bool
) -> Iterator[tuple[Family, list[tuple[Piece, LengthPart, list[str]]]]]:
    """The families of lengths with or without a set-up, their parts, and what a row of each begins with."""
    for kind, family in FAMILIES.items():
        parts = [(p, p.shape) for p in pieces if p.kind == kind and isinstance(p.shape, LengthPart)]
        if parts and family.set_up == set_up:
            yield family, [(piece, part, _length_row(piece, part, header.units)) for piece, part in parts]


def _length_row(piece: Piece, part: LengthPart, units: str) -> list[str]:
    stock = f"{part.section.listed(units)}\n{piece.material}"
    return [piece.mark, str(piece.quantity), stock, length_text(part.length, units)]


def _to_saw(header: Header, pieces: Sequence[Piece], width: float) -> list[Flowable]:
    heads = [*_LENGTH_HEADS, "start", "finish", "kg each"]
    note = cell(
        "Saw length: longest point to longest point, cut square unless the saw sheets say else; copes come out of "
        "it. Templates: tube-templates.pdf.",
        SMALL,
    )
    story: list[Flowable] = []
    for family, parts in _lengths(header, pieces, set_up=False):
        rows = [[*row, *map(end_text, part.ends), figure(piece.mass, 2)] for piece, part, row in parts]
        ruled = table(heads, rows, shared(width, 16, 10, 28, 30, 41, 41, 14), (1, 3, 6))
        story += section(f"{family.heading} to saw", ruled, note)
    return story


def _made(header: Header, pieces: Sequence[Piece], width: float) -> list[Flowable]:
    """What stands in no list below, as it is made already."""
    made = [piece for piece in pieces if piece.made]
    if not made:
        return []
    rows = [
        [piece.mark, str(piece.quantity), stock_text(piece, header.units), _made_words(piece, header.units)]
        for piece in made
    ]
    ruled = table(["mark", "qty", "stock", "as it was cut"], rows, shared(width, 16, 10, 50, 104), (1,))
    return section("Made already", ruled)


def _made_words(piece: Piece, units: str) -> str:
    return "; ".join(fact.text.words(units) for fact in piece.facts if fact.key == "made-already")


def _tube_bends(header: Header, pieces: Sequence[Piece], width: float) -> list[Flowable]:
    rows = cut_list_rows(pieces, header.units)
    if not rows:
        return []
    note = cell(
        "Mark at: along the length before it is bent, from the start's saw cut. Centre radius: to the centreline. "
        "More: the bend sheet in drawings.pdf.",
        SMALL,
    )
    widths = shared(width, 16, 12, 28, 20, 20, 24, 24, 24)
    return section(heading(pieces), table(CUT_LIST_HEADS, rows, widths, (2, 3, 4, 5, 6, 7)), note)


def _set_ups(header: Header, pieces: Sequence[Piece], width: float) -> list[Flowable]:
    story: list[Flowable] = []
    for family, parts in _lengths(header, pieces, set_up=True):
        rows = [[*row, _set_up(piece, header.units)] for piece, _, row in parts]
        ruled = table([*_LENGTH_HEADS, "set-up"], rows, shared(width, 16, 10, 28, 30, 96), (1, 3))
        # Such a row is tall: its heading must not stay behind on the page before.
        story += section(family.heading, ruled, room=75.0)
    return story


def _set_up(piece: Piece, units: str) -> str:
    part = piece.length_part
    ends = [f"{end.at}: {end.form.said.words(units)}" for end in part.ends if end.form] if part else []
    return "\n".join([*ends, *(f"{fact.label}: {fact.text.words(units)}" for fact in piece.facts)])


def _flat_parts(pieces: Sequence[Piece]) -> list[tuple[Piece, FlatPart]]:
    return [(p, p.shape) for p in pieces if isinstance(p.shape, FlatPart)]


def _flats(header: Header, pieces: Sequence[Piece], dxf_names: dict[str, str], width: float) -> list[Flowable]:
    rows = []
    for piece, part in _flat_parts(pieces):
        x0, y0, x1, y1 = part.outline.bounds
        what = piece.title or piece.kind
        rows.append(
            [
                piece.mark,
                str(piece.quantity),
                f"{what}\n{dxf_names.get(piece.mark, '')}",
                f"{mm_text(part.thickness, header.units, 2)} {piece.material}",
                _flat_size(x1 - x0, y1 - y0, header.units),
                str(len(part.holes)),
                str(len(part.bends)) if part.bends else ("roll" if part.rolled else "-"),
                figure(piece.mass, 2),
            ]
        )
    if not rows:
        return []
    heads = ["mark", "qty", "part, file in flat/", "sheet", "flat size", "holes", "bends", "kg each"]
    return section("Flat parts to cut", table(heads, rows, shared(width, 16, 9, 58, 26, 35, 12, 12, 14), (1, 5, 7)))


def _flat_size(width: float, height: float, units: str) -> str:
    text = f"{figure(width)} x {figure(height)}"
    return f"{text}\n[{figure(width / INCH, 3)} x {figure(height / INCH, 3)} in]" if units == "in" else text


def _bends(pieces: Sequence[Piece], width: float) -> list[Flowable]:
    rows = [
        [
            piece.mark,
            fold.name + (f", {group.count} times" if group.count > 1 else ""),
            f"{'up' if fold.up else 'down'} {degrees(fold.bend.angle)}",
            figure(fold.bend.radius, 2),
            figure(fold.bend.k, 3),
            figure(fold.bend.allowance, 2),
            figure(fold.bend.deduction, 2) if fold.bend.angle < math.pi - 1e-6 else "-",
            figure(fold.bend.setback, 2) if fold.bend.angle < math.pi - 1e-6 else "-",
        ]
        for piece, part in _flat_parts(pieces)
        for group in bend_groups(part.bends)
        for fold in [group.bend]
    ]
    if not rows:
        return []
    heads = ["mark", "bend", "direction, bend angle", "inside radius", "K", "allowance", "deduction", "setback"]
    note = cell(
        "Bend angle: how far the sheet turns from flat. Allowance: length of the neutral line through the bend. "
        "Deduction: what the flat is shorter than the outside sizes added up. Fold a test strip first: tools and "
        "sheet differ.",
        SMALL,
    )
    return section("Bends", table(heads, rows, shared(width, 18, 40, 34, 20, 16, 18, 18, 16), (3, 4, 5, 6, 7)), note)


def _bars(header: Header, plan: Plan, width: float) -> list[Flowable]:
    if not plan.bars:
        return []
    longest = max(bar.stock for bar in plan.bars)
    blocks = [_bar_block(bar, header, width, longest, plan.least_offcut) for bar in plan.bars]
    bills = [cell(text, BODY) for text in bill_texts(plan, header)]
    left = [cell(f"{mark}: {reason.words()}", CELL_BOLD) for mark, reason in plan.unplaced]
    return section("Cutting the bars", *blocks, [*bills, Spacer(0, 1.5 * mm)], *left)


def _bar_block(bar: BarPlan, header: Header, width: float, longest: float, least: float) -> list[Flowable]:
    picture = PictureBlock(bar_picture(bar, width, longest), width, BAR_HEIGHT + 1)
    text = cell(_bar_text(bar, least, header.units), BODY)
    return [text, picture, cell(_cuts_text(bar, header), SMALL), Spacer(0, 2.5 * mm)]


def _bar_text(bar: BarPlan, least: float, units: str) -> str:
    origin = "from the rack" if bar.spare else "usual trade length, assumed" if bar.assumed else "stock length"
    times = f"{bar.count} bars" if bar.count > 1 else "1 bar"
    shared = sum(bool(cut.shared) for cut in bar.cuts)
    name = f"{bar.section.listed(units)}  {bar.material}"
    text = (
        f"{times} of {mm_text(bar.stock, units)} ({origin}), "
        f"kerf {mm_text(bar.kerf, units)} a cut"
        + (f", {mm_text(bar.end_loss, units)} for the clamp" if bar.end_loss else "")
        + (f", {counted(shared, 'cut')} shared by two slanted ends" if shared else "")
        + f"; rest {mm_text(bar.offcut, units, 0)}{' of each' if bar.count > 1 else ''}, "
        + ("to keep" if bar.offcut >= least else "scrap")
    )
    return f"{name}:  {text}"


def _cuts_text(bar: BarPlan, header: Header) -> str:
    counted: dict[tuple[str, float], int] = {}
    for cut in bar.cuts:
        counted[cut.mark, cut.length] = counted.get((cut.mark, cut.length), 0) + 1
    return ",   ".join(
        f"{mark} {length_text(length, header.units)}" + (f" (x{n})" if n > 1 else "")
        for (mark, length), n in counted.items()
    )


def _sheets(plan: Plan, pieces: Sequence[Piece], units: str, width: float) -> list[Flowable]:
    if not plan.sheets:
        return []
    parts = {piece.mark: part for piece, part in _flat_parts(pieces)}
    blocks = [_sheet_block(sheet, parts, units, width) for sheet in plan.sheets]
    return section("Cutting the sheets", *blocks)


def _sheet_block(sheet: SheetPlan, parts: dict[str, FlatPart], units: str, width: float) -> list[Flowable]:
    drawn = drawn_width(sheet, width * (0.8 if sheet.used > 0.15 else 0.5), 80.0)
    height = drawn * sheet.size[1] / sheet.size[0]
    origin = sheet_origin(sheet)
    text = (
        f"{mm_text(sheet.thickness, units, 2)} {sheet.material}, {lengths(sheet.size).words(units)} ({origin}): "
        f"{counted(len(sheet.placed), 'part')}, {figure(100 * sheet.used, 0)} % of the sheet used"
    )
    picture = sheet_picture(sheet, parts, drawn)
    return [cell(text, BODY), PictureBlock(picture, drawn, height + 1), Spacer(0, 4 * mm)]


def _shopping(plan: Plan, units: str, width: float) -> list[Flowable]:
    if not plan.shopping:
        return []
    priced = any(p.price is not None for p in plan.shopping)
    rows = [
        [p.item, p.goods.words(units), quantity_text(p.quantity, p.unit), p.note.words(units)]
        + ([f"{p.price * p.quantity:.2f}" if p.price is not None else ""] if priced else [])
        for p in plan.shopping
    ]
    if priced:
        total, open_lines = priced_total(plan.shopping)
        unpriced = f"{counted(open_lines, 'line')} without a price" if open_lines else ""
        rows.append(["total", "", "", unpriced, f"{total:.2f}"])
    heads = ["item", "what", "quantity", "note", *(["price"] if priced else [])]
    widths = shared(width, 32, 70, 22, 42, *([18] if priced else []))
    return section("Shopping list", table(heads, rows, widths, (2, 4) if priced else (2,)))


def _cautions() -> list[Flowable]:
    texts = [cell(text, SMALL) for text in cautions.GENERAL]
    spaced = [flowable for text in texts for flowable in (text, Spacer(0, 1.5 * mm))]
    return section("Cautions", spaced)
