"""Bolts that hold what stands elsewhere: five faults, what only looks wrong, and the limit."""

from __future__ import annotations

import pytest
from held_rods import between, bolt, flats, rods
from jobs import checked, findings, read

from fabgen.checks.bolt.bolt_counts import bolt_count
from fabgen.checks.bolt.bolt_lines import bolt_order
from fabgen.checks.bolt.unheld import bolt_unheld


def said(text: str) -> list[str]:
    return [finding.text for finding in findings(checked(read(text), planned=True), (bolt_unheld,))]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (rods(200, 400) + between("L1") + between("L2"), "L2 stands 175 mm away from E1 along it"),
        (rods(400) + between("L1"), "L1 stands 175 mm away from E1 along it"),
        (rods(60) + between("L1"), "L1 stands 115 mm away from E1 along it"),
        (rods(200) + between("L1") + between("L1"), "the holes of E1 on its line are those of bolt 1: nothing "),
        (flats(50) + bolt("P2", "P1") * 2, "the holes of P2, P1 on its line are those of bolt 1: place"),
        (rods(300, 420) + between("L1") + between("L2"), "bolt 1, L1 stands 75 mm away from E1"),
    ],
)  # fmt: skip
def test_what_no_hole_holds_is_told(text: str, words: str) -> None:
    (found,) = said(text)
    assert words in found
    assert findings(checked(read(text), planned=True), (bolt_order,)) == []  # "list them so" mends nothing


@pytest.mark.parametrize(
    "text",
    [
        rods(200) + between("L1"),
        flats(50, 150) + bolt("P2", "P1") * 2,  # each in holes of its own
        rods(230) + between("L1"),  # beside its ear: listed in the wrong order
        rods(200, 400, quantity=4) + between("L1") * 2,  # half of the ears have no place yet
    ],
)  # fmt: skip
def test_what_only_looks_wrong_is_not(text: str) -> None:
    assert said(text) == []


def test_two_tables_of_like_bolts_have_holes_of_their_own() -> None:
    one, other = checked(read(flats(50, 150) + bolt("P2", "P1") * 2), planned=True).plan.bolts
    assert abs(one.lines[0].at[0] - other.lines[0].at[0]) == pytest.approx(100.0, abs=0.01)


@pytest.mark.parametrize(("off", "speaks"), [(0.99, False), (1.01, True)])
def test_the_limit_is_three_widths_of_the_bolt_and_what_is_listed_between(off: float, speaks: bool) -> None:
    """From the outer face of the ear at 217 to the face of an eye 16 wide."""
    assert bool(said(rods(217.0 + 8.0 + off * (36.0 + 6.0)) + between("L1"))) is speaks


def test_of_single_bolts_no_smaller_quantity_is_asked_for() -> None:
    job = checked(read(rods(200, 400) + between("L1") + between("L2")), planned=True)
    (found,) = findings(job, (bolt_count,))
    assert found.text.endswith(": more holes, or fewer bolts")
