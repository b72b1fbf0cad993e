"""Which things come near one another: a spatial index over their boxes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from fabgen.contact.solids import Solid
from fabgen.geometry.space.box_overlap import overlapping


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


def by_nearness(one: Solid, others: Sequence[Solid]) -> list[tuple[float, Solid]]:
    """Others with how far their boxes are from that of one, mm, the nearest first.

    Args:
        one: the thing.
        others: one or more.
    """
    low, high = (np.array([solid.box[side] for solid in others]) for side in (0, 1))
    away = np.linalg.norm(np.maximum(0.0, np.maximum(low - one.box[1], one.box[0] - high)), axis=1)
    return [(float(away[i]), others[i]) for i in np.argsort(away, kind="stable")]
