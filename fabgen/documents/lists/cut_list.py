"""cut-list.pdf: parts to saw, to have cut, to fold and to buy, and the findings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from fabgen.changes.issuing import Issuing
from fabgen.checks.rule import Finding, graded, listed_marks, merged
from fabgen.contact.weld_lines import WeldLine
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
from fabgen.documents.lists.changes_list import changes_section
from fabgen.documents.lists.job_map import NO_BODIES, job_map
from fabgen.documents.lists.shopping_list import priced_total
from fabgen.documents.lists.spacers_list import spacers_to_saw
from fabgen.documents.lists.weld_table import profile_weld_table, sheet_weld_table, weld_table
from fabgen.documents.lists.what_is_there import what_is_there
from fabgen.documents.render import cautions
from fabgen.documents.render.findings_table import findings_section
from fabgen.documents.render.flow import (
    BODY,
    CELL_BOLD,
    MARGIN,
    SMALL,
    Column,
    PictureBlock,
    cell,
    flowing_pdf,
    listed,
    opening,
    section,
    shared,
    table,
)
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import (
    counted,
    degrees,
    end_text,
    figure,
    flat_size,
    length_text,
    mm_text,
    quantity_text,
    stock_text,
    thickness_text,
)
from fabgen.geometry.sheet.folds import Bend
from fabgen.job.tables.definitions import FAMILIES, Header
from fabgen.job.tables.part_tables import Family
from fabgen.parts.piece import FlatBend, FlatPart, LengthPart, Piece, ProfilePart, made_here, to_make
from fabgen.parts.shape.alike import alike_cuts
from fabgen.parts.shape.over_all import over_all
from fabgen.plan.plan import BarPlan, Plan, SheetPlan
from fabgen.wording.inches import inch_text
from fabgen.wording.levels import Level
from fabgen.wording.sentence import as_made, lengths, sentence


def cut_list_pdf(
    header: Header,
    pieces: Sequence[Piece],
    plan: Plan,
    findings: Sequence[Finding],
    dxf_names: dict[str, str],
    paper: Paper,
    issue: Issuing | None = None,
    welds: Sequence[WeldLine] = (),
    bodies: Mapping[str, str] = NO_BODIES,
) -> bytes:
    """The whole document; the same input gives the same bytes.

    `issue`: what has changed since earlier papers, where that is known; `welds`: those that could run along sheet;
    `bodies`: the body that moves on which a part rides, by its mark.
    """
    width = paper.width - 2 * MARGIN
    cut = to_make(pieces)
    story: list[Flowable] = [
        *_opening(header, pieces),
        *_stops(findings),
        *(changes_section(header, issue, width) if issue is not None else []),
        *job_map(pieces, plan, header.units, width, bodies, _early(findings), _first(findings)),
        *_findings(findings, width),
        *_made(header, pieces, width),
        *what_is_there(header, pieces, width),
        *_to_saw(header, cut, width),
        *spacers_to_saw(plan.bolts, header.units, width),
        *_tube_bends(header, cut, width),
        *weld_table(pieces, header.units, width),
        *profile_weld_table(pieces, header.units, width),
        *sheet_weld_table(welds, header.units, width),
        *_set_ups(header, cut, width),
        *_flats(header, cut, dxf_names, width),
        *_bends(header, cut, width),
        *_bars(header, plan, width),
        *_sheets(plan, pieces, header.units, width),
        *_shopping(plan, header.units, width),
        *_cautions(),
    ]
    return flowing_pdf(story, paper, header, "cut list")


def _early(findings: Sequence[Finding]) -> set[str]:
    """Names of bolts that cannot be put in once all stands."""
    shut = [each for each in findings if each.rule == "bolt-way-in" and each.level is Level.WARN]
    return {name for each in shut for name in each.marks}


def _first(findings: Sequence[Finding]) -> list[str]:
    """Marks of tubes that are welded before what would be in a torch's way goes on."""
    marks = (mark for each in findings if each.rule == "weld-first" and each.level is Level.NOTE for mark in each.marks)
    return list(dict.fromkeys(marks))


