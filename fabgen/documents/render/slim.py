"""Pictures for a screen: the corners of a curve that no eye tells are left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from shapely import get_coordinates, linestrings, simplify

from fabgen.documents.render.picture import Fill, Item, Picture, Stroke

UNSEEN = 0.02
"""A line may be so far from where it was, mm of drawing: a fourteenth of a pixel of the page."""
_FEW = 6
"""A line of no more corners stays as it is."""


def slimmed(picture: Picture, apart: float = UNSEEN) -> Picture:
    """The picture with fewer corners in its lines and fills.

    Args:
        picture: any.
        apart: how far a line may be moved, mm (Douglas and Peucker's way, by shapely).
    """
    return Picture(tuple(_slim(item, apart) for item in picture.items))


def _slim(item: Item, apart: float) -> Item:
    if not isinstance(item, Stroke | Fill) or len(item.points) <= _FEW:
        return item
    found = get_coordinates(simplify(linestrings(np.array(item.points)), apart, preserve_topology=False))
    return replace(item, points=tuple((x, y) for x, y in found.tolist()))
