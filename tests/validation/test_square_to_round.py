"""The rectangle-to-round transition, drafted by the textbook's method and checked by closed forms.

Method: triangulation with true-length lines (A. Dickason, The Geometry of Sheet Metal Work, Pitman, on
square-to-round transformers; the method from memory, edition not at hand, no figures taken from it).  The
circle is divided, each division is joined to the nearest corner of the rectangle, the true length of a line is the
long side of a right triangle on its length in plan and the height, and the triangles are laid side by side
with compasses, from the seam all the way round to the seam.  The drafting here is written out with
square roots and the law of cosines, and shares no code with fabgen's.

Closed forms: for a rectangle a by b, a circle of radius r with its centre at (x, y) over the rectangle's
middle, a height h: the true length from the corner (a / 2, b / 2) to the circle at angle t is
sqrt((a/2 - x - r cos t)^2 + (b/2 - y - r sin t)^2 + h^2); a flat triangle has a side of the rectangle
for its base and the height of a right triangle on h and the distance of the circle from that side; each
oblique cone part has the area of the integral of |(P - C) x P'| / 2.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from shapely import LinearRing, Point

from fabgen.geometry.plane.outline import Outline, Xy
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.cover import cover
from fabgen.parts.piece import FlatPart


@dataclass(frozen=True)
class Transformer:
    """A rectangle a by b below, a circle of radius r above at height h, its centre at (x, y) over the middle."""

    a: float
    b: float
    r: float
    h: float
    x: float = 0.0
    y: float = 0.0

    def corner(self, quarter: int) -> Xy:
        """The rectangle's corner of that quarter of the circle: 0 right and front, then counter-clockwise."""
        return ((1, 1, -1, -1)[quarter] * self.a / 2.0, (-1, 1, 1, -1)[quarter] * self.b / 2.0)

    def on_circle(self, turn: float) -> Xy:
        """In plan; `turn` from the front, counter-clockwise."""
        return (self.x + self.r * math.sin(turn), self.y - self.r * math.cos(turn))

    def true_length(self, low: Xy, high: Xy) -> float:
        """By the right triangle on the length in plan and the height."""
        return math.hypot(math.dist(low, high), self.h)


CASES = [
    Transformer(200, 200, 60, 150),
    Transformer(300, 300, 150, 120),
    Transformer(120, 120, 90, 200),
    Transformer(400, 400, 40, 60),
    Transformer(240, 160, 55, 130),
    Transformer(160, 260, 90, 90),
    Transformer(200, 160, 60, 150, 15, 0),
    Transformer(220, 180, 50, 110, -20, 12),
]


def made(it: Transformer, **keys: Any) -> FlatPart:
    table = {
        "mark": "C1",
        "shape": "transition",
        "thickness": 1,
        "measured": "middle",
        "bottom": {"rectangle": [it.a, it.b]},
        "top": 2 * it.r,
        "height": it.h,
        "shift": [it.x, it.y],
        "mark_text": "",
    } | keys
    header = {"title": "x", "number": "x", "units": "mm"}
    (piece,) = cover.pieces(Definitions.model_validate({"job": header, "cover": [table]}))
    assert piece.flat_part is not None
    return piece.flat_part


