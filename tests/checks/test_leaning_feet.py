"""Leaning ends at floor height: cut level by a word, spoken of where they are left square."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, findings, tube, tubes_text

from fabgen.checks.rule import Finding
from fabgen.checks.tube.standing import leaning_foot
from fabgen.parts.piece import LengthPart

LEVEL = {"cut": "level"}


def said(*tubes: dict[str, Any], **tables: Any) -> list[Finding]:
    return findings(checked(definitions(None, tube=list(tubes), **tables)), [leaning_foot])


def leg(top: tuple[float, float, float] = (300, 0, 1000), foot: float = 0.0, **keys: Any) -> dict[str, Any]:
    return tube(keys.pop("mark", "A"), (0, 0, foot), top, section=keys.pop("section", "40 x 40 x 3"), **keys)


def made(one: dict[str, Any]) -> LengthPart:
    return checked(definitions(None, tube=[one])).tubes["A"]


# -- the word ---------------------------------------------------------------------------------------
def test_a_level_cut_is_longer_by_half_its_size_times_the_slope() -> None:
    part = made(leg(start=LEVEL))
    assert part.length == pytest.approx(math.hypot(300, 1000) + 20.0 * 0.3)
    assert part.ends[0].saw is not None
    assert part.ends[0].saw.from_square_deg == pytest.approx(math.degrees(math.atan(0.3)), abs=1e-3)


def test_both_ends_of_a_round_stringer() -> None:
    part = made(tube("A", (0, 0, 0), (1000, 0, 1000), section="48.3 x 3.2", start=LEVEL, finish=LEVEL))
    assert part.length == pytest.approx(1000.0 * math.sqrt(2.0) + 48.3, abs=1e-3)


def test_a_level_tube_cannot_be_cut_level() -> None:
    with pytest.raises(Exception, match="within 5 degrees of level"):
        made(leg((1000, 0, 50), start=LEVEL))


def test_what_does_not_go_with_it_is_refused() -> None:
    for key in ({"onto": ["B"]}, {"extend": 5}, {"fit": "clear"}, {"opens": True}):
        with pytest.raises(Exception, match="goes with"):
            made(leg(start=LEVEL | key))


# -- the look ---------------------------------------------------------------------------------------
def test_a_sawhorse_s_legs_are_one_look() -> None:
    legs = [tube(f"L{i}", (i * 500, 0, 0), (i * 500 + 300, 0, 1000), section="40 x 40 x 3") for i in range(4)]
    (look,) = said(*legs)
    assert look.marks == ("L0", "L1", "L2", "L3")
    off = 40.0 * math.sin(math.atan(0.3))
    assert f"4 ends lean and are left square at floor height, open up to {off:.1f} mm under one side" in look.text
    assert '`start = { cut = "level" }` in the tables of L0, L1, L2 and L3 saws them level' in look.text


@pytest.mark.parametrize(
    "one",
    [
        leg((300, 0, 1000)),
        leg((0, 700, 1000)),
        leg((200, 200, 1000), section="48.3 x 3.2"),
        leg((900, 0, 900), section="60 x 40 x 3"),
        tube("A", (300, 0, 1000), (0, 0, 0), section="40 x 40 x 3"),
    ],
)
def test_it_speaks_of(one: dict[str, Any]) -> None:
    (look,) = said(one)
    assert not look.is_stop


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_two_millimetres_are_the_limit(share: float) -> None:
    lean = math.asin(2.0 * share / 48.3)
    assert bool(said(leg((1000 * math.tan(lean), 0, 1000), section="48.3 x 3.2"))) == (share > 1.0)


@pytest.mark.parametrize(
    "one",
    [
        leg((0, 0, 1000)),  # upright
        leg(start=LEVEL),
        leg(start={"cut": "plain"}),  # as the job says
        leg(start={"extend": 10}),
        leg((300, 0, 1000), 300.0),  # free in the air
        tube("A", (0, 0, 0), (300, 0, -1000), section="40 x 40 x 3"),  # it hangs from there
        tube("A", (0, 0, 0), (900, 0, 0), section="40 x 40 x 3"),  # it lies
    ],
)
def test_it_is_silent(one: dict[str, Any]) -> None:
    assert said(one) == []


def test_on_a_plate_it_is_cut_to_that() -> None:
    place = {"at": [0, 0, 0], "of": [50, 50]}
    assert said(leg(), plate=[{"mark": "P", "thickness": 8, "rectangle": [100, 100], "place": place}]) == []


def test_the_datum_is_the_floor() -> None:
    assert said(leg(foot=150.0), measuring={"datum": 150})
    assert said(leg(foot=0.0), measuring={"datum": 150}) == []


def test_with_metal_below_it_is_no_floor() -> None:
    assert said(leg(), tube("B", (900, 0, -200), (900, 0, 300))) == []


# -- the floor below the points --------------------------------------------------------------------
def sill(below: float, section: str = "42.4 x 2.6") -> dict[str, Any]:
    """A level tube far from the leg, whose axis lies so far above z = 0 that its underside is so far below."""
    return tube("S", (0, 900, 21.2 - below), (900, 900, 21.2 - below), section=section)


def test_the_underside_of_a_sill_is_the_floor_and_it_is_said() -> None:
    (look,) = said(leg(), tube("S", (0, 900, 0), (900, 900, 0), section="42.4 x 2.6"))
    assert look.marks == ("A",)
    assert "; the floor, the underside of S, is 21.2 mm below its point: move its point down to it first" in look.text


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_a_sill_a_millimetre_low_is_level_with_the_floor(share: float) -> None:
    (look,) = said(leg(), sill(share))
    assert ("the underside of S" in look.text) == (share > 1.0)


@pytest.mark.parametrize(("off", "speaks"), [(0.99, True), (1.01, False)])
def test_an_end_whose_lowest_edge_is_on_the_floor_is_a_foot(off: float, speaks: bool) -> None:
    """As of a leaning frame drawn by its outside: its axis lies half of its size times the slope above the floor."""
    lift = 20.0 * math.sin(math.atan(0.3)) + off
    look = said(tube("A", (0, 0, lift), (300, 0, 1000 + lift), section="40 x 40 x 3"))
    assert [f"the floor is {lift:.1f} mm below its point" in each.text for each in look] == [True] * speaks


def test_a_leaning_ladder_by_outside_sizes_has_two_feet() -> None:
    frame = '[[frame]]\nmark = "R"\nshape = "ladder"\nsection = "40 x 25 x 2"\nsize = [1500, 450]\nbars = 5\n'
    place = "at = [0, 0, 0]\nalong = [4, 0, 2]\n"
    (look,) = findings(checked(tubes_text() + "\n" + frame + place), [leaning_foot])
    assert look.marks == ("R-R1", "R-R2")


# -- corners of a frame at floor height ------------------------------------------------------------
SILL = {"section": "42.4 x 2.6"}


def hoop(**keys: Any) -> dict[str, Any]:
    """The leaning upright of a cage, on which others end at the floor."""
    return tube("A", (0, 0, 0), (300, 0, 1000), section="48.3 x 3.2", **keys)


@pytest.mark.parametrize(
    "others",
    [
        # sills that end at its point, on which it runs on
        [tube("B", (0, 0, 0), (-900, 0, 0), **SILL), tube("C", (0, 0, 0), (0, 900, 0), **SILL)],
        # a stay that rises from there too
        [tube("B", (0, 0, 0), (0, 900, 600), **SILL)],
    ],
)
def test_a_corner_of_a_frame_is_no_foot(others: list[dict[str, Any]]) -> None:
    assert said(hoop(), *others) == []


@pytest.mark.parametrize(
    "others",
    [
        [tube("B", (6, 0, 20), (6, 900, 20), **SILL)],  # a rail low on the leg ends on it
        [tube("B", (30, 0, 100), (30, 900, 100), **SILL)],
        [tube("B", (-400, 0, 0), (-400, 0, 900), **SILL)],  # another foot, elsewhere
        [],
    ],
)
def test_a_foot_on_which_a_rail_ends_is_one(others: list[dict[str, Any]]) -> None:
    assert any("A" in look.marks for look in said(hoop(), *others))
