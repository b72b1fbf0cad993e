"""Notched ends worked by hand: which limb is cut, where, and what is left."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fabgen.geometry.profile.corners import with_sharp_toes
from fabgen.geometry.profile.development import APART, developed
from fabgen.geometry.profile.end_cut import SawnPlane, notched_end
from fabgen.geometry.profile.limbs import limbs_between, marked_limbs
from fabgen.geometry.profile.notch import notch_lines, roots_ground
from fabgen.geometry.profile.prism import ProfilePrism
from fabgen.geometry.profile.shapes import angle, channel, flat, tee
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism, Slab

OWN = Frame(np.zeros(3), *np.eye(3))


def at(edge, station: float) -> float:  # type: ignore[no-untyped-def]
    return float(np.interp(station, edge.station, edge.x))


def along_y(z: float = 0.0, x: float = 0.0) -> Frame:
    """A profile that runs along +y: its y is x, its z is -z."""
    return Frame(np.array([x, 0.0, z]), np.array([0, 1.0, 0]), np.array([1.0, 0, 0]), np.array([0, 0, -1.0]))


def test_a_leg_laps_over_a_tube_while_the_other_butts_on_it() -> None:
    """A box tube 50 x 50 along x, its top at z = 25: a flat leg lies on it, the upright one is against its side."""
    tube = RoundedPrism(OWN, 50.0, 50.0, 0.0)
    shape = angle(40, 40, 4, 6, 3)
    frame = along_y(29.0)
    lines = notch_lines(marked_limbs(shape), frame, [tube])
    lap = SawnPlane(-20.0)
    upright, flat_leg = notched_end(lines, lap).edges
    assert flat_leg.x == pytest.approx(np.full(len(flat_leg.x), -20.0)), "nothing is cut off the leg that laps"
    # Below the flat leg the upright one is on the tube's side, at y = 25; beside the top it keeps the lap.
    assert at(upright, 10.0) == pytest.approx(25.0)
    assert at(upright, 38.0) == pytest.approx(-20.0)
    assert flat_leg.left == pytest.approx(40.0)


def test_a_root_that_fouls_is_ground_off_and_the_leg_beside_it_stays_whole() -> None:
    """With the flat leg on the tube's top the branch's own root would bear on its edge, as far as that: y = 25."""
    tube = RoundedPrism(OWN, 50.0, 50.0, 0.0)
    (ground,) = roots_ground(angle(40, 40, 4, 6, 3).outline, along_y(29.0), [tube])
    assert ground == pytest.approx(25.0, abs=0.25)
    assert ground > 25.0
    (clear,) = roots_ground(angle(40, 40, 4, 6, 3).outline, along_y(36.0), [tube])
    assert math.isnan(clear)


def test_a_flat_bar_is_shaped_to_a_round_tube() -> None:
    """On edge against the tube: each station meets the circle of radius 30 where it stands."""
    tube = RoundBar(np.zeros(3), np.array([1.0, 0, 0]), 30.0)
    (edge,) = notched_end(notch_lines(marked_limbs(flat(40, 5)), along_y(), [tube])).edges
    for station in (0.5, 7.0, 20.0, 33.0):
        assert at(edge, station) == pytest.approx(math.sqrt(30.0**2 - (station - 20.0) ** 2), abs=0.01)


def test_a_channel_sits_on_a_web() -> None:
    """A smaller channel into a larger one from its toes: it clears the flanges' roots and butts on the web."""
    main, branch = channel(100, 50, 6, 8, 8, 4), channel(60, 30, 5, 6, 6, 3)
    across = Frame(np.zeros(3), np.array([-1.0, 0, 0]), np.array([0, 1.0, 0]), np.array([0, 0, -1.0]))
    edges = notched_end(
        notch_lines(marked_limbs(branch), along_y(), [ProfilePrism(across, with_sharp_toes(main))])
    ).edges
    assert [float(edge.x.max()) for edge in edges] == pytest.approx([6.0] * 3)
    # Of the full height inside it runs into both roots: its flanges are cut back by a root's 8 mm.
    tall = channel(84, 30, 5, 6, 6, 3)
    upper, web, lower = notched_end(
        notch_lines(marked_limbs(tall), along_y(), [ProfilePrism(across, with_sharp_toes(main))])
    ).edges
    assert float(upper.x.max()) == pytest.approx(14.0, abs=0.02)
    assert float(lower.x.max()) == pytest.approx(14.0, abs=0.02)
    assert at(web, 42.0) == pytest.approx(6.0, abs=1e-3)


