"""saw-sheets.pdf: for each bar and each sheet what to cut in which order, in letters for a shed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Spacer, Table

from fabgen.documents.lists.bars_and_sheets import (
    BAR_HEIGHT,
    bar_picture,
    bill_texts,
    drawn_width,
    sheet_origin,
    sheet_picture,
)
from fabgen.documents.render.flow import (
    BODY,
    CELL,
    CELL_BOLD,
    CELL_BOLD_RIGHT,
    GUTTER,
    MARGIN,
    RIGHT,
    SECTION,
    SMALL,
    Across,
    PictureBlock,
    Row,
    cell,
    flowing_pdf,
    frame_height,
    height_used,
    opening,
    section,
    side_by_side,
    table,
)
from fabgen.documents.render.lettering import HEADING
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import BOLD
from fabgen.documents.render.picture import Text
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import (
    counted,
    figure,
    in_mm,
    length_text,
    mm_text,
    profile_saw_text,
    thickness_text,
)
from fabgen.job.tables.definitions import Header
from fabgen.job.values.units import format_fraction
from fabgen.parts.piece import FlatPart, LengthPart, Piece, ProfileEnd, ProfilePart, SawSetup, WorkedEnd
from fabgen.plan.plan import BarPlan, Cut, PlacedPart, Plan, SheetPlan
from fabgen.wording.figures import adding_up
from fabgen.wording.inches import INCH
from fabgen.wording.sentence import as_made

TICK = "\u2610"
MOST_BARS, MOST_BOXES, MOST_OF_A_ROW = 4, 4, 8
"""Bars that are cut alike and have boxes of their own; boxes on one line; pieces alike in one row."""

MOST_TOGETHER = 6
"""Rows of a bar's cuts that stay with its picture on one page."""
MOST_BESIDE = 16
"""Parts of a sheet whose table stands beside its picture, or which has half of the page."""
HIGHEST, HIGHEST_IN_HALF = 100.0, 42.0
"""What the picture of a sheet may take, as wide as the page and in half of it, mm."""

LARGE = ParagraphStyle("large", fontName=BOLD, fontSize=HEADING * mm, leading=HEADING * mm + 1.5)
LARGE_RIGHT = ParagraphStyle("large-right", parent=LARGE, alignment=RIGHT)


def saw_sheet_pdf(header: Header, pieces: Sequence[Piece], plan: Plan, paper: Paper) -> bytes:
    """The whole document, '' where the plan holds no bar and no sheet; the same input gives the same bytes."""
    if not plan.bars and not plan.sheets:
        return b""
    story = _bar_story(header, pieces, plan, paper)
    if plan.sheets:
        parts = {piece.mark: piece.shape for piece in pieces if isinstance(piece.shape, FlatPart)}
        papers = [_SheetPaper(sheet, parts, header, (i, len(plan.sheets))) for i, sheet in enumerate(plan.sheets, 1)]
        used = height_used(_bar_story(header, pieces, plan, paper), paper, header)
        story += _sheets(papers, paper, used)
        story += section("How to read the sheets", [cell(prose("saw_sheets", "sheets"), SMALL)])
    return flowing_pdf(story, paper, header, "saw sheets")


def _bar_story(header: Header, pieces: Sequence[Piece], plan: Plan, paper: Paper) -> list[Flowable]:
    """What stands before the sheets."""
    story: list[Flowable] = opening(header, header.title, prose("saw_sheets", "caution"))
    if plan.bars:
        story += [Spacer(0, 2 * mm), _bars(plan, pieces, header, paper.width - 2 * MARGIN)]
        bills = [cell(text, BODY) for text in bill_texts(plan, header)]
        if bills:
            story += section("What the bars come to", bills)
        story += section("How to read the bars", [cell(text, SMALL) for text in _notes(plan, pieces)])
    return [*story, Spacer(0, 3 * mm)] if plan.sheets else story


def _notes(plan: Plan, pieces: Sequence[Piece]) -> Iterator[str]:
    """What is said of bars."""
    yield prose("saw_sheets", "bars")
    setups = _straight(pieces)
    if any(setup.swing_deg or setup.tilt_deg for setup in setups):
        yield prose("saw_sheets", "angles")
    if any(setup.is_beyond_reach for setup in setups):
        yield prose("saw_sheets", "over")
    if any(any(cut.over) for bar in plan.bars for cut in bar.cuts):
        yield prose("saw_sheets", "hole_saws")
    if any(cut.shared for bar in plan.bars for cut in bar.cuts):
        yield prose("saw_sheets", "shared")


def blade_stations(bar: BarPlan) -> list[float]:
    """Where the blade's near face stands for each cut, mm from the bar's squared end: the longest point
    of the piece before it lies there, or the end of its longer blank."""
    return [end for _, end in bar.spans]


