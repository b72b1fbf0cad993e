"""The section of a profile as it lies, seen from the start: hatched, its sizes, the names of its legs."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.documents.drawing.sheet.dimensions import FIGURE, Length, Target, draw_leader
from fabgen.documents.drawing.sheet.lanes import Side, SideName, draw_sides
from fabgen.documents.drawing.tube.section_view import hatched
from fabgen.documents.render.picture import Anchor, Text, loop_items
from fabgen.documents.render.sketch import Sketch
from fabgen.documents.wrap.fold_wrap import face_word
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.limbs import marked_limbs
from fabgen.parts.piece import ProfilePart
from fabgen.shop.profiles.profile_section import ProfileSection
from fabgen.wording.figures import Figures


def section_sketch(part: ProfilePart, scale: float, figures: Figures) -> Sketch:
    """The section seen from the start, up the frame's z.

    Args:
        part: the profile.
        scale: mm of paper for 1 mm.
        figures: of the job's units.
    """
    sketch = Sketch()
    # Seen from the start y runs left.
    seen = part.cross.flipped()
    sketch.draw(*loop_items(seen.outline, scale=scale))
    ring = [(float(x) * scale, float(y) * scale) for x, y in seen.outline.points(0.1 / scale)]
    sketch.draw(*hatched([ring]))
    x0, y0, x1, y1 = (v * scale for v in seen.outline.bounds)
    names: tuple[SideName, ...] = ("below", "left")
    below, left = (Side(name) for name in names)
    below.lengths.append(Length((x0, y0), (x1, y0), figures.length((x1 - x0) / scale)))
    left.lengths.append(Length((x0, y0), (x0, y1), figures.length((y1 - y0) / scale)))
    draw_sides(sketch, (x0, y0, x1, y1), below, left)
    limit = (x0 - 40.0, y0 - 30.0, x1 + 40.0, y1 + 30.0)
    for text, targets in _thicknesses(part.section, seen, scale, figures):
        draw_leader(sketch, targets, text, limit)
    for text, places in _names(part, scale):
        sketch.write_free(Text(x, y, text, FIGURE, anchor, bold=True) for x, y, anchor in places)
    return sketch


def _thicknesses(
    section: ProfileSection, seen: CrossSection, scale: float, figures: Figures
) -> Iterator[tuple[str, list[Target]]]:
    """Thicknesses and radii."""
    sizes = section.sizes
    words = {
        "angle": f"{figures.size(sizes[-1], 2)} thick",
        "channel": f"web {figures.size(sizes[min(2, len(sizes) - 1)], 2)}, flange {figures.size(sizes[-1], 2)}",
        "T": f"flange {figures.size(sizes[min(2, len(sizes) - 1)], 2)}, stem {figures.size(sizes[-1], 2)}",
    }
    text = words.get(section.kind, "")
    if not text:
        return
    text += f", root R{figures.size(section.root, 2)}" if section.root else ""
    inner = [face for face in seen.faces if "inside" in face.name]
    middles = [((f.start[0] + f.end[0]) / 2.0 * scale, (f.start[1] + f.end[1]) / 2.0 * scale) for f in inner]
    yield text, [Target(middle) for middle in middles]


def _names(part: ProfilePart, scale: float) -> Iterator[tuple[str, list[tuple[float, float, Anchor]]]]:
    """Each outer face's name, outside its middle."""
    for limb in marked_limbs(part.cross):
        if not limb.name:
            continue
        (point,), (inward,) = limb.skin(np.array([limb.width / 2.0]))
        u, v = float(inward[0]), -float(inward[1])  # outward on paper: y runs left
        x, y = -float(point[0]) * scale, float(point[1]) * scale
        anchor: Anchor = "middle" if abs(u) < 0.5 else "start" if u > 0.0 else "end"
        text = face_word(limb.name)
        yield text, [(x + u * off, y + v * off - FIGURE * 0.36, anchor) for off in (2.5, 4.0, 6.0, 14.0, 18.0, 22.0)]
