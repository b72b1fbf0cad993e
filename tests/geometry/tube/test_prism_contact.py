"""The closed form of straight tubes against the way by pieces, which knows nothing of it, and against figures."""

import math

import numpy as np
import pytest

from fabgen.geometry.space.frame import Frame, unit
from fabgen.geometry.tube.contact import greatest, greatest_by_pieces
from fabgen.geometry.tube.prism_contact import greatest_on
from fabgen.geometry.tube.profile import rectangular_profile, round_profile
from fabgen.geometry.tube.solids import HalfSpace, RoundBar, RoundedPrism, Solid, Trimmed, Walls

X, Y, Z = np.eye(3)


def some_tube(random: np.random.Generator, kind: str) -> RoundBar | RoundedPrism:
    frame = Frame.along(random.uniform(-20, 20, 3), unit(random.normal(size=3)), random.normal(size=3))
    a, b = random.uniform(10.0, 80.0, 2)
    if kind == "round":
        return RoundBar(frame.origin, frame.x, a / 2.0)
    return RoundedPrism(frame, a, b, min(a, b) / 2.0 * random.choice([0.0, random.uniform(), 1.0]))


def some_walls(random: np.random.Generator, tube: RoundBar | RoundedPrism) -> Walls:
    """A branch any way round, now and then square to the tube or along one of its faces."""
    frame = Frame.along(tube.origin, tube.axis, Z + X) if isinstance(tube, RoundBar) else tube.frame
    along = unit([random.normal(size=3), np.cross(frame.x, random.normal(size=3)), frame.y][random.integers(3)])
    own = Frame.along(
        frame.origin + random.uniform(-15, 15, 3), along, [frame.x, random.normal(size=3)][random.integers(2)]
    )
    size = random.uniform(8.0, 60.0)
    if random.integers(2):
        return round_profile(size, random.uniform(0.05, 0.5) * size).walls(own)
    turn = random.choice([0.0, random.uniform(0.0, 6.0)])
    return rectangular_profile(size, random.uniform(8.0, 60.0), 2.0, random.uniform(0, 4), turn).walls(own)


@pytest.mark.parametrize("kind", ["round", "rectangular"])
@pytest.mark.parametrize("seed", range(60))
def test_the_same_as_by_pieces(kind: str, seed: int) -> None:
    random = np.random.default_rng((5, seed))
    tube = some_tube(random, kind)
    walls = some_walls(random, tube)
    half = HalfSpace.at(walls.skin.mean(axis=0) + random.uniform(-20, 20, 3), random.normal(size=3))
    solids: list[Solid] = [tube, Trimmed(tube, (half,))]
    for solid in solids:
        for strips in (walls, walls.outer()):
            assert greatest(solid, strips) == pytest.approx(greatest_by_pieces(solid, strips), abs=1e-6, nan_ok=True)


def test_two_round_tubes_square_to_one_another() -> None:
    """x = sqrt(R^2 - y^2) for the outside line, with y the way aside: two cylinders crossing."""
    walls = round_profile(40.0, 0.0).walls(Frame(np.zeros(3), X, Y, Z)).outer()
    found = greatest_on(RoundBar(np.zeros(3), Z, 30.0), walls)
    assert found == pytest.approx(np.sqrt(900.0 - (20.0 * np.cos(np.radians(np.arange(360)))) ** 2))


def test_along_the_tube_there_is_no_closed_form() -> None:
    assert greatest_on(RoundBar(np.zeros(3), X, 30.0), Walls.lines(np.zeros((1, 3)), X)) is None


def test_grazing_counts_as_touching() -> None:
    """Equal tubes at 90 degrees: the sides of the branch just touch."""
    found = greatest(
        RoundBar(np.zeros(3), Z, 20.0), round_profile(40.0, 2.0).walls(Frame(np.zeros(3), X, Y, Z)).outer()
    )
    assert found[0] == pytest.approx(0.0, abs=1e-3)
    assert not np.isnan(found).any()
    assert math.isclose(float(found.max()), 20.0)
