"""Parts mirrored: what images are called, where they lie, which are their own, and errors that name the nearest."""

from __future__ import annotations

import re

import numpy as np
import pytest

from fabgen.app.hands import with_own_images
from fabgen.app.work import built, planned
from fabgen.job.expansion.written import written
from fabgen.job.reader import Job, JobError, read_text
from fabgen.parts.piece import Piece
from fabgen.parts.shape.sheet_body import sheet_body

HEAD = """[job]
title = "t"
number = "1"
units = "mm"
[points]
A = [0, 300, 0]
B = [800, 300, 0]
C = [400, 0, 300]
Q1 = [1000, 0, 0]
Q2 = [1000, 500, 0]
Q3 = [1000, 0, 500]
"""
RAIL = """[[tube]]
mark = "S"
section = "48.3 x 3.2"
route = ["A", "B"]
[[tube]]
mark = "U"
section = "33.7 x 2.6"
route = [[400, 300, 0], "C"]
start = { onto = "S" }
"""
ANGLE = """[[bracket]]
mark = "G"
shape = "angle"
thickness = 3
length = 80
legs = [40, 30]
holes = [{ at = [20, 20], face = "a", bolt = "M8" }]
place = { at = [300, 330, 30], along = [1, 0, 0], up = [0, 0.6, 0.8] }
"""
PLATE = """[[plate]]
mark = "P"
thickness = 5
corners = [[0, 0], [80, 0], [60, 50], [0, 30]]
place = { at = [100, 320, 0], along = [1, 0.2, 0], up = [0, 1, 0] }
"""


def mirror(*parts: str, more: str = "") -> str:
    names = ", ".join(f'"{part}"' for part in parts)
    return f"[[mirror]]\nparts = [{names}]\n{more}\n"


def settled(text: str) -> Job:
    return with_own_images(read_text(text))


def pieces_of(text: str) -> dict[str, Piece]:
    return {piece.mark: piece for piece in built(settled(text))}


def body(piece: Piece, place: int = 0) -> np.ndarray:
    """Points of a sheet part's surface where it stands, close together on its arcs."""
    part = piece.flat_part
    assert part is not None
    return part.places[place].frame.outside(sheet_body(part, 0.002).vertices)


def apart(one: np.ndarray, other: np.ndarray) -> float:
    """How far two bodies lie from one another, mm."""
    far = np.linalg.norm(one[:, None] - other[None], axis=2)
    return float(max(far.min(axis=0).max(), far.min(axis=1).max()))


ACROSS = np.array([1.0, -1.0, 1.0])
NEAR = 0.2
"""Points of one arc lie that near to those of another, mm."""


def test_tubes_are_mirrored_with_points_of_their_own_and_sit_on_images() -> None:
    job = settled(HEAD + RAIL + mirror("S", "U")).definitions
    tubes = {tube.mark: tube for tube in job.tube}
    assert list(tubes) == ["S", "S-R", "U", "U-R"]
    assert [point.name for point in tubes["S-R"].route] == ["A-R", "B-R"]
    assert tubes["S-R"].route[1].xyz == (800.0, -300.0, 0.0)
    assert tubes["U-R"].start.onto == ["S-R"]
    assert tubes["U-R"].route[1].name == "C"  # which lies on the plane
    assert set(job.points) == {"A", "B", "C", "Q1", "Q2", "Q3", "A-R", "B-R"}


def test_what_lies_on_both_sides_meets_both_hands_alike() -> None:
    """A cross member that is listed after the left rail sits on both rails, though the right one is made last."""
    rail = '[[tube]]\nmark = "S"\nsection = "40 x 40 x 3"\nroute = ["A", "B"]\nfinish = { extend = "20 mm" }\n'
    across = '[[tube]]\nmark = "C1"\nsection = "40 x 40 x 3"\nroute = ["B", [800, -300, 0]]\n'
    pieces = pieces_of(HEAD + rail + across + mirror("S"))
    lengths = {mark: piece.length_part.length for mark, piece in pieces.items() if piece.length_part is not None}
    assert lengths == pytest.approx({"S": 820.0, "S-R": 820.0, "C1": 560.0})


def test_a_point_that_is_the_image_already_is_taken() -> None:
    text = HEAD.replace("Q1", 'D = { mirror = "A" }\nM = { middle = ["B", "B-R"] }\nQ1', 1)
    job = settled(text + RAIL + mirror("S")).definitions
    (image,) = (tube for tube in job.tube if tube.mark == "S-R")
    assert [point.name for point in image.route] == ["D", "B-R"]
    assert job.points["M"].xyz == (800.0, 0.0, 0.0)  # measured from the image of another


@pytest.mark.parametrize(
    ("marks", "text", "images"),
    [
        (("S",), RAIL, ["S-R"]),
        (("S-L",), RAIL.replace('"S"', '"S-L"'), ["S-R"]),
        (("S",), RAIL.replace('["A", "B"]', "[[0, -300, 0], [800, -300, 0]]"), ["S-L"]),
    ],
)
def test_images_are_called_by_their_side(marks: tuple[str, ...], text: str, images: list[str]) -> None:
    assert list(read_text(HEAD + text + mirror(*marks)).expanded.images) == images


