"""`fabgen check`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fabgen.cli.options import Figures, JobFile, Quiet, RackFile
from fabgen.cli.steps import STOPPED, figures_given, finish, good_input, trial_of
from fabgen.cli.terminal import in_order, say, show_findings, show_trial

if TYPE_CHECKING:
    from fabgen.app.work import WorkedJob


def check(
    job: JobFile,
    rack: RackFile = None,
    settings: Figures = None,
    quiet: Quiet = False,
    notes: Annotated[bool, typer.Option("--notes", help="all notes in full")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="print the findings as JSON")] = False,
    expanded: Annotated[
        bool,
        typer.Option(
            "--expanded",
            help="print the parts that [[frame]], [[repeat]] and [[mirror]] become, to stand in their place, and check "
            "nothing",
        ),
    ] = False,
) -> None:
    """Read and check a job; write nothing."""
    figures = figures_given(settings)
    if expanded:
        _expanded(job, figures, as_json)
        return
    from fabgen.app.progress import progress_shown
    from fabgen.app.work import work_on
    from fabgen.documents.render.cautions import NOT_CHECKED
    from fabgen.documents.render.words import counted

    with progress_shown() as progress:
        work = good_input(lambda: work_on(job, rack, None, progress, figures), as_json)
        tried = None if as_json else trial_of(work, rack)
    if as_json:
        _as_json(work)
        return
    show_findings(work.findings, "" if notes else "with --notes", quiet)
    say(f"{counted(len(work.pieces), 'mark')} read and checked; nothing written", quiet)
    say(NOT_CHECKED, quiet)
    show_trial(tried, work.job.definitions.job.units, quiet)
    finish(work.findings)


def _as_json(work: WorkedJob) -> None:
    found = [finding.data for finding in in_order(work.findings)]
    stops = sum(finding.is_stop for finding in in_order(work.findings))
    header = work.job.definitions.job
    job: dict[str, Any] = {"title": header.title, "number": header.number}
    if work.job.tried:
        from fabgen.documents.data.job_json import tried_data

        job["tried"] = tried_data(work.job.tried, header.units)
    typer.echo(json.dumps({"job": job, "marks": len(work.pieces), "stops": stops, "checks": found}, allow_nan=False))
    if stops:
        raise typer.Exit(STOPPED)


def _expanded(path: FilePath, figures: Mapping[str, str], as_json: bool) -> None:
    from fabgen.app.hands import with_own_images
    from fabgen.job.expansion.written import written
    from fabgen.job.reader import read_job

    job = good_input(lambda: with_own_images(read_job(path, figures)), as_json)
    text = written(job.expanded) if job.expanded is not None else ""
    typer.echo(
        text or "every part of this job stands in its file: no frame, repeat, mirror, closed route or tube to be cut"
    )
