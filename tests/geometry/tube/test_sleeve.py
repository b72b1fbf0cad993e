"""Marking sleeves: closed meshes by the count of their edges, volumes by integration."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.geometry.space.mesh import Mesh
from fabgen.geometry.tube.profile import Profile, rectangular_profile, round_profile
from fabgen.geometry.tube.sleeve import SleeveSizes, sleeve, standing

BARE = SleeveSizes(notch_width=1e-3, notch_depth=1e-3)
SIZES = SleeveSizes()


def edges_pair_up(mesh: Mesh) -> bool:
    """Every edge is used once each way: the surface is closed and turned one way."""
    t, count = mesh.triangles, len(mesh.vertices)
    edges = np.concatenate((t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]))
    there, back = np.sort(edges @ [count, 1]), np.sort(edges @ [1, count])
    return bool((there == back).all() and (np.diff(there) > 0).all())


def volume(mesh: Mesh) -> float:
    """By the divergence theorem."""
    a, b, c = np.moveaxis(mesh.corners, 1, 0)
    return float((a * np.cross(b, c)).sum() / 6.0)


def rectangular(turn: float = 0.0, corner: float = 6.0) -> Profile:
    return rectangular_profile(60.0, 40.0, 3.0, corner, turn)


PROFILES = {
    "round": round_profile(48.3, 3.2),
    "rod": round_profile(10.0, 0.0),
    "rectangular": rectangular(),
    "turned": rectangular(math.radians(23.4)),
    "sharp corners": rectangular(corner=0.0),
}


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
@settings(max_examples=30)
@given(lean=st.floats(-1.5, 1.5), top=st.floats(-7.0, 7.0), first=st.integers(0, 359), lost=st.integers(0, 300))
def test_closed_whatever_is_lost(profile: Profile, lean: float, top: float, first: int, lost: int) -> None:
    x = lean * profile.skin[:, 0] + 12.0
    x[(np.arange(len(x)) - first) % len(x) < lost] = np.nan
    mesh = sleeve(profile, x, top)
    assert edges_pair_up(mesh)
    assert volume(mesh) > 0.0
    a, b, c = np.moveaxis(mesh.corners, 1, 0)
    assert (np.linalg.norm(np.cross(b - a, c - a), axis=1) > 1e-12).all()
    assert mesh.vertices[:, 0].min() == pytest.approx(np.nanmin(x))
    assert mesh.vertices[:, 0].max() == pytest.approx(np.nanmax(x) + SIZES.grip)


def test_volume_of_a_square_cut_sleeve() -> None:
    """A plain ring: area of the wall times length; a tube of 360 sides lacks 5 in 100,000."""
    mesh = sleeve(PROFILES["round"], np.zeros(360), 0.0, BARE)
    ring = math.pi * (26.4**2 - 24.4**2)
    assert volume(mesh) == pytest.approx(ring * 30.0, rel=6e-5)
    box = sleeve(rectangular(), np.zeros(len(rectangular().phi)), 0.0, BARE)
    # A strip 2 mm wide along a curve 1.25 mm outside the section (Steiner: perimeter + 2 pi d).
    strip = 2.0 * (rectangular().perimeter + 2.0 * math.pi * 1.25)
    assert volume(box) == pytest.approx(strip * 30.0, rel=2e-4)


def test_volume_of_a_coped_sleeve_with_its_notch() -> None:
    """Round branch square on a round main: the wall's sector area integrated round the tube."""
    phi = PROFILES["round"].phi
    x = np.sqrt(30.15**2 - (24.15 * np.sin(phi)) ** 2)
    mesh = sleeve(PROFILES["round"], x, 0.7)
    sector = (26.4**2 - 24.4**2) / 2.0
    fine = np.linspace(0.0, 2.0 * math.pi, 100_000, endpoint=False)
    lengths = 30.15 + 30.0 - np.sqrt(30.15**2 - (24.15 * np.sin(fine)) ** 2)
    notch = 0.5 * (5.0 / 24.15) * 4.0
    assert volume(mesh) == pytest.approx(sector * (2.0 * math.pi * lengths.mean() - notch), rel=1e-4)


def test_the_lips_lie_square_to_the_tube_at_the_line() -> None:
    profile = rectangular(0.3)
    x = 0.4 * profile.skin[:, 1]
    edge = sleeve(profile, x, 1.0).vertices.reshape(-1, 4, 3)[:, :2]
    assert edge[:, 0, 0] == pytest.approx(edge[:, 1, 0])
    for skin, outward, at in zip(profile.skin, -profile.inward, x, strict=True):
        inner = np.array([at, *(skin + 0.25 * outward)])
        outer = np.array([at, *(skin + 2.25 * outward)])
        near = np.abs(edge - np.stack((inner, outer))).max(axis=(1, 2))
        assert near.min() < 1e-9


@pytest.mark.parametrize("top", [0.0, 90.0, 123.45, 359.6, -90.0])
@pytest.mark.parametrize("is_round", [True, False])
def test_the_notch_points_at_the_top(is_round: bool, top: float) -> None:
    """A rectangular tube's top is the middle of a face, wherever it is turned to."""
    profile = PROFILES["round"] if is_round else rectangular(math.radians(top))
    mesh = sleeve(profile, np.zeros(len(profile.phi)), math.radians(top))
    far = mesh.vertices.reshape(-1, 4, 3)[:, 3]
    tip = far[far[:, 0].argmin()]
    assert tip[0] == pytest.approx(30.0 - 4.0)
    off = (math.degrees(math.atan2(tip[2], tip[1])) - top + 180.0) % 360.0 - 180.0
    assert abs(math.radians(off)) * 25.0 < 0.1
    assert (far[:, 0] > 29.999).mean() > 0.9


def test_over_a_miss_the_sleeve_runs_to_the_longest_point() -> None:
    x = np.full(360, 10.0)
    x[0], x[100:121] = 4.0, np.nan
    edge = sleeve(PROFILES["round"], x, 1.0).vertices.reshape(-1, 4, 3)[:, 0]
    phi = np.degrees(np.arctan2(edge[:, 2], edge[:, 1])) % 360.0
    assert edge[(phi > 99.1) & (phi < 120.9), 0] == pytest.approx(4.0)
    assert edge[(phi > 2.0) & (phi < 99.01), 0] == pytest.approx(10.0)
    assert edge[(phi > 120.99) & (phi < 358.0), 0] == pytest.approx(10.0)


def test_standing_turns_and_does_not_mirror() -> None:
    mesh = sleeve(PROFILES["round"], 5.0 + np.sin(PROFILES["round"].phi), 0.4)
    up = standing(mesh)
    assert volume(up) == pytest.approx(volume(mesh))
    assert up.bounds[0] == pytest.approx(np.zeros(3), abs=1e-12)
    # Its far edge is below, the longest point highest.
    assert up.vertices[mesh.vertices[:, 0].argmin(), 2] == up.bounds[1][2]
    assert np.ptp(up.vertices[:, 2]) == pytest.approx(np.ptp(mesh.vertices[:, 0]))


def test_no_line_no_sleeve() -> None:
    with pytest.raises(ValueError, match="no line"):
        sleeve(PROFILES["round"], np.full(360, np.nan), 0.0)


@pytest.mark.parametrize("sizes", [{"clearance": -0.1}, {"wall": 0.0}, {"grip": 3.0}, {"wall": math.nan}])
def test_sizes_that_will_not_do(sizes: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="sleeve"):
        SleeveSizes(**sizes)
