"""How to saw a worked tube end, with the tubes of the job that it sits on."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.solids import RoundBar, Solid
from fabgen.parts.holes.openings import stretch_at
from fabgen.parts.piece import LengthPart, SawSetup, WorkedEnd
from fabgen.parts.shape.cuts import cut_line
from fabgen.parts.shape.sections import end_profile, section_solid
from fabgen.parts.tube.saw_setup import EndCut, by_saw, by_template, flat
from fabgen.shop.section import Section

_SAME = 1e-4
"""Lines this near to one another are one, mm."""


def saw_setup(part: LengthPart, end: WorkedEnd, tubes: Mapping[str, LengthPart]) -> SawSetup | None:
    """How an end can be sawn; None of a plain end, and of one whose main the job does not hold or place.

    Args:
        tubes: the lengths of section of the job, by mark.
    """
    if end.cut == "plain":
        return None
    seen = _seen(part, end)
    if end.cut != "cope" or end.flats:
        return flat(seen) or by_template(seen, _roof(end))
    if len(end.seats) > 1:
        names = " and ".join(seat.onto for seat in end.seats)
        return by_template(seen, f"the end sits on {names}: no single saw cut makes it, cut by the template")
    (joint,) = end.joints
    main = tubes.get(joint.onto)
    if main is None or main.frame is None:
        return None
    stretch = stretch_at(main, end.frame.origin)
    if stretch is None:
        return by_template(seen, f"{joint.onto} is bent there: cut by the template")
    section = grown(main.section, end.gap)
    solid = section_solid(section, stretch.outside.frame)
    setup, outside = saw_cut(part.section, end, section, solid)
    # The wall's inner edge only adds to the cut: a line that lies below the outer skin's own is of
    # a main that does not go on straight all the way, as one that ends here on another.
    if (end.line.x < outside - _SAME).any():
        return by_template(seen, f"{joint.onto} ends or bends here: cut by the template")
    return setup


def grown(section: Section, gap: float) -> Section:
    """The section that a cut with a root gap is made to.

    Args:
        gap: more all round, mm.
    """
    if gap == 0.0:
        return section
    corner = section.corner if section.is_round else section.corner + gap
    return replace(section, width=section.width + 2.0 * gap, depth=section.depth + 2.0 * gap, corner=corner)


def _roof(end: WorkedEnd) -> str:
    """What to do with an end of several flats."""
    found = [(flat.onto, flat.from_square) for flat in end.flats]
    each = " and ".join(f"{math.degrees(turned):.1f}° from square for {onto}" for onto, turned in found)
    return f"a flat for each tube, {each}: cut by the template"


def _seen(part: LengthPart, end: WorkedEnd) -> EndCut:
    """An end as a saw sees it whose outer skin's line is its cut line."""
    skin = end_profile(part.section, end).skin
    seat = end.seats[0]
    return EndCut(part.section, skin, end.line.x, np.asarray(end.line.x), seat.angle, seat.offset, end.top, end.at)


def saw_cut(branch: Section, end: WorkedEnd, onto: Section, main: Solid) -> tuple[SawSetup, Array]:
    """How to saw an end that sits on one main, and where its outer skin meets that, (n,) mm.

    Args:
        end: of a tube of section `branch`; of its joints the first counts.
        onto: the main's section, with the root gap on it.
        main: the same as a solid.
    """
    profile, frame, joint = end_profile(branch, end), end.frame, end.joints[0]

    def outer(solid: Solid) -> Array:
        return cut_line(profile, frame, [solid], "outside").x

    def on_bar(diameter: float) -> Array:
        along = math.cos(joint.angle) * frame.x + math.sin(joint.angle) * frame.y
        return outer(RoundBar(frame.origin + joint.offset * frame.z, along, diameter / 2.0))

    outside = outer(main)
    cut = EndCut(branch, profile.skin, end.line.x, outside, joint.angle, joint.offset, end.top, end.at)
    return by_saw(cut, onto, on_bar), outside
