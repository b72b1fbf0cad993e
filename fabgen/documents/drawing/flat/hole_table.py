"""The table of a flat part's holes, for parts with too many to dimension one by one."""

from __future__ import annotations

from fabgen.documents.drawing.sheet.views import TableText
from fabgen.geometry.plane.outline import Circle
from fabgen.parts.piece import FlatPart
from fabgen.parts.sheet.hole_groups import hole_groups, tabled_holes
from fabgen.wording.figures import MILLIMETRES, Figures


def hole_table(part: FlatPart, figures: Figures = MILLIMETRES) -> TableText | None:
    """The table of the holes that the view names by letters; None when it names none."""
    outline = part.outline
    x0, y0 = (outline.x, outline.y) if isinstance(outline, Circle) else outline.bounds[:2]
    rows = tuple(
        (each.name, figures.size(each.centre[0] - x0), figures.size(each.centre[1] - y0), each.group.label)
        for each in tabled_holes(hole_groups(part, figures))
    )
    origin = "the centre" if isinstance(outline, Circle) else "the lower left corner"
    return TableText(f"Holes, from {origin}", ("hole", "x", "y", "size"), rows) if rows else None