# -- bars -------------------------------------------------------------------------
@dataclass(frozen=True)
class _LikeBars:
    """Bars that are cut alike, as one whose cuts bear the marks of all; how the saw stands for each cut."""

    bar: BarPlan
    stands: tuple[str, ...]


def _like_bars(plan: Plan, saw: Mapping[str, str]) -> list[_LikeBars]:
    """The bars in the plan's order; up to four running that differ in nothing but marks stand together."""
    groups: list[list[BarPlan]] = []
    for bar in plan.bars:
        group = groups[-1] if groups else []
        few = sum(each.count for each in (*group, bar)) <= MOST_BARS
        if group and few and _cut_as(group[0], saw) == _cut_as(bar, saw):
            group.append(bar)
        else:
            groups.append([bar])
    return [_LikeBars(_as_one(group), tuple(_stands(cut, saw) for cut in group[0].cuts)) for group in groups]


def _cut_as(bar: BarPlan, saw: Mapping[str, str]) -> BarPlan:
    """A bar with what is said of its cuts in place of their marks."""
    cuts = tuple(replace(cut, mark=_stands(cut, saw)) for cut in bar.cuts)
    return replace(bar, cuts=cuts, count=1, rack_marks=(), spare=bar.spare)


def _as_one(bars: Sequence[BarPlan]) -> BarPlan:
    cuts = tuple(
        replace(alike[0], mark=", ".join(dict.fromkeys(cut.mark for cut in alike)))
        for alike in zip(*(bar.cuts for bar in bars), strict=True)
    )
    marks = tuple(mark for bar in bars for mark in bar.rack_marks)
    return replace(bars[0], cuts=cuts, count=sum(bar.count for bar in bars), rack_marks=marks)


def _bars(plan: Plan, pieces: Sequence[Piece], header: Header, width: float) -> Table:
    """All bars, one below the other."""
    saw = saw_words(pieces, header.units)
    longest, total = max(bar.stock for bar in plan.bars), sum(bar.count for bar in plan.bars)
    units, longer = header.units, any(any(cut.over) for bar in plan.bars for cut in bar.cuts)
    rows: list[Row] = []
    first, stock = 1, ("", "")
    for like in _like_bars(plan, saw):
        bar = like.bar
        name = (bar.section.words(units), bar.material)
        runs = list(_runs(like))
        blocks: list[Flowable] = [cell("  ".join(name), SECTION)] if name != stock else []
        blocks.append(cell(_bar_text(bar, (first, total), header, plan.least_offcut), BODY))
        blocks.append(PictureBlock(bar_picture(bar, width, longest, units), width, BAR_HEIGHT + 1.0))
        rows.append(Across(blocks, min(len(runs), MOST_TOGETHER)))
        rows += [_cut_row(like, run, header, longer) for run in runs]
        first, stock = first + bar.count, name
    heads = [
        "cut",
        "mark",
        in_mm("stop at", units),
        *([in_mm("stop for the hole saw", units)] if longer else []),
        in_mm("blade at", units),
        "ends",
        "",
    ]
    styles = {0: CELL_BOLD, 1: LARGE, 2: LARGE_RIGHT, len(heads) - 1: LARGE} | ({3: CELL_BOLD} if longer else {})
    return table(heads, rows, width, (2,), styles=styles, stand="MIDDLE")


def _runs(like: _LikeBars) -> Iterator[range]:
    """The cuts of a bar; those that follow one another and are alike in one."""
    cuts, stands = like.bar.cuts, like.stands
    start = 0
    for i in range(1, len(cuts) + 1):
        alike = i < len(cuts) and (cuts[i].length, cuts[i].over, stands[i]) == (
            cuts[start].length,
            cuts[start].over,
            stands[start],
        )
        if not alike or cuts[i].shared or i - start == MOST_OF_A_ROW:
            yield range(start, i)
            start = i


def _cut_row(like: _LikeBars, run: range, header: Header, longer: bool) -> list[str]:
    bar, cut = like.bar, like.bar.cuts[run.start]
    stations = blade_stations(bar)
    marks = ", ".join(dict.fromkeys(bar.cuts[i].mark for i in run))
    number = f"{run.start + 1}" if len(run) == 1 else f"{run.start + 1}-{run.stop}"
    at = [_taped(stations[i], header) for i in run]
    boxes = TICK * (len(run) * min(bar.count, MOST_BARS))
    lines = [boxes[i : i + MOST_BOXES] for i in range(0, len(boxes), MOST_BOXES)]
    # More bars alike than that are ticked off on the bar's own paper.
    many = [f"x {bar.count} bars"] if bar.count > MOST_BARS else []
    return [
        number,
        marks,
        _taped(cut.length, header),
        *([_longer(cut, header.units)] if longer else []),
        "\n".join(at) if header.units == "in" and len(at) == 1 else ", ".join(each.replace("\n", " ") for each in at),
        like.stands[run.start],
        "\n".join([*lines, *many]),
    ]