def _opening(header: Header, pieces: Sequence[Piece]) -> list[Flowable]:
    own = made_here(pieces)
    mass = sum(piece.mass * piece.quantity for piece in own)
    made = sum(piece.quantity for piece in own)
    made_of = [(family, sum(p.quantity for p in own if p.kind == kind)) for kind, family in FAMILIES.items()]
    others = counted(len(pieces) - len(own), "mark")
    besides = f"; besides these {others} bought or there already" if len(own) < len(pieces) else ""
    already = sum(piece.quantity for piece in pieces if piece.state == "made")
    done = f"; {already} of them made already" if already else ""
    counts = ", ".join(f"{n} {family.many if n != 1 else family.one}" for family, n in made_of if n)
    text = (
        f"{counted(len(own), 'mark')}, {counted(made, 'piece')}: {counts}{done}{besides}. "
        f"Finished mass of all pieces{' made here' if besides else ''} {figure(mass, 2)} kg, hardware not counted. "
        f"{_over_all(pieces, header.units)}"
        f"Lengths in {'inches, of what is metric in mm' if header.units == 'in' else 'mm'}; "
        f"general tolerances {header.tolerance}, once welded ISO 13920-{header.weld_tolerance}, unless a drawing says "
        "otherwise."
    )
    drawn_by = f"drawn by {header.drawn_by}" if header.drawn_by else ""
    return opening(header, header.title, text, header.owner, drawn_by)


def _over_all(pieces: Sequence[Piece], units: str) -> str:
    """Sizes of the frames outside to outside, so that nobody is surprised by half a tube."""
    frames = over_all(pieces)
    if not frames:
        return ""
    several = len(frames) > 1
    sizes = "; ".join(sentence(_named(f.marks) if several else "", lengths(f.size)).words(units) for f in frames)
    whose = "Frames measure" if several else "The frame measures"
    return f"{whose} over all, along x, y and z, outside to outside as cut: {sizes}. "


def _named(marks: Sequence[str]) -> str:
    return f"{marks[0]} to {marks[-1]} " if len(marks) > 1 else f"{marks[0]} "


def _stops(findings: Sequence[Finding]) -> list[Flowable]:
    """Where a check says stop, that stands before everything else."""
    stops = [f for f in findings if f.is_stop]
    marks = listed_marks(list(dict.fromkeys(mark for f in stops for mark in f.marks)))
    text = f"STOP: put right before the first cut: {marks}. See the findings below."
    return [cell(text, CELL_BOLD)] if stops else []


def _findings(findings: Sequence[Finding], width: float) -> list[Flowable]:
    nothing = "The checks found nothing to report."
    return findings_section("Before the first cut", "mark", nothing, graded(merged(findings)), width)


def _lengths(pieces: Sequence[Piece], set_up: bool) -> Iterator[tuple[Family, list[Piece]]]:
    """The families of lengths with or without a set-up, and their parts."""
    for kind, family in FAMILIES.items():
        parts = [p for p in pieces if p.kind == kind and isinstance(p.shape, LengthPart | ProfilePart)]
        if parts and family.set_up == set_up:
            yield family, parts


def _length_columns(units: str) -> list[Column]:
    more = 8 if units == "in" else 0  # sizes in fractions are long
    return [
        Column("mark", 16, lambda p: p.mark),
        Column("qty", 10, lambda p: str(p.quantity), right=True),
        Column("section, material", 28 + more, lambda p: f"{p.shape.section.words(units)}\n{p.material}"),
        Column("saw length", 30 - more, lambda p: length_text(p.shape.length, units), right=True),
    ]


Row = Sequence[tuple[Piece, bool]]
"""Pieces that are cut alike, each with whether it lies the other way round."""


def _row_columns(units: str) -> list[Column]:
    def of_first(column: Column) -> Column:
        return replace(column, text=lambda row: column.text(row[0][0]))

    mark, count, *others = _length_columns(units)
    return [
        replace(mark, text=lambda row: "\n".join(f"{p.mark}{' *' if turned else ''}" for p, turned in row)),
        replace(count, text=lambda row: str(sum(piece.quantity for piece, _ in row))),
        *map(of_first, others),
    ]


def _row_ends(row: Row, number: int, units: str) -> str:
    """How the pieces of a row are cut at one end; piece by piece where they sit on other tubes."""
    texts = []
    for piece, turned in row:
        assert isinstance(piece.shape, LengthPart | ProfilePart)
        texts.append(end_text(piece.shape.ends[1 - number if turned else number], units))
    if len(set(texts)) == 1:
        return texts[0]
    return "\n".join(f"{piece.mark}: {text}" for (piece, _), text in zip(row, texts, strict=True))


def _to_saw(header: Header, pieces: Sequence[Piece], width: float) -> list[Flowable]:
    columns = [
        *_row_columns(header.units),
        Column("start", 41, lambda row: _row_ends(row, 0, header.units)),
        Column("finish", 41, lambda row: _row_ends(row, 1, header.units)),
        Column("kg each", 14, lambda row: figure(row[0][0].mass, 2), right=True),
    ]
    story: list[Flowable] = []
    for family, parts in _lengths(pieces, set_up=False):
        rows = alike_cuts(parts)
        turned = f" {prose('cut_list', 'turned')}" if any(turned for row in rows for _, turned in row) else ""
        note = cell(f"{prose('cut_list', 'saw_length')}{turned}{_shrinkage(header)}", SMALL)
        story += section(f"{family.heading} to saw", listed(rows, columns, width), note)
    return story


