"""Tubes that run through placed sheet: the limit from both sides, what an old hand sees, and what only looks wrong."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, read, tube

from fabgen.checks.contact.into_one_another import into_one_another

UP = {"at": [0, 0, 0], "up": [0, 0, 1], "of": [100, 100]}
PLATE = {"mark": "P", "thickness": 6, "rectangle": [200, 200], "place": UP}
"""Its upper side at z = 6."""
R = 13.45


def at(height: float, mark: str = "X", **keys: Any) -> dict[str, Any]:
    """A tube along x at a height."""
    return tube(mark, (-300, 0, height), (300, 0, height), section="26.9 x 2.3", **keys)


def said(*tubes: dict[str, Any], plate: dict[str, Any] = PLATE, **tables: Any) -> list[str]:
    job = definitions(tube=list(tubes), plate=[plate], **tables)
    return [finding.text for finding in findings(checked(job), (into_one_another,))]


@pytest.mark.parametrize(("deep", "speaks"), [(0.495, False), (0.505, True)])
def test_half_a_millimetre_deep_from_both_sides(deep: float, speaks: bool) -> None:
    standing = tube("X", (0, 0, 6.0 - deep), (0, 0, 400), section="26.9 x 2.3", start={"cut": "plain"})
    assert bool(said(standing)) == speaks


@pytest.mark.parametrize(("deep", "speaks"), [(0.495, False), (0.52, True)])
def test_half_a_millimetre_deep_along_it(deep: float, speaks: bool) -> None:
    """A round tube is held along lines every 5 degrees, and there are some at top and bottom."""
    assert bool(said(at(6.0 + R - deep))) == speaks
    assert bool(said(at(deep - R))) == speaks


def test_the_words_give_how_deep_how_far_and_where() -> None:
    assert said(at(6.0 + R - 2.0)) == [
        "X lies in P, 2 mm deep over 200 mm, 300 mm from X's start: make the sheet smaller, cut it out there, or "
        "move one of them"
    ]


def test_a_tube_through_two_plates_is_one_finding() -> None:
    job = definitions(tube=[at(7.0)], plate=[PLATE, PLATE | {"mark": "Q", "place": UP | {"at": [200, 0, 0]}}])
    (text,) = (finding.text for finding in findings(checked(job), (into_one_another,)))
    assert text.startswith("2 pairs of parts lie in one another (P 12.5 mm into the hollow of X, ")
    assert "; X in Q, 2.8 mm deep" in text


# -- what an old hand sees at once ------------------------------------------------------------------
DISC = """[job]
title = "t"
number = "1"
units = "{units}"
[[node]]
at = [0, 0, 0]
corners = "disc"
"""


def on_disc(units: str = "mm") -> str:
    """Three tubes on a disc, and one that runs past their point and through it."""
    one = 1.0 if units == "mm" else 1.0 / 25.4
    routes = {"A": (1000, 0), "B": (-600, 800), "C": (-600, -800)}
    sections = ("33.7 x 2.6", "26.9 x 2.3") if units == "mm" else ("1 1/4 x 0.12", "1 x 0.095")
    lines = [DISC.format(units=units)]
    for mark, (x, y) in routes.items():
        route = [[0, 0, 0], [x * one, y * one, 0]]
        lines.append(f'[[tube]]\nmark = "{mark}"\nsection = "{sections[0]}"\nroute = {route}')
    route = [[10 * one, 50 * one, -300 * one], [10 * one, 50 * one, 300 * one]]
    lines.append(f'[[tube]]\nmark = "X"\nsection = "{sections[1]}"\nroute = {route}')
    return "\n".join(lines)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_tube_through_the_disc_of_others(units: str) -> None:
    (text,) = (finding.text for finding in findings(checked(read(on_disc(units))), (into_one_another,)))
    # In inches the disc comes 0.2 mm short of the tube's far side.
    assert ("X runs right through DISC over 6 mm" if units == "mm" else 'DISC reaches 0.991" [25.2 mm]') in text


BENT = tube("X", (-300, 0, 200), (0, 0, 200), (0, 0, -200), section="26.9 x 2.3", bend_radius=80)


@pytest.mark.parametrize(
    "given",
    [
        # through its middle, along it, a bent one, askew past an edge
        tube("X", (0, 0, -300), (0, 0, 300), section="40 x 40 x 3"),
        at(3.0),
        BENT,
        tube("X", (-300, 0, -100), (300, 0, 120), section="26.9 x 2.3"),
        tube("X", (95, 0, -300), (95, 0, 300), section="26.9 x 2.3"),
    ],
)
def test_tubes_through_a_plate(given: dict[str, Any]) -> None:
    assert len(said(given)) == 1


def test_several_are_one_finding() -> None:
    (text,) = said(at(3.0, "X"), tube("Y", (0, 50, -300), (0, 50, 300), section="26.9 x 2.3"))
    assert "2 pairs of parts" in text


# -- what only looks wrong ----------------------------------------------------------------------
def test_a_tube_on_a_plate_beside_it_and_standing_on_it() -> None:
    assert said(at(6.0 + R)) == []
    assert said(tube("X", (100 + R, 0, -300), (100 + R, 0, 300), section="26.9 x 2.3")) == []
    assert said(tube("X", (0, 0, 0), (0, 0, 400), section="26.9 x 2.3")) == []


def test_a_tube_through_a_hole_of_the_plate_and_one_slit_over_it() -> None:
    plate = PLATE | {"holes": [{"at": [100, 100], "diameter": 28}]}
    assert said(tube("X", (0, 0, -300), (0, 0, 300), section="26.9 x 2.3"), plate=plate) == []
    slit = {"width": 6.5, "depth": 120, "side": "left", "both_walls": True, "tab": "P"}
    assert said(tube("X", (0, 0, 3), (400, 0, 3), section="26.9 x 2.3", start={"slit": slit})) == []
