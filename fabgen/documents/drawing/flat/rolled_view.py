"""Views of rolled sheet: the made cylinder or cone from its side and its top end, and the sector's sizes."""

from __future__ import annotations

import math
from collections.abc import Callable

from fabgen.documents.drawing.sheet.dimensions import Length, Target, draw_angle, draw_leader
from fabgen.documents.drawing.sheet.lanes import Side, draw_sides
from fabgen.documents.render.picture import Arc, cross, line, polyline
from fabgen.documents.render.sketch import Sketch
from fabgen.documents.render.words import degrees
from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.parts.piece import FlatPart, Rolled, Sector
from fabgen.wording.figures import Figures

Xyz = tuple[float, float, float]


def sector(part: FlatPart) -> Sector | None:
    """The ring sector that a cone's flat is, without its cut-outs; None for a strip."""
    return part.rolled.sector if part.rolled is not None else None


def draw_sector_sizes(sketch: Sketch, part: FlatPart, scale: float) -> None:
    """The sector's angle between its straight edges, where the apex is near enough to be drawn."""
    found = sector(part)
    if found is None:
        return
    apex = (found.apex[0] * scale, found.apex[1] * scale)
    inner = found.inner * scale
    if inner < 12.0 or inner > 90.0 or found.sweep > math.radians(350.0):
        return
    for angle in (found.start, found.start + found.sweep):
        c, s = math.cos(angle), math.sin(angle)
        sketch.draw(line(apex, (apex[0] + (inner - 1.0) * c, apex[1] + (inner - 1.0) * s), "thin"))
    sketch.draw(*cross(apex, 2.0, 2.0))
    draw_angle(sketch, apex, inner * 0.6, found.start, found.start + found.sweep, degrees(found.sweep))


def development_rows(part: FlatPart, figures: Figures) -> tuple[tuple[str, str], ...]:
    """What to set out a cone's sector by; nothing for a strip."""
    found = sector(part)
    if found is None:
        return ()
    half = min(found.sweep, math.pi) / 2.0
    rows = [
        ("outer radius", figures.size(found.outer, 2)),
        ("inner radius", figures.size(found.inner, 2)),
        ("sector angle", degrees(found.sweep)),
        ("outer arc", figures.size(found.outer * found.sweep)),
        ("inner arc", figures.size(found.inner * found.sweep)),
    ]
    if found.sweep < math.pi:
        rows += [
            ("outer chord", figures.size(2.0 * found.outer * math.sin(half))),
            ("inner chord", figures.size(2.0 * found.inner * math.sin(half))),
        ]
    return tuple(rows)


# -- the rolled shape -----------------------------------------------------------
def elevation_size(rolled: Rolled) -> Xy:
    return (max(rolled.bottom, rolled.top), rolled.height)


def draw_elevation(part: FlatPart, scale: float, figures: Figures) -> Sketch:
    """The rolled part from its side: the middle of the flat faces the viewer, the seam lies behind."""
    rolled = part.rolled
    assert rolled is not None
    sketch = Sketch()
    place = _roll(part)
    loops: list[Loop] = [part.outline, *(hole.shape for hole in part.holes)]
    for loop in loops:
        _draw_front(sketch, loop, place, scale)
    if rolled.arc > math.pi + 1e-6:
        _draw_outer_lines(sketch, part, scale)
    box = sketch.box
    sketch.draw(line((0.0, box[1] - 4.0), (0.0, box[3] + 4.0), "centre"))
    r0, r1, h = rolled.bottom / 2.0 * scale, rolled.top / 2.0 * scale, rolled.height * scale
    below, above, left = Side("below"), Side("above"), Side("left")
    if rolled.arc > math.pi - 1e-6:
        below.lengths.append(Length((-r0, 0.0), (r0, 0.0), f"Ø{figures.length(rolled.bottom)}"))
        if abs(rolled.top - rolled.bottom) > 0.05:
            above.lengths.append(Length((-r1, h), (r1, h), f"Ø{figures.length(rolled.top)}"))
    lower, upper = (-r0, 0.0), (-r1, h)
    left.lengths.append(Length(lower, upper, figures.length(rolled.height)))
    draw_sides(sketch, box, below, above, left)
    return sketch


