"""How sections and goods are named, in mm and inches.  25.4 mm to the inch exactly: agreement of 1959."""

import pytest

from fabgen.job.tables.fields import parse_section
from fabgen.shop.goods import Sheet, StockBar, Threaded
from fabgen.shop.section import Section


@pytest.mark.parametrize(
    ("section", "inches"),
    [
        ("44.45 x 3.05", '1 3/4 x 0.120"'),
        ("38.1 x 2.41", '1 1/2 x 0.095"'),
        ("41.28 x 3.05", '1 5/8 x 0.120"'),
        ("48.3 x 3.2", "48.3 x 3.2 mm"),
        ("25.4 x 4", "25.4 x 4 mm"),
        ("25.4 x 3.4", '1 x 0.134"'),
        ("33.4 x 3.38", '1.315 x 0.133"'),
        ("50.8 x 25.4 x 3.05", '2 x 1 x 0.120"'),
        ("bar 19.05", 'bar 3/4"'),
        ("flat 38.1 x 6.35", 'flat 1 1/2 x 1/4"'),
        ("square bar 12.7", 'square bar 1/2"'),
    ],
)
def test_section(section: str, inches: str) -> None:
    found = parse_section(section)
    assert found.words() == str(found) == section
    assert found.words("in") == inches
    assert parse_section(found.written()) == parse_section(found.written(" mm")) == found


def test_a_unit_stands_after_the_sizes() -> None:
    assert parse_section("48.3 x 3.2").written(" mm") == "48.3 x 3.2 mm"
    assert parse_section("25 solid").written(" mm") == "bar 25 mm"
    assert parse_section("10 x 40 solid").written(" mm") == "10 x 40 mm solid"


def test_what_is_bought_alike_is_one_section() -> None:
    drawn = [Section("rectangular", 50.8, 25.4, wall, corner) for wall, corner in ((3.175, 6.35), (3.18, 5.0))]
    assert drawn[0].nominal == drawn[1].nominal
    assert drawn[0].nominal != Section("rectangular", 50.8, 25.4, 3.05).nominal
    assert str(drawn[0].nominal) == "50.8 x 25.4 x 3.18"


def test_goods() -> None:
    tube = StockBar(Section("round", 44.45, 44.45, 3.05), "S355", 6096.0)
    assert tube.words() == "44.45 x 3.05 S355, 6096 mm"
    assert tube.words("in") == '1 3/4 x 0.120" S355, 240"'
    sheet = Sheet("S235", 3.175, (2438.4, 1219.2))
    assert sheet.words() == "3.175 mm S235, 2438.4 x 1219.2 mm"
    assert sheet.words("in") == '1/8" S235, 96 x 48"'
    metric = StockBar(Section("round", 48.3, 48.3, 3.2), "S355", 6000.0)
    assert metric.words("in") == "48.3 x 3.2 mm S355, 6000 mm"
    assert Sheet("S235", 3.0, (2500.0, 1250.0)).words("in") == "3 mm S235, 2500 x 1250 mm"
    assert Threaded("M10 x 30", "M10 x 1.5", 30.0, "8.8").words("in") == "M10 x 30, 8.8"
