"""One way to write a figure.  Half a last place goes up, as one rounds by hand (common practice, no source)."""

from __future__ import annotations

import math

import pytest

from fabgen.wording.figures import angle_figure, figure
from fabgen.wording.sentence import degrees


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(3.175, 2, "3.18"), (0.25, 1, "0.3"), (-0.25, 1, "-0.3"), (-0.01, 1, "0"), (12.0, 1, "12"), (120.0, 0, "120")],
)
def test_rounded_and_bare(value: float, decimals: int, text: str) -> None:
    assert figure(value, decimals) == text


@pytest.mark.parametrize("angle", [84.35, 84.45, 0.05, 179.95, 275.65, 12.34, 90.0])
def test_an_angle_and_its_mirror_image_make_up_a_turn(angle: float) -> None:
    """Half a last place goes to the even one: up for one of the two, down for the other."""
    for turn in (360.0, 180.0):
        assert float(angle_figure(angle)) + float(angle_figure(turn - angle)) == pytest.approx(turn, abs=1e-9)
    assert degrees(math.radians(angle)).words() == f"{angle_figure(angle)}°"
    assert angle_figure(angle) in (figure(angle), figure(angle - 0.01))
