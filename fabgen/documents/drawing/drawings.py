"""drawings.pdf: a dimensioned sheet for every piece."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from fabgen.documents.drawing.assembly.assembly import assembly_content
from fabgen.documents.drawing.assembly.elevations import SIZES
from fabgen.documents.drawing.assembly.weld_symbol import with_welds_shown
from fabgen.documents.drawing.both_hands import groups_of_hands, hand_note, title_of, with_opposite_hands
from fabgen.documents.drawing.shared_sheets import Detail, shared
from fabgen.documents.drawing.sheet.blocks import least_tall, notes_panel
from fabgen.documents.drawing.sheet.sheet_frame import (
    Projection,
    TitleFields,
    frame_box,
    sheet_frame,
    title_box,
    title_height,
)
from fabgen.documents.drawing.sheet.views import (
    Arrangement,
    Content,
    DrawnView,
    TableText,
    arrange,
    further_pages,
    scale_name,
    size_at,
    without_spare,
)
from fabgen.documents.drawing.sheet_content import sheet_content
from fabgen.documents.render import cautions
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.words import figure
from fabgen.geometry.plane.outline import Box
from fabgen.job.tables.definitions import Header
from fabgen.job.tables.part_tables import COATED
from fabgen.parts.piece import FlatPart, LinkPart, Piece, ProfilePart, made_here, to_make
from fabgen.parts.shape.alike import alike_tubes, names
from fabgen.parts.shape.welds.welded_edge import WeldedEdge
from fabgen.shop.tolerances import steps, welded_angle
from fabgen.wording.figures import Figures
from fabgen.wording.inches import INCH
from fabgen.wording.sentence import kilograms

if TYPE_CHECKING:
    from fabgen.documents.scene.beside import Wire

EdgesOf = Mapping[str, Sequence[WeldedEdge]]

INSIDE = 6.0
"""Bare paper between the frame and what is drawn, mm."""
CROWDED = 36.0
"""A main view lower than this, without its dimensions, mm of paper, would do with a sheet of its own …"""
LARGEST_FRAME = 4000.0
"""Of ISO 13920's ranges an assembly's note gives those up to this, mm."""
ROOMIER = 1.8
"""… if that makes it larger by so much."""
WITH_ALL = 0.5
"""An assembly's picture may be this much smaller where all of the assembly is on one sheet …"""
WITH_LISTS = 0.45
"""… and it or the side and the plan by so much where that saves the lists a sheet of their own."""


def drawing_pages(
    pieces: Sequence[Piece],
    header: Header,
    paper: Paper,
    projection: Projection = "first",
    beside: Sequence[Wire] = (),
    further: Sequence[Callable[[int, int], Page]] = (),
    edges: EdgesOf | None = None,
) -> list[Page]:
    """One sheet a piece, or for all tubes made alike (more only where its tables need it), landscape or upright
    by the part's shape; none for what is made already, bought or there already.  The same input gives the same pages.

    Args:
        header: what the title block says of the job.
        paper: its size; each sheet is turned as its part needs.
        projection: 'first' or 'third' angle.
        beside: wheels, dampers and envelopes, for the assembly.
        further: sheets that follow, made when it is known which of how many each is.
        edges: of sheet parts that meet others, by mark; None where nobody looked.
    """
    figures = Figures(header.units == "in")
    known = {piece.mark: piece for piece in pieces}
    sheets: list[_DrawingSheet] = []
    overall = assembly_content(pieces, figures, projection, beside)
    if overall is not None:
        allowed = (_allowed(header, figures), False)
        of_picture = overall.notes.index(SIZES)
        notes = [*((text, False) for text in overall.notes), allowed, (cautions.DRAWING, True)]
        sheets += _assembly_sheets(overall, notes, of_picture, _assembly_fields(pieces, header), paper)
    details = [
        with_opposite_hands([_detail(group, known, header, figures, projection, edges, hands) for group in hands])
        for hands in groups_of_hands(alike_tubes(to_make(pieces)))
    ]
    sheets += _detail_sheets(details, paper)
    return _numbered(sheets, header, projection, further)


