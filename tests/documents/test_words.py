"""Figures and counts in words."""

import pytest

from fabgen.documents.render.words import counted, figure
from fabgen.shop.section import Section


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (3.175, 2, "3.18"),  # 1/8 in
        (-3.175, 2, "-3.18"),
        (1.5875, 3, "1.588"),  # 1/16 in
        (0.25, 1, "0.3"),
        (3.1749, 2, "3.17"),
        (3.0, 2, "3"),
        (-0.001, 2, "0"),
        (0.0, 1, "0"),
    ],
)
def test_half_a_last_place_goes_up(value: float, decimals: int, text: str) -> None:
    assert figure(value, decimals) == text


def test_a_section_rounds_alike() -> None:
    assert str(Section("round", 38.1, 38.1, 3.175)) == "38.1 x 3.18"


def test_plural_words() -> None:
    assert [counted(n, "mark") for n in (0, 1, 2)] == ["0 marks", "1 mark", "2 marks"]
