"""Where the holes of a folded part come to once it is folded."""

from dataclasses import dataclass

import numpy as np

from fabgen.geometry.sheet.folded import placed_faces
from fabgen.geometry.sheet.folds import FoldTree
from fabgen.geometry.space.frame import Array


@dataclass(frozen=True, eq=False)
class HoleAxis:
    """A hole of a folded part: its centre in mid-sheet and the direction it is drilled in."""

    face: str
    index: int
    centre: Array
    direction: Array


def hole_axes(tree: FoldTree, thickness: float) -> list[HoleAxis]:
    """Centre and axis of every hole, in the order of `flat_pattern(tree).holes`."""
    axes = []
    for placed in placed_faces(tree):
        for index, hole in enumerate(placed.face.holes):
            x0, y0, x1, y1 = hole.bounds
            middle = np.array([(x0 + x1) / 2.0, (y0 + y1) / 2.0, thickness / 2.0])
            axes.append(HoleAxis(placed.face.name, index, placed.frame.outside(middle), placed.frame.z))
    return axes
