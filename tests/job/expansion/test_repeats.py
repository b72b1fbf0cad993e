"""Parts made again: tubes get marks and ends of their own, parts of sheet further places."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.app.work import built, planned
from fabgen.job.reader import JobError, read_text
from fabgen.parts.tube.routed_tube import RoutedTube

HEAD = '[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n'
PAIR = """
[[tube]]
mark = "A"
section = "60 x 40 x 3"
turn = 20
route = [[0, 0, 0], [500, 0, 0]]
[[tube]]
mark = "B"
section = "33.7 x 2.6"
route = [[250, 0, 0], [250, 0, 400]]
start = { onto = "A" }
finish = { plane = [[0, 0, 400], [1, 0, 400], [0, 1, 400]] }
[[plate]]
mark = "P"
thickness = 5
rectangle = [60, 60]
place = { at = [250, 0, 400] }
"""


def test_a_grid_gives_copies_ends_on_their_own_neighbours_and_a_place_to_each_plate() -> None:
    more = '[[repeat]]\nparts = ["A", "B", "P"]\ncount = 2\nstep = [0, 300, 0]\nrows = 2\nrow_step = [800, 0, 0]\n'
    job = read_text(HEAD + PAIR + more).definitions
    tubes = {tube.mark: tube for tube in job.tube}
    assert list(tubes) == ["A", "B", "A-2", "B-2", "A-3", "B-3", "A-4", "B-4"]
    assert tubes["B-4"].start.onto == ["A-4"]
    assert [point.xyz for point in tubes["B-4"].route] == [(1050.0, 300.0, 0.0), (1050.0, 300.0, 400.0)]
    (plate,) = job.plate
    assert plate.quantity == 4
    assert [place.at.xyz[:2] for place in plate.place] == [(250, 0), (250, 300), (1050, 0), (1050, 300)]


@given(
    ends=st.tuples(*[st.tuples(*[st.floats(-500.0, 500.0)] * 3)] * 2),
    turn=st.floats(-180.0, 180.0),
    axis=st.tuples(*[st.floats(-1.0, 1.0)] * 3),
    angle=st.floats(5.0, 170.0),
)
def test_a_tube_turned_about_an_axis_takes_its_section_with_it(
    ends: tuple[tuple[float, float, float], ...], turn: float, axis: tuple[float, float, float], angle: float
) -> None:
    """Held against quaternions: every axis of the copy's section is that of the first, turned."""
    if math.dist(*ends) < 10.0 or math.hypot(*axis) < 0.1:
        return
    text = f"""{HEAD}[[tube]]
mark = "A"
section = "60 x 40 x 3"
turn = {turn}
route = [{list(ends[0])}, {list(ends[1])}]
[[repeat]]
parts = "A"
count = 2
about = [[1, 2, 3], {[1 + axis[0], 2 + axis[1], 3 + axis[2]]}]
angle = {angle}
"""
    one, other = (RoutedTube.of(0, tube) for tube in read_text(text).definitions.tube)
    for first, copy in ((one.frame.x, other.frame.x), (one.frame.y, other.frame.y), (one.frame.z, other.frame.z)):
        assert np.allclose(_by_quaternion(first, np.array(axis), math.radians(angle)), copy, atol=1e-6)


def _by_quaternion(vector: np.ndarray, axis: np.ndarray, angle: float) -> np.ndarray:
    """v + 2 u x (u x v + w v), with the unit quaternion (w, u): any text on rotations."""
    u = axis / np.linalg.norm(axis) * math.sin(angle / 2.0)
    return np.asarray(vector + 2.0 * np.cross(u, np.cross(u, vector) + math.cos(angle / 2.0) * vector))


