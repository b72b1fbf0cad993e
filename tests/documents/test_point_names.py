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
    assert {item.text for item in sketch.items if isinstance(item, Text)} <= {
        "R1 start, R2 start, R3 start, R4 start +3",
        "R1 start +6",
    }
    assert clear_of_one_another(sketch)


def clear_of_one_another(sketch: Sketch) -> bool:
    found = [text_box(item) for item in sketch.items if isinstance(item, Text)]
    return all(
        one[2] < other[0] or other[2] < one[0] or one[3] < other[1] or other[3] < one[1]
        for one, other in itertools.combinations(found, 2)
    )


@pytest.mark.parametrize("rows", [2, 3])
def test_names_of_a_crowd_keep_off_to_where_there_is_room(rows: int) -> None:
    sketch = Sketch()
    spots = [(40.0 + 7.0 * i, 6.0 * k) for k in range(rows) for i in range(8)]
    write_names(sketch, [(at, [f"E{i}-L finish", f"E{i}-R finish"]) for i, at in enumerate(spots)], 180.0, 0.0)
    texts = [item for item in sketch.items if isinstance(item, Text)]
    assert {text.text.split()[0] for text in texts} == {f"E{i}-L" for i in range(len(spots))}
    assert clear_of_one_another(sketch)
    assert all(text_box(text)[0] >= 0.0 and text_box(text)[2] <= 180.0 for text in texts)


def test_points_that_the_names_of_others_shut_in_get_theirs_first() -> None:
    """Side view of two alike halves: eight points on a rail, at its end a corner near a title."""
    sketch = Sketch()
    sketch.write(Text(0.0, 5.0, "seen from the right", 2.6, bold=True))
    ends = (26.3, 35.3, 39.6, 41.0, 42.4, 46.6, 51.8)
    sketch.draw(polyline(((ends[0], 0.0), (ends[-1], 0.0)), "visible"))
    names = [["RT", "RT-R"], ["UR", "UR-R"], ["TR", "TR-R", "SHOCK", "SHOCK-R"], ["HUB", "HUB-R"]]
    names += [["TF", "TF-R", "SR", "SR-R"], ["UF", "UF-R"], ["FT", "FT-R", "E1-L finish", "E1-R finish"]]
    write_names(sketch, [((x, 0.0), each) for x, each in zip(ends, names, strict=True)], 180.0, 0.0)
    leaders = [item.points for item in sketch.items if isinstance(item, Stroke) and item.pen == "mark"]
    assert clear_of_one_another(sketch)
    assert len(boxes(sketch)) == 8
    for (a, b), box in itertools.product(leaders, boxes(sketch).values()):
        places = ((a[0] + (b[0] - a[0]) * i / 50.0, a[1] + (b[1] - a[1]) * i / 50.0) for i in range(51))
        assert all(outside(box, at) > 0.0 for at in places)


@pytest.mark.parametrize(("height", "above"), [(40.0, True), (-40.0, False)])
def test_a_name_without_any_room_stands_beyond_all_that_is_drawn(height: float, above: bool) -> None:
    sketch = Sketch()
    for row in range(-50, 51):
        sketch.write(Text(0.0, 2.5 * row, "text upon text " * 8, 2.3))
    low, high = sketch.box[1], sketch.box[3]
    write_names(sketch, [((5.0, height), ["LONG_NAME"])], 60.0, 0.0)
    left, bottom, right, top = boxes(sketch)["LONG_NAME"]
    assert bottom > high if above else top < low
    assert left >= 0.0
    assert right <= 60.0
