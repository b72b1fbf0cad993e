"""What every command on a job does: read, build, plan, check."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fabgen.checks.checked import Checked
from fabgen.checks.finding import Finding
from fabgen.checks.registry import run_checks
from fabgen.job.errors import JobError
from fabgen.job.rack import Rack, read_rack
from fabgen.job.reader import Job, read_job
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.parts.survey.measured import Change, Survey, changes, with_changes
from fabgen.plan.effort import Effort, Progress, silent
from fabgen.plan.job_plan import plan_job
from fabgen.plan.plan import Plan

if TYPE_CHECKING:
    from fabgen.motion.movement import Movement


@dataclass(frozen=True, eq=False)
class WorkedJob:
    """A job worked through; `rack` is the stock on hand its plan was made with, if any."""

    job: Job
    pieces: Sequence[Piece]
    plan: Plan
    findings: Sequence[Finding]
    rack: Rack | None
    movement: Movement | None = None
    changes: Sequence[Change] = ()

    @property
    def survey(self) -> Survey | None:
        """What is measured of the job, None where it has no point."""
        job = self.job.definitions
        return Survey(job, self.job.drawn or job, self.job.built, self.changes) if job.points else None


def work_on(
    path: Path, rack_path: Path | None = None, effort: Effort = Effort.NORMAL, progress: Progress = silent
) -> WorkedJob:
    """The job in a file, planned with the rack in another.  Raises JobError with the faults of both files."""
    faults = []
    loaded, rack = None, None
    try:
        loaded = read_job(path)
    except JobError as error:
        faults += error.problems
    if rack_path is not None:
        try:
            rack = read_rack(rack_path)
        except JobError as error:
            faults += error.problems
    if loaded is None or faults:
        raise JobError(faults, unread=True)
    return planned(loaded, built(loaded), rack, effort, progress)


def built(loaded: Job) -> list[Piece]:
    """The pieces of a job.  Raises JobError with every fault's file and line."""
    try:
        return all_pieces(loaded.definitions)
    except JobError as error:
        raise loaded.located(error.problems) from error


def followed(loaded: Job, pieces: Sequence[Piece]) -> tuple[Sequence[Piece], Sequence[Change]]:
    """The pieces with what the frame as built changes of them, and those changes.  Raises JobError."""
    if loaded.built is None or loaded.drawn is None:
        return pieces, ()
    try:
        found = changes(all_pieces(loaded.drawn), pieces, loaded.built.made)
    except JobError as error:
        raise loaded.located(error.problems) from error
    return with_changes(pieces, found), found


def studied(loaded: Job, pieces: Sequence[Piece]) -> Movement | None:
    """How the job moves, None where nothing does.  Raises JobError with every fault's file and line."""
    if not loaded.definitions.tells_of_movement:
        return None
    from fabgen.motion.movement import movement_of  # the jobs that move are few

    try:
        return movement_of(loaded.definitions, pieces)
    except JobError as error:
        raise loaded.located(error.problems) from error


def planned(
    loaded: Job,
    pieces: Sequence[Piece],
    rack: Rack | None,
    effort: Effort = Effort.NORMAL,
    progress: Progress = silent,
) -> WorkedJob:
    """The job with its plan and what the checks find.  Raises JobError with every fault's file and line."""
    pieces, changed = followed(loaded, pieces)
    try:
        plan = plan_job(loaded.definitions, pieces, rack, effort, progress)
    except JobError as error:
        if all(problem.file for problem in error.problems):
            raise  # located already, in the rack file
        raise loaded.located(error.problems) from error
    movement = studied(loaded, pieces)
    found = run_checks(Checked(loaded.definitions, pieces, plan, movement, loaded.built, changed))
    return WorkedJob(loaded, pieces, plan, found, rack, movement, changed)
