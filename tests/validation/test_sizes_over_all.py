"""Frames written by their sizes over all or by their opening, held against solids (manifold3d) within 0.05 mm."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from jobs import checked, tube, tubes_text
from lying_jobs import CORNERS, INCH, ROUND, SQUARE, Corner, ends, made, ring, splayed, table
from test_tubes_in_space import whole_tube

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import LengthPart

WITHIN = 0.05


def bounds(*parts: LengthPart) -> tuple[Array, Array]:
    boxes = np.array([whole_tube(part).bounding_box() for part in parts])
    return boxes[:, :3].min(axis=0), boxes[:, 3:].max(axis=0)


def measures(parts: dict[str, LengthPart], low: Corner, high: Corner) -> None:
    """Over all, within 0.05 mm."""
    found = bounds(*parts.values())
    assert found[0] == pytest.approx(low, abs=WITHIN)
    assert found[1] == pytest.approx(high, abs=WITHIN)


# -- over all ------------------------------------------------------------------------------
def test_a_table_by_hand() -> None:
    """Of tube of 40 the centre lines lie 20 within: at 20 and 780, 20 and 580, the top rails' at 680."""
    parts, found = made(*table(), lies="outside")
    assert ends(parts["P1"])[0] == (20, 20, 0)
    assert ends(parts["P3"])[0] == (780, 580, 0)
    assert ends(parts["R1"]) == [(20, 20, 680), (780, 20, 680)]
    assert parts["P1"].length == pytest.approx(700.0)
    assert found == {}
    measures(parts, (0, 0, 0), (800, 600, 700))


@pytest.mark.parametrize(
    ("posts", "rails"),
    [(ROUND, ROUND), (SQUARE, "30 x 20 x 2"), (SQUARE, "60 x 40 x 2"), ("48.3 x 3.2", "26.9 x 2.6"), (SQUARE, ROUND)],
)
def test_a_table_of_other_and_unlike_tube(posts: str, rails: str) -> None:
    parts, _ = made(*table(posts, rails), lies="outside")
    measures(parts, (0, 0, 0), (800, 600, 700))


def test_a_table_in_inches() -> None:
    parts = {p.mark: p.length_part for p in checked(_inches()).pieces}
    measures({mark: part for mark, part in parts.items() if part}, (0, 0, 0), (812.8, 609.6, 711.2))


def _inches() -> str:
    return tubes_text(*table(INCH, INCH, 1.016 / 25.4), lies="outside").replace('units = "mm"', 'units = "in"')


@pytest.mark.parametrize("seed", range(6))
def test_a_box_of_any_size_and_sections(seed: int) -> None:
    roll = random.Random(seed)
    x, y, z = (roll.uniform(300, 1500) for _ in range(3))
    sections = ["20 x 20 x 2", "50 x 30 x 3", "30 x 60 x 3", ROUND, "60.3 x 2.9"]
    low, top, posts = (roll.choice(sections) for _ in range(3))
    plan = ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y))
    parts, _ = made(
        *ring(tuple((a, b, 0.0) for a, b in plan), low, "B"),
        *ring(tuple((a, b, z) for a, b in plan), top, "R"),
        *(tube(f"P{i}", (a, b, 0.0), (a, b, z), section=posts) for i, (a, b) in enumerate(plan)),
        lies="outside",
    )
    measures(parts, (0, 0, 0), (x, y, z))


def test_the_inside_is_the_opening() -> None:
    """The opening of 800 x 600 is clear, the posts stand 40 beyond it, and the table is 40 higher."""
    parts, _ = made(*table(), lies="inside")
    measures(parts, (-40, -40, 0), (840, 640, 740))
    assert bounds(parts["R1"])[1][1] == pytest.approx(0.0, abs=WITHIN)
    assert bounds(parts["R1"])[0][2] == pytest.approx(700.0, abs=WITHIN)


