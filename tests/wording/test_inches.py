"""Inches beside millimetres.  25.4 mm to the inch exactly: the international agreement of 1959."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.wording.inches import inch_size, inch_text


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


@given(st.floats(0.0, 1e4))
def test_reads_back(mm: float) -> None:
    whole, _, part = inch_size(mm).rpartition(" ")
    over, _, under = part.partition("/")
    inches = (float(whole) if whole else 0.0) + float(over) / float(under or 1)
    assert inches * 25.4 == pytest.approx(mm, abs=0.013)
