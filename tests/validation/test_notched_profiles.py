"""Notched ends of profiles against solids by manifold3d, an independent library.

The branch is its outline swept, less what the developed edges of its limbs cut off square through the metal; the main
is its own outline swept.  Nothing of the one may be inside the other, and each limb must reach what it sits on.
"""

from __future__ import annotations

import math
import random

import manifold3d as m3
import numpy as np
import pytest
from random_seeds import first_seed, how_many

from fabgen.geometry.plane.outline import Circle, Loop, Outline
from fabgen.geometry.profile.corners import with_sharp_toes
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.end_cut import EndCut, LimbEdge, notched_end
from fabgen.geometry.profile.limbs import Limb, marked_limbs, roots_of
from fabgen.geometry.profile.notch import LimbLine, notch_lines, roots_ground
from fabgen.geometry.profile.prism import ProfilePrism
from fabgen.geometry.profile.shapes import angle, channel, flat, tee
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism, Solid

FINE = 0.001
"""Of chords, mm."""
REACH = 600.0
SHAPES = (
    angle(40, 40, 4, 6, 3),
    angle(50, 50, 5, 7, 3.5),
    angle(30, 30, 3, 5, 2.5),
    angle(60, 40, 5, 6, 3),
    angle(80, 60, 7, 8, 4),
    channel(80, 45, 6, 8, 8, 4),
    channel(50, 38, 5, 7, 7, 3.5),
    channel(100, 50, 6, 8.5, 9, 4.5),
    channel(80, 45, 6, 8, 8, 4, slope=0.08),
    tee(60, 60, 7, 7, 7, 3.5, 1.75, slope=0.02),
    tee(40, 40, 5, 5, 5, 2.5),
    tee(50, 50, 6, 6, 6, 3),
    flat(40, 5),
    flat(50, 8),
)

OWN = Frame(np.zeros(3), *np.eye(3))
TUBES = (
    RoundBar(OWN.origin, OWN.x, 24.15),
    RoundBar(OWN.origin, OWN.x, 38.05),
    RoundedPrism(OWN, 40.0, 60.0, 4.5),
    RoundedPrism(OWN, 50.0, 50.0, 3.0),
)
TOES = {
    "leg a outside": (True, False),
    "leg b outside": (False, True),
    "flange a outside": (True, False),
    "web outside": (False, False),
    "flange b outside": (False, True),
    "flange outside": (True, True),
    "stem side a": (False, True),
    "face a": (True, True),
}
"""Whether a limb begins, and whether it ends, at a toe and not at another limb."""


def swept(outline: Loop, frame: Frame, start: float, end: float) -> m3.Manifold:
    """An outline in (y, z) of a frame, from start to end along its x."""
    section = m3.CrossSection([outline.points(FINE)])
    return in_frame(m3.Manifold.extrude(section, end - start).translate([0, 0, start]), frame)


def in_frame(body: m3.Manifold, frame: Frame) -> m3.Manifold:
    """A body made with z along the profile and its outline in (x, y), where it stands in space."""
    return body.transform(np.column_stack((frame.y, frame.z, frame.x, frame.origin)))


def behind(limb: Limb, polygon: Array, depth: float, frame: Frame) -> m3.Manifold:
    """A polygon of (station, x) on a flat limb, from just outside its face to a depth below it."""
    if m3.CrossSection([polygon]).area() <= 1e-9:
        return m3.Manifold()
    skin, inward = (v[0] for v in limb.skin(np.zeros(1)))
    along = np.array([inward[1], -inward[0]])
    across = np.vstack((frame.y, frame.z))
    body = m3.Manifold.extrude(m3.CrossSection([polygon]), depth + 1.0).translate([0, 0, -1.0])
    origin = frame.origin + skin @ across
    return body.transform(np.column_stack((along @ across, frame.x, inward @ across, origin)))


