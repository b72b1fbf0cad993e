"""Bends that are alike, told together: a rounded part's many small bends take one line of a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from fabgen.parts.piece import FlatBend


@dataclass(frozen=True, slots=True)
class BendGroup:
    """Bends numbered `first` to `last` (from 1) that have a name, a direction, an angle and a radius in common."""

    first: int
    last: int
    bend: FlatBend

    @property
    def numbers(self) -> str:
        """'3', or '3-8'."""
        return str(self.first) if self.first == self.last else f"{self.first}-{self.last}"

    @property
    def count(self) -> int:
        return self.last - self.first + 1


def bend_groups(bends: Sequence[FlatBend]) -> list[BendGroup]:
    """Neighbours of one name that are alike, in the order of the bends."""

    def alike(numbered: tuple[int, FlatBend]) -> tuple[object, ...]:
        number, fold = numbered
        bend = fold.bend
        return (fold.name or number, fold.up, round(bend.angle, 6), bend.radius, round(bend.k, 6))

    groups = []
    for _, members in groupby(enumerate(bends, 1), key=alike):
        numbered = list(members)
        groups.append(BendGroup(numbered[0][0], numbered[-1][0], numbered[0][1]))
    return groups