# -- true lengths -----------------------------------------------------------------
@pytest.mark.parametrize("it", CASES)
@pytest.mark.parametrize("bends", [3, 8])
def test_every_bend_line_has_its_true_length(it: Transformer, bends: int) -> None:
    """How far along the round edge a bend line comes to it says where on the circle that is: from there the
    right triangle gives its length."""
    part = made(it, bends=bends)
    assert isinstance(part.outline, Outline)
    ring = LinearRing(part.outline.points(1e-5))
    start = ring.project(Point(part.outline.vertices[-1].x, part.outline.vertices[-1].y))  # the seam's upper end
    quarters = set()
    for bend in part.bends:
        ends = sorted((bend.start, bend.end), key=lambda p: min(math.dist(p, c) for c in corners(part)))
        along = start - ring.project(Point(ends[1]))  # the outline runs on from the round edge to the seam
        turn = along / it.r
        quarter = int(turn // (math.pi / 2.0))
        quarters.add(quarter)
        true = it.true_length(it.corner(quarter), it.on_circle(turn))
        assert math.dist(*ends) == pytest.approx(true, abs=0.01)
    assert quarters == {0, 1, 2, 3}


def corners(part: FlatPart) -> list[Xy]:
    """The four corners of the rectangle on the flat: the seam's foot is vertex 0."""
    assert isinstance(part.outline, Outline)
    return [(part.outline.vertices[i].x, part.outline.vertices[i].y) for i in range(1, 5)]


# -- the drafted pattern ----------------------------------------------------------
def swung(p: Xy, q: Xy, from_p: float, from_q: float, right: bool) -> Xy:
    """Where two arcs of the compasses meet, on the right or the left of the way from p to q: the law of cosines."""
    base = math.dist(p, q)
    angle = math.acos((base * base + from_p * from_p - from_q * from_q) / (2.0 * base * from_p))
    heading = math.atan2(q[1] - p[1], q[0] - p[0]) + (-angle if right else angle)
    return p[0] + from_p * math.cos(heading), p[1] + from_p * math.sin(heading)


def drafted(it: Transformer, divisions: int) -> tuple[list[Xy], list[Xy]]:
    """The pattern, `divisions` to a quarter: the seam's foot, four corners and the foot again; the circle's points.

    The foot is at (0, 0), the seam runs up from it.
    """
    foot = (0.0, -it.b / 2.0)
    chord = 2.0 * it.r * math.sin(math.pi / 4.0 / divisions)
    low: list[Xy] = [(0.0, 0.0)]
    high: list[Xy] = [(0.0, it.true_length(foot, it.on_circle(0.0)))]
    here = foot
    for quarter in range(4):
        corner = it.corner(quarter)
        top = it.on_circle(quarter * math.pi / 2.0)
        low.append(swung(low[-1], high[-1], math.dist(here, corner), it.true_length(corner, top), right=True))
        here = corner
        for i in range(1, divisions + 1):
            turn = (quarter + i / divisions) * math.pi / 2.0
            high.append(swung(low[-1], high[-1], it.true_length(corner, it.on_circle(turn)), chord, right=True))
    low.append(swung(low[-1], high[-1], math.dist(here, foot), it.true_length(foot, it.on_circle(0.0)), right=True))
    return low, high


@pytest.mark.parametrize("it", CASES)
def test_the_drafted_pattern_comes_to_the_same(it: Transformer) -> None:
    """Laid on the flat by the seam's foot and the first corner, every drafted point lies on the flat's outline."""
    part = made(it)
    assert isinstance(part.outline, Outline)
    low, high = drafted(it, 1500)
    foot, corner = part.outline.vertices[0], part.outline.vertices[1]
    turn = math.atan2(corner.y - foot.y, corner.x - foot.x) - math.atan2(low[1][1], low[1][0])
    c, s = math.cos(turn), math.sin(turn)

    def laid(p: Xy) -> Xy:
        return foot.x + p[0] * c - p[1] * s, foot.y + p[0] * s + p[1] * c

    edge = LinearRing(part.outline.points(1e-5))
    for i, each in enumerate(low):
        vertex = part.outline.vertices[i]
        assert laid(each) == pytest.approx((vertex.x, vertex.y), abs=0.01)
    assert max(edge.distance(Point(laid(p))) for p in high[::25]) < 0.01
    # With the twelve divisions of the drawing board, chords stand for arcs: near, and never longer.
    _, coarse = drafted(it, 3)
    assert 0.985 < sum(map(math.dist, coarse, coarse[1:])) / (2.0 * math.pi * it.r) < 0.99


# -- closed forms -----------------------------------------------------------------
@pytest.mark.parametrize("it", CASES)
def test_edges_and_area_are_the_closed_forms(it: Transformer) -> None:
    part = made(it)
    sizes = dict(part.sizes)
    assert sizes["bottom edge, flat"] == pytest.approx(2.0 * (it.a + it.b), abs=0.01)
    assert sizes["top edge, flat"] == pytest.approx(2.0 * math.pi * it.r, abs=0.01)
    seam = math.sqrt(it.x**2 + (it.b / 2.0 + it.y - it.r) ** 2 + it.h**2)
    assert sizes["seam"] == pytest.approx(seam, abs=1e-6)
    ways = [it.b / 2.0 + it.y, it.a / 2.0 - it.x, it.b / 2.0 - it.y, it.a / 2.0 + it.x]
    flats = sum(side * math.hypot(it.h, way - it.r) / 2.0 for side, way in zip((it.a, it.b) * 2, ways, strict=True))
    cones = 0.0
    for quarter in range(4):
        x, y = it.corner(quarter)
        turn = np.linspace(quarter * math.pi / 2.0, (quarter + 1) * math.pi / 2.0, 100_001)
        sin, cos, flat = np.sin(turn), np.cos(turn), np.zeros(len(turn))
        to = np.column_stack((it.x + it.r * sin - x, it.y - it.r * cos - y, flat + it.h))
        along = np.column_stack((it.r * cos, it.r * sin, flat))
        cones += float(np.trapezoid(np.linalg.norm(np.cross(to, along), axis=1) / 2.0, turn))
    assert part.outline.area == pytest.approx(flats + cones, rel=2e-5)
