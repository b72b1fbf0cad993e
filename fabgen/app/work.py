"""What every command on a job does: read, build, plan, check."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from fabgen.app.hands import with_hands, with_own_images
from fabgen.checks.checked import Checked
from fabgen.checks.registry import run_checks
from fabgen.checks.rule import Finding
from fabgen.job.errors import JobError, Problems
from fabgen.job.expansion.written_keys import WrittenKeys
from fabgen.job.rack import Rack, read_rack
from fabgen.job.reader import NO_FIGURES, Job, read_job
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.parts.survey.following import Change, Survey, changes, with_changes
from fabgen.plan.effort import Effort, Progress, part_of, silent
from fabgen.plan.job_plan import depends_on_nesting, plan_job
from fabgen.plan.plan import BoltImage, BoltStack, Plan
from fabgen.wording.sentence import sentence

if TYPE_CHECKING:
    from fabgen.contact.contacts import Contacts
    from fabgen.motion.movement import Movement


_READ, _BUILT, _PLANNED = 0.1, 0.4, 0.7
"""Shares of the work that are done when these are, by the demo's times."""


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
    contacts: Contacts | None = None

    @property
    def survey(self) -> Survey | None:
        """What is measured of the job, None where it has no point."""
        job = self.job.definitions
        return Survey(job, self.job.drawn or job, self.job.built, self.changes) if job.points else None


def work_on(
    path: Path,
    rack_path: Path | None = None,
    effort: Effort | None = Effort.NORMAL,
    progress: Progress = silent,
    figures: Mapping[str, str] = NO_FIGURES,
) -> WorkedJob:
    """The job in a file, read, built, planned and checked.

    Args:
        path: the job file.
        rack_path: a rack file, whose stock is used first.
        effort: how hard to look for fewer, fuller sheets; None: as little as the checks need.
        progress: called with how far the work is.
        figures: for named dimensions in place of what the file says.
    Raises:
        JobError: with every fault of both files.
    """
    try:
        return _worked(path, rack_path, effort, progress, figures)
    except JobError as fault:
        if not figures:
            raise
        lead = f"with {' and '.join(f'{name} = {text}' for name, text in figures.items())}, "
        found = [replace(p, said=sentence(lead, p.said)) if p.file == str(path) else p for p in fault.problems]
        raise JobError(found, fault.unread) from fault


def _worked(
    path: Path, rack_path: Path | None, effort: Effort | None, progress: Progress, figures: Mapping[str, str]
) -> WorkedJob:
    problems = Problems()
    loaded, rack = None, None
    with problems.at():
        progress("reading the job", 0.0)
        loaded = with_own_images(read_job(path, figures))
    with problems.at():
        rack = read_rack(rack_path) if rack_path is not None else None
    if loaded is None or problems:
        raise JobError(problems, unread=True)
    progress("fitting the parts to one another", _READ)
    return planned(loaded, built(loaded), rack, effort, progress)


def built(loaded: Job) -> list[Piece]:
    """The pieces of a job.  Raises JobError with every fault's file and line."""
    with loaded.locating():
        pieces = all_pieces(loaded.definitions)
    whole = loaded.expanded.pieces if loaded.expanded is not None else {}
    pieces = [replace(piece, cut_from=whole[piece.mark]) if piece.mark in whole else piece for piece in pieces]
    return with_hands(loaded, pieces)


def movement_in(loaded: Job, pieces: Sequence[Piece], bolts: Sequence[BoltStack] = ()) -> Movement | None:
    """How the job moves, None where nothing does.  Raises JobError with every fault's file and line."""
    if not loaded.definitions.tells_of_movement:
        return None
    from fabgen.motion.movement import movement_of  # the jobs that move are few

    with loaded.locating():
        return movement_of(loaded.definitions, pieces, [line for stack in bolts for line in stack.lines])


def _copied_bolts(loaded: Job) -> dict[int, BoltImage]:
    """The bolts that mirrors and repeats make, which come after the file's own and have other numbers; by number."""
    images: Counter[int] = Counter()
    mirrored = loaded.expanded.images if loaded.expanded is not None else {}
    made: dict[int, BoltImage] = {}
    for number, bolt in enumerate(loaded.definitions.bolt):
        if (own := int(loaded.origin(("bolt", number))[1])) != number:
            images[own] += 1
            is_mirrored = any(each in mirrored for each in bolt.through)
            made[number] = BoltImage(own, "mirrored" if is_mirrored else "copied", images[own])
    return made


def planned(
    loaded: Job,
    pieces: Sequence[Piece],
    rack: Rack | None,
    effort: Effort | None = Effort.NORMAL,
    progress: Progress = silent,
) -> WorkedJob:
    """The job with its plan and what the checks find.

    Args:
        loaded: the job as read.
        pieces: as `built` gives them.
        rack: stock on hand, used first.
        effort: how hard to look for fewer, fuller sheets; None: as little as the checks need.
        progress: called with how far the work is.
    Raises:
        JobError: with every fault's file and line.
    """
    job = loaded.definitions
    changed: Sequence[Change] = ()
    with loaded.locating():
        if loaded.built is not None and loaded.drawn is not None:
            changed = changes(Survey(job, loaded.drawn, loaded.built), all_pieces(loaded.drawn), pieces)
            pieces = with_changes(pieces, changed, loaded.built)
        copied = _copied_bolts(loaded)
        planning = part_of(progress, _BUILT, _PLANNED)
        plan = plan_job(job, pieces, rack, effort or Effort.QUICK, planning, copied)
        if effort is None and depends_on_nesting(job, plan):
            plan = plan_job(job, pieces, rack, Effort.NORMAL, planning, copied)
    movement = movement_in(loaded, pieces, plan.bolts)
    checked = Checked(job, pieces, plan, movement, loaded.built, changed, WrittenKeys.of(loaded))
    found = run_checks(checked, part_of(progress, _PLANNED, 1.0))
    return WorkedJob(loaded, pieces, plan, found, rack, movement, changed, checked.contacts)
