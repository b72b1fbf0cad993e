"""The slip of hand behind a wrong reading: a tape held at a mark reads too long, never too short."""

from __future__ import annotations

import pytest

from fabgen.geometry.survey.trilateration import slip


@pytest.mark.parametrize(
    ("read", "likely", "named"),
    [
        (912.0, 812.4, "the tape held at its 100 mm mark"),
        (837.6, 812.0, "the tape held at its 1 in mark"),
        (712.0, 812.0, ""),  # 100 mm too short: no mark does that
        (786.6, 812.0, ""),  # 1 in too short
        (912.0, 815.5, ""),  # 96.5 mm too long
        (821.0, 833.0, ""),
        (827.0, 872.0, "two figures changed places: 872"),
        (827.5, 872.2, "two figures changed places: 872.5"),
        (1303.99, 1403.5, "two figures changed places: 1403"),
        (1303.6, 1403.5, ""),  # the tape showed no 4
    ],
)
def test_the_sign_of_the_misfit_decides(read: float, likely: float, named: str) -> None:
    assert slip(read, likely, 3.0) == named


@pytest.mark.parametrize(
    ("read", "likely", "named"),
    [
        (36.25, 63.25, "two figures changed places: 63 in for 36 in"),
        (36.25, 35.25, "the tape held at its 1 in mark"),
        (872.0 / 25.4, 827.0 / 25.4, ""),  # changed places in millimetres, which nobody read
    ],
)
def test_figures_of_a_tape_in_inches(read: float, likely: float, named: str) -> None:
    assert slip(read * 25.4, likely * 25.4, 3.0, inches=True) == named
