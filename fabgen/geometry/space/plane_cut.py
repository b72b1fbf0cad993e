"""What a plane cuts of a closed body."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fabgen.geometry.space.frame import Frame

if TYPE_CHECKING:
    from manifold3d import Manifold
    from shapely.geometry.base import BaseGeometry


def plane_cut(solid: Manifold, frame: Frame, height: float) -> BaseGeometry:
    """What a plane square to a frame's z cuts of a solid, in the frame's own x and y, mm.

    Args:
        solid: in space.
        frame: with the plane's directions.
        height: of the plane over the frame's origin, mm.
    """
    import shapely

    turned = [[*axis, -float(axis @ frame.origin)] for axis in frame.axes]
    rings = [shapely.Polygon(ring) for ring in solid.transform(turned).slice(height).to_polygons() if len(ring) > 2]
    whole = shapely.union_all([ring for ring in rings if ring.exterior.is_ccw])
    # Holes come as rings that run the other way round.
    return whole.difference(shapely.union_all([ring for ring in rings if not ring.exterior.is_ccw]))
