"""Dimensions by the habits of ISO 129-1: where lines, arrows and figures lie."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.documents.drawing.sheet.dimensions import (
    ARROW,
    FIGURE,
    DimensionLine,
    Length,
    Target,
    arrow,
    draw_angle,
    draw_leader,
    draw_length,
)
from fabgen.documents.drawing.sheet.lanes import Side, Station, spread
from fabgen.documents.render.picture import Arc, Fill, Stroke, Text, line
from fabgen.documents.render.sketch import Sketch, text_box
from fabgen.documents.render.text_room import reading_turn
from fabgen.wording.figures import Figures

DOWN = (0.0, -1.0)
ALONG = (1.0, 0.0)


def texts(sketch: Sketch) -> list[Text]:
    return [item for item in sketch.items if isinstance(item, Text)]


def strokes(sketch: Sketch) -> list[Stroke]:
    return [item for item in sketch.items if isinstance(item, Stroke)]


@pytest.mark.parametrize(
    ("value", "text"), [(80.0, "80"), (19.05, "19.05"), (233.2731, "233.3"), (0.04, "0.04"), (76.3999999, "76.4")]
)
def test_figures_have_no_needless_zeros(value: float, text: str) -> None:
    assert Figures().length(value) == text


def test_an_inch_job_has_inches_only() -> None:
    assert Figures(inches=True).length(80.0) == '3.150"'
    assert Figures(inches=True).tube(63.5) == '2 1/2"'


@given(st.floats(-math.pi, math.pi))
def test_figures_read_from_below_or_from_the_right(angle: float) -> None:
    """ISO 129-1:2018, 5.5: texts are turned into (-90, 90] degrees."""
    turn = reading_turn((math.cos(angle), math.sin(angle)))
    assert -90.0 + 1e-9 < turn <= 90.0 + 1e-9
    assert math.isclose(abs(math.sin(math.radians(turn) - angle)), 0.0, abs_tol=1e-6)


def test_arrow_is_filled_with_its_point_on_the_line() -> None:
    head = arrow((5.0, 7.0), (1.0, 0.0))
    assert head.grey == 0.0
    assert head.points[0] == (5.0, 7.0)
    assert max(x for x, _ in head.points) - min(x for x, _ in head.points) == pytest.approx(ARROW)
    # Closed heads of 15 degrees or a little more (ISO 129-1:2018, figure 4).
    half = max(y for _, y in head.points) - 7.0
    assert 15.0 <= math.degrees(2.0 * math.atan(half / ARROW)) <= 30.0


def test_length_has_gaps_overshoot_and_its_figure_above_the_line() -> None:
    sketch = Sketch()
    assert draw_length(sketch, Length((0.0, 0.0), (60.0, 4.0), "60"), DimensionLine(ALONG, DOWN, 10.0))
    dimension_line, first, second = strokes(sketch)
    assert [p[1] for p in dimension_line.points] == [-10.0, -10.0]
    assert first.points == ((0.0, -1.0), (0.0, -12.0))
    assert second.points == ((60.0, 3.0), (60.0, -12.0))
    (figure,) = texts(sketch)
    assert figure.anchor == "middle"
    assert figure.x == pytest.approx(30.0)
    assert text_box(figure)[1] > -10.0
    tips = [item.points[0] for item in sketch.items if isinstance(item, Fill)]
    assert tips == [(0.0, -10.0), (60.0, -10.0)]


def test_a_narrow_length_has_arrows_and_figure_outside() -> None:
    sketch = Sketch()
    assert draw_length(sketch, Length((0.0, 0.0), (3.0, 0.0), "3.25"), DimensionLine(ALONG, DOWN, 10.0))
    (figure,) = texts(sketch)
    assert text_box(figure)[0] > 3.0
    inward = [item for item in sketch.items if isinstance(item, Fill)]
    assert min(x for x, _ in inward[0].points) < 0.0
    assert max(x for x, _ in inward[1].points) > 3.0


def test_a_figure_keeps_off_what_is_there() -> None:
    sketch = Sketch()
    sketch.draw(line((30.0, -20.0), (30.0, 0.0)))
    assert draw_length(sketch, Length((0.0, 0.0), (60.0, 0.0), "60"), DimensionLine(ALONG, DOWN, 10.0))
    (figure,) = texts(sketch)
    box = text_box(figure)
    assert not box[0] < 30.0 < box[2]


def test_a_line_across_a_text_is_refused() -> None:
    sketch = Sketch()
    sketch.write(Text(-2.0, -6.0, "note", 3.5))
    assert not draw_length(sketch, Length((0.0, 0.0), (60.0, 0.0), "60"), DimensionLine(ALONG, DOWN, 10.0))
    assert len(sketch.items) == 1
    assert draw_length(sketch, Length((0.0, 0.0), (60.0, 0.0), "60"), DimensionLine(ALONG, DOWN, 10.0), force=True)


def test_angle_has_an_arc_and_a_figure_beside_it() -> None:
    sketch = Sketch()
    assert draw_angle(sketch, (0.0, 0.0), 20.0, 0.0, math.radians(60.0), "60°")
    (arc,) = [item for item in sketch.items if isinstance(item, Arc)]
    assert (arc.start, arc.end) == pytest.approx((0.0, 60.0))
    (figure,) = texts(sketch)
    left, bottom, right, top = text_box(figure)
    near = math.hypot(max(left, 0.0), max(bottom, 0.0))
    far = math.hypot(right, top)
    assert near > 20.0 or far < 20.0


def test_leader_stays_in_its_limit_or_is_not_drawn() -> None:
    limit = (-40.0, -40.0, 40.0, 40.0)
    sketch = Sketch()
    assert draw_leader(sketch, [Target((0.0, 0.0), 5.0)], "2 x Ø13.5", limit)
    (text,) = texts(sketch)
    box = text_box(text)
    assert box[0] >= -40.0
    assert box[2] <= 40.0
    assert not draw_leader(Sketch(), [Target((0.0, 0.0), 5.0)], "a very long note indeed", (-12.0, -12.0, 12.0, 12.0))


def test_leader_points_at_the_centre_of_a_hole() -> None:
    sketch = Sketch()
    assert draw_leader(sketch, [Target((10.0, 20.0), 5.0)], "Ø10", (-50.0, -50.0, 80.0, 80.0))
    slanted = strokes(sketch)[0]
    (x0, y0), (x1, y1) = slanted.points
    assert math.dist((x0, y0), (10.0, 20.0)) == pytest.approx(5.0)
    assert (x0 - 10.0) * (y1 - 20.0) - (y0 - 20.0) * (x1 - 10.0) == pytest.approx(0.0, abs=1e-9)


@given(st.lists(st.floats(0.0, 200.0), min_size=1, max_size=30), st.floats(0.5, 8.0))
def test_spread_keeps_order_and_pitch(wanted: list[float], pitch: float) -> None:
    wanted.sort()
    places = spread(wanted, pitch)
    assert all(b - a >= pitch - 1e-9 for a, b in pairwise(places))
    if all(b - a >= pitch for a, b in pairwise(wanted)):
        assert places == pytest.approx(wanted)
    # Least squares with the order kept: pushing all places one way never helps.
    assert sum(places) == pytest.approx(sum(wanted), abs=1e-6)


@given(st.lists(st.floats(2.0, 150.0), min_size=1, max_size=6), st.lists(st.floats(3.0, 150.0), max_size=6))
def test_no_figure_lies_on_another_beside_a_view(lengths: list[float], positions: list[float]) -> None:
    sketch = Sketch()
    side = Side("below")
    side.lengths = [Length((0.0, 0.0), (x, 0.0), f"{x:.1f}") for x in lengths]
    side.stations = [Station((x, 0.0), f"{x:.1f}") for x in positions]
    side.outermost = [Length((0.0, 0.0), (160.0, 0.0), "160")]
    side.draw(sketch, 0.0)
    boxes = [text_box(text) for text in texts(sketch)]
    for i, a in enumerate(boxes):
        for b in boxes[i + 1 :]:
            across = min(a[2], b[2]) - max(a[0], b[0])
            up = min(a[3], b[3]) - max(a[1], b[1])
            assert not (across > 0.05 and up > 0.05), (lengths, positions)


def test_letters_are_no_smaller_than_the_standard_allows() -> None:
    """ISO 3098-1:2015, 5.1: nominal heights 1.8, 2.5, 3.5 mm and so on; figures here are 2.5 mm high."""
    cap_height = 1493.0 / 2048.0  # of the face that travels with fabgen
    assert cap_height * FIGURE >= 2.5
