"""What fills the room between two parts on a bolt: a tube of the job, a bush, or what the job calls a spacer."""

from __future__ import annotations

import re
from typing import Any

import pytest
from faulty_bolt_lines import HERE, Tables, bolt, plate, sleeve
from jobs import HEADER, toml
from mirrored_tables import mirrored, worked

from fabgen.app.work import WorkedJob
from fabgen.job.errors import JobError

PLAIN = {"start": {"cut": "plain"}, "finish": {"cut": "plain"}}
CLEVIS = {"mark": "C1", "shape": "clevis", "thickness": 4, "gap": 40, "length": 40, "height": 45, "bolt": "M10"}
BUSH = {"mark": "B1", "section": "16 x 2.5"}
RULES = {
    "bolt-gap",
    "bolt-sleeve",
    "ear-gap",
    "bush-nowhere",
    "into-one-another",
    "bolt-order",
    "open-ends",
    "bolt-hole",
}


def pair(*through: Any, **more: Any) -> Tables:
    """Two plates 40 mm apart, and a bolt through both."""
    return {"plate": [plate("P1", 0, HERE), plate("P2", 46, HERE)], "bolt": [bolt(*through)], **more}


def short(low: float, high: float, section: str = "16 x 2.5", x: float = 30.0) -> list[dict[str, Any]]:
    """A short tube on the bolt's line, or beside it."""
    return [sleeve("S1", (x, 30, low), (x, 30, high), section, **PLAIN)]


def text(tables: Tables) -> str:
    lines = ["[job]", *(f"{key} = {toml(value)}" for key, value in HEADER.items())]
    for table, entries in tables.items():
        for entry in entries:
            lines += [f"[[{table}]]", *(f"{key} = {toml(value)}" for key, value in entry.items())]
    return "\n".join([*lines, ""])


def told(job: WorkedJob) -> list[str]:
    return [f"{each.rule}: {each.text}" for each in job.findings if each.rule in RULES]


def layers(job: WorkedJob) -> list[tuple[str, float]]:
    (stack,) = job.plan.bolts
    return [(layer.name, round(layer.thickness, 2)) for layer in stack.layers]


FAULTS: list[tuple[Tables, str]] = [
    (pair("P2", "P1"), "bolt-gap: 40 mm are free between P2 and P1: a spacer of that length, through = "),
    (pair("P2", "P1", tube=short(6, 40)), "bolt-sleeve: sleeve S1 is 34 mm long, 40 mm are to be filled between "),
    (pair("P2", "P1", tube=short(6, 46, x=34)), "bolt-sleeve: its sleeve S1 is 4 mm off its line, "),
    (pair("P2", "P1", tube=short(6, 46, "16 x 4")), "bolt-sleeve: M10 does not go into the bore of 8 mm of its sleeve"),
    (pair("P2", "B1", "P1", bush=[BUSH | {"length": 37}]), "bolt-gap: 3 mm are free between P2 and P1: "),
    (pair("P2", "spacer 43 mm", "P1"), "bolt-gap: 43 mm listed between P2 and P1 do not go into the 40 mm there"),
    ({"bracket": [CLEVIS], "bolt": [bolt("C1", "C1")]}, "ear-gap: nothing fills the gap of 40 mm in C1: "),
    (
        pair("P2", "B1", "P1", bush=[BUSH | {"length": 40, "quantity": 3}]),
        "bush-nowhere: 3 are made and the bolts that list it take 1: quantity = 1",
    ),
]


@pytest.mark.parametrize(("tables", "said"), FAULTS)
def test_what_does_not_fill_the_room_is_told_once(tables: Tables, said: str) -> None:
    (first,) = (each for each in told(worked(text(tables))) if not each.startswith("open-ends"))
    assert first.startswith(said)


