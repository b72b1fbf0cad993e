"""saw-sheets.pdf: for each bar and each sheet what to cut in which order, in letters for a shed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Paragraph, Spacer, Table

from fabgen.documents.lists.bars_and_sheets import BAR_HEIGHT, bar_picture, drawn_width, sheet_picture
from fabgen.documents.render.flow import BODY, MARGIN, PictureBlock, Rules, cell, flowing_pdf, ruled, shared
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import BOLD, REGULAR, fitted
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import figure, in_mm, length_text, mm_text, profile_saw_text, thickness_text
from fabgen.job.tables.definitions import Header
from fabgen.job.values.units import format_fraction
from fabgen.parts.piece import FlatPart, LengthPart, Piece, ProfileEnd, ProfilePart, SawSetup, WorkedEnd
from fabgen.plan.plan import BarPlan, Cut, PlacedPart, Plan, SheetPlan
from fabgen.wording.sentence import as_made

TICK = "\u2610"
SHORT = 8
"""A mark of so many letters does with a narrow column, which leaves room for the ends."""

LARGE = ParagraphStyle("large", fontName=REGULAR, fontSize=14, leading=17)
LARGE_BOLD = ParagraphStyle("large-bold", parent=LARGE, fontName=BOLD)
LARGE_RIGHT = ParagraphStyle("large-right", parent=LARGE_BOLD, alignment=2)
TICKS = ParagraphStyle("ticks", parent=LARGE, fontSize=17, leading=19)
HEADING = ParagraphStyle("bar", fontName=BOLD, fontSize=16, leading=20, spaceBefore=6)
COLUMN = ParagraphStyle("column", fontName=REGULAR, fontSize=10.5, leading=12.5)
COLUMN_RIGHT = ParagraphStyle("column-right", parent=COLUMN, alignment=2)
NOTE = ParagraphStyle("note", parent=BODY, fontSize=11, leading=13.5)
TITLE = ParagraphStyle("saw-title", fontName=BOLD, fontSize=20, leading=25)


def saw_sheet_pdf(header: Header, pieces: Sequence[Piece], plan: Plan, paper: Paper) -> bytes:
    """The whole document, '' where the plan holds no bar and no sheet; the same input gives the same bytes."""
    if not plan.bars and not plan.sheets:
        return b""
    width = paper.width - 2 * MARGIN
    story: list[Flowable] = [cell(header.title, TITLE), cell(f"Job {header.number}, revision {header.revision}", NOTE)]
    story += [Spacer(0, 2 * mm), cell(prose("saw_sheets", "caution"), NOTE)]
    if plan.bars:
        story += [Spacer(0, 2 * mm), cell(prose("saw_sheets", "bars"), NOTE)]
        setups = _straight(pieces)
        if any(setup.swing_deg or setup.tilt_deg for setup in setups):
            story += [Spacer(0, 1 * mm), cell(prose("saw_sheets", "angles"), NOTE)]
        if any(setup.is_beyond_reach for setup in setups):
            story += [Spacer(0, 1 * mm), cell(prose("saw_sheets", "over"), NOTE)]
        if any(cut.shared for bar in plan.bars for cut in bar.cuts):
            story += [Spacer(0, 1 * mm), cell(prose("saw_sheets", "shared"), NOTE)]
        saw = saw_words(pieces, header.units)
        longest = max(bar.stock for bar in plan.bars)
        total = sum(bar.count for bar in plan.bars)
        first = 1
        for bar in plan.bars:
            story += _bar(bar, saw, header, (first, total), width, longest, plan.least_offcut)
            first += bar.count
    if plan.sheets:
        story.append(Spacer(0, 4 * mm))
        parts = {piece.mark: piece.shape for piece in pieces if isinstance(piece.shape, FlatPart)}
        for i, sheet in enumerate(plan.sheets, 1):
            story += _sheet(sheet, parts, header, (i, len(plan.sheets)), width)
    return flowing_pdf(story, paper, header, "saw sheets")


def blade_stations(bar: BarPlan) -> list[float]:
    """Where the blade's near face stands for each cut, mm from the bar's squared end: the longest point
    of the piece before it lies there."""
    return [end for _, end in bar.spans]


# -- bars -------------------------------------------------------------------------
def _bar(
    bar: BarPlan,
    saw: Mapping[str, str],
    header: Header,
    number: tuple[int, int],
    width: float,
    longest: float,
    least: float,
) -> list[Flowable]:
    first, total = number
    which = f"Bar {first}" if bar.count == 1 else f"Bars {first} to {first + bar.count - 1}, all alike,"
    heading = cell(f"{which} of {total}:  {bar.section.words(header.units)}  {bar.material}", HEADING)
    each = " each" if bar.count > 1 else ""
    whence = _whence(bar.spare, bar.rack_marks)
    clamp = f", the clamp {mm_text(bar.end_loss, header.units)}" if bar.end_loss else ""
    taken = f"the saw cut takes {mm_text(bar.kerf, header.units)}{clamp}"
    text = cell(f"{_stock(header, bar.stock)}{each}{whence}; {taken}", LARGE)
    picture = PictureBlock(bar_picture(bar, width, longest, header.units), width, BAR_HEIGHT + 2)
    # As many boxes as there are bars alike; more than four are ticked off on the bar's own paper.
    boxes = TICK * min(bar.count, 4) + ("" if bar.count <= 4 else f" {bar.count}")
    rows = []
    for i, (cut, station) in enumerate(zip(bar.cuts, blade_stations(bar), strict=True), 1):
        rows.append([boxes, f"{i}", cut.mark, _taped(cut.length, header), _taped(station, header), _stands(cut, saw)])
    heads = ["", "cut", "mark", in_mm("stop at", header.units), in_mm("blade at", header.units), "ends"]
    ticks = 11.0 if bar.count == 1 else 8.0 + 6.0 * min(bar.count, 4) + (8.0 if bar.count > 4 else 0.0)
    marks = 22.0 if max(len(cut.mark) for cut in bar.cuts) <= SHORT else 34.0
    widths = shared(width, ticks, 11, marks, 30, 32, 97.0 - marks)
    kept = "keep it" if bar.offcut >= least else "scrap"
    rest = cell("No rest" if bar.is_full else f"Rest {_long(bar.offcut, header, 0)}{each}: {kept}", LARGE)
    table = _large_table(heads, rows, widths, right=(1, 3, 4))
    block = [heading, text, Spacer(0, 1.5 * mm), picture, table, Spacer(0, 1 * mm), rest, Spacer(0, 6 * mm)]
    return [KeepTogether(block)]


def _stands(cut: Cut, saw: Mapping[str, str]) -> str:
    """How the saw stands for a piece's ends, and how the piece lies."""
    words = [saw.get(cut.mark, "square both ends")]
    if cut.shared:
        words.append(f"shared first cut, {figure(cut.shared)}°")
    if cut.turned:
        words.append("turned")
    return "; ".join(words)