def cut_off(edge: LimbEdge, end: EndCut, frame: Frame) -> m3.Manifold:
    """What the edge of a limb cuts off, square through it."""
    limb, low = edge.limb, end.longest - 1.0
    # A tapered flange is thickest beside the web.
    depth = float(limb.depth(np.linspace(0.0, limb.width, 201)).max()) + 1e-3
    begins_free, ends_free = TOES[limb.name]
    points = np.column_stack((edge.station, edge.x))
    first, last = points[0] - [0.5 * begins_free, 0.0], points[-1] + [0.5 * ends_free, 0.0]
    polygon = np.vstack(([first[0], low], [last[0], low], last, points[::-1], first))
    body = behind(limb, polygon, depth, frame)
    for hole in edge.holes(end.hole):
        turn = np.linspace(0, 2 * math.pi, 96, endpoint=False)
        ring = np.column_stack((np.cos(turn), np.sin(turn))) * hole.diameter / 2 + (hole.station, hole.x)
        body += behind(limb, ring, depth, frame)
    return body


def branch_body(shape: CrossSection, end: EndCut, roots: tuple[float, ...], frame: Frame) -> m3.Manifold:
    """Sawn, its root ground off flush as far as is said, and each limb cut to its edge."""
    body = swept(shape.outline, frame, end.longest, REACH)
    for root, x in zip(roots_of(shape.outline), roots, strict=True):
        if x > end.longest:
            body -= swept(root.outline, frame, end.longest - 1.0, x)
    for edge in end.edges:
        if not edge.limb.edge.is_arc:
            body -= cut_off(edge, end, frame)
    return body


def turned(axis: Array, angle_: float) -> Array:
    """Rotation matrix about a unit axis."""
    k = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    return np.asarray(np.eye(3) + math.sin(angle_) * k + (1 - math.cos(angle_)) * k @ k)


Main = CrossSection | RoundBar | RoundedPrism


def random_joint(seed: int) -> tuple[CrossSection, Frame, Main, Frame, float]:
    """A branch and the main it sits on, both with their frames, and the diameter of the holes at inner corners.

    Half of them stand square, their faces parallel; the rest lean up to 40 degrees along the main, 25 degrees out of
    square across it and 30 degrees turned about themselves.  One main in five is a tube.
    """
    rng = random.Random(seed)
    branch = rng.choice(SHAPES)
    main: Main = rng.choice(SHAPES if rng.random() < 0.8 else TUBES)
    roll = turned(OWN.x, math.pi / 2 * rng.randrange(4)) if isinstance(main, CrossSection) else np.eye(3)
    main_frame = Frame(np.zeros(3), *(roll @ axis for axis in np.eye(3)))
    off = np.mean(main.outline.points(), axis=0) if isinstance(main, CrossSection) else np.zeros(2)
    middle = main_frame.outside(np.array([0.0, *off]))
    across = rng.choice([np.array([0.0, 1, 0]), np.array([0.0, 0, 1]), np.array([0.0, -1, 0]), np.array([0.0, 0, -1])])
    frame = _rolled(Frame.along(middle, across, OWN.x), math.pi / 2 * rng.randrange(4))
    if rng.random() < 0.5:
        lean, tilt, twist = (math.radians(rng.uniform(-most, most)) for most in (40.0, 25.0, 30.0))
        side = np.cross(across, OWN.x)
        turn = turned(OWN.x, tilt) @ turned(side, lean)
        frame = _rolled(Frame(middle, *(turn @ axis for axis in frame.axes)), twist)
    y, z = np.mean(branch.outline.points(), axis=0)
    shift = np.array([0.0, rng.uniform(-12, 12) - y, rng.uniform(-12, 12) - z])
    frame = Frame(frame.outside(shift), frame.x, frame.y, frame.z)
    return branch, frame, main, main_frame, rng.choice([0.0, 4.0, 6.0])


def as_solids(main: Main, frame: Frame) -> tuple[Solid, m3.Manifold, m3.Manifold]:
    """A main as ends are cut to it, as it is, and as it is with sharp toes and roots filled to their chords."""
    if isinstance(main, CrossSection):
        cut_to = with_sharp_toes(main)
        filled = Outline.polygon([(v.x, v.y) for v in cut_to.vertices])
        exact, rough = (swept(outline, frame, -REACH, REACH) for outline in (main.outline, filled))
        return ProfilePrism(frame, cut_to), exact, rough
    if isinstance(main, RoundBar):
        shape: Loop = Circle(0.0, 0.0, 2.0 * main.radius)
    else:
        shape = Outline.rectangle(main.width, main.depth, main.corner).moved(-main.width / 2.0, -main.depth / 2.0)
    body = swept(shape, frame, -REACH, REACH)
    return main, body, body


def _rolled(frame: Frame, by: float) -> Frame:
    turn = turned(frame.x, by)
    return Frame(frame.origin, frame.x, turn @ frame.y, turn @ frame.z)


