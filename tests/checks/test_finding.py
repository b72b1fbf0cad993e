"""Findings told together."""

from fabgen.checks.finding import MOST, Finding, together
from fabgen.wording.levels import Level


def test_the_same_of_several_marks_is_told_once() -> None:
    found = [Finding(Level.NOTE, (mark,), "rule", "text") for mark in ("T1", "T2", "T1")] + [
        Finding(Level.STOP, ("T1",), "r", "t")
    ]
    assert [finding.marks for finding in together(found)] == [("T1", "T2"), ("T1",)]


def test_very_many_marks_are_counted() -> None:
    (one,) = together(Finding(Level.NOTE, (f"T{i}",), "rule", "text") for i in range(MOST + 60))
    assert one.mark.startswith("T0, T1, ")
    assert one.mark.endswith(f"T{MOST - 1} and 60 more")
