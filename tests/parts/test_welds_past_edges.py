"""Welds of ends that lie in part past the edge of the plate they stand on: as long as what touches, by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import definitions, pieces_of, tube

from fabgen.parts.piece import LengthPart, ProfilePart

R = 76.1 / 2.0
SQUARE = tube("T1", (0, 0, 0), (0, 0, 400), section="60 x 60 x 3")
ROUND = tube("T1", (0, 0, 0), (0, 0, 400), section="76.1 x 2.9")


def plate(x: float, y: float, width: float, height: float, **keys: Any) -> dict[str, Any]:
    """On the finish, its lower left corner there."""
    place = {"at": [x, y, 400], "along": [1, 0, 0], "up": [0, 0, 1]}
    return {"mark": "P1", "thickness": 4, "rectangle": [width, height], "place": place} | keys


def run(given: dict[str, Any], on: dict[str, Any]) -> float:
    part = pieces_of(definitions(tube=[given], plate=[on]))[0].shape
    assert isinstance(part, LengthPart)
    return sum(weld.length for weld in part.ends[1].welds)


def _round_of(width: float, corner: float) -> float:
    """Once round a square of rounded corners."""
    return 4.0 * (width - 2.0 * corner) + math.tau * corner


CORNER = 2.0 * 3.0
"""The outer corner of a 3 mm wall, twice that, as the program takes it (from memory, EN 10219-2: up to 2.4 T)."""

PAST: dict[str, tuple[dict[str, Any], dict[str, Any], float]] = {
    "half a round": (ROUND, plate(-50, 0, 100, 60), math.pi * R),
    "three quarters of a round": (
        # The edge at y = -R / 2 leaves a cap of 120 degrees bare.
        ROUND, plate(-50, -R / 2.0, 100, 100), math.tau * R * 2.0 / 3.0
    ),
    "over a hole half as wide as the tube": (
        # A hole of 60 about the middle of one side takes what of the rim lies in it.
        ROUND, plate(-60, -60, 120, 120, holes=[{"at": [60 + R, 60], "diameter": 30}]),
        math.tau * R - 4.0 * R * math.asin(15.0 / (2.0 * R)),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PAST)
def test_a_round_end_is_welded_as_far_as_it_touches(name: str) -> None:
    given, on, expected = PAST[name]
    # The wall's thickness is half on the metal at an edge: it counts where any of it is, so no closer than that.
    assert run(given, on) == pytest.approx(expected, abs=2.5 * 2.9)
    assert run(given, on) >= expected - 1.0


def test_half_a_square_end_is_half_its_way_round() -> None:
    whole = run(SQUARE, plate(-50, -50, 100, 100))
    assert run(SQUARE, plate(-50, 0, 100, 60)) == pytest.approx(whole / 2.0, abs=1.5)
    assert whole == pytest.approx(_round_of(60, CORNER), rel=0.01)


@pytest.mark.parametrize("on", [plate(-50, -50, 100, 100), plate(-30, -30, 60, 60), plate(-39, -39, 78, 78)])
def test_an_end_that_lies_on_its_plate_is_welded_all_round(on: dict[str, Any]) -> None:
    given = ROUND if on["rectangle"][0] == 78 else SQUARE
    whole = math.tau * R if given is ROUND else _round_of(60, CORNER)
    assert run(given, on) == pytest.approx(whole, rel=0.01)


# -- on profiles, and profiles on sheet ---------------------------------------------------------
ROUTE = [[-200, 0, 400], [200, 0, 400]]
ANGLE = {"mark": "P1", "section": "angle 80 x 80 x 8", "route": ROUTE, "legs": ["left", "top"]}
LEG = 80.0
"""The outer face of its level leg looks down, from the heel at y = 0 to its toe."""


def run_on_angle(y: float) -> float:
    """Of a square tube whose middle stands under the leg so far from its heel."""
    post = tube("T1", (0, y, 0), (0, y, 400), section="60 x 60 x 3")
    part = pieces_of(definitions(tube=[post], profile=[ANGLE]))[0].shape
    assert isinstance(part, LengthPart)
    assert part.ends[1].stands_on == "P1"
    return sum(weld.length for weld in part.ends[1].welds)


@pytest.mark.parametrize(
    ("y", "expected"),
    [
        (40, _round_of(60, CORNER)),
        (LEG - 15, _round_of(60, CORNER) - (60 - 2 * CORNER) - math.pi / 2 * 2 * CORNER - 2 * (15 - CORNER)),
        (15, _round_of(60, CORNER) - (60 - 2 * CORNER) - math.pi / 2 * 2 * CORNER - 2 * (15 - CORNER)),
    ],
)
def test_a_post_past_the_edge_of_a_profiles_leg_is_welded_where_there_is_metal(y: float, expected: float) -> None:
    assert run_on_angle(y) == pytest.approx(expected, abs=2.0)


@pytest.mark.parametrize("past", [0.0, 5.0, 10.0])
def test_a_profile_past_the_edge_of_a_plate_is_welded_where_there_is_metal(past: float) -> None:
    """The plate's edge cuts the leg of an angle that runs across it."""
    post = {"mark": "A1", "section": "angle 60 x 60 x 6", "route": [[0, 0, 0], [0, 0, 400]], "legs": ["left", "front"]}

    def weld(height: float) -> float:
        shape = pieces_of(definitions(profile=[post], plate=[plate(-50, -50, 150, height)]))[0].shape
        assert isinstance(shape, ProfilePart)
        assert shape.ends[1].onto == ("P1",)
        return shape.ends[1].weld

    assert weld(200) - weld(50 + 60 - past) == pytest.approx(past, abs=1.5)
