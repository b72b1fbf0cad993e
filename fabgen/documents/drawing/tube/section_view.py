"""The cross section of a tube, hatched, with its sizes, its top line and the heels of its ends."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from fabgen.documents.drawing.sheet.dimensions import FIGURE, Length, Target, arrow, draw_leader, unit_vector
from fabgen.documents.drawing.sheet.lanes import Side as Dimensioned
from fabgen.documents.drawing.sheet.lanes import draw_sides
from fabgen.documents.drawing.tube.tube_shape import Side, TubeShape
from fabgen.documents.render.picture import Anchor, Fill, Stroke, Text, cross, line, loop_items
from fabgen.documents.render.sketch import Sketch
from fabgen.geometry.plane.outline import Circle, Loop, Outline, Xy
from fabgen.parts.piece import WorkedEnd
from fabgen.shop.section import Section
from fabgen.wording.figures import MILLIMETRES, Figures

SPACING = 1.6
"""Between two lines of the hatching, mm of paper."""


def section_loops(section: Section) -> list[Loop]:
    """Outside and inside of a section, width upright, centred on the axis."""
    sizes = [(section.width, section.depth, section.corner)]
    if not section.is_solid:
        wall = 2.0 * section.wall
        sizes.append((section.width - wall, section.depth - wall, section.inner_corner))
    if section.is_round:
        return [Circle(0.0, 0.0, width) for width, _, _ in sizes]
    return [Outline.rectangle(d, w, r).moved(-d / 2.0, -w / 2.0) for w, d, r in sizes]


VIEW_LETTERS: dict[Side, str] = {"front": "A", "top": "B"}
"""By which letter of an arrow a view of a tube is called."""


def section_sketch(shape: TubeShape, scale: float, figures: Figures, looks: Sequence[Side] = ()) -> Sketch:
    """The cross section seen from the start, its top line up, with its sizes and where the heels lie.

    Args:
        shape: the tube.
        scale: mm of paper for 1 mm.
        figures: of the job's units.
        looks: the views whose directions arrows show.
    """
    section = shape.section
    sketch = Sketch()
    loops = section_loops(section)
    for loop in loops:
        sketch.draw(*loop_items(loop, scale=scale))
    rings = [[(float(x) * scale, float(y) * scale) for x, y in loop.points(0.1 / scale)] for loop in loops]
    sketch.draw(*hatched(rings))
    half_w, half_h = section.depth / 2.0 * scale, section.width / 2.0 * scale
    sketch.draw(*cross((0.0, 0.0), half_w + 3.0, half_h + 3.0, "centre"))
    sketch.draw(Fill(((0.0, half_h + 0.2), (-1.1, half_h + 2.6), (1.1, half_h + 2.6))))
    ticks = _heel_ticks(shape, scale)
    sketch.draw(*(line(inner, outer) for _, inner, outer in ticks))
    right = Text(2.0, half_h + 1.4, "top", FIGURE)
    sketch.write_free([right, replace(right, x=-right.x, anchor="end"), replace(right, x=right.x + 4.0)], clearance=0.1)
    for look in looks:
        _look(sketch, look, (half_w, half_h), bool(ticks))
    _sizes(sketch, section, half_w, half_h, figures)
    for tick in ticks:
        _name_heel(sketch, *tick)
    return sketch


def _look(sketch: Sketch, look: Side, half: Xy, ticks: bool) -> None:
    """The arrow along which a view is seen, with its letter (ISO 128-3, from memory)."""
    off = 7.5 if ticks else 4.5
    letter = VIEW_LETTERS[look]
    if look == "front":
        tip = (half[0] + off, 0.0)
        sketch.draw(line(tip, (tip[0] + 5.5, 0.0)), arrow(tip, (-1.0, 0.0)))
        sketch.write(Text(tip[0] + 6.5, -FIGURE * 0.36, letter, FIGURE, bold=True))
    else:
        tip = (0.0, half[1] + off)
        sketch.draw(line(tip, (0.0, tip[1] + 5.5)), arrow(tip, (0.0, -1.0)))
        sketch.write(Text(0.0, tip[1] + 6.3, letter, FIGURE, "middle", bold=True))


def _sizes(sketch: Sketch, section: Section, half_w: float, half_h: float, figures: Figures) -> None:
    """Diameter and wall, or width, depth and wall; `half_w` and `half_h` from the axis, mm of paper."""
    limit = (-half_w - 40.0, -half_h - 30.0, half_w + 40.0, half_h + 30.0)
    if section.is_round:
        if section.is_metric:  # its own size, with the unit where the drawing has another
            figures, unit = MILLIMETRES, " mm" if figures.inches else ""
        else:
            unit = ""
        wall = f"{unit} solid" if section.is_solid else f" x {figures.size(section.wall, 2)}{unit}"
        targets = [Target((0.0, 0.0), half_w, math.radians(d), 0.4) for d in (-50.0, -130.0)]
        draw_leader(sketch, targets, f"Ø{figures.size(section.width, 2)}{wall}", limit)
        return
    below, left = Dimensioned("below"), Dimensioned("left")
    below.lengths.append(Length((-half_w, -half_h), (half_w, -half_h), figures.length(section.depth)))
    left.lengths.append(Length((-half_w, -half_h), (-half_w, half_h), figures.length(section.width)))
    draw_sides(sketch, (-half_w, -half_h, half_w, half_h), below, left)
    if not section.is_solid:
        text = f"wall {figures.size(section.wall, 2)}"
        text += f", corner R{figures.size(section.corner, 2)}" if section.corner else ""
        draw_leader(sketch, [Target((half_w, half_h * f), 0.0, 0.0, 0.9) for f in (0.3, -0.3, 0.6)], text, limit)


def heel(end: WorkedEnd) -> float:
    """Where an end's heel lies: angle from the top line, clockwise seen from the start, rad in [0, 2 pi)."""
    alpha = (-end.top if end.at == "start" else end.top) % (2.0 * math.pi)
    return 0.0 if 2.0 * math.pi - alpha < 1e-9 else alpha


