"""Bolts held against what stands near: room for head, washers and nut, and the way by which they go in."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from faulty_bolt_lines import ONE, TWO, Tables, bolt, lid, wall
from jobs import checked, definitions, findings, tube

from fabgen.checks.bolt.bolt_rooms import RULES, _toward

CLAMPED: Tables = {"plate": [ONE, TWO], "bolt": [bolt("P2", "P1")]}
"""Two plates of 6 mm, the bolt's head on the upper one at z = 12, its middle at x = y = 30.  M10: a hexagon of 16 mm
across flats and 18.5 across corners, a washer of 20, a head of 6.4 (ISO 4014, ISO 7089)."""


def told(*plates: dict[str, Any], tubes: Any = (), **more: Any) -> list[str]:
    """What the rules of this module say of the bolt with other parts near it."""
    tables = CLAMPED | more | {"plate": [ONE, TWO, *plates], "tube": list(tubes)}
    job = checked(definitions(**tables), planned=True)
    return [f"{each.level}: {each.text}" for each in findings(job, RULES)]


# -- room ------------------------------------------------------------------------------------
def test_a_head_in_a_wall_is_a_stop() -> None:
    assert told(wall(36, 12, 60))[:1] == [
        "stop: its head has no room: W is 6 mm from its middle, 9.2 mm needed: move the hole away from it"
    ]


def test_a_nut_beside_a_tube_is_a_stop() -> None:
    below = tube("T", (45, -50, -20), (45, 150, -20), section="20 x 20 x 2", turn=0)
    assert told(tubes=[below])[:1] == [
        "stop: its nut has no room: T is 5 mm from its middle, 9.2 mm needed: move the hole away from it"
    ]


def test_a_washer_on_a_wall_is_a_look() -> None:
    """The head turns, its washer does not lie flat."""
    assert told(wall(39.2, 12, 30))[:1] == [
        "warn: its washer under its head has no room: W is 9.2 mm from its middle, 10 mm needed: move the hole away "
        "from it"
    ]


@pytest.mark.parametrize(("away", "speaks"), [(9.4, True), (9.6, False)])
def test_the_limit_is_the_washer_less_what_points_are_measured_to(away: float, speaks: bool) -> None:
    """10 mm less 0.5, 1 % inside and outside of that."""
    assert bool(told(wall(30 + away, 12, 30))) == speaks


@pytest.mark.parametrize(("along", "speaks"), [(78.4, True), (70, False)])
def test_a_bend_of_its_own_bracket_counts(along: float, speaks: bool) -> None:
    """The hole sits so near to the flange that head or washer runs into its bend."""
    holes = [{"at": [along, 30], "bolt": "M10", "face": "base"}]
    flange = {"edge": 2, "height": 40}
    bracket = {"mark": "B", "thickness": 6, "base": [100, 60], "flanges": [flange], "holes": holes}
    bracket |= {"place": {"at": [0, 0, 6]}}
    plate = ONE | {"holes": [{"at": [along, 30], "bolt": "M10"}], "rectangle": [140, 60]}
    job = definitions(plate=[plate], bracket=[bracket], bolt=[bolt("B", "P1")])
    found = findings(checked(job, planned=True), RULES)
    assert bool(found) == speaks


# -- the way in --------------------------------------------------------------------------------
def test_a_bolt_between_two_walls_cannot_be_put_in() -> None:
    """M10 x 30: 36.4 mm are needed from the head's side as from the nut's."""
    assert told(lid(32), lid(-30, "V")) == [
        "warn: cannot be put in once all stands: W stands 20 mm before its head, 36 mm needed, and V 25 mm before its "
        "nut: put it in before W and V are fitted, or move the hole"
    ]


def test_one_side_is_enough_and_is_named() -> None:
    assert told(lid(32)) == [
        "note: W stands 20 mm before its head, 36 mm needed to put it in, so it goes in from the side of P1 only: list "
        "what it passes from there, P1 first"
    ]
    assert told(lid(-30)) == []


def test_what_is_there_already_cannot_be_fitted_later() -> None:
    """In both ways it is a stop; in one the bolt goes in from the other side before what stands there is fitted."""
    there = {"state": "there already"}
    assert told(lid(32) | there, lid(-30, "V") | there) == [
        "stop: has no way in: W, there already, stands 20 mm before its head, 36 mm needed, and V, there already, 25 "
        "mm before its nut: move the hole, or take one of these off to put it in"
    ]
    (found,) = told(lid(32) | there, lid(-30, "V"))
    assert found.startswith("warn: cannot be put in once all stands: W, there already, stands 20 mm before its head")
    assert found.endswith("before its nut: put it in turned round, before V is fitted, or move the hole")
    (found,) = told(lid(32), lid(-30, "V") | there)
    assert found.endswith(": put it in before W is fitted, or move the hole")
    assert told(lid(-30, "V") | there) == told(lid(50) | there) == []


@pytest.mark.parametrize(
    ("turned", "side"),
    [
        ({}, "below"),
        ({"along": [0, 0, 1], "up": [1, 0, 0]}, "the back"),
        ({"along": [0, 0, 1], "up": [0, 1, 0]}, "the right"),
    ],
)
def test_the_other_side_of_one_part_is_named(turned: dict[str, Any], side: str) -> None:
    """Both ears of a clevis have the same mark: the side is that of the job, to which the nut's end points."""
    assert _toward(-np.array(turned.get("up", [0.0, 0.0, 1.0]))) == side