def test_a_gap_stays_open_all_round() -> None:
    main, shape = angle(60, 60, 6, 8, 4), angle(40, 40, 4, 6, 3)
    across = Frame(np.zeros(3), np.array([-1.0, 0, 0]), np.array([0, 1.0, 0]), np.array([0, 0, -1.0]))
    solid = ProfilePrism(across, with_sharp_toes(main))
    tight = notched_end(notch_lines(marked_limbs(shape), along_y(), [solid])).edges
    open_ = notched_end(notch_lines(marked_limbs(shape), along_y(), [solid], gap=1.5)).edges
    assert at(tight[0], 5.0) == pytest.approx(6.0)
    assert at(open_[0], 5.0) == pytest.approx(7.5)
    assert open_[0].left == pytest.approx(tight[0].left - 1.5, abs=0.01)


def test_beneath_a_flange_the_sides_of_a_tapered_stem_are_none_of_its_own() -> None:
    """EN 10055, T 40: 5 mm thick at a quarter of its width and 2 % thicker toward the stem, 5.2 mm at most."""
    flange, _ = marked_limbs(tee(40, 40, 5, 5, 5, 2.5, 1, slope=0.02))
    assert flange.thickest == pytest.approx(5.2 - 0.02 * 2.9, abs=0.02)
    assert float(flange.depth(np.array([17.2, 17.3, 20.0])).max()) < 5.2


@pytest.mark.parametrize("size", [1.5 * 25.4, 40.0, 44.1 + 1e-12])
def test_the_line_reaches_both_sides_of_each_leg(size: float) -> None:
    """Whatever the last place of the leg's width is."""
    lines = notch_lines(marked_limbs(angle(size, size, 3.175, 3, 1)), along_y(), [RoundBar(np.zeros(3), OWN.x, 30.0)])
    for line in lines:
        assert (line.station[0], line.station[-1]) == pytest.approx((0.0, size))


def test_an_end_in_the_air_is_refused() -> None:
    lines = notch_lines(marked_limbs(flat(40, 5)), along_y(500.0), [RoundBar(np.zeros(3), np.array([1.0, 0, 0]), 30.0)])
    with pytest.raises(ValueError, match="meets nothing"):
        notched_end(lines)


def test_a_folded_angle_is_developed_over_its_bend() -> None:
    """Its heel has an outside radius of 6 mm: the faces are 34 mm, and a quarter of the bend's round lies between."""
    shape = angle(40, 40, 3, 3, 0, heel=6.0)
    slab = Slab(np.zeros(3), np.array([0.0, 1.0, 0.0]), 8.0)
    folded = developed(notched_end(notch_lines(marked_limbs(shape), along_y(), [slab])))
    bend = 6.0 * math.pi / 2.0
    assert folded.width == pytest.approx(68.0 + bend)
    assert folded.folds == pytest.approx([34.0, 34.0 + bend])
    assert folded.edge[:, 1] == pytest.approx(np.full(len(folded.edge), 4.0), abs=1e-6)


def test_a_tees_flange_and_stem_are_two_templates() -> None:
    shape = tee(50, 50, 6, 6, 6, 3)
    slab = Slab(np.zeros(3), np.array([0.0, 1.0, 0.0]), 8.0)
    flat_faces = developed(notched_end(notch_lines(marked_limbs(shape), along_y(), [slab])))
    assert flat_faces.folds == ()
    assert [face.begins for face in flat_faces.faces] == pytest.approx([0.0, 50.0 + APART])
    # The stem as it is measured from the flange's inside: 50 - 6.
    assert flat_faces.faces[1].width == pytest.approx(44.0)


