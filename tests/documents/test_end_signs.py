"""Symbols of welds at the ends of tubes: where their arrows end in the tube's view."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from jobs import checked, definitions, tube

from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.drawing.sheet.long_axis import LongAxis
from fabgen.documents.drawing.tube.end_signs import draw_end_signs
from fabgen.documents.drawing.tube.tube_shape import TubeShape
from fabgen.documents.drawing.tube.tube_view import draw_tube_body
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Fill, Text
from fabgen.documents.render.sketch import Sketch
from fabgen.parts.shape.welds.end_welds import end_welds
from fabgen.wording.figures import MILLIMETRES

MAIN = tube("T1", (-300, 0, 0), (300, 0, 0))
R = 48.3 / 2.0
WELD = {"parts": ["T2", "T1"], "throat": 3, "all_round": True, "process": "135"}


def job(*weld: dict[str, Any], lean: float = 0.0, section: str = "48.3 x 3.2") -> Any:
    finish = (400 * math.sin(math.radians(lean)), 0, 400 * math.cos(math.radians(lean)))
    return checked(definitions(tube=[MAIN, tube("T2", (0, 0, 0), finish, section=section)], weld=list(weld)))


def texts(of: Any, mark: str) -> list[str]:
    (page,) = [each for each in drawing_pages(of.pieces, of.job.job, paper.A4) if mark in each.marks]
    return [item.text for item in page.picture.items if isinstance(item, Text)]


@pytest.mark.parametrize("lean", [0.0, 35.0])
@pytest.mark.parametrize("section", ["48.3 x 3.2", "33.7 x 2.6"])
def test_the_arrow_ends_on_the_coped_edge(lean: float, section: str) -> None:
    """The tip, back from paper, is within 0.1 mm of the edge drawn, and of both tubes' skins within what the cut stands
    off."""
    of = job(WELD, lean=lean, section=section)
    piece = of.pieces[1]
    shape = TubeShape(piece.length_part)
    axis = LongAxis.fitted(shape.limits, 0.5, 300.0, [], 0)
    for side in ("front", "top"):
        sketch = Sketch()
        draw_tube_body(sketch, shape, side, axis)  # type: ignore[arg-type]
        draw_end_signs(sketch, shape, (side, axis), end_welds(piece), ("first", MILLIMETRES))  # type: ignore[arg-type]
        (head,) = [item for item in sketch.items if isinstance(item, Fill)]
        s, height = (v / 0.5 for v in head.points[0])
        s -= axis.x(0.0) / 0.5
        edge = shape.seen_edge(False, side).solid[0]  # type: ignore[arg-type]
        assert shapely.LineString(edge).distance(shapely.Point(s, height)) < 0.1
        assert abs(height) <= piece.length_part.section.width / 2.0 + 0.1
    assert np.isfinite(s)


def test_it_says_size_process_and_onto_what() -> None:
    said = texts(job(WELD), "T2")
    assert {"a3", "135, on T1"} <= set(said)
    assert "Welds" not in said
    assert "Weld on T1: fillet" in " ".join(said)


def test_either_tube_may_list_it() -> None:
    assert "a3" in texts(job(WELD | {"parts": ["T1", "T2"]}), "T2")


def test_without_a_weld_in_the_job_an_end_has_no_symbol() -> None:
    assert not any(text.endswith("on T1") for text in texts(job(), "T2"))


def test_a_weld_at_no_end_of_a_tube_stands_in_a_block_beside_it() -> None:
    """The main lists it: it runs round the other's end."""
    said = texts(job(WELD | {"parts": ["T1", "T2"]}), "T1")
    assert "Welds" in said
    assert "on T2" in said