def test_another_plane_and_names_of_ones_own() -> None:
    more = 'plane = ["Q1", "Q2", "Q3"]\nmarks = { S = "REAR", A = "AR" }'
    job = settled(HEAD + RAIL + mirror("S", "U", more=more)).definitions
    tubes = {tube.mark: tube for tube in job.tube}
    assert list(tubes) == ["S", "REAR", "U", "U-M"]
    assert [point.name for point in tubes["REAR"].route] == ["AR", "B-M"]
    np.testing.assert_allclose(tubes["REAR"].route[0].xyz, (2000.0, 300.0, 0.0), atol=1e-9)


def test_a_flat_plate_is_one_mark_made_twice_turned_over() -> None:
    plate = pieces_of(HEAD + PLATE + mirror("P"))
    assert list(plate) == ["P"]
    assert plate["P"].quantity == 2
    assert apart(body(plate["P"]) * ACROSS, body(plate["P"], 1)) < NEAR


def test_a_plate_on_which_more_than_its_mark_is_etched_has_two_hands() -> None:
    for more in ('tubes = [{ tube = "30 x 20 x 2", at = [30, 20] }]', 'mark_text = "FRONT"'):
        pieces = pieces_of(HEAD + PLATE + more + "\n" + mirror("P"))
        assert pieces["P-R"].opposite_of == "P", more
    assert list(pieces_of(HEAD + PLATE + 'mark_text = ""\n' + mirror("P"))) == ["P"]


def test_a_folded_part_has_hands_unless_a_mirror_makes_it_again() -> None:
    handed = pieces_of(HEAD + ANGLE + mirror("G"))
    assert handed["G-R"].opposite_of == "G"
    assert handed["G-R"].title == "opposite hand of G"
    assert apart(body(handed["G"]) * ACROSS, body(handed["G-R"])) < NEAR
    alike = pieces_of(HEAD + ANGLE.replace("[20, 20]", "[40, 20]") + mirror("G"))
    assert alike["G"].quantity == 2
    assert apart(body(alike["G"]) * ACROSS, body(alike["G"], 1)) < NEAR
    legs = ANGLE.replace("[40, 30]", "[40, 40]").replace('[20, 20], face = "a"', '[20, 20], face = "b"')
    both = legs.replace('"M8" }]', '"M8" }, { at = [60, 20], face = "a", bolt = "M8" }]')
    assert list(pieces_of(HEAD + both + mirror("G"))) == ["G", "G-R"]  # turned end for end it is itself, not mirrored
    own = legs.replace('"M8" }]', '"M8" }, { at = [20, 20], face = "a", bolt = "M8" }]')
    itself = pieces_of(HEAD + own + mirror("G"))  # mirrored from leg to leg it is
    assert list(itself) == ["G"]
    assert apart(body(itself["G"]) * ACROSS, body(itself["G"], 1)) < NEAR


def test_what_stands_nowhere_is_made_twice_or_has_hands() -> None:
    loose = "\n".join(line for line in ANGLE.splitlines() if not line.startswith("place")) + "\n"
    handed = pieces_of(HEAD + loose + mirror("G"))
    assert handed["G-M"].opposite_of == "G"
    alike = pieces_of(HEAD + loose.replace("[20, 20]", "[40, 20]") + "quantity = 3\n" + mirror("G"))
    assert alike["G"].quantity == 6


def test_mirrored_twice_a_part_is_itself() -> None:
    again = mirror("G-R", "S-R", more='marks = { G-R = "G9", S-R = "S9" }')
    job = settled(HEAD + RAIL + ANGLE + mirror("G", "S") + again)
    bracket, tube = ({part.mark: part for part in parts} for parts in (job.definitions.bracket, job.definitions.tube))
    assert bracket["G9"].opposite_of is None
    assert bracket["G9"].model_copy(update={"mark": "G"}).model_dump(exclude={"place"}) == bracket["G"].model_dump(
        exclude={"place"}
    )
    assert [point.xyz for point in tube["S9"].route] == [point.xyz for point in tube["S"].route]
    assert [point.name for point in tube["S9"].route] == ["A", "B"]
    made = {piece.mark: piece for piece in built(job)}
    assert apart(body(made["G"]), body(made["G9"])) < 1e-6
    assert made["G9"].flat_part.outline == made["G"].flat_part.outline


def test_a_straight_tube_that_turns_into_its_image_is_one_piece_of_metal() -> None:
    short = RAIL.replace('"C"]', "[400, 100, 300]]")
    pieces = pieces_of(HEAD + short + mirror("S", "U"))
    assert (pieces["U-R"].same_as, pieces["S-R"].same_as) == ("U", "S")
    meeting = pieces_of(HEAD + RAIL + mirror("S", "U"))["U-R"]  # which sits on its first, so it is neither
    assert (meeting.same_as, meeting.opposite_of) == ("", "")
    skew = RAIL.replace(
        '"C"]', "[500, 180, 260]]\nfinish = { plane = { at = [500, 180, 260], normal = [0.4, 0.3, 1] } }"
    )
    assert pieces_of(HEAD + skew + mirror("S", "U"))["U-R"].opposite_of == "U"