def _shrinkage(header: Header) -> str:
    """What of the saw lengths is for the shrinkage of welds; '' where the job gives nothing."""
    if not header.shrinkage:
        return ""
    each = mm_text(header.shrinkage, header.units, 2)
    return f" Shrinkage: {each} for each welded joint is in the saw lengths of tubes, {prose('cut_list', 'shrinkage')}"


def _made(header: Header, pieces: Sequence[Piece], width: float) -> list[Flowable]:
    """What stands in no list below, as it is made already."""
    made = [piece for piece in pieces if piece.state == "made"]
    columns = [
        Column("mark", 16, lambda p: p.mark),
        Column("qty", 10, lambda p: str(p.quantity), right=True),
        Column("stock", 50, lambda p: stock_text(p, header.units)),
        Column("as it was cut", 104, lambda p: _made_words(p, header.units)),
    ]
    return section("Made already", listed(made, columns, width)) if made else []


def _made_words(piece: Piece, units: str) -> str:
    return "; ".join(fact.text.words(units) for fact in piece.facts if fact.key == "made-already")


def _tube_bends(header: Header, pieces: Sequence[Piece], width: float) -> list[Flowable]:
    rows = cut_list_rows(pieces, header.units)
    if not rows:
        return []
    note = cell(prose("cut_list", "bends_of_tubes"), SMALL)
    widths = shared(width, 16, 12, 28, 20, 20, 24, 24, 24)
    return section(heading(pieces), table(CUT_LIST_HEADS, rows, widths, (2, 3, 4, 5, 6, 7)), note)


def _set_ups(header: Header, pieces: Sequence[Piece], width: float) -> list[Flowable]:
    columns = [*_length_columns(header.units), Column("set-up", 96, lambda p: _set_up(p, header.units))]
    story: list[Flowable] = []
    for family, parts in _lengths(pieces, set_up=True):
        # Such a row is tall: its heading must not stay behind on the page before.
        story += section(family.heading, listed(parts, columns, width), room=75.0)
    return story


def _set_up(piece: Piece, units: str) -> str:
    part = piece.length_part
    ends = [f"{end.at}: {end.form.said.words(units)}" for end in part.ends if end.form] if part else []
    return "\n".join([*ends, *(f"{fact.label}: {fact.text.words(units)}" for fact in piece.facts)])


def _flat_parts(pieces: Sequence[Piece]) -> list[tuple[Piece, FlatPart]]:
    return [(p, p.shape) for p in pieces if isinstance(p.shape, FlatPart)]


def _flats(header: Header, pieces: Sequence[Piece], dxf_names: dict[str, str], width: float) -> list[Flowable]:
    def columns(*stock_and_size: Column) -> list[Column]:
        return [
            Column("mark", 16, lambda p: p.mark),
            Column("qty", 9, lambda p: str(p.quantity), right=True),
            Column("part, file in flat/", 58, lambda p: f"{p.title or p.kind}\n{dxf_names.get(p.mark, '')}"),
            *stock_and_size,
            Column("holes", 12, lambda p: str(len(p.shape.holes)), right=True),
            Column("bends", 12, lambda p: _bend_count(p.shape)),
            Column("kg each", 14, lambda p: figure(p.mass, 2), right=True),
        ]

    sheet = Column("sheet", 26, lambda p: f"{thickness_text(p.shape.thickness, header.units)} {p.material}")
    size = Column("flat size", 35, lambda p: flat_size(p.shape, header.units))
    bar = Column("flat bar, material", 33, lambda p: f"{p.shape.bar.words(header.units)}\n{p.material}")
    long = Column("saw length", 28, lambda p: length_text(p.shape.size[0], header.units), right=True)
    cut = [piece for piece in pieces if piece.sheet_part is not None]
    sawn = [piece for piece, part in _flat_parts(pieces) if part.bar is not None]
    story = section("Flat parts to cut", listed(cut, columns(sheet, size), width)) if cut else []
    return story + (section("Flat bar to saw", listed(sawn, columns(bar, long), width)) if sawn else [])


def _bend_count(part: FlatPart) -> str:
    return str(len(part.bends)) if part.bends else "roll" if part.rolled else "-"


