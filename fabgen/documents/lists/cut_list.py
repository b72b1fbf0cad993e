"""cut-list.pdf: parts to saw, to have cut, to fold and to buy, and the findings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from fabgen.changes.issuing import Issuing
from fabgen.changes.trial import Trial
from fabgen.checks.rule import Finding, graded, listed_marks, merged
from fabgen.contact.weld_lines import WeldLine
from fabgen.documents.drawing.tables_of_a_part import bend_groups
from fabgen.documents.drawing.tube.bend_table import CUT_LIST_HEADS, cut_list_rows, heading
from fabgen.documents.lists.bolts_list import bolts_by_stack
from fabgen.documents.lists.changes_list import changes_section, trial_section
from fabgen.documents.lists.consumables_list import consumables_as_calculated
from fabgen.documents.lists.job_map import NO_BODIES, job_map, mark_ranges
from fabgen.documents.lists.rack_list import from_the_rack
from fabgen.documents.lists.spacers_list import spacers_to_saw
from fabgen.documents.lists.weld_table import profile_weld_table, sheet_weld_table, weld_table
from fabgen.documents.lists.what_is_there import what_is_there
from fabgen.documents.render import cautions
from fabgen.documents.render.findings_table import findings_section
from fabgen.documents.render.flow import (
    CELL_BOLD,
    MARGIN,
    SMALL,
    Across,
    Column,
    Noted,
    back_sheet,
    cell,
    flowing_pdf,
    listed,
    opening,
    section,
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
    stock_text,
    thickness_text,
)
from fabgen.geometry.sheet.folds import Bend
from fabgen.job.tables.definitions import FAMILIES, Header
from fabgen.job.tables.part_tables import Family
from fabgen.parts.piece import FlatBend, FlatPart, LengthPart, Piece, ProfilePart, made_here, to_make
from fabgen.parts.shape.alike import alike_cuts
from fabgen.parts.shape.over_all import over_all
from fabgen.plan.mass_and_centre import mass_and_centre
from fabgen.plan.plan import Plan
from fabgen.wording.inches import inch_text
from fabgen.wording.levels import Level
from fabgen.wording.sentence import lengths, sentence


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
    trial: Trial | None = None,
) -> bytes:
    """The whole document; the same input gives the same bytes.

    `issue`: what has changed since earlier papers, where that is known; `welds`: those that could run along sheet;
    `bodies`: the body that moves on which a part rides, by its mark; `trial`: what the papers are made with in place
    of what the job file says.
    """
    width = paper.width - 2 * MARGIN
    units, cut = header.units, to_make(pieces)
    sections = [
        *_to_saw(header, cut, width),
        spacers_to_saw(plan.bolts, units, width),
        _flats(header, cut, dxf_names, width),
        job_map(pieces, plan, units, width, bodies, _early(findings), _first(findings)),
        Noted(_findings(findings, width)),
        Noted(_made(header, pieces, width)),
        what_is_there(header, pieces, width),
        _set_ups(header, cut, width),
        _tube_bends(header, cut, width),
        _bends(header, cut, width),
        weld_table(pieces, units, width),
        profile_weld_table(pieces, units, width),
        sheet_weld_table(welds, units, width),
        from_the_rack(plan, units, width),
        bolts_by_stack(plan.bolts, units, width),
        consumables_as_calculated(plan, units, width),
    ]
    story: list[Flowable] = [
        *_opening(header, pieces),
        *(trial_section(header, trial, width) if trial is not None else []),
        *_stops(findings),
        *[cell(f"{mark}: {reason.words(units)}", CELL_BOLD) for mark, reason in plan.unplaced],
        *(changes_section(header, issue, width) if issue is not None else []),
        *[flowable for each in sections for flowable in each.blocks],
        *_cautions(),
        *back_sheet(sections),
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
        f"Finished mass of all pieces{' made here' if besides else ''} {figure(mass, 2)} kg, hardware, weld metal and "
        f"paint not counted. {_centre(pieces, header.units)}{_over_all(pieces, header.units)}"
        f"Lengths in {'inches, of what is metric in mm' if header.units == 'in' else 'mm'}; "
        f"general tolerances {header.tolerance}, once welded ISO 13920-{header.weld_tolerance}, unless a drawing says "
        "otherwise."
    )
    drawn_by = f"drawn by {header.drawn_by}" if header.drawn_by else ""
    return opening(header, header.title, text, header.owner, drawn_by)


def _centre(pieces: Sequence[Piece], units: str) -> str:
    """Where the centre of gravity lies of what has a place, and what has none; '' where nothing has."""
    found = mass_and_centre(pieces)
    if found.centre is None:
        return ""
    x, y, z = (length_text(value, units) for value in found.centre)
    without = ", ".join(f"{mark} ×{count}" if count > 1 else mark for mark, count in found.unplaced)
    text = f"Centre of gravity of the {figure(found.placed_mass, 2)} kg that have a place: x {x}, y {y}, z {z}"
    return f"{text}{f', without {without}' if without else ''}. "


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


Length = LengthPart | ProfilePart


def _lengths(pieces: Sequence[Piece]) -> Iterator[tuple[Family, list[tuple[Piece, Length]]]]:
    """The families of lengths, and their parts."""
    for kind, family in FAMILIES.items():
        parts = [(p, p.shape) for p in pieces if p.kind == kind and isinstance(p.shape, LengthPart | ProfilePart)]
        if parts:
            yield family, parts


def _is_slanted(part: Length) -> bool:
    """Whether the saw stands at an angle for an end of it."""
    if isinstance(part, ProfilePart):
        return any(end.stand is not None for end in part.ends)
    saws = [end.saw for end in part.ends if end.saw is not None]
    return any(saw.method == "straight saw cut" and saw.from_square_deg > 0.0 for saw in saws)


@dataclass(frozen=True)
class _SawRow:
    """Pieces that are sawn alike and of whose ends the same is said."""

    pieces: tuple[Piece, ...]
    part: Length
    ends: tuple[str, str]

    @property
    def stock(self) -> tuple[str, str]:
        return str(self.part.section), self.pieces[0].material


def _saw_rows(parts: Sequence[tuple[Piece, Length]], units: str) -> list[_SawRow]:
    """A row for all that is one and the same piece, by section; in the order in which the sections first come."""
    shapes = {piece.mark: part for piece, part in parts}
    found: list[_SawRow] = []
    for group in alike_cuts([piece for piece, _ in parts]):
        said: dict[tuple[str, str], list[Piece]] = {}
        for piece, _ in group:
            start, finish = (end_text(end, units) for end in shapes[piece.mark].ends)
            said.setdefault((start, finish), []).append(piece)
        found += [_SawRow(tuple(own), shapes[own[0].mark], ends) for ends, own in said.items()]
    places = {row.stock: i for i, row in reversed(list(enumerate(found)))}
    return sorted(found, key=lambda row: places[row.stock])


def _to_saw(header: Header, pieces: Sequence[Piece], width: float) -> list[Noted]:
    """What to saw, square cuts and slanted ones apart."""
    units, found = header.units, []
    for family, parts in _lengths(pieces):
        slanted = [each for each in parts if _is_slanted(each[1])]
        square = [each for each in parts if not _is_slanted(each[1])]
        for own, how in ((square, "square"), (slanted, "mitred or at a slant")):
            if own:
                found.append(Noted(_saw_table(f"{family.heading} to saw, {how}", _saw_rows(own, units), units, width)))
    if found:
        note = f"{prose('cut_list', 'saw_length')}{_shrinkage(header)}"
        found[0] = replace(found[0], about="To saw", note=note)
    bars = [(piece, part.bar) for piece, part in _flat_parts(pieces) if part.bar is not None]
    columns = [
        Column("mark", lambda each: each[0].mark),
        Column("qty", lambda each: str(each[0].quantity), right=True),
        Column("saw length", lambda each: length_text(each[0].shape.size[0], units), right=True, bold=True),
        Column("flat bar", lambda each: f"{each[1].words(units)} {each[0].material}"),
        Column("part", lambda each: each[0].title or each[0].kind),
        Column("holes", lambda each: str(len(each[0].shape.holes)), right=True),
        Column("bends", lambda each: _bend_count(each[0].shape)),
        Column("kg each", lambda each: figure(each[0].mass, 2), right=True),
    ]
    return found + ([Noted(section("Flat bar to saw", listed(bars, columns, width)))] if bars else [])


def _saw_table(title: str, rows: Sequence[_SawRow], units: str, width: float) -> list[Flowable]:
    columns = [
        Column("mark", lambda row: mark_ranges(row.pieces)),
        Column("qty", lambda row: str(sum(piece.quantity for piece in row.pieces)), right=True),
        Column("saw length", lambda row: length_text(row.part.length, units), right=True, bold=True),
        Column("start", lambda row: row.ends[0]),
        Column("finish", lambda row: row.ends[1]),
        Column("kg each", lambda row: figure(row.pieces[0].mass, 2), right=True),
    ]
    items: list[_SawRow | Across] = []
    before = None
    for row in rows:
        if row.stock != before:
            items.append(Across.of(f"{row.part.section.words(units)}  {row.stock[1]}"))
        items.append(row)
        before = row.stock
    return section(title, listed(items, columns, width))


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
        Column("mark", lambda p: p.mark),
        Column("qty", lambda p: str(p.quantity), right=True),
        Column("stock", lambda p: stock_text(p, header.units)),
        Column("as it was cut", lambda p: _made_words(p, header.units)),
    ]
    return section("Made already", listed(made, columns, width)) if made else []


def _made_words(piece: Piece, units: str) -> str:
    return "; ".join(fact.text.words(units) for fact in piece.facts if fact.key == "made-already")


def _tube_bends(header: Header, pieces: Sequence[Piece], width: float) -> Noted:
    rows = cut_list_rows(pieces, header.units)
    if not rows:
        return Noted()
    title = heading(pieces)
    story = section(title, table(CUT_LIST_HEADS, rows, width, (2, 3, 4, 5, 6, 7)))
    return Noted(story, title, prose("cut_list", "bends_of_tubes"))


def _set_ups(header: Header, pieces: Sequence[Piece], width: float) -> Noted:
    """What is to be known of link rods and bent bars besides their lengths, once for those of which the same is
    said."""
    said: dict[tuple[Family, str], list[Piece]] = {}
    for family, parts in _lengths(pieces):
        for piece, _ in parts if family.set_up else ():
            said.setdefault((family, _set_up(piece, header.units)), []).append(piece)
    story: list[Flowable] = []
    for family in dict.fromkeys(family for family, _ in said):
        rows = [[mark_ranges(own), text] for (each, text), own in said.items() if each is family]
        story += section(family.heading, table(["mark", "set-up"], rows, width))
    return Noted(story)


def _set_up(piece: Piece, units: str) -> str:
    part = piece.length_part
    ends = [f"{end.at}: {end.form.said.words(units)}" for end in part.ends if end.form] if part else []
    return "; ".join([*ends, *(f"{fact.label}: {fact.text.words(units)}" for fact in piece.facts)])


def _flat_parts(pieces: Sequence[Piece]) -> list[tuple[Piece, FlatPart]]:
    return [(p, p.shape) for p in pieces if isinstance(p.shape, FlatPart)]


def _flats(header: Header, pieces: Sequence[Piece], dxf_names: dict[str, str], width: float) -> Noted:
    columns = [
        Column("mark", lambda p: p.mark),
        Column("qty", lambda p: str(p.quantity), right=True),
        Column("part", lambda p: p.title or p.kind),
        Column("sheet", lambda p: f"{thickness_text(p.shape.thickness, header.units)} {p.material}"),
        Column("flat size", lambda p: flat_size(p.shape, header.units)),
        Column("holes", lambda p: str(len(p.shape.holes)), right=True),
        Column("bends", lambda p: _bend_count(p.shape)),
        Column("kg each", lambda p: figure(p.mass, 2), right=True),
    ]
    cut = [piece for piece in pieces if piece.sheet_part is not None]
    if not cut:
        return Noted()
    title = "Flat parts to cut"
    note = prose("cut_list", "flats").format(name=dxf_names.get(cut[0].mark, ""))
    return Noted(section(title, listed(cut, columns, width)), title, note)


def _bend_count(part: FlatPart) -> str:
    return str(len(part.bends)) if part.bends else "roll" if part.rolled else "-"


def _bends(header: Header, pieces: Sequence[Piece], width: float) -> Noted:
    def sized(size: float) -> str:
        return inch_text(size) if header.units == "in" else figure(size, 2)

    def way(fold: FlatBend) -> str:
        return f"{'up' if fold.up else 'down'} {degrees(fold.bend.angle)}"

    def angled(bend: Bend, size: float) -> str:
        return sized(size) if bend.angle < math.pi - 1e-6 else "-"

    columns = [
        Column("mark", lambda row: row[0].mark),
        Column("bend", lambda row: row[1].name + (f", {row[2].count} times" if row[2].count > 1 else "")),
        Column("direction, bend angle", lambda row: way(row[1])),
        Column("inside radius", lambda row: sized(row[1].bend.radius), right=True),
        Column("K", lambda row: figure(row[1].bend.k, 3), right=True),
        Column("allowance", lambda row: sized(row[1].bend.allowance), right=True),
        Column("deduction", lambda row: angled(row[1].bend, row[1].bend.deduction), right=True),
        Column("setback", lambda row: angled(row[1].bend, row[1].bend.setback), right=True),
    ]
    rows = [(piece, group.bend, group) for piece, part in _flat_parts(pieces) for group in bend_groups(part.bends)]
    if not rows:
        return Noted()
    return Noted(section("Bends", listed(rows, columns, width)), "Bends", prose("cut_list", "bends"))


def _cautions() -> list[Flowable]:
    texts = [cell(text, SMALL) for text in cautions.GENERAL]
    spaced = [flowable for text in texts for flowable in (text, Spacer(0, 0.8 * mm))]
    return section("Cautions", *spaced)