def detail_pages(
    piece: Piece, pieces: Sequence[Piece], header: Header, paper: Paper, projection: Projection = "first"
) -> list[Page]:
    """The sheets of one piece alone, as one sends them out with it: without symbols at edges that are welded here.

    Args:
        piece: to draw.
        pieces: all of the job: opposite hands and what a part stands on are named.
        header, paper, projection: as of `drawing_pages`.
    """
    known, figures = {each.mark: each for each in pieces}, Figures(header.units == "in")
    detail = _detail([piece], known, header, figures, projection, None)
    laid = _laid_out(detail.content, detail.notes, detail.fields, paper)
    return _numbered([replace(sheet, marks=detail.marks) for sheet in laid], header, projection)


def _detail(
    group: Sequence[Piece],
    known: Mapping[str, Piece],
    header: Header,
    figures: Figures,
    projection: Projection,
    edges: EdgesOf | None,
    hands: Sequence[Sequence[Piece]] = (),
) -> Detail:
    """What the drawing of pieces made alike has to show; `hands` are all that one drawing is for."""
    piece, told = group[0], [each.mark for hand in hands for each in hand]
    own = None if edges is None else edges.get(piece.mark, ())
    content = sheet_content(piece, known, figures, projection, own or ())
    content = with_welds_shown(content, piece, projection, figures, own)
    notes = _alike_note(group) + hand_note(group, known, told) + _notes(piece, content, figures)
    marks = tuple(each.mark for each in group)
    fields = _fields(group, header, figures)
    return Detail(content, tuple(notes), fields, marks, _kind(piece), piece.title or piece.kind)


def _numbered(
    sheets: Sequence[_DrawingSheet],
    header: Header,
    projection: Projection,
    further: Sequence[Callable[[int, int], Page]] = (),
) -> list[Page]:
    """The pages, each with its frame and number, and those that follow."""
    count = len(sheets) + len(further)
    pages = []
    for number, sheet in enumerate(sheets, 1):
        fields = replace(sheet.fields, sheet=f"{number} of {count}", scale=sheet.scale, projection=projection)
        picture = sheet_frame(sheet.paper, header, fields)
        for panel in sheet.panels:
            picture = picture + panel.picture
        pages.append(Page(sheet.paper.width, sheet.paper.height, picture, sheet.marks))
    return [*pages, *(made(number, count) for number, made in enumerate(further, len(sheets) + 1))]


@dataclass(frozen=True)
class _DrawingSheet:
    fields: TitleFields
    paper: Paper
    scale: str
    panels: list[Panel]
    marks: tuple[str, ...] = ()


def _kind(piece: Piece) -> str:
    """Parts of a kind share sheets."""
    part = piece.flat_part
    return piece.kind if part is None else "folded" if part.bends or part.rolled else "flat"


def _detail_sheets(details: Sequence[Detail], paper: Paper) -> list[_DrawingSheet]:
    """The sheets of all parts, in the parts' order: each by the first of its parts."""
    together, alone = shared(details, paper)
    sheets = [
        _DrawingSheet(each.fields, each.paper, each.fields.scale, [*each.panels], each.marks) for each in together
    ]
    for detail in alone:
        laid = _laid_out(detail.content, detail.notes, detail.fields, paper)
        sheets += [replace(sheet, marks=detail.marks) for sheet in laid]
    order = [detail.marks[0] for detail in details]
    return sorted(sheets, key=lambda sheet: order.index(sheet.marks[0]))


def _assembly_sheets(
    content: Content, notes: Sequence[tuple[str, bool]], of_picture: int, fields: TitleFields, paper: Paper
) -> list[_DrawingSheet]:
    """The picture, the side and the plan and the lists on one sheet where the picture stays about as large as it would
    be alone; else the picture has one sheet, the side and the plan the next, and the lists stand where they make less
    smaller, or have a sheet of their own.  The first `of_picture` notes are about the picture."""
    turned = [paper.landscape, paper.upright]
    few, rest = [*notes[:of_picture], notes[-1]], notes[of_picture:]
    picture, views = Content(content.main), Content(DrawnView(content.sides[0]))

    def scale(each: Content, said: Sequence[tuple[str, bool]]) -> float:
        made = arrange(each, [_rooms(sheet, said, fields.height)[0] for sheet in turned])[1]
        return 0.0 if made.left_views or (made.left_over and each.sides) else made.scale

    best = scale(picture, few), scale(views, rest)
    if scale(content, notes) >= WITH_ALL * best[0]:
        return _laid_out(content, notes, fields, paper)
    listed = [replace(each, tables=content.tables) for each in (picture, views)]
    share = scale(listed[0], few) / best[0], scale(listed[1], rest) / best[1]
    if max(share) < WITH_LISTS:
        views = replace(views, tables=content.tables[1:], later=content.tables[:1])
    elif share[0] > share[1]:
        picture = listed[0]
    else:
        views = listed[1]
    return _laid_out(picture, few, fields, paper) + _laid_out(views, rest, fields, paper)


