"""Profiles made by hand for tests: a section along +y of the job, its ends plain, sawn by a plane or notched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from fabgen.geometry.profile.end_cut import SawnPlane, notched_end, sawn_end
from fabgen.geometry.profile.limbs import marked_limbs
from fabgen.geometry.profile.notch import notch_lines
from fabgen.geometry.profile.sawing import best_stand
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.solids import Solid
from fabgen.job.tables.tube_hole_tables import LegHoleGiven
from fabgen.parts.holes.leg_holes import leg_holes
from fabgen.parts.piece import Piece, ProfileEnd, ProfilePart
from fabgen.parts.shape.profiles import cross_section
from fabgen.shop.profiles import standard_sizes
from fabgen.shop.profiles.profile_section import ProfileSection

Cut = SawnPlane | Solid | None
"""Of an end: sawn by a plane, notched onto a solid, or plain."""


def profile_part(
    section: ProfileSection, axis: float = 600.0, start: Cut = None, finish: Cut = None, flipped: bool = False,
    holes: Sequence[dict[str, Any]] = (),
) -> ProfilePart:  # fmt: skip
    """A profile from the origin along +y, its z up."""
    frame = Frame(np.zeros(3), np.array([0.0, 1, 0]), np.array([-1.0, 0, 0]), np.array([0, 0, 1.0]))
    back = Frame(np.array([0.0, axis, 0.0]), -frame.x, -frame.y, frame.z)
    cross = cross_section(section).flipped() if flipped else cross_section(section)

    ends = []
    for at, own, seen, cut in (("start", frame, cross, start), ("finish", back, cross.flipped(), finish)):
        limbs = marked_limbs(seen)
        if isinstance(cut, SawnPlane):
            ahead, y, z = cut.normal
            as_start = replace(cut, normal=(ahead, y if at == "start" else -y, z))
            ends.append(ProfileEnd(at, "mitre", sawn_end(limbs, cut), own, ("A9",), stand=best_stand(cross, as_start)))
        elif cut is None:
            ends.append(ProfileEnd(at, "plain", sawn_end(limbs, SawnPlane(0.0)), own))
        else:
            ends.append(ProfileEnd(at, "notch", notched_end(notch_lines(limbs, own, [cut])), own, ("A2",)))
    first, last = ends
    length = axis - first.cut.longest - last.cut.longest
    part = ProfilePart(section, cross, length, axis, (first, last), frame, flipped)
    made: list[Any] = []
    for given in holes:
        made += leg_holes("A1", part, LegHoleGiven.model_validate(given), "medium", len(made))
    return replace(part, holes=tuple(made))


def profile_piece(part: ProfilePart, mark: str = "A1", quantity: int = 1) -> Piece:
    """The piece of a profile."""
    return Piece(mark, "profile", quantity, "S235", 1.0, part)


def faulty_holes() -> list[Piece]:
    """Profiles of whose holes every rule has something to say."""
    angle, channel = standard_sizes.angle(40, 40, 4), standard_sizes.channel_named("UPN 80")
    assert channel is not None
    in_leg = {"at": 100, "leg": "a"}
    return [
        profile_piece(profile_part(angle, holes=[{**in_leg, "diameter": 11, "gauge": 36}])),
        profile_piece(profile_part(angle, holes=[{**in_leg, "diameter": 11, "gauge": 34}])),
        profile_piece(profile_part(angle, holes=[{**in_leg, "diameter": 11, "gauge": 14}])),
        profile_piece(profile_part(angle, holes=[{**in_leg, "diameter": 11, "gauge": 28}])),
        profile_piece(profile_part(angle, holes=[{**in_leg, "diameter": 11, "at": 8}])),
        profile_piece(profile_part(angle, holes=[{**in_leg, "bolt": "M10", "row": {"count": 3, "pitch": 18}}])),
        profile_piece(profile_part(angle, holes=[{**in_leg, "bolt": "M10", "row": {"count": 3, "pitch": 8}}])),
        profile_piece(
            profile_part(angle, holes=[{"at": 100, "leg": leg, "bolt": "M10", "gauge": 17} for leg in ("a", "b")])
        ),
        profile_piece(profile_part(channel, holes=[{"at": 60, "leg": "flange a", "bolt": "M10"}])),
    ]


def lapped(*holes: str, more: str = "", turned: bool = False) -> str:
    """A job of a post P, up from 0 with its heel there, and a rail R against the inside of its leg a, 10 mm from the
    heel on, its own heel at the post's foot; `turned`: R runs up inside P.  `holes`: of P and of R, as the file has
    them."""
    (post, rail), head = holes, '[job]\ntitle = "Laps"\nnumber = "L-1"\nunits = "mm"\n'
    routes = "[[10, 4, 0], [500, 4, 0]]", "[[44, 4, 0], [44, 4, 500]]"
    legs = '["top", "left"]', '["back", "left"]'
    return (
        f'{head}[[profile]]\nmark = "P"\nsection = "angle 40 x 40 x 4"\nroute = [[0, 0, 0], [0, 0, 500]]\n'
        f'legs = ["front", "left"]\nholes = [{post}]\n'
        f'[[profile]]\nmark = "R"\nsection = "angle 40 x 40 x 4"\nroute = {routes[turned]}\nlegs = {legs[turned]}\n'
        f'start = {{ cut = "plain" }}\nfinish = {{ cut = "plain" }}\nholes = [{rail}]\n{more}'
    )


def faulty_laps() -> list[str]:
    """Jobs of profiles and a plate whose bolts do not pass."""
    own = '{ leg = "a", at = 22, bolt = "M8" }'
    return [
        lapped(own, ""),
        lapped(own, '{ leg = "a", at = 16, bolt = "M8" }'),
        lapped(own, "", more=on_plate('bolt = "M8"', 4.0)),
        lapped('{ leg = "a", at = 22, diameter = 9 }', "", more=on_plate("diameter = 9", 4.0)),
        lapped("", "", more=on_plate('bolt = "M8"', 0.0)),
    ]


def on_plate(what: str, off: float) -> str:
    """A plate against the outside of P's leg a, its hole 22 mm up it and so far off its gauge line, mm."""
    return (
        '[[plate]]\nmark = "W"\nthickness = 5\nrectangle = [40, 60]\n'
        f"holes = [{{ at = [{22.0 + off}, 22], {what} }}]\n"
        "place = { at = [0, 0, 0], along = [1, 0, 0], up = [0, -1, 0] }\n"
    )
