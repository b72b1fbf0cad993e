"""Steps that commands share: read an option or a job, print what was found, end with the right exit code."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TypeVar

import typer

if TYPE_CHECKING:
    from fabgen.app.settings import Settings
    from fabgen.app.trying import TriedJob
    from fabgen.app.work import WorkedJob
    from fabgen.checks.rule import Finding
    from fabgen.documents.render.paper import Paper
    from fabgen.plan.effort import Effort, Progress

T = TypeVar("T")

STOPPED, BAD_INPUT, NOT_WRITTEN = 1, 2, 3


def worked(
    path: Path,
    rack: Path | None = None,
    effort: Effort | None = None,
    progress: Progress | None = None,
    figures: Mapping[str, str] | None = None,
) -> WorkedJob:
    """Read, build, plan and check; on bad input print every problem and exit."""
    from fabgen.app.work import work_on
    from fabgen.plan.effort import Effort, silent

    return good_input(lambda: work_on(path, rack, effort or Effort.NORMAL, progress or silent, figures or {}))


def trial_of(work: WorkedJob, rack: Path | None) -> TriedJob | None:
    """What the figures that are tried change; None where none are."""
    if not work.job.tried:
        return None
    from fabgen.app.trying import tried_job

    return tried_job(work, rack)


def figures_given(options: Sequence[str] | None) -> dict[str, str]:
    """The figures of --set, by name."""
    if not options:
        return {}
    from fabgen.job.values.tried import figures_in

    return good_option(lambda: figures_in(options))


def good_input(read: Callable[[], T], as_json: bool = False) -> T:
    """What `read` gives; bad input is printed, for a program as JSON, and ends the command."""
    from fabgen.job.errors import JobError

    try:
        return read()
    except JobError as error:
        if as_json:
            import json

            problems = [
                {"file": p.file, "line": p.line, "where": p.where, "what": p.what, "accepted": p.accepted}
                for p in error.problems
            ]
            typer.echo(json.dumps({"problems": problems}))
        typer.echo(f"{error}\n{error.summary}", err=True)
        raise typer.Exit(BAD_INPUT) from error


def finish(findings: Sequence[Finding]) -> None:
    stops = sum(finding.is_stop for finding in findings)
    if stops:
        typer.echo(f"{stops} check{'s say' if stops > 1 else ' says'} stop: correct that before cutting", err=True)
        raise typer.Exit(STOPPED)


def user_settings() -> Settings:
    from fabgen.app.settings import read_settings

    return good_option(read_settings)


def paper_named(name: str) -> Paper:
    from fabgen.documents.render.paper import find

    return good_option(lambda: find(name))


def effort_named(name: str | None) -> Effort | None:
    if name is None:
        return None
    from fabgen.plan.effort import Effort

    known_name(name, [effort.value for effort in Effort], f"--effort: {name!r} is not a known effort")
    return Effort(name)


def date_given(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return datetime.strptime(text, "%Y-%m-%d").date()
    except ValueError:
        fail(f"--date: cannot read {text!r} as a date\n    accepted: year-month-day, e.g. 2026-03-14", BAD_INPUT)


def good_option(read: Callable[[], T]) -> T:
    """What `read` gives; a bad option or setting is printed and ends the command."""
    from fabgen.wording.input_error import InputError

    try:
        return read()
    except InputError as fault:
        fail(str(fault), BAD_INPUT)


def written(write: Callable[[], T]) -> T:
    """What `write` gives; the reason why output could not be written is printed and ends the command."""
    from fabgen.job.text.safe_file import NotWrittenError

    try:
        return write()
    except NotWrittenError as error:
        fail(str(error), NOT_WRITTEN)


def known_name(name: str, known: Iterable[str], unknown: str, also: Iterable[str] = ()) -> None:
    """Ends the command, saying `unknown`, what is accepted and what is nearest, of that or of what may `also` be meant,
    where no such name is known."""
    from fabgen.wording.nearest import need_known

    good_option(lambda: need_known(name, known, unknown, also))


def fail(text: str, code: int) -> NoReturn:
    typer.echo(text, err=True)
    raise typer.Exit(code)
