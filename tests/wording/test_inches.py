"""Inches beside millimetres.  25.4 mm to the inch exactly: the international agreement of 1959."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.wording.inches import inch_size, inch_text, inches_beside


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (25.4, '1"'),
        (63.5, '2 1/2"'),
        (10.31875, '13/32"'),
        (3.175, '1/8"'),
        (3.18, '1/8"'),
        (0.396875, '1/64"'),
        (40.0, '1.575"'),
        (0.0, '0"'),
        (-12.7, '-1/2"'),
        (-38.1, '-1 1/2"'),
    ],
)
def test_size(mm: float, text: str) -> None:
    assert inch_text(mm) == text


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("18 mm from centre to edge", '18 mm [0.709"] from centre to edge'),
        ("needs 2 d = 19.05 mm", 'needs 2 d = 19.05 mm [3/4"]'),
        ("101.6 x 63.5 mm", '101.6 x 63.5 mm [4 x 2 1/2"]'),
        ("between 25.4 and 50.8 mm", 'between 25.4 and 50.8 mm [1 and 2"]'),
        ("412.8 mm [16.250 in]", "412.8 mm [16.250 in]"),
        ("an area of 20 mm2, 7 mm²", "an area of 20 mm2, 7 mm²"),
        ("M12 x 1.75, 90°, 3 marks", "M12 x 1.75, 90°, 3 marks"),
    ],
)
def test_beside(text: str, told: str) -> None:
    assert inches_beside(text) == told
    assert inches_beside(told) == told


@given(st.floats(0.0, 1e4))
def test_reads_back(mm: float) -> None:
    whole, _, part = inch_size(mm).rpartition(" ")
    over, _, under = part.partition("/")
    inches = (float(whole) if whole else 0.0) + float(over) / float(under or 1)
    assert inches * 25.4 == pytest.approx(mm, abs=0.013)
