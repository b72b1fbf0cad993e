"""Copies of drilled tubes: their holes stand to the copy as those of the first to the first."""

from __future__ import annotations

import numpy as np
import pytest

from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import DrilledHole

JOB = """
[job]
title = "Rack"
number = "R-1"
units = "mm"
[[tube]]
mark = "T1"
section = "{section}"
route = [[100, 420, 0], [700, 420, {rise}]]
holes = [
  {{ at = 100, side = "top", diameter = 9 }},
  {{ at = 150, side = "left", diameter = 9 }},
  {{ at = 200, side = {angle}, diameter = 9 }},
  {{ near = [400, 400, 0], toward = [400, -900, 0], diameter = 9 }},
]
[[repeat]]
parts = ["T1"]
count = 3
{motion}
"""


def placed(hole: DrilledHole) -> np.ndarray:
    """Where it lies on the skin and which way it looks, in the job."""
    return np.vstack((hole.skin.at(np.array([hole.station]), np.array([hole.along])), hole.frame.x))


@pytest.mark.parametrize(("section", "angle"), [("48.3 x 3.2", 35), ("60 x 40 x 3", 90)])
@pytest.mark.parametrize("rise", [0, 250])
@pytest.mark.parametrize("axis", [(0, 0, 1), (1, 0, 0), (1, 2, 3)])
def test_copies_turned_about_an_axis(section: str, angle: int, rise: int, axis: tuple[int, int, int]) -> None:
    motion = f"about = [[0, 0, 0], {list(axis)}]"
    pieces = all_pieces(read_text(JOB.format(section=section, angle=angle, rise=rise, motion=motion)).definitions)
    first, *copies = (piece.length_part.drilled for piece in pieces if piece.length_part)
    unit = np.array(axis) / np.linalg.norm(axis)
    for number, copy in enumerate(copies, 1):
        turn = number * 2.0 * np.pi / 3.0
        skew = np.cross(np.eye(3), unit)
        turned = np.eye(3) + np.sin(turn) * skew + (1.0 - np.cos(turn)) * skew @ skew
        for one, other in zip(first, copy, strict=True):
            assert placed(other) == pytest.approx(placed(one) @ turned.T, abs=2e-3)


def test_copies_moved_along_a_step() -> None:
    text = JOB.format(section="48.3 x 3.2", angle=35, rise=100, motion="step = [0, 300, 50]")
    first, *copies = (
        piece.length_part.drilled for piece in all_pieces(read_text(text).definitions) if piece.length_part
    )
    for number, copy in enumerate(copies, 1):
        for one, other in zip(first, copy, strict=True):
            moved = placed(one) + np.array([[0, 300, 50], [0, 0, 0]]) * number
            assert placed(other) == pytest.approx(moved, abs=1e-6)