@pytest.mark.parametrize(("rail", "stile"), [(40, 40), (60, 30)])
def test_a_mitred_gate(rail: int, stile: int) -> None:
    """Its thickness is about the points; the seams of stiles unlike the rails go from edge to edge."""
    flat = ring(tuple((x, y, 0.0) for x, y, _ in CORNERS), "")
    wide = [rail, stile, rail, stile]
    cut = {at: {"cut": "mitre", "seam": "edges"} for at in ("start", "finish")}
    parts, _ = made(
        *(each | cut | {"section": f"40 x {across} x 3"} for each, across in zip(flat, wide, strict=True)),
        lies="outside",
    )
    measures(parts, (0, 0, -20), (800, 600, 20))
    for part, own, other in zip(parts.values(), wide, reversed(wide), strict=True):
        for end in part.ends:
            assert end.flats[0].from_square == pytest.approx(math.atan2(other, own))


def test_a_closed_route_and_a_bent_one() -> None:
    route = [*((x, y, 0.0) for x, y, _ in CORNERS), (0.0, 0.0, 0.0)]
    parts, _ = made(tube("H", *route[:2], section=ROUND) | {"route": route}, lies="outside")
    assert list(parts) == ["Ha", "Hb", "Hc", "Hd"]
    measures(parts, (0, 0, -16.85), (800, 600, 16.85))
    parts, _ = made(tube("H", *route[:2], section=ROUND) | {"route": route, "bend_radius": 120}, lies="outside")
    measures(parts, (0, 0, -16.85), (800, 600, 16.85))


def test_a_frame_of_two_hoops() -> None:
    hoops = [
        tube(f"H{x}", (x, 0, 0), (x, 0, 900), section=ROUND)
        | {"route": [(x, 0, 0), (x, 0, 900), (x, 600, 900), (x, 600, 0)], "bend_radius": 120}
        for x in (0, 1000)
    ]
    rails = [tube(f"R{y}", (0, y, z), (1000, y, z), section=ROUND) for y, z in ((0, 400), (600, 400), (300, 900))]
    parts, _ = made(*hoops, *rails, lies="outside")
    measures(parts, (0, 0, 0), (1000, 600, 900))
    assert ends(parts["R300"])[0] == (16.85, 300, 883.15)


@pytest.mark.parametrize("section", [ROUND, SQUARE])
def test_splayed_legs(section: str) -> None:
    """The rails keep the size written, their sides plumb; the legs' outsides meet the floor at the points given."""
    parts, found = made(*splayed(section, cut="level"), lies="outside")
    rails = [part for mark, part in parts.items() if mark[0] == "R"]
    assert bounds(*rails)[1][2] == pytest.approx(700.0, abs=WITHIN)
    assert [bounds(rails[0])[0][1], bounds(rails[2])[1][1]] == pytest.approx([0.0, 600.0], abs=WITHIN)
    assert [bounds(rails[3])[0][0], bounds(rails[1])[1][0]] == pytest.approx([0.0, 800.0], abs=WITHIN)
    assert [ends(part)[0][2] for mark, part in parts.items() if mark[0] == "P"] == [0.0] * 4
    low, high = bounds(*parts.values())
    assert [*low[:2], *high[:2]] == pytest.approx([-100.0, -60.0, 900.0, 660.0], abs=0.3)
    assert "leaning-foot" not in found


def test_a_splayed_leg_left_square_is_told_of_the_floor_and_stands_on_a_plate() -> None:
    _, found = made(*splayed(ROUND), lies="outside")
    assert "leaning-foot" in found
    parts, found = made(*splayed(ROUND, foot={"plate": [120, 120], "thickness": 8}), lies="outside")
    assert found == {}
    assert math.dist(ends(parts["P1"])[0], (-100, -60, 0)) < 25.0


def test_a_brace_in_a_wall_lies_flush_and_one_in_a_flat_frame_in_its_middle() -> None:
    brace = tube("X", (0, 0, 0), (800, 0, 700), section="20 x 20 x 2")
    parts, _ = made(*table(), brace, lies="outside")
    assert bounds(parts["X"])[0][1] == pytest.approx(0.0, abs=WITHIN)
    flat = ring(tuple((x, y, 0.0) for x, y, _ in CORNERS), SQUARE)
    parts, _ = made(*flat, tube("X", (0, 0, 0), (800, 600, 0), section="20 x 20 x 2"), lies="outside")
    assert ends(parts["X"]) == [(20, 20, 0), (780, 580, 0)]