def _laid_out(
    content: Content, notes: Sequence[tuple[str, bool]], fields: TitleFields, paper: Paper
) -> list[_DrawingSheet]:
    turned = [paper.landscape] if content.main.view.wide else [paper.landscape, paper.upright]
    least = content.main.view.least(1.0)
    if least[1] > least[0]:
        turned.reverse()
    laid = [_rooms(each, notes, fields.height) for each in turned]
    rooms = [room for room, _ in laid]
    if (bare := without_spare(content)) is not None:
        first = arrange(content, rooms)[1]
        if (first.left_over or first.left_views) and not (less := arrange(bare, rooms)[1]).left_over:
            content = content if less.left_views else bare
    sheets = []
    later: list[TableText] = []
    for index, made in _arrangements(content, rooms):
        sheet_paper, (_, note) = turned[index], laid[index]
        sheets.append(_DrawingSheet(fields, sheet_paper, scale_name(made.scale), [*made.panels, note]))
        later += made.left_over
    if later := [*later, *content.later]:
        whole = _rooms(sheet_paper, [], fields.height)[0]
        for panels in further_pages(later, whole):
            sheets.append(_DrawingSheet(fields, sheet_paper, "-", panels))
    return sheets


def _arrangements(content: Content, rooms: Sequence[Box]) -> list[tuple[int, Arrangement]]:
    """All on one sheet; but where that crowds the main view or leaves the others too small to read, it alone on the
    first and the rest on a second."""
    one_sheet = arrange(content, rooms)
    if one_sheet[1].left_views:
        first, *others = content.sides
        return [one_sheet, arrange(Content(DrawnView(first), tuple(others)), rooms)]
    if content.main.view.slim:
        return [one_sheet]
    if any(view.scaled for view in content.sides) and min(size_at(content.main.view, one_sheet[1].scale)) < CROWDED:
        alone = arrange(replace(content, sides=(), tables=()), rooms)
        if alone[1].scale >= ROOMIER * one_sheet[1].scale:
            rest = replace(content, main=DrawnView(content.sides[0]), sides=content.sides[1:])
            return [alone, arrange(rest, rooms)]
    return [one_sheet]


def _rooms(paper: Paper, notes: Sequence[tuple[str, bool]], height: float) -> tuple[Box, Panel]:
    """The room for views on a sheet, and the notes placed: left of the title block or above it,
    where the views get more room."""
    x0, y0, x1, y1 = frame_box(paper)
    tx0, _, _, ty1 = title_box(paper, height)
    across = least_tall(notes, x1 - x0 - 2.0 * INSIDE)
    top, placed = ty1 + across.height + 2.0 * INSIDE, across.at(x0 + INSIDE, ty1 + INSIDE * 0.8)
    beside = tx0 - x0 - 2.0 * INSIDE
    if beside > 50.0:
        panel = notes_panel(notes, beside)
        other = max(ty1 + INSIDE, y0 + panel.height + 2.0 * INSIDE)
        if other <= top:
            top, placed = other, panel.at(x0 + INSIDE, max(y0 + INSIDE, ty1 - panel.height - 1.0))
    return (x0 + INSIDE, top, x1 - INSIDE, y1 - INSIDE), placed


