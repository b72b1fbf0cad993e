"""Ends of profiles at random on tubes and on one another: no metal of theirs is left in what they sit on."""

from __future__ import annotations

import random

import numpy as np
import pytest
from faulty_profiles import HEAD, profile, tube
from jobs import pieces_of
from random_seeds import first_seed, how_many

from fabgen.checks.profile.profile_bodies import ProfileBody
from fabgen.geometry.tube.solids import distance
from fabgen.job.reader import read_text
from fabgen.parts.piece import ProfilePart
from fabgen.parts.routed_profile import routed_profiles
from fabgen.parts.tube.routed_tube import RoutedTube

SECTIONS = {
    "angle 40 x 40 x 4": 'legs = ["top", "left"]',
    "angle 60 x 30 x 5": 'legs = ["left", "top"]',
    "UPN 80": 'back = "bottom"',
    "T 40 x 40 x 5": 'flange = "top"',
    "flat 40 x 6": 'width = "top"',
}
DEEP = 0.06
"""Metal may lie so deep in what it sits on, mm: less than anything is sawn to."""


def a_job(seed: int) -> str:
    """A job of one profile from a main at its start to another at its finish, the mains upright, it about along x."""
    rng = random.Random(seed)
    mains = []
    for mark, x in (("A", 0.0), ("B", 800.0)):
        lean = rng.uniform(-150, 150)
        route = f"[[{x - lean:.1f}, {rng.uniform(-8, 8):.1f}, -500], [{x + lean:.1f}, {rng.uniform(-8, 8):.1f}, 500]]"
        if rng.random() < 0.5:
            mains.append(tube(mark, route, rng.choice(["60.3 x 3.2", "88.9 x 4", "80 x 60 x 4", "100 x 100 x 5"])))
        else:
            ways = rng.choice(['["front", "left"]', '["back", "right"]', '["left", "front"]', '["right", "back"]'])
            mains.append(profile(mark, route, rng.choice(["angle 60 x 60 x 6", "angle 80 x 40 x 6"]), f"legs = {ways}"))
    section = rng.choice(list(SECTIONS))
    rise = rng.uniform(-120, 120)
    own = profile(
        "R", f"[[0, 0, {-rise:.1f}], [800, {rng.uniform(-20, 20):.1f}, {rise:.1f}]]", section, SECTIONS[section]
    )
    return HEAD + "".join(mains) + own


@pytest.mark.parametrize("seed", range(first_seed(7300), first_seed(7300) + how_many(300, 12)))
def test_nothing_is_left_in_what_it_sits_on(seed: int) -> None:
    job = read_text(a_job(seed)).definitions
    pieces = {piece.mark: piece for piece in pieces_of(job)}
    own = pieces["R"].shape
    assert isinstance(own, ProfilePart)
    (strip,) = ProfileBody("R", own).strips
    points = np.vstack([strip.walls.skin + at[:, None] * strip.walls.along for at in (strip.begin, strip.end)])
    solids = {each.mark: each.solid for each in routed_profiles(job)}
    solids |= {given.mark: RoutedTube.of(i, given).solid for i, given in enumerate(job.tube)}
    for end in own.ends:
        for mark in end.onto:
            assert float(distance(solids[mark], points).min()) > -DEEP, (mark, end.at)
    # An end beside which a main's legs point away sits on nothing.
    assert all(end.onto or end.kind == "plain" for end in own.ends)
