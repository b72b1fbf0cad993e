"""Profiles within others, with ends that lie in a root radius: bevelled to clear it, against solids by manifold3d.

The figures of the first are worked by hand from the tables of EN 10365; the rest are random joints: nothing may
lie in what the end sits on and everything must reach it.
"""

from __future__ import annotations

import math
import random

import manifold3d as m3
import numpy as np
import pytest
from faulty_profiles import HEAD, profile
from jobs import pieces_of
from random_seeds import first_seed, how_many
from test_notched_profiles import REACH, branch_body, in_frame, swept

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.profile.bevel import Bevel
from fabgen.geometry.profile.limbs import roots_of
from fabgen.geometry.space.frame import Frame
from fabgen.job.reader import read_text
from fabgen.parts.piece import ProfileEnd, ProfilePart, profile_parts

MAINS = {
    "UPN 100": (100.0, 6.0, 10.02),
    "UPN 120": (120.0, 7.0, 10.64),
    "UPE 120": (120.0, 5.0, 8.0),
    "channel 120 x 55 x 6 r 9": (120.0, 6.0, 6.0),
}
"""Height, web, and thickness of the flange beside the web, mm."""
BRANCHES = {
    "UPN 80": (80.0, 'back = "front"'),
    "UPN 65": (65.0, 'back = "back"'),
    "angle 50 x 50 x 5": (50.0, 'legs = ["bottom", "front"]\nlies = "leg a outside"'),
    "angle 60 x 60 x 8": (60.0, 'legs = ["bottom", "back"]\nlies = "leg a outside"'),
    "flat 50 x 10": (10.0, 'width = "front"'),
    "flat 60 x 8": (8.0, 'width = "front"'),
    "square bar 20": (20.0, 'width = "front"'),
}
"""Height as it lies and how it is laid, its top face or its middle on the route."""


def parts_of(text: str) -> dict[str, ProfilePart]:
    """The profiles of a job by their marks."""
    return {piece.mark: part for piece, part in profile_parts(pieces_of(read_text(text).definitions))}


def end_of(text: str) -> tuple[ProfilePart, ProfileEnd]:
    """M and its start."""
    part = parts_of(text)["M"]
    return part, part.ends[0]


def nested(seed: int) -> str:
    """A branch that lies beneath the upper flange of a channel, up to 3 mm off it, skew by up to 20 degrees."""
    rng = random.Random(seed)
    main, branch = rng.choice(list(MAINS)), rng.choice(list(BRANCHES))
    (high, web, flange), (tall, ways) = MAINS[main], BRANCHES[branch]
    top = high / 2.0 - flange - rng.uniform(0.0, 3.0)
    z = top - tall / 2.0
    aside = math.tan(math.radians(rng.choice([0.0, rng.uniform(-20.0, 20.0)]))) * 400.0
    route = f"[[0, {web}, {z:.3f}], [{aside:.2f}, {400 + web}, {z:.3f}]]"
    return (
        HEAD
        + profile("S", "[[-600, 0, 0], [600, 0, 0]]", main, 'back = "right"')
        + profile("M", route, branch, f'{ways}\nfinish = {{ cut = "plain" }}')
    )


def below(bevel: Bevel, frame: Frame) -> m3.Manifold:
    """All that a bevel takes."""
    normal = np.array(bevel.plane.normal)
    own = Frame.along(np.array([bevel.plane.at, 0.0, 0.0]), normal, np.array([0.31, 0.87, 0.38]))
    half = m3.Manifold.cube([2 * REACH, 2 * REACH, REACH], True).translate([0, 0, -REACH / 2])
    axes = [frame.outside(axis) - frame.origin for axis in own.axes]
    return in_frame(half, Frame(frame.outside(own.origin), *axes))


def body_of(part: ProfilePart, end: ProfileEnd) -> m3.Manifold:
    """The branch near its start."""
    shape = part.cross
    body = swept(shape.outline, end.frame, end.cut.sawn.at - 1.0, 200.0)
    if end.kind == "notch":
        ground = (
            end.ground or tuple(math.nan for _ in roots_of(shape.outline)) if isinstance(shape.outline, Outline) else ()
        )
        body = branch_body(shape, end.cut, ground, end.frame)
    else:
        sawn = Bevel(end.cut.sawn, (), 0.0, 0.0, 0.0, 0.0)
        body -= below(sawn, end.frame)
    for bevel in end.bevels:
        body -= below(bevel, end.frame)
    return body