def overlap_and_gap(seed: int) -> tuple[float, float]:
    """Mean depth by which the branch overlaps the main over its section, and the widest gap at its seated lines, mm."""
    branch, frame, main, main_frame, hole = random_joint(seed)
    solid, exact, rough = as_solids(main, main_frame)
    lines = notch_lines(marked_limbs(branch), frame, [solid])
    if not any(line.is_cut for line in lines):
        return 0.0, 0.0
    end = notched_end(lines, hole=hole)
    roots = roots_ground(branch.outline, frame, [solid])
    overlap = max((branch_body(branch, end, roots, frame) ^ exact).volume(), 0.0) / branch.outline.area
    return overlap, widest_gap(lines, frame, rough)


def widest_gap(lines: tuple[LimbLine, ...], frame: Frame, main: m3.Manifold) -> float:
    """By how much a narrow strip of each limb would have to be longer to run into the main, mm: tried in steps."""
    worst = 0.0
    for line in lines:
        limb = line.limb
        for station in np.linspace(0.7, limb.width - 0.7, 9):
            beside = line.at(np.array([station - 0.05, station, station + 0.05]))
            if not np.isfinite(beside).all() or np.ptp(beside) > 0.3:
                continue
            x, depth = float(beside[1]), float(limb.depth(np.array([station]))[0])
            for longer in (0.01, 0.02, 0.05, 0.2, 1.0, 5.0):
                first, last = station - 0.005, station + 0.005
                box = np.array([[first, x - longer], [last, x - longer], [last, x], [first, x]])
                strip = behind(limb, box, depth, frame) - behind(limb, box, 0.0, frame)
                if (strip ^ main).volume() > 0.0:
                    worst = max(worst, longer)
                    break
            else:
                worst = max(worst, math.inf)
    return worst


def measured(count: int) -> tuple[Array, Array]:
    first = first_seed(1300)
    both = np.array([overlap_and_gap(first + i) for i in range(count)])
    return both[:, 0], both[:, 1]


@pytest.mark.slow
def test_random_notched_ends_clear_and_reach_what_they_sit_on() -> None:
    overlap, gap = measured(how_many(300, 40))
    print(
        f"overlap worst {overlap.max():.5f} mean {overlap.mean():.6f}; gap worst {gap.max():.3f} mean {gap.mean():.4f}"
    )
    # What reaches no deeper than 0.005 mm square to a face only touches it; along a shallow branch that is more.
    assert overlap.max() < 0.01
    assert overlap.mean() < 0.001
    assert gap.max() <= 0.05


@pytest.mark.parametrize("hole", [0.0, 5.0])
def test_an_angle_flush_between_two_angles(hole: float) -> None:
    """Worked by hand: top legs flush, so the flat leg ends at the other's toe and the upright leg runs in under it."""
    shape = angle(40, 40, 4, 6, 3)
    main = Frame(np.zeros(3), np.array([-1.0, 0, 0]), np.array([0, 1.0, 0]), np.array([0, 0, -1.0]))
    frame = Frame(np.array([100.0, 0, 0]), np.array([0, 1.0, 0]), np.array([1.0, 0, 0]), np.array([0, 0, -1.0]))
    mains = [ProfilePrism(main, with_sharp_toes(shape))]
    lines = notch_lines(marked_limbs(shape), frame, mains)
    end = notched_end(lines, hole=hole)
    upright, flat_leg = end.edges
    # From the toe: on the web's inside, round the root radius by a chamfer of 6 mm, and up to the flat leg's toe.
    expected = np.array([[0.0, 4.0], [30.0, 4.0], [36.0, 10.0], [36.0, 40.0], [40.0, 40.0]])
    assert np.column_stack((upright.station, upright.x)) == pytest.approx(expected, abs=2e-3)
    assert np.column_stack((flat_leg.station, flat_leg.x)) == pytest.approx(np.array([[0.0, 40.0], [40.0, 40.0]]))
    assert upright.left == pytest.approx(36.0, abs=1e-3)
    assert flat_leg.left == 0.0
    assert end.has_sharp_corner == (hole == 0.0)
    roots = roots_ground(shape.outline, frame, mains)
    assert (branch_body(shape, end, roots, frame) ^ swept(shape.outline, main, -100, 300)).volume() < 0.1