def _notes(piece: Piece, content: Content, figures: Figures) -> list[tuple[str, bool]]:
    lines: list[tuple[str, bool]] = []
    part = piece.shape
    if isinstance(part, FlatPart):
        lines.append(
            (f"{'Flat bar' if part.bar else 'Sheet'} {figures.sheet(part.thickness)}. Burrs off, edges broken.", False)
        )
        sizes = [
            f"{what} {figures.size(size)}"
            for what, size in part.sizes
            if all(abs(size - drawn) > 0.06 for drawn in content.drawn)
        ]
        if sizes:
            lines.append((f"Further sizes: {'; '.join(sizes)}.", False))
    facts = [fact for fact in piece.facts if fact.key not in content.shown]
    lines += [(f"{fact.label}: {fact.text.words(figures.units)}", False) for fact in facts if fact.brief is None]
    # What one needs at the press, in few words; where it comes from is on the page of the part.
    brief = dict.fromkeys(fact.brief.words(figures.units) for fact in facts if fact.brief is not None)
    lines += [(f"{text}.", False) for text in brief]
    lines += [(text, False) for text in content.notes]
    if piece.note:
        lines.append((piece.note, False))
    lines.append((cautions.of_part(piece), True))
    return lines


def _alike_note(group: Sequence[Piece]) -> list[tuple[str, bool]]:
    """Which tubes or profiles a sheet is for besides the one that it shows."""
    if len(group) == 1:
        return []
    marks = names([piece.mark for piece in group], 24)
    first = group[0].mark
    if group[0].profile_part is not None:
        return [(f"For {marks}, all made alike; what {first} meets is named, and how {first} lies.", False)]
    return [(f"For {marks}, all made alike; the tubes that {first} meets are named, and its sides.", False)]


def _fields(group: Sequence[Piece], header: Header, figures: Figures) -> TitleFields:
    """The title block of a part, or of tubes made alike; sheet, scale and projection are filled in when it is
    laid out."""
    piece = group[0]
    part = piece.shape
    kind = ""
    if isinstance(part, FlatPart):
        stock = part.bar.words(figures.units) if part.bar else f"sheet {figures.sheet(part.thickness)}"
    elif isinstance(part, ProfilePart):
        stock = part.section.words(figures.units)
    else:
        # Of a link the mass is that of its tube as sawn; a note gives its mass as fitted.
        kind = "" if not piece.is_assembly else "bar " if part.section.is_solid else "tube "
        section = part.section.words(figures.units)
        stock = section if part.section.is_solid else f"tube {section}"
    fields = TitleFields(
        title=title_of([each.mark for each in group], piece.title or piece.kind),
        number=f"{header.number}-{piece.mark}",
        document="detail drawing",
        material=piece.material,
        stock=stock,
        finish=piece.finish or COATED.get(piece.coating, "as made"),
        mass=kind + kilograms(piece.mass).words(),
        quantity=str(sum(each.quantity for each in group)),
        tolerance=_welded(header) if isinstance(part, LinkPart) else "",
    )
    return replace(fields, height=title_height(header, fields))


def _assembly_fields(pieces: Sequence[Piece], header: Header) -> TitleFields:
    mass = sum(piece.mass * piece.quantity for piece in made_here(pieces))
    fields = TitleFields(
        title="Assembly",
        number=header.number,
        document="assembly drawing",
        material="see parts list",
        stock="see parts list",
        finish="",
        mass=f"{figure(mass, 1)} kg",
        quantity="1",
        tolerance=_welded(header),
    )
    return replace(fields, height=title_height(header, fields))


def _welded(header: Header) -> str:
    """'ISO 13920-B', of what is welded."""
    return f"ISO 13920-{header.weld_tolerance}"


def _allowed(header: Header, figures: Figures) -> str:
    """What that is in figures, up to the largest range that a home workshop's frame comes to."""
    lengths = ", ".join(
        f"±{figures.size(out)} up to {figures.size(most)}" for out, most in steps(header.weld_tolerance, LARGEST_FRAME)
    )
    angle = welded_angle(header.weld_tolerance, LARGEST_FRAME)
    slope = (
        f"{figures.size(angle * 12.0 * INCH / 1000.0)} in a foot"
        if figures.inches
        else f"{figure(angle, 1)} mm in a metre"
    )
    return f"Tolerances once welded, {_welded(header)}: {lengths}; long sides out of square by {slope}."