MOVING = """[[body]]
name = "arm"
points = ["B"]
marks = ["P"]
[[joint]]
name = "pivot"
kind = "hinge"
between = ["arm", "frame"]
at = "A"
axis = [0.2, 1, 0]
[[wheel]]
name = "wheel"
on = "arm"
centre = "B"
axis = [0, 1, 0.1]
diameter = 500
[[envelope]]
name = "caliper"
on = "arm"
shape = "box"
at = "B"
size = [50, 60, 70]
[[pin]]
at = "B"
axis = [0.5, 0.5, 0]
"""


def test_what_moves_is_mirrored_by_its_names() -> None:
    text = HEAD + RAIL + PLATE + MOVING + mirror("S", "P", "arm", "pivot", "wheel", "caliper")
    job = settled(text).definitions
    arm = job.body[1]
    assert (arm.name, [point.name for point in arm.points], arm.marks) == ("arm-R", ["B-R"], [])
    assert job.plate[0].place[1].on == "arm-R"
    assert job.joint[1].between == ["arm-R", "frame"]
    assert job.joint[1].axis.direction == (0.2, -1.0, 0.0)
    assert (job.wheel[1].on, job.wheel[1].centre.name) == ("arm-R", "B-R")
    assert job.envelope[1].at.name == "B-R"
    assert (job.pin[1].at.name, job.pin[1].axis.direction) == ("B-R", (0.5, -0.5, 0.0))


def test_frames_and_what_stands_round_tubes() -> None:
    frame = """[[frame]]
mark = "F"
shape = "rack"
section = "40 x 40 x 3"
size = [600, 400]
at = [0, 200, 0]
bars = 1
[[tube]]
mark = "CROSS"
section = "48.3 x 3.2"
route = [[900, -500, 0], [900, 500, 0]]
[[bar]]
mark = "HOOP"
shape = "U-bolt"
diameter = 10
around = "CROSS"
at = 700
ends = { thread = "M10" }
height = 90
"""
    job = settled(HEAD + frame + mirror("F", "HOOP")).definitions
    assert {"F-R1-R", "F-S1-R"} <= {tube.mark for tube in job.tube}
    _, image = job.bar
    assert (image.mark, image.around, image.at) == ("HOOP-R", "CROSS", pytest.approx(300.0))
    with pytest.raises(JobError, match="does not lie alike on both sides"):
        settled(HEAD + frame.replace("-500", "-400") + mirror("F", "HOOP"))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (mirror("S", "X9"), r'there is no part "X9" to mirror'),
        (mirror("SS"), "nearest: S"),
        (mirror("S", more='plane = ["Q1", "Q2"]'), "plane"),
        (mirror("S", more='plane = ["Q1", "Q2", "A9"]'), 'there is no point "A9"'),
        (mirror("S", more='plane = ["A", "B", "A"]'), "lie in one line"),
        (mirror("S", more='marks = { S = "U" }'), 'the image of S would be called "U", which is taken'),
        (mirror("S", more='marks = { A = "B" }'), 'would be called "B", which is another point'),
        (mirror("S", more='marks = { U = "Z" }'), '"U" gets no image with a name of its own here'),
        (mirror("S", more='change = { S-L = { title = "x" } }'), 'this mirror makes no "S-L"'),
        (mirror("P") + mirror("P-R"), "P is its own mirror image, so it keeps its mark"),
    ],
)
def test_errors_name_the_place_and_the_nearest(text: str, says: str) -> None:
    with pytest.raises(JobError) as caught:
        settled(HEAD + RAIL + PLATE + text)
    assert says in str(caught.value), str(caught.value)
    assert "mirror" in str(caught.value)


def test_images_can_be_changed_and_are_written_out() -> None:
    job = settled(HEAD + RAIL + mirror("S", "U", more='change = { U-R = { title = "right" } }'))
    assert {tube.mark: tube.title for tube in job.definitions.tube}["U-R"] == "right"
    text = written(job.expanded)
    assert 'A-R = { mirror = "A" }' in text
    assert '[[tube]]  # by mirror 1, after S\nmark = "S-R"' in text
    own = written(settled(HEAD + PLATE + mirror("P")).expanded)
    assert "quantity = 2" in own


