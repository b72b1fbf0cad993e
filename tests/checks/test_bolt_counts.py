"""More bolts than there are holes for."""

from __future__ import annotations

import pytest
from faulty_bolt_lines import NOT_TOO_MANY, TOO_MANY, Tables
from jobs import checked, definitions, findings

from fabgen.app.hands import with_own_images
from fabgen.app.work import built, planned
from fabgen.checks.bolt.bolt_counts import RULES
from fabgen.job.reader import read_text


def told(tables: Tables) -> list[str]:
    return [each.text for each in findings(checked(definitions(**tables), planned=True), RULES)]


@pytest.mark.parametrize(("tables", "said"), TOO_MANY)
def test_too_many_are_told(tables: Tables, said: str) -> None:
    assert told(tables) == [said]


@pytest.mark.parametrize("tables", NOT_TOO_MANY)
def test_as_many_as_there_are_holes_are_not(tables: Tables) -> None:
    assert told(tables) == []


def test_a_quantity_for_both_sides_is_doubled_by_the_mirror() -> None:
    text = """[job]
title = "t"
number = "1"
units = "in"
[[plate]]
mark = "P1"
thickness = "1/4"
rectangle = [4, 3]
holes = [{ at = [1, 1], bolt = "3/8" }, { at = [3, 1], bolt = "3/8" }]
place = { at = [0, 12, 0] }
[[mirror]]
parts = ["P1"]
[[bolt]]
thread = "3/8-16 UNC"
through = ["P1", "1/4"]
quantity = 4
"""
    for quantity, said in (
        (4, ["8 of 3/8 in need 8 holes in P1, which has 4 that let them through: a smaller `quantity` (a mirror "
             "doubles it by itself)"]),
        (2, []),
    ):  # fmt: skip
        job = with_own_images(read_text(text.replace("quantity = 4", f"quantity = {quantity}")))
        found = planned(job, built(job), None).findings
        assert [each.text for each in found if each.rule == "bolt-count"] == said


def test_one_bolt_that_a_mirror_doubles_lacks_a_hole_and_is_not_too_many() -> None:
    """A lug on either side of a plate that has one hole."""
    text = """[job]
title = "t"
number = "1"
units = "mm"
[[plate]]
mark = "L"
thickness = 5
rectangle = [40, 20]
holes = [{ at = [10, 10], bolt = "M8" }]
place = { at = [60, 30, 6] }
[[plate]]
mark = "X"
thickness = 6
rectangle = [60, 120]
holes = [{ at = [20, 100], bolt = "M8" }]
place = { at = [50, -60, 0] }
[[bolt]]
thread = "M8"
through = ["L", "X"]
[[mirror]]
parts = ["L"]
"""
    job = with_own_images(read_text(text))
    (said,) = (each for each in planned(job, built(job), None).findings if each.rule == "bolt-count")
    assert said.text == ("2 of M8 need 2 holes in X, which has 1 that let them through: more holes, or fewer bolts")
