"""Whole frames: the tubes they become have the outside sizes that were given, and read back the same from text."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs import checked, findings, pieces_of

from fabgen.geometry.space.frame import Array
from fabgen.job.expansion.written import written
from fabgen.job.reader import JobError, read_text
from fabgen.job.tables.part_tables import Tube
from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.over_all import over_all
from fabgen.parts.tube.routed_tube import RoutedTube

HEAD = '[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n'
SHAPES = {
    "box": ("[800, 600, 700]", (800.0, 600.0, 700.0), ""),
    "ladder": ("[2000, 500]", (2000.0, 500.0, 60.0), "bars = 5"),
    "panel": ("[1800, 1100]", (1800.0, 40.0, 1100.0), "bars = 3"),
    "rack": ("[1500, 900]", (1500.0, 900.0, 60.0), "bars = 4"),
    "truss": ("[3000, 400]", (3000.0, 40.0, 400.0), "bays = 4"),
}


def tubes(text: str) -> list[Tube]:
    return read_text(HEAD + text).definitions.tube


def frame(shape: str, size: str, more: str = "", section: str = "60 x 40 x 3") -> str:
    return f'[[frame]]\nmark = "F"\nshape = "{shape}"\nsection = "{section}"\nsize = {size}\nat = [0, 0, 0]\n{more}\n'


def corners(tube: Tube) -> Array:
    """The corners of a straight rectangular tube between its points, with all its ends square."""
    routed = RoutedTube.of(0, tube)
    sides = itertools.product((-0.5, 0.5), (-0.5, 0.5))
    return np.array(
        [
            routed.point(at) + a * tube.section.depth * routed.frame.y + b * tube.section.width * routed.frame.z
            for a, b in sides
            for at in ("start", "finish")
        ]
    )


def outside(every: list[Tube]) -> Array:
    points = np.vstack([corners(tube) for tube in every])
    return np.ptp(points, axis=0)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_tubes_of_a_frame_fill_its_outside_sizes(shape: str) -> None:
    size, sizes, more = SHAPES[shape]
    made = tubes(frame(shape, size, more))
    measured = outside(made)
    # Posts and stiles, sides and ends stop at centre lines: what runs on there is settled where they meet.
    for got, wanted in zip(measured, sizes, strict=True):
        assert wanted - 60.0 <= got <= wanted + 1e-9


@pytest.mark.parametrize("section", ["33.7 x 2.6", "40 x 40 x 3", "60 x 40 x 3"])
@pytest.mark.parametrize("bays", [3, 4, 6])
def test_posts_and_diagonals_of_a_truss_sit_on_its_chords(section: str, bays: int) -> None:
    text = HEAD + frame("truss", "[3000, 600]", f"bays = {bays}", section)
    found = findings(checked(text))
    assert {f.rule for f in found if f.level != "note"} <= {"shallow-cope", "weld-access"}
    [whole] = over_all(pieces_of(read_text(text).definitions))
    depth = 33.7 if section.startswith("33") else 40
    assert whole.size == pytest.approx((3000, depth, 600), abs=1e-6)


def test_the_sides_of_a_box_of_unequal_tube_are_flush() -> None:
    every = {tube.mark: corners(tube) for tube in tubes(frame("box", "[800, 600, 700]"))}
    for mark, axis, side, value in (
        ("F-P1", 0, min, 0.0), ("F-P1", 1, min, 0.0), ("F-P2", 0, max, 800.0), ("F-P3", 1, max, 600.0),
        ("F-B1", 1, min, 0.0), ("F-B1", 2, min, 0.0), ("F-B2", 0, max, 800.0), ("F-B3", 1, max, 600.0),
        ("F-B4", 0, min, 0.0), ("F-T1", 2, max, 700.0), ("F-T4", 2, max, 700.0),
    ):  # fmt: skip
        assert side(every[mark][:, axis]) == pytest.approx(value, abs=1e-9), (mark, axis)


def test_the_legs_of_a_trestle_spread_as_given_and_stand_level() -> None:
    """The outside of a leg meets the floor where the spread says: its edge lines, carried on to z = 0."""
    made = {tube.mark: tube for tube in tubes(frame("trestle", "[1200, 600, 700]"))}
    for mark, side in (("F-L1", 0.0), ("F-L2", 600.0)):
        leg = made[mark]
        routed = RoutedTube.of(0, leg)
        edge = routed.frame.origin + routed.frame.z * leg.section.width / 2.0
        along = routed.frame.x
        at_floor = edge - along * edge[2] / along[2]
        assert at_floor[1] == pytest.approx(side, abs=1e-6)
        assert leg.start.plane is not None
    assert outside([made["F-R1"]])[0] == pytest.approx(1200.0)
    assert max(corners(made["F-R1"])[:, 2]) == pytest.approx(700.0)


@given(
    shape=st.sampled_from(sorted(SHAPES)),
    heading=st.floats(0.0, 2.0 * math.pi),
    tilt=st.floats(-1.2, 1.2),
    place=st.tuples(*[st.floats(-1e3, 1e3)] * 3),
)
def test_a_frame_turned_and_moved_is_the_same_frame(
    shape: str, heading: float, tilt: float, place: tuple[float, float, float]
) -> None:
    """Every corner of every tube stands where the frame's axes, worked out here, carry it."""
    size, _, more = SHAPES[shape]
    along = [math.cos(heading) * math.cos(tilt), math.sin(heading) * math.cos(tilt), math.sin(tilt)]
    up = [-math.cos(heading) * math.sin(tilt), -math.sin(heading) * math.sin(tilt), math.cos(tilt)]
    axes = np.array([along, [-math.sin(heading), math.cos(heading), 0.0], up])
    plain = frame(shape, size, more)
    turned = plain.replace("at = [0, 0, 0]", f"at = {list(place)}") + f"along = {along}\nup = {up}\n"
    for one, other in zip(tubes(plain), tubes(turned), strict=True):
        assert np.allclose(corners(one) @ axes + np.array(place), corners(other), atol=1e-5), one.mark