AGAINST = """[[tube]]
mark = "R"
section = "60 x 40 x 3"
turn = 0
route = [[0, 300, 0], [900, 340, 0]]
[[tube]]
mark = "CR"
section = "48.3 x 3.2"
route = [[-200, 600, 0], [-200, -600, 0]]
"""
LEAN = [[0, 0], [80, 0], [60, 50], [0, 30]]
PARTS = {
    "plate": ("plate", f"thickness = 4\ncorners = {LEAN}"),
    "etched": ("plate", f'thickness = 4\ncorners = {LEAN}\nmark_text = "F"'),
    "angle": (
        "bracket",
        'shape = "angle"\nthickness = 3\nlength = 60\nlegs = [40, 30]\n'
        'holes = [{ at = [20, 20], face = "a", diameter = 7 }]',
    ),
    "even": ("bracket", 'shape = "angle"\nthickness = 3\nlength = 60\nlegs = [40, 30]'),
}
PLACES = [
    '{ against = "R", at = 300, side = "left", turn = 20 }',
    '{ against = "R", at = 300, from = "finish", side = "top", offset = 4, of = [10, 12] }',
    '{ against = "R", at = 300, side = 90, turn = -35, lies = "front" }',
    '{ against = "R", at = 200, side = "top", stands_on = "bottom", turn = 90, offset = 3 }',
    '{ against = "R", at = 200, side = "right", stands_on = "left", lies = "back" }',
    '{ against = "R", near = [500, 320, 0], side = "left", along = [1, 0, 0.4] }',
    '{ against = "CR", at = 300, side = "top", turn = 90 }',
    '{ against = "CR", at = 250, side = 30, turn = 0, stands_on = "bottom" }',
    "{ between = [[0, 200, 50], [300, 260, 90]] }",
]


QUICK = (0, 3, 6)
"""Places that are tried at each run."""


@pytest.mark.parametrize(
    "place", [pytest.param(p, marks=() if i in QUICK else pytest.mark.slow) for i, p in enumerate(PLACES)]
)
def test_places_against_tubes_are_mirrored_with_these(place: str) -> None:
    tables = [
        f'[[{table}]]\nmark = "{mark}"\n{keys}\nplace = {place}\n'
        for mark, (table, keys) in PARTS.items()
        if not ("stands_on" in place and "left" in place and table == "bracket")  # whose left edge is no straight one
    ]
    pieces = pieces_of(
        HEAD + AGAINST + "".join(tables) + mirror("R", *[m for m in PARTS if f'"{m}"' in "".join(tables)])
    )
    for mark in PARTS:
        if mark not in pieces:
            continue
        image = pieces.get(f"{mark}-R")
        assert (image is not None) == (mark in ("etched", "angle")), mark
        there = body(pieces[mark], 1) if image is None else body(image)
        assert apart(body(pieces[mark]) * ACROSS, there) < NEAR, (mark, place)


def test_a_part_against_one_that_is_turned_over_stands_where_it_should() -> None:
    base = f'[[plate]]\nmark = "P"\nthickness = 4\ncorners = {LEAN}\nplace = {PLACES[0]}\n'
    lug = '[[bracket]]\nmark = "G"\nshape = "angle"\nthickness = 3\nlength = 30\nlegs = [20, 15]\n'
    hole = 'holes = [{ at = [8, 12], face = "a", diameter = 5 }]\n'
    on = 'place = { against = "P", at = [20, 15], turn = 15 }\n'
    pieces = pieces_of(HEAD + AGAINST + base + lug + hole + on + mirror("R", "P", "G"))
    assert pieces["P"].quantity == 2
    assert apart(body(pieces["G"]) * ACROSS, body(pieces["G-R"])) < NEAR
    even = pieces_of(HEAD + AGAINST + base + lug + on + mirror("R", "P", "G"))
    assert apart(body(even["G"]) * ACROSS, body(even["G"], 1)) < NEAR
    with pytest.raises(JobError, match="of which this mirror makes no copy"):
        settled(HEAD + AGAINST + base + mirror("P"))


ELSEWHERE = 'plane = ["Q1", "Q2", "Q3"]'


@pytest.mark.parametrize("place", ["{ at = [100, 320, 0], along = [1, 0.2, 0], up = [0, 1, 0] }", PLACES[0], PLACES[8]])
def test_a_plate_mirrored_at_two_planes_stands_at_four_places(place: str) -> None:
    plate = f'[[plate]]\nmark = "P"\nthickness = 4\ncorners = {LEAN}\nplace = {place}\n'
    again = mirror("P", "R", "R-R", more=ELSEWHERE)
    pieces = pieces_of(HEAD + AGAINST + plate + mirror("P", "R") + again)
    assert pieces["P"].quantity == 4
    first, across, ahead, both = (body(pieces["P"], number) for number in range(4))
    assert apart(first * ACROSS, across) < NEAR
    for one, image in ((first, ahead), (across, both)):
        assert apart(one * [-1.0, 1.0, 1.0] + [2000.0, 0.0, 0.0], image) < NEAR


@pytest.mark.parametrize(
    "part",
    [
        f'[[plate]]\nmark = "X"\nthickness = 4\nmark_text = "F"\ncorners = {LEAN}\n'
        f'[[plate]]\nmark = "G"\nopposite_of = "X"\nthickness = 4\nmark_text = "F"\ncorners = {LEAN}\n',
        '[[cover]]\nmark = "G"\nshape = "panel"\nthickness = 2\n'
        "points = [[0, 100, 0], [100, 100, 0], [100, 200, 0], [0, 220, 0]]\n",
    ],
)
def test_an_opposite_hand_or_a_panel_by_points_against_what_is_turned_over(part: str) -> None:
    base = f'[[plate]]\nmark = "P"\nthickness = 4\ncorners = {LEAN}\nplace = {PLACES[0]}\n'
    on = 'place = { against = "P", at = [20, 15], turn = 15 }\n'
    pieces = pieces_of(HEAD + AGAINST + base + part + on + mirror("R", "P", "G"))
    assert apart(body(pieces["G"]) * ACROSS, body(pieces["G-R"])) < NEAR


