"""One slip is one problem: not again for each copy, nor for what only follows; slips of the pen are named."""

from __future__ import annotations

import pytest

from fabgen.job.errors import JobError, Problem, describe
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces

JOB = """[job]
title = "Frame"
number = "F-1"
units = "{units}"
[points]
A = [0, 200, 0]
B = [600, 200, 0]
LF = {{ from = "A", ahead = 200, left = 65 }}
[[tube]]
mark = "RAIL"
section = "40 x 40 x 3"
turn = 0
route = ["A", "B"]
[[bracket]]
mark = "ARM"
shape = "clevis"
thickness = 4
gap = 60
length = 40
height = 45
bolt = "M12"
place = {{ against = "RAIL", near = "LF", side = "left" }}
[[mirror]]
parts = ["RAIL", "ARM"]
"""
INCHES = {
    "40 x 40 x 3": "1.5 x 1.5 x 0.12",
    "200": "8",
    "600": "24",
    "65": "2.5",
    "thickness = 4": "thickness = 0.16",
}


def problems(old: str, new: str, units: str = "mm") -> list[Problem]:
    text = JOB.format(units=units)
    assert old in text
    text = text.replace(old, new)
    for metric, inch in INCHES.items() if units == "in" else ():
        text = text.replace(metric, inch)
    with pytest.raises(JobError) as caught:
        build(text)
    return caught.value.problems


def build(text: str) -> None:
    job = read_text(text)
    with job.locating():
        all_pieces(job.definitions)


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ('mark = "RAIL"', 'mark = "RAIL"\nstate = "existing"', '"existing" is none of the choices'),
        ("40 x 40 x 3", "40x40", "no wall"),
        ('"M12"', "12", "no bolt size"),
        ('near = "LF"', 'near = "LFF"', 'no point "LFF"'),
        ('against = "RAIL"', 'against = "RIAL"', 'no part "RIAL"'),
        ("ahead = 200", "forward = 200", 'no key "forward"'),
    ],
)
@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_slip_in_what_is_mirrored_is_told_once(old: str, new: str, what: str, units: str) -> None:
    (problem,) = problems(old, new, units)
    assert what in problem.what
    assert not problem.where.startswith("mirror")


def test_slips_of_two_kinds_are_both_told() -> None:
    found = problems('mark = "RAIL"', 'mark = "RAIL"\nstate = "existing"\nlies = "up"')
    assert len(found) == 2


def test_what_only_the_image_has_wrong_is_told() -> None:
    found = problems('"ARM"]', '"ARM"]\nchange = { RAIL-R = { turn = "x" } }')
    assert len(found) == 1
    assert "RAIL-R" in found[0].where


def test_a_wrong_key_of_a_part_hides_no_key_that_is_missing() -> None:
    found = problems('route = ["A", "B"]', 'colour = "red"')
    assert {problem.path[2] for problem in found} == {"colour", "route"}


def test_a_bolt_without_its_m() -> None:
    (problem,) = problems('"M12"', "12")
    assert problem.nearest == "M12"
    (problem,) = problems('"M12"', '"9"')  # of which there is none
    assert problem.nearest != "M9"


@pytest.mark.parametrize(
    ("old", "new", "what", "nearest"),
    [
        ("ahead = 200", "ahead = 200,5", "a comma stands before decimals", "ahead = 200.5"),
        ("LF = ", "L F = ", "a name has no spaces", "L_F"),
        ("A = [0, 200, 0]", "A A = [0, 200, 0]", "a name has no spaces", "A_A"),
    ],
)
def test_commas_and_spaces(old: str, new: str, what: str, nearest: str) -> None:
    (problem,) = problems(old, new)
    assert what in problem.what
    assert nearest in problem.nearest


MIRROR = '[[mirror]]\nparts = ["RAIL", "ARM"]\n'
REPEAT = '[[repeat]]\nparts = ["RAIL", "ARM"]\nstep = [0, 300, 0]\ncount = {count}\n'
HERE = '{ against = "RAIL", near = "LF", side = "left" }'
PAST = '{ against = "RAIL", at = 900, side = "left" }'


@pytest.mark.parametrize(
    ("copies", "place", "told"),
    [
        (MIRROR, PAST, ["key place, key at: this place lies off RAIL, 300 mm past its finish (so it is in ARM-R)"]),
        (REPEAT.format(count=2), PAST, ["key place, key at: this place lies off RAIL, 300 mm past its finish (so it is "
                                        "in 1 copy of that place)"]),
        (REPEAT.format(count=4), PAST, ["key place, key at: this place lies off RAIL, 300 mm past its finish (so it is "
                                        "in 3 copies of that place)"]),
        (REPEAT.format(count=3), f"[{HERE}, {PAST}]", ["key place, item 2, key at: this place lies off RAIL"]),
        (REPEAT.format(count=3), f"[{PAST}, {PAST.replace('9', '8')}]",
         ["item 1, key at: this", "item 2, key at: this"]),
        ("", PAST, ["key place, key at: this place lies off RAIL, 300 mm past its finish\n"]),
    ],
)  # fmt: skip
def test_a_fault_in_a_place_is_told_once_and_says_which_copies_have_it(
    copies: str, place: str, told: list[str]
) -> None:
    text = JOB.format(units="mm").replace(MIRROR, copies).replace(HERE, place)
    if place.startswith("["):
        text = text.replace('mark = "ARM"\n', 'mark = "ARM"\nquantity = 2\n')
    with pytest.raises(JobError) as caught:
        build(text)
    assert len(caught.value.problems) == len(told)
    assert all(each in describe(problem) for each, problem in zip(told, caught.value.problems, strict=True))


def test_a_fault_of_a_copy_alone_says_which_it_is() -> None:
    row = '[[repeat]]\nparts = ["ARM"]\nstep = [200, 0, 0]\ncount = 4\n'
    with pytest.raises(JobError) as caught:
        build(JOB.format(units="mm").replace(MIRROR, row).replace(HERE, PAST.replace("900", "100")))
    (problem,) = caught.value.problems
    assert problem.what == "this place lies off RAIL, 100 mm past its finish (that is place 4 of ARM)"