def _longer(cut: Cut, units: str) -> str:
    """The stop for a blank that a hole saw copes, as a sum: '309.7 + 2.7 + 5.3 = 317.7'; '-' where none does."""
    over = [each for each in cut.over if each >= 0.05]
    if not over:
        return "-"
    step = INCH / 1000.0 if units == "in" else 0.1
    terms = adding_up(cut.blank, [cut.length, *over], step)
    return f"{' + '.join(length_text(each, units) for each in terms)} = {length_text(cut.blank, units)}"


def _bar_text(bar: BarPlan, number: tuple[int, int], header: Header, least: float) -> str:
    first, total = number
    which = (
        f"Bar {first} of {total}" if bar.count == 1 else f"Bars {first} to {first + bar.count - 1} of {total}, alike"
    )
    each = " each" if bar.count > 1 else ""
    clamp = f", the clamp {mm_text(bar.end_loss, header.units)}" if bar.end_loss else ""
    taken = f"the saw cut takes {mm_text(bar.kerf, header.units)}{clamp}"
    kept = "keep it" if bar.offcut >= least else "scrap"
    rest = "no rest" if bar.is_full else f"rest {_long(bar.offcut, header, 0)}{each}: {kept}"
    return f"{which}: {_stock(header, bar.stock)}{each}{_bar_origin(bar)}; {taken}; {rest}"


def _bar_origin(bar: BarPlan) -> str:
    return _whence(bar.spare, bar.rack_marks) or (", usual trade length, assumed" if bar.assumed else "")


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
            words = [_end(end) for end in piece.shape.ends]
            ends = f"{words[0]} both ends" if words[0] == words[1] else " / ".join(words)
            # A cut that is swung and tilted names its long sides itself.
            if not any(_is_compound(end.saw) for end in piece.shape.ends) and (sides := _long_sides(piece.shape)):
                ends = f"{ends}, {sides}"
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


def _end(end: WorkedEnd) -> str:
    setup = end.saw
    if end.cut == "plain" or (end.cut == "cope" and not end.flats and end.is_level_all_round):
        return "square"
    if setup is None or setup.method != "straight saw cut":
        return "square, then cope" if end.cut == "cope" else "square, then by template"
    over = " (over 45°)" if setup.is_beyond_reach else ""
    if _is_compound(setup):
        swing, tilt = figure(setup.swing_deg or 0.0), figure(setup.tilt_deg or 0.0)
        return f"swing {swing}° {setup.swing_longer} longer, tilt {tilt}° {setup.tilt_longer} longer{over}"
    angles = [(name, figure(value or 0.0)) for name, value in (("swing", setup.swing_deg), ("tilt", setup.tilt_deg))]
    if turned := [f"{name} {angle}°" for name, angle in angles if angle != "0"]:
        return ", ".join(turned) + over
    return f"{figure(setup.from_square_deg)}° from square{over}" if setup.from_square_deg else "square"


def _straight(pieces: Sequence[Piece]) -> list[SawSetup]:
    """The set-ups of ends that one straight saw cut makes."""
    ends = [end for piece in pieces if isinstance(piece.shape, LengthPart) for end in piece.shape.ends]
    return [end.saw for end in ends if end.saw is not None and end.saw.method == "straight saw cut"]


def _is_compound(setup: SawSetup | None) -> bool:
    """Whether the saw is swung and tilted at once."""
    return setup is not None and setup.swing_longer is not None and setup.tilt_longer is not None


# -- sheets -----------------------------------------------------------------------
_APART = 2.0
"""Between a sheet and the next besides the room over its heading, mm."""
_Laid = tuple[list[Flowable], float]
"""What stands one below the other, and how high it is, mm."""


def _sheets(papers: Sequence[_SheetPaper], paper: Paper, used: float) -> Iterator[Flowable]:
    """The sheets in their order on as few pages as can be: a sheet across the page, or a run of them down two columns.

    Args:
        paper: its size.
        used: how much of the first page is taken, mm.
    """
    width, page = paper.width - 2.0 * MARGIN, frame_height(paper)
    half = (width - GUTTER) / 2.0
    halves, wholes = [each.in_half(half) for each in papers], [each.across(width) for each in papers]
    reached: list[tuple[float, list[list[Flowable]]]] = [(used, [])]
    for last in range(len(papers)):
        before, rows = reached[last]
        ways = [(_below(before, wholes[last][1], page), [*rows, wholes[last][0]])]
        column: list[_Laid] = []
        for first in range(last, -1, -1):
            if (laid := halves[first]) is None or sum(high for _, high in (laid, *column)) > 2.0 * page:
                break
            column.insert(0, laid)
            if len(column) > 1:
                number, high = _halved([high for _, high in column])
                if high <= page:
                    sides = [[block for own, _ in side for block in own] for side in (column[:number], column[number:])]
                    before, rows = reached[first]
                    pair: list[Flowable] = [side_by_side(sides, width, half + GUTTER, GUTTER)]
                    ways.append((_below(before, high, page), [*rows, pair]))
        reached.append(min(ways, key=lambda way: way[0]))
    for row in reached[-1][1]:
        yield KeepTogether(row)


