"""Tubes end to end in one straight line, and tubes longer than any bar."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, findings, tube
from pydantic import ValidationError

from fabgen.checks.checked import Checked
from fabgen.checks.stock_and_prices import stock_size
from fabgen.checks.tube.clashes import foot_past_end, tubes_cross
from fabgen.checks.tube.splices import splice

PLAIN = {"cut": "plain"}
SLEEVED, WELDED = {"splice": "sleeved"}, {"splice": "welded"}
LEFT = tube("A", (0, 0, 0), (500, 0, 0))


def said(*tubes: dict[str, Any], units: str = "mm") -> list[str]:
    of = checked(definitions(tube=list(tubes)))
    return [found.said.words(units) for found in findings(of, [splice])]


# -- end to end --------------------------------------------------------------------------------
def test_two_tubes_in_one_straight_line_are_offered_as_one() -> None:
    (text,) = said(LEFT, tube("B", (500, 0, 0), (1200, 0, 0)))
    assert "A with B (1200 mm as one)" in text
    (text,) = said(LEFT, tube("B", (500, 0, 0), (1200, 0, 0)), units="in")
    assert '1200 mm [47.244"] as one' in text


def test_several_are_one_finding() -> None:
    (text,) = said(LEFT, tube("B", (500, 0, 0), (900, 0, 0)), tube("C", (900, 0, 0), (1300, 0, 0)))
    assert "A with B" in text
    assert "B with C" in text


def test_turned_end_for_end_and_rectangular_too() -> None:
    assert said(LEFT, tube("B", (1200, 0, 0), (500, 0, 0)))
    sides = {"section": "60 x 40 x 3", "turn": 0}
    assert said(tube("A", (0, 0, 0), (500, 0, 0), **sides), tube("B", (500, 0, 0), (900, 0, 0), **sides))


@pytest.mark.parametrize(("degrees", "speaks"), [(0.99, True), (1.01, False)])
def test_in_line_to_within_a_degree(degrees: float, speaks: bool) -> None:
    aside = 700.0 * math.tan(math.radians(degrees))
    assert bool(said(LEFT, tube("B", (500, 0, 0), (1200, aside, 0)))) is speaks


def test_a_splice_that_is_confirmed_and_a_tube_between_are_none() -> None:
    there = tube("B", (500, 0, 0), (1200, 0, 0))
    assert said(LEFT | {"finish": WELDED}, there) == []
    assert said(LEFT, there | {"start": WELDED}) == []
    assert said(tube("M", (500, -300, 0), (500, 300, 0)), LEFT, there) == []
    assert said(LEFT, tube("B", (500, 0, 0), (900, 0, 0), section="60.3 x 3.2")) == []
    assert said(LEFT, tube("B", (520, 0, 0), (900, 0, 0))) == []


def test_sawn_square_is_no_word_of_a_splice() -> None:
    assert said(LEFT | {"finish": PLAIN}, tube("B", (500, 0, 0), (1200, 0, 0), start=PLAIN))


def test_what_to_write_is_written_out() -> None:
    post = tube("P", (100, 0, 0), (100, 0, 600), section="33.7 x 2.6")
    (text,) = said(LEFT, tube("B", (500, 0, 0), (1200, 0, 0)), post)
    assert "make A and B one tube" in text
    assert '`splices = ["375 mm"]`' in text  # a quarter of what is free, 100 to 1200
    assert '`finish = { splice = "sleeved" }` in the table of A' in text


POST = tube("P", (500, 0, 0), (500, 0, 600), section="33.7 x 2.6")


def carrying(*tubes: dict[str, Any]) -> Checked:
    of = checked(definitions(tube=[*tubes, POST]))
    assert [of.tubes[mark].length for mark in ("A", "B")] == pytest.approx([500.0, 700.0])
    assert [joint.onto for joint in of.tubes["P"].ends[0].joints] == ["A", "B"]
    assert findings(of, [tubes_cross, foot_past_end]) == []
    return of


def test_a_splice_that_is_not_confirmed_carries_no_third_tube() -> None:
    (stop,) = findings(carrying(LEFT, tube("B", (500, 0, 0), (1200, 0, 0))), [splice])
    assert stop.is_stop
    assert "P on A with B" in stop.text


def test_a_splice_that_is_confirmed_carries() -> None:
    there = tube("B", (500, 0, 0), (1200, 0, 0), start=WELDED)
    assert findings(carrying(LEFT, there), [splice]) == []
    of = checked(definitions(tube=[POST, LEFT, there]))  # whichever comes first
    assert [joint.onto for joint in of.tubes["P"].ends[0].joints] == ["A", "B"]
    assert findings(of, [splice, tubes_cross, foot_past_end]) == []


def test_a_spliced_end_has_nothing_else_said_of_it() -> None:
    with pytest.raises(ValidationError, match="splice"):
        definitions(tube=[LEFT | {"finish": {"splice": "welded", "onto": ["B"]}}])
    with pytest.raises(ValidationError, match="splice"):
        definitions(tube=[LEFT | {"finish": {"splice": "welded", "cut": "mitre"}}])


# -- longer than any bar -------------------------------------------------------------------------
def too_long(*tubes: dict[str, Any], **tables: Any) -> str:
    of = checked(definitions(tube=list(tubes), **tables), planned=True)
    (found,) = findings(of, [stock_size])
    return found.said.words("mm")


def test_a_tube_longer_than_any_bar_is_offered_a_splice_with_its_place() -> None:
    """Of the free stretches 0 to 3000 and 3000 to 8000 the longer one, a quarter of it along."""
    long = tube("L", (0, 0, 0), (8000, 0, 0))
    post = tube("M", (3000, 0, 0), (3000, 0, 600), section="33.7 x 2.6")
    text = too_long(long, post)
    assert "splice at 4250 mm from its start" in text
    assert '["4250 mm", "0 mm", "0 mm"]' in text


def test_both_pieces_come_from_a_bar() -> None:
    for length in (6100.0, 7500.0, 9000.0, 11900.0):
        text = too_long(tube("L", (0, 0, 0), (length, 0, 0)))
        if "from its start" in text:
            place = float(text.split("splice at ")[1].split(" mm")[0])
            assert max(place, length - place) <= 6000.0
    assert "from its start" not in too_long(tube("L", (0, 0, 0), (12500, 0, 0)))


def test_bent_tubes_are_offered_none() -> None:
    bent = tube("H", (0, 0, 0), (6000, 0, 0), (6000, 2000, 0), bend_radius=200)
    assert "from its start" not in too_long(bent)