def measured(seed: int) -> tuple[float, float, bool]:
    """How deep the branch lies in the main, mean over its section, how much farther it may go before it meets it, mm,
    and whether it is bevelled."""
    parts = parts_of(nested(seed))
    part, main = parts["M"], parts["S"]
    end = part.ends[0]
    solid = swept(main.cross.outline, main.frame, 0.0, main.axis)
    body = body_of(part, end)
    deep = max((body ^ solid).volume(), 0.0) / part.cross.area
    for longer in (0.02, 0.1, 0.5, 2.0, 10.0):
        if (body.translate(tuple(-longer * end.frame.x)) ^ solid).volume() > 0.001 * part.cross.area * longer:
            return deep, longer, bool(end.bevels)
    return deep, math.inf, bool(end.bevels)


@pytest.mark.slow
def test_random_ends_in_a_root_clear_it_and_reach_the_web() -> None:
    first = first_seed(5100)
    found = [measured(first + i) for i in range(how_many(400, 24))]
    deep, gap, bevelled = (np.array(column) for column in zip(*found, strict=True))
    print(f"deep {deep.max():.5f}, gap {gap.max():.3f}, bevelled {int(bevelled.sum())} of {len(found)}")
    assert deep[bevelled].max() < 0.005
    # Of the rest as in test_notched_profiles: what touches a face along a skew end.
    assert deep.max() < 0.02
    # A thin flat may reach the web but for what weld fills.
    assert gap[bevelled].max() <= 0.5
    assert bevelled.mean() > 0.5


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_channel_within_the_next_larger_one(units: str) -> None:
    """UPN 80 between two UPN 100: it is sawn to their webs, both its flanges ground to clear the root.

    By hand: beside the web the flange of UPN 100 is 8.5 + (25 - 6) x 0.08 = 10.02 thick, so its inside begins 39.98
    from the middle; its root R8.5 in a corner of 94.57 degrees is tangent 7.846 from it; a line from tangent to
    tangent is 7.26 from the web at the outside of UPN 80, 40 from the middle.
    """
    text = HEAD.replace('"mm"', f'"{units}"') + (
        profile("S1", '[["0 mm", "0 mm", "0 mm"], ["1800 mm", "0 mm", "0 mm"]]', "UPN 100", 'back = "right"')
        + profile("S2", '[["0 mm", "1100 mm", "0 mm"], ["1800 mm", "1100 mm", "0 mm"]]', "UPN 100", 'back = "left"')
        + profile("M", '[["1200 mm", "0 mm", "0 mm"], ["1200 mm", "1100 mm", "0 mm"]]', "UPN 80", 'back = "front"')
    )
    part, end = end_of(text)
    assert part.length == pytest.approx(1088.0)
    assert [each.kind for each in part.ends] == ["face", "face"]
    for each in part.ends:
        assert [bevel.faces for bevel in each.bevels] == [("flange a outside",), ("flange b outside",)]
        for bevel in each.bevels:
            assert bevel.back == pytest.approx(7.26, abs=0.01)
            assert bevel.root == 8.5
    # The web's outside, 7.87 of it at either side along the bevel, and the inside of each flange, 45 less the web.
    assert end.weld == pytest.approx(80.0 - 2.0 * 7.87 + 2.0 * math.hypot(7.26, 7.87) + 2.0 * (45.0 - 6.0), abs=0.05)


def test_what_is_no_bevel() -> None:
    """A flat thinner than the root is high cannot reach the web: it keeps its slanted cut; one clear of the root too is
    sawn square."""
    main = profile("S", "[[-600, 0, 0], [600, 0, 0]]", "UPN 100", 'back = "right"')
    _, thin = end_of(HEAD + main + profile("M", "[[0, 6, 38], [0, 300, 38]]", "flat 40 x 3", 'width = "front"'))
    assert not thin.bevels
    assert thin.root == 8.5
    assert not thin.is_square
    _, clear = end_of(HEAD + main + profile("M", "[[0, 6, 20], [0, 300, 20]]", "flat 40 x 5", 'width = "front"'))
    assert clear.kind == "face"
    assert not clear.bevels
    assert clear.is_square
