"""Random joints over all pairs of sections against solids: manifold3d (mesh booleans, independent).

Each joint is a job of two tubes, so that it goes all the way from the route to the cut line.  The
main is meshed from the job's figures alone; the branch is meshed from its cut line, cut square
through the wall at each place, as DEVELOPERS.md says of `fit = "clear"`.  Then the two overlap by
nothing but tessellation, and the branch pushed 0.05 mm against the main touches it all the way
round: so nowhere is a gap wider than that at the edge that touches.

The line is that of the piece, straight from place to place as it is drawn: chords between places dip
into the main by a few micrometres.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from random_seeds import first_seed, how_many
from tube_meshes import AROUND, BENT_AROUND, Array, bent_bar, cut_tube, half_space, seen_in, straight_bar, widest_gap

from fabgen.geometry.space.frame import Frame, upright
from fabgen.geometry.tube.profile import Profile
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import WorkedEnd
from fabgen.parts.shape.sections import end_profile
from fabgen.parts.tube.tube import pieces
from fabgen.shop.section import Section

GAP = 0.05
LONGEST = 3.0
"""Way round without contact, mm: a few places of the mesh."""
MAINS = ("round", "rectangular", "bent round", "bent rectangular", "plane")
BRANCHES = ("round", "rectangular")
UP = np.array([0.3, 0.2, 1.0])


@dataclass(frozen=True)
class Case:
    """One random joint."""

    main: str
    branch: str
    seed: int

    @property
    def name(self) -> str:
        return f"{self.branch}-on-{self.main}-{self.seed}".replace(" ", "-")


@dataclass(frozen=True, eq=False)
class Built:
    """Its job, the main's meshes, and what the test wants to know of it."""

    job: dict[str, Any]
    main: list[m3.Manifold]
    frame: Frame
    """What booleans are made in: along a straight main, or along the branch, where long triangles
    then lie along an axis, which is fast."""
    tessellation: float
    """How far the main's mesh may lie off the true surface, mm."""


def cases(count: int, first: int = 0) -> list[Case]:
    pairs = [(main, branch) for main in MAINS for branch in BRANCHES]
    return [Case(*pairs[i % len(pairs)], seed=first + i) for i in range(count)]


# -- random joints -----------------------------------------------------------------------
def build(case: Case) -> Built:
    random = np.random.default_rng((11, case.seed))
    own = random_section(random, case.branch, random.uniform(12.0, 45.0))
    if case.main == "plane":
        return on_plane(random, own)
    # A main that the branch cannot miss: it reaches as far from its axis as the branch does, or farther.
    shape = "round" if case.main.endswith("round") else "rectangular"
    under = random_section(random, shape, own.reach * random.choice([1.02, random.uniform(1.02, 2.5)]))
    spare = min(under.width, under.depth) / 2.0 - own.reach
    offset = random.uniform(-1.0, 1.0) * max(0.0, spare)
    angle = math.radians(random.uniform(25.0, 90.0))
    if case.main.startswith("bent"):
        return on_bend(random, own, under, angle, offset)
    origin, along = random.uniform(-50.0, 50.0, 3), direction(random)
    turn = random.uniform(-180.0, 180.0)
    toward = leaning(random, along, angle)
    aside = np.cross(along, toward)
    point = origin + offset * aside / np.linalg.norm(aside)
    main = {
        "mark": "M",
        "section": text_of(under),
        "route": [(origin + s * along).tolist() for s in (-400.0, 400.0)],
        "turn": turn,
    }
    top = upright(origin, along, math.radians(turn)).z
    mesh = straight_bar(under, origin, along, top)
    frame = Frame.along(origin, along, top)
    return Built(a_job(main, own, point, toward, random), [mesh], frame, facets(under))