def _halved(heights: Sequence[float]) -> tuple[int, float]:
    """How many of a run go into the first of two columns, and how high these become."""
    ways = [(max(sum(heights[:number]), sum(heights[number:])), number) for number in range(1, len(heights))]
    high, number = min(ways)
    return number, high


def _below(used: float, high: float, page: float) -> float:
    """How far down pages of that height, laid end to end, something reaches that stands below what is `used` of them;
    on the next page where this one has no room."""
    left = page - used % page
    return used + high if high <= left or high > page else used + left + high


@dataclass(frozen=True)
class _SheetPaper:
    """What is printed of a sheet: its heading, its picture, and a table of where each part lies."""

    sheet: SheetPlan
    parts: Mapping[str, FlatPart]
    header: Header
    number: tuple[int, int]

    def in_half(self, width: float) -> _Laid | None:
        """One below the other in half the page's width; None where a part would have no room there for its mark."""
        picture = self._beside(width)
        return _with_height([*self._head(), picture, self._table(width)], width) if picture else None

    def across(self, width: float) -> _Laid:
        """The table beside the picture; below it where a part would have no room for its mark."""
        half = (width - GUTTER) / 2.0
        if picture := self._beside(half):
            body: list[Flowable] = [side_by_side([picture, self._table(half)], width, half + GUTTER, GUTTER)]
        else:
            body = [self._block(drawn_width(self.sheet, width, HIGHEST)), self._table(width)]
        return _with_height([*self._head(), *body], width)

    def _head(self) -> list[Flowable]:
        thick = thickness_text(self.sheet.thickness, self.header.units)
        title = f"Sheet {self.number[0]} of {self.number[1]}:  {thick}  {self.sheet.material}"
        return [cell(title, SECTION), cell(_sheet_text(self.sheet, self.header), CELL), Spacer(0, 1.0 * mm)]

    def _beside(self, width: float) -> PictureBlock | None:
        """The picture in half the page's width; None where there are many parts, or one loses its mark by that."""
        wide = drawn_width(self.sheet, width, HIGHEST_IN_HALF)
        across = drawn_width(self.sheet, 2.0 * width, HIGHEST)
        fits = len(self.sheet.placed) <= MOST_BESIDE and self._marks(wide) >= self._marks(across)
        return self._block(wide) if fits else None

    def _marks(self, wide: float) -> int:
        """How many parts bear their marks on a picture so wide."""
        return sum(isinstance(item, Text) for item in sheet_picture(self.sheet, self.parts, wide).items)

    def _block(self, wide: float) -> PictureBlock:
        picture = sheet_picture(self.sheet, self.parts, wide)
        return PictureBlock(picture, wide, wide * self.sheet.size[1] / self.sheet.size[0] + 2.0)

    def _table(self, width: float) -> Table:
        rows: list[Row] = []
        for placed in sorted(self.sheet.placed, key=lambda p: _corner(self.parts[p.mark], p)):
            left, low, right, top = _box(self.parts[placed.mark], placed)
            turn = f"{figure(placed.turn)}°" if placed.turn else "-"
            size = " x ".join(length_text(side, self.header.units) for side in (right - left, top - low))
            rows.append([placed.mark, _taped(left, self.header), _taped(low, self.header), size, turn, TICK])
        styles = {0: LARGE, 1: CELL_BOLD_RIGHT, 2: CELL_BOLD_RIGHT, 5: LARGE}
        return table(
            ["mark", "left", "low", in_mm("size", self.header.units), "turn", ""],
            rows,
            width,
            (1, 2, 4),
            styles=styles,
            stand="MIDDLE",
        )


def _with_height(blocks: Sequence[Flowable], width: float) -> _Laid:
    spaced = [*blocks, Spacer(0, _APART * mm)]
    high = side_by_side([spaced], width, width).wrap(width * mm, 1e6)[1]
    return spaced, float(SECTION.spaceBefore + high) / mm


def _sheet_text(sheet: SheetPlan, header: Header) -> str:
    whence = _whence(sheet.spare, sheet.rack_marks) or f", {sheet_origin(sheet)}"
    used = f"{counted(len(sheet.placed), 'part')}, {figure(100 * sheet.used, 0)} % used"
    return f"{_stock(header, *sheet.size)}{whence}: {used}"


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
