"""Where a part stands whose edge is cut to sit on a tube."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.parts.piece import Datum, Skin
from fabgen.parts.sheet.seats import Foot
from fabgen.shop.section import Section
from fabgen.wording.sentence import EMPTY, Sentence, sentence

_FITS = math.radians(1.0)
"""A foot is turned on its tube by no more than this."""
_SAME_SIZE = 0.1
"""Tubes whose sizes differ by no more are one to a foot, mm."""


@dataclass(frozen=True, eq=False)
class OnFoot:
    """One of the two ways in which a part fits its tube: its axes in the vehicle as rows, the way its edge runs
    there, unit (3,), and that from along the tube, rad clockwise seen from outside."""

    axes: Array
    run: Array
    turn: float


def foot_on(feet: Sequence[Foot], against: str, skin: Skin) -> Foot | None:
    """The foot that is cut to the tube of that mark, else to one of its size, as copies of that tube are; else the
    first."""
    of_mark = [each for each in feet if against in each.onto]
    of_size = [each for each in feet if skin.section is not None and _same_size(each.section, skin.section)]
    return next(iter([*of_mark, *of_size, *feet]), None)


def why_not(foot: Foot, skin: Skin) -> Sentence:
    """Why a foot does not fit where it is placed; empty where it does."""
    if skin.section is None:
        return sentence("that is no tube")
    if skin.in_bend:
        return sentence("the tube is bent there")
    if skin.offset:
        return sentence("it sits over the middle of the tube; `offset` is a matter of `sits`")
    return EMPTY if _same_size(foot.section, skin.section) else sentence("the tube is ", skin.section)


def _same_size(one: Section, other: Section) -> bool:
    """Whether a foot that is cut to one tube sits on the other."""
    sizes = zip((one.width, one.depth, one.corner), (other.width, other.depth, other.corner), strict=True)
    return one.is_round == other.is_round and all(abs(a - b) <= _SAME_SIZE for a, b in sizes)


def ways_to_fit(foot: Foot, datum: Datum, skin: Skin) -> list[OnFoot]:
    """The ways in which a part fits: one, the other, or none where its tube lies the other side up.

    Args:
        foot: its foot.
        datum: of the foot's face.
        skin: where on the tube it is placed.
    """
    own = np.array([datum.u, datum.v, datum.front])
    hand = math.copysign(1.0, float(np.linalg.det(own)))
    axis, up = foot.under.x @ own, foot.under.z @ own
    found = []
    for sign in (1.0, -1.0):
        along = sign * skin.along
        axes = np.array([axis, np.cross(up, axis), up]).T @ np.array([along, np.cross(skin.out, along), skin.out])
        run = foot.edge @ own @ axes
        assert skin.way is not None
        if _lies_alike(foot, skin.way - sign * hand * foot.roll):
            found.append(OnFoot(axes, run, math.atan2(float(run @ skin.beside), float(run @ skin.along))))
    return found


def _lies_alike(foot: Foot, turned: float) -> bool:
    """Whether a tube that is turned by so much, rad, about its axis is the one that the foot is cut to."""
    section = foot.section
    if section.is_round:
        return True
    again = math.pi / 2.0 if section.width == section.depth else math.pi
    return abs(math.remainder(turned, again)) < _FITS


def turned_so(ways: Sequence[OnFoot], run: Array) -> OnFoot | None:
    """The way whose edge runs as wanted, unit (3,); None where neither does."""
    return next((each for each in ways if float(each.run @ run) > math.cos(_FITS)), None)


def frame_on(foot: Foot, datum: Datum, skin: Skin, way: OnFoot, point: Array | None) -> Frame:
    """The part's frame, its foot on the tube.

    Args:
        foot: its foot.
        datum: of the foot's face.
        skin: where on the tube it is placed.
        way: how it stands.
        point: of the made part, (3,) mm, that lies at the place along the tube; None = where the axis passes.
    """
    own = np.array([datum.u, datum.v, datum.front])
    axis, middle = foot.under.x @ own, datum.origin + foot.under.origin @ own
    past = 0.0 if point is None else float((point - middle) @ axis)
    return Frame(skin.axis - (middle + past * axis) @ way.axes, *way.axes)
