"""Bends as mains: lines and walls against the equation of the torus and against a dense search."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.geometry.tube.contact import greatest, least
from fabgen.geometry.tube.elbow import Curved, Elbow
from fabgen.geometry.tube.profile import round_profile
from fabgen.geometry.tube.solids import HalfSpace, RoundBar, Trimmed, Union, Walls, distance
from fabgen.geometry.tube.toroid import Toroid

X, Y, Z = np.eye(3)
QUARTER = Elbow(np.zeros(3), Z, 150.0 * X, math.pi / 2.0, 24.15, 24.15, 24.15)


def upright_lines(radii: list[float]) -> Walls:
    """Lines along +z at distances from the ring's axis, in the middle of the quarter."""
    way = unit(X + Y)
    return Walls.lines(np.array([r * way for r in radii]), Z)


class TestLines:
    def test_along_the_axis(self) -> None:
        """z^2 = r^2 - (rho - R)^2, the torus in cylindrical coordinates."""
        radii = [126.0, 135.0, 150.0, 174.0]
        wanted = [math.sqrt(24.15**2 - (rho - 150.0) ** 2) for rho in radii]
        assert greatest(QUARTER, upright_lines(radii)) == pytest.approx(wanted)
        assert least(QUARTER, upright_lines(radii)) == pytest.approx([-z for z in wanted])

    def test_through_the_middle(self) -> None:
        """A line in the bend's plane through its centre leaves the tube at R + r."""
        walls = Walls.lines(np.zeros((1, 3)), unit(X + Y))
        assert greatest(QUARTER, walls) == pytest.approx([174.15])
        assert greatest(QUARTER, Walls.lines(np.zeros((1, 3)), unit(-X - Y)))[0] == pytest.approx(-(150 - 24.15))

    def test_only_the_bend_counts(self) -> None:
        """The rest of the ring is not there."""
        assert np.isnan(greatest(QUARTER, Walls.lines(np.array([[-150.0, 0.0, 0.0]]), Z))).all()

    def test_its_end_faces_are_flat(self) -> None:
        walls = Walls.lines(np.array([[150.0, 0.0, 5.0]]), -Y)
        assert greatest(QUARTER, walls) == pytest.approx([0.0])

    def test_past_it(self) -> None:
        assert np.isnan(greatest(QUARTER, upright_lines([174.2, 125.8]))).all()

    def test_grazing_counts_as_touching(self) -> None:
        assert greatest(QUARTER, upright_lines([174.15])) == pytest.approx([0.0], abs=1e-3)

    def test_more_than_half_a_turn(self) -> None:
        long = replace(QUARTER, angle=math.radians(270.0))
        assert len(long.pieces()) == 2
        assert greatest(long, Walls.lines(np.array([[-150.0, 0.0, 0.0]]), Z)) == pytest.approx([24.15])
        assert np.isnan(greatest(long, Walls.lines(np.array([[106.0, -106.0, 0.0]]), Z))).all()

    def test_a_rectangular_section(self) -> None:
        """60 across and 40 up with corners of 8: flat on top, an arc at its edge."""
        flat = replace(QUARTER, across=30.0, up=20.0, corner=8.0)
        assert greatest(flat, upright_lines([150.0, 171.9])) == pytest.approx([20.0, 20.0])
        assert greatest(flat, upright_lines([176.0])) == pytest.approx([12.0 + math.sqrt(64.0 - 16.0)])
        sharp = replace(flat, corner=0.0)
        assert greatest(sharp, upright_lines([179.9])) == pytest.approx([20.0])


def sphere_traced(solid: Curved, walls: Walls, steps: int = 400) -> Array:
    """Greatest x by walking in from afar, each step as long as the distance allows."""
    x = np.full(len(walls.skin), 1000.0)
    for _ in range(steps):
        x = x - distance(solid, walls.skin + x[:, None] * walls.along)
    near = np.abs(distance(solid, walls.skin + x[:, None] * walls.along)) < 1e-6
    return np.where(near, x, np.nan)


@settings(max_examples=60)
@given(st.floats(40, 300), st.floats(0.1, 0.9), st.integers(0, 10_000))
def test_a_whole_ring_against_walking_in(radius: float, share: float, seed: int) -> None:
    random = np.random.default_rng(seed)
    solid = Curved(Toroid(random.uniform(-10, 10, 3), unit(random.normal(size=3)), radius, *[radius * share] * 3), ())
    along = unit(random.normal(size=3))
    walls = Walls.lines(solid.core.centre + random.uniform(-1.2, 1.2, (40, 3)) * radius, along)
    found, walked = greatest(solid, walls), sphere_traced(solid, walls)
    met = ~np.isnan(walked)
    assert found[met] == pytest.approx(walked[met], abs=1e-3)
    on = ~np.isnan(found)
    assert distance(solid, walls.skin + found[:, None] * along)[on] == pytest.approx(np.zeros(on.sum()), abs=1e-6)