def _whence(spare: bool, marks: Sequence[str]) -> str:
    named = [mark for mark in dict.fromkeys(marks) if mark]
    if named:
        return f", from the rack, marked {', '.join(named)}"
    return ", from the rack" if spare else ""


def saw_words(pieces: Sequence[Piece], units: str) -> dict[str, str]:
    """How the saw stands at both ends of each mark, listed once where they are alike."""
    found = {}
    for piece in pieces:
        if isinstance(piece.shape, LengthPart):
            words = [_end(end, units) for end in piece.shape.ends]
            ends = words[0] if words[0] == words[1] else " / ".join(words)
            # A cut that is swung and tilted names its long sides itself.
            if not any(_is_compound(end.saw) for end in piece.shape.ends) and (sides := _long_sides(piece.shape)):
                ends = f"{ends}, {sides}" if words[0] != words[1] else f"{ends} both ends, {sides}"
            found[piece.mark] = _upright(piece.shape, units) + ends
        elif isinstance(piece.shape, ProfilePart):
            words = [_profile_end(end) for end in piece.shape.ends]
            found[piece.mark] = f"{words[0]} both ends" if words[0] == words[1] else " / ".join(words)
    return found


def _profile_end(end: ProfileEnd) -> str:
    return profile_saw_text(end) + (", then by template" if end.is_notched else "")


def _upright(part: LengthPart, units: str) -> str:
    """Which side stands upright as the tube lies on its bottom face, where its two differ and an end is slanted: the
    bar's name does not say it."""
    slanted = any(end.saw is not None and (end.saw.swing_deg or end.saw.tilt_deg) for end in part.ends)
    differ = abs(part.section.width - part.section.depth) > 0.01
    return f"its {as_made(part.section.width, decimals=2).words(units)} side upright, " if slanted and differ else ""


def _long_sides(part: LengthPart) -> str:
    """How the long sides of two slanted ends lie to one another, which makes a trapezoid or a parallelogram;
    '' where one of the ends is not slanted, or a bend lies between them.

    Both are counted from the top line clockwise seen from the start; the finish's phi runs the other way.
    """
    turns = []
    for end, sense in zip(part.ends, (1.0, -1.0), strict=True):
        setup = end.saw
        if setup is None or setup.method != "straight saw cut" or setup.long_side_deg is None or part.bends:
            return ""
        turns.append(sense * (setup.long_side_deg - math.degrees(end.top)))
    turned = math.remainder(turns[1] - turns[0], 360.0)
    if abs(turned) < 0.5:
        return "long side the same"
    if abs(turned) > 179.5:
        return "long sides opposite"
    way = "clockwise" if turned > 0.0 else "counter-clockwise"
    return f"the finish's long side {figure(abs(turned))}° {way} of the start's, seen from the start"


