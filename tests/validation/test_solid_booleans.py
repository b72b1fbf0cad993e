"""Copes against solids: manifold3d (an independent library of exact mesh booleans).

A tube is meshed from its cut line alone, cut square through the wall at each place as DEVELOPERS.md
says of `fit = "clear"`, and the main is the library's own cylinder.  Then: branch and main
overlap by nothing but tessellation, they touch within 0.02 mm, and pushed 0.05 mm along the
branch into the main they overlap all the way round, so nowhere is a gap wider than that.
"""

import math

import manifold3d as m3
import numpy as np
import pytest
from random_seeds import first_seed, how_many

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import CutLine
from fabgen.parts.single_cope import simple_cope
from fabgen.shop.section import Section

FAR = 1000.0


def tube_solid(section: Section, line: CutLine, push: float = 0.0) -> m3.Manifold:
    """A round tube from its cut line out to where x = FAR."""
    n = len(line.phi)
    ring = np.column_stack((np.cos(line.phi), np.sin(line.phi)))
    x = np.where(np.isnan(line.x), 0.0, line.x) - push

    def points(along: Array, radius: float) -> Array:
        return np.column_stack((along, ring * radius))

    outer, inner = section.width / 2.0, section.width / 2.0 - section.wall
    rings = [points(x, outer), points(np.full(n, FAR), outer), points(np.full(n, FAR), inner), points(x, inner)]
    here, there = np.arange(n), (np.arange(n) + 1) % n
    triangles = []
    for k in range(4):
        a, b = k * n, (k + 1) % 4 * n
        triangles += [
            np.column_stack((a + here, a + there, b + here)),
            np.column_stack((a + there, b + there, b + here)),
        ]
    mesh = m3.Mesh64(np.vstack(rings), np.vstack(triangles).astype(np.uint64))
    solid = m3.Manifold(mesh)
    assert solid.status() == m3.Error.NoError
    assert solid.volume() > 0
    return solid


def main_solid(section: Section, angle: float, offset: float) -> m3.Manifold:
    bar = m3.Manifold.cylinder(4.0 * FAR, section.width / 2.0, section.width / 2.0, 1440, True)
    # The library's cylinder stands along z: lay it along x, turn it to the joint, lift it.
    return bar.rotate((0.0, 90.0, 0.0)).rotate((0.0, 0.0, math.degrees(angle))).translate((0.0, 0.0, offset))


def joints(count: int, seed: int) -> list[tuple[Section, Section, float, float]]:
    random = np.random.default_rng(seed)
    found = []
    for _ in range(count):
        main = random.uniform(25.0, 120.0)
        branch = main * random.uniform(0.3, 0.95)
        wall = branch * random.uniform(0.03, 0.25)
        angle = math.radians(random.uniform(20.0, 90.0))
        offset = random.uniform(-1.0, 1.0) * (main - branch) / 2.0
        found.append((Section("round", branch, branch, wall), Section("round", main, main, 3.0), angle, offset))
    return found


def check(branch: Section, main: Section, angle: float, offset: float) -> None:
    line = simple_cope(branch, main, angle, offset).line
    assert not line.misses
    solid, bar = tube_solid(branch, line), main_solid(main, angle, offset)
    overlap = (solid ^ bar).volume()
    # Chords between whole degrees dip into the main by a few micrometres over the wall's edge.
    edge = math.pi * branch.width * branch.wall / math.sin(angle)
    assert overlap < 0.003 * edge
    assert solid.min_gap(bar, 1.0) < 0.02
    pushed = tube_solid(branch, line, 0.05) ^ bar
    around = np.asarray(pushed.to_mesh64().vert_properties)[:, 1:3]
    phi = np.sort(np.arctan2(around[:, 1], around[:, 0]))
    widest = np.diff(np.append(phi, phi[0] + 2.0 * math.pi)).max()
    assert math.degrees(widest) < 3.5


@pytest.mark.parametrize("joint", joints(20, 1), ids=lambda j: f"{j[0].width:.0f}-on-{j[1].width:.0f}")
def test_coped_branch_less_its_main(joint: tuple[Section, Section, float, float]) -> None:
    check(*joint)


@pytest.mark.parametrize("degrees", [90.0, 60.0, 30.0])
def test_equal_tubes(degrees: float) -> None:
    section = Section("round", 48.3, 48.3, 3.2)
    check(section, section, math.radians(degrees), 0.0)


def test_the_check_can_fail() -> None:
    """Cut to the outside line alone, the wall's inner edge would stand in the main."""
    section, main, angle = Section("round", 48.3, 48.3, 5.0), Section("round", 60.3, 60.3, 3.2), math.radians(60.0)
    line = simple_cope(section, main, angle, 0.0, "outside").line
    overlap = (tube_solid(section, line) ^ main_solid(main, angle, 0.0)).volume()
    assert overlap > 0.1 * math.pi * 48.3 * 5.0


@pytest.mark.slow
def test_many_joints() -> None:
    for joint in joints(how_many(400, 150), first_seed(2)):
        check(*joint)
