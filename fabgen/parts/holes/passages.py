"""Holes in a tube for another one that passes through it (`through` at the one that passes).

Each is where the passing tube's outside, a little larger, meets the outside of the other: one where it goes in, one
where it comes out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.lines import nearest_places
from fabgen.parts.holes.openings import NoHole, closed_edge, off_the_end, stretch_at, tangents
from fabgen.parts.piece import ENDS, ROOM, At, LengthPart, Opening
from fabgen.parts.shape.sections import angle_about, section_profile
from fabgen.shop.section import Section


def passages(mark: str, part: LengthPart, tubes: Mapping[str, LengthPart]) -> Iterator[Opening | NoHole]:
    """The holes that a tube passes through, where it goes into each of the others before where it comes out.

    Args:
        mark: of the tube that passes.
        part: that tube.
        tubes: the tubes of the job, by mark.
    """
    for name in part.through:
        main = tubes.get(name)
        if main is None or main.frame is None or part.frame is None:
            continue
        for at, way in zip(ENDS, (-1.0, 1.0), strict=True):
            yield _hole(mark, part, name, main, at, way)


def _hole(mark: str, part: LengthPart, name: str, main: LengthPart, at: At, way: float) -> Opening | NoHole:
    assert part.frame is not None
    along = way * part.frame.x
    stretch = stretch_at(main, _near(part.frame, main))
    if part.path is not None or stretch is None:
        bent = mark if part.path is not None else name
        return NoHole(at, f"{bent} is bent: a hole to pass through is marked between straight tubes only")
    axis = stretch.outside.frame
    places = nearest_places(part.frame.origin, part.frame.x, axis.origin, axis.x)
    if places is None:
        return NoHole(at, f"{mark} runs along {name}, not across it")
    origin = part.frame.origin + places[0] * part.frame.x
    apart = axis.origin + places[1] * axis.x - origin
    frame = Frame.along(origin, along, part.frame.z)
    hole = _grown(part.section)
    top = angle_about(frame, part.frame.z)
    profile = section_profile(hole, top)
    edge = closed_edge(hole, profile.phi, frame, top, stretch.outside)
    if edge.misses:
        return NoHole(at, f"{mark} is wider than {name} there, so its hole has no closed edge")
    if off := off_the_end(main, stretch, edge):
        return NoHole(at, f"the hole would run {off} of {name}")
    angle = math.acos(min(1.0, abs(float(part.frame.x @ axis.x))))
    offset = float(np.linalg.norm(apart))
    sizes = (main.section, hole, edge, angle, offset)
    ends, skin = tangents(profile), stretch.outside
    return Opening(name, mark, at, *sizes, through=True, only=False, passes=True, tangents=ends, skin=skin)


def _near(frame: Frame, main: LengthPart) -> Array:
    """The place of a main's axis that a straight tube passes."""
    assert main.frame is not None
    places = nearest_places(frame.origin, frame.x, main.frame.origin, main.frame.x)
    return main.frame.origin if places is None else np.asarray(frame.origin + places[0] * frame.x)


def _grown(section: Section) -> Section:
    corner = section.corner + ROOM if section.corner else 0.0
    return replace(section, width=section.width + 2.0 * ROOM, depth=section.depth + 2.0 * ROOM, wall=0.0, corner=corner)
