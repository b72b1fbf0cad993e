"""A job tried with other figures: what changes against the job as its file has it, and where its papers go."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from fabgen.app.work import WorkedJob, work_on
from fabgen.changes.trial import Trial, trial
from fabgen.checks.rule import Finding, graded, listed_marks, merged
from fabgen.job.errors import JobError
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, kilograms, mm, sentence

_LONGEST_NAME = 60
"""Letters of what is tried in the name of a folder."""
_MOST_CLEARANCES = 3


@dataclass(frozen=True, slots=True)
class TriedJob:
    """A trial with what else is said of it in a terminal.

    Args:
        trial: the figures and what they change of the parts.
        clearances: of what moves, in words; those that change.
        more: stops and looks that the job has as tried and not as its file has it, or with other words.
        fewer: those that it has as its file has it alone.
    """

    trial: Trial
    clearances: tuple[Sentence, ...] = ()
    more: tuple[Finding, ...] = ()
    fewer: tuple[Finding, ...] = ()


def tried_job(work: WorkedJob, rack: Path | None = None) -> TriedJob:
    """The job beside what it is as its file has it, which is worked through for this.

    Args:
        work: with figures that are tried.
        rack: the rack file of it.
    """
    tried, units = work.job.tried, work.job.definitions.job.units
    try:
        before = work_on(work.job.path, rack, effort=None)
    except JobError:
        return TriedJob(trial(tried, None, work.pieces, units))
    return TriedJob(
        trial(tried, before.pieces, work.pieces, units),
        tuple(_clearances(before, work)),
        tuple(_apart(work, before)),
        tuple(each for each in _apart(before, work) if not _has_like(work.findings, each)),
    )


def _apart(one: WorkedJob, other: WorkedJob) -> Iterator[Finding]:
    """Stops and looks that one has and the other has not in these words."""
    known = {(each.level, each.marks, each.rule, each.said) for each in other.findings}
    for each in graded(one.findings):
        if each.level is not Level.NOTE and (each.level, each.marks, each.rule, each.said) not in known:
            yield each


def _has_like(findings: Sequence[Finding], like: Finding) -> bool:
    """Whether a rule speaks of the same marks, if with other figures."""
    return any((each.marks, each.rule, each.level) == (like.marks, like.rule, like.level) for each in findings)


def _clearances(before: WorkedJob, after: WorkedJob) -> Iterator[Sentence]:
    """The least clearance of each pair through all travels, the least first, where it is another by half a
    millimetre."""
    old, new = _least(before), _least(after)
    for (one, other), least in sorted(new.items(), key=lambda each: each[1]):
        was = old.get((one, other))
        if was is not None and abs(was - least) >= 0.5:
            yield sentence(f"{one} and {other}: least clearance ", mm(was), " to ", mm(least))


def _least(work: WorkedJob) -> dict[tuple[str, str], float]:
    found: dict[tuple[str, str], float] = {}
    for each in (c for of_sweep in (work.movement.clearances if work.movement else ()) for c in of_sweep):
        pair = (each.one, each.other)
        found[pair] = min(each.least, found.get(pair, each.least))
    return found


def trial_lines(tried: TriedJob, units: str, most: int) -> Iterator[str]:
    """What is tried and what it changes, in lines of a terminal.

    Args:
        units: "mm" or "in", of the job.
        most: so many parts, and so many findings, are named.
    """
    of = tried.trial
    yield f"with {of.said.words(units)}:"
    if of.parts is None:
        yield "  as its file has it the job cannot be made: nothing to compare with"
        return
    changed = [f"{listed_marks(each.marks)}: {each.said.words(units)}" for each in of.parts]
    yield from _first(changed or ["no part changes"], most)
    yield from _first([each.words(units) for each in tried.clearances], _MOST_CLEARANCES)
    if abs(of.masses[1] - of.masses[0]) >= 0.005:
        one, other = (kilograms(mass).words(units) for mass in of.masses)
        yield f"  mass of all pieces made here: {one} to {other}"
    said = [f"{each.level.word}  {each.mark}: {each.text}" for each in merged(tried.more)]
    said += [f"no more: {each.level.word}  {each.mark}: {each.text}" for each in merged(tried.fewer)]
    yield from _first(said, most)


def _first(lines: Sequence[str], most: int) -> Iterator[str]:
    yield from (f"  {line}" for line in lines[:most])
    if (more := len(lines) - most) > 0:
        yield f"  and {more} more"


def trial_folder(stem: str, figures: Mapping[str, str]) -> str:
    """The output folder of a trial, one of its own, so that the job's papers and their record stay.

    Args:
        stem: the job file's name.
        figures: what is tried.
    """
    named = "-".join(f"{name}-{text}" for name, text in figures.items())
    safe = re.sub(r"[^\w.+]+", "-", named)[:_LONGEST_NAME].strip("-.")
    return f"{stem}-with-{safe}"