def _bends(header: Header, pieces: Sequence[Piece], width: float) -> list[Flowable]:
    def sized(size: float) -> str:
        return inch_text(size) if header.units == "in" else figure(size, 2)

    def way(fold: FlatBend) -> str:
        return f"{'up' if fold.up else 'down'} {degrees(fold.bend.angle)}"

    def angled(bend: Bend, size: float) -> str:
        return sized(size) if bend.angle < math.pi - 1e-6 else "-"

    columns = [
        Column("mark", 18, lambda row: row[0].mark),
        Column("bend", 40, lambda row: row[1].name + (f", {row[2].count} times" if row[2].count > 1 else "")),
        Column("direction, bend angle", 34, lambda row: way(row[1])),
        Column("inside radius", 20, lambda row: sized(row[1].bend.radius), right=True),
        Column("K", 16, lambda row: figure(row[1].bend.k, 3), right=True),
        Column("allowance", 18, lambda row: sized(row[1].bend.allowance), right=True),
        Column("deduction", 18, lambda row: angled(row[1].bend, row[1].bend.deduction), right=True),
        Column("setback", 16, lambda row: angled(row[1].bend, row[1].bend.setback), right=True),
    ]
    rows = [(piece, group.bend, group) for piece, part in _flat_parts(pieces) for group in bend_groups(part.bends)]
    note = cell(prose("cut_list", "bends"), SMALL)
    return section("Bends", listed(rows, columns, width), note) if rows else []


def _bars(header: Header, plan: Plan, width: float) -> list[Flowable]:
    if not plan.bars:
        return []
    longest = max(bar.stock for bar in plan.bars)
    blocks = [_bar_block(bar, header, width, longest, plan.least_offcut) for bar in plan.bars]
    bills = [cell(text, BODY) for text in bill_texts(plan, header)]
    left = [cell(f"{mark}: {reason.words(header.units)}", CELL_BOLD) for mark, reason in plan.unplaced]
    return section("Cutting the bars", *blocks, [*bills, Spacer(0, 1.5 * mm)], *left)


def _bar_block(bar: BarPlan, header: Header, width: float, longest: float, least: float) -> list[Flowable]:
    picture = PictureBlock(bar_picture(bar, width, longest, header.units), width, BAR_HEIGHT + 1)
    text = cell(_bar_text(bar, least, header.units), BODY)
    return [text, picture, cell(_cuts_text(bar, header), SMALL), Spacer(0, 2.5 * mm)]


def _bar_text(bar: BarPlan, least: float, units: str) -> str:
    origin = "from the rack" if bar.spare else "usual trade length, assumed" if bar.assumed else "stock length"
    times = f"{bar.count} bars" if bar.count > 1 else "1 bar"
    shared = sum(bool(cut.shared) for cut in bar.cuts)
    name = f"{bar.section.words(units)}  {bar.material}"
    of_each = " of each" if bar.count > 1 else ""
    kept = "to keep" if bar.offcut >= least else "scrap"
    text = (
        f"{times} of {as_made(bar.stock, decimals=1).words(units)} ({origin}), "
        f"kerf {mm_text(bar.kerf, units)} a cut"
        + (f", {mm_text(bar.end_loss, units)} for the clamp" if bar.end_loss else "")
        + (f", {counted(shared, 'cut')} shared by two slanted ends" if shared else "")
        + ("; no rest" if bar.is_full else f"; rest {mm_text(bar.offcut, units, 0)}{of_each}, {kept}")
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
    size = as_made(*sheet.size, decimals=1).words(units)
    text = (
        f"{thickness_text(sheet.thickness, units)} {sheet.material}, {size} ({origin}): "
        f"{counted(len(sheet.placed), 'part')}, {figure(100 * sheet.used, 0)} % of the sheet used"
    )
    picture = sheet_picture(sheet, parts, drawn)
    return [cell(text, BODY), PictureBlock(picture, drawn, height + 1), Spacer(0, 4 * mm)]


def _shopping(plan: Plan, units: str, width: float) -> list[Flowable]:
    if not plan.shopping:
        return []
    columns = [
        Column("item", 32, lambda p: p.item),
        Column("what", 70, lambda p: p.goods.words(units)),
        Column("quantity", 22, lambda p: quantity_text(p.quantity, p.unit), right=True),
        Column("note", 42, lambda p: p.note.words(units)),
    ]
    if all(p.price is None for p in plan.shopping):
        return section("Shopping list", listed(plan.shopping, columns, width))
    price = Column("price", 18, lambda p: f"{p.price * p.quantity:.2f}" if p.price is not None else "", right=True)
    total, open_lines = priced_total(plan.shopping)
    unpriced = f"{counted(open_lines, 'line')} without a price" if open_lines else ""
    last = ["total", "", "", unpriced, f"{total:.2f}"]
    return section("Shopping list", listed(plan.shopping, [*columns, price], width, last))


def _cautions() -> list[Flowable]:
    texts = [cell(text, SMALL) for text in cautions.GENERAL]
    spaced = [flowable for text in texts for flowable in (text, Spacer(0, 1.5 * mm))]
    return section("Cautions", spaced)
