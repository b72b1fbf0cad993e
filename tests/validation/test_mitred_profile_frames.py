"""Frames of four mitred profiles: saw lengths worked by hand, and their solids by manifold3d.

Mass is held against the theorem of Pappus and Guldin for a mitred ring: area of the section times the way of its
centroid round the frame, which a mitre leaves as it is.
"""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np
import pytest

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.end_cut import SawnPlane, sawn_end
from fabgen.geometry.profile.limbs import marked_limbs
from fabgen.geometry.profile.sawing import apart_on_mitre, best_stand, mitre_plane, resting_faces
from fabgen.geometry.profile.shapes import angle, channel
from fabgen.geometry.space.frame import Frame

WIDE, HIGH = 600.0, 400.0
ANGLE = angle(60, 40, 5, 6, 3)
CHANNEL = channel(80, 45, 6, 8, 8, 4)
UP = np.array([0.0, 0.0, 1.0])


def sides(inward: bool) -> list[tuple[np.ndarray, np.ndarray]]:
    """The corners of a frame's four datum lines, so that y of each side, to its left, looks in or out."""
    corners = [np.array(c) for c in ((0.0, 0, 0), (WIDE, 0, 0), (WIDE, HIGH, 0), (0, HIGH, 0))]
    if not inward:
        corners.reverse()
    return [(corners[i], corners[(i + 1) % 4]) for i in range(4)]


def frames_of(side: tuple[np.ndarray, np.ndarray]) -> tuple[Frame, Frame]:
    """Frames of start and finish, each looking into the side; the finish sees the section mirrored."""
    start, finish = side
    along = (finish - start) / np.linalg.norm(finish - start)
    left = np.cross(UP, along)
    return Frame(start, along, left, UP), Frame(finish, -along, -left, UP)


def planes_of(inward: bool) -> list[tuple[SawnPlane, SawnPlane]]:
    frames = [frames_of(side) for side in sides(inward)]
    return [
        (mitre_plane(frames[i][0], frames[i - 1][1]), mitre_plane(frames[i][1], frames[(i + 1) % 4][0]))
        for i in range(4)
    ]


def saw_lengths(outline: Outline, inward: bool) -> list[float]:
    """Longest point to longest point of each side."""
    found = []
    for side, (start, finish) in zip(sides(inward), planes_of(inward), strict=True):
        points = outline.points(0.001)
        least = start.x(points).min() + finish.x(points * [-1.0, 1.0]).min()
        found.append(float(np.linalg.norm(side[1] - side[0]) - least))
    return found


def body(outline: Outline, side: tuple[np.ndarray, np.ndarray], planes: tuple[SawnPlane, SawnPlane]) -> m3.Manifold:
    """One side as a solid, sawn at both ends."""
    frame, other = frames_of(side)
    length = float(np.linalg.norm(side[1] - side[0]))
    bar = m3.Manifold.extrude(m3.CrossSection([outline.points(0.001)]), length + 400.0).translate([0, 0, -200.0])
    bar = bar.transform(np.column_stack((frame.y, frame.z, frame.x, frame.origin)))
    for end, plane in ((frame, planes[0]), (other, planes[1])):
        normal = np.array(plane.normal) @ end.axes
        bar = bar.trim_by_plane(normal, float(normal @ end.origin))
    return bar


@pytest.mark.parametrize(
    ("shape", "inward", "lengths"),
    [
        # Leg b, 40 mm, flat in the frame's plane.  Legs in: the heel is outside, as long as the frame.
        (ANGLE, True, (WIDE, HIGH)),
        # Legs out: the toe is outside, a leg's width beyond the heel at either end.
        (ANGLE, False, (WIDE + 80, HIGH + 80)),
        # Web upright round the outside, toes in; and the back inside, toes out.
        (CHANNEL, True, (WIDE, HIGH)),
        (CHANNEL, False, (WIDE + 90, HIGH + 90)),
    ],
)
def test_four_mitred_sides_close_up(shape: CrossSection, inward: bool, lengths: tuple[float, float]) -> None:
    assert saw_lengths(shape.outline, inward) == pytest.approx([*lengths, *lengths], abs=1e-6)
    planes = planes_of(inward)
    bodies = [body(shape.outline, side, cut) for side, cut in zip(sides(inward), planes, strict=True)]
    for i in range(4):
        touching = bodies[i] ^ bodies[(i + 1) % 4]
        assert touching.volume() < 1e-3, "neighbours only touch"
        # Pushed by 0.05 mm along its neighbour it runs into it with its whole cut face.
        push = frames_of(sides(inward)[(i + 1) % 4])[0].x * 0.05
        run_in = (bodies[i].translate(push) ^ bodies[(i + 1) % 4]).volume()
        assert run_in == pytest.approx(shape.outline.area * 0.05, rel=0.05)
    whole = m3.Manifold.batch_boolean(bodies, m3.OpType.Add)
    section = m3.Manifold.extrude(m3.CrossSection([shape.outline.points(0.001)]), 1.0)
    mesh = section.to_mesh()
    points = np.asarray(mesh.vert_properties)[:, :3].astype(float)
    a, b, c = (points[np.asarray(mesh.tri_verts)[:, k]] for k in range(3))
    volumes = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0
    y = float((volumes * (a + b + c)[:, 0] / 4.0).sum() / volumes.sum())
    way = 2.0 * (WIDE + HIGH) + (-8.0 if inward else 8.0) * y
    assert whole.volume() == pytest.approx(shape.outline.area * way, rel=1e-4)


@pytest.mark.parametrize("shape", [ANGLE, CHANNEL])
def test_cut_faces_are_one_anothers_image_and_the_wrong_hand_is_not(shape: CrossSection) -> None:
    first, second = (frames_of(side) for side in sides(True)[:2])
    mirrored = shape.outline.flipped()
    assert apart_on_mitre(mirrored, first[1], shape.outline, second[0]) < 1e-9
    # The second with its leg or toes out: it would need the leg's whole width to meet.
    wrong = apart_on_mitre(mirrored, first[1], shape.outline.flipped(), second[0])
    assert wrong > 30.0


def test_a_thinner_leg_is_seen_at_the_mitre() -> None:
    first, second = (frames_of(side) for side in sides(True)[:2])
    other = angle(60, 40, 6, 6, 3)
    apart = apart_on_mitre(ANGLE.outline.flipped(), first[1], other.outline, second[0])
    assert apart == pytest.approx(math.sqrt(2.0), abs=1e-3), "its root lies 1 mm farther both ways"


def test_how_the_saw_stands() -> None:
    """With the flat leg down the blade is swung 45 degrees and stands upright; with the upright leg down it leans."""
    start = planes_of(True)[0][0]
    stand = best_stand(ANGLE, start)
    assert (stand.lies_on, math.degrees(abs(stand.swing)), stand.tilt) == (
        "leg b outside",
        pytest.approx(45.0),
        pytest.approx(0.0),
    )
    # The heel is the right side, seen from the start with leg b down, and is left the longer.
    assert stand.swing > 0.0
    names = {face.name for face in resting_faces(CHANNEL)}
    assert names == {"web outside", "flange a outside", "flange b outside"}


def test_a_sawn_end_is_developed_straight_over_the_heel() -> None:
    start = planes_of(True)[0][0]
    upright, flat_leg = sawn_end(marked_limbs(ANGLE), start).edges
    assert upright.x == pytest.approx([0.0, 0.0])
    assert flat_leg.x == pytest.approx([0.0, 40.0])