def test_a_plate_turned_about_an_axis_keeps_its_upper_side() -> None:
    more = '[[repeat]]\nparts = "P"\ncount = 4\nabout = [[0, 0, 0], [1, 0, 0]]\n'
    (plate,) = read_text(HEAD + PAIR + more).definitions.plate
    second = plate.place[1]
    assert second.up is not None
    assert second.up.direction == pytest.approx((0.0, -1.0, 0.0), abs=1e-12)
    assert second.at.xyz == pytest.approx((250.0, -400.0, 0.0), abs=1e-9)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('parts = "A"\ncount = 2\nstep = [0, 0, 1]\nangle = 3\n', "angle has no meaning"),
        ('parts = "A"\ncount = 2\nstep = [0, 0, 1]\nrows = 3\n', "both rows and row_step"),
        ('parts = "A"\ncount = 1\nstep = [0, 0, 1]\n', "out of range"),
        ('parts = "Q"\ncount = 2\nstep = [0, 0, 1]\n', "no part"),
        ('parts = "D"\ncount = 2\nstep = [0, 0, 1]\n', "has no place"),
    ],
)
def test_what_cannot_be_repeated(more: str, words: str) -> None:
    loose = '[[plate]]\nmark = "D"\nthickness = 5\nrectangle = [60, 60]\n'
    with pytest.raises(JobError) as caught:
        read_text(HEAD + PAIR + loose + "[[repeat]]\n" + more)
    assert any(words in problem.what for problem in caught.value.problems), caught.value.problems


# -- changes of single copies ------------------------------------------------------------
ROW = 'parts = ["A", "B"]\ncount = 3\nstep = [0, 300, 0]\n'


def test_a_change_of_one_copy_leaves_the_others() -> None:
    change = (
        'change = { A-3 = { section = "80 x 40 x 3", finish = { extend = 12 } }, B-2 = { start = { onto = "A" } } }\n'
    )
    tubes = {tube.mark: tube for tube in read_text(HEAD + PAIR + "[[repeat]]\n" + ROW + change).definitions.tube}
    assert [str(tubes[mark].section) for mark in ("A", "A-2", "A-3")] == ["60 x 40 x 3", "60 x 40 x 3", "80 x 40 x 3"]
    assert [tubes[mark].finish.extend for mark in ("A", "A-2", "A-3")] == [0.0, 0.0, 12.0]
    assert [tubes[mark].start.onto for mark in ("B", "B-2", "B-3")] == [["A"], ["A"], ["A-3"]]
    assert tubes["A-3"].route[0].xyz == (0.0, 600.0, 0.0)  # what is not changed is the copy's


def test_a_copy_of_a_changed_copy_is_changed_too() -> None:
    more = 'change = { A-2 = { note = "drill" } }\n[[repeat]]\nparts = "A-2"\ncount = 2\nstep = [0, 0, 90]\n'
    tubes = {tube.mark: tube for tube in read_text(HEAD + PAIR + "[[repeat]]\n" + ROW + more).definitions.tube}
    assert {mark for mark, tube in tubes.items() if tube.note == "drill"} == {"A-2", "A-2-2"}


@pytest.mark.parametrize(
    ("change", "words", "accepted"),
    [
        ("{ A-4 = { turn = 0 } }", 'makes no copy "A-4"', "A-2, B-2, A-3, B-3"),
        ("{ A = { turn = 0 } }", 'makes no copy "A"', "A-2, B-2, A-3, B-3"),
        ("{ A-2 = 3 }", "as a change", "keys of a [[tube]]"),
        ('{ A-2 = { mark = "Q" } }', "made of their own", "any other key"),
        ("{ A-2 = { trun = 5 } }", "trun", "turn"),
    ],
)
def test_faults_of_changes(change: str, words: str, accepted: str) -> None:
    text = HEAD + PAIR + "[[repeat]]\n" + ROW + f"change = {change}\n"
    with pytest.raises(JobError) as caught:
        read_text(text)
    (problem,) = caught.value.problems
    assert words in problem.what
    assert accepted in f"{problem.accepted} {problem.nearest}"
    assert problem.line == len(text.splitlines())