def some_elbow(random: np.random.Generator, kind: str) -> Elbow:
    radius = random.uniform(60.0, 250.0)
    axis = unit(random.normal(size=3))
    start = radius * unit(np.cross(axis, random.normal(size=3)))
    angle = random.uniform(0.3, math.pi)
    if kind == "round":
        r = random.uniform(10.0, 40.0)
        return Elbow(random.uniform(-20, 20, 3), axis, start, angle, r, r, r)
    a, b = random.uniform(10.0, 40.0, 2)
    return Elbow(random.uniform(-20, 20, 3), axis, start, angle, a, b, random.uniform(0.0, 1.0) * min(a, b))


@pytest.mark.parametrize("kind", ["round", "rectangular"])
@pytest.mark.parametrize("seed", range(40))
def test_walls_against_a_dense_search(kind: str, seed: int) -> None:
    """Nowhere lower than the best of 201 lines through the wall by more than the stated gain, and
    right at the answer the wall touches."""
    random = np.random.default_rng((7, seed))
    bend = some_elbow(random, kind)
    along = unit(random.normal(size=3))
    place = bend.centre + bend.turned(random.uniform(0.0, bend.angle))
    place = place + unit(np.cross(along, random.normal(size=3))) * random.uniform(0.0, 0.9 * min(bend.across, bend.up))
    branch = random.uniform(5.0, 35.0)
    walls = round_profile(2.0 * branch, random.uniform(0.05, 0.95) * branch).walls(
        Frame.along(place, along, random.normal(size=3))
    )
    found = greatest(bend, walls)
    best = np.full(360, np.nan)
    for share in np.linspace(0.0, 1.0, 201):
        line = Walls.lines(walls.skin + share * walls.depth[:, None] * walls.inward, along)
        best = np.fmax(best, greatest(bend, line))
    met = ~np.isnan(best)
    assert (found[met] >= best[met] - 1e-4).all()
    through = np.linspace(0.0, 1.0, 401)[:, None, None] * (walls.depth[:, None] * walls.inward)
    hit = ~np.isnan(found)
    away = distance(bend, walls.skin + through + found[:, None] * along)[:, hit]
    assert np.abs(away).min(axis=0) == pytest.approx(np.zeros(hit.sum()), abs=0.02)
    beyond = distance(bend, walls.skin + through + (found + 1e-3)[:, None] * along)[:, hit]
    assert beyond.min() > -1e-6 or (found[hit] < -1e3).any()


@pytest.mark.parametrize("corner", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("seed", range(10))
def test_lines_onto_a_rectangular_bend_against_walking_in(corner: float, seed: int) -> None:
    """Lines from all over; those that walking in from afar finds touching, and those it sees pass by."""
    random = np.random.default_rng((3, seed))
    bend = some_elbow(random, "rectangular")
    bend = replace(bend, corner=corner * min(bend.across, bend.up))
    along = unit(random.normal(size=3))
    walls = Walls.lines(bend.centre + random.uniform(-1.2, 1.2, (800, 3)) * (bend.radius + bend.across), along)
    found, x = greatest(bend, walls), np.full(800, 1200.0)
    for _ in range(300):
        x = np.maximum(x - 0.999 * distance(bend, walls.skin + x[:, None] * along), -1200.0)
    met = distance(bend, walls.skin + x[:, None] * along) < 1e-5
    assert np.isnan(found[x == -1200.0]).all()
    # A line that all but grazes a corner is near before it is there.
    assert (~(np.abs(found[met] - x[met]) < 1e-2)).sum() <= 2
    on = ~np.isnan(found)
    assert distance(bend, walls.skin[on] + found[on, None] * along) == pytest.approx(np.zeros(on.sum()), abs=1e-6)


def test_a_bite_within_the_wall_is_found() -> None:
    """The outside skin passes the bend by, the wall below it does not."""
    skin = (150.0 + 24.15 + 0.5) * unit(X + Y)
    walls = Walls(skin[None, :], -unit(X + Y)[None, :], np.array([3.0]), Z)
    assert greatest(QUARTER, walls) == pytest.approx([math.sqrt(24.15**2 - (24.15 - 2.5) ** 2)])
    assert np.isnan(greatest(QUARTER, walls.outer())).all()


def test_trimmed_and_in_a_union() -> None:
    bar = Trimmed(RoundBar(150.0 * X, Y, 24.15), (HalfSpace.at(np.zeros(3), Y),))
    both = Union((QUARTER, bar))
    walls = Walls.lines(np.array([[150.0, -40.0, 0.0], [150.0, 20.0, 0.0]]), Z)
    assert greatest(both, walls) == pytest.approx([24.15, float(greatest(QUARTER, walls)[1])])
    halved = Trimmed(QUARTER, (HalfSpace.at(np.zeros(3), unit(Y - X)),))
    assert np.isnan(greatest(halved, Walls.lines(np.array([[50.0, 140.0, 0.0]]), Z))).all()


def test_grown_by_a_gap() -> None:
    assert greatest(QUARTER.grown(1.5), upright_lines([150.0])) == pytest.approx([25.65])
    assert QUARTER.grown(1.5).radius == 150.0


@given(st.floats(-60, 60), st.floats(100, 200), st.floats(0.3, 1.2))
def test_distance(z: float, rho: float, angle: float) -> None:
    point = rho * (math.cos(angle) * X + math.sin(angle) * Y) + z * Z
    assert float(distance(QUARTER, point[None, :])[0]) == pytest.approx(math.hypot(rho - 150.0, z) - 24.15, abs=1e-9)
