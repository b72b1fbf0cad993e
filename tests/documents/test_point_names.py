"""Names of points in pictures of frames: none over a point, a line or another name where there is room."""

from __future__ import annotations

import itertools
import math

import pytest

from fabgen.documents.points.point_names import disc, write_names
from fabgen.documents.render.picture import Fill, Stroke, Text, polyline
from fabgen.documents.render.sketch import Sketch, text_box
from fabgen.geometry.plane.outline import Box, Xy

TUBE = ((0.0, 0.0), (14.0, 0.0))
POINTS = {"BOLT_1": (0.0, 0.0), "MID": (5.5, 0.0), "BOLT_2": (11.0, 0.0), "BOLT_END": (14.0, 0.0), "LINK": (14.0, -2.0)}


@pytest.fixture(scope="module")
def named() -> Sketch:
    """Five points of a short tube within 14 mm of paper."""
    sketch = Sketch()
    sketch.draw(polyline(TUBE, "visible"), *(Fill(disc(at, 0.6, 12)) for at in POINTS.values()))
    write_names(sketch, [(at, [name]) for name, at in POINTS.items()])
    return sketch


def boxes(sketch: Sketch) -> dict[str, Box]:
    return {item.text: text_box(item) for item in sketch.items if isinstance(item, Text)}


def outside(box: Box, at: Xy) -> float:
    """How far the point lies outside the box, mm."""
    return math.hypot(max(box[0] - at[0], at[0] - box[2], 0.0), max(box[1] - at[1], at[1] - box[3], 0.0))


def test_every_name_stands_clear_of_points_the_line_and_other_names(named: Sketch) -> None:
    found = boxes(named)
    assert set(found) == set(POINTS)
    for box in found.values():
        assert min(outside(box, at) for at in POINTS.values()) > 0.6
        assert min(outside(box, (x / 10.0, 0.0)) for x in range(141)) > 0.0
    for one, other in itertools.combinations(found.values(), 2):
        assert one[2] < other[0] or other[2] < one[0] or one[3] < other[1] or other[3] < one[1]


def test_no_leader_runs_through_a_name(named: Sketch) -> None:
    leaders = [item for item in named.items if isinstance(item, Stroke) and item.pen == "mark"]
    for leader, box in itertools.product(leaders, boxes(named).values()):
        (ax, ay), (bx, by) = leader.points
        places = ((ax + (bx - ax) * i / 50.0, ay + (by - ay) * i / 50.0) for i in range(51))
        assert all(outside(box, at) > 0.0 for at in places)


def test_many_names_at_one_point_are_counted_and_lie_on_no_others() -> None:
    sketch = Sketch()
    sketch.draw(polyline(((0.0, 0.0), (100.0, 0.0)), "visible"))
    many = [f"R{i} start" for i in range(1, 8)]
    write_names(sketch, [((26.0 * i, 0.0), many) for i in range(4)], most=110.0, least=-10.0)
    found = [text_box(item) for item in sketch.items if isinstance(item, Text)]
    assert {item.text for item in sketch.items if isinstance(item, Text)} <= {
        "R1 start, R2 start, R3 start, R4 start +3",
        "R1 start +6",
    }
    for one, other in itertools.combinations(found, 2):
        assert one[2] < other[0] or other[2] < one[0] or one[3] < other[1] or other[3] < one[1]
