"""Developments: curved sheet laid flat.  A rolled skirt with its cut-out, and a cone frustum.

All work on one surface, the neutral one that keeps its length when the sheet is rolled; the
callers count the sheet's thickness.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise

from fabgen.geometry.outline import Outline, OutlineError, Vertex, Xy

CURVE_TOLERANCE = 0.01
"""Greatest distance between a developed curve and the chords that stand for it, mm."""


def sampled(curve: Callable[[float], Xy], start: float, end: float, tolerance: float = CURVE_TOLERANCE) -> list[Xy]:
    """Points on `curve` from parameter `start` to `end`, both included, chords within `tolerance` mm of it.

    Every point lies on the curve.  The parameter's range is halved until three inner points
    of each part lie within nine tenths of the tolerance of its chord.
    """
    spans = [start + (end - start) * i / 8.0 for i in range(9)]
    points = [curve(start)]
    for a, b in pairwise(spans):
        points += _refined(curve, a, b, 0.9 * tolerance, 0)
    return points


def _refined(curve: Callable[[float], Xy], a: float, b: float, tolerance: float, level: int) -> list[Xy]:
    """Points after `a` up to `b`."""
    first, last = curve(a), curve(b)
    inner = [curve(a + (b - a) * share) for share in (0.25, 0.5, 0.75)]
    if level > 20 or all(_off_chord(p, first, last) <= tolerance for p in inner):
        return [last]
    middle = (a + b) / 2.0
    return _refined(curve, a, middle, tolerance, level + 1) + _refined(curve, middle, b, tolerance, level + 1)


def _off_chord(point: Xy, start: Xy, end: Xy) -> float:
    length = math.dist(start, end)
    if length < 1e-12:
        return math.dist(point, start)
    across = (point[0] - start[0]) * (end[1] - start[1]) - (point[1] - start[1]) * (end[0] - start[0])
    return abs(across) / length


# -- the cone -----------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class ConeFlat:
    """A developed frustum: the two radii of the sector (mm) and its angle (rad)."""

    outer: float
    inner: float
    sweep: float

    @property
    def slant(self) -> float:
        return self.outer - self.inner


def cone_flat(bottom: float, top: float, height: float, arc: float = 2.0 * math.pi) -> ConeFlat:
    """Sector of a right cone frustum with the given neutral diameters and height (mm) and arc (rad).

    With slant s = sqrt(height^2 + ((D - d) / 2)^2) the sector's radii are s D / (D - d) and
    s d / (D - d) and its angle is arc (D - d) / (2 s): the textbook development of a cone, the
    sector angle being 360 degrees x base radius / slant height.  Raises OutlineError for equal
    diameters, which make a cylinder.
    """
    large, small = max(bottom, top), min(bottom, top)
    if large - small < 1e-9:
        raise OutlineError("equal diameters make a cylinder, not a cone")
    slant = math.hypot(height, (large - small) / 2.0)
    outer = slant * large / (large - small)
    return ConeFlat(outer, outer - slant, arc * (large - small) / (2.0 * slant))


def sector_outline(flat: ConeFlat, wide_at_bottom: bool = True, seam: float = 0.0) -> Outline:
    """The sector with true arcs, the cone's apex on the y axis above the wide end (or below it).

    `seam` mm more sheet lies beyond the right-hand end, its edge parallel to that end so that
    the lap is equally wide all along.  Raises OutlineError when the lap is wider than the small
    arc's radius.
    """
    if seam >= flat.inner > 0.0 or (flat.inner <= 0.0 and seam > 0.0):
        raise OutlineError(f"a lap of {seam:g} mm is wider than the small arc's radius of {flat.inner:.1f} mm")
    # Angles from the downward direction, positive to the right; the apex is the origin.
    left, right = -flat.sweep / 2.0, flat.sweep / 2.0
    outer_right = right + math.asin(seam / flat.outer)
    inner_right = right + (math.asin(seam / flat.inner) if seam else 0.0)
    vertices = [
        *_arc(flat.outer, left, outer_right),
        Vertex(*_down(flat.outer, outer_right)),
        *(_arc(flat.inner, inner_right, left)),
        Vertex(*_down(flat.inner, left)),
    ]
    outline = Outline(tuple(vertices))
    return outline if wide_at_bottom else outline.turned(math.pi).flipped()


def sector_end(flat: ConeFlat, wide_at_bottom: bool = True) -> tuple[Xy, Xy]:
    """The right-hand end of `sector_outline` without its lap, from the small arc to the large one."""
    up = 1.0 if wide_at_bottom else -1.0
    near, far = _down(flat.inner, flat.sweep / 2.0), _down(flat.outer, flat.sweep / 2.0)
    return (near[0], up * near[1]), (far[0], up * far[1])


def _down(radius: float, angle: float) -> Xy:
    return radius * math.sin(angle), -radius * math.cos(angle)


def _arc(radius: float, start: float, end: float) -> list[Vertex]:
    """Vertices of an arc about the origin without its last point, no part over half a turn."""
    parts = 1 if abs(end - start) <= math.pi else 2
    step = (end - start) / parts
    return [Vertex(*_down(radius, start + step * i), math.tan(step / 4.0)) for i in range(parts)]


# -- the cylinder -------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class RoundCut:
    """A round cutter through the wall of a cylinder, its axis square to the cylinder's.

    `radius` of the cutter, `height` of its axis over the cylinder's lower edge, `offset` of its
    axis to the right of the cylinder's (seen from outside, looking along the cutter), mm;
    `around` rad is where round the cylinder it enters, from the middle of the strip to the right.
    """

    radius: float
    height: float
    offset: float = 0.0
    around: float = 0.0


def cut_curve(cut: RoundCut, inside: float, neutral: float, outside: float) -> list[Xy]:
    """The developed edge of the cut-out: closed loop of (x, z) mm, x along the neutral strip from its middle.

    At lateral s = offset + radius cos(a) and height z = height + radius sin(a) the cylinder's
    wall of radius R is met at sin(psi) = s / R; the strip is cut square to the sheet, so of the
    wall's radii from `inside` to `outside` the one is taken that leaves no metal in the cutter:
    the inside where the metal lies farther out than the cut, else the outside.  With the three
    radii equal this is the closed form z = height +- sqrt(radius^2 - (R sin(x / R) - offset)^2).

    Raises OutlineError when the cutter is as wide as the cylinder, or wider.
    """
    if cut.radius + abs(cut.offset) >= inside:
        reach = cut.radius + abs(cut.offset)
        raise OutlineError(f"the cut-out reaches {reach:.1f} mm to the side, the skirt's inside only {inside:.1f} mm")

    def right(a: float) -> Xy:
        s = cut.offset + cut.radius * math.cos(a)
        return _strip_point(cut, s, inside if s > 0.0 else outside, neutral, a)

    def left(a: float) -> Xy:
        s = cut.offset + cut.radius * math.cos(a)
        return _strip_point(cut, s, inside if s < 0.0 else outside, neutral, a)

    quarter = math.pi / 2.0
    # In quarters, and split where s passes 0, so that no chord spans a kink of the edge.
    points = [p for a, b in _stretches(cut, -quarter, quarter) for p in sampled(right, a, b)]
    points += [p for a, b in _stretches(cut, quarter, 3.0 * quarter) for p in sampled(left, a, b)]
    return [p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > 1e-9]


def _strip_point(cut: RoundCut, s: float, radius: float, neutral: float, a: float) -> Xy:
    return neutral * (cut.around + math.asin(s / radius)), cut.height + cut.radius * math.sin(a)


def _stretches(cut: RoundCut, start: float, end: float) -> list[tuple[float, float]]:
    stops = [start, (start + end) / 2.0, end]
    if abs(cut.offset) < cut.radius:
        kink = math.acos(-cut.offset / cut.radius)
        stops += [a for a in (kink, -kink, 2.0 * math.pi - kink) if start < a < end]
    stops.sort()
    return list(pairwise(stops))


@dataclass(frozen=True, eq=False)
class Strip:
    """A developed skirt: outline and closed windows, lower left corner of the uncut strip at the origin."""

    outline: Outline
    windows: tuple[Outline, ...]


def strip(length: float, height: float, lap: float, round_length: float, cut: list[Xy]) -> Strip:
    """A strip `length` + `lap` mm long and `height` mm wide, less the closed loop `cut`.

    The loop's x is from the middle of `length`.  One turn of the cylinder, `round_length` mm,
    farther the same cut comes again, so that a lap is cut like the sheet it lies on and a
    cut-out may cross the seam.  `cut` may be empty.  Raises OutlineError when nothing or more
    than one part is left.
    """
    from shapely import Polygon, box
    from shapely.affinity import translate

    sheet = box(0.0, 0.0, length + lap, height)
    if cut:
        loop = translate(Polygon(cut), length / 2.0, 0.0)
        for turns in (-1, 0, 1):
            sheet = sheet.difference(translate(loop, turns * round_length, 0.0))
    parts = [part for part in getattr(sheet, "geoms", [sheet]) if not part.is_empty]
    if len(parts) != 1:
        raise OutlineError("the cut-out parts the skirt in two" if parts else "the cut-out leaves nothing of the skirt")
    return Strip(_ring(parts[0].exterior.coords), tuple(_ring(ring.coords) for ring in parts[0].interiors))


def _ring(coords: Iterable[Xy]) -> Outline:
    """The closed ring as an outline, without points on top of one another."""
    points = [(float(x), float(y)) for x, y in coords]
    return Outline.polygon([p for p, after in pairwise(points) if math.dist(p, after) > 1e-6])
