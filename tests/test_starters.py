"""What README and starters promise: frames by their outside sizes that fit at once."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest

from fabgen.app.starters import starters
from fabgen.app.work import WorkedJob, work_on
from fabgen.checks.checked import Checked
from fabgen.checks.registry import run_checks
from fabgen.checks.rule import Finding
from fabgen.job.reader import Job, read_job, read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart

README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
WHOLE_FRAMES = ("worktable", "gate", "trailer", "rail")
MOST_LINES = 60
ASKED = "rod-end-figures"
"""A starter has rod ends from a table: that yours be measured is what it should say."""


def grave(found: Iterable[Finding]) -> list[str]:
    """What was found besides notes, and besides that rod ends be measured."""
    return [finding.text for finding in found if finding.level != "note" and finding.rule != ASKED]


def graver(job: Job) -> list[str]:
    return grave(run_checks(Checked(job.definitions, all_pieces(job.definitions))))


def lengths(job: Job) -> dict[str, float]:
    pieces = all_pieces(job.definitions)
    return {piece.mark: part.length for piece in pieces if (part := piece.length_part) is not None}


def over_all(job: Job) -> list[float]:
    """The size of a job's straight tubes over all, mm, by the corners of their saw cuts."""
    points = []
    for piece in all_pieces(job.definitions):
        part = piece.length_part
        assert isinstance(part, LengthPart) or piece.kind == "plate"
        for end in part.ends if part is not None else ():
            walls = np.array([[y, z] for y in (-0.5, 0.5) for z in (-0.5, 0.5)])
            frame, section = part.frame, part.section
            assert frame is not None
            middle = end.frame.origin + end.line.longest * end.frame.x
            points += [middle + y * section.depth * frame.y + z * section.width * frame.z for y, z in walls]
    return [float(size) for size in np.ptp(np.array(points), axis=0)]


@pytest.mark.parametrize("name", starters())
def test_no_starter_draws_a_look(name: str) -> None:
    assert graver(read_job(starters()[name])) == []


@pytest.mark.parametrize("name", WHOLE_FRAMES)
def test_whole_frames_are_short(name: str) -> None:
    lines = starters()[name].read_text(encoding="utf-8").splitlines()
    assert len([line for line in lines if line.strip()]) <= MOST_LINES


def test_the_readme_begins_with_a_box_that_fits() -> None:
    written = re.search(r"```toml\n(.*?)```", README, re.DOTALL)
    assert written is not None
    job = read_text(written[1])
    assert graver(job) == []
    assert over_all(job) == pytest.approx([900.0, 500.0, 23.625 * 25.4], abs=0.01)


def test_the_worktable_is_as_high_as_it_says_with_its_feet() -> None:
    made = lengths(read_job(starters()["worktable"]))
    assert [made[f"TABLE-P{i}"] for i in (1, 2, 3, 4)] == pytest.approx([850.0 - 6.0] * 4)


def test_the_gate_is_as_large_as_it_says() -> None:
    job = read_job(starters()["gate"])
    assert lengths(job)["GATE-X2a"] == pytest.approx(lengths(job)["GATE-X2b"])
    made = lengths(job)
    assert [made["GATE-P1"], made["GATE-T1"]] == pytest.approx([1200.0, 1500.0])


def test_the_drawbar_and_the_rail_have_two_sides_alike() -> None:
    trailer, rail = (lengths(read_job(starters()[name])) for name in ("trailer", "rail"))
    assert trailer["D1"] == pytest.approx(trailer["D2"])
    assert rail["KNEEa"] == pytest.approx(rail["KNEEb"])
    # Mitred, the end posts reach to the rail's upper side; the one between stops below it.
    assert rail["POST"] == pytest.approx(1050.0 + 21.2 - 8.0)


@pytest.fixture(scope="module")
def suspension() -> WorkedJob:
    return work_on(starters()["suspension"])


def test_the_suspension_as_a_whole_draws_no_look(suspension: WorkedJob) -> None:
    assert grave(suspension.findings) == []


def test_the_suspension_moves_one_way_a_side_and_its_balls_angles_are_one_note(suspension: WorkedJob) -> None:
    movement = suspension.movement
    assert movement is not None
    assert [sweep.name for sweep in movement.sweeps] == ["travel-L", "travel-R"]
    (angles,) = (finding for finding in suspension.findings if finding.rule == "ball-angle")
    assert angles.level == "note"
    assert set(angles.marks) == {f"L{number}-{side}" for number in (1, 2, 3) for side in "LR"}  # three rods a side


def test_the_suspensions_right_side_is_as_long_as_its_left(suspension: WorkedJob) -> None:
    made = {piece.mark: part.length for piece in suspension.pieces if (part := piece.length_part) is not None}
    for left in (mark for mark in made if mark.endswith("-L")):
        assert made[left.removesuffix("-L") + "-R"] == pytest.approx(made[left], abs=0.01), left


def test_the_suspensions_through_bolts_pass_the_holes_of_one_bracket(suspension: WorkedJob) -> None:
    bolts = suspension.plan.bolts
    assert all(len(bolt.lines) == bolt.quantity and all(line.in_line for line in bolt.lines) for bolt in bolts)
    assert [bolt.quantity for bolt in bolts if bolt.title.startswith("damper")] == [2]
    arms = [bolt.lines[0] for bolt in bolts if any(seat.passage.mark.startswith("E") for seat in bolt.lines[0].seats)]
    assert len(arms) == len(bolts) - len(arms) - 1 == 4
    # Ear, 0.5 mm, the arm's tube of 70 mm, 0.5 mm, ear.
    assert {tuple(round(seat.begins, 3) for seat in line.seats) for line in arms} == {(0.0, 4.5, 75.0)}