@pytest.mark.parametrize(
    ("tables", "stack"),
    [
        # Not listed, listed by its mark, and by its length: one and the same tube.
        (pair("P2", "P1", tube=short(6, 46)), ["S1"]),
        (pair("P2", "S1", "P1", tube=short(6, 46)), ["S1"]),
        (pair("P2", "40 mm", "P1", tube=short(6, 46)), ["S1"]),
        (pair("P2", "P1", tube=short(6.4, 45.8)), ["S1"]),  # less than a millimetre short
        (pair("P2", "B1", "P1", bush=[BUSH | {"length": 40}]), ["B1"]),
        (pair("P2", "spacer 40 mm", "P1"), ["spacer"]),
        ({"bracket": [CLEVIS], "bolt": [bolt("C1", "C1")], "bush": [BUSH | {"between": "C1"}]}, ["B1"]),
        ({"bracket": [CLEVIS], "bolt": [bolt("C1", "B1", "C1")], "bush": [BUSH | {"between": "C1"}]}, ["B1"]),
    ],
)
def test_what_fills_the_room_is_in_the_stack_and_nothing_is_said(tables: Tables, stack: list[str]) -> None:
    job = worked(text(tables))
    assert not told(job)
    assert [name for name, _ in layers(job)][1:-1] == stack
    assert sum(thick for _, thick in layers(job)) == pytest.approx(52.0 if "plate" in tables else 48.0)


def test_the_line_that_fills_the_gap_makes_a_spacer_to_saw() -> None:
    job = worked(text(pair("P2", "P1")))
    (gap,) = told(job)
    line = re.search(r"through = \[.*\]", gap)
    assert line is not None
    mended = worked(text(pair("P2", "P1")).replace('through = ["P2", "P1"]', line[0]))
    assert not told(mended)
    (bought,) = (each for each in mended.plan.shopping if each.item == "spacer")
    assert (bought.spec, bought.quantity) == ("for M10, 40 mm long", 1)
    assert not [each for each in job.plan.shopping if each.item == "spacer"]


def test_a_tube_of_the_job_is_no_second_spacer_and_its_ends_take_no_plugs() -> None:
    shopping = worked(text(pair("P2", "P1", tube=short(6, 46)))).plan.shopping
    assert not {"spacer", "tube plug"} & {each.item for each in shopping}


def test_left_and_right_each_have_their_own_tube_and_a_side_without_is_told() -> None:
    both = mirrored(pair("P2", "P1", tube=short(6, 46)))
    job = worked(both)
    assert not told(job)
    assert layers(job)[1] == ("S1, S1-R", 40.0)
    one_sided = worked(both.replace(', "S1"]', "]").replace('"S1", ', ""))
    (gap,) = (each for each in told(one_sided) if each.startswith("bolt-gap"))
    assert "are free between P2 and P1 (place 2 of P2, P1): a spacer" in gap


@pytest.mark.parametrize(
    ("written", "what"),
    [
        ("spacer", '"spacer" is neither'),
        ("spacer P1", '"spacer P1" is no spacer with a length'),
        ("spacer 0 mm", '"spacer 0 mm" is no spacer with a length'),
    ],
)
def test_a_spacer_without_a_length_is_refused(written: str, what: str) -> None:
    with pytest.raises(JobError, match=re.escape(what)) as caught:
        worked(text(pair("P2", written, "P1")))
    assert "spacer 20 mm" in caught.value.problems[0].accepted


def test_a_spacer_goes_with_a_mirrored_bolt() -> None:
    job = worked(mirrored(pair("P2", "spacer 40 mm", "P1"), handed=True))
    assert [stack.name for stack in job.plan.bolts] == ["bolt 1", "bolt 1 mirrored"]
    assert all(stack.layers[1].spacer for stack in job.plan.bolts)


def test_sleeves_off_their_lines_are_told_together() -> None:
    tables = pair("P2", "P1", tube=short(6, 46, x=34))
    tables["plate"] += [plate("P3", 0, HERE, at=(500, 0)), plate("P4", 46, HERE, at=(500, 0))]
    tables["tube"] += [sleeve("S2", (535, 30, 6), (535, 30, 46), **PLAIN)]
    tables["bolt"] += [bolt("P4", "P3")]
    (said,) = (each for each in told(worked(text(tables))) if each.startswith("bolt-sleeve"))
    assert said.startswith("bolt-sleeve: sleeve S1 is 4 mm off the line of bolt 1, 1 mm of play; sleeve S2 is 5 mm off")