def test_a_plate_has_no_copies_to_change() -> None:
    more = 'parts = "P"\ncount = 2\nstep = [0, 0, 9]\nchange = { P-2 = { thickness = 6 } }\n'
    with pytest.raises(JobError) as caught:
        read_text(HEAD + PAIR + "[[repeat]]\n" + more)
    assert "parts of sheet keep their mark" in caught.value.problems[0].accepted


# -- bolts and welds ------------------------------------------------------------------------
HELD = """[[bracket]]
mark = "B"
shape = "clevis"
thickness = 4
gap = 31
length = 40
height = 45
bolt = "M12"
place = { against = "A", at = 150, side = "left" }
[[link]]
mark = "L"
section = "25 x 4"
between = [[150, 75, 0], [150, 400, 0]]
rod_ends = ["M12 right", "M12 left"]
[[tube]]
mark = "A"
section = "60 x 60 x 3"
turn = 0
route = [[0, 0, 0], [500, 0, 0]]
[[plate]]
mark = "P"
thickness = 5
rectangle = [60, 60]
holes = [{ at = [30, 30], bolt = "M12" }]
place = { at = [900, 0, 0] }
[[plate]]
mark = "Q"
thickness = 5
rectangle = [60, 60]
holes = [{ at = [30, 30], bolt = "M12" }]
"""


def bolts(*through: str, more: str = "", parts: str = '"A", "B", "L"', table: str = "") -> list[tuple[list[str], int]]:
    given = f'[[bolt]]\nthread = "M12"\nthrough = {list(through)}\n{more}'
    repeat = f"[[repeat]]\nparts = [{parts}]\nstep = [0, 0, 200]\ncount = 3\n"
    made = read_text(HEAD + HELD + given + table + repeat).definitions.bolt
    return [([each for each in bolt.through if isinstance(each, str)], bolt.quantity) for bolt in made]


def test_each_copy_of_a_rod_has_a_bolt_of_its_own() -> None:
    assert bolts("B", "7.5 mm", "L", "7.5 mm", "B") == [
        (["B", "L", "B"], 1), (["B", "L-2", "B"], 1), (["B", "L-3", "B"], 1)
    ]  # fmt: skip


def test_through_parts_that_keep_their_mark_there_are_more() -> None:
    assert bolts("B", "31 mm", "B") == [(["B", "B"], 3)]
    assert bolts("B", "31 mm", "B", more="quantity = 2\n") == [(["B", "B"], 6)]
    assert bolts("B", "Q") == [(["B", "Q"], 3)]  # that stands nowhere


def test_what_is_there_once_keeps_its_bolt_and_what_the_job_has_is_not_made_again() -> None:
    assert bolts("B", "P") == [(["B", "P"], 1)]
    assert bolts("P", "5 mm") == [(["P"], 1)]
    given = '[[bolt]]\nthread = "M12"\nthrough = ["B", "L-2", "B"]\nnut = "lock"\n'
    assert [through for through, _ in bolts("B", "L", "B", table=given)] == [
        ["B", "L", "B"], ["B", "L-2", "B"], ["B", "L-3", "B"]
    ]  # fmt: skip


RUNNER = """[[tube]]
mark = "R"
section = "40 x 40 x 3"
turn = 0
route = [[0, 0, 0], {end}]
holes = [
  {{ at = 100, side = "top", bolt = "M12", both_walls = true }},
  {{ at = 250, side = "top", bolt = "M12", both_walls = true }},
  {{ at = 400, side = "top", bolt = "M12", both_walls = true }},
]
[[plate]]
mark = "G"
thickness = 5
rectangle = [60, 40]
holes = [{{ at = [30, 20], bolt = "M12" }}]
place = {{ at = [70, -20, 20] }}
[[bolt]]
thread = "M12"
through = ["G", "R"]
[[repeat]]
parts = ["G"]
step = {step}
count = 3
"""


