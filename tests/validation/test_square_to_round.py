"""The square-to-round transition, by the textbook's own construction and by closed forms.

Construction: triangulation with true-length lines, as pattern drafting teaches it (common to all
textbooks of sheet metal pattern drafting; no one source).  The circle is divided, each division is
joined to the square's nearest corner, the true length of a line from plan and height is
sqrt(plan^2 + height^2), and the triangles are laid side by side with compasses, division by
division.  The construction here is written out with plain square roots and the law of cosines,
and shares no code with fabgen's.

Closed forms: for a square of side 2 a, a circle of radius r, a height h: the true length from a corner
to the circle at angle p from the diagonal's two sides is sqrt((a - r cos p)^2 + (a - r sin p)^2 + h^2);
each flat triangle has base 2 a and height sqrt(h^2 + (a - r)^2); each oblique cone part has the area
of the integral of |(P - C) x P'| / 2.
"""

import math
from typing import Any

import numpy as np
import pytest
from shapely import LinearRing, Point

from fabgen.geometry.outline import Outline, Xy
from fabgen.job.definitions import Definitions
from fabgen.parts import cover
from fabgen.parts.piece import FlatPart

CASES = [(100.0, 60.0, 150.0), (150.0, 150.0, 120.0), (60.0, 90.0, 200.0), (200.0, 40.0, 60.0)]


def made(half: float, radius: float, height: float, **keys: Any) -> FlatPart:
    table = {
        "mark": "C1",
        "shape": "transition",
        "thickness": 1,
        "measured": "middle",
        "bottom": {"rectangle": [2 * half, 2 * half]},
        "top": 2 * radius,
        "height": height,
        "mark_text": "",
    } | keys
    header = {"title": "x", "number": "x", "units": "mm"}
    (piece,) = cover.pieces(Definitions.model_validate({"job": header, "cover": [table]}))
    assert piece.flat_part is not None
    return piece.flat_part


def true_length(half: float, radius: float, height: float, turn: float) -> float:
    """From a corner of the square to the circle; `turn` from one side's middle (0) to the next one's (90 degrees)."""
    plan = math.hypot(half - radius * math.cos(turn), half - radius * math.sin(turn))
    return math.hypot(plan, height)


@pytest.mark.parametrize(("half", "radius", "height"), CASES)
def test_bend_lines_have_their_true_lengths(half: float, radius: float, height: float) -> None:
    """Every bend line runs from a corner to the circle: its length on the flat is the true length in space."""
    part = made(half, radius, height, bends=8)
    lengths = [math.dist(bend.start, bend.end) for bend in part.bends]
    assert len(lengths) >= 4
    possible = [true_length(half, radius, height, a) for a in np.linspace(0.0, math.pi / 2.0, 20_001)]
    for length in lengths:
        assert min(abs(length - true) for true in possible) < 0.01
    seam = dict(part.sizes)["seam"]
    assert seam == pytest.approx(math.hypot(height, half - radius), abs=1e-6)


@pytest.mark.parametrize(("half", "radius", "height"), CASES)
def test_edges_and_area_are_the_closed_forms(half: float, radius: float, height: float) -> None:
    part = made(half, radius, height)
    sizes = dict(part.sizes)
    assert sizes["bottom edge, flat"] == pytest.approx(8.0 * half, abs=0.01)
    assert sizes["top edge, flat"] == pytest.approx(2.0 * math.pi * radius, abs=0.01)
    flats = 4.0 * half * math.hypot(height, half - radius)
    turn = np.linspace(0.0, math.pi / 2.0, 200_001)
    to = np.column_stack((radius * np.cos(turn) - half, radius * np.sin(turn) - half, np.full(len(turn), height)))
    along = np.column_stack((-radius * np.sin(turn), radius * np.cos(turn), np.zeros(len(turn))))
    cone = float(np.trapezoid(np.linalg.norm(np.cross(to, along), axis=1) / 2.0, turn))
    assert part.outline.area == pytest.approx(flats + 4.0 * cone, rel=2e-5)


def compasses(half: float, radius: float, height: float, divisions: int) -> tuple[list[Xy], list[Xy]]:
    """The drafted pattern from the seam in the middle of a side to the first corner's last division.

    Corner first at (half, 0) from the seam's foot (0, 0); the circle's points by two radii each.
    """
    seam = math.hypot(height, half - radius)
    corner = (half, 0.0)
    points = [(0.0, seam)]
    chord = 2.0 * radius * math.sin(math.pi / 4.0 / divisions)
    for i in range(1, divisions + 1):
        # From the last point by the chord, from the corner by the true length: the law of cosines.
        before = points[-1]
        a, b = math.dist(before, corner), true_length(half, radius, height, math.pi / 2.0 * i / divisions)
        angle = math.acos((a * a + b * b - chord * chord) / (2.0 * a * b))
        heading = math.atan2(before[1] - corner[1], before[0] - corner[0]) - angle
        points.append((corner[0] + b * math.cos(heading), corner[1] + b * math.sin(heading)))
    return [(0.0, 0.0), corner], points


@pytest.mark.parametrize(("half", "radius", "height"), CASES)
def test_drafted_pattern_comes_to_the_same(half: float, radius: float, height: float) -> None:
    """Laid on the flat by the seam's foot and the first corner, every point that was drafted lies on its edge."""
    part = made(half, radius, height)
    assert isinstance(part.outline, Outline)
    foot, corner, seam_top = (part.outline.vertices[i] for i in (0, 1, -1))
    c, s = (corner.x - foot.x) / half, (corner.y - foot.y) / half
    edge = LinearRing(part.outline.points(1e-5))
    _, drafted = compasses(half, radius, height, 3000)
    laid = [(foot.x + x * c - y * s, foot.y + x * s + y * c) for x, y in drafted]
    assert laid[0] == pytest.approx((seam_top.x, seam_top.y), abs=1e-6)
    assert max(edge.distance(Point(p)) for p in laid[::60]) < 0.01
    # The textbook's twelve divisions are coarser, chords for arcs, but come near.
    _, coarse = compasses(half, radius, height, 3)
    assert math.dist(coarse[0], coarse[-1]) == pytest.approx(math.dist(drafted[0], drafted[-1]), rel=0.02)
