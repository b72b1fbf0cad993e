"""Checks of bolts and prices."""

from __future__ import annotations

from jobs import checked, findings

from fabgen.checks.bolt.bolts import BOLT_RULES
from fabgen.checks.stock_and_prices import PLAN_REMARKS

JOB = """
[job]
title = "Checks"
number = "C-1"
units = "mm"
[[plate]]
mark = "P1"
thickness = 6
rectangle = [200, 60]
holes = [{ at = [30, 30], bolt = "M10" }, { at = [100, 30], diameter = 12.5, length = 40, turn = 30 }]
[[tube]]
mark = "T1"
section = "30 x 2"
route = [[0, 0, 0], [300, 0, 0]]
[[tube]]
mark = "T2"
section = "30 solid"
route = [[0, 100, 0], [300, 100, 0]]
[[link]]
mark = "L1"
section = "25.4 x 4"
length = 400
rod_ends = ["M12 right", "M12 left"]
"""


def rules(more: str) -> list[tuple[str, str]]:
    found = findings(checked(JOB + more, planned=True), (*BOLT_RULES, *PLAN_REMARKS))
    return [(finding.rule, finding.mark) for finding in found]


def test_a_bolt_needs_a_hole_that_lets_it_through() -> None:
    assert ("bolt-hole", "bolt 1") not in rules('[[bolt]]\nthread = "M10"\nthrough = ["P1", 60]\n')
    assert ("bolt-hole", "bolt 1") not in rules('[[bolt]]\nthread = "M12"\nthrough = ["P1", 60]\n')  # the slot
    assert ("bolt-hole", "bolt 1") in rules('[[bolt]]\nthread = "M14"\nthrough = ["P1", 60]\n')


def test_a_bare_tube_gives_way() -> None:
    assert ("bolt-through-tube", "bolt 1") in rules('[[bolt]]\nthread = "M8"\nthrough = ["T1"]\n')
    assert ("bolt-through-tube", "bolt 1") not in rules('[[bolt]]\nthread = "M8"\nthrough = ["T2"]\n')


def test_a_bolt_fits_the_eye_it_goes_through() -> None:
    assert ("bolt-in-eye", "bolt 1") not in rules('[[bolt]]\nthread = "M12"\nthrough = [6, "L1", 6]\n')
    assert ("bolt-in-eye", "bolt 1") in rules('[[bolt]]\nthread = "M10"\nthrough = [6, "L1", 6]\n')
    assert ("bolt-in-eye", "bolt 1") in rules('[[bolt]]\nthread = "M14"\nthrough = [6, "L1", 6]\n')


def test_thread_in_the_joint_is_noted() -> None:
    assert ("thread-in-joint", "bolt 1") not in rules('[[bolt]]\nthread = "M12"\nthrough = [6, 16, 6]\n')
    assert ("thread-in-joint", "bolt 1") in rules('[[bolt]]\nthread = "M12"\nthrough = [7, 16, 9]\n')
    assert ("thread-in-joint", "bolt 1") not in rules('[[bolt]]\nthread = "M12"\nthrough = [7, 16, 9]\nwashers = 3\n')
    assert ("thread-in-joint", "bolt 1") in rules('[[bolt]]\nthread = "M8"\nthrough = [3, 3]\n')


def test_a_price_for_nothing_is_found() -> None:
    assert rules('[[price]]\nitem = "rodend"\nspec = "M21"\neach = 3\n') == [("price-unused", "price 1")]
    assert rules('[[price]]\nitem = "rod ends"\neach = 3\n') == []
