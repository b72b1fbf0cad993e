"""Paper sizes: the A series against ISO 216's own rules, names and their errors."""

import math

import pytest

from fabgen.documents.render import paper


def test_a_series_follows_iso_216() -> None:
    """ISO 216:2007, 3.1 and 3.2: sides as 1 to the square root of 2, each size half the one before, rounded to 1 mm."""
    for size in (paper.A4, paper.A3, paper.A2):
        assert size.height / size.width == pytest.approx(math.sqrt(2.0), abs=0.004)
    assert (paper.A3.width, paper.A3.height / 2.0) == (paper.A4.height, paper.A4.width)
    assert (paper.A2.width, paper.A2.height / 2.0) == (paper.A3.height, paper.A3.width)
    # A0 is one square metre: A4 is a sixteenth of it.
    assert paper.A4.width * paper.A4.height == pytest.approx(1e6 / 16.0, rel=0.003)


def test_inch_sizes_are_whole_inches() -> None:
    """ANSI/ASME Y14.1: size A is 8.5 x 11 in, size B is 11 x 17 in."""
    assert (paper.LETTER.width / 25.4, paper.LETTER.height / 25.4) == pytest.approx((8.5, 11.0))
    assert (paper.TABLOID.width / 25.4, paper.TABLOID.height / 25.4) == pytest.approx((11.0, 17.0))


def test_turning_keeps_the_sheet() -> None:
    assert paper.A4.landscape.upright == paper.A4
    assert (paper.A4.landscape.width, paper.A4.landscape.height) == (297.0, 210.0)


@pytest.mark.parametrize(("name", "found"), [("A4", "A4"), (" a3 ", "A3"), ("LETTER", "Letter")])
def test_names_in_any_case(name: str, found: str) -> None:
    assert paper.find(name).name == found


def test_an_unknown_name_gets_the_nearest() -> None:
    with pytest.raises(ValueError, match=r"accepted: A4, A3, A2, Letter, Legal, Tabloid\n    nearest: Letter"):
        paper.find("lettre")
