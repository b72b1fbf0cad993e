"""Flat cuts: tubes mitred with one another, and ends that sit on a flat.

Two tubes that leave a point along unit directions d and e are parted by a plane through it.  The
bisecting plane stands square on d - e: each tube's metal is on its own side.  It serves any number
of tubes at a point, two at a time; the planes of three meet in one line.

Two tubes unlike in size in the plane of d and e, of half height h and k there, part *from edge to
edge* at the plane through the points where their outer edges and where their inner edges meet:
along k d + h e, so square on (h + k c) d - (k + h c) e with c = d . e.  For h = k that is the
bisecting plane.
"""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.geometry.space.lines import nearest_places
from fabgen.geometry.tube.solids import HalfSpace
from fabgen.job.tables.tube_tables import PlaneAt
from fabgen.parts.piece import At, FlatCut, WorkedEnd
from fabgen.parts.shape.cuts import parting
from fabgen.parts.shape.sections import half_size
from fabgen.parts.tube.routed_tube import RoutedTube
from fabgen.parts.tube.saw_angles import SawAngles, beyond_reach, right_of
from fabgen.shop.section import Section
from fabgen.wording.sentence import Part, Sentence, degrees, joined, sentence


def seam(routed: RoutedTube, at: At, other: RoutedTube, end: At, alone: bool = True) -> HalfSpace:
    """What is cut away of a tube for another that ends at the same point, without a root gap.

    Args:
        routed: the tube that is cut at its end `at`.
        other: its partner, mitred at its `end`.
        alone: whether no third tube is mitred with them.
    Returns: a half-space; its normal points into the tube that is cut.
    Source: the head of this module.
    """
    d, e = routed.inward(at), other.inward(end)
    middle = _where_they_meet(routed, at, other, end)
    if not alone or _is_bisected(routed, at, other, end):
        return HalfSpace.at(middle, d - e)
    inside = unit(d + e) if float(d @ e) > -1.0 + 1e-12 else routed.frame_at(at).z
    h, k = half_height(routed, at, inside), half_height(other, end, inside)
    return HalfSpace.at(middle, parting(d, e, h, k))


def _is_bisected(routed: RoutedTube, at: At, other: RoutedTube, end: At) -> bool:
    """Whether two tubes part halfway between their axes: where the job says so, and where it is silent but for tubes
    whose points lie on their faces, as there what is drawn is where their edges meet."""
    ends = routed.given(at), other.given(end)
    if any("seam" in each.model_fields_set for each in ends):
        return all(each.seam == "bisect" for each in ends)
    return routed.given_at is None and other.given_at is None


def _where_they_meet(routed: RoutedTube, at: At, other: RoutedTube, end: At) -> Array:
    """The point of a mitre, (3,) mm: halfway between the ends, and where their points lie on their faces, between the
    places where their axes come nearest to one another."""
    one, two = routed.point(at), other.point(end)
    if routed.given_at is not None or other.given_at is not None:
        d, e = routed.inward(at), other.inward(end)
        if (places := nearest_places(one, d, two, e)) is not None:
            one, two = one + places[0] * d, two + places[1] * e
    return np.asarray((one + two) / 2.0)


def half_height(routed: RoutedTube, at: At, inside: Array) -> float:
    """Half the section's size square to the tube in the plane of the tube and `inside`.

    Args:
        inside: (3,), a direction not along the tube.
    Returns: mm.
    """
    frame = routed.frame_at(at)
    return half_size(routed.section, frame.x, frame.z, inside)


def given_plane(routed: RoutedTube, at: At) -> HalfSpace:
    """What is cut away at an end that the job cuts to a plane.

    Returns: a half-space; its normal points into the tube.
    Raises:
        ValueError: its three points lie in a line, or the tube nearly in the plane.
    """
    given = routed.given(at).plane
    if given is None:
        assert routed.given(at).cut == "level"
        point, normal = routed.point(at), np.array([0.0, 0.0, 1.0])
    elif isinstance(given, PlaneAt):
        point, normal = np.array(given.at.xyz), np.array(given.normal)
    else:
        point, second, third = (np.array(p.xyz) for p in given)
        normal = np.cross(second - point, third - point)
        if float(np.linalg.norm(normal)) < 1e-6 * float(np.linalg.norm(second - point)) ** 2 + 1e-9:
            raise ValueError("its three points lie in one line, so they give no plane")
    along = routed.inward(at)
    normal = unit(normal)
    lean = float(normal @ along)
    if abs(lean) < math.sin(math.radians(5.0)):
        which = "level" if given is None else "the plane's own direction"
        raise ValueError(f"the tube runs within 5 degrees of {which}")
    return HalfSpace.at(point, math.copysign(1.0, lean) * normal)


def crossing(plane: HalfSpace, point: Array, along: Array) -> Array:
    """Where a line meets a plane.

    Args:
        point: (3,) mm, on the line.
        along: (3,), its unit direction, not in the plane.
    Returns: (3,) mm.
    """
    return np.asarray(point + (plane.level - float(plane.normal @ point)) / float(plane.normal @ along) * along)


def flat_cut(onto: str | None, plane: HalfSpace, frame: Frame, at: At, top: float) -> FlatCut:
    """The saw's settings for a plane.

    Args:
        onto: the mark of the tube it is for; None for a plane that the job gives.
        plane: its normal points into the tube along frame.x.
        frame: of the end, which is the tube's `at`.
        top: phi of the tube's top line, rad.
    """
    n = frame.axes @ plane.normal
    c, s = math.cos(top), math.sin(top)
    up, side = float(n[1] * c + n[2] * s), float(n[2] * c - n[1] * s)
    ahead = float(n[0])
    leaning = math.hypot(float(n[1]), float(n[2]))
    saw = SawAngles.of(ahead, right_of(at, side), up)
    return FlatCut(
        onto,
        from_square=math.atan2(leaning, ahead),
        long_side=math.atan2(float(n[2]), float(n[1])) % (2.0 * math.pi) if leaning > 1e-9 else 0.0,
        swing=saw.swing,
        tilt=saw.tilt,
    )


def _round_from_top(end: WorkedEnd, phi: float) -> Sentence:
    """'on TOP', 'opposite TOP', or '90° clockwise from TOP seen from the start'."""
    turn = phi - end.top if end.at == "start" else end.top - phi
    rounded_turn = round(math.degrees(turn)) % 360
    if rounded_turn % 180 == 0:
        return sentence("opposite TOP" if rounded_turn else "on TOP")
    clockwise = degrees(math.radians(rounded_turn), 0).named("long side from TOP")
    return sentence(clockwise, " clockwise from TOP seen from the start")


def flat_words(end: WorkedEnd, section: Section) -> Sentence:
    """'for T2 45.0° from square, long side on TOP; …', of a rectangular tube with swing and tilt; where few saws
    reach that, what to do instead."""
    cuts = []
    for flat in end.flats:
        parts: list[Part] = [] if flat.onto is None else [f"for {flat.onto} "]
        parts += [degrees(flat.from_square, fixed=True).named("from square"), " from square"]
        if flat.from_square > 1e-3:
            parts += [", long side ", _round_from_top(end, flat.long_side)]
        if section.is_round:
            instead = beyond_reach(flat.from_square)
            parts += [f"; {instead}"] if instead else []
        elif flat.from_square > 1e-3:
            parts += [", ", SawAngles(flat.swing, flat.tilt).words()]
        cuts.append(sentence(*parts))
    return joined("; ", cuts)
