"""A whole tube from its papers: saw length, TOP line and both ends' heights, wrapped on in space.

Nothing of the tube's own place along its route is taken from the code but one sliding fit at the start:
with the start's edge on its main, the finish's edge, one saw length on and by the same TOP line, lies on
the other main all round.  A clocking error of a degree would leave it off by some tenths of a millimetre.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from fabgen.documents.wrap.wrap import unrolled
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Array, LengthPart, WorkedEnd
from fabgen.parts.tube.tube import pieces

R, BRANCH = 30.15, 33.7


def skew_pair(seed: int) -> tuple[list[dict[str, Any]], list[tuple[Array, Array]], Array, Array]:
    """Two mains any way round and a branch from the one to the other; the mains' points and directions."""
    random = np.random.default_rng((17, seed))
    start = np.zeros(3)
    along = random.normal(size=3)
    along /= np.linalg.norm(along)
    finish = 700.0 * along
    mains = []
    for point in (start, finish):
        way = random.normal(size=3)
        way /= np.linalg.norm(way)
        while abs(way @ along) > 0.8:
            way = random.normal(size=3)
            way /= np.linalg.norm(way)
        aside = np.cross(way, along)
        mains.append((point + random.uniform(-10, 10) * aside / np.linalg.norm(aside), way))
    tubes = [
        {"mark": f"M{i}", "section": "60.3 x 3.2", "route": [(p - 400 * w).tolist(), (p + 400 * w).tolist()]}
        for i, (p, w) in enumerate(mains)
    ]
    ends = {at: {"onto": [f"M{i}"], "fit": "outside"} for i, at in enumerate(("start", "finish"))}
    tubes.append({"mark": "B", "section": "33.7 x 2.6", "route": [start.tolist(), finish.tolist()], **ends})
    return tubes, mains, start, along


def from_the_paper(part: LengthPart, end: WorkedEnd) -> tuple[Array, Array]:
    """(station to the right of TOP, height above the saw cut), mm, as the wrap shows them."""
    wrap = unrolled(part, end)
    return wrap.station - wrap.top_station, wrap.v


def off(main: tuple[Array, Array], points: Array) -> Array:
    away = points - main[0]
    away = away - (away @ main[1])[:, None] * main[1]
    return np.asarray(np.linalg.norm(away, axis=1) - R)


@pytest.mark.parametrize("seed", range(20))
def test_both_ends_land_on_their_mains(seed: int) -> None:
    tubes, mains, origin, along = skew_pair(seed)
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes})
    part = pieces(job)[2].length_part
    assert part is not None
    top = np.array([0.0, 0.0, 1.0]) - along[2] * along
    top /= np.linalg.norm(top)

    def wrapped(end: WorkedEnd, saw_cut: float) -> Array:
        """The line in space: stood on its saw cut with the other end up, right is (up) x (outward)."""
        station, height = from_the_paper(part, end)
        up = along if end.at == "start" else -along
        turn = station / (BRANCH / 2.0)
        out = np.cos(turn)[:, None] * top + np.sin(turn)[:, None] * np.cross(up, top)
        return np.asarray(origin + saw_cut * along + height[:, None] * up + BRANCH / 2.0 * out)

    start, finish = part.ends
    low, high = -300.0, 300.0
    for _ in range(60):  # slid along until the start's edge is on its main
        middle = (low + high) / 2.0
        outside = float(off(mains[0], wrapped(start, middle)).mean()) > 0.0
        low, high = (low, middle) if outside else (middle, high)
    at = (low + high) / 2.0
    assert np.abs(off(mains[0], wrapped(start, at))).max() < 1e-3
    assert np.abs(off(mains[1], wrapped(finish, at + part.length))).max() < 1e-3


def test_it_would_show_an_error_of_a_degree() -> None:
    tubes, _, _, _ = skew_pair(3)
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes})
    part = pieces(job)[2].length_part
    assert part is not None
    station, height = from_the_paper(part, part.ends[1])
    turned = np.interp(station, station + math.radians(1.0) * BRANCH / 2.0, height)
    assert np.abs(turned - height).max() > 0.1
