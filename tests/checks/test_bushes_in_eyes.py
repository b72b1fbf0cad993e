"""Bushes in the eyes of link rods: faults that an old hand sees at once, and what only looks wrong."""

from __future__ import annotations

import pytest
from jobs import checked, findings

from fabgen.checks.bushes import RULES
from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces

LINK = """[job]
title = "t"
number = "n"
units = "mm"
material = "S235"
[[link]]
mark = "L1"
section = "25 x 3"
length = 400
rod_ends = [{{ eye = "38 x 3", width = 45, bush = "{name}" }}, {other}]
[[bush]]
mark = "B1"
{keys}
"""
"""An eye of 32 mm bore, 45 wide."""
THREAD = '"M12 right"'
BOTH = '{ eye = "38 x 3", width = 45, bush = "B1" }'


def told(keys: str, other: str = THREAD) -> list[tuple[str, str]]:
    job = checked(LINK.format(keys=keys, other=other, name="B1"))
    return [(each.rule, each.level.value) for each in findings(job, RULES)]


@pytest.mark.parametrize(
    ("keys", "other", "rule"),
    [
        ('section = "32.5 x 4"\nfit = "press"', THREAD, ("bush-hole", "stop")),  # does not go in
        ('section = "30 x 4"\nfit = "press"', THREAD, ("bush-hole", "stop")),  # falls through
        ('section = "40 x 12"\nfit = "rubber"', THREAD, ("bush-hole", "stop")),  # torn
        ('section = "32 x 4"\nfit = "press"\nlength = 30', THREAD, ("bush-length", "stop")),  # ends inside the eye
        ('section = "32 x 4"\nfit = "press"\nbolt = "M27"', THREAD, ("bush-bore", "stop")),
        ('section = "32 x 4"\nfit = "press"\nquantity = 1', BOTH, ("bush-nowhere", "warn")),  # two eyes, one bush
    ],
)
def test_a_fault_is_spoken_of(keys: str, other: str, rule: tuple[str, str]) -> None:
    assert told(keys, other) == [rule]


@pytest.mark.parametrize(
    ("keys", "other"),
    [
        ('section = "32 x 4"\nfit = "press"', BOTH),
        ('section = "33.3 x 8"\nfit = "rubber"', THREAD),  # larger than its eye, as rubber is to be
    ],
)
def test_what_only_looks_wrong(keys: str, other: str) -> None:
    assert told(keys, other) == []


def test_limits_of_rubber_in_an_eye() -> None:
    """32 mm is 0.88 of 36.36."""
    limit = 32 / 0.88
    assert told(f'section = "{limit * 0.99} x 8"\nfit = "rubber"') == []
    assert told(f'section = "{limit * 1.01} x 8"\nfit = "rubber"') == [("bush-hole", "stop")]


def test_it_is_as_long_as_the_eye_is_wide_and_one_for_each() -> None:
    job = checked(LINK.format(keys='section = "32 x 4"\nfit = "press"', other=BOTH, name="B1"))
    bush = next(piece for piece in job.pieces if piece.mark == "B1")
    assert bush.quantity == 2
    assert bush.length_part is not None
    assert bush.length_part.length == pytest.approx(45.0)
    (said,) = (each.text for each in findings(checked(LINK.format(
        keys='section = "30 x 4"\nfit = "press"', other=THREAD, name="B1")), RULES))  # fmt: skip
    assert said.startswith("the bore of an eye of L1 is 32 mm and the bush 30 mm: it is not held: an eye of 30 mm bore")


def test_an_eye_names_a_bush() -> None:
    with pytest.raises(JobError, match='"L1" is the mark of no bush'):
        all_pieces(checked(LINK.format(keys='section = "32 x 4"', other=THREAD, name="L1")).job)


def test_a_job_without_bushes_says_so() -> None:
    link, _, _ = LINK.format(keys="", other=THREAD, name="L1").partition("[[bush]]")
    with pytest.raises(JobError) as caught:
        all_pieces(checked(link).job)
    (problem,) = caught.value.problems
    assert (problem.path[-1], problem.accepted) == ("bush", "the mark of a [[bush]]: there is none")
