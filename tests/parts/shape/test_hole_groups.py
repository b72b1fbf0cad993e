"""Holes as a drawing tells them apart: patterns found, names given."""

import math
from dataclasses import replace

import pytest

from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.parts.piece import FlatPart, Hole, Purpose
from fabgen.parts.shape.hole_groups import (
    BoltCircle,
    Lattice,
    as_slot,
    bolt_circle,
    hole_groups,
    hole_name,
    lattice,
    tabled_holes,
)


def on_circle(count: int, radius: float, start: float = 0.0) -> list[tuple[float, float]]:
    turns = [start + 2.0 * math.pi * i / count for i in range(count)]
    return [(50.0 + radius * math.cos(turn), 50.0 + radius * math.sin(turn)) for turn in turns]


@pytest.mark.parametrize("count", [3, 4, 5, 6, 8, 12])
def test_a_bolt_circle_is_found(count: int) -> None:
    found = bolt_circle(on_circle(count, 40.0))
    assert found is not None
    assert found.centre == pytest.approx((50.0, 50.0))
    assert found.diameter == pytest.approx(80.0)


def test_uneven_points_are_no_bolt_circle() -> None:
    points = on_circle(6, 40.0)
    assert bolt_circle(points[:5]) is None
    assert bolt_circle([*points[:5], (90.0, 51.0)]) is None


def test_four_corners_of_a_square_are_a_grid_except_on_a_disc() -> None:
    points = on_circle(4, 40.0, math.pi / 4.0)
    assert bolt_circle(points) is None
    assert bolt_circle(points, on_disc=True) is not None
    holes = tuple(Hole(Circle(x, y, 9.0), "9", "M8") for x, y in points)
    square = FlatPart(6.0, Outline.rectangle(100.0, 100.0), holes)
    disc = FlatPart(6.0, Circle(50.0, 50.0, 100.0), holes)
    assert isinstance(hole_groups(square)[0].pattern, Lattice)
    middle = Hole(Circle(50.0, 50.0, 40.0))
    around = hole_groups(replace(square, holes=(*holes, middle)))[0]
    assert isinstance(around.pattern, BoltCircle)
    assert isinstance(hole_groups(disc)[0].pattern, BoltCircle)
    assert hole_groups(disc)[0].callout == "4 x Ø9 for M8 on Ø80, one at 45°"


def test_rows_and_columns() -> None:
    found = lattice([(x, y) for y in (10.0, 40.0) for x in (5.0, 25.0, 45.0)])
    assert found == Lattice((5.0, 25.0, 45.0), (10.0, 40.0))
    assert lattice([(0.0, 0.0), (10.0, 0.0), (25.0, 0.0)]) is None
    assert lattice([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)]) is None


def test_hole_names() -> None:
    assert hole_name(Hole(Circle(0, 0, 13.5), "13.5 for M12", "M12")) == "Ø13.5 for M12"
    assert hole_name(Hole(Circle(0, 0, 8.0), "drain 8", purpose=Purpose.DRAIN)) == "Ø8 drain"
    assert hole_name(Hole(Circle(0, 0, 6.0), "vent 6", purpose=Purpose.VENT)) == "Ø6 vent"
    assert hole_name(Hole(Outline.stadium(30.0, 11.0), "", "M10")) == "slot 30 x 11 for M10"
    assert hole_name(Hole(Outline.stadium(30.0, 11.0).turned(math.radians(30.0)))) == "slot 30 x 11 at 30°"
    assert hole_name(Hole(Outline.rectangle(40.0, 25.0))) == "cut-out 40 x 25"


def test_a_slot_is_known_in_any_direction() -> None:
    slot = as_slot(Outline.stadium(30.0, 11.0).turned(math.radians(120.0)).moved(7.0, 9.0))
    assert slot is not None
    assert (slot.length, slot.width, math.degrees(slot.turn)) == pytest.approx((30.0, 11.0, 120.0))
    assert as_slot(Outline.rectangle(30.0, 11.0)) is None


def test_holes_too_many_to_dimension_have_letters() -> None:
    holes = tuple(Hole(Circle(20.0 + 3.0 * i * i, 20.0, 5.0 + i % 2), str(5 + i % 2)) for i in range(7))
    part = FlatPart(3.0, Outline.rectangle(200.0, 40.0), holes)
    assert [each.name for each in tabled_holes(hole_groups(part))] == ["A1", "A2", "A3", "A4", "B1", "B2", "B3"]
    assert tabled_holes(hole_groups(replace(part, holes=holes[:6]))) == []
