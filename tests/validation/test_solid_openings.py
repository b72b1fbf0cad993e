"""Holes in mains against solids: manifold3d (an independent library of exact mesh booleans).

The developed edge of a hole is put back on the main, made a prism along the branch and cut out of
the main's wall.  Then nothing of the wall is left in the bore, to within 0.02 mm all round, and
the prism takes nothing that is more than 0.02 mm outside the bore.
"""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np
import pytest

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.penetration import Outside, Penetration, penetration
from fabgen.parts.shape.sections import section_profile
from fabgen.shop.section import Section

HALF = 400.0
CLEAR = 0.02
LEVEL = Frame(np.zeros(3), *np.eye(3))


def rounded(across: float, up: float, corner: float) -> m3.CrossSection:
    """A section as the library draws it: a disc, or a rectangle with rounded corners."""
    if corner <= 0.0:
        return m3.CrossSection.square((across, up), True)
    disc = m3.CrossSection.circle(corner, 360)
    corners = [disc.translate((i * (across / 2 - corner), j * (up / 2 - corner))) for i in (-1, 1) for j in (-1, 1)]
    return m3.CrossSection.batch_hull(corners)


def section_shape(section: Section, by: float) -> m3.CrossSection:
    """The section's outside less `by` mm; the first figure along y."""
    w, d = section.width - 2 * by, section.depth - 2 * by
    return rounded(w, d, w / 2) if section.is_round else rounded(w, d, max(0.0, section.corner - by))


def placed(shape: m3.CrossSection, frame: Frame, first: float, last: float) -> m3.Manifold:
    """The shape swept along frame.x from `first` to `last`; its own x along frame.y, its y along frame.z."""
    columns = np.column_stack((frame.y, frame.z, frame.x, frame.origin + first * frame.x))
    return shape.extrude(last - first).transform(columns)


def main_wall(main: Section) -> m3.Manifold:
    # The main's first figure stands upright: along z, so its own x goes there.
    frame = Frame(LEVEL.origin, LEVEL.x, LEVEL.z, -LEVEL.y)
    outer = placed(section_shape(main, 0.0), frame, -HALF, HALF)
    return outer - placed(section_shape(main, main.wall), frame, -HALF - 1, HALF + 1)


def outside(main: Section) -> Outside:
    if main.is_round:
        return Outside.of_round(LEVEL, main.width)
    return Outside(LEVEL, main.depth, main.width, main.corner)


def prism(edge: Penetration, main: Outside, branch: Frame) -> m3.Manifold:
    """Through the edge on the sheet, put back on the tube; along the branch from its axis' level outward."""
    points = branch.inside(main.at(edge.station, edge.along))
    return placed(m3.CrossSection([points[:, 1:]]), branch, 0.0, 300.0)


def joints() -> list[tuple[Section, Section, Frame]]:
    def tube(width: float, wall: float, depth: float = 0.0, corner: float = 0.0) -> Section:
        return Section("rectangular" if depth else "round", width, depth or width, wall, corner)

    def frame(lean: float, aside: float, swing: float = 90.0) -> Frame:
        """The branch leans `lean` degrees from the main's axis, to the side `swing` degrees up from the right."""
        c, s = math.cos(math.radians(lean)), math.sin(math.radians(lean))
        out = np.array([0.0, -math.cos(math.radians(swing)), math.sin(math.radians(swing))])
        across = np.cross(np.array([1.0, 0.0, 0.0]), out)
        return Frame.along(
            across * aside, np.array([c, 0.0, 0.0]) + s * out, np.array([1.0, 0.0, 0.0]) if c else across
        )

    ones = [
        (tube(48.3, 3.2), tube(60.3, 3.2), frame(90.0, 0.0)),
        (tube(48.3, 3.2), tube(48.3, 3.2), frame(60.0, 0.0, 20.0)),
        (tube(33.7, 2.6), tube(76.1, 3.2), frame(45.0, 15.0, 200.0)),
        (tube(40.0, 3.0, 40.0, 5.0), tube(60.0, 3.0, 40.0, 6.0), frame(90.0, 0.0, 0.0)),
        (tube(40.0, 3.0, 20.0, 5.0), tube(60.3, 3.2), frame(55.0, 8.0, 70.0)),
        (tube(26.9, 2.3), tube(60.0, 3.0, 40.0, 8.0), frame(60.0, 0.0, 50.0)),
        (tube(20.0, 2.0, 20.0, 0.0), tube(60.0, 3.0, 60.0, 0.0), frame(90.0, 0.0, 45.0)),
    ]
    random = np.random.default_rng(3)
    for _ in range(12):
        main = random.uniform(40.0, 120.0)
        branch = main * random.uniform(0.3, 0.95)
        wall = branch * random.uniform(0.04, 0.2)
        aside = random.uniform(-1.0, 1.0) * (main - branch) / 2.0
        over = tube(main, 3.0) if random.random() < 0.5 else tube(main, 3.0, main, random.uniform(0.0, 9.0))
        ones.append((tube(branch, wall), over, frame(random.uniform(30.0, 90.0), aside, 90.0 * random.integers(4))))
    return ones


@pytest.mark.parametrize("joint", joints(), ids=lambda j: f"{j[0]} in {j[1]}")
def test_the_bore_is_free_and_no_more_than_the_bore_is_cut(joint: tuple[Section, Section, Frame]) -> None:
    branch, main, frame = joint
    bore = Section(
        branch.shape, branch.width - 2 * branch.wall, branch.depth - 2 * branch.wall, 0.0, branch.inner_corner
    )
    edge = penetration(section_profile(bore), frame, outside(main))
    assert not edge.misses
    near = main_wall(main) ^ placed(m3.CrossSection.square((900.0, 900.0), True), frame, 0.0, 300.0)
    cut = prism(edge, outside(main), frame)
    left = near - cut
    free = placed(section_shape(bore, CLEAR), frame, 0.0, 300.0)
    before, after = (near ^ free).volume(), (left ^ free).volume()
    assert before > 100.0
    assert after < 1e-6 * before
    beyond = placed(section_shape(bore, -CLEAR), frame, 0.0, 300.0)
    assert ((near ^ cut) - beyond).volume() < 1e-6 * before


def test_the_check_can_fail() -> None:
    """A hole 0.1 mm too small leaves wall in the bore."""
    branch, main, frame = joints()[1]
    edge = penetration(section_profile(Section("round", 41.7, 41.7, 0.0)), frame, outside(main))
    left = main_wall(main) - prism(edge, outside(main), frame)
    free = placed(section_shape(branch, branch.wall + CLEAR), frame, 0.0, 300.0)
    assert (left ^ free).volume() > 5.0
