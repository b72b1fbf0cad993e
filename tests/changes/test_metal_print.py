"""The print by which a tick knows whether its part has changed."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import definitions, pieces_of

from fabgen.changes.metal_print import metal_prints


def plate(**keys: Any) -> str:
    part = {"mark": "P1", "thickness": 6, "corners": [[0, 0], [120, 0], [120, 40], [60, 80], [0, 80]]} | keys
    return metal_prints(pieces_of(definitions(plate=[part])))["P1"]


@pytest.mark.parametrize(
    "keys",
    [
        {"thickness": 8},
        {"material": "S355"},
        {"holes": [{"at": [30, 30], "diameter": 11}]},
        {"corners": [[0, 0], [120, 0], [120, 40], [60, 80], {"at": [0, 80], "radius": 3}]},
        {"corners": [[0, 0], [120, 0], [120, 40], [60.06, 80], [0, 80]]},
    ],
)
def test_it_changes_with_the_metal(keys: dict[str, Any]) -> None:
    assert plate(**keys) != plate()


@pytest.mark.parametrize("keys", [{"quantity": 3}, {"note": "paint"}, {"title": "base"}, {"mark": "P1"}])
def test_words_and_counts_do_not_change_it(keys: dict[str, Any]) -> None:
    assert plate(**keys) == plate()


def test_noise_does_not_change_it() -> None:
    """Sizes as people write them, in mm to 0.05 and in 64ths of an inch, a hair more or less."""
    sizes = [50 + 0.05 * i for i in range(8)] + [25.4 * i / 64 for i in range(121, 129)]
    for size in sizes:
        for hair in (-1e-9, 1e-9):
            corners = [[[0, 0], [each, 0], [each, 30]] for each in (size, size + hair)]
            assert plate(corners=corners[0]) == plate(corners=corners[1])


def test_it_does_not_tell_where_a_part_stands() -> None:
    def tube(*route: list[float]) -> str:
        part = {"mark": "T1", "section": "40 x 40 x 2", "route": list(route)}
        return metal_prints(pieces_of(definitions(tube=[part])))["T1"]

    assert tube([0, 0, 0], [500, 0, 0]) == tube([10, 20, 30], [10, 520, 30])
    assert tube([0, 0, 0], [500, 0, 0]) != tube([0, 0, 0], [500.1, 0, 0])


def test_a_bottom_hole_and_a_bend_upward_are_so_wherever_the_tube_stands() -> None:
    """They lie where a turn begins or ends, on either side of it by noise."""
    hole = {"from": "start", "at": 60, "side": 180, "diameter": 11}

    def prints(angle: float, *off: float) -> dict[str, str]:
        c, s = math.cos(angle), math.sin(angle)

        def route(*points: tuple[float, float, float]) -> list[list[float]]:
            return [[x * c - y * s + off[0], x * s + y * c + off[1], z + off[2]] for x, y, z in points]

        straight = {"mark": "T1", "section": "48.3 x 3.2", "route": route((0, 0, 0), (500, 0, 0)), "holes": [hole]}
        upward = route((0, 500, 0), (400, 500, 130), (700, 500, 700))
        bent = {"mark": "T2", "section": "33.7 x 2.6", "bend_radius": 100, "route": upward}
        return metal_prints(pieces_of(definitions(tube=[straight, bent])))

    for number in range(20):
        assert prints(0.3 * number, 71.3 * number, -13.7 * number, 5.1 * number) == prints(0.0, 0.0, 0.0, 0.0)