def _heel_ticks(shape: TubeShape, scale: float) -> list[tuple[str, Xy, Xy]]:
    """A tick outside the section at each end's heel: its name and its two ends."""
    worked = [end for end in shape.part.ends if end.has_heel]
    alike = len(worked) == 2 and abs(math.remainder(heel(worked[0]) - heel(worked[1]), 2.0 * math.pi)) < 1e-3
    ticks = []
    for end in worked[:1] if alike else worked:
        turn = math.pi / 2.0 - heel(end)
        c, s = math.cos(turn), math.sin(turn)
        inner = shape.section.reach * scale + 1.0
        outer = inner + (3.5 if end.at == "start" else 5.5)
        ticks.append(("heels" if alike else f"heel, {end.at}", (c * inner, s * inner), (c * outer, s * outer)))
    return ticks


def _name_heel(sketch: Sketch, name: str, inner: Xy, outer: Xy) -> None:
    """The tick's name at its outer end, or as near to it as there is room."""
    ux, uy = unit_vector(inner, outer)
    x, y = outer[0] + ux, outer[1] + uy - FIGURE * 0.36
    anchors: tuple[Anchor, Anchor] = ("start", "end") if ux >= -0.05 else ("end", "start")
    sketch.write_free(
        Text(x + more * ux, y + dy, name, FIGURE, anchor)
        for more in (0.0, 8.0, 14.0)
        for dy in (0.0, 3.2, -3.2, 6.4, -6.4, 9.6, -9.6)
        for anchor in anchors
    )


def hatched(loops: Iterable[Sequence[Xy]]) -> list[Stroke]:
    """Section hatching: thin lines at 45 degrees.

    Args:
        loops: closed polygons, mm of paper; what lies inside an odd number of them is hatched.
    Source: ISO 128-50 (from memory).
    """
    c = math.sqrt(0.5)
    turned = [[(x * c + y * c, y * c - x * c) for x, y in loop] for loop in loops]
    if not any(turned):
        return []
    low = min(v for loop in turned for _, v in loop)
    high = max(v for loop in turned for _, v in loop)
    strokes: list[Stroke] = []
    for k in range(math.ceil(low / SPACING), math.floor(high / SPACING) + 1):
        level = k * SPACING + 1e-7
        crossings: list[float] = []
        for loop in turned:
            for (u0, v0), (u1, v1) in zip(loop, [*loop[1:], loop[0]], strict=True):
                if (v0 > level) != (v1 > level):
                    crossings.append(u0 + (u1 - u0) * (level - v0) / (v1 - v0))
        crossings.sort()
        for a, b in zip(crossings[::2], crossings[1::2], strict=False):
            strokes.append(line((a * c - level * c, a * c + level * c), (b * c - level * c, b * c + level * c), "thin"))
    return strokes
