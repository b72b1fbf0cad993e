"""Speed of copes: one line of 360 points, the same line by mesh booleans, and frames of many tubes."""

import math
import timeit
from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from jobs import TUBE_RULES, findings
from tube_meshes import bent_bar, cut_tube, seen_in, straight_bar

from fabgen.checks.checked import Checked
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.elbow import Elbow
from fabgen.geometry.tube.profile import Profile
from fabgen.geometry.tube.solids import Solid
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.shape.cuts import cut_line
from fabgen.parts.shape.sections import section_profile, section_solid
from fabgen.parts.single_cope import simple_cope
from fabgen.parts.tube.tube import pieces
from fabgen.shop.section import Section

ROUND = Section("round", 48.3, 48.3, 3.2)
SQUARE = Section("rectangular", 40.0, 40.0, 3.0, 6.0)
WIDE = Section("round", 60.3, 60.3, 3.2)
BOX = Section("rectangular", 80.0, 60.0, 4.0, 8.0)
AXES = np.eye(3)
BRANCHES = {"round": ROUND, "rectangular": SQUARE}
MAINS = ["round", "rectangular", "bend", "rectangular bend"]
SIDE = np.array([-math.sin(math.pi / 3.0), math.cos(math.pi / 3.0), 0.0])
ALONG = np.array([math.cos(math.pi / 3.0), math.sin(math.pi / 3.0), 0.0])
"""The main's direction, at 60 degrees to the branch, and what is square to it in the joint's plane."""
HERE = Frame(np.array([0.0, 0.0, -3.0]), *AXES)
"""The branch's frame: along x, 3 mm off the main's axis."""


def main_solid(name: str) -> Solid:
    """A main of 60 degrees through the origin; a bend leaves the joint to either side, its inside up."""
    section = WIDE if name in ("round", "bend") else BOX
    if "bend" not in name:
        return section_solid(section, Frame(np.zeros(3), ALONG, np.cross(SIDE, ALONG), SIDE))
    sizes = (section.width / 2.0, section.depth / 2.0)
    turned = math.radians(-45.0)
    out = -200.0 * AXES[2]
    bend = Elbow(-out, np.cross(out, ALONG) / 200.0, out, math.pi / 2.0, *sizes, section.corner or sizes[0])
    return Elbow(bend.centre, bend.axis, bend.turned(turned), bend.angle, *sizes, section.corner or sizes[0])


def main_mesh(name: str) -> m3.Manifold:
    """The same as a mesh of 360 flats round (a bend: 240, its length in steps of half a degree), so fine that its
    flats lie within 3 micrometres of the surface.  Its line is still the coarser one, by a tenth of a millimetre
    here and there, as it has corners only where edges cross flats: the comparison favours the mesh."""
    section = WIDE if name in ("round", "bend") else BOX
    if "bend" not in name:
        return straight_bar(section, np.zeros(3), ALONG, SIDE, 400.0, 360)
    solid = main_solid(name)
    assert isinstance(solid, Elbow)
    out = solid.start / solid.radius
    return bent_bar(section, solid.centre, out, np.cross(solid.axis, out), 200.0, math.pi / 2.0, 1.0)[0]


def line_by_mesh(profile: Profile, main: m3.Manifold) -> Array:
    """The line of `fit = "clear"` by a boolean: a blank tube less its main, then at each place
    the greatest x of the edge that the main has left."""
    blank = cut_tube(profile, np.zeros(len(profile.phi)), HERE)
    blank = blank.warp_batch(lambda points: np.where(points[:, :1] > 0.5, [160.0, 0, 0] + points * [0, 1, 1], points))
    edge = seen_in(blank - main, HERE)
    points = np.asarray(edge.to_mesh64().vert_properties)[:, :3]
    points = points[(points[:, 0] > 1e-6) & (points[:, 0] < 159.0)]
    place = np.rint(np.degrees(np.arctan2(points[:, 2], points[:, 1]))).astype(int) % 360
    line = np.full(360, np.nan)
    np.fmax.at(line, place, points[:, 0])
    return line


@pytest.mark.parametrize("onto", MAINS)
@pytest.mark.parametrize("branch", BRANCHES)
def test_one_line(benchmark: Any, branch: str, onto: str) -> None:
    """360 places (and a rectangular tube's corners), the wall clear of the main."""
    profile, main = section_profile(BRANCHES[branch]), main_solid(onto)
    benchmark(cut_line, profile, HERE, [main], "clear")


@pytest.mark.parametrize("onto", MAINS)
def test_how_many_times_quicker(onto: str) -> None:
    """Best of many runs of either, printed: the two take turns, so that a busy machine slows both."""
    profile, main, mesh = section_profile(ROUND), main_solid(onto), main_mesh(onto)
    by_line, by_mesh = math.inf, math.inf
    for _ in range(8):
        by_line = min(by_line, *timeit.repeat(lambda: cut_line(profile, HERE, [main], "clear"), number=1, repeat=20))
        by_mesh = min(by_mesh, *timeit.repeat(lambda: line_by_mesh(profile, mesh), number=1, repeat=2))
    off = np.abs(line_by_mesh(profile, mesh) - cut_line(profile, HERE, [main], "clear").x)
    print(
        f"\nround onto {onto}: line {by_line * 1e3:.3f} ms, by mesh booleans {by_mesh * 1e3:.1f} ms, "
        f"{by_mesh / by_line:.0f} times; the mesh's line is off by {np.nanmedian(off):.4f} mm in the middle, "
        f"{np.nanmax(off):.3f} mm at most"
    )


@pytest.mark.parametrize("onto", MAINS)
def test_the_same_line_by_mesh_booleans(benchmark: Any, onto: str) -> None:
    """A round branch; the meshes stand ready, the boolean and reading the edge are timed."""
    profile, main = section_profile(ROUND), main_mesh(onto)
    by_mesh = benchmark(line_by_mesh, profile, main)
    found = cut_line(profile, HERE, [main_solid(onto)], "clear").x
    assert np.nanmedian(np.abs(by_mesh - found)) < 0.05


def test_one_cope_with_its_saw(benchmark: Any) -> None:
    benchmark(simple_cope, ROUND, WIDE, math.radians(60.0), 3.0)


def lattice(bays: int) -> Definitions:
    """A tower of square bays: four posts, and in each bay four rails and four braces."""
    side, rise = 600.0, 500.0
    corners = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]
    tubes: list[dict[str, Any]] = [
        {"mark": f"P{i}", "section": "60.3 x 3.2", "route": [[x, y, -50.0], [x, y, bays * rise + 50.0]]}
        for i, (x, y) in enumerate(corners)
    ]
    for bay in range(bays):
        low, high = bay * rise, (bay + 1) * rise
        for i, (x, y) in enumerate(corners):
            u, v = corners[(i + 1) % 4]
            tubes.append({"mark": f"R{bay}-{i}", "section": "42.4 x 2.6", "route": [[x, y, high], [u, v, high]]})
            tubes.append({"mark": f"D{bay}-{i}", "section": "26.9 x 2.3", "route": [[x, y, low], [u, v, high]]})
    return Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes})


@pytest.mark.parametrize("bays", [31, *(pytest.param(bays, marks=pytest.mark.slow) for bays in (62, 124, 249))])
def test_tower(benchmark: Any, bays: int) -> None:
    """About 250, 500, 1,000 and 2,000 tubes: built, coped and checked."""
    job = lattice(bays)
    found = benchmark.pedantic(lambda: findings(Checked(job, pieces(job)), TUBE_RULES), rounds=2)
    assert not any(finding.level == "stop" for finding in found)
