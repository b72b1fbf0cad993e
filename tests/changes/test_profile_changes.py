"""Profiles between two issues: saw angles, and notches whose steps move."""

from __future__ import annotations

import math

import numpy as np
import pytest
from jobs import pieces_of, read

from fabgen.changes.as_issued import as_issued
from fabgen.changes.compared import compared
from fabgen.geometry.profile.end_cut import EndCut, SawnPlane, notched_end, sawn_end
from fabgen.geometry.profile.limbs import marked_limbs
from fabgen.geometry.profile.notch import LimbLine
from fabgen.geometry.profile.shapes import angle
from fabgen.geometry.space.frame import Frame
from fabgen.parts.piece import Piece, ProfileEnd, ProfilePart
from fabgen.shop.profiles.profile_section import ProfileSection

CROSS = angle(40, 40, 4)
SECTION = ProfileSection("angle", (40.0, 40.0, 4.0))
FRAME = Frame(np.zeros(3), np.array([1.0, 0, 0]), np.array([0, 1.0, 0]), np.array([0, 0, 1.0]))


def sawn(degrees: float) -> EndCut:
    turn = math.radians(degrees)
    return sawn_end(marked_limbs(CROSS), SawnPlane(0.0, (math.cos(turn), math.sin(turn), 0.0)))


def notched(to: float, deep: float = 36.0) -> EndCut:
    """One leg notched `deep` mm over the first `to` mm of its width, the other whole."""
    first, second = marked_limbs(CROSS)
    station = np.array([0.0, to, to, first.width])
    whole = LimbLine(second, np.array([0.0, second.width]), np.full(2, np.nan))
    return notched_end([LimbLine(first, station, np.array([deep, deep, 0.0, 0.0])), whole])


def profile(start: EndCut, length: float = 500.0, section: ProfileSection = SECTION) -> Piece:
    finish = sawn_end(marked_limbs(CROSS.flipped()), SawnPlane(0.0))
    ends = (ProfileEnd("start", "plane", start, FRAME), ProfileEnd("finish", "plain", finish, FRAME))
    return Piece("A1", "tube", 1, "S235", 1.0, ProfilePart(section, CROSS, length, length, ends, FRAME))


def told(old: Piece, new: Piece, units: str = "mm") -> list[str]:
    return [each.said.words(units) for each in compared(as_issued([old]), as_issued([new]), units)]


def test_what_is_cut_otherwise_is_told() -> None:
    assert told(profile(sawn(0.0)), profile(sawn(0.0), 503.0)) == ["saw length 500.0 to 503.0 mm"]
    # 40 mm wide: 40 (tan 45 - tan 40) = 6.4.
    assert told(profile(sawn(45.0)), profile(sawn(40.0))) == [
        "start: sawn slanted at 45 to 40°; its cut moves by up to 6.4 mm"
    ]
    assert told(profile(sawn(0.0)), profile(sawn(30.0)))[0].startswith("start: sawn square, now sawn slanted")
    assert told(profile(notched(20.0)), profile(notched(20.0, 30.0))) == ["start: its cut moves by up to 6 mm"]


@pytest.mark.parametrize(("by", "count"), [(0.0495, 0), (0.0505, 1)])
def test_a_step_of_a_notch_that_moves(by: float, count: int) -> None:
    assert len(told(profile(notched(20.0)), profile(notched(20.0 + by)))) == count


def test_another_profile() -> None:
    other = ProfileSection("angle", (40.0, 40.0, 5.0))
    assert told(profile(sawn(0.0)), profile(sawn(0.0), section=other)) == [
        "section angle 40 x 40 x 4 to angle 40 x 40 x 5"
    ]
    inches = told(profile(sawn(0.0)), profile(sawn(0.0), section=other), "in")
    assert inches == ["section angle 40 x 40 x 4 mm to angle 40 x 40 x 5 mm"]


def rail(along: float, legs: tuple[str, str], gauge: float = 20.0, back: bool = False) -> str:
    route = [[0, 0, 0], [500, 0, 0]]
    return f"""
[job]
title = "t"
number = "1"
units = "mm"
[[profile]]
mark = "A1"
section = "angle 40 x 40 x 4"
route = {route[::-1] if back else route}
legs = {list(legs)}
holes = [{{ leg = "a", from = "start", at = {along}, gauge = {gauge}, diameter = 9 }}]
"""


def said(old: str, new: str) -> list[str]:
    return [each.said.words() for each in compared(*(as_issued(pieces_of(read(text))) for text in (old, new)))]


def test_an_angle_of_the_other_hand() -> None:
    """Its hole in the middle of the leg is as far from either edge and from the start as it was."""
    right = ("top", "right")
    assert said(rail(120, ("top", "left")), rail(120, right)) == ["opposite hand"]
    assert said(rail(120, ("top", "left"), 22), rail(120, right, 22)) == ["opposite hand"]
    # Turned end for end it is the same piece.
    assert said(rail(120, ("top", "left"), 22), rail(380, right, 22)) == []
    assert said(rail(250, ("top", "left")), rail(250, right)) == []
    assert said(rail(120, ("top", "left"), 22), rail(120, ("top", "left"), 24)) == [
        "hole Ø 9 mm in leg a moves by 2 mm, 2 mm of it across leg a"
    ]
