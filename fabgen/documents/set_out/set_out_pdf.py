"""set-out.pdf: where each placed part goes, in sizes that a tape reaches: one view a side, one row a part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import zip_longest
from types import MappingProxyType

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from fabgen.documents.render import cautions
from fabgen.documents.render.flow import (
    MARGIN,
    SMALL,
    PictureBlock,
    cell,
    flowing_pdf,
    opening,
    section,
    side_by_side,
    table,
)
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.prose import prose
from fabgen.documents.render.set_out_words import (
    across_text,
    along_text,
    clock_text,
    end_words,
    held_at,
    outside_text,
    round_text,
    side_of,
    touches,
    turn_text,
)
from fabgen.documents.render.words import in_mm, tape_text, thickness_text
from fabgen.documents.set_out.bolt_stacks import bolts_from_head_to_nut
from fabgen.documents.set_out.on_the_jig import jig_sizes, on_the_jig, over_datum
from fabgen.documents.set_out.side_view import bend_view, in_bends, side_view, sides
from fabgen.job.tables.definitions import Header
from fabgen.job.tables.movement_tables import Damper
from fabgen.parts.piece import FlatPart, LengthPart, Piece
from fabgen.parts.shape.standing import SetOutOn, by_points, marks_of, needs_set_out, on_ends, set_out_on
from fabgen.plan.plan import BoltStack
from fabgen.wording.figures import Figures

GUTTER = 6.0
"""Between two views beside one another, mm."""
HARDLY = 0.7
"""A view that is drawn at this share of its scale is hardly smaller; else it has the page's width."""
LEGIBLE = 1.0 / 15.0
"""A view is as good at this scale, however much larger it could be."""
_TWO_ABREAST = 3
"""From so many holes on two stand in a line."""


def set_out_pdf(
    header: Header,
    pieces: Sequence[Piece],
    datum: float,
    paper: Paper,
    stacks: Sequence[BoltStack] = (),
    starts: Mapping[str, str] = MappingProxyType({}),
    dampers: Sequence[Damper] = (),
) -> bytes | None:
    """The whole document; None where nothing needs it.  The same input gives the same bytes.

    Args:
        header: what the title says of the job.
        pieces: all of the job, complete.
        datum: z of the jig's datum, mm.
        paper: its size.
        stacks: the bolts of the job.
        starts: by the mark of a tube or profile the name of the point at which it starts, '' of one without.
        dampers: of the job.
    """
    if not needs_set_out(pieces):
        return None
    width = paper.width - 2 * MARGIN
    story: list[Flowable] = []
    carried = set_out_on(pieces)
    for on in carried:
        story += _on(on, header, starts.get(on.carrier.mark, ""), width)
    story += _on_ends(pieces, header.units, width)
    story += _by_points(pieces, header, datum, width)
    story += on_the_jig(pieces, dampers, datum, header.units, width)
    story += bolts_from_head_to_nut(stacks, pieces, header.units, width)
    top = opening(header, f"{header.title}: set-out", prose("set_out", "how") if carried else "")
    story += section("Cautions", [cell(prose("set_out", "limits"), SMALL), cell(cautions.PEOPLE, SMALL)])
    return flowing_pdf([*top, *story], paper, header, "set-out")


def _on(on: SetOutOn, header: Header, start: str, width: float) -> list[Flowable]:
    carrier, units = on.carrier, header.units
    rows = []
    for each, found in on.standing:
        near, far = along_text(found, units)
        outside = outside_text(carrier, found, units)
        around = round_text(found, units, side_of(carrier, found))
        rows.append(
            [each.name, touches(found), near, far, around, across_text(found, units), turn_text(found), outside]
        )
    datum = on.standing[0][1].datum
    side = "from TOP" if isinstance(carrier.shape, LengthPart) else "on"
    heads = [
        "part",
        "touches with",
        in_mm("near edge", units),
        in_mm("far edge", units),
        side,
        in_mm(f"from {datum}", units),
        "turned",
        in_mm("outside", units),
    ]
    listed = table(heads, rows, width, (2, 3, 7))
    blocks = [*_views(on, width, Figures(units == "in")), listed, *_holes(on, units, width)]
    shape = carrier.shape
    size = thickness_text(shape.thickness, units) if isinstance(shape, FlatPart) else shape.section.words(units)
    title = f"On {', '.join(filter(None, (on.name, carrier.title, size)))}"
    return section(f"{title}: from {held_at(carrier, start)}", *blocks)