def test_a_bolt_into_a_tapped_part_has_one_side() -> None:
    tapped = ONE | {"holes": [{"at": [30, 30], "diameter": 8.5}], "thickness": 6}
    job = definitions(plate=[tapped, TWO, lid(25)], bolt=[bolt("P2", nut="none", into="P1")])
    found = [each.text for each in findings(checked(job, planned=True), RULES)]
    assert len(found) == 1
    assert found[0].startswith("cannot be put in once all stands: W stands 13 mm before its head")


SILENT = [
    # A wall beside it, clear of the washer; and one that the head's corners pass by more than they need.
    [wall(42, 12, 60)],
    # Over it, farther than the bolt is long.
    [lid(50)],
    [lid(-60)],
]


@pytest.mark.parametrize("plates", SILENT)
def test_what_is_clear_is_not_told(plates: list[dict[str, Any]]) -> None:
    assert told(*plates) == []


# -- other bolts -------------------------------------------------------------------------------
def two_bolts(apart: float, turned: bool = False) -> list[str]:
    """Two of M10 side by side in two plates, the other one with its head on the lower plate."""
    holes = [{"at": [30, 30], "bolt": "M10"}, {"at": [30 + apart, 30], "bolt": "M10"}]
    plates = [ONE | {"holes": holes}, TWO | {"holes": holes}]
    bolts = [bolt("P2", "P1") | {"quantity": 2}]
    job = checked(definitions(plate=plates, bolt=bolts), planned=True)
    return [f"{each.level}: {each.text}" for each in findings(job, RULES)]


def test_heads_of_two_bolts_side_by_side_need_their_width() -> None:
    (head, nut) = two_bolts(16.0)
    assert head.startswith("stop: its head has no room: bolt 1 is 6.8 mm from its middle, 9.2 mm needed")
    assert nut.startswith("stop: its nut has no room: bolt 1")
    assert two_bolts(21.0) == []


def test_a_like_bolt_that_cannot_be_put_in_at_its_second_place_is_told() -> None:
    holes = [{"at": [30, 30], "bolt": "M10"}, {"at": [80, 30], "bolt": "M10"}]
    plates = [ONE | {"holes": holes}, TWO | {"holes": holes}]
    small = [lid(32) | {"rectangle": [30, 60]}, lid(-30, "V") | {"rectangle": [30, 60]}]
    for each in small:
        each["place"] = each["place"] | {"at": [65, 0, each["place"]["at"][2]]}
    job = definitions(plate=[*plates, *small], bolt=[bolt("P2", "P1") | {"quantity": 2}])
    (told,) = findings(checked(job, planned=True), RULES)
    assert told.text.startswith("cannot be put in once all stands: W stands 20 mm before its head")
    job = definitions(plate=[*plates, small[0]], bolt=[bolt("P2", "P1") | {"quantity": 2}])
    assert findings(checked(job, planned=True), RULES) == []
