"""Tube ends that stay open: the note, and the plugs on the shopping list."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.open_ends import open_tube_ends
from fabgen.parts.shape.open_ends import open_ends
from fabgen.plan.buying.hardware import plug_purchases

POST = tube("A", (0, 0, 0), (0, 0, 900), section="40 x 40 x 3")
SILL = tube("S", (-300, 0, 900), (300, 0, 900), section="60 x 60 x 3")
FOOT = {"mark": "P", "thickness": 8, "rectangle": [100, 100], "place": {"at": [0, 0, 0], "of": [50, 50]}}
CAP = {"mark": "C", "thickness": 3, "rectangle": [40, 40]}


def count(*tubes: dict[str, Any], **tables: Any) -> dict[str, int]:
    job = checked(definitions(None, tube=list(tubes), **tables))
    return open_ends(job.job.weld, job.pieces)


@pytest.mark.parametrize(
    ("tubes", "tables", "open_still"),
    [
        ([POST], {}, {"A": 2}),
        ([POST | {"quantity": 3}], {}, {"A": 6}),
        ([SILL, POST], {}, {"S": 2, "A": 1}),  # its head sits on the sill
        ([POST], {"plate": [FOOT]}, {"A": 1}),  # it stands on a plate
        ([POST], {"plate": [CAP], "weld": [{"parts": ["C", "A"], "all_round": True, "throat": 3}]}, {"A": 1}),
        # the weld of the plate it stands on closes no other end
        ([POST], {"plate": [FOOT], "weld": [{"parts": ["A", "P"], "all_round": True, "throat": 3}]}, {"A": 1}),
    ],
)
def test_so_many_stay_open(tubes: list[dict[str, Any]], tables: dict[str, Any], open_still: dict[str, int]) -> None:
    assert count(*tubes, **tables) == open_still


def test_solid_bar_has_none() -> None:
    assert count(POST | {"section": "40 solid"}) == {}


def test_two_that_butt_close_one_another() -> None:
    other = tube("B", (0, 0, 900), (0, 0, 1500), section="40 x 40 x 3", start={"cut": "plain"})
    assert count(POST | {"finish": {"cut": "plain"}}, other) == {"A": 1, "B": 1}


def test_one_note_a_job_and_a_plug_for_each() -> None:
    job = checked(definitions(None, tube=[SILL, POST]))
    (note,) = findings(job, [open_tube_ends])
    assert (note.level, note.marks) == ("note", ("S", "A"))
    assert note.text.startswith("3 tube ends stay open to water and dirt: plug them")
    bought = {line.spec: (line.item, line.quantity) for line in plug_purchases(job.job, job.pieces)}
    assert bought == {"for 60 x 60 x 3": ("tube plug", 2), "for 40 x 40 x 3": ("tube plug", 1)}


def test_in_inches_the_plug_is_named_in_both() -> None:
    job = checked(definitions({"units": "in"}, tube=[tube("A", (0, 0, 0), (0, 0, 30), section="2 x 2 x 0.12")]))
    (line,) = plug_purchases(job.job, job.pieces)
    assert '2 x 2 x 0.120"' in line.goods.words("in")