def _end(end: WorkedEnd, units: str) -> str:
    setup = end.saw
    if end.cut == "plain" or (end.cut == "cope" and not end.flats and end.is_level_all_round):
        return "square"
    if setup is not None and (setup.hole_saw_longer_mm or 0.0) >= 0.05:
        return f"square (for the hole saw {mm_text(setup.hole_saw_longer_mm or 0.0, units)} longer), then cope"
    if setup is None or setup.method != "straight saw cut":
        return "square, then cope" if end.cut == "cope" else "square, then by template"
    over = " (over 45°)" if setup.is_beyond_reach else ""
    if _is_compound(setup):
        swing, tilt = figure(setup.swing_deg or 0.0), figure(setup.tilt_deg or 0.0)
        return f"swing {swing}° {setup.swing_longer} longer, tilt {tilt}° {setup.tilt_longer} longer{over}"
    angles = [(name, value) for name, value in (("swing", setup.swing_deg), ("tilt", setup.tilt_deg)) if value]
    if angles:
        return ", ".join(f"{name} {figure(value)}°" for name, value in angles) + over
    return f"{figure(setup.from_square_deg)}° from square{over}" if setup.from_square_deg else "square"


def _straight(pieces: Sequence[Piece]) -> list[SawSetup]:
    """The set-ups of ends that one straight saw cut makes."""
    ends = [end for piece in pieces if isinstance(piece.shape, LengthPart) for end in piece.shape.ends]
    return [end.saw for end in ends if end.saw is not None and end.saw.method == "straight saw cut"]


def _is_compound(setup: SawSetup | None) -> bool:
    """Whether the saw is swung and tilted at once."""
    return setup is not None and setup.swing_longer is not None and setup.tilt_longer is not None


# -- sheets -----------------------------------------------------------------------
def _sheet(
    sheet: SheetPlan, parts: Mapping[str, FlatPart], header: Header, number: tuple[int, int], width: float
) -> list[Flowable]:
    note = [cell(prose("saw_sheets", "sheets"), NOTE)] if number[0] == 1 else []
    what = f"{thickness_text(sheet.thickness, header.units)}  {sheet.material}"
    heading = cell(f"Sheet {number[0]} of {number[1]}:  {what}", HEADING)
    whence = _whence(sheet.spare, sheet.rack_marks) + (", a blank cut to size" if sheet.instead_of else "")
    text = cell(f"{_stock(header, *sheet.size)}{whence}", LARGE)
    drawn = drawn_width(sheet, width * (0.9 if sheet.used > 0.15 else 0.6), 100.0)
    picture = PictureBlock(sheet_picture(sheet, parts, drawn), drawn, drawn * sheet.size[1] / sheet.size[0] + 2)
    rows = []
    for placed in sorted(sheet.placed, key=lambda p: _corner(parts[p.mark], p)):
        left, low, right, top = _box(parts[placed.mark], placed)
        turn = f"{figure(placed.turn)}°" if placed.turn else "-"
        size = " x ".join(length_text(side, header.units) for side in (right - left, top - low))
        rows.append([TICK, placed.mark, _taped(left, header), _taped(low, header), size, turn])
    sizes = (in_mm(name, header.units) for name in ("left", "low", "width x height"))
    heads = ["", "mark", *sizes, "turn"]
    table = _large_table(heads, rows, shared(width, 11, 40, 32, 32, 48, 20), right=(2, 3, 5))
    return [KeepTogether([*note, heading, text, Spacer(0, 1.5 * mm), picture, table, Spacer(0, 6 * mm)])]


def _box(part: FlatPart, placed: PlacedPart) -> tuple[float, float, float, float]:
    return part.outline.turned(math.radians(placed.turn)).moved(placed.x, placed.y).bounds


def _corner(part: FlatPart, placed: PlacedPart) -> tuple[float, float]:
    left, low, _, _ = _box(part, placed)
    return round(left, 3), round(low, 3)


# -- words and tables -------------------------------------------------------------
def _taped(length: float, header: Header) -> str:
    """Millimetres without their unit; in an inch job inches by figures, and below as a tape shows them."""
    text = length_text(length, header.units)
    taped = format_fraction(length, 32)
    return f"{text}\n{taped}" if header.units == "in" and taped != text else text


def _stock(header: Header, *sizes: float) -> str:
    """The size of a bar or a sheet in a line of text."""
    return as_made(*sizes, decimals=1).words(header.units)


def _long(length: float, header: Header, decimals: int = 1) -> str:
    """A length in a line of text."""
    return length_text(length, "in") if header.units == "in" else f"{figure(length, decimals)} mm"


def _mark_cell(mark: str, width: float) -> Paragraph:
    """A mark on one line: long ones in smaller letters."""
    _, size = fitted(mark, width - 3.0, LARGE_BOLD.fontSize / mm, True, least=2.0)
    return cell(mark, ParagraphStyle("mark", parent=LARGE_BOLD, fontSize=size * mm))


def _large_table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float], right: Sequence[int]
) -> Table:
    top = [cell(head, COLUMN_RIGHT if i in right else COLUMN) for i, head in enumerate(heads)]
    body = [
        [
            cell(text, TICKS if i == 0 else LARGE_RIGHT if i in right else LARGE)
            if heads[i] != "mark"
            else _mark_cell(text, widths[i])
            for i, text in enumerate(row)
        ]
        for row in rows
    ]
    return ruled(top, body, widths, Rules("MIDDLE", (1.2, 0.5), (2, 5), (3, 4), 1))
