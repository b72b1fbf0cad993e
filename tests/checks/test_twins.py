"""What is wrong with a bolt and with its mirror image is said once, and names both."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from faulty_bolt_lines import ALONE, HEMMED, SLEEVES, SPEAKS, TOO_MANY, UNREACHED, UNSEATED, Tables
from faulty_bolt_lines import bolt as through
from held_rods import EARS, ROD
from held_rods import bolt as named_bolt
from mirrored_tables import mirrored, worked

from fabgen.checks.registry import groups
from fabgen.checks.rule import Finding

OF_BOLTS = {rule.name for group in groups() if group.of_twins for rule in group.rules}
FAULTS = [
    *(tables for tables, _ in (*SPEAKS, *TOO_MANY[:2], *UNSEATED[1:], *UNREACHED[:1], *SLEEVES[:4], *ALONE[:1])),
    HEMMED[0],
    HEMMED[2],
]


def told(text: str) -> list[Finding]:
    return [each for each in worked(text).findings if each.rule in OF_BOLTS]


@pytest.mark.parametrize("tables", FAULTS)
def test_a_fault_on_both_sides_is_one_finding_that_names_both(tables: Tables) -> None:
    found = told(mirrored(tables, handed=True))
    assert found
    for each in found:
        assert each.rule == "hole-covered" or {"bolt 1", "bolt 1 mirrored"} <= set(each.marks), each
        marks = Counter(re.findall(r"\b(?:P|W|V|S)\d?(?:-[RM])?\b", each.text))
        images = {mark[:-2] for mark in marks if mark[-2:] in ("-R", "-M")}
        assert {mark for mark in marks if mark[-2:] not in ("-R", "-M")} == images, each.text
    assert len({(each.rule, each.text) for each in found}) == len(found)


def test_own_images_of_a_part_that_keeps_its_mark_are_one_bolt_of_which_there_are_two() -> None:
    """Left and right are one mark made twice, and so is the bolt."""
    (stack,) = worked(mirrored(SPEAKS[3][0])).plan.bolts
    assert (stack.name, stack.quantity, len(stack.lines)) == ("bolt 1", 2, 2)


def test_what_is_so_on_one_side_alone_is_told_of_that() -> None:
    """A wall beside the head on one side; the other has none."""
    job = mirrored(HEMMED[0], handed=True)
    (both,) = (each for each in told(job) if each.rule == "bolt-room")
    assert both.text.endswith("; likewise bolt 1 mirrored (W-R)")
    one_sided = job.replace('parts = ["P1", "P2", "W"]', 'parts = ["P1", "P2"]')
    assert [each.marks for each in told(one_sided) if each.rule == "bolt-room"] == [("bolt 1",)]


def test_a_pin_that_runs_off_the_bolt_of_an_image_is_told_of_it_too() -> None:
    points = (
        "[points]\nA = [200, 65, 300]\nB = [200, 400, 300]\nQ1 = [0, -900, 0]\nQ2 = [9, -900, 0]\nQ3 = [0, -900, 9]\n"
    )
    rod = ROD.format(mark="L1", at=200).replace("[[200, 65, 300], [200, 400, 300]]", '["A", "B"]')
    job = EARS.format(quantity=2).replace("[[tube]]", points + "[[tube]]", 1) + rod
    job += named_bolt("E1", "3 mm", "L1", "3 mm", "E1") + '[[pin]]\nat = "A"\naxis = [0, 0, 1]\n'
    mirror = '[[mirror]]\nparts = ["S1", "E1", "L1"]\nplane = ["Q1", "Q2", "Q3"]\n'
    (off,) = (each for each in told(job + mirror) if each.rule == "pin-off-bolt")
    assert off.marks == ("bolt 1", "bolt 1 mirrored")
    assert "bolt 1: the [[pin]] at A runs 90.0° off it; bolt 1 mirrored: the [[pin]] at A-R" in off.text
    right = (job + mirror).replace("axis = [0, 0, 1]", "axis = [1, 0, 0]")
    assert not [each for each in told(right) if each.rule == "pin-off-bolt"]


BY_HAND = """[[bolt]]
thread = "M10"
through = ["P2-R", "P1-R"]
"""


def test_a_bolt_that_the_job_lists_for_the_image_goes_with_the_first() -> None:
    """Whether the mirror makes it or the job lists it is all the same."""
    for tables, rule in ((SPEAKS[3][0], "bolt-gap"), (HEMMED[0], "bolt-room"), (SPEAKS[2][0], "bolt-no-axis")):
        job = mirrored(tables, handed=True) + BY_HAND
        assert [stack.name for stack in worked(job).plan.bolts] == ["bolt 1", "bolt 2"]
        (one,) = (each for each in told(job) if each.rule == rule)
        assert one.marks == ("bolt 1", "bolt 2")
        assert "; likewise bolt 2 (" in one.text


def test_two_bolts_through_one_mark_are_told_together_with_their_places() -> None:
    """Both plates are their own images, and the job lists a bolt for each side of another one that is not mirrored."""
    by_hand = mirrored(HEMMED[0]).replace("[[mirror]]", '[[bolt]]\nthread = "M10"\nthrough = ["P2", "P1"]\n[[mirror]]')
    found = [each for each in told(by_hand) if each.rule == "bolt-room"]
    assert len({each.text for each in found}) == len(found)
    assert {mark for each in found for mark in each.marks} <= {"bolt 1", "bolt 2"}


CLEVIS = {"mark": "C1", "shape": "clevis", "thickness": 4, "gap": 40, "length": 40, "height": 45, "bolt": "M10",
          "place": {"at": [0, 0, 0]}}  # fmt: skip
WALL = {"mark": "W", "thickness": 5, "rectangle": [80, 80],
        "place": {"at": [-20, -20, 85], "along": [1, 0, 0], "up": [0, 1, 0], "lies": "front"}}  # fmt: skip
HANDED = {"holes": [{"at": [8, 16], "diameter": 3, "face": "base"}]}


@pytest.mark.parametrize(
    ("clevis", "said"),
    [
        (CLEVIS, "from the left at place 1 of C1 and from the right at place 2 of C1 only: its head goes there"),
        (CLEVIS | HANDED, "from the left only: its head goes there; likewise bolt 1 mirrored (W-R, from the right)"),
    ],
)
def test_the_side_that_a_bolt_goes_in_from_is_told_of_both(clevis: dict[str, object], said: str) -> None:
    tables: Tables = {"bracket": [clevis], "plate": [WALL], "bolt": [through("C1", "spacer 40 mm", "C1")]}
    (way_in,) = (each for each in told(mirrored(tables, handed="holes" in clevis)) if each.rule == "bolt-way-in")
    assert way_in.text.endswith(said)
