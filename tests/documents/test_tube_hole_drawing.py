"""Holes of a tube measured back from its printed drawing: sizes, places along it and up its face."""

from __future__ import annotations

import numpy as np
import pytest

from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Stroke, Text
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces

JOB = """[job]
title = "Rail"
number = "R-1"
units = "{units}"
material = "S235"
[[tube]]
mark = "T1"
section = "60 mm x 40 mm x 3 mm"
turn = 0
route = [[0, 0, 0], ["140 mm", 0, 0]]
holes = [
  {{ at = "30 mm", side = "right", diameter = "13 mm" }},
  {{ at = "40 mm", from = "finish", side = "right", diameter = "9 mm", length = "30 mm" }},
]
"""


@pytest.mark.parametrize("units", ["mm", "in"])
def test_holes_of_a_tube_measured_back_from_its_drawing(units: str) -> None:
    """At whatever scale: the round hole is 13 mm, its neighbour a slot of 30 x 9, 70 mm farther along."""
    job = read_text(JOB.format(units=units)).definitions
    (page,) = drawing_pages(all_pieces(job), job.job, paper.A3)
    rings = [np.array(item.points) for item in page.picture.items if isinstance(item, Stroke) and item.closed]
    sizes = [(np.ptp(ring, axis=0), ring) for ring in rings if len(ring) > 20]
    # Seen square on each is as wide as it is; from above only as a line.
    square = [(size, ring) for size, ring in sizes if size.min() > 1.0]
    round_ = next(ring for size, ring in square if abs(size[0] / size[1] - 1.0) < 0.02)
    scale = float(np.ptp(round_[:, 0])) / 13.0
    slot = next(ring for size, ring in square if size[0] / size[1] == pytest.approx(30.0 / 9.0, rel=0.02))
    assert np.ptp(slot, axis=0) / scale == pytest.approx([30.0, 9.0], abs=0.1)
    middles = [(ring.max(axis=0) + ring.min(axis=0)) / 2.0 for ring in (round_, slot)]
    assert (middles[1] - middles[0]) / scale == pytest.approx([70.0, 0.0], abs=0.2)
    said = [item.text for item in page.picture.items if isinstance(item, Text)]
    assert ("30" if units == "mm" else '1.181"') in said
    assert ("100" if units == "mm" else '3.937"') in said
