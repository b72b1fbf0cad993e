"""The seam round a cover that stands by points: as long as what it touches there, by hand."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import definitions, pieces_of, tube

from fabgen.plan.buying.seams import seams

BOX = "40 x 40 x 3"
SIDES = [
    tube("T1", (0, 0, 0), (1000, 0, 0), section=BOX),
    tube("T2", (0, 500, 0), (1000, 500, 0), section=BOX),
    tube("T3", (0, 0, 0), (0, 500, 0), section=BOX),
    tube("T4", (1000, 0, 0), (1000, 500, 0), section=BOX),
]


def cover(*points: tuple[float, float, float], **keys: Any) -> dict[str, Any]:
    return {"mark": "K1", "shape": "panel", "thickness": 2, "points": [list(each) for each in points]} | keys


def long(given: dict[str, Any], *tubes: dict[str, Any], **more: Any) -> float:
    job = definitions(tube=list(tubes), cover=[given], **more)
    found, _ = seams(job, pieces_of(job))
    return sum(seam.length for seam in found if seam.mark == "K1")


INSIDE = ((20, 20, 0), (980, 20, 0), (980, 480, 0), (20, 480, 0))
HALF = ((20, 20, 0), (500, 20, 0), (500, 480, 0), (20, 480, 0))
ON_TOP = ((0, 0, 21), (1000, 0, 21), (1000, 500, 21), (0, 500, 21))
HALF_ON_TOP = ((0, 0, 21), (500, 0, 21), (500, 500, 21), (0, 500, 21))

CASES: dict[str, tuple[dict[str, Any], float]] = {
    "in the opening: all round": (cover(*INSIDE), 2 * (960 + 460)),
    "in half the opening: not along the side in the air": (cover(*HALF), 480 + 480 + 460),
    # Its corners at the open side lie on the tubes: half of one each, 20 mm less its rounding of 6.
    "half on top of the frame: not along the open middle": (cover(*HALF_ON_TOP), 3 * 500 + 2 * 14),
    "on top of the frame: all round": (cover(*ON_TOP), 3000),
    "a cap, smaller by its weld gap": (cover(*INSIDE, shape="cap", weld_gap=1.5), 2 * (957 + 457)),
}


@pytest.mark.parametrize("name", CASES)
def test_by_hand(name: str) -> None:
    given, expected = CASES[name]
    assert long(given, *SIDES) == pytest.approx(expected, abs=12)


def test_a_cover_between_two_rails_alone_has_two_seams() -> None:
    assert long(cover(*INSIDE), *SIDES[:2]) == pytest.approx(2 * 960, abs=8)


def test_one_without_a_place_or_in_the_air_counts_all_round() -> None:
    flat = {"mark": "K1", "shape": "panel", "thickness": 2, "rectangle": [960, 460]}
    assert long(flat, *SIDES) == pytest.approx(2 * (960 + 460))
    assert long(cover(*((x, y, 300) for x, y, _ in INSIDE)), *SIDES) == pytest.approx(2 * (960 + 460))


def test_one_that_laps_over_two_round_posts_is_welded_along_these() -> None:
    """Its edges lie 8 mm beside the lines on which it touches, 1.6 mm off the skin of a 42.4 tube."""
    posts = [tube(f"T{n}", (x, 0, 0), (x, 0, 600), section="42.4 x 2.6") for n, x in ((1, 0), (2, 400))]
    panel = cover((-8, 22.2, 100), (408, 22.2, 100), (408, 22.2, 250), (-8, 22.2, 250))
    assert long(panel, *posts) == pytest.approx(2 * 150 + 4 * 16, abs=16)
