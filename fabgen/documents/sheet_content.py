"""What the drawing of a piece shows, by what the piece is: views, side views and tables."""

from __future__ import annotations

import math
from collections.abc import Mapping

from fabgen.documents import fold_view, rolled_view
from fabgen.documents.dimensions import Figures
from fabgen.documents.flat_view import bend_name, draw_flat, hole_table
from fabgen.documents.fold_profile import FoldedProfile, folded_profiles
from fabgen.documents.picture import Arc
from fabgen.documents.sheet_frame import Projection
from fabgen.documents.sketch import Panel, Sketch
from fabgen.documents.tube_view import tube_content
from fabgen.documents.views import Content, TableText, View
from fabgen.documents.words import degrees, figure
from fabgen.geometry.outline import Xy
from fabgen.parts.piece import FlatPart, Piece

SIDE_ROOM = (26.0, 24.0)
"""The least that dimensions take beside a view, mm of paper (width, height)."""


def sheet_content(piece: Piece, known: Mapping[str, Piece], figures: Figures, projection: Projection) -> Content:
    """Views and tables of one piece; `known` gives the pieces that its tubes sit on, by mark."""
    if isinstance(piece.shape, FlatPart):
        return _flat_content(piece.shape, figures)
    return tube_content(piece.shape, known, figures, projection)


def _flat_content(part: FlatPart, figures: Figures) -> Content:
    x0, y0, x1, y1 = part.outline.bounds
    tables = [table for table in (hole_table(part), _bend_table(part)) if table is not None]
    sides: list[View] = []
    if part.bends:
        sides += [_profile_view(profile, figures) for profile in folded_profiles(part)[:2]]
        if part.tree is not None:
            sides.append(_isometric_view(part))
    if part.rolled is not None:
        sides += _rolled_views(part, figures)
        if rows := rolled_view.development_rows(part, figures):
            tables.append(TableText("Setting out the sector", ("size", "mm"), rows))

    def draw(scale: float, room: Xy) -> Panel:
        return draw_flat(part, scale, figures, room, rolled_view.draw_sector_sizes).sketch.panel()

    title = "Flat pattern" if part.bends or part.rolled else ""
    return Content(View(title, _least(x1 - x0, y1 - y0), draw), tuple(sides), tuple(tables))


def _least(width: float, height: float, extra: Xy = SIDE_ROOM):  # type: ignore[no-untyped-def]
    return lambda scale: (width * scale + extra[0], height * scale + extra[1])


def _profile_view(profile: FoldedProfile, figures: Figures) -> View:
    width, height = fold_view.profile_size(profile)
    return View(
        "Folded, from the end",
        _least(width, height, (14.0, 14.0)),
        lambda scale, room: fold_view.draw_profile(profile, scale, figures).panel(),
    )


def _isometric_view(part: FlatPart) -> View:
    from fabgen.documents.hidden_lines import isometric, visible_picture
    from fabgen.geometry.folded import fold_up

    assert part.tree is not None
    facets = fold_up(part.tree, part.thickness, max(0.1, part.thickness / 10.0))
    import numpy as np

    view = isometric()
    corners = view.inside(np.vstack([facet.points for facet in facets]))
    size = corners[:, :2].max(axis=0) - corners[:, :2].min(axis=0)

    def draw(scale: float, room: Xy) -> Panel:
        picture = visible_picture(facets, view, scale)
        return Panel(picture, picture.bounds)

    def least(scale: float) -> Xy:
        return (float(size[0]) * scale, float(size[1]) * scale)

    return View("Isometric", least, draw, scaled=False, largest=1.0)


def _rolled_views(part: FlatPart, figures: Figures) -> list[View]:
    assert part.rolled is not None
    width, height = rolled_view.elevation_size(part.rolled)
    return [
        View(
            "Rolled, from the front",
            _least(width, height, (12.0, 14.0)),
            lambda scale, room: rolled_view.draw_elevation(part, scale, figures).panel(),
        ),
        View(
            "From above",
            _least(width, width, (6.0, 6.0)),
            lambda scale, room: rolled_view.draw_plan(part, scale, figures).panel(),
        ),
    ]


def _bend_table(part: FlatPart) -> TableText | None:
    if not part.bends:
        return None
    x0, y0, _, _ = part.outline.bounds
    rows = []
    for index, fold in enumerate(part.bends):
        bend = fold.bend
        if abs(fold.start[0] - fold.end[0]) < 0.01:
            where = f"{figure(fold.start[0] - x0)} from left"
        elif abs(fold.start[1] - fold.end[1]) < 0.01:
            where = f"{figure(fold.start[1] - y0)} from below"
        else:
            where = "see view"
        rows.append(
            (
                bend_name(fold, index),
                "up" if fold.up else "down",
                degrees(bend.angle),
                figure(bend.radius, 2),
                figure(bend.k, 3),
                figure(bend.allowance, 2),
                figure(bend.deduction, 2) if bend.angle < math.pi - 1e-6 else "-",
                where,
            )
        )
    heads = ("bend", "fold", "angle", "in. R", "K", "allow.", "deduct.", "bend line")
    return TableText("Bends (angle: turned from flat)", heads, tuple(rows))


__all__ = ["Arc", "Sketch", "sheet_content"]
