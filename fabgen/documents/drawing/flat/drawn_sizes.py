"""What a view of a flat dimensions, as data: so that it can be asked whether the sheet says all that the flat is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fabgen.geometry.plane.outline import Xy

Kind = Literal["x", "y", "straight", "radius", "chamfer", "hole", "row x", "row y", "place", "angle", "disc"]
"""`x`, `y`: a length along that axis, from the first point to the second.  `straight`: from point to point.
`radius`, `chamfer`: of the arcs and cut corners whose middles are the points.  `hole`: what holes with these centres
are called.  `row x`, `row y`: equal steps from the first point to the last.  `place`: x and y of a point in a table.
`angle`: at the first point, between the ways to the second and third.  `disc`: a round outline about the point."""


@dataclass(frozen=True, slots=True)
class DrawnSize:
    """One size on the sheet: what it measures, at which points of the flat (mm), and its text as printed.

    A `reference` follows from others and stands in brackets (ISO 129-1, auxiliary dimension)."""

    kind: Kind
    points: tuple[Xy, ...]
    text: str
    reference: bool = False
