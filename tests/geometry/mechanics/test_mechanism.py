"""Freedoms by rank, against mechanisms whose mobility the textbooks tell."""

from __future__ import annotations

from collections.abc import Callable

import linkages
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.geometry.mechanics.constraints import FRAME, ConstraintRow, ball, hinge, rod
from fabgen.geometry.mechanics.mechanism import Mechanism, plainest

X, Y, Z = np.eye(3)

KNOWN: list[tuple[str, Callable[[], Mechanism], int, int, int]] = [
    # name, mechanism, freedoms here, lasting, plain count (Kutzbach's 6 n - equations)
    ("door on two hinges", linkages.door, 1, 1, -4),
    ("crooked door", linkages.crooked_door, 0, 0, -4),
    ("plate welded on", linkages.welded, 0, 0, 0),
    ("ball pendulum", linkages.pendulum, 3, 3, 3),
    ("planar four-bar, spatial hinges", linkages.four_bar, 1, 1, -2),
    ("planar slider-crank", linkages.slider_crank, 1, 1, -2),
    ("spherical four-bar", linkages.spherical_four_bar, 1, 1, -2),
    # K. H. Hunt, Kinematic Geometry of Mechanisms, 1978, treats Bennett's and Sarrus's loops as overconstrained.
    ("Bennett (G. T. Bennett, A new mechanism, Engineering 76, 1903)", linkages.bennett, 1, 1, -2),
    ("Sarrus (P. T. Sarrus, Comptes Rendus 36, 1853)", linkages.sarrus, 1, 1, 0),
    ("three parallel cranks", linkages.parallel_cranks, 1, 1, -6),
    ("RSSR, coupler as a rod", linkages.rssr, 1, 1, 1),
    ("RSSR, coupler as a body that may spin", lambda: linkages.rssr("body"), 2, 2, 2),
    ("double wishbone", linkages.double_wishbone, 1, 1, 1),
    ("five-link hub", linkages.five_link, 1, 1, 1),
    ("plate on three rods", lambda: linkages.platform(3), 3, 3, 3),
    ("plate on six rods", lambda: linkages.platform(6), 0, 0, 0),
]


@pytest.mark.parametrize(("mechanism", "here", "lasting", "plain"), [k[1:] for k in KNOWN], ids=[k[0] for k in KNOWN])
def test_known_mobility(mechanism: Callable[[], Mechanism], here: int, lasting: int, plain: int) -> None:
    found = mechanism().mobility()
    assert (found.freedoms, found.lasting, found.plain_count) == (here, lasting, plain)
    assert found.freedoms - sum(group.count for group in found.overheld) == plain


@pytest.mark.parametrize("factor", [1e-3, 1.0, 1e3])
@pytest.mark.parametrize("mechanism", [k[1] for k in KNOWN], ids=[k[0] for k in KNOWN])
def test_the_count_does_not_depend_on_the_unit(mechanism: Callable[[], Mechanism], factor: float) -> None:
    made = mechanism()
    scaled = [scaled_row(row, factor) for row in made.rows]
    assert Mechanism(made.bodies, tuple(scaled)).mobility().freedoms == made.mobility().freedoms


def scaled_row(row: ConstraintRow, factor: float) -> ConstraintRow:
    from dataclasses import replace

    return row if row.kind == "dot" else replace(row, a=row.a * factor, b=row.b * factor, value=row.value * factor)


@given(st.integers(0, 2**32 - 1))
def test_rows_change_as_their_derivatives_say(seed: int) -> None:
    rng = np.random.default_rng(seed)
    for mechanism in (linkages.rssr("body"), linkages.slider_crank(), linkages.five_link()):
        system = mechanism.system
        places = system.drawn.moved(rng.normal(size=6 * system.bodies) * 0.2 * system.size, system.size)
        matrix = system.worked_out(places)[1]
        step = rng.normal(size=6 * system.bodies)
        h = 1e-5 * system.size
        ahead = system.worked_out(places.moved(h * step, system.size))[0]
        behind = system.worked_out(places.moved(-h * step, system.size))[0]
        assert np.allclose((ahead - behind) / (2.0 * h), matrix @ step, atol=1e-6)


def test_a_rod_square_to_the_only_motion_leaves_a_shake() -> None:
    """An arm on a hinge along y with a rod along y: at rest the rod does not hinder, but no step can be taken."""
    arm = hinge("pivot", FRAME, 0, np.array([500.0, 400.0, 0.0]), Y)
    tie = rod("link", FRAME, 0, np.array([0.0, 0.0, -50.0]), np.array([0.0, 350.0, -50.0]))
    found = Mechanism(("arm",), (*arm, tie)).mobility()
    assert found.freedoms == 1
    assert found.lasting == 0
    (group,) = found.overheld
    assert group.count == 1
    assert set(group.owners) == {"pivot", "link"}


def test_what_holds_twice_is_named_apart() -> None:
    (group,) = linkages.door().mobility().overheld
    assert group.owners == ("lower", "upper")
    assert group.count == 5
    both = Mechanism(
        ("one", "two", "bob"),
        (
            *hinge("a", FRAME, 0, np.zeros(3), Z),
            *hinge("b", FRAME, 0, 900.0 * Z, Z),
            *hinge("c", FRAME, 1, 500.0 * X, Y),
            *hinge("d", FRAME, 1, 500.0 * X + 300.0 * Y, Y),
            *ball("e", 1, 2, 700.0 * X),
        ),
    ).mobility()
    assert [(g.owners, g.count) for g in both.overheld] == [(("a", "b"), 5), (("c", "d"), 5)]


def test_the_free_motion_is_the_axis_of_the_hinge() -> None:
    mechanism = linkages.door()
    (motion,) = plainest(mechanism.mobility().motions)
    (screw,) = mechanism.screws(motion)
    assert screw.turns
    assert abs(abs(screw.along[2]) - 1.0) < 1e-9
    assert np.hypot(*screw.at[:2]) < 1e-6
    assert abs(screw.pitch) < 1e-6


def test_single_bodies_are_named_before_mixtures() -> None:
    mechanism = linkages.rssr("body")
    motions = plainest(mechanism.mobility().motions)
    assert [len(mechanism.screws(motion)) for motion in motions] == [1, 3]
