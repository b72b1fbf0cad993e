"""What the drawing of a piece shows, by what the piece is: views, side views and tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fabgen.documents.drawing.flat import band_view, fold_view, rolled_view
from fabgen.documents.drawing.flat.edge_signs import UNSIZED, EdgeSigns, edge_signs
from fabgen.documents.drawing.flat.flat_view import draw_flat
from fabgen.documents.drawing.flat.fold_holes import ProfileHole, profile_holes
from fabgen.documents.drawing.flat.fold_profile import FoldedProfile, folded_profiles
from fabgen.documents.drawing.flat.outline_features import outline_features
from fabgen.documents.drawing.flat.view_arrows import LETTERS, draw_view_arrows
from fabgen.documents.drawing.profile.profile_view import profile_content
from fabgen.documents.drawing.sheet.blocks import titled
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.drawing.sheet.space_view import space_view
from fabgen.documents.drawing.sheet.views import BETWEEN, SCALES, Content, DrawnView, TableText, View, least, steady
from fabgen.documents.drawing.tables_of_a_part import (
    arrived_table,
    bend_line_table,
    bend_note,
    bend_table,
    drilled_table,
    flat_tables,
    hardware_table,
    standing_notes,
)
from fabgen.documents.drawing.tube.bar_view import bar_content
from fabgen.documents.drawing.tube.link_view import link_content
from fabgen.documents.drawing.tube.tube_view import tube_content
from fabgen.documents.render.sketch import Panel, joined
from fabgen.documents.scene.facet_lines import visible_picture
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.sheet.folded import fold_up
from fabgen.parts.piece import Band, FlatPart, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.band_body import band_facets
from fabgen.parts.shape.standing import standing_on
from fabgen.parts.shape.welds.welded_edge import WeldedEdge
from fabgen.wording.figures import Figures

SIDE_ROOM = (26.0, 24.0)
"""The least that dimensions take beside a view, mm of paper (width, height)."""

STILL_SEEN = 14.0
"""A flat may be so low or narrow on paper, mm, where all that belongs to it then is on one sheet."""
PLAIN = 2
"""With so few bends a part is plain without a picture of it in space, where room is short."""
SHOWN = ("holes", "corners", "notches")
"""What facts of a flat its views dimension."""


def sheet_content(
    piece: Piece,
    known: Mapping[str, Piece],
    figures: Figures,
    projection: Projection,
    edges: Sequence[WeldedEdge] = (),
) -> Content:
    """Views and tables of one piece; `known` gives all pieces by mark: those that its tubes sit on, and what stands on
    it; `edges` are those of its flat that meet others."""
    content = _own_content(piece, known, figures, projection, edges)
    if isinstance(piece.shape, LengthPart) and not isinstance(piece.shape, LinkPart):
        return content
    return replace(content, notes=(*content.notes, *standing_notes(piece, known.values(), figures)))


def _own_content(
    piece: Piece,
    known: Mapping[str, Piece],
    figures: Figures,
    projection: Projection,
    edges: Sequence[WeldedEdge],
) -> Content:
    """The same without what is placed on it."""
    if isinstance(piece.shape, FlatPart):
        signs = edge_signs(piece, edges, known.values(), projection, figures)
        return _flat_content(piece.shape, figures, projection, signs)
    if isinstance(piece.shape, LinkPart):
        return link_content(piece, piece.shape, figures, projection)
    if isinstance(piece.shape, ProfilePart):
        return profile_content(piece.shape, figures, standing_on(piece.mark, known.values()))
    if piece.shape.is_bent_bar:
        content = bar_content(piece.shape, figures)
    else:
        content = tube_content(piece, piece.shape, known, figures, projection)
    part = piece.shape
    found = (
        drilled_table(part, figures),
        arrived_table(piece, part, known.values(), figures),
        hardware_table(piece, figures),
    )
    tables = [table for table in found if table is not None]
    shown = (*content.shown, "drilled") if piece.shape.drilled else content.shown
    return replace(content, tables=(*content.tables, *tables), shown=shown) if tables else content


def _flat_content(part: FlatPart, figures: Figures, projection: Projection, signs: EdgeSigns | None) -> Content:
    tables = [*flat_tables(part, figures)]
    if said := bend_note(part, figures):
        tables = [table for table in tables if table != bend_table(part, figures)]
    sides: list[View] = []
    notes: list[str] = [UNSIZED] if signs is not None and signs.has_unsized else []
    notes += [said] if said else []
    drawn = [*part.size]
    profiles: list[FoldedProfile] = []
    if part.bends and part.band is None:
        # A made shape that a picture shows has bends in all directions: no end to look at it from.
        profiles = [] if part.surface else folded_profiles(part)[: len(LETTERS)]
        holes = [profile_holes(part, profile) for profile in profiles]
        sides += [_profile_view(*each, figures) for each in zip(LETTERS, profiles, holes, strict=False)]
        if any(holes):
            notes.append("Folded view, holes: from the outside corner.")
        drawn += [size for profile in profiles for size in profile.sizes]
        if part.surface and outline_features(part.outline).curved:
            notes.append("Round edge: through the ends of its bend lines, see the further sheet.")
        if part.tree is not None or part.surface:
            sides.append(replace(_isometric_view(part), spare=len(part.bends) <= PLAIN))
    if part.band is not None:
        sides += [_band_view(part, part.band, figures), _isometric_view(part)]
        drawn += band_view.band_size(part, part.band)
    if part.rolled is not None:
        drawn += [part.rolled.bottom, part.rolled.top, part.rolled.height]
        sides.append(_rolled_view(part, figures, projection))
        if rows := rolled_view.development_rows(part, figures):
            tables.append(TableText("Setting out the sector", ("size", "is" if figures.inches else "mm"), rows))

    def draw(scale: float, room: Xy) -> Panel:
        sketch = draw_flat(part, scale, figures, room, rolled_view.draw_sector_sizes, signs).sketch
        x0, y0, x1, y1 = part.outline.bounds
        draw_view_arrows(sketch, profiles, (x0 * scale, y0 * scale, x1 * scale, y1 * scale))
        return sketch.panel()

    title = "Flat pattern" if part.bends or part.rolled or part.band else ""
    main = View(title, least(*part.size, SIDE_ROOM), draw, slim=STILL_SEEN)
    lines = bend_line_table(part, figures)
    later = () if lines is None else (lines,)
    return Content(DrawnView(main), tuple(sides), tuple(tables), tuple(drawn), SHOWN, tuple(notes), later)


def _readable(width: float, height: float) -> float:
    """The least scale at which a side view of that size still reads well."""
    return next((scale for scale in reversed(SCALES) if max(width, height) * scale >= 20.0), 1.0)


def _profile_view(letter: str, profile: FoldedProfile, holes: Sequence[ProfileHole], figures: Figures) -> View:
    width, height = fold_view.profile_size(profile)
    said = "folded, from the end"
    if profile.inside:
        said = "folded, inside sizes; holes: outside" if holes else "folded, from the end, inside sizes"
    return View(
        f"{letter}: {said}",
        least(width, height, (14.0, 14.0)),
        steady(lambda scale: fold_view.draw_profile(profile, scale, figures, holes).panel()),
        readable=_readable(width, height),
    )


def _band_view(part: FlatPart, band: Band, figures: Figures) -> View:
    width, height = band_view.band_size(part, band)
    return View(
        "Bent, from the end" if band.box is not None else "Rolled, from the end",
        least(width, height, (24.0, 24.0)),
        steady(lambda scale: band_view.draw_band(part, band, scale, figures).panel()),
        readable=_readable(width, height),
    )


def _isometric_view(part: FlatPart) -> View:
    """The folded part in space."""
    facets = list(part.surface)
    if part.band is not None:
        facets = band_facets(part, part.band, max(part.size) / 400.0)
    if part.tree is not None:
        facets = fold_up(part.tree, part.thickness, max(part.size) / 400.0)
    return space_view([facet.points for facet in facets], lambda view, scale: visible_picture(facets, view, scale))


def _rolled_view(part: FlatPart, figures: Figures, projection: Projection) -> View:
    """The rolled part from its side and from its top end, one under the other."""
    assert part.rolled is not None
    width, height = rolled_view.elevation_size(part.rolled)

    def draw(scale: float) -> Panel:
        side = titled(rolled_view.draw_elevation(part, scale, figures).panel(), "Side, seam behind")
        plan = titled(rolled_view.draw_plan(part, scale, figures).panel(), "Top end")
        below = projection == "first"
        dy = side.box[1] - BETWEEN - plan.box[3] if below else side.box[3] + BETWEEN - plan.box[1]
        return joined([side, plan.moved(0.0, dy)])

    taken = least(width, height + width, (14.0, 44.0))
    return View("Rolled", taken, steady(draw), readable=_readable(width, height))