def draw_plan(part: FlatPart, scale: float, figures: Figures) -> Sketch:
    """The rolled part from its top end, the middle of the flat toward the bottom of the sheet."""
    rolled = part.rolled
    assert rolled is not None
    sketch = Sketch()
    t = part.thickness * scale
    r0, r1 = rolled.bottom / 2.0 * scale, rolled.top / 2.0 * scale
    radii = [(r1, True), (max(r1 - t, 0.1), True), (r0, r0 >= r1)]
    whole = rolled.arc > 2.0 * math.pi - 1e-6
    half = math.degrees(rolled.arc) / 2.0
    for radius, seen in radii if abs(r0 - r1) > 0.05 else radii[:2]:
        sketch.draw(Arc(0.0, 0.0, radius, -90.0 - half, -90.0 + half, "visible" if seen else "hidden"))
    for way in (-1.0, 1.0):
        a = math.radians(-90.0 + way * half)
        reach = [max(r0, r1), max(min(r0, r1) - t, 0.1)]
        ends = [(r * math.cos(a), r * math.sin(a)) for r in reach]
        sketch.draw(line(ends[0], ends[1]))
    big = max(r0, r1) + 3.0
    sketch.draw(*cross((0.0, 0.0), big, big, "centre"))
    if not whole:
        radius = max(8.0, min(r0, r1) * 0.55)
        for way in (-1.0, 1.0):
            a = math.radians(-90.0 + way * half)
            inner = min(r0, r1) - t - 1.0
            sketch.draw(line((0.0, 0.0), (inner * math.cos(a), inner * math.sin(a)), "thin"))
        low, high = math.radians(-90.0 - half), math.radians(-90.0 + half)
        draw_angle(sketch, (0.0, 0.0), radius, low, high, degrees(rolled.arc))
        if rolled.arc <= math.pi - 1e-6:
            text = f"Ø{figures.length(rolled.bottom)} outside"
            draw_leader(sketch, [Target((0.0, 0.0), r0, math.radians(-90.0), rolled.arc / 2.2)], text, _wide(sketch))
    return sketch


def _wide(sketch: Sketch) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = sketch.box
    return (x0 - 60.0, y0 - 30.0, x1 + 60.0, y1 + 30.0)


def _roll(part: FlatPart) -> Callable[[Xy], Xyz]:
    """From a point of the flat to the outside of the rolled shape: x right, y toward the viewer, z up."""
    rolled = part.rolled
    assert rolled is not None
    found = sector(part)
    if found is None:
        radius = rolled.bottom / 2.0
        neutral = radius - part.thickness / 2.0
        middle = rolled.arc * neutral / 2.0

        def strip(p: Xy) -> Xyz:
            a = (p[0] - middle) / neutral
            return (radius * math.sin(a), radius * math.cos(a), p[1])

        return strip
    slant = found.outer - found.inner
    large, small = max(rolled.bottom, rolled.top) / 2.0, min(rolled.bottom, rolled.top) / 2.0
    turns = (large - small) / slant  # sector angle over angle round the cone
    sweep = rolled.arc * turns
    upright = rolled.bottom >= rolled.top
    # The lap, if any, lies beyond the right-hand end: the sector's own part starts at the left.
    middle = found.start + sweep / 2.0 if upright else found.start + found.sweep - sweep / 2.0

    def cone(p: Xy) -> Xyz:
        dx, dy = p[0] - found.apex[0], p[1] - found.apex[1]
        rho, beta = math.hypot(dx, dy), math.atan2(dy, dx)
        a = math.remainder(beta - middle, 2.0 * math.pi) / turns * (1.0 if upright else -1.0)
        share = (found.outer - rho) / slant
        radius = large + (small - large) * share
        z = rolled.height * (share if upright else 1.0 - share)
        return (radius * math.sin(a), radius * math.cos(a), z)

    return cone


def _draw_front(sketch: Sketch, loop: Loop, place: Callable[[Xy], Xyz], scale: float) -> None:
    """The stretches of a loop of the flat that face the viewer once rolled."""
    placed = [place(p) for p in _dense(loop, scale)]
    run: list[Xy] = []
    for x, y, z in [*placed, placed[0]]:
        if y >= -1e-6:
            run.append((x * scale, z * scale))
            continue
        if len(run) > 1:
            sketch.draw(polyline(run))
        run = []
    if len(run) > 1:
        sketch.draw(polyline(run))


def _dense(loop: Loop, scale: float) -> list[Xy]:
    """Points of a loop at most 1.5 mm of paper apart."""
    points = [(float(x), float(y)) for x, y in loop.points(0.2)]
    dense: list[Xy] = []
    for p, q in zip(points, points[1:] + points[:1], strict=True):
        n = max(1, math.ceil(math.dist(p, q) / (1.5 / scale)))
        dense += [(p[0] + (q[0] - p[0]) * i / n, p[1] + (q[1] - p[1]) * i / n) for i in range(n)]
    return dense


def _draw_outer_lines(sketch: Sketch, part: FlatPart, scale: float) -> None:
    """The two outermost lines of a shape that goes more than half round, where there is metal."""
    rolled = part.rolled
    assert rolled is not None
    place = _roll(part)
    placed = [place(p) for p in _dense(part.outline, scale)]
    for way in (-1.0, 1.0):
        heights: list[float] = []
        for (x0, y0, z0), (x1, y1, z1) in zip(placed, placed[1:] + placed[:1], strict=True):
            if (y0 > 0.0) != (y1 > 0.0) and (x0 + x1) * way > 0.0:
                f = y0 / (y0 - y1)
                heights.append(z0 + (z1 - z0) * f)
        heights.sort()
        for low, high in zip(heights[::2], heights[1::2], strict=False):
            ends = []
            for z in (low, high):
                r = (rolled.bottom + (rolled.top - rolled.bottom) * z / rolled.height) / 2.0
                ends.append((way * r * scale, z * scale))
            sketch.draw(line(ends[0], ends[1]))