def _views(on: SetOutOn, width: float, figures: Figures) -> list[Flowable | list[Flowable]]:
    """A view a side, then one of each part in a bend; two beside one another where they are hardly smaller so."""
    carrier = on.carrier
    is_bent = ", drawn straight" if isinstance(carrier.shape, LengthPart) and carrier.shape.path is not None else ""
    views = [
        (f"{on.name}, {name}, seen square to that side{is_bent}", side_view(carrier, group))
        for name, group in sides(on)
    ]
    for each in in_bends(on):
        at = tape_text(each[1].middle, figures.units)
        words = (
            f"{each[0].name} in a bend of {on.name}, seen square to the skin at {at}, the cross; sizes run from there"
        )
        views.append((words, bend_view(carrier, each)))
    half = (width - GUTTER) / 2.0
    blocks: list[Flowable | list[Flowable]] = []
    while views:
        row, views = views[:2], views[2:]
        if len(row) == 2 and any(view.scale(half) < min(LEGIBLE, HARDLY * view.scale(width)) for _, view in row):
            row, views = row[:1], [row[1], *views]
        wide = width if len(row) == 1 else half
        drawn: list[list[Flowable]] = []
        for words, view in row:
            panel = view.panel(wide, figures).at(0.0, 1.0)
            drawn.append([cell(words, SMALL), PictureBlock(panel.picture, wide, panel.height + 2.0)])
        blocks.append(drawn[0] if len(row) == 1 else [side_by_side(drawn, width)])
    return blocks


def _holes(on: SetOutOn, units: str, width: float) -> list[Flowable]:
    """The middles of the holes of what stands there."""
    rows = [
        [
            each.name,
            str(hole.number),
            tape_text(hole.along, units) if found.along is not None else "-",
            tape_text(hole.across, units),
            "-" if hole.over is None else tape_text(hole.over, units),
        ]
        for each, found in on.standing
        for hole in found.holes
    ]
    if not rows:
        return []
    sizes = ("middle along", f"from {on.standing[0][1].datum}", "over the skin")
    heads = ["part", "hole", *(in_mm(name, units) for name in sizes)]
    if len(rows) < _TWO_ABREAST:
        return [Spacer(0, 2 * mm), table(heads, rows, width, (2, 3, 4))]
    abreast = [[*one, *other] for one, other in zip_longest(rows[::2], rows[1::2], fillvalue=[""] * len(heads))]
    both = table([*heads, *heads], abreast, width, (2, 3, 4, 7, 8, 9), bold=(0, 5), apart=(5,))
    return [Spacer(0, 2 * mm), both]


def _on_ends(pieces: Sequence[Piece], units: str, width: float) -> list[Flowable]:
    rows = []
    for each in on_ends(pieces):
        if (found := each.place.on_end) is not None:
            turn = "any way" if found.turn is None else clock_text(found.turn)
            rims = (tape_text(rim, units) for rim in found.rims)
            rows.append([each.name, end_words(found), f"its {found.foot}", *rims, turn])
    if not rows:
        return []
    heads = ["part", "flush on", "with", in_mm("past the skin: TOP", units), "90°", "180°", "270°", "turned"]
    listed = table(heads, rows, width, (3, 4, 5, 6, 7))
    return section("On ends of tubes", cell(prose("set_out", "on_ends"), SMALL), listed)


def _by_points(pieces: Sequence[Piece], header: Header, datum: float, width: float) -> list[Flowable]:
    rows = [
        [each.name if number == 0 else "", name, *jig_sizes(at, datum, header.units)]
        for each in by_points(pieces)
        for number, (name, at) in enumerate(marks_of(each))
    ]
    if not rows:
        return []
    heads = ["part", "where", in_mm("x", header.units), "y", "over the datum"]
    intro = cell(f"{prose('set_out', 'by_points')} {over_datum(datum, header.units)}", SMALL)
    return section("By points", intro, table(heads, rows, width, (2, 3, 4)))
