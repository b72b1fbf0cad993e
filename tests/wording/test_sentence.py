"""Sentences keep their values and are worded in one place.  25.4 mm to the inch exactly (agreement of 1959)."""

import math

import pytest

from fabgen.wording.sentence import (
    Sentence,
    Unit,
    Value,
    changes,
    degrees,
    joined,
    kilograms,
    kilonewtons,
    lengths,
    megapascals,
    mm,
    number,
    sentence,
    square_mm,
    to_paste,
)


def test_reads_as_it_is_written() -> None:
    found = sentence("adjusts ", mm(12.5), " each way where ", mm(15), " is needed")
    assert found.words() == "adjusts 12.5 mm each way where 15 mm is needed"
    assert found.words("in") == 'adjusts 0.492" [12.5 mm] each way where 0.591" [15 mm] is needed'
    assert [value.values for value in found.values] == [(12.5,), (15.0,)]


@pytest.mark.parametrize(
    ("value", "metric", "inch"),
    [
        (mm(19.05, 2), "19.05 mm", '3/4" [19.05 mm]'),
        (lengths((101.6, 63.5)), "101.6 x 63.5 mm", '4 x 2 1/2" [101.6 x 63.5 mm]'),
        (lengths((25.4, 50.8), " and "), "25.4 and 50.8 mm", '1 and 2" [25.4 and 50.8 mm]'),
        (changes(-25.4), "-25.4 mm", '-1" [-25.4 mm]'),
        (changes(25.4), "+25.4 mm", '+1" [+25.4 mm]'),
        (changes(0.02), "0.0 mm", '0" [0.0 mm]'),
        (changes(12.7, 25.4), "+12.7 to +25.4 mm", '+1/2 to +1" [+12.7 to +25.4 mm]'),
        (mm(0.3, 0), "0.3 mm", '0.012" [0.3 mm]'),
        (mm(64.6, 0), "65 mm", '2.543" [65 mm]'),
        (mm(0.0, 0), "0 mm", '0" [0 mm]'),
        (mm(-12.7), "-12.7 mm", '-1/2" [-12.7 mm]'),
        (square_mm(20), "20 mm2", "20 mm2"),
        (degrees(math.pi / 3), "60°", "60°"),
        (degrees(math.pi / 4, suffix=" degrees"), "45 degrees", "45 degrees"),
        (degrees(math.pi / 36, fixed=True), "5.0°", "5.0°"),
        (kilonewtons(8_250), "8.25 kN", "1855 lbf [8.25 kN]"),
        (kilonewtons(40_000), "40 kN", "8992 lbf [40 kN]"),
        (megapascals(355), "355 MPa", "355 MPa"),
        (kilograms(0.6771), "0.677 kg", "0.677 kg"),
        (kilograms(12.341), "12.34 kg", "12.34 kg"),
        (number(0.4237, 3), "0.424", "0.424"),
    ],
)
def test_values(value: Value, metric: str, inch: str) -> None:
    assert value.words() == metric
    assert value.words("in") == inch


def test_inches_are_those_of_the_size_as_it_is_known() -> None:
    """1 1/4 in is 31.75 mm, written 31.8: its inches are no 1.252."""
    assert mm(31.75).words("in") == '1 1/4" [31.8 mm]'
    assert mm(12.3456).words("in") == '0.486" [12.3 mm]'
    assert mm(12.3456).values == (12.3456,)


def test_names_get_no_inches() -> None:
    assert sentence("M12 x 1.75 in 48.3 x 3.2, hole ", 3).words("in") == "M12 x 1.75 in 48.3 x 3.2, hole 3"


def test_equal_words_are_equal_sentences() -> None:
    assert sentence("a ", "b ", mm(1)) == sentence(sentence("a b "), "", mm(1))
    assert len({sentence("a", mm(1)), sentence("a", mm(1)), sentence("a", mm(2))}) == 2
    assert not sentence("", Sentence())


def test_joined() -> None:
    assert joined(", ", [mm(1), "two", mm(3)]).words() == "1 mm, two, 3 mm"
    assert joined(", ", []) == Sentence()
    assert {value.unit for value in joined(" or ", [mm(1), kilograms(2)]).values} == {Unit.MM, Unit.KG}


def test_a_length_to_paste_is_in_the_unit_of_the_job() -> None:
    assert to_paste(31.75).words("mm") == '"31.75 mm"'
    assert to_paste(31.75).words("in") == '"1 1/4 in"'
    assert to_paste(26.0).words("in") == '"1.024 in"'
