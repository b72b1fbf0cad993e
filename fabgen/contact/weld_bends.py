"""How near the welds of seated sheet come to cold bends: the folds of the sheet itself and of what carries it, and the
bends of a tube."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.contact.solids import Solid
from fabgen.contact.weld_lines import WeldLine
from fabgen.geometry.sheet.folded import bend_lines, placed_faces
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.centreline import Turn
from fabgen.parts.piece import FlatPart, LengthPart
from fabgen.parts.shape.sheet_body import fold_tree_of

_STEP = 1.0
"""A way is asked at places so far apart, mm."""


def to_folds(line: WeldLine, sheet: Solid) -> float:
    """How near a weld comes to the folds of one of the two that it joins, mm; inf where that has none.

    Args:
        line: the weld.
        sheet: `line.one` or `line.other`.
    """
    part = sheet.part
    if not isinstance(part, FlatPart) or part.tree is None or not part.places:
        return np.inf
    frame, points = part.places[sheet.number].frame, _places(line)
    ends = (lines for placed in placed_faces(fold_tree_of(part)) for lines in bend_lines(placed, part.thickness))
    return min((_to_line(points, *frame.outside(np.array(each))) for each in ends), default=np.inf)


def near_turns(line: WeldLine, near: float) -> Iterator[Turn]:
    """The bends of the tube that a weld is on, or so near to, mm along the tube."""
    part = line.other.part
    if isinstance(part, LengthPart) and part.path is not None:
        at, _ = part.path.locate(_places(line))
        for turn in part.path.turns:
            if bool(((at > turn.at - near) & (at < turn.at + turn.length + near)).any()):
                yield turn


def _places(line: WeldLine) -> Array:
    """Places along a weld, (n, 3) mm."""
    return np.vstack([_dense(way) for way in line.ways])


def _dense(way: Array) -> Array:
    along = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(way, axis=0), axis=1))))
    at = np.union1d(along, np.arange(0.0, along[-1], _STEP))
    return np.column_stack([np.interp(at, along, axis) for axis in way.T])


def _to_line(points: Array, start: Array, end: Array) -> float:
    way = end - start
    share = np.clip((points - start) @ way / (way @ way), 0.0, 1.0)
    return float(np.linalg.norm(points - start - share[:, None] * way, axis=1).min())