@pytest.mark.parametrize("shape", [*SHAPES, "trestle"])
def test_the_printed_tubes_read_back_as_the_same_job(shape: str) -> None:
    size, _, more = SHAPES.get(shape, ("[1200, 600, 700]", (), "shelf = 200"))
    text = frame(shape, size, more) + 'along = [0.6, 0.8, 0]\ncorners = "mitred"\n'
    text += '[[repeat]]\nparts = "F"\ncount = 3\nabout = [[0, 0, 0], [0, 0, 1]]\nangle = 70\n'
    job = read_text(HEAD + text)
    assert job.expanded is not None
    again = tubes(written(job.expanded))
    assert [tube.mark for tube in again] == [tube.mark for tube in job.definitions.tube]
    for one, other in zip(job.definitions.tube, again, strict=True):
        assert np.allclose(corners(one), corners(other), atol=2e-3), one.mark
        assert (one.start.cut, one.finish.cut) == (other.start.cut, other.finish.cut)


def test_tubes_can_be_left_out_changed_and_sat_on() -> None:
    text = frame("box", "[800, 600, 700]", 'leave_out = ["T1"]\nchange = { P1 = { section = "50 x 3" } }')
    text += '[[tube]]\nmark = "X"\nsection = "33.7 x 2.6"\nroute = [[20, 300, 20], [780, 300, 20]]\n'
    text += 'start = { onto = "F-B4" }\n'
    made = {tube.mark: tube for tube in tubes(text)}
    assert "F-T1" not in made
    assert len(made) == 12
    assert made["F-P1"].section.is_round


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (frame("box", "[800, 600]"), 9, "a box has 3 outside sizes, not 2"),
        (frame("box", "[800, 600, 700]", 'leave_out = "T5"'), 11, 'this box has no tube "T5"'),
        (frame("box", "[800, 50, 700]"), 9, "leave no room for its tube"),
        (frame("box", "[800, 600, 700]", "bars = 3"), 11, "bars has no meaning here"),
        (frame("box", "[800, 600, 700]", "up = [1, 0, 0]"), 5, "run the same way"),
        (frame("ladder", "[800, 600]", "stations = [10, 100]"), 11, "the rung at 10 mm"),
        (frame("box", "[800, 600, 700]", 'change = { P1 = { sektion = "50 x 3" } }'), 11, "no key"),
        (frame("box", "[800, 600, 700]") + '[[repeat]]\nparts = "G"\ncount = 2\nstep = [0, 0, 900]\n', 13, "no part"),
        (frame("box", "[800, 600, 700]") + '[[repeat]]\nparts = "F"\ncount = 2\n', 12, "step or about"),
    ],
)
def test_faults_of_frames_stand_at_their_lines(text: str, line: int, words: str) -> None:
    with pytest.raises(JobError) as caught:
        read_text(HEAD + text)
    problems = caught.value.problems
    assert any(words in problem.what and problem.line == line for problem in problems), [
        (problem.line, problem.what) for problem in problems
    ]


def test_marks_made_twice_are_a_fault() -> None:
    text = (
        frame("box", "[800, 600, 700]")
        + '[[tube]]\nmark = "F-P1"\nsection = "50 x 3"\nroute = [[0, 0, 0], [9, 9, 9]]\n'
    )
    with pytest.raises(JobError, match="taken already"):
        read_text(HEAD + text)


# -- feet ---------------------------------------------------------------------------------------
FOOT = 'foot = { plate = [100, 90], thickness = 6, bolt = "M10", edge = 15 }'
SQUARE = "40 x 40 x 3"


def legs(text: str) -> dict[str, LengthPart]:
    """The legs of a frame."""
    parts = checked(HEAD + text).tubes
    return {mark: part for mark, part in parts.items() if any(end.stands_on for end in part.ends)}


