"""The board of what is drawn already, and the boxes of texts, against brute force and PDFium."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from page.print_check import text_boxes

from fabgen.documents.render.pdf import Page, render
from fabgen.documents.render.picture import Picture, Text, line
from fabgen.documents.render.sketch import Board, Sketch, text_box

coordinates = st.floats(-150.0, 150.0)
points = st.tuples(coordinates, coordinates)


@given(points, points, st.floats(0.0, 1.0))
def test_a_line_is_found_wherever_it_runs(a: tuple[float, float], b: tuple[float, float], share: float) -> None:
    board = Board()
    board.add_line(a, b)
    x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
    assert board.ink_under((x - 0.5, y - 0.5, x + 0.5, y + 0.5))


@given(points, points, points)
def test_nothing_is_found_away_from_the_line(
    a: tuple[float, float], b: tuple[float, float], p: tuple[float, float]
) -> None:
    board = Board()
    board.add_line(a, b)
    box = (p[0] - 1.0, p[1] - 1.0, p[0] + 1.0, p[1] + 1.0)
    left, right = sorted((a[0], b[0]))
    low, high = sorted((a[1], b[1]))
    apart = box[2] < left - 1.0 or box[0] > right + 1.0 or box[3] < low - 1.0 or box[1] > high + 1.0
    if apart:
        assert not board.ink_under(box)


def test_a_text_blocks_its_place_and_lines_over_it() -> None:
    sketch = Sketch()
    sketch.write(Text(10.0, 10.0, "Ø13.5 for M12", 3.5))
    assert sketch.board.text_on_line((0.0, 11.0), (40.0, 11.0))
    assert not sketch.board.text_on_line((0.0, 16.0), (40.0, 16.0))
    assert not sketch.free((12.0, 10.0, 14.0, 12.0))
    assert sketch.free((12.0, 20.0, 14.0, 22.0))


def test_the_panel_holds_lines_and_texts() -> None:
    sketch = Sketch()
    sketch.draw(line((0.0, 0.0), (50.0, 20.0)))
    sketch.write(Text(60.0, 30.0, "M", 3.5))
    panel = sketch.panel()
    assert panel.box[0] == 0.0
    assert panel.box[2] > 60.0
    assert panel.box[3] > 30.0
    assert panel.at(5.0, 5.0).box[:2] == pytest.approx((5.0, 5.0))


@pytest.mark.parametrize("turn", [0.0, 90.0])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_the_box_holds_the_printed_ink(turn: float, anchor: str) -> None:
    """PDFium, which knows nothing of our metrics, finds the ink inside the box."""
    text = Text(80.0, 90.0, "Øgjy 13.5 [0.53 in]", 5.0, anchor, turn)  # type: ignore[arg-type]
    printed = text_boxes(render([Page(200.0, 200.0, Picture((text,)))], "box"))
    box = text_box(text)
    assert printed
    for each in printed:
        assert each.box[0] >= box[0] - 0.1
        assert each.box[1] >= box[1] - 0.1
        assert each.box[2] <= box[2] + 0.1
        assert each.box[3] <= box[3] + 0.1
