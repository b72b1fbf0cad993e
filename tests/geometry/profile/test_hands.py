"""Which sawn and notched bars have a left and a right hand, as a fabricator knows it from holding two of them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.cut_body import cut_body
from fabgen.geometry.profile.end_cut import SawnPlane, notched_end, sawn_end
from fabgen.geometry.profile.hands import has_hand, likeness
from fabgen.geometry.profile.limbs import marked_limbs
from fabgen.geometry.profile.notch import notch_lines
from fabgen.geometry.profile.shapes import angle, channel, flat, tee
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.geometry.tube.solids import RoundedPrism

HALF = math.sqrt(0.5)
SQUARE = SawnPlane(0.0)
MITRE = SawnPlane(0.0, (HALF, HALF, 0.0))
"""45 degrees across y: of an angle across the flat leg b."""
OTHER_WAY = SawnPlane(0.0, (HALF, -HALF, 0.0))


def bar(section: CrossSection, start: SawnPlane, finish: SawnPlane) -> EdgedMesh:
    """The finish is given in its own frame, whose y runs the other way."""
    return cut_body(
        section, sawn_end(marked_limbs(section), start), sawn_end(marked_limbs(section.flipped()), finish), 300.0
    )


@pytest.mark.parametrize(
    ("section", "start", "finish", "handed"),
    [
        # The side of a frame: mitred alike at both ends, one is as good as the other.
        (angle(40, 60, 4), MITRE, OTHER_WAY, False),
        # Mitred at one end only: of an unequal angle one left and one right.
        (angle(40, 60, 4), MITRE, SQUARE, True),
        (angle(40, 40, 4), MITRE, SQUARE, True),
        # Both ends leaning the same way: the bars of a lattice.
        (angle(40, 40, 4), MITRE, MITRE, True),
        (angle(40, 60, 4), SQUARE, SQUARE, False),
        # A channel mitred across its web's plane of symmetry can be turned over.
        (channel(80, 45, 6, 8), MITRE, SQUARE, False),
        (tee(50, 50, 6, 6), MITRE, SQUARE, True),
        (flat(40, 5), SawnPlane(0.0, (HALF, 0.0, HALF)), SQUARE, False),
    ],
)
def test_what_has_a_hand(section: CrossSection, start: SawnPlane, finish: SawnPlane, handed: bool) -> None:
    assert has_hand(bar(section, start, finish)) is handed


def test_a_pair_is_known_as_left_and_right_wherever_it_lies() -> None:
    section = angle(40, 60, 4)
    left = bar(section, MITRE, SQUARE)
    right = EdgedMesh(left.vertices * [1.0, 1.0, -1.0], left.triangles[:, ::-1], left.edges)
    c, s = math.cos(0.7), math.sin(0.7)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    moved = EdgedMesh(right.vertices @ turn.T + [10.0, -40.0, 300.0], right.triangles, right.edges)
    again = EdgedMesh(left.vertices @ turn.T + [10.0, -40.0, 300.0], left.triangles, left.edges)
    assert likeness(left, moved) == "mirrored"
    assert likeness(left, again) == "alike"
    assert likeness(left, bar(section, MITRE, OTHER_WAY)) == "different"
    assert likeness(left, bar(angle(40, 60, 5), MITRE, SQUARE)) == "different"


def test_an_angle_lapped_over_a_tube_at_one_end_has_a_hand_and_at_both_ends_none() -> None:
    """Which of two equal legs is cut back at the start makes it left or right; with both ends alike there is none."""
    section = angle(40, 40, 4, 6, 3)
    frame = Frame(np.array([0.0, 0.0, 29.0]), *np.array([[0, 1.0, 0], [1.0, 0, 0], [0, 0, -1.0]]))
    back = Frame(np.array([0.0, 500.0, 29.0]), *np.array([[0, -1.0, 0], [-1.0, 0, 0], [0, 0, -1.0]]))
    near = RoundedPrism(Frame(np.zeros(3), *np.eye(3)), 50.0, 50.0)
    far = RoundedPrism(Frame(np.array([0.0, 500.0, 0.0]), *np.eye(3)), 50.0, 50.0)
    lap = SawnPlane(-20.0)
    start = notched_end(notch_lines(marked_limbs(section), frame, [near]), lap)
    finish = notched_end(notch_lines(marked_limbs(section.flipped()), back, [far]), lap)
    assert has_hand(cut_body(section, start, sawn_end(marked_limbs(section.flipped()), SQUARE), 500.0))
    assert not has_hand(cut_body(section, start, finish, 500.0))
