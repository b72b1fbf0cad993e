"""Findings told together."""

from fabgen.checks.rule import MOST, Finding, graded, merged
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence


def test_the_same_of_several_marks_is_told_once() -> None:
    found = [Finding(Level.NOTE, (mark,), "rule", sentence("text")) for mark in ("T1", "T2", "T1")] + [
        Finding(Level.STOP, ("T1",), "r", sentence("t"))
    ]
    assert [finding.marks for finding in merged(found)] == [("T1", "T2"), ("T1",)]


def test_very_many_marks_are_counted() -> None:
    (one,) = merged(Finding(Level.NOTE, (f"T{i}",), "rule", sentence("text")) for i in range(MOST + 60))
    assert one.mark.startswith("T0, T1, ")
    assert one.mark.endswith(f"T{MOST - 1} and 60 more")
    assert one.data["mark"] == one.mark
    assert one.data["marks"] == [f"T{i}" for i in range(MOST + 60)]


def test_it_is_worded_in_the_units_of_its_job() -> None:
    said = sentence("it is ", mm(25.4), " too long")
    assert Finding(Level.WARN, ("T1",), "rule", said).text == "it is 25.4 mm too long"
    assert Finding(Level.WARN, ("T1",), "rule", said, units="in").text == 'it is 1" [25.4 mm] too long'


def test_the_gravest_first_else_as_they_come() -> None:
    found = [Finding(level, (mark,), "rule", sentence("t")) for level, mark in zip(reversed(Level), "ABC", strict=True)]
    assert [finding.mark for finding in graded([*found, *found])] == ["C", "C", "B", "B", "A", "A"]
