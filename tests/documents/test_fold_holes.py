"""Holes in the folded end view stand where the job gives them: from the outside corner of their face's fold."""

import pytest
from jobs import pieces_of, read

from fabgen.documents.drawing.flat.fold_holes import MOST, profile_holes
from fabgen.documents.drawing.flat.fold_profile import folded_profiles
from fabgen.parts.piece import FlatPart

HEAD = """
[job]
title = "holes"
number = "H-1"
units = "mm"
[[bracket]]
mark = "B1"
"""


def heights(bracket: str) -> list[list[tuple[int, object]]]:
    """(face, height, within 1e-6 mm) of each profile's holes."""
    (piece,) = pieces_of(read(HEAD + bracket))
    part = piece.shape
    assert isinstance(part, FlatPart)
    found = [profile_holes(part, profile) for profile in folded_profiles(part)]
    return [[(hole.face, pytest.approx(hole.height, abs=1e-6)) for hole in each] for each in found]


CHANNEL = """
shape = "channel"
thickness = {t}
radius = {r}
bend_angle = "{angle} deg"
length = 90
web = 70
flanges = [95, 60]
holes = [
  {{ face = "left", at = [45, 66], diameter = 15 }},
  {{ face = "web", at = [30, 33], diameter = 9 }},
  {{ face = "web", at = [60, 33], diameter = 9 }},
  {{ face = "right", at = [45, 41], diameter = 15, length = 30 }},
]
"""


@pytest.mark.parametrize(("t", "r", "angle"), [(6, 8, 90), (2, 2, 90), (3, 4, 75), (3, 5, 100)])
def test_a_channel_s_heights_are_those_of_the_job(t: int, r: int, angle: int) -> None:
    (found,) = heights(CHANNEL.format(t=t, r=r, angle=angle))
    assert found == [(0, 66.0), (1, 33.0), (2, 41.0)]


def test_an_angle_s_two_legs() -> None:
    legs = """
shape = "angle"
thickness = 3
legs = [60, 40]
length = 76
holes = [{ face = "a", at = [19, 38], diameter = 9 }, { face = "b", at = [38, 24], diameter = 9 }]
"""
    assert heights(legs) == [[(0, 38.0), (1, 24.0)]]


def test_a_hat_s_brims_and_sides_hang_toward_the_crown() -> None:
    hat = """
shape = "hat"
thickness = 2
radius = 2
crown = 50
sides = [40, 45]
brims = [30, 32]
length = 100
holes = [
  { face = "left brim", at = [20, 14], diameter = 7 },
  { face = "left side", at = [50, 21], diameter = 8 },
  { face = "crown", at = [50, 19], diameter = 8 },
  { face = "right side", at = [50, 23], diameter = 8 },
  { face = "right brim", at = [20, 17], diameter = 7 },
]
"""
    assert heights(hat) == [[(0, 14.0), (1, 21.0), (2, 19.0), (3, 23.0), (4, 17.0)]]


def test_many_heights_are_cut_short() -> None:
    holes = ", ".join(f'{{ face = "b", at = [20, {20 + 12 * i}], diameter = 6 }}' for i in range(9))
    found = heights(f'shape = "angle"\nthickness = 3\nlegs = [40, 140]\nlength = 60\nholes = [{holes}]\n')
    assert found == [[(1, 20.0 + 12.0 * i) for i in range(MOST)]]


def test_a_tray_s_holes_are_told_in_the_view_of_their_own_fold() -> None:
    tray = """
thickness = 2
base = [120, 80]
flanges = [{ edge = 1, height = 30 }, { edge = 2, height = 35 }, { edge = 3, height = 30 }, { edge = 4, height = 35 }]
holes = [{ face = "flange 2", at = [40, 22], diameter = 6 }, { face = "flange 1", at = [60, 18], diameter = 6 }]
"""
    first, second = heights(tray)
    assert [18.0] in ([h for _, h in first], [h for _, h in second])
    assert [22.0] in ([h for _, h in first], [h for _, h in second])
