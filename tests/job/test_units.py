"""Lengths and angles as people write them."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.job.errors import InputError
from fabgen.job.values.units import format_fraction, format_length, parse_angle, parse_length

LENGTHS = {
    "12": 12.0,
    "12 mm": 12.0,
    "12mm": 12.0,
    "-2 mm": -2.0,
    ".5 mm": 0.5,
    "48. mm": 48.0,
    "2.5 cm": 25.0,
    "1.48 m": 1480.0,
    "1 in": 25.4,
    "1 inch": 25.4,
    "3 inches": 76.2,
    "3 IN": 76.2,
    '2"': 50.8,
    "2''": 50.8,
    "120 thou": 3.048,
    "1 5/8 in": 41.275,
    "1-5/8 in": 41.275,
    '3/4"': 19.05,
    "3 / 4 in": 19.05,
    "5'": 1524.0,
    "5 ft": 1524.0,
    "1 foot": 304.8,
    "2 feet": 609.6,
    "5' 3 1/2\"": 1612.9,
    "5'-3 1/2\"": 1612.9,
    "5'3-1/2\"": 1612.9,
    "5 ft 3 1/2 in": 1612.9,
    "5' 3.5''": 1612.9,
    "-5' 3\"": -1600.2,
    "½ in": 12.7,
    "1½ in": 38.1,
    "1⅝″": 41.275,
    "5′ 3″": 1600.2,
    "− 2 mm": -2.0,
    "2\u00a0mm": 2.0,
}


@pytest.mark.parametrize(("text", "mm"), LENGTHS.items())
def test_lengths_are_rounded_once(text: str, mm: float) -> None:
    assert parse_length(text) == mm


def test_bare_numbers_count_in_the_jobs_units() -> None:
    assert parse_length(2, "in") == parse_length("2", "in") == 50.8
    assert parse_length(0.125, "in") == parse_length("1/8 in") == 3.175
    assert parse_length("1 5/8", "in") == pytest.approx(41.275)
    assert parse_length("5/8", "in") == pytest.approx(15.875)
    assert parse_length("2 mm", "in") == 2.0
    assert parse_length(2.5) == 2.5


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "empty"),
        ("12 mn", '"mn"'),
        ("1,5 mm", "comma"),
        ("60 deg", "not a length"),
        ("1 5/3 in", "not a mixed number"),
        ("1/0 in", "divides by nothing"),
        ("1-5/8", "mixed number or a subtraction"),
        ("5' 3", "side by side"),
        ("in", "without a number"),
        ("99999999 mm", "km"),
        ("1e3 mm", '"e3"'),
        ("x" * 300, "300 characters"),
        (True, "true"),
        (math.nan, "nan"),
        (math.inf, "inf"),
        (10**400, "very long number"),
        (1e9, "km"),
        ([1], "[1]"),
        (None, "None"),
    ],
)
def test_bad_lengths(text: object, part: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_length(text)
    assert part in str(caught.value)


def test_nearest_unit() -> None:
    with pytest.raises(ValueError, match="nearest: mm"):
        parse_length("12 mn")


@pytest.mark.parametrize(
    ("text", "degrees"),
    [(60, 60), ("60", 60), ("60 deg", 60), ("60°", 60), ("-22.5 degrees", -22.5), ("0.5 rad", math.degrees(0.5))],
)
def test_angles(text: object, degrees: float) -> None:
    assert math.degrees(parse_angle(text)) == pytest.approx(degrees)


def test_a_length_is_no_angle() -> None:
    with pytest.raises(ValueError, match="a length, not an angle"):
        parse_angle("60 mm")


# -- round trips ---------------------------------------------------------------
millimetres = st.floats(-9e6, 9e6)


@given(millimetres)
def test_decimal_text_reads_back(mm: float) -> None:
    assert parse_length(format_length(mm)) == pytest.approx(mm, abs=0.0501)
    assert parse_length(format_length(mm, "in")) == pytest.approx(mm, abs=0.0128)
    assert parse_length(format_length(mm, "in", unit=False), "in") == pytest.approx(mm, abs=0.0128)


@given(millimetres, st.sampled_from([8, 16, 32, 64]), st.booleans())
def test_fraction_text_reads_back(mm: float, denominator: int, feet: bool) -> None:
    assert parse_length(format_fraction(mm, denominator, feet)) == pytest.approx(mm, abs=25.4 / denominator / 2 + 1e-6)


@given(st.integers(0, 5000), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]), st.sampled_from(" -"))
def test_mixed_numbers_are_exact(whole: int, over: int, under: int, joint: str) -> None:
    over %= under
    if over:
        exact = float((whole + Fraction(over, under)) * Fraction(254, 10))
        assert parse_length(f"{whole}{joint}{over}/{under} in") == exact


@given(
    st.integers(0, 900),
    st.integers(0, 11),
    st.integers(0, 15),
    st.sampled_from(["{}' {} {}/16\"", "{} ft {} {}/16 in"]),
)
def test_feet_and_inches_are_exact(feet: int, inches: int, sixteenths: int, pattern: str) -> None:
    exact = (12 * feet + inches + Fraction(sixteenths, 16)) * Fraction(254, 10)
    assert parse_length(pattern.format(feet, inches, sixteenths)) == float(exact)


@pytest.mark.parametrize(
    ("mm", "metric", "inch", "fraction"),
    [
        (412.0, "412 mm", "16.22 in", '16 1/4"'),
        (412.5, "412.5 mm", "16.24 in", '16 1/4"'),
        (-0.01, "0 mm", "0 in", '0"'),
        (25.4, "25.4 mm", "1 in", '1"'),
        (-19.05, "-19.1 mm", "-0.75 in", '-3/4"'),
        (25.3, "25.3 mm", "0.996 in", '1"'),
    ],
)
def test_printed_lengths(mm: float, metric: str, inch: str, fraction: str) -> None:
    assert (format_length(mm), format_length(mm, "in"), format_fraction(mm)) == (metric, inch, fraction)


def test_feet_on_a_tape() -> None:
    assert format_fraction(1651.0, feet=True) == "5' 5\""
    assert format_fraction(100.0, feet=True) == '3 15/16"'
