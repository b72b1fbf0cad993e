"""The view of a made strap from its end: its two skins, what it measures over all, and inside."""

from __future__ import annotations

import math

import numpy as np

from fabgen.documents.drawing.sheet.dimensions import Length, Target, draw_leader
from fabgen.documents.drawing.sheet.lanes import Side, draw_sides
from fabgen.documents.render.picture import cross, polyline
from fabgen.documents.render.sketch import Sketch
from fabgen.documents.render.words import degrees
from fabgen.geometry.plane.outline import Xy, box_of
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import Band, FlatPart
from fabgen.wording.figures import Figures

FINE = math.radians(2.0)


def band_size(part: FlatPart, band: Band) -> Xy:
    """Width and height over all, mm."""
    x0, y0, x1, y1 = box_of(_ring(part, band))
    return x1 - x0, y1 - y0


def draw_band(part: FlatPart, band: Band, scale: float, figures: Figures) -> Sketch:
    """The strap from its end, at a scale."""
    sketch = Sketch()
    ring = [(x * scale, y * scale) for x, y in _ring(part, band)]
    sketch.draw(polyline([*ring, ring[0]]))
    inside = min(band.box.inside) if band.box is not None else band.inside
    reach = inside / 2.0 * scale
    sketch.draw(*cross((0.0, 0.0), reach * 0.4, reach * 0.4, "centre"))
    box = box_of(ring)
    wide, high = band_size(part, band)
    below, left = Side("below"), Side("left")
    low = min(ring, key=lambda p: p[0]), max(ring, key=lambda p: p[0])
    tall = min(ring, key=lambda p: p[1]), max(ring, key=lambda p: p[1])
    below.outermost.append(Length(*low, figures.length(wide)))
    left.outermost.append(Length(*tall, figures.length(high)))
    draw_sides(sketch, box, below, left)
    x0, y0, x1, y1 = sketch.box
    limit = (x0 - 12.0, y0 - 12.0, x1 + 40.0, y1 + 12.0)
    target, text = Target((0.0, 0.0), reach, -math.pi / 4.0, 0.6), ""
    if band.box is None:
        text = f"Ø{figures.length(band.inside)} inside, arc {degrees(band.arc)}"
    else:
        clear, corner = band.box.inside, band.box.corner
        across, up = (size / 2.0 - corner for size in clear)
        target = Target((across * scale, -up * scale), corner * scale, -math.pi / 4.0, 0.6)
        text = f"{' x '.join(figures.length(size) for size in clear)} inside, corners R{figures.size(corner)}"
    draw_leader(sketch, [target], text, limit)
    return sketch


def _ring(part: FlatPart, band: Band) -> list[Xy]:
    frames = [band.path.frame_at(s) for s in band.path.stations(FINE)]
    sides: list[Array] = [np.array([f.origin + h * part.thickness / 2.0 * f.z for f in frames]) for h in (1.0, -1.0)]
    points = np.vstack((sides[0], sides[1][::-1]))
    return [(float(x), float(y)) for x, y, _ in points]
