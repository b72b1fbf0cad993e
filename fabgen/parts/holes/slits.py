"""Slits and notches in a tube's end: a slot open to the saw cut, its bottom a drilled hole or square.

The edge is laid on the skin as a drill's is: the slit's walls run straight through the tube along its way in.  Seen
along that way every point of the edge is on a ray of its own from the middle of the hole at the bottom.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.penetration import penetration
from fabgen.geometry.tube.profile import Profile, whole_degrees
from fabgen.job.errors import InputError, nearest
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.tube_hole_tables import SlitGiven
from fabgen.parts.holes.drilled_holes import around, way_round
from fabgen.parts.holes.openings import Stretch, stretch_along
from fabgen.parts.piece import At, DrilledHole, LengthPart, Slit
from fabgen.parts.shape.sections import angle_about
from fabgen.shop.section import Section
from fabgen.wording.sentence import mm, sentence

LEAST_HOLE = 5.0
"""Diameter of the hole at the bottom of a narrow slit, mm: so that no crack runs on from it (common practice, no
source)."""
_INSIDE = 0.01
"""The side is looked up so far inside the end, mm."""


def slit_holes(job: Definitions, mark: str, part: LengthPart, at: At, given: SlitGiven) -> list[DrilledHole]:
    """A slit in the near wall and, of one that goes on, in the far one, numbered 1.

    Args:
        mark: of the tube.
        part: the tube, placed, its ends worked.
        at: the end that it is open to.
    Raises:
        InputError: the key below the table says where.
    """
    end = part.ends[0 if at == "start" else 1]
    if end.cut != "plain" or part.is_ring:
        what = f"this end is {_how(part, at)}, not sawn square: a slit would cut into its joint"
        raise InputError(what, 'a free end, or cut = "plain"')
    if part.section.is_solid:
        raise InputError("a solid bar has no wall to slit", "a hollow section")
    if given.tab is not None and given.tab not in (marks := [each.mark for each in job.parts()]):
        raise InputError(f"no part has the mark {given.tab!r}", "the mark of a sheet part", nearest(given.tab, marks),
                         key=("tab",))  # fmt: skip
    hole = max(given.width, LEAST_HOLE) if given.hole is None else given.hole
    if 0.0 < hole < given.width - 1e-9:
        narrow = sentence("the hole of ", mm(hole, 2), " is narrower than the slit")
        raise InputError(narrow, "as wide, wider, or 0 = square", key=("hole",))
    if not hole < given.depth < part.length:
        least = sentence("more than its hole of ", mm(hole, 2), " and less") if hole else "less"
        accepted = sentence(least, " than the tube's ", mm(part.length))
        raise InputError(sentence("a depth of ", mm(given.depth), " does not fit"), accepted, key=("depth",))
    return list(_walls(mark, part, Slit(at, given.width, given.depth, hole, given.tab or ""), given))


def _how(part: LengthPart, at: At) -> str:
    if part.is_ring:
        return "the butt joint of a ring"
    end = part.ends[0 if at == "start" else 1]
    onto = " and ".join(seat.onto for seat in end.seats)
    return {"cope": f"coped to {onto}", "mitre": f"mitred with {onto}"}.get(end.cut, "cut to a plane")


def _walls(mark: str, part: LengthPart, slit: Slit, given: SlitGiven) -> Iterator[DrilledHole]:
    start = slit.at == "start"
    cut, inward = (0.0, 1.0) if start else (part.length, -1.0)
    stretch = stretch_along(part, cut + inward * _INSIDE)
    assert stretch is not None
    round_, beside = way_round(part, cut + inward * _INSIDE, given)
    offset = beside + given.offset
    axis = stretch.outside.frame
    out, across = around(axis, round_), around(axis, round_ + math.pi / 2.0)
    upright = abs(float(out @ axis.z)) > math.sqrt(0.5)
    bore = (part.section.depth if upright else part.section.width) - 2.0 * part.section.wall
    if abs(offset) + slit.width / 2.0 >= bore / 2.0:
        what = sentence(f"the slit takes {mark} from wall to wall: ", mm(bore, 2), " are between them")
        raise InputError(what, "a narrower slit, or a smaller offset", key=("width",))
    origin = axis.origin + (cut + inward * slit.centre) * axis.x + offset * across
    cut_out = Section("rectangular", slit.depth, slit.width, 0.0)
    for far in (False, True) if given.both_walls else (False,):
        frame = Frame.along(origin, -out if far else out, axis.x)
        # Toward the saw cut: 0 at the start's slit, where y is along the tube.
        profile, corners = _outline(slit, angle_about(frame, -inward * axis.x))
        edge = penetration(profile, frame, stretch.outside)
        ends = (0.0, part.length - slit.depth) if start else (part.length - slit.depth, 0.0)
        made = DrilledHole(
            mark, 1, far, part.section, cut_out, edge, stretch.outside, frame, offset, both_walls=given.both_walls,
            tangents=corners, to_ends=ends, slit=slit,
        )  # fmt: skip
        to_bend = _to_bend(made, stretch)
        yield replace(made, to_bend=to_bend, off="into a bend" if to_bend < 0.0 else "")


def _to_bend(hole: DrilledHole, stretch: Stretch) -> float:
    return min(float(hole.edge.along.min()) - stretch.first, stretch.last - float(hole.edge.along.max()))


def _outline(slit: Slit, toward_cut: float) -> tuple[Profile, tuple[float, ...]]:
    """The slit's outline about the middle of its hole, and phi of its corners.

    Args:
        toward_cut: phi of the way to the saw cut, rad.
    """
    half, radius, ahead = slit.width / 2.0, slit.hole / 2.0, slit.centre
    corner = math.atan2(half, ahead)
    turns = [corner, -corner]
    if radius:
        mouth = math.asin(min(1.0, half / radius))
        turns += [mouth, -mouth]
    else:
        turns += [math.pi - corner, math.pi + corner]
    corners = tuple(sorted({(toward_cut + turn) % (2.0 * math.pi) for turn in turns}))
    phi = np.unique(np.concatenate((whole_degrees(), corners)))
    reach = _reach(phi - toward_cut, half, radius, ahead)
    skin = np.column_stack((np.cos(phi), np.sin(phi))) * reach[:, None]
    nothing = np.zeros_like(phi)
    return Profile(phi, nothing, skin, -skin, nothing, 0.0), corners


def _reach(turn: Array, half: float, radius: float, ahead: float) -> Array:
    """How far the outline is from the hole's middle at angles from the way to the saw cut, mm: the farther of the
    hole's edge and the straight strip's."""
    c, s = np.cos(turn), np.abs(np.sin(turn))
    strip = np.minimum(half / np.maximum(s, 1e-12), ahead / np.maximum(np.abs(c), 1e-12))
    return np.where(c > 0.0, np.maximum(strip, radius), radius) if radius else strip
