"""What is left of a sheet that is worth keeping: the metal beyond the parts, as one cuts it off."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely import Polygon, box, set_precision
from shapely.affinity import rotate, translate
from shapely.ops import unary_union

from fabgen.geometry.plane.outline import Loop
from fabgen.parts.piece import Piece
from fabgen.plan.plan import PlacedPart, Plan, SheetPlan
from fabgen.shop import trade_sizes as usual

_ERROR = 0.05
"""How far a flattened outline may stand off its arcs, mm."""


@dataclass(frozen=True, slots=True)
class Remnant:
    """A piece of sheet, its lower left corner at the origin, x along the rolling direction, whole mm.

    `size` where it is a rectangle with its longer side along x, `outline` in any case.
    """

    material: str
    thickness: float
    outline: tuple[tuple[float, float], ...]
    size: tuple[float, float] | None


def remnants_of(plan: Plan, pieces: Sequence[Piece], least: float) -> list[Remnant]:
    """What is left of each sheet of the plan, less all that is narrower than `least` mm."""
    outlines = {piece.mark: part.outline for piece in pieces if (part := piece.flat_part)}
    return [remnant for sheet in plan.sheets for remnant in _left_of(sheet, outlines, least)]


def _left_of(sheet: SheetPlan, outlines: dict[str, Loop], least: float) -> Iterator[Remnant]:
    gap = usual.sheet_gap(sheet.thickness)
    sheet_shape = _shape(sheet)
    x0, y0, _, _ = sheet_shape.bounds
    # Parts are laid from the lower left: all that lies below and left of a part counts as used,
    # so that what is kept comes off in straight cuts.
    used = [
        box(x0 - 1.0, y0 - 1.0, x1 + gap, y1 + gap)
        for x1, y1 in (_upper_right(outlines[placed.mark], placed) for placed in sheet.placed)
    ]
    free = sheet_shape.difference(unary_union(used))
    # What is narrower than `least` falls away, the rest comes back to its full size.
    half = least / 2.0
    kept = free.buffer(-half, join_style="mitre").buffer(half, join_style="mitre").intersection(free)
    for shape in sorted(getattr(kept, "geoms", [kept]), key=lambda part: -part.area):
        if not isinstance(shape, Polygon) or shape.area < least * least:
            continue
        if sheet.size[1] > sheet.size[0] and sheet.outline is None:
            shape = rotate(shape, -90.0, origin=(0.0, 0.0))  # the rolling direction ran along y
        shape = set_precision(shape.simplify(0.01).buffer(-0.5, join_style="mitre"), 1.0)
        if not isinstance(shape, Polygon) or shape.is_empty:
            continue
        left, low, right, top = shape.bounds
        shape = translate(shape, -left, -low)
        corners = tuple((float(x) + 0.0, float(y) + 0.0) for x, y in list(shape.normalize().exterior.coords)[:-1])
        width, height = math.floor(right - left), math.floor(top - low)
        is_sheet = _is_rectangle(shape) and width >= height
        size = (float(width), float(height)) if is_sheet else None
        yield Remnant(sheet.material, sheet.thickness, corners, size)


def _shape(sheet: SheetPlan) -> Polygon:
    """The sheet as it lies on the plan: a rectangle, or a remnant's own outline."""
    if sheet.outline is None:
        return box(0.0, 0.0, *sheet.size)
    return Polygon(sheet.outline.points(_ERROR))


def _is_rectangle(shape: Polygon) -> bool:
    x0, y0, x1, y1 = shape.bounds
    return bool(shape.area > (x1 - x0) * (y1 - y0) - 0.5)


def _upper_right(outline: Loop, placed: PlacedPart) -> tuple[float, float]:
    _, _, x1, y1 = outline.turned(math.radians(placed.turn)).moved(placed.x, placed.y).bounds
    return x1, y1
