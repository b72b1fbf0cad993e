"""The weld run: lengths and angles that can be written down."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.tube.weld_run import WeldRun, local_dihedral, mitre_dihedral, weld_run

UP = np.array([0.0, 0.0, 1.0])


def leaning(angle: float, n: int = 3600, radius: float = 24.15) -> WeldRun:
    """A round branch of axis (cos, 0, sin) of `angle` on the plane z = 0."""
    phi = np.linspace(0.0, 2.0 * math.pi, n, endpoint=False)
    axis = np.array([math.cos(angle), 0.0, math.sin(angle)])
    side = np.array([math.sin(angle), 0.0, -math.cos(angle)])  # toward the heel
    normals = np.outer(np.cos(phi), side) + np.outer(np.sin(phi), [0.0, 1.0, 0.0])
    points = radius * normals
    points = points - np.outer(points[:, 2] / axis[2], axis)
    return weld_run(points, normals, np.tile(UP, (n, 1)))


def test_square_on_a_plate() -> None:
    run = leaning(math.pi / 2.0)
    assert run.closed
    assert run.length == pytest.approx(math.pi * 48.3, rel=2e-6)
    assert run.angle == pytest.approx(np.full(3600, math.pi / 2.0))


@given(st.floats(math.radians(10.0), math.pi / 2.0))
def test_heel_and_toe_on_a_plate(angle: float) -> None:
    """At the heel the surfaces meet at the joint's angle, at the toe at the rest of 180 degrees;
    between, cos(psi) = cos(angle) cos(phi)."""
    run = leaning(angle, 360)
    assert run.angle[0] == pytest.approx(angle) == pytest.approx(run.least)
    assert run.angle[180] == pytest.approx(math.pi - angle) == pytest.approx(run.greatest)
    assert np.cos(run.angle) == pytest.approx(math.cos(angle) * np.cos(np.radians(np.arange(360))), abs=1e-9)


@given(st.floats(0.3, 1.5), st.floats(0.2, 3.0))
def test_length_under_a_limit(angle: float, limit: float) -> None:
    """Against the ellipse's arc between the two places where cos(psi) = cos(angle) cos(phi)."""
    run = leaning(angle)
    share = math.cos(limit) / math.cos(angle)
    half = math.acos(min(1.0, max(-1.0, share)))
    phi = np.linspace(0.0, half, 20_001)
    wanted = 2.0 * np.hypot(np.diff(24.15 / math.sin(angle) * np.cos(phi)), np.diff(24.15 * np.sin(phi))).sum()
    assert run.length_under(limit) == pytest.approx(wanted, abs=0.02)
    assert run.length_under(limit) + run.length_over(limit) == pytest.approx(run.length)


def test_angles_at_the_limit_are_not_under_it() -> None:
    run = leaning(math.pi / 2.0, 360)
    flat = WeldRun(run.points, np.full(360, math.pi / 2.0), run.steps)
    assert flat.length_under(math.pi / 2.0) == 0.0
    assert flat.length_over(math.pi / 2.0) == 0.0


def test_gaps_count_for_nothing() -> None:
    run = leaning(math.pi / 2.0, 360)
    points = run.points.copy()
    points[10:100] = np.nan
    normals = run.points / 24.15
    part = weld_run(points, normals, np.tile(UP, (360, 1)))
    assert not part.closed
    # 269 of 360 steps have both their ends.
    assert part.length == pytest.approx(run.length * 269.0 / 360.0)
    assert np.isnan(part.angle[10:100]).all()
    assert part.length_under(2.0) == pytest.approx(part.length)
    gone = weld_run(np.full((5, 3), np.nan), np.zeros((5, 3)), np.zeros((5, 3)))
    assert gone.length == 0.0
    assert math.isnan(gone.least)
    assert math.isnan(gone.greatest)
    assert gone.length_under(1.0) == 0.0


def test_shares_add_up() -> None:
    run = leaning(1.0, 360)
    mine = np.arange(360) % 90 < 37
    one, other = run.only(mine), run.only(~mine)
    assert one.length + other.length == pytest.approx(run.length)
    assert one.length_under(1.2) + other.length_under(1.2) == pytest.approx(run.length_under(1.2), abs=1.0)
    assert one.least == run.least
    assert not one.closed
    assert run.only(np.ones(360, dtype=bool)).length == pytest.approx(run.length)


def test_dihedral_of_planes() -> None:
    """Walls of a vee, a flat and a fold: the angle between the surfaces, not between the normals."""
    lean = np.radians([30.0, 60.0, 90.0, 120.0, 179.0, 180.0])
    normals = np.column_stack((np.sin(lean), np.zeros(6), -np.cos(lean)))
    assert local_dihedral(normals, np.tile(UP, (6, 1))) == pytest.approx(lean)


def test_dihedral_of_a_mitre() -> None:
    """A square corner: 90 degrees inside, 270 outside, straight on at the sides."""
    toward = np.array([1.0, 1.0, 0.0]) / math.sqrt(2.0)
    normals = np.array([[0.0, 1.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, 1.0]])
    assert np.degrees(mitre_dihedral(normals, toward)) == pytest.approx([90.0, 270.0, 180.0])
    mirrored = normals - 2.0 * (normals @ toward)[:, None] * toward
    assert local_dihedral(normals, mirrored)[[0, 2]] == pytest.approx(np.radians([90.0, 180.0]), abs=1e-7)
