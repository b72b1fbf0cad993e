"""One way to write a figure.  Half a last place goes up, as one rounds by hand (common practice, no source)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.documents.render.words import tape_text
from fabgen.wording.figures import Figures, adding_up, angle_figure, figure
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


@pytest.mark.parametrize(
    ("inches", "tape"),
    [
        (27.659, '27 21/32"'),
        (30.15, '30 5/32"'),
        (7.112, '7 1/8"'),
        (9.5625, '9 9/16"'),
        (0.01, '0"'),
        (-2.26, '-2 1/4"'),
    ],
)
def test_a_tape_reads_fractions(inches: float, tape: str) -> None:
    """Worked by hand: 0.659 x 32 = 21.1, 0.15 x 32 = 4.8, 0.112 x 32 = 3.6, 0.26 x 32 = 8.3."""
    assert Figures(True).tape(inches * 25.4) == tape_text(inches * 25.4, "in") == tape
    assert tape_text(702.54, "mm") == "702.5"


@given(st.lists(st.floats(0.05, 3000.0), min_size=2, max_size=4))
def test_terms_make_their_total_as_they_are_printed(terms: list[float]) -> None:
    """As a saw hand adds them; each within the last place of what it is, and the first as it is rounded alone."""
    made = adding_up(sum(terms), terms, 0.1)
    assert sum(round(each * 10.0) for each in made) == round(float(figure(sum(terms))) * 10.0)
    assert figure(made[0]) == figure(terms[0])
    assert all(abs(one - other) <= 0.1001 for one, other in zip(made, terms, strict=True))


def test_a_sum_of_a_saw_sheet() -> None:
    """1071.5 and twice 13.53 make 1098.56."""
    assert [figure(each) for each in adding_up(1098.56, [1071.5, 13.53, 13.53], 0.1)] == ["1071.5", "13.6", "13.5"]