def test_bolts_follow_a_row_along_a_tube_that_is_there_once() -> None:
    loaded = read_text(HEAD + RUNNER.format(end="[500, 0, 0]", step="[150, 0, 0]"))
    (stack,) = planned(loaded, built(loaded), None, None).plan.bolts
    assert stack.quantity == 3
    assert sorted(float(line.at[0]) for line in stack.lines) == pytest.approx([100.0, 250.0, 400.0], abs=0.01)
    # A row that leaves the tube, and one along a tube that lies askew, have their bolt where the first is.
    for end, step in (("[500, 0, 0]", "[150, 150, 0]"), ("[500, 20, 0]", "[150, 0, 0]")):
        assert [bolt.quantity for bolt in read_text(HEAD + RUNNER.format(end=end, step=step)).definitions.bolt] == [1]


PADS = """
[[plate]]
mark = "BASE"
thickness = 6
rectangle = [400, 80]
place = {place}
holes = [{{ at = [50, 40], diameter = 9, row = {{ count = 3, pitch = 100 }} }}]
[[plate]]
mark = "PAD"
thickness = 5
rectangle = [40, 40]
place = {{ at = [30, 20, 6] }}
holes = [{{ at = [20, 20], diameter = 9 }}]
[[bolt]]
thread = "M8"
through = ["PAD", "BASE"]
[[repeat]]
parts = ["PAD"]
count = 3
step = {step}
"""
ON_TOP = "{ at = [0, 0, 0] }"


def test_bolts_follow_a_row_over_a_holed_plate_that_is_there_once() -> None:
    loaded = read_text(HEAD + PADS.format(place=ON_TOP, step="[100, 0, 0]"))
    (stack,) = planned(loaded, built(loaded), None, None).plan.bolts
    assert stack.quantity == 3
    assert sorted(float(line.at[0]) for line in stack.lines) == pytest.approx([50.0, 150.0, 250.0], abs=0.01)


@pytest.mark.parametrize(
    ("place", "step", "count"),
    [
        (ON_TOP, "[0, 100, 0]", 3),
        (ON_TOP, "[0, 0, 100]", 1),  # off it
        (ON_TOP, "[100, 0, 1]", 1),
        ('{ at = [0, 0, 0], along = "front", up = "left" }', "[0, 0, 100]", 3),
        ('{ at = [0, 0, 0], along = "front", up = "left" }', "[0, 100, 0]", 1),
        ("[{ at = [0, 0, 0] }, { at = [0, 0, 50] }]\nquantity = 2", "[100, 0, 0]", 1),
    ],
)
def test_a_row_that_leaves_the_plate_has_its_bolt_where_the_first_is(place: str, step: str, count: int) -> None:
    (bolt,) = read_text(HEAD + PADS.format(place=place, step=step)).definitions.bolt
    assert bolt.quantity == count


def test_a_weld_of_copies_is_welded_at_each() -> None:
    weld = '[[weld]]\nparts = ["A", "T"]\nthroat = 3\n'
    post = '[[tube]]\nmark = "T"\nsection = "25 x 2"\nroute = [[200, 30, 0], [200, 300, 0]]\n'
    repeat = '[[repeat]]\nparts = ["A", "T"]\nstep = [0, 0, 200]\ncount = 2\n'
    made = read_text(HEAD + HELD + weld + post + repeat).definitions.weld
    assert [each.parts for each in made] == [["A", "T"], ["A-2", "T-2"]]


def test_the_bolts_of_copies_stand_in_their_holes_and_are_called_after_the_first() -> None:
    bolt = '[[bolt]]\nthread = "M12"\nthrough = ["B", "7.5 mm", "L", "7.5 mm", "B"]\n'
    repeat = '[[repeat]]\nparts = ["A", "B", "L"]\nstep = [0, 0, 200]\ncount = 3\n'
    loaded = read_text(HEAD + HELD + bolt + repeat)
    found = planned(loaded, built(loaded), None, None).plan.bolts
    assert [stack.name for stack in found] == ["bolt 1", "bolt 1 copied", "bolt 1 copied 2"]
    heights = [float(line.at[2] + line.reach / 2.0 * line.axis[2]) for stack in found for line in stack.lines]
    assert heights == pytest.approx([0.0, 200.0, 400.0], abs=0.01)
