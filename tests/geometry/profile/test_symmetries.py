"""Which slanted ends one saw cut makes two of: held against bodies by manifold3d that are turned in every way."""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np
import pytest

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.profile.end_cut import SawnPlane
from fabgen.geometry.profile.shapes import angle, channel, flat, tee
from fabgen.geometry.profile.symmetries import matching_slant

HALF = math.sqrt(0.5)
HEXAGON = Outline.polygon([(20 * math.cos(k * math.pi / 3), 20 * math.sin(k * math.pi / 3)) for k in range(6)])
SECTIONS = {
    "flat": flat(40, 8).outline,
    "square": flat(20, 20).outline,
    "hexagon": HEXAGON,
    "angle": angle(40, 40, 4).outline,
    "unequal": angle(60, 40, 5).outline,
    "channel": channel(80, 45, 6, 8).outline,
    "tee": tee(50, 50, 6, 6).outline,
}
WAYS = {
    "along y": (HALF, HALF, 0.0),
    "along z": (HALF, 0.0, HALF),
    "both": (0.8, 0.48, 0.36),
    "both alike": (HALF, 0.5, 0.5),
    "both against": (HALF, 0.5, -0.5),
}
SHARED = {
    ("flat", "along y"), ("flat", "along z"), ("square", "along y"), ("square", "along z"), ("square", "both alike"),
    ("square", "both against"), ("hexagon", "along y"), ("hexagon", "along z"), ("angle", "both against"),
    ("channel", "along z"), ("tee", "along y"),
}  # fmt: skip
"""Worked by hand: the section's mirror image in a line along the slant or square to it is the section, or a turn of
it."""


def faces_itself(outline: Outline, plane: SawnPlane) -> bool:
    """Whether a bar cut in two by the plane can have its one half put in the other's place, by turning alone."""
    ring = outline.points(0.05) - np.mean(outline.points(0.05), axis=0)
    section = m3.CrossSection([ring])
    bar = m3.Manifold.extrude(section, 200.0).translate([0, 0, -100.0])
    ahead, across, up = plane.normal
    one = bar.trim_by_plane([across, up, ahead], 0.0)
    rest = bar - one
    for half in range(0, 360, 15):  # end for end about x, then about the bar
        turned = rest.rotate([180.0, 0, 0]).rotate([0, 0, half])
        low, high = (np.array(body.bounding_box()).reshape(2, 3) for body in (one, turned))
        put = turned.translate((low - high).mean(axis=0))
        if (put - one).volume() + (one - put).volume() < 1e-3 * one.volume():
            return True
    return False


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", SECTIONS)
def test_ends_match_where_one_half_of_a_bar_can_take_the_others_place(name: str, way: str) -> None:
    outline = SECTIONS[name]
    assert isinstance(outline, Outline)
    plane = SawnPlane(0.0, WAYS[way])
    matches = matching_slant(outline, plane) is not None
    assert matches == ((name, way) in SHARED)
    assert matches == faces_itself(outline, plane)
