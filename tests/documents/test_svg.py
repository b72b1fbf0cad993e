"""Pictures as SVG: well-formed, true to the picture, the same every time."""

import math
import re
import xml.etree.ElementTree as ElementTree

import pytest

from fabgen.documents.render.picture import PENS, Arc, Fill, Picture, Text, line, polyline, rectangle
from fabgen.documents.render.svg import to_svg

SVG = "{http://www.w3.org/2000/svg}"


def parsed(picture: Picture, width: float = 100.0, height: float = 50.0) -> ElementTree.Element:
    return ElementTree.fromstring(to_svg(picture, width, height, "a <plate> & more"))


def test_size_is_in_millimetres_and_the_title_is_safe() -> None:
    root = parsed(Picture())
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("100mm", "50mm", "0 0 100 50")
    assert root.get("aria-label") == "a <plate> & more"


def test_y_points_up() -> None:
    path = parsed(Picture((line((10.0, 0.0), (10.0, 20.0)),))).find(f".//{SVG}path")
    assert path is not None
    assert path.get("d") == "M10 50L10 30"


@pytest.mark.parametrize("pen", list(PENS))
def test_lines_keep_width_and_dashes(pen: str) -> None:
    group = parsed(Picture((line((0, 0), (1, 1), pen),))).find(f"{SVG}g")  # type: ignore[arg-type]
    assert group is not None
    assert float(group.get("stroke-width", "0")) == pytest.approx(PENS[pen].width)
    dashes = [float(d) for d in group.get("stroke-dasharray", "").split()]
    assert dashes == pytest.approx(list(PENS[pen].dash))


def test_a_closed_line_is_closed_and_a_fill_is_filled() -> None:
    root = parsed(Picture((rectangle(0, 0, 10, 10), Fill(((0, 0), (1, 0), (0, 1)), 1.0), polyline([(0, 0), (1, 2)]))))
    closed, filled, open_ = root.iter(f"{SVG}path")
    assert closed.get("d", "").endswith("Z")
    assert filled.get("fill") == "#ffffff"
    assert not open_.get("d", "").endswith("Z")


@pytest.mark.parametrize(("start", "end"), [(0.0, 90.0), (30.0, 250.0), (200.0, 380.0)])
def test_arcs_run_counter_clockwise(start: float, end: float) -> None:
    """The end-point form of SVG 1.1, F.6.5, worked back to centre and sweep."""
    path = parsed(Picture((Arc(40.0, 20.0, 10.0, start, end),))).find(f".//{SVG}path")
    assert path is not None
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.get("d", ""))]
    x0, y0, r, _, _, large, sweep, x1, y1 = numbers
    # Back to y up, where sweep flag 0 of a y-down picture means counter-clockwise.
    a, b = (x0, 50.0 - y0), (x1, 50.0 - y1)
    assert (r, sweep) == (10.0, 0.0)
    for point, turn in ((a, math.radians(start)), (b, math.radians(end))):
        assert point == pytest.approx((40.0 + 10.0 * math.cos(turn), 20.0 + 10.0 * math.sin(turn)), abs=2e-3)
    assert bool(large) == (end - start > 180.0)


def test_a_full_circle_is_a_circle() -> None:
    circle = parsed(Picture((Arc(40.0, 20.0, 10.0),))).find(f".//{SVG}circle")
    assert circle is not None
    assert (circle.get("cx"), circle.get("cy"), circle.get("r")) == ("40", "30", "10")


def test_texts_are_escaped_turned_and_keep_their_width() -> None:
    text = parsed(Picture((Text(10.0, 20.0, "a < b & c", 3.5, "end", 90.0, True),))).find(f".//{SVG}text")
    assert text is not None
    assert text.text == "a < b & c"
    assert text.get("transform") == "rotate(-90 10 30)"
    assert text.get("text-anchor") == "end"
    assert text.get("font-weight") == "bold"
    assert float(text.get("textLength", "0")) > 10.0


def test_the_same_picture_gives_the_same_text() -> None:
    picture = Picture((line((0, 0), (1 / 3, -1e-9)), Arc(1, 2, 3), Text(1, 1, "x")))
    first = to_svg(picture, 10, 10)
    assert first == to_svg(picture, 10, 10)
    assert "-0 " not in first