def assert_in_four_corners(one: Piece, other: Piece) -> None:
    """A part and its opposite hand, each at two places, the second turned half round from the first."""
    assert (one.quantity, other.quantity, other.opposite_of) == (2, 2, one.mark)
    over, across = np.array([-1.0, 1.0, 1.0]), np.array([2000.0, 0.0, 0.0])
    assert apart(body(one) * ACROSS, body(other)) < NEAR
    assert apart(body(one) * over + across, body(other, 1)) < NEAR
    assert apart(body(one) * ACROSS * over + across, body(one, 1)) < NEAR


AGAINST_PLATE = 'place = { against = "P", at = [20, 15], turn = 15 }\n'


def test_a_later_mirror_takes_what_is_placed_against_an_image_of_an_earlier() -> None:
    """The angle is placed against the plate, which one mirror turns over; the next mirrors both hands of the angle, so
    that each is made twice."""
    angle = re.sub(r"place = .*\n", AGAINST_PLATE, ANGLE)
    first = HEAD + PLATE + angle + mirror("P", "G")
    pieces = pieces_of(first + mirror("P", "G", "G-R", more='plane = ["Q1", "Q2", "Q3"]'))
    assert {mark: len(piece.flat_part.places) for mark, piece in pieces.items()} == {  # type: ignore[union-attr]
        "P": 4, "G": 2, "G-R": 2,
    }  # fmt: skip
    assert_in_four_corners(pieces["G"], pieces["G-R"])


def test_of_a_plate_with_two_hands_both_are_named_in_a_later_mirror() -> None:
    etched = PLATE + 'mark_text = "FRONT"\n'
    text = HEAD + etched + re.sub(r"place = .*\n", AGAINST_PLATE, ANGLE) + mirror("P", "G")
    with pytest.raises(JobError, match="G-R is placed against P-R, of which this mirror makes no copy"):
        settled(text + mirror("P", "G", "G-R", more='plane = ["Q1", "Q2", "Q3"]'))
    pieces = pieces_of(text + mirror("P", "P-R", "G", "G-R", more='plane = ["Q1", "Q2", "Q3"]'))
    assert list(pieces) == ["P", "P-R", "G", "G-R"]
    for mark in "PG":
        assert_in_four_corners(pieces[mark], pieces[f"{mark}-R"])


CORNER = "".join((RAIL, ANGLE.replace("{ at = [300, 330, 30], along = [1, 0, 0], up = [0, 0.6, 0.8] }",
                                      '{ against = "S", at = 300, side = "left" }')))  # fmt: skip
FOUR = mirror("S", "U", "G") + mirror("S", "S-R", "U", "U-R", "G", "G-R", more=ELSEWHERE)


def test_four_corners_by_two_mirrors_are_two_marks_made_twice() -> None:
    pieces = pieces_of(HEAD + CORNER + FOUR)
    assert [mark for mark in pieces if mark.startswith("G")] == ["G", "G-R"]
    assert_in_four_corners(pieces["G"], pieces["G-R"])
    assert [place.against for place in pieces["G-R"].flat_part.places] == ["S-R", "S-M"]
    own = pieces_of(HEAD + CORNER.replace("[20, 20]", "[40, 20]") + FOUR.replace(', "G-R"', ""))["G"]
    assert (own.quantity, len(own.flat_part.places)) == (4, 4)


def test_an_opposite_hand_of_the_file_is_one_mark_with_the_image_that_it_is() -> None:
    other = ANGLE.replace('mark = "G"', 'mark = "K"\nopposite_of = "G"')
    pieces = pieces_of(HEAD + ANGLE + other.replace("[300, 330, 30]", "[300, 330, 90]") + mirror("G", "K"))
    assert {mark: piece.quantity for mark, piece in pieces.items()} == {"G": 2, "K": 2}
    assert apart(body(pieces["G"]) * ACROSS, body(pieces["K"], 1)) < NEAR


@pytest.mark.parametrize(
    ("more", "marks"),
    [
        ('change = { G-R-M = { title = "rear" } }', ["G", "G-R", "G-R-M"]),
        ('marks = { G = "REAR" }', ["G", "REAR", "G-R"]),
    ],
)
def test_an_image_that_is_changed_or_named_keeps_a_mark_of_its_own(more: str, marks: list[str]) -> None:
    pieces = pieces_of(HEAD + ANGLE + mirror("G") + mirror("G", "G-R", more=f"{ELSEWHERE}\n{more}"))
    assert sorted(pieces) == sorted(marks)
    if "REAR" in marks:
        assert pieces["REAR"].same_as == "G-R"