@pytest.mark.parametrize("corners", ["run on", "mitred"])
@pytest.mark.parametrize(
    ("shape", "size", "more", "count", "whole"),
    [
        # the plates stand out 50 past the middles of the legs, which lie 20 within the size: 30 a side, 25 along y
        ("box", "[800, 600, 700]", "", 4, (860, 650, 700)),
        ("box", "[800, 600, 700]", "shelf = 150", 4, (860, 650, 700)),
        ("panel", "[800, 700]", "", 2, (860, 90, 700)),
        ("trestle", "[800, 600, 700]", "", 4, (800, 0, 700)),
        ("trestle", "[800, 600, 700]", "shelf = 200", 4, (800, 0, 700)),
    ],
)
def test_every_leg_stands_on_its_plate_and_the_height_stays(
    corners: str, shape: str, size: str, more: str, count: int, whole: tuple[float, float, float]
) -> None:
    text = frame(shape, size, f'{more}\ncorners = "{corners}"\n{FOOT}', SQUARE)
    found = legs(text)
    assert len(found) == count
    assert {f.rule for f in findings(checked(HEAD + text)) if f.level != "note"} == set()
    for part in found.values():
        lowest = part.ends[0].frame.origin[2]
        assert lowest == pytest.approx(6.0, abs=1e-6)
    pieces = pieces_of(read_text(HEAD + text).definitions)
    (plate,) = [piece for piece in pieces if piece.mark == "FOOT"]
    assert plate.quantity == count
    assert plate.flat_part is not None
    assert {round(float(place.frame.origin[2]), 6) for place in plate.flat_part.places} == {0.0}
    [measured] = over_all(pieces)
    assert measured.size[2] == pytest.approx(whole[2], abs=1e-6)
    if whole[1]:
        assert measured.size == pytest.approx(whole, abs=1e-6)


@pytest.mark.parametrize("corners", ["run on", "mitred"])
def test_rails_at_the_floor_lie_on_the_plates_and_sit_on_the_legs(corners: str) -> None:
    text = frame("box", "[800, 600, 700]", f'corners = "{corners}"\n{FOOT}', SQUARE)
    made = checked(HEAD + text).tubes
    for rail in ("F-B1", "F-B2", "F-B3", "F-B4"):
        assert made[rail].frame is not None
        assert made[rail].frame.origin[2] == pytest.approx(26.0)
        assert all(any(joint.onto.startswith("F-P") for joint in end.joints) for end in made[rail].ends)
    # From the plate to the top of the top rails: 700 - 6. Three mitred there leave out the outer corner's radius.
    rounded = 6.0 * (1.0 - math.sqrt(0.5)) if corners == "mitred" else 0.0
    assert made["F-P1"].length == pytest.approx(694.0 - rounded, abs=0.01)


@pytest.mark.parametrize(("point", "low", "whole"), [("bottom", 6, 700), ("middle", 3, 703), ("top", 0, 706)])
def test_where_the_plate_lies(point: str, low: float, whole: float) -> None:
    text = frame("box", "[800, 600, 700]", FOOT.replace("edge", f'point = "{point}", edge'), SQUARE)
    assert {round(float(part.ends[0].frame.origin[2]), 6) for part in legs(text).values()} == {low}
    made = read_text(HEAD + text).definitions
    assert {tube.mark: tube.route[0].z for tube in made.tube}["F-B1"] == pytest.approx(low + 20)
    [measured] = over_all(pieces_of(made))
    assert measured.size[2] == pytest.approx(whole, abs=1e-6)


def test_a_single_leg_may_do_without_and_copies_have_theirs() -> None:
    text = frame("box", "[800, 600, 700]", f"{FOOT}\nchange = {{ P1 = {{ start = {{}} }} }}", SQUARE)
    assert sorted(legs(text)) == ["F-P2", "F-P3", "F-P4"]
    text = frame("box", "[800, 600, 700]", FOOT, SQUARE) + '[[repeat]]\nparts = "F"\ncount = 2\nstep = [900, 0, 0]\n'
    assert len(legs(text)) == 8


@pytest.mark.parametrize("shape", ["box", "trestle"])
def test_what_runs_through_a_corner_is_not_mitred_there(shape: str) -> None:
    """Rails between posts that go on to the floor, and legs under a ridge, sit on what runs through."""
    text = frame(shape, "[800, 600, 700]", 'shelf = 150\ncorners = "mitred"', SQUARE)
    assert {f.rule for f in findings(checked(HEAD + text)) if f.level != "note"} == set()


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (frame("rack", "[800, 600]", f"bars = 3\n{FOOT}"), 12, "foot has no meaning here"),
        (frame("trestle", "[800, 600, 700]", FOOT.replace("edge", 'lies = "square", edge')), 11, "leaning leg"),
        (frame("box", "[800, 600, 700]", FOOT.replace("15", "60")), 11, "leave its plate of 100 x 90 mm"),
        (frame("box", "[800, 600, 700]", f"{FOOT}\nalong = [0, 0, 1]\nup = [1, 0, 0]"), 11, "this tube runs level"),
        (frame("box", "[800, 600, 700]", FOOT.replace("thickness = 6,", "")), 11, "missing"),
    ],
)
def test_faults_of_feet_stand_at_their_lines(text: str, line: int, words: str) -> None:
    with pytest.raises(JobError) as caught:
        read_text(HEAD + text)
    problems = caught.value.problems
    assert [(problem.line, words in problem.what) for problem in problems] == [(line, True)]
