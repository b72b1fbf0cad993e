"""The table of a flat part's holes, for parts with too many to dimension one by one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.documents.drawing.flat_features import HoleGroup, hole_groups
from fabgen.documents.drawing.views import TableText
from fabgen.documents.words import figure
from fabgen.geometry.outline import Circle, Xy
from fabgen.parts.piece import FlatPart, Hole

MANY_HOLES = 6


@dataclass(frozen=True)
class TabledHole:
    """A hole whose position is given in the table: its name there, e.g. 'A3'."""

    name: str
    group: HoleGroup
    hole: Hole
    centre: Xy


def tabled_holes(groups: Sequence[HoleGroup]) -> list[TabledHole]:
    """The holes that stand in no pattern, when they are too many to dimension one by one; else none."""
    loose = [group for group in groups if group.pattern is None]
    if sum(len(group.holes) for group in loose) <= MANY_HOLES:
        return []
    return [
        TabledHole(f"{_letter(g)}{i + 1}", group, hole, centre)
        for g, group in enumerate(loose)
        for i, (hole, centre) in enumerate(zip(group.holes, group.centres, strict=True))
    ]


def hole_table(part: FlatPart) -> TableText | None:
    """The table of the holes that the view names by letters; None when it names none."""
    outline = part.outline
    x0, y0 = (outline.x, outline.y) if isinstance(outline, Circle) else outline.bounds[:2]
    rows = tuple(
        (each.name, figure(each.centre[0] - x0), figure(each.centre[1] - y0), each.group.label)
        for each in tabled_holes(hole_groups(part))
    )
    origin = "the centre" if isinstance(outline, Circle) else "the lower left corner"
    return TableText(f"Holes, from {origin}", ("hole", "x", "y", "size"), rows) if rows else None


def _letter(index: int) -> str:
    return "ABCDEFGHJKLMNPRSTUVWXYZ"[index % 23] * (1 + index // 23)