def test_of_three_mirrors_what_the_last_has_to_name_says_which_part_it_is() -> None:
    under = 'plane = ["Z1", "Z2", "Z3"]\nmarks = { G = "LOW", G-R = "LOW-R", G-M = "LOW-M", G-R-M = "LOW-R-M" }'
    text = HEAD + "Z1 = [0, 0, -300]\nZ2 = [500, 0, -300]\nZ3 = [0, 500, -300]\n" + ANGLE + mirror("G")
    text += mirror("G", "G-R", more=ELSEWHERE) + mirror("G", "G-R", "G-M", "G-R-M", more=under)
    pieces = pieces_of(text)
    assert {mark: (piece.quantity, piece.same_as) for mark, piece in pieces.items()} == {
        "G": (2, ""), "G-R": (2, ""), "LOW": (1, "G-R"), "LOW-R": (1, "G"), "LOW-M": (1, "G"), "LOW-R-M": (1, "G-R"),
    }  # fmt: skip


def test_bolts_welds_and_what_rides_go_with_images_that_are_one_part() -> None:
    on = 'place = { against = "G", face = "a", at = [20, 20], hole = 1, side = "back" }\n'
    stay = re.sub(r"place = .*\n", on, ANGLE).replace('mark = "G"', 'mark = "H"')
    held = bolt('"H"', '"G"') + '[[weld]]\nparts = ["H", "G"]\nthroat = 3\n[[body]]\nname = "ARM"\nmarks = ["G", "H"]\n'
    text = HEAD + ANGLE + stay + held + mirror("G", "H", "ARM")
    job = settled(text + mirror("G", "G-R", "H", "H-R", "ARM", "ARM-R", more=ELSEWHERE)).definitions
    assert [(each.through, each.quantity) for each in job.bolt] == [(["H", "G"], 2), (["H-R", "G-R"], 2)]
    assert [weld.parts for weld in job.weld] == [["H", "G"], ["H-R", "G-R"]]
    assert {each.name: each.marks for each in job.body} == {
        "ARM": ["G", "H"], "ARM-R": ["G-R", "H-R"], "ARM-M": [], "ARM-R-M": [],
    }  # fmt: skip
    parts = {each.mark: each.place for each in job.bracket}
    assert [place.on for place in parts["G"]] == [None, "ARM-R-M"]
    assert [(place.against, place.against_place) for place in parts["H-R"]] == [("G-R", None), ("G-R", 2)]


def test_tubes_of_two_mirrors_say_which_they_are_one_piece_of_metal_with() -> None:
    skew = RAIL.replace(
        '"C"]', "[500, 180, 260]]\nfinish = { plane = { at = [500, 180, 260], normal = [0.4, 0.3, 1] } }"
    )
    pieces = pieces_of(HEAD + skew + mirror("S", "U") + mirror("S", "S-R", "U", "U-R", more=ELSEWHERE))
    same = {mark: (piece.same_as, piece.opposite_of) for mark, piece in pieces.items()}
    assert {mark: same[mark] for mark in ("S-R", "S-M", "S-R-M")} == dict.fromkeys(("S-R", "S-M", "S-R-M"), ("S", ""))
    assert [same[mark] for mark in ("U-R", "U-M", "U-R-M")] == [("", "U"), ("U-R", ""), ("U", "")]


# -- bolts and welds --------------------------------------------------------------------
ACROSS_BAR = '[[tube]]\nmark = "C1"\nsection = "40 x 40 x 3"\nroute = [[400, 300, 0], [400, -300, 0]]\n'
LONE = '[[tube]]\nmark = "C2"\nsection = "40 x 40 x 3"\nroute = [[600, 300, 0], [600, 100, 0]]\n'
LOOSE = '[[plate]]\nmark = "W"\nthickness = 3\ndisc = "40 mm"\nholes = [{ at = [0, 0], bolt = "M8" }]\nquantity = 8\n'


def bolt(*through: str, **keys: object) -> str:
    more = "".join(f"{key} = {value}\n" for key, value in keys.items())
    return f'[[bolt]]\nthread = "M8"\nthrough = [{", ".join(through)}]\n{more}'


def bolts_of(text: str) -> list[tuple[list[object], int]]:
    return [(bolt.through, bolt.quantity) for bolt in settled(text).definitions.bolt]


