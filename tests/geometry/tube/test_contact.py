"""First contact against a search that knows nothing of the closed forms: it asks points only."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.contact import greatest, least, union
from fabgen.geometry.tube.solids import HalfSpace, RoundBar, RoundedPrism, Slab, Solid, Trimmed, Walls, distance

X, Y, Z = np.eye(3)
ANGLES = st.floats(0.4, math.pi - 0.4)
Inside = Callable[[Array], np.ndarray]


def in_bar(bar: RoundBar) -> Inside:
    def inside(points: Array) -> np.ndarray:
        return np.linalg.norm(np.cross(points - bar.origin, bar.axis), axis=-1) <= bar.radius

    return inside


def in_prism(prism: RoundedPrism) -> Inside:
    def inside(points: Array) -> np.ndarray:
        local = np.abs(prism.frame.inside(points))
        over = np.stack(
            (local[..., 1] - prism.width / 2 + prism.corner, local[..., 2] - prism.depth / 2 + prism.corner), axis=-1
        )
        corner = np.linalg.norm(np.maximum(over, 0.0), axis=-1) <= prism.corner
        return (over <= prism.corner).all(axis=-1) & corner

    return inside


def searched(inside: Inside, walls: Walls, span: float = 250.0) -> Array:
    """Greatest x by looking: 17 depths, 501 places along, then 40 halvings."""
    depths = np.linspace(0.0, 1.0, 17)
    best = np.full(len(walls.depth), np.nan)
    for i, (skin, inward, depth) in enumerate(zip(walls.skin, walls.inward, walls.depth, strict=True)):
        base = skin + (depths * depth)[:, None] * inward
        x = np.linspace(-span, span, 501)
        hits = inside(base[:, None, :] + x[None, :, None] * walls.along)
        rows = hits.any(axis=1)
        if not rows.any():
            continue
        last = len(x) - 1 - np.argmax(hits[rows, ::-1], axis=1)
        low, high = x[last], x[np.minimum(last + 1, len(x) - 1)]
        for _ in range(40):
            middle = (low + high) / 2
            there = inside(base[rows] + middle[:, None] * walls.along)
            low, high = np.where(there, middle, low), np.where(there, high, middle)
        best[i] = low.max()
    return best


def some_walls(radius: float, wall: float) -> Walls:
    """Five strips of a round tube along x."""
    phi = np.linspace(0.1, 2 * math.pi + 0.1, 5, endpoint=False)
    out = np.column_stack((np.zeros(5), np.cos(phi), np.sin(phi)))
    return Walls(out * radius, -out, np.full(5, wall), X)


def agrees(solid: Solid, inside: Inside, walls: Walls) -> None:
    found, looked = greatest(solid, walls), searched(inside, walls)
    hit = ~np.isnan(looked)
    assert (found[hit] >= looked[hit] - 1e-6).all()
    # The search is coarse through the wall, so it may fall a little short; but nothing of the
    # wall lies inside beyond the answer, and right at the answer something does.
    answer = ~np.isnan(found)
    shares = np.linspace(0.0, 1.0, 401)[:, None, None]
    base = walls.skin + shares * (walls.depth[:, None] * walls.inward)
    assert not inside(base + (found + 1e-4)[:, None] * walls.along)[:, answer].any()
    near = distance(solid, base + found[:, None] * walls.along)[:, answer]
    assert np.abs(near).min(axis=0) == pytest.approx(np.zeros(answer.sum()), abs=0.02)


@settings(max_examples=50)
@given(ANGLES, st.floats(-25, 25), st.floats(8, 60), st.floats(5, 40), st.floats(0.05, 1.0))
def test_bar(angle: float, offset: float, main: float, branch: float, share: float) -> None:
    bar = RoundBar(np.array([3.0, -2.0, offset]), np.array([math.cos(angle), math.sin(angle), 0.0]), main)
    agrees(bar, in_bar(bar), some_walls(branch, branch * share))


@settings(max_examples=50)
@given(ANGLES, st.floats(-1.5, 1.5), st.floats(-20, 20), st.floats(20, 90), st.floats(20, 90), st.floats(0, 1))
def test_rounded_prism(angle: float, turn: float, offset: float, width: float, depth: float, share: float) -> None:
    along = np.array([math.cos(angle), math.sin(angle), 0.0])
    side = math.cos(turn) * np.array([-math.sin(angle), math.cos(angle), 0.0]) + math.sin(turn) * Z
    prism = RoundedPrism(Frame.along(offset * Z, along, side), width, depth, share * min(width, depth) / 2)
    agrees(prism, in_prism(prism), some_walls(20.0, 4.0))


@settings(max_examples=50)
@given(ANGLES, st.floats(-30, 30), st.floats(0, 2 * math.pi), st.floats(-1, 1))
def test_trimmed_bar(angle: float, level: float, turn: float, tilt: float) -> None:
    bar = RoundBar(np.zeros(3), np.array([math.cos(angle), math.sin(angle), 0.0]), 30.0)
    plane = HalfSpace.at(level * X, np.array([tilt, math.cos(turn), math.sin(turn)]))
    solid = Trimmed(bar, (plane,))

    def inside(points: Array) -> np.ndarray:
        return in_bar(bar)(points) & (points @ plane.normal <= plane.level)

    agrees(solid, inside, some_walls(22.0, 5.0))


def test_a_branch_beside_a_bar_misses() -> None:
    walls = Walls.lines(np.array([[0.0, 0.0, 30.2], [0.0, 0.0, 29.9]]), X)
    found = greatest(RoundBar(np.zeros(3), Y, 30.15), walls)
    assert np.isnan(found[0])
    assert found[1] == pytest.approx(math.sqrt(30.15**2 - 29.9**2))


def test_equal_tubes_at_a_right_angle_touch_at_their_sides() -> None:
    walls = Walls.lines(np.array([[0.0, 0.0, 24.15], [0.0, 0.0, -24.15]]), X)
    assert greatest(RoundBar(np.zeros(3), Y, 24.15), walls) == pytest.approx([0.0, 0.0], abs=1e-4)


def test_part_of_the_wall_that_hits_counts() -> None:
    """The outside skin passes by, the inside of the wall does not."""
    walls = Walls(np.array([[0.0, 0.0, 31.0]]), np.array([[0.0, 0.0, -1.0]]), np.array([3.0]), X)
    bar = RoundBar(np.zeros(3), Y, 30.0)
    assert greatest(bar, walls) == pytest.approx([math.sqrt(30.0**2 - 28.0**2)])
    assert np.isnan(greatest(bar, walls.outer())).all()


def test_planes() -> None:
    walls = Walls.lines(np.array([[0.0, 0.0, 0.0], [0.0, 10.0, 0.0]]), X)
    sloping = HalfSpace.at(5 * X, X - Y)
    assert greatest(sloping, walls) == pytest.approx([5.0, 15.0])
    assert greatest(Slab(2 * X, X, 6.0), walls) == pytest.approx([5.0, 5.0])
    assert least(Slab(2 * X, X, 6.0), walls) == pytest.approx([-1.0, -1.0])


def test_a_solid_without_an_end_that_way_is_refused() -> None:
    with pytest.raises(ValueError, match="no end"):
        greatest(Slab(np.zeros(3), Z, 6.0), Walls.lines(np.zeros((1, 3)), X))


def test_union_counts_a_miss_as_nothing() -> None:
    nan = math.nan
    joined = union([np.array([1.0, nan, nan]), np.array([2.0, 3.0, nan])])
    assert joined[:2] == pytest.approx([2.0, 3.0])
    assert np.isnan(joined[2])


@given(st.floats(-60, 60), st.floats(-60, 60))
def test_distance_tells_inside_from_outside(y: float, z: float) -> None:
    prism = RoundedPrism(Frame(np.zeros(3), X, Y, Z), 60.0, 40.0, 8.0)
    found = float(distance(prism, np.array([[7.0, y, z]]))[0])
    if abs(found) > 1e-9:
        assert (found < 0) == bool(in_prism(prism)(np.array([[7.0, y, z]]))[0])