def on_bend(random: np.random.Generator, own: Section, under: Section, angle: float, offset: float) -> Built:
    """A bend in a level plane, so that a rectangular tube lies flat or on edge in it."""
    turned = math.radians(random.uniform(40.0, 120.0))
    radius = under.width * random.uniform(1.5, 4.0)
    heading = random.uniform(0.0, 2.0 * math.pi)
    ahead = np.array([math.cos(heading), math.sin(heading), 0.0])
    left = np.array([-math.sin(heading), math.cos(heading), 0.0])
    arm = radius * math.tan(turned / 2.0) + 600.0
    corner = random.uniform(-50.0, 50.0, 3)
    after = math.cos(turned) * ahead + math.sin(turned) * left
    route = [corner - arm * ahead, corner, corner + arm * after]
    main = {
        "mark": "M",
        "section": text_of(under),
        "route": [p.tolist() for p in route],
        "bend_radius": radius,
        "turn": 90.0,
    }
    begins = corner - (arm - 600.0) * ahead
    centre = begins + radius * left
    # Turned by 90 degrees from upright the first figure lies level: in the plane of the bend.
    meshes = bent_bar(under, centre, -left, ahead, radius, turned, 600.0)
    share = random.uniform(0.1, 0.9) * turned
    place = centre + radius * (-math.cos(share) * left + math.sin(share) * ahead)
    along = math.cos(share) * ahead + math.sin(share) * left
    line = along_bend(centre, left, ahead, radius, turned)
    beyond = 1.5 * (under.reach + own.reach) / math.sin(angle)
    room = under.reach + own.reach + 5.0
    toward = leaning(random, along, angle)
    while not clears(place, toward, line, beyond, room):
        toward = leaning(random, along, angle)
    aside = np.cross(along, toward)
    point = place + offset * aside / np.linalg.norm(aside)
    error = facets(under, BENT_AROUND) + (radius + under.reach) * (1.0 - math.cos(math.pi / AROUND))
    return Built(a_job(main, own, point, toward, random), meshes, Frame.along(point, toward, aside), error)


def along_bend(centre: Array, left: Array, ahead: Array, radius: float, turned: float) -> Array:
    """Places of the bend's centreline and its arms, every 5 mm or so, (n, 3)."""

    def at(angle: Array | float) -> Array:
        return centre + radius * (np.outer(-np.cos(angle), left) + np.outer(np.sin(angle), ahead))

    s = np.arange(0.0, 605.0, 5.0)[:, None]
    last = math.cos(turned) * ahead + math.sin(turned) * left
    bend = at(np.linspace(0.0, turned, math.ceil(radius * turned / 5.0)))
    return np.vstack((bend, at(0.0) - s * ahead, at(turned) + s * last))


def clears(place: Array, way: Array, line: Array, beyond: float, room: float) -> bool:
    """Whether a branch from `place` stays clear of the main's other arm: `beyond` mm on, its axis
    comes no nearer to the centreline than `room`."""
    x = (line - place) @ way
    off = np.linalg.norm(line - place - np.maximum(x, beyond)[:, None] * way, axis=1)
    return bool((off[x > 0.0] > room).all())


def on_plane(random: np.random.Generator, own: Section) -> Built:
    normal, point = direction(random), random.uniform(-50.0, 50.0, 3)
    toward = leaning(random, normal, math.radians(random.uniform(0.0, 65.0)))
    branch = {
        "mark": "B",
        "section": text_of(own),
        "route": [point.tolist(), (point + 1600.0 * toward).tolist()],
        "turn": random.uniform(-180.0, 180.0),
        "start": {"plane": {"at": point.tolist(), "normal": normal.tolist()}},
    }
    job = {"job": {"title": "t", "number": "1", "units": "mm"}, "tube": [branch]}
    return Built(job, [half_space(point, normal)], Frame.along(point, normal, toward + UP), 0.0)


def a_job(
    main: dict[str, Any], own: Section, point: Array, toward: Array, random: np.random.Generator
) -> dict[str, Any]:
    branch = {
        "mark": "B",
        "section": text_of(own),
        "route": [point.tolist(), (point + 1600.0 * toward).tolist()],
        "turn": random.uniform(-180.0, 180.0),
        # Said outright: an end wholly on a flat face is sawn straight else, which the meshes below are not.
        "start": {"onto": ["M"], "fit": "clear"},
    }
    return {"job": {"title": "t", "number": "1", "units": "mm"}, "tube": [main, branch]}


def random_section(random: np.random.Generator, shape: str, reach: float) -> Section:
    """A section whose least half size is `reach` (round), or that a circle of `reach` fits in."""
    wall = reach * random.uniform(0.06, 0.4)
    if shape == "round":
        return rounded(Section("round", 2.0 * reach, 2.0 * reach, wall))
    sizes = 2.0 * reach * np.array([1.0, random.uniform(1.0, 2.0)])
    random.shuffle(sizes)
    corner = random.uniform(wall * 1.05, max(wall * 1.1, 0.9 * reach))
    return rounded(Section("rectangular", *sizes, wall, min(corner, 0.95 * reach)))


def rounded(section: Section) -> Section:
    """With the figures that its text has."""
    return Section(section.shape, *(round(v, 3) for v in (section.width, section.depth, section.wall, section.corner)))