@pytest.mark.parametrize(
    ("parts", "given", "more", "images"),
    [
        # Through parts that keep their mark, with a length or a loose part between: twice as many.
        (["P"], bolt('"P"', '"8 mm"', quantity=4), "", [(["P", 8.0], 8)]),
        (["P"], bolt('"P"', '"W"', quantity=4), LOOSE, [(["P", "W"], 8)]),
        (["P"], bolt('"P"', '"C1"'), ACROSS_BAR, [(["P", "C1"], 2)]),
        # Through one with an image of its own: one through that.
        (["S"], bolt('"3 mm"', '"S"', quantity=4), "", [([3.0, "S"], 4), ([3.0, "S-R"], 4)]),
        (["P", "S"], bolt('"P"', '"S"'), "", [(["P", "S"], 1), (["P", "S-R"], 1)]),
        (["S"], bolt('"C1"', '"S"'), ACROSS_BAR, [(["C1", "S"], 1), (["C1", "S-R"], 1)]),
        # What stands on one side alone has no image to be bolted to.
        (["S"], bolt('"C2"', '"S"'), LONE, [(["C2", "S"], 1)]),
        (["S"], bolt('"P"', '"S"'), "", [(["P", "S"], 1)]),
        (["S"], bolt('"P"', '"8 mm"'), "", [(["P", 8.0], 1)]),
        # The job has it already, whichever way round, or a bolt right through both.
        (
            ["P", "S"],
            bolt('"P"', '"S"') + bolt('"S-R"', '"2 mm"', '"P"'),
            "",
            [(["P", "S"], 1), (["S-R", 2.0, "P"], 1)],
        ),
        (["S"], bolt('"S"', '"C1"', '"S-R"'), ACROSS_BAR, [(["S", "C1", "S-R"], 1)]),
    ],
)
def test_bolts_go_with_what_is_mirrored(
    parts: list[str], given: str, more: str, images: list[tuple[list[object], int]]
) -> None:
    flat = PLATE + 'holes = [{ at = [30, 20], bolt = "M8" }]\n'
    assert bolts_of(HEAD + RAIL + flat + more + given + mirror(*parts)) == images


# A plate across the middle, 60 from it to either side, with a hole 40 to the left; a lug bolted on top of that.
LUG = """[[plate]]
mark = "L"
thickness = 5
corners = [[0, 0], [40, 0], [30, 20], [0, 20]]
holes = [{ at = [10, 10], bolt = "M8" }]
place = { at = [60, 30, 6], along = [1, 0, 0], up = [0, 0, 1] }
"""
ANGLE_ON = """[[bracket]]
mark = "G"
shape = "angle"
thickness = 3
length = 40
legs = [40, 30]
holes = [{ at = [10, 20], face = "a", bolt = "M8" }]
place = { at = [60, 60, 6], along = [1, 0, 0], up = [0, 0, 1] }
"""


def across(holes: str = "[20, 20], [20, 100]", shape: str = "rectangle = [60, 120]", at: str = "[50, -60, 0]") -> str:
    cut = ", ".join(f'{{ at = {each}], bolt = "M8" }}' for each in holes.removesuffix("]").split("], "))
    stands = f"{{ at = {at}, along = [1, 0, 0], up = [0, 0, 1] }}"
    return f'[[plate]]\nmark = "X"\nthickness = 6\n{shape}\nholes = [{cut}]\nplace = {stands}\n'


@pytest.mark.parametrize(
    ("middle", "count"),
    [
        (across(), 2),
        # Its holes are where they are: another for a wire does not keep the bolt on one side.
        (across("[20, 20], [20, 100], [40, 90]"), 2),
        (across("[20, 20], [20, 100]", "corners = [[0, 0], [60, 20], [60, 100], [0, 120]]"), 2),
        (across("[0, -40], [0, 40]", 'disc = "130 mm"', "[60, 0, 0]"), 2),
        # Not its own image: longer to one side, moved 1 mm aside, cut off at one corner.
        (across("[20, 20], [20, 100]", "rectangle = [60, 121]"), 1),
        (across(at="[50, -61, 0]"), 1),
        (across("[20, 20], [20, 100]", "corners = [[0, 0], [60, 0], [60, 100], [0, 120]]"), 1),
    ],
)
def test_a_bolt_through_a_plate_that_is_its_own_image_is_on_both_sides(middle: str, count: int) -> None:
    names = ["G", "G-R"][:count]
    assert bolts_of(HEAD + middle + ANGLE_ON + bolt('"G"', '"X"') + mirror("G")) == [([n, "X"], 1) for n in names]


def test_through_two_parts_that_keep_their_marks_there_are_more() -> None:
    assert bolts_of(HEAD + across() + LUG + bolt('"L"', '"X"') + mirror("L")) == [(["L", "X"], 2)]


def test_two_plates_that_are_one_anothers_image_are_bolted_on_both_sides() -> None:
    one = across("[20, 20]", at="[50, 20, 0]")
    stands = "{ at = [50, -140, 0], along = [1, 0, 0], up = [0, 0, 1] }"
    pair = one.replace("place = ", "quantity = 2\nplace = [").rstrip() + f", {stands}]\n"
    assert bolts_of(HEAD + pair + LUG + bolt('"L"', '"X"') + mirror("L")) == [(["L", "X"], 2)]


def test_a_bent_tube_across_the_middle_is_bolted_on_both_sides() -> None:
    hoop = ("[[tube]]\nmark = 'X'\nsection = '40 x 2'\nbend_radius = {}\n"
            "route = [[0, 400, 0], [0, 400, 800], [0, -400, 800], [0, -400, 0]]\n")  # fmt: skip
    for radii, count in ((120, 2), ("[120, 120]", 2), ("[120, 150]", 1)):
        text = HEAD + hoop.format(radii) + ANGLE + bolt('"G"', '"X"') + mirror("G")
        assert [through for through, _ in bolts_of(text)] == [["G", "X"], ["G-R", "X"]][:count]


