"""An edge of a sheet part that lies on another, on the part's own flat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fabgen.geometry.plane.outline import Xy

Side = Literal["arrow", "other", "both"]


@dataclass(frozen=True, slots=True)
class WeldedEdge:
    """A stretch of a flat's outline, or of a hole in it, along which the part meets others.

    Args:
        on: their marks.
        butts: whether it meets them edge to edge.
        side: on which side of the joint a weld can run, seen as the flat is drawn.
        line: the stretch, mm on the flat, the metal left of it.
        whole: whether it is the whole outline or hole.
    """

    on: tuple[str, ...]
    butts: bool
    side: Side
    line: tuple[Xy, ...]
    whole: bool = False