def text_of(section: Section) -> Section:
    return section  # job models take a section as it is


def direction(random: np.random.Generator) -> Array:
    v = random.normal(size=3)
    return np.asarray(v / np.linalg.norm(v))


def leaning(random: np.random.Generator, axis: Array, angle: float) -> Array:
    """A direction at `angle` to the axis."""
    side = np.cross(axis, direction(random))
    side /= np.linalg.norm(side)
    return np.asarray(math.cos(angle) * axis + math.sin(angle) * side)


def facets(section: Section, around: int = AROUND) -> float:
    """How far a mesh's faces lie within the true surface, mm."""
    radius = section.width / 2.0 if section.is_round else section.corner
    return radius * (1.0 - math.cos(math.pi / around))


# -- the check ----------------------------------------------------------------------------
@dataclass(frozen=True)
class Measured:
    """Mean depth of the overlap over the wall's edge, least gap, and the longest way round that
    stays clear when the branch is pushed; mm."""

    overlap: float
    gap: float
    clear: float


def measured(built: Built) -> Measured:
    made = pieces(Definitions.model_validate(built.job))
    part = made[-1].length_part
    assert part is not None
    end = part.ends[0]
    assert not end.line.misses
    profile = end_profile(part.section, end)
    x = outer_edge(end, profile) if end.cut == "plane" else end.line.x
    main = [seen_in(mesh, built.frame) for mesh in built.main]
    tube = seen_in(cut_tube(profile, x, end.frame), built.frame)
    edge = part.section.perimeter * part.section.wall / math.sin(end.seats[0].angle)
    pushed = seen_in(cut_tube(profile, x, end.frame, GAP + built.tessellation), built.frame)
    own = within(end.frame, built.frame)
    return Measured(
        sum((tube ^ mesh).volume() for mesh in main) / edge,
        min(tube.min_gap(mesh, 1.0) for mesh in main),
        widest_gap([pushed ^ mesh for mesh in main], profile, own),
    )


def within(frame: Frame, outer: Frame) -> Frame:
    """A frame in another's coordinates."""
    return Frame(outer.inside(frame.origin), *(outer.axes @ axis for axis in (frame.x, frame.y, frame.z)))


def outer_edge(end: WorkedEnd, profile: Profile) -> Array:
    """The line of an end cut to a plane, on a mesh that is cut square through the wall: a saw cut is not, so the
    inner edge lets the outer one stand clear."""
    fit, *_ = np.linalg.lstsq(np.column_stack((profile.skin, np.ones(len(profile.skin)))), end.line.x, rcond=None)
    inner = profile.skin + profile.depth[:, None] * profile.inward
    return np.maximum(end.line.x, np.column_stack((inner, np.ones(len(inner)))) @ fit)


def check(case: Case) -> Measured:
    built = build(case)
    found = measured(built)
    assert found.overlap < 0.002 + built.tessellation, case.name
    assert found.gap < GAP, case.name
    assert found.clear < LONGEST, case.name
    return found


@pytest.mark.parametrize("case", cases(40), ids=lambda case: case.name)
def test_a_joint(case: Case) -> None:
    check(case)


def test_the_check_can_fail() -> None:
    """A cut to the outside line alone leaves the wall's inner edge in the main; one 0.1 mm too far, a gap."""
    built = build(Case("round", "round", 3))
    outside = {**built.job, "tube": [built.job["tube"][0], {**built.job["tube"][1]}]}
    outside["tube"][1]["start"] = {"onto": ["M"], "fit": "outside"}
    assert measured(replace(built, job=outside)).overlap > 0.05
    gapped = {**built.job, "tube": [built.job["tube"][0], {**built.job["tube"][1]}]}
    gapped["tube"][1]["start"] = {"onto": ["M"], "fit": "clear", "gap": 0.2}
    assert measured(replace(built, job=gapped)).clear > 20.0


@pytest.mark.slow
@pytest.mark.parametrize("block", range(4))
def test_very_many_joints(block: int) -> None:
    """2,000 with --full."""
    count = how_many(500, 50)
    found = [check(case) for case in cases(count, first=first_seed(1000) + 500 * block)]
    print(
        f"\n{count} joints: overlap over the wall's edge "
        f"{max(f.overlap for f in found) * 1e3:.2f} micrometres at most, "
        f"least gap {max(f.gap for f in found) * 1e3:.2f} micrometres at most, "
        f"longest way round clear when pushed {GAP} mm {max(f.clear for f in found):.2f} mm"
    )
