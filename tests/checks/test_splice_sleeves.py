"""Sleeves inside splices, and where splices stand."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.tube.clashes import tube_lap, tubes_cross
from fabgen.checks.tube.sleeves import RULES
from fabgen.checks.tube.splices import splice, splice_place

ONE = tube("A", (0, 0, 0), (2000, 0, 0), finish={"splice": "sleeved"})
OTHER = tube("B", (2000, 0, 0), (5000, 0, 0), start={"splice": "sleeved"})
NEED = 2 * 48.3
"""What a sleeve reaches into a tube of 48.3 x 3.2, whose bore is 41.9 mm."""


def sleeve(
    section: str = "40 x 3", low: float = NEED, high: float = NEED, y: float = 0.0, **keys: Any
) -> dict[str, Any]:
    plain = {"cut": "plain"}
    ends = ((2000 - low, y, 0), (2000 + high, y, 0))
    return tube("S", *ends, section=section, start=plain, finish=plain, sleeve_of=["A", "B"], **keys)


def said(*tubes: dict[str, Any], units: str = "mm", **tables: Any) -> list[str]:
    of = checked(definitions(tube=list(tubes), **tables))
    rules = (*RULES, splice, splice_place, tubes_cross, tube_lap)
    return [f"{found.level} {found.rule}: {found.said.words(units)}" for found in findings(of, rules)]


# -- five that are wrong, two that only look so ------------------------------------------------------
@pytest.mark.parametrize(
    ("wrong", "rule"),
    [
        (sleeve("48.3 x 3.2"), "stop sleeve-fit: 48.3 mm do not go into a bore of 41.9 mm: take a sleeve of 41.7 mm"),
        (sleeve("33.7 x 2.6"), "warn sleeve-fit: 8.2 mm of play in a bore of 41.9 mm, 2 mm at most"),
        (sleeve(low=30), "warn sleeve-short: reaches 30 mm into A, 96.6 mm needed"),
        (sleeve(low=-10, high=300), "stop sleeve-place: it does not reach into A"),
        (sleeve(y=30), "stop sleeve-place: 30 mm off the axis of A"),
        (sleeve(material="304"), "warn sleeve-metal: of 304 inside S235: make it of S235"),
    ],
)
def test_what_is_wrong_at_once(wrong: dict[str, Any], rule: str) -> None:
    texts = said(ONE, OTHER, wrong)
    assert any(text.startswith(rule) for text in texts), texts


def test_what_only_looks_wrong() -> None:
    assert said(ONE, OTHER, sleeve(low=150, high=NEED)) == []  # farther into one
    turned = tube("B", (5000, 0, 0), (2000, 0, 0), finish={"splice": "sleeved"})  # drawn the other way round
    assert said(ONE, turned, sleeve("41 x 3")) == []


def test_in_inches() -> None:
    (text,) = said(ONE, OTHER, sleeve(low=30), units="in")
    assert 'reaches 1.181" [30 mm] into A' in text


# -- one per cent either side of each limit ---------------------------------------------------------------
@pytest.mark.parametrize(("reach", "speaks"), [(0.99, True), (1.01, False)])
def test_twice_the_tube_into_either(reach: float, speaks: bool) -> None:
    assert bool(said(ONE, OTHER, sleeve(high=reach * NEED))) is speaks


@pytest.mark.parametrize(
    ("play", "word"), [(0.198, "stop sleeve-fit"), (0.202, ""), (1.98, ""), (2.02, "warn sleeve-fit")]
)
def test_from_a_fifth_of_a_millimetre_to_two_of_play(play: float, word: str) -> None:
    texts = said(ONE, OTHER, sleeve(f"{41.9 - play:.3f} x 3"))
    assert [text.partition(":")[0] for text in texts] == ([word] if word else [])


@pytest.mark.parametrize(
    ("section", "word"),
    [("53 x 33 x 3 r 3", ""), ("55 x 33 x 3 r 3", "stop sleeve-fit"), ("50 x 33 x 3 r 3", "warn sleeve-fit")],
)
def test_rectangular_tubes_either_way(section: str, word: str) -> None:
    sides = {"section": "60 x 40 x 3 r 6"}
    texts = said(ONE | sides, OTHER | sides, sleeve(section, low=120, high=120))
    assert [text.partition(":")[0] for text in texts] == ([word] if word else [])


def test_corners_too_sharp_for_the_bore() -> None:
    sides = {"section": "60 x 40 x 3 r 9"}
    (text,) = said(ONE | sides, OTHER | sides, sleeve("53.5 x 33.5 x 3 r 0.5", low=120, high=120))
    assert "its corners are too sharp" in text


# -- where the splice stands -------------------------------------------------------------------------------
def posts(*at: float) -> list[dict[str, Any]]:
    return [tube(f"P{i}", (x, 0, 0), (x, 0, 600), section="33.7 x 2.6") for i, x in enumerate(at)]


@pytest.mark.parametrize(("away", "speaks"), [(0.99, True), (1.01, False)])
def test_clear_of_what_lands(away: float, speaks: bool) -> None:
    welded = (ONE | {"finish": {"splice": "welded"}}, OTHER | {"start": {"splice": "welded"}})
    texts = said(*welded, *posts(2000 + away * 48.3))
    assert [text.partition(":")[0] for text in texts] == (["warn splice-place"] if speaks else [])


def test_over_a_sleeve_it_is_a_note() -> None:
    (text,) = said(ONE, OTHER, sleeve(), *posts(2000))
    assert text.startswith("note splice-place: something lands 0 mm from the splice")


@pytest.mark.parametrize(("share", "speaks"), [(0.37, False), (0.38, True), (0.62, True), (0.63, False)])
def test_not_in_the_middle_quarter_of_a_free_stretch(share: float, speaks: bool) -> None:
    """Between posts 3000 mm apart, from 3/8 to 5/8."""
    low = 2000 - share * 3000
    ends = {"A": (low, 0, 0), "B": (low + 3000, 0, 0)}
    one = tube("A", ends["A"], (2000, 0, 0), finish={"splice": "sleeved"})
    other = tube("B", (2000, 0, 0), ends["B"], start={"splice": "sleeved"})
    texts = said(one, other, sleeve(), *posts(low, low + 3000))
    assert [text.partition(":")[0] for text in texts] == (["warn splice-place"] if speaks else [])


def test_a_long_tube_on_no_posts_spans_nothing() -> None:
    one, other = tube("A", (0, 0, 0), (2000, 0, 0)), tube("B", (2000, 0, 0), (4000, 0, 0), start={"splice": "sleeved"})
    assert said(one, other, sleeve()) == []
