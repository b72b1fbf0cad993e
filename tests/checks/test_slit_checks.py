"""Checks of slits: each limit from both sides, faults an old hand sees at once, and two that only look wrong."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.tube import slits, tube_holes

PLATE = {"mark": "P1", "thickness": 5, "rectangle": [80, 40]}


def said(
    *given: dict[str, Any], plate: dict[str, Any] | None = None, section: str = "60 x 3", **keys: Any
) -> list[str]:
    tables: dict[str, Any] = {"plate": [PLATE | (plate or {})]}
    tables["tube"] = [tube("T1", (0, 0, 0), (600, 0, 0), section=section, start={"slit": list(given)}, **keys)]
    return [each.rule for each in findings(checked(definitions(**tables)), [*slits.RULES, *tube_holes.RULES])]


def slit(**keys: Any) -> dict[str, Any]:
    return {"width": 6, "depth": 40, "side": "top", "both_walls": True, **keys}


LIMITS = [
    # a 5 mm tab with 0.2 to 1 mm of room, and one that does not go in
    (slit(width=5.2 * 1.01, tab="P1"), slit(width=5.2 * 0.99, tab="P1"), "slit-tab"),
    (slit(width=6.0 * 0.99, tab="P1"), slit(width=6.0 * 1.01, tab="P1"), "slit-tab"),
    # half of the tube
    (slit(width=29.7), slit(width=30.3), "drill-wide"),
    # square corners of what is deeper than wide
    (slit(width=20, depth=19.8, hole=0), slit(width=20, depth=20.2, hole=0), "slit-corner"),
]


@pytest.mark.parametrize(("inside", "outside", "rule"), LIMITS)
def test_limits_from_both_sides(inside: Any, outside: Any, rule: str) -> None:
    assert said(inside) == []
    assert said(outside) == [rule]


def test_a_slit_near_a_hole() -> None:
    """1.2 of the wider one, 9 mm, between the edges: bottom at 40, hole of radius 4.5."""
    for free, rules in ((10.8 * 1.01, []), (10.8 * 0.99, ["drill-apart"]), (-5, ["drill-apart"])):
        near = {"at": 40 + free + 4.5, "side": "top", "diameter": 9}
        assert said(slit(), holes=[near]) == rules


def test_a_slit_under_a_tube_that_sits_there() -> None:
    job = {
        "tube": [
            tube("T1", (0, 0, 0), (600, 0, 0), section="60 x 3", start={"slit": slit()}),
            tube("T2", (35, 0, 0), (35, 0, 400), section="33.7 x 2.6"),
        ]
    }
    assert "drill-under-joint" in [each.rule for each in findings(checked(definitions(**job)), tube_holes.RULES)]


def test_into_a_bend_and_past_the_other_slit() -> None:
    bent = tube("B", (0, 0, 0), (200, 0, 0), (200, 0, 400), section="40 x 2", bend_radius=100,
                start={"slit": slit(depth=110)})  # fmt: skip
    assert "drill-off-end" in [each.rule for each in findings(checked(definitions(tube=[bent])), tube_holes.RULES)]
    assert set(said(slit(depth=320), finish={"slit": slit(depth=320)})) == {"drill-apart"}


STANDS = {"lies": "middle", "of": [40, 40], "up": [0, 1, 0]}
PLACED = [
    # as it should stand: upright along the tube's middle, 30 deep
    ({"at": [-10, 0, 0]}, []),
    # across the slit, level in an upright slit, beside it, in the air before it, too deep
    ({"at": [-10, 0, 0], "along": [0, 0, 1], "up": [1, 0, 0]}, ["slit-tab-place"]),
    ({"at": [-10, 0, 0], "up": [0, 0, 1]}, ["slit-tab-place"]),
    ({"at": [-10, 5, 0]}, ["slit-tab-place"]),
    ({"at": [-60, 0, 0]}, ["slit-tab-place"]),
    ({"at": [10, 0, 0]}, ["slit-tab-place"]),
    # the slit takes it to the middle of its hole of 5.5 and as far again as the tab is wide: 1 % of 40 less and more
    ({"at": [-40 + 37.25 - 0.3, 0, 0]}, []),
    ({"at": [-40 + 37.25 + 0.3, 0, 0]}, ["slit-tab-place"]),
]


@pytest.mark.parametrize(("place", "rules"), PLACED)
def test_where_the_tab_stands(place: dict[str, Any], rules: list[str]) -> None:
    plate = {"rectangle": [80, 80], "place": {**STANDS, **place}}
    assert said(slit(width=5.5, tab="P1"), plate=plate) == rules


def test_a_tab_through_one_slit_wall_runs_into_the_other() -> None:
    tall, low = {"rectangle": [80, 80]}, {"rectangle": [80, 40]}
    place = STANDS | {"at": [-10, 0, 20], "of": [40, 20]}
    one = slit(width=5.5, tab="P1", both_walls=False)
    assert said(one, plate=tall | {"place": STANDS | {"at": [-10, 0, 0]}}) == ["slit-tab-place"]
    assert said(one, plate=low | {"place": place}) == []


def test_what_only_looks_wrong() -> None:
    """A cross of two saw cuts that clamps on a rod; a notch half as wide as the tube with a round bottom."""
    assert said(slit(width=2), slit(width=2, side="left")) == []
    assert said(slit(width=30, depth=25, hole=0)) == []
    # the hole at a narrow slit's bottom is wider than the slit
    assert said(slit(width=1.5, hole=8)) == []


def test_a_tab_that_is_made_twice_is_judged_where_it_stands_at_the_slit() -> None:
    there, away = STANDS | {"at": [-10, 0, 0]}, STANDS | {"at": [-10, 300, 0]}
    beside = STANDS | {"at": [-10, 5, 0]}
    for places, rules in (([there, away], []), ([away, there], []), ([away, beside], ["slit-tab-place"])):
        plate = {"rectangle": [80, 80], "quantity": 2, "place": places}
        assert said(slit(width=5.5, tab="P1"), plate=plate) == rules


@pytest.mark.parametrize(("at", "rules"), [((-10, 0, 0), []), ((-10, 5, 0), ["slit-tab-place"])])
def test_a_leg_of_a_bracket_is_a_tab(at: tuple[float, float, float], rules: list[str]) -> None:
    """An angle whose first leg stands upright along the tube's middle, its second leg turned aside before the tube."""
    place = {"at": list(at), "of": [40, 40], "face": "a", "lies": "middle", "up": [0, 1, 0], "along": [0, 0, -1]}
    bracket = {
        "mark": "C1",
        "shape": "angle",
        "thickness": 5,
        "length": 80,
        "legs": [80, 40],
        "place": place,
    }
    main = tube("T1", (0, 0, 0), (600, 0, 0), section="60 x 3", start={"slit": [slit(width=5.5, tab="C1")]})
    job = checked(definitions(tube=[main], bracket=[bracket]))
    assert [each.rule for each in findings(job, slits.RULES)] == rules
