"""Which things come near one another: a spatial index over their boxes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.contact.solids import Box, Solid
from fabgen.geometry.space.box_overlap import overlapping
from fabgen.geometry.space.frame import Array


def near_pairs(solids: Sequence[Solid], within: float) -> Iterator[tuple[Solid, Solid]]:
    """Pairs whose boxes come within so many mm of one another, in the order of the job.

    Args:
        solids: all.
        within: mm.
    """
    if len(solids) < 2:
        return
    low, high = (np.array([solid.box[side] for solid in solids]) for side in (0, 1))
    for i, j in overlapping(low - within, high + within, low, high).tolist():
        if i < j:
            yield solids[i], solids[j]


@dataclass(frozen=True, eq=False)
class Boxes:
    """Things to be asked for by a box, again and again.

    Args:
        solids: all of them.
    """

    solids: Sequence[Solid]

    @cached_property
    def _corners(self) -> Box:
        low, high = (np.array([solid.box[side] for solid in self.solids]).reshape(-1, 3) for side in (0, 1))
        return low, high

    def meeting(self, box: Box) -> list[Solid]:
        """Those whose boxes meet another.

        Args:
            box: its lower and upper corner.
        """
        low, high = self._corners
        return [self.solids[i] for i in np.flatnonzero(((low <= box[1]) & (high >= box[0])).all(axis=1)).tolist()]

    def along(self, line: tuple[Array, Array], within: float) -> list[Solid]:
        """Those whose boxes a straight line comes to, or nearly so.

        Args:
            line: its two ends, (3,) mm.
            within: so many mm larger all round is each box.
        """
        start, way = line[0], line[1] - line[0]
        way = np.where(np.abs(way) < 1e-9, 1e-9, way)
        low, high = self._corners
        shares = np.sort(((low - within - start) / way, (high + within - start) / way), axis=0)
        first, last = shares[0].max(axis=1, initial=0.0), shares[1].min(axis=1, initial=1.0)
        return [self.solids[i] for i in np.flatnonzero(first <= last).tolist()]


def by_nearness(one: Solid, others: Sequence[Solid]) -> list[tuple[float, Solid]]:
    """Others with how far their boxes are from that of one, mm, the nearest first.

    Args:
        one: the thing.
        others: one or more.
    """
    low, high = (np.array([solid.box[side] for solid in others]) for side in (0, 1))
    away = np.linalg.norm(np.maximum(0.0, np.maximum(low - one.box[1], one.box[0] - high)), axis=1)
    return [(float(away[i]), others[i]) for i in np.argsort(away, kind="stable")]