BEAM = '[[tube]]\nmark = "T"\nsection = "48.3 x 3.2"\nroute = [[0, -300, 0], [0, 300, 0]]\n'
AROUND = {
    "strap": '[[strap]]\nmark = "X"\nwidth = 60\nthickness = 4\nround = "T"\nat = {}\nbolt = "M8"\n',
    "U-bolt": '[[bar]]\nmark = "X"\nshape = "U-bolt"\ndiameter = 10\naround = "T"\nat = {}\nclamps = [6]\n',
    "skirt": '[[cover]]\nmark = "X"\nshape = "skirt"\nthickness = 2\ndiameter = 300\nheight = 100\narc = 120\n'
    "place = {{ at = [0, {}, 0] }}\n",
    "cone": '[[cover]]\nmark = "X"\nshape = "cone"\nthickness = 2\nbottom = 300\ntop = 200\nheight = 90\n'
    "place = {{ at = [0, {}, 0] }}\n",
}


@pytest.mark.parametrize(
    ("kind", "at", "count"),
    [
        ("strap", 300, 2),
        ("strap", "[200, 400]", 2),
        ("U-bolt", 300, 2),
        ("skirt", 0, 2),
        ("cone", 0, 2),
        # Beside the middle, or one of two that is none of the other's image.
        ("strap", 310, 1),
        ("strap", "[200, 410]", 1),
        ("U-bolt", 310, 1),
        ("skirt", 10, 1),
        ("cone", 1, 1),
    ],
)
def test_what_is_bent_or_rolled_across_the_middle_is_bolted_on_both_sides(kind: str, at: object, count: int) -> None:
    text = HEAD + BEAM + AROUND[kind].format(at) + ANGLE_ON + bolt('"G"', '"X"') + mirror("G")
    assert [through for through, _ in bolts_of(text)] == [["G", "X"], ["G-R", "X"]][:count]


def test_mirrored_bolts_stand_in_the_plates_own_holes_and_a_hole_that_is_not_there_is_a_stop() -> None:
    held = ANGLE_ON + bolt('"G"', '"X"') + mirror("G")
    job = settled(HEAD + across() + held)
    stacks = planned(job, built(job), None).plan.bolts
    assert [stack.name for stack in stacks] == ["bolt 1", "bolt 1 mirrored"]
    middles = [line.at[:2] for stack in stacks for line in stack.lines]
    assert middles == [pytest.approx([70.0, 40.0], abs=0.01), pytest.approx([70.0, -40.0], abs=0.01)]
    job = settled(HEAD + across("[20, 100]") + held)
    stops = [each for each in planned(job, built(job), None).findings if each.is_stop]
    assert any("bolt 1 mirrored" in each.marks and "out of line" in each.text for each in stops)
    assert all("bolt 1" not in each.marks for each in stops)


def test_a_bolt_mirrored_twice_stands_four_times() -> None:
    text = HEAD + RAIL + bolt('"3 mm"', '"S"', quantity=2) + mirror("S")
    text += mirror("S", "S-R", more='plane = ["Q1", "Q2", "Q3"]')
    assert bolts_of(text) == [([3.0, mark], 2) for mark in ("S", "S-R", "S-M", "S-R-M")]
    job = settled(text)
    names = [stack.name for stack in planned(job, built(job), None).plan.bolts]
    assert names == ["bolt 1", "bolt 1 mirrored", "bolt 1 mirrored 2", "bolt 1 mirrored 3"]


def test_what_is_wrong_with_a_bolt_is_told_once_on_its_own_line() -> None:
    text = HEAD + RAIL + bolt('"3 mm"', '"S"', quantity=0) + mirror("S")
    with pytest.raises(JobError) as told:
        settled(text)
    (fault,) = told.value.problems
    assert text.split("\n")[(fault.line or 0) - 1] == "quantity = 0"


def test_welds_go_with_what_is_mirrored() -> None:
    """The symbol of a weld stands on the image too, and closes its ends alike."""
    weld = '[[weld]]\nparts = ["U", "S"]\nthroat = 3\n[[weld]]\nparts = ["P", "C2"]\nthroat = 3\n'
    welds = settled(HEAD + RAIL + PLATE + LONE + weld + mirror("S", "U")).definitions.weld
    assert [each.parts for each in welds] == [["U", "S"], ["P", "C2"], ["U-R", "S-R"]]


@pytest.mark.parametrize("place", PLACES[6:8])
def test_a_folded_part_turned_round_on_what_lies_on_both_sides_is_set_out_there(place: str) -> None:
    """Its image is placed by points, and is set out on the tube all the same, as far from the tube's other end."""
    table, keys = PARTS["even"]
    text = HEAD + AGAINST + f'[[{table}]]\nmark = "even"\n{keys}\nplace = {place}\n' + mirror("even")
    part = pieces_of(text)["even"].flat_part
    assert part is not None
    own, image = (each.set_out for each in part.places)
    assert own is not None
    assert image is not None
    assert own.on == image.on == "CR"
    assert own.along is not None
    assert image.along is not None
    assert image.along == pytest.approx((1200.0 - own.along[1], 1200.0 - own.along[0]), abs=0.01)
