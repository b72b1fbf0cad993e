"""The saw set-up of every worked tube end of a job."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from fabgen.geometry.contact import TOUCH
from fabgen.parts.cope import saw_cut, section_profile, section_solid
from fabgen.parts.openings import outside_of
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.run import At
from fabgen.parts.saw_setup import EndCut, SawSetup, by_template, flat

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
    if end.cut == "mitre":
        return _mitre(part, end)
    if len(end.joints) > 1:
        names = " and ".join(joint.onto for joint in end.joints)
        return by_template(_seen(part, end), f"the end sits on {names}, one hollow a tube: cut by the template")
    (joint,) = end.joints
    main = tubes.get(joint.onto)
    if main is None or main.frame is None:
        return None
    if outside_of(main) is None:
        return by_template(_seen(part, end), f"{joint.onto} is bent: cut by the template")
    solid = section_solid(main.section, main.frame)
    setup, outside = saw_cut(part.section, end.top, end.frame, end.line, main.section, solid, joint.angle, joint.offset)
    # The wall's inner edge only adds to the cut: a line that lies below the outer skin's own is of
    # a main that does not go on all the way, as one that ends here on another.
    if (end.line.x < outside - TOUCH).any():
        return by_template(_seen(part, end), f"{joint.onto} ends here: cut by the template")
    return setup


def _mitre(part: LengthPart, end: WorkedEnd) -> SawSetup:
    seen = _seen(part, end)
    if (setup := flat(seen)) is not None:
        return setup
    each = " and ".join(f"{90.0 - math.degrees(joint.angle):.1f}° from square for {joint.onto}" for joint in end.joints)
    return by_template(seen, f"one flat a tube, {each}: cut by the template")


def _seen(part: LengthPart, end: WorkedEnd) -> EndCut:
    """An end whose outer skin's line is its cut line."""
    skin = section_profile(part.section, end.top).skin
    joint = end.joints[0]
    return EndCut(part.section, skin, end.line.x, np.asarray(end.line.x), joint.angle, joint.offset, end.top)