@pytest.mark.parametrize("diameter", [4.0, 6.0])
def test_a_corner_hole_touches_its_corner_from_the_waste(diameter: float) -> None:
    main, shape = angle(60, 60, 6, 8, 4), angle(40, 40, 4, 6, 3)
    across = Frame(np.zeros(3), np.array([-1.0, 0, 0]), np.array([0, 1.0, 0]), np.array([0, 0, -1.0]))
    solid = ProfilePrism(across, with_sharp_toes(main))
    end = notched_end(notch_lines(marked_limbs(shape), along_y(), [solid]), hole=diameter)
    (hole,) = end.edges[0].holes(diameter)
    assert math.dist((hole.station, hole.x), hole.corner) == pytest.approx(diameter / 2.0)
    assert hole.x < hole.corner[1]
    assert hole.station > hole.corner[0]


@pytest.mark.parametrize(("t", "expected"), [(4.0, 4.5), (6.0, 6.0), (2.5, None)])
def test_a_corner_hole_stays_on_its_leg(t: float, expected: float | None) -> None:
    """The corner lies a leg's thickness from the heel: for a hole of 6 mm that must be 5.1 mm, 3 + 3 cos 45°."""
    main, shape = angle(60, 60, t, 8, 2), angle(40, 40, 4, 6, 2)
    across = Frame(np.zeros(3), np.array([-1.0, 0, 0]), np.array([0, 1.0, 0]), np.array([0, 0, -1.0]))
    solid = ProfilePrism(across, with_sharp_toes(main))
    end = notched_end(notch_lines(marked_limbs(shape), along_y(), [solid]), hole=6.0)
    holes = end.edges[0].holes(6.0)
    assert [hole.diameter for hole in holes] == ([] if expected is None else [expected])
    assert all(hole.station + hole.diameter / 2.0 <= 40.0 for hole in holes)
    assert end.has_sharp_corner == (expected is None)


@pytest.mark.parametrize("z", [21.0, 23.0, 10.0, 0.0])
def test_where_a_saddle_ends_beside_what_passes_by_there_is_no_inner_corner(z: float) -> None:
    """The curve ends steep against a leg that goes on past the tube: an outer corner, with no metal to drill."""
    frame = along_y()
    frame = Frame(frame.origin + np.array([0.0, 0.0, z]), frame.x, frame.y, frame.z)
    tube = RoundBar(np.zeros(3), np.array([1.0, 0, 0]), 24.15)
    end = notched_end(notch_lines(marked_limbs(angle(50, 50, 5, 7, 3.5)), frame, [tube]), hole=10.0)
    assert [hole for edge in end.edges for hole in edge.holes(10.0)] == []
    assert not end.has_sharp_corner


def test_faces_that_are_no_neighbours_are_refused() -> None:
    shape = channel(80, 45, 6, 8, 8, 4)
    with pytest.raises(ValueError, match="not neighbours"):
        limbs_between(shape.outline, (shape.face("flange a outside"), shape.face("flange b outside")))


def skin(frame: Frame, limb, station: float, x: float) -> Array:  # type: ignore[no-untyped-def]
    (y, z), _ = (v[0] for v in limb.skin(np.array([station])))
    return frame.outside(np.array([x, y, z]))


def test_stations_run_to_the_right_seen_from_outside() -> None:
    """So a development is not mirrored: with x up, the next station lies to the right of whoever faces the metal."""
    for limb in marked_limbs(angle(40, 60, 4, 6, 3)):
        (here, there), (inward, _) = limb.skin(np.array([1.0, 2.0]))
        looking, up = np.array([0.0, *inward]), np.array([1.0, 0.0, 0.0])
        right = np.cross(looking, up)
        assert right @ np.array([0.0, *(there - here)]) == pytest.approx(1.0)
