"""Sections as a job file writes them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.job.errors import InputError
from fabgen.job.tables.fields import parse_section
from fabgen.shop.section import Section

ROUND = Section("round", 48.3, 48.3, 3.2)
RECTANGULAR = Section("rectangular", 60.0, 40.0, 3.0, 6.0)


@pytest.mark.parametrize(
    "text", ["48.3 x 3.2", "48.3x3.2", "48.3X3.2", "48.3 × 3.2", "Ø48.3 x 3.2", " 48.3 mm x 3.2 mm ", "4.83 x .32 cm"]
)
def test_round(text: str) -> None:
    found = parse_section(text)
    assert (found.shape, found.corner) == ("round", 0.0)
    assert (found.width, found.depth, found.wall) == pytest.approx((48.3, 48.3, 3.2))


@pytest.mark.parametrize("text", ["60 x 40 x 3", "60x40x3", "60 x 40 x 3 r 6", "60x40x3 R6", "60 x 40 x 3 r6 mm"])
def test_rectangular(text: str) -> None:
    assert parse_section(text) == RECTANGULAR


def test_inch_sections() -> None:
    found = parse_section("1 1/2 in x 0.120 in")
    assert (found.width, found.wall) == pytest.approx((38.1, 3.048))
    assert (
        parse_section('1 1/2" x 0.120"')
        == found
        == parse_section("1 1/2 x 0.120 in")
        == parse_section("1 1/2 x .120", "in")
    )
    box = parse_section("2 x 1 x 1/8 in")
    assert (box.width, box.depth, box.wall, box.corner) == pytest.approx((50.8, 25.4, 3.175, 6.35))
    assert parse_section("2 x 1 x 1/8", "in") == box
    assert parse_section("2 x 1 x 1/8 r 1/4 in") == box
    assert parse_section("2 x 1 in x 3.175 mm") == box


def test_solid_bar() -> None:
    assert parse_section("25 solid") == Section("round", 25.0, 25.0, 0.0)
    assert parse_section("1 in solid").width == pytest.approx(25.4)
    assert parse_section("40 x 10 solid") == Section("rectangular", 40.0, 10.0, 0.0)


def test_a_thick_wall_leaves_room_for_less_corner() -> None:
    assert parse_section("20 x 20 x 6").corner == 10.0


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("48.3 y 3.2", 'nearest: "48.3 x 3.2"'),
        ("48,3 x 3,2", 'nearest: "48.3 x 3.2"'),
        ("48.3", "cannot read"),
        ("", "empty"),
        ("x", "cannot read"),
        ("48.3 x", "cannot read"),
        ("1 x 2 x 3 x 4", "cannot read"),
        ("48.3 x 24.15", "two sizes and no wall"),
        ("60x40", "two sizes and no wall"),
        ("2 in x 1 in", "two sizes and no wall"),
        ("60 x 40 x 20", "half its smaller side"),
        ("60 x 40 x 3 r 21", "corner radius"),
        ("48.3 x 3.2 r 6", "cannot read"),
        ("60 x 40 x 3 r 6 r 6", "cannot read"),
        ("0 x 0", "is 0 mm"),
        ("48.3 x 0", "is 0 mm"),
        ("-48 x 3", "cannot read"),
        ("9 m x 3", "has no unit"),
        ("9 m x 3 mm", "up to 5 m"),
        ("2 in x 1/8", "has no unit"),
        ("48.3 deg x 3 deg", "cannot read"),
        ("48.3 x 3.2 kg", "cannot read"),
        ("9" * 190 + "x1", "a figure of"),
        ("2 in x 1 in x 11 ga", "the wall in mm or inches"),
        ("48.3 x 14 gauge", "gauge number"),
        ("L50x50x5", "angle iron"),
        ("50 x 50 x 5 angle", 'shape = "angle"'),
        ("UPN 80", 'shape = "channel"'),
        ("IPE 80 x 46", "an I section"),
        ("hexagon bar 17", "hexagon bar, not a tube"),
        ("hex 17", "a [[profile]] with this section and `width`"),
        ("angle 40 x 40 x 4", "angle iron"),
    ],
)
def test_bad_sections(text: str, part: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_section(text)
    assert part in str(caught.value)


@pytest.mark.parametrize(
    ("text", "units", "like"),
    [
        ("flat 40 x 5", "mm", "40 x 5 solid"),
        ("flat bar 40x5", "mm", "40 x 5 solid"),
        ("Flat 1 1/2 x 1/4 in", "mm", "1 1/2 x 1/4 in solid"),
        ("flat 2 x 1/4", "in", "2 x 1/4 solid"),
        ("bar 12", "mm", "12 solid"),
        ("round bar Ø12", "mm", "12 solid"),
        ("bar 1/2 in", "mm", "1/2 in solid"),
        ("square bar 16", "mm", "16 x 16 solid"),
        ("square 5/8", "in", "5/8 x 5/8 solid"),
        ("round tube 48.3 x 3.2", "mm", "48.3 x 3.2"),
        ("tube 60 x 40 x 3", "mm", "60 x 40 x 3"),
    ],
)
def test_bar_by_its_trade_names(text: str, units: str, like: str) -> None:
    assert parse_section(text, units) == parse_section(like, units)


@pytest.mark.parametrize(
    ("text", "trade", "inches", "written"),
    [
        ("4 x 40 solid", "flat 40 x 4", "flat 40 x 4 mm", "4 x 40 solid"),
        ("flat 40 x 4", "flat 40 x 4", "flat 40 x 4 mm", "flat 40 x 4"),
        ("1/4 x 2 in solid", "flat 50.8 x 6.35", 'flat 2 x 1/4"', "6.35 x 50.8 solid"),
        ("16 x 16 solid", "square bar 16", "square bar 16 mm", "square bar 16"),
    ],
)
def test_flat_bar_is_named_as_it_is_bought_and_written_as_it_lies(
    text: str, trade: str, inches: str, written: str
) -> None:
    section = parse_section(text)
    assert (section.words(), section.words("in")) == (trade, inches)
    assert section.written() == written


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("flat 5 x 40", "thicker than it is wide"),
        ("flat 40", "1 figure"),
        ("flat 40 x 5 x 3", "3 figures"),
        ("bar 12 x 3", "2 figures"),
        ("square bar 16 x 12", "2 figures"),
    ],
)
def test_bars_with_the_wrong_figures(text: str, part: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_section(text)
    assert part in str(caught.value)
    assert caught.value.accepted


sizes = st.integers(100, 9000).map(lambda n: n / 10)


@given(sizes, sizes, st.floats(0.01, 0.49))
def test_printed_sections_read_back(width: float, depth: float, share: float) -> None:
    wall = round(share * min(width, depth), 2)
    for section in (
        Section("round", width, width, wall),
        parse_section(f"{width} x {depth} x {wall}"),
        Section("round", width, width, 0.0),
        Section("rectangular", width, depth, 0.0),
    ):
        assert parse_section(str(section)) == section


@pytest.mark.parametrize(
    ("text", "solid"),
    [
        ("20 x 10", "flat 20 x 10"),
        ("2 x 1 in", "flat 2 x 1 in"),
        ("40 x 40", "square bar 40"),
        ("10 x 20", "10 x 20 solid"),
    ],
)
def test_two_sizes_without_a_wall_name_the_bar_that_they_may_be(text: str, solid: str) -> None:
    with pytest.raises(InputError, match="gives two sizes and no wall") as caught:
        parse_section(text)
    assert f'"{solid}"' in caught.value.accepted
    assert parse_section(solid).is_solid


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        section = parse_section(text)
    except InputError:
        return
    assert section.area > 0.0


@pytest.mark.parametrize("text", ["2 in x 1 in x 11 ga", "L50x50x5", "2 in by 1 in by 1/8 in", "1 1/2 y 3"])
def test_no_nearest_is_made_of_figures_that_mean_something_else(text: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_section(text)
    assert not caught.value.nearest


@pytest.mark.parametrize(
    ("text", "key"),
    [("angle 40 x 40 x 4", "legs"), ("L 40 x 4", "legs"), ("UPN 80", "back"), ("T 40 x 40 x 5", "flange")],
)
def test_a_section_of_angle_channel_or_t_is_sent_to_profiles(text: str, key: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_section(text)
    assert "[[profile]]" in caught.value.accepted
    assert f"`{key}`" in caught.value.accepted
