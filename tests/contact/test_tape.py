"""What a tape comes to, and what stands in its way."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

import pytest

from fabgen.contact.contacts import Contacts
from fabgen.contact.tape import Tape
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.point import Point
from fabgen.parts.build import all_pieces
from fabgen.parts.survey.check_distances import CROSSWISE, LINKS, MOST, TUBES, Distance, distances, places

BOX = "60 x 60 x 3"
RAILS = """
[job]
title = "Two rails"
number = "TR-1"
units = "mm"
material = "S235"
[points]
RL = [0, 400, 0]
FL = [1000, 400, 0]
RR = [0, -400, 0]
FR = [1000, -400, 0]
[[tube]]
mark = "T1"
section = "60 x 60 x 3"
route = ["RL", "FL"]
[[tube]]
mark = "T2"
section = "60 x 60 x 3"
route = ["RR", "FR"]
[[tube]]
mark = "T3"
section = "60 x 60 x 3"
route = ["RL", "RR"]
[[tube]]
mark = "T4"
section = "60 x 60 x 3"
route = ["FL", "FR"]
"""
MIDDLE = """
[[tube]]
mark = "T5"
section = "60 x 60 x 3"
route = [[500, 400, 0], [500, -400, 0]]
"""


def with_points(points: str, more: str = "") -> str:
    return RAILS.replace("[points]\n", f"[points]\n{points}\n") + more


def tape_of(job: Definitions, read: Sequence[tuple[str, str, float]] = ()) -> Tape:
    return Tape(job, Contacts(job, all_pieces(job)).solids, read)


def worked(text: str) -> tuple[Tape, dict[str, Point], list[Distance]]:
    job = read_text(text).definitions
    tape = tape_of(job)
    return tape, {place.name: place for place in places(job)}, distances(job, tape)[0]


def inches(text: str) -> str:
    text = text.replace('units = "mm"', 'units = "in"').replace(BOX, f"{BOX} mm")
    return re.sub(r'(?<![\w".-])(-?\d+(?:\.\d+)?)(?=[,\]])', r'"\1 mm"', text)


def rows_of(rows: list[Distance], name: str) -> list[Distance]:
    return [row for row in rows if name in (row.one.name, row.other.name)]


@pytest.mark.parametrize("turned", [str, inches])
@pytest.mark.parametrize("point", ["[600, 400, 0]", "[300, 428, 20]", "[20, -150, 0]"])
def test_a_point_inside_a_rail_that_does_not_end_there_is_not_asked_for(
    point: str, turned: Callable[[str], str]
) -> None:
    tape, at, rows = worked(turned(with_points(f"H = {point}")))
    assert not tape.comes_to(at["H"])
    assert not rows_of(rows, "H")


DONOR = """
[[tube]]
mark = "D1"
section = "80 x 80 x 3"
route = [[0, 500, 0], [0, -500, 0]]
state = "there already"
"""


def test_an_end_inside_a_donors_tube_is_not_asked_for_but_the_length_of_what_is_made_is() -> None:
    text = re.sub(r'\[\[tube\]\]\nmark = "T3".*?\n\n?(?=\[\[)', DONOR, RAILS, flags=re.DOTALL)
    tape, at, rows = worked(text)
    assert not tape.comes_to(at["RL"])
    assert tape.comes_to(at["FL"])
    assert {row.what for row in rows_of(rows, "RL")} == {"T1, point to point"}


def test_what_stands_between_two_points_is_in_the_way() -> None:
    """A wall of plate 6 between two points above the rails; beside it the tape passes."""
    points = "A = [500, 300, 200]\nB = [500, -300, 200]\nC = [800, 300, 200]\nD = [800, -300, 200]"
    wall = '[[plate]]\nmark = "P1"\nthickness = 6\nrectangle = [400, 300]\n'
    wall += "place = { at = [300, 0, 50], along = [1, 0, 0], up = [0, -1, 0] }\n"
    tape, at, _ = worked(with_points(points, wall))
    assert not tape.runs(at["A"], at["B"])
    assert tape.runs(at["C"], at["D"])


@pytest.mark.parametrize(("height", "runs"), [(30.3, True), (30, True), (27.03, True), (26.97, False)])
def test_a_tape_that_lies_on_rails_or_up_to_3_mm_in_them_runs_and_no_deeper(height: float, runs: bool) -> None:
    """Across both rails, whose faces are 30 mm above their axes; 1 % of 3 mm inside that limit and outside it."""
    tape, at, _ = worked(with_points(f"A = [300, 600, {height}]\nB = [300, -600, {height}]"))
    assert tape.runs(at["A"], at["B"]) is runs


def test_corners_are_measured_from_the_same_side_over_what_stands_between() -> None:
    """Only looks wrong: the diagonal of the axes goes through the middle tube; on top of both it does not."""
    tape, at, rows = worked(RAILS + MIDDLE)
    assert tape.runs(at["RL"], at["FR"])
    across = {frozenset((row.one.name, row.other.name)) for row in rows if row.kind == CROSSWISE}
    assert {frozenset(("RL", "FR")), frozenset(("RR", "FL"))} <= across


def test_a_point_marked_on_a_rails_skin_is_asked_for() -> None:
    """Only looks wrong: on the outer face of T1, on its top, and on the top of T2."""
    tape, at, rows = worked(with_points("H = [600, 430, 0]\nK = [300, 400, 30]\nL = [600, -400, 30]"))
    assert tape.comes_to(at["H"])
    assert tape.comes_to(at["K"])
    assert any(row.one.name + row.other.name in ("KL", "LK") for row in rows)
    assert not tape.runs(at["H"], at["L"])  # T1 itself is between


IN_THE_AIR = "A = [300, 300, 300]\nB = [700, -300, 300]\nC = [100, -200, 300]\nD = [900, 200, 300]"
PADS = "".join(
    f'[[plate]]\nmark = "P{x}"\nthickness = 2\nrectangle = [20, 20]\nplace = {{ at = [{x - 10}, {y - 10}, 298] }}\n'
    for x, y in ((300, 300), (700, -300), (100, -200), (900, 200))
)
"""Sheet under each of these points."""


def test_a_corner_under_skin_is_not_asked_for_from_a_point_above_where_others_serve() -> None:
    tape, at, rows = worked(with_points(IN_THE_AIR, PADS))
    assert not tape.reads(at["A"], at["RL"])
    assert tape.reads(at["A"], at["B"])
    assert {row.one.name + row.other.name for row in rows_of(rows, "A")} <= {"AB", "AC", "AD", "BA", "CA", "DA"}
    assert len(rows_of(rows, "A")) >= 2


def test_what_was_read_already_stays() -> None:
    text = with_points("H = [600, 400, 0]")
    job = read_text(text).definitions
    tape = tape_of(job, [("H", "RR", 1000.0)])
    at = {place.name: place for place in places(job)}
    assert tape.runs(at["RR"], at["H"])
    assert tape.reads(at["H"], at["RR"])


def test_rods_stay_where_there_are_too_many_distances() -> None:
    """40 pairs of points, each crosswise: 80 rows, and the rods and tubes besides."""
    pairs = "".join(f"L{i} = [{20 * i + 40}, 200, 200]\nM{i} = [{20 * i + 40}, -200, 200]\n" for i in range(45))
    rod = '[[link]]\nmark = "K1"\nsection = "25.4 x 4"\nbetween = ["L3", "L30"]\nrod_ends = ["M12 right", "M12 left"]\n'
    job = read_text(with_points(pairs, rod)).definitions
    rows, more = distances(job)
    assert len(rows) <= MOST
    assert more > 0
    assert [row.what for row in rows if row.kind == LINKS] == ["K1"]
    assert len([row for row in rows if row.kind == TUBES]) == 4
    crosswise = [row.what for row in rows if row.kind == CROSSWISE]
    assert all(crosswise.count(what) == 2 for what in crosswise)


def test_points_in_the_air_are_no_end_for_a_tape() -> None:
    tape, at, rows = worked(with_points(IN_THE_AIR))
    assert not any(tape.is_held(at[name]) for name in "ABCD")
    assert not [row for name in "ABCD" for row in rows_of(rows, name)]


@pytest.mark.parametrize(
    ("point", "more"),
    [
        (
            "H = [300, 0, 300]",
            '[[plate]]\nmark = "P1"\nthickness = 5\nrectangle = [40, 40]\nplace = { at = [290, -10, 300] }\n',
        ),
        (
            "H = [320, 0, 260]",  # the middle of a clevis, 40 mm from either ear's hole
            '[[plate]]\nmark = "P1"\nthickness = 5\nrectangle = [40, 40]\n'
            "holes = [{ at = [20, 20], diameter = 12 }]\n"
            "quantity = 2\n"
            "place = [{ at = [300, -40, 280], up = [0, 1, 0] }, { at = [300, 35, 280], up = [0, 1, 0] }]\n",
        ),
        ('H = { tape = { RL = 600, FL = 900, RR = 850 }, side = "above" }', ""),
        ("H = [600, 430, 0]", ""),
    ],
    ids=["on sheet", "in a clevis", "by the tape", "on a rail's skin"],
)
def test_a_point_at_metal_a_bolt_or_a_mark_is_one(point: str, more: str) -> None:
    """Only look as if they were in the air."""
    tape, at, _ = worked(with_points(point, more))
    assert tape.is_held(at["H"])


@pytest.mark.parametrize(("point", "held"), [("HUB", True), ("BALL", True), ("OTHER", False), ("SIZE", False)])
def test_offsets_from_what_was_measured_are_marks_and_sizes_to_build_to_are_none(point: str, held: bool) -> None:
    points = 'HUB = { tape = { RL = 600, FL = 900, RR = 850 }, side = "above" }\nBALL = { from = "HUB", down = 60 }\n'
    points += 'OTHER = { mirror = "BALL" }\nSIZE = { from = "RL", up = 300 }'
    tape, at, _ = worked(with_points(points))
    assert tape.is_held(at[point]) is held


def test_no_tape_runs_in_the_bore_of_a_tube() -> None:
    """From 1 mm inside the skin of a donor's tube to the middle of its far end."""
    tube = DONOR.replace("80 x 80 x 3", "44.5 x 3").replace("[0, ", "[500, ").replace("0]", "300]")
    tape, at, _ = worked(with_points("E = [521.2, 420, 300]\nG = [500, -500, 300]\nK = [522.2, -420, 300]", tube))
    assert not tape.runs(at["E"], at["G"])
    assert tape.runs(at["E"], at["K"])  # along the skin
