"""What the drawing of a piece shows, by what the piece is: views, side views and tables."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache

from fabgen.documents.drawing.flat import fold_view, rolled_view
from fabgen.documents.drawing.flat.flat_view import draw_flat
from fabgen.documents.drawing.flat.fold_holes import ProfileHole, profile_holes
from fabgen.documents.drawing.flat.fold_profile import FoldedProfile, folded_profiles
from fabgen.documents.drawing.flat.hole_table import hole_table
from fabgen.documents.drawing.sheet.blocks import titled
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.drawing.sheet.views import BETWEEN, SCALES, Content, DrawnView, TableText, View
from fabgen.documents.drawing.tube.landing_table import landing_table
from fabgen.documents.drawing.tube.link_view import link_content
from fabgen.documents.drawing.tube.tube_view import tube_content
from fabgen.documents.lists.bend_groups import bend_groups
from fabgen.documents.render.picture import Picture
from fabgen.documents.render.sketch import Panel, joined
from fabgen.documents.render.words import degrees, figure
from fabgen.geometry.plane.outline import Xy
from fabgen.parts.link.link_part import LinkPart
from fabgen.parts.piece import FlatBend, FlatPart, Piece
from fabgen.wording.figures import Figures

USUAL_PICTURE = 60.0
"""Larger side of an isometric picture, mm of paper."""
SIDE_ROOM = (26.0, 24.0)
"""The least that dimensions take beside a view, mm of paper (width, height)."""


def sheet_content(piece: Piece, known: Mapping[str, Piece], figures: Figures, projection: Projection) -> Content:
    """Views and tables of one piece; `known` gives the pieces that its tubes sit on, by mark."""
    if isinstance(piece.shape, FlatPart):
        return _flat_content(piece.shape, figures, projection)
    if isinstance(piece.shape, LinkPart):
        return link_content(piece, piece.shape, figures, projection)
    content = tube_content(piece.shape, known, figures, projection)
    tables = [table for table in (landing_table(piece.shape, figures), _hardware(piece, figures)) if table is not None]
    return replace(content, tables=(*content.tables, *tables)) if tables else content


def _hardware(piece: Piece, figures: Figures) -> TableText | None:
    """What is bought for the piece."""
    rows = tuple((str(each.quantity), each.item, each.spec, each.note.words(figures.units)) for each in piece.hardware)
    return TableText("Bought parts", ("qty", "what", "size", "note"), rows) if rows else None


def _flat_content(part: FlatPart, figures: Figures, projection: Projection) -> Content:
    x0, y0, x1, y1 = part.outline.bounds
    tables = [table for table in (hole_table(part, figures), _bend_table(part, figures)) if table is not None]
    sides: list[View] = []
    notes: list[str] = []
    drawn = [x1 - x0, y1 - y0]
    if part.bends:
        # A made shape that a picture shows has bends in all directions: no end to look at it from.
        profiles = [] if part.surface else folded_profiles(part)[:2]
        holes = [profile_holes(part, profile) for profile in profiles]
        sides += [_profile_view(*each, figures) for each in zip(profiles, holes, strict=True)]
        if any(holes):
            notes.append("Folded view, holes: from the outside corner.")
        drawn += [size for profile in profiles for size in profile.sizes]
        if part.tree is not None or part.surface:
            sides.append(_isometric_view(part))
    if part.rolled is not None:
        drawn += [part.rolled.bottom, part.rolled.top, part.rolled.height]
        sides.append(_rolled_view(part, figures, projection))
        if rows := rolled_view.development_rows(part, figures):
            tables.append(TableText("Setting out the sector", ("size", "mm"), rows))

    def draw(scale: float, room: Xy) -> Panel:
        return draw_flat(part, scale, figures, room, rolled_view.draw_sector_sizes).sketch.panel()

    title = "Flat pattern" if part.bends or part.rolled else ""
    main = View(title, _least(x1 - x0, y1 - y0), draw)
    lines = _bend_lines(part, figures)
    later = () if lines is None else (lines,)
    return Content(DrawnView(main), tuple(sides), tuple(tables), tuple(drawn), ("holes",), tuple(notes), later)


def _way_seen(part: FlatPart) -> str:
    """What 'up' means on the flat: all folds up, and it is drawn seen from inside the folded part."""
    ways = {bend.up for bend in part.bends}
    return "" if len(ways) > 1 else f", seen from {'inside' if True in ways else 'outside'}"


def _least(width: float, height: float, extra: Xy = SIDE_ROOM) -> Callable[[float], Xy]:
    """What a view of that size takes at a scale, with `extra` for its dimensions."""
    return lambda scale: (width * scale + extra[0], height * scale + extra[1])


def _readable(width: float, height: float) -> float:
    """The least scale at which a side view of that size still reads well."""
    return next((scale for scale in reversed(SCALES) if max(width, height) * scale >= 20.0), 1.0)


def _steady(draw: Callable[[float], Panel]) -> Callable[[float, Xy], Panel]:
    """A view that looks the same in any room, so that it need be drawn only once at a scale."""
    kept = cache(draw)
    return lambda scale, room: kept(scale)


def _profile_view(profile: FoldedProfile, holes: Sequence[ProfileHole], figures: Figures) -> View:
    width, height = fold_view.profile_size(profile)
    return View(
        "Folded, from the end",
        _least(width, height, (14.0, 14.0)),
        _steady(lambda scale: fold_view.draw_profile(profile, scale, figures, holes).panel()),
        readable=_readable(width, height),
    )


def _isometric_view(part: FlatPart) -> View:
    """The folded part in space; what is hidden is worked out once, for a picture of the usual size."""
    from fabgen.documents.scene.facet_lines import visible_picture
    from fabgen.documents.scene.hidden_lines import isometric, seen_size
    from fabgen.geometry.sheet.folded import fold_up

    x0, y0, x1, y1 = part.outline.bounds
    if part.tree is not None:
        facets = fold_up(part.tree, part.thickness, max(x1 - x0, y1 - y0) / 400.0)
    else:
        facets = list(part.surface)
    view = isometric()
    width, height = seen_size([facet.points for facet in facets], view)
    usual = USUAL_PICTURE / max(width, height)

    @cache
    def picture() -> Picture:
        return visible_picture(facets, view, usual)

    def draw(scale: float, room: Xy) -> Panel:
        drawn = picture().scaled(scale / usual)
        return Panel(drawn, drawn.bounds)

    return View("Isometric", _least(width, height, (0.0, 0.0)), draw, scaled=False, largest=1.0)


def _rolled_view(part: FlatPart, figures: Figures, projection: Projection) -> View:
    """The rolled part from the front and from above, one under the other."""
    assert part.rolled is not None
    width, height = rolled_view.elevation_size(part.rolled)

    def draw(scale: float) -> Panel:
        front = titled(rolled_view.draw_elevation(part, scale, figures).panel(), "From the front")
        plan = titled(rolled_view.draw_plan(part, scale, figures).panel(), "From above")
        below = projection == "first"
        dy = front.box[1] - BETWEEN - plan.box[3] if below else front.box[3] + BETWEEN - plan.box[1]
        return joined([front, plan.moved(0.0, dy)])

    least = _least(width, height + width, (14.0, 44.0))
    return View("Rolled", least, _steady(draw), readable=_readable(width, height))


def _bend_table(part: FlatPart, figures: Figures) -> TableText | None:
    """Every bend, those of a rounded part together."""
    if not part.bends:
        return None
    rows = []
    for group in bend_groups(part.bends):
        fold, bend = group.bend, group.bend.bend
        rows.append(
            (
                group.numbers,
                fold.name or "-",
                "up" if fold.up else "down",
                degrees(bend.angle),
                figures.size(bend.radius, 2),
                figure(bend.k, 3),
                figures.size(bend.allowance, 2),
                figures.size(bend.deduction, 2) if bend.angle < math.pi - 1e-6 else "-",
                _bend_place(part, fold, figures) if group.count == 1 else "further sheet",
            )
        )
    heads = ("bend", "between", "fold", "angle", "in. R", "K", "allow.", "deduct.", "bend line")
    title = f"Bends (angle: turned from flat; up = towards you, flat as drawn{_way_seen(part)})"
    return TableText(title, heads, tuple(rows))


def _bend_place(part: FlatPart, fold: FlatBend, figures: Figures) -> str:
    x0, y0, _, _ = part.outline.bounds
    if abs(fold.start[0] - fold.end[0]) < 0.01:
        return f"{figures.size(fold.start[0] - x0)} from left"
    if abs(fold.start[1] - fold.end[1]) < 0.01:
        return f"{figures.size(fold.start[1] - y0)} from below"
    ends = sorted((fold.start, fold.end), key=lambda p: (p[1], p[0]))
    return " to ".join(f"{figures.size(x - x0)}, {figures.size(y - y0)}" for x, y in ends)


def _bend_lines(part: FlatPart, figures: Figures) -> TableText | None:
    """Both ends of every bend line of rounded parts, to set them out by hand."""
    grouped = {n for group in bend_groups(part.bends) if group.count > 1 for n in range(group.first, group.last + 1)}
    if not grouped:
        return None
    x0, y0, _, _ = part.outline.bounds
    rows = tuple(
        (str(n), *(figures.size(v) for x, y in (fold.start, fold.end) for v in (x - x0, y - y0)))
        for n, fold in enumerate(part.bends, 1)
        if n in grouped
    )
    return TableText("Bend lines, from the lower left corner", ("bend", "from x", "y", "to x", "y"), rows)
