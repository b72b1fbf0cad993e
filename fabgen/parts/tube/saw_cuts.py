"""The saw set-up of every worked tube end of a job."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.tube.cope import saw_cut, section_profile, section_solid
from fabgen.parts.tube.openings import stretch_at
from fabgen.parts.tube.route import At
from fabgen.parts.tube.saw_setup import EndCut, SawSetup, by_template, flat
from fabgen.shop.section import Section

_SAME = 1e-4
"""Lines this near to one another are one, mm."""

SawCuts = Mapping[tuple[str, At], SawSetup]
"""By a tube's mark and its end; plain ends, and those whose main the job does not hold, have none."""


def saw_cuts(pieces: Sequence[Piece]) -> dict[tuple[str, At], SawSetup]:
    """How each coped or mitred end can be sawn."""
    tubes = {piece.mark: part for piece in pieces if (part := piece.length_part) is not None}
    return {
        (mark, end.at): setup
        for mark, part in tubes.items()
        for end in part.ends
        if end.cut != "plain" and (setup := _setup(part, end, tubes)) is not None
    }


def _setup(part: LengthPart, end: WorkedEnd, tubes: Mapping[str, LengthPart]) -> SawSetup | None:
    seen = _seen(part, end)
    if end.cut != "cope":
        return flat(seen) or by_template(seen, _roof(end))
    if len(end.joints) > 1:
        names = " and ".join(joint.onto for joint in end.joints)
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
    setup, outside = saw_cut(part.section, end.top, end.frame, end.line, section, solid, joint.angle, joint.offset)
    # The wall's inner edge only adds to the cut: a line that lies below the outer skin's own is of
    # a main that does not go on straight all the way, as one that ends here on another.
    if (end.line.x < outside - _SAME).any():
        return by_template(seen, f"{joint.onto} ends or bends here: cut by the template")
    return setup


def grown(section: Section, gap: float) -> Section:
    """The section with `gap` mm more all round: what a cut with that root gap is made to."""
    if gap == 0.0:
        return section
    corner = section.corner if section.is_round else section.corner + gap
    return replace(section, width=section.width + 2.0 * gap, depth=section.depth + 2.0 * gap, corner=corner)


def _roof(end: WorkedEnd) -> str:
    """What to do with an end of several flats."""
    found = [(flat.onto, flat.from_square) for flat in end.flats]
    found = found or [(joint.onto, math.pi / 2.0 - joint.angle) for joint in end.joints]
    each = " and ".join(f"{math.degrees(turned):.1f}° from square for {onto}" for onto, turned in found)
    return f"a flat for each tube, {each}: cut by the template"


def _seen(part: LengthPart, end: WorkedEnd) -> EndCut:
    """An end as a saw sees it whose outer skin's line is its cut line."""
    skin = section_profile(part.section, end.top).skin
    joint = end.joints[0]
    return EndCut(part.section, skin, end.line.x, np.asarray(end.line.x), joint.angle, joint.offset, end.top)
