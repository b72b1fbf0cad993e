"""`fabgen book`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.options import HowHard, JobFile, OutFolder
from fabgen.cli.steps import NOT_WRITTEN, date_given, effort_named, fail, finish, good_input, good_option


def book(
    job: JobFile,
    rack: Annotated[Path, typer.Option("--rack", metavar="RACK.toml", help="the rack file that is changed")],
    again: Annotated[bool, typer.Option("--again", help="book a job once more: it is built a second time")] = False,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="book the present plan, even if the cut list shows another")
    ] = False,
    least: Annotated[str | None, typer.Option(help="shorter offcuts are not kept; left out = the rack's own")] = None,
    effort: HowHard = None,
    service: Annotated[bool, typer.Option("--service", help="a service cut the flat parts: book no sheets")] = False,
    out: OutFolder = Path("output"),
    issued: Annotated[str | None, typer.Option("--date", metavar="YYYY-MM-DD", help="when it was used")] = None,
) -> None:
    """Take what a job uses off the rack, and put its offcuts on."""
    from fabgen.app.job_booking import BookingOptions, book_job, report
    from fabgen.app.progress import progress_shown
    from fabgen.job.text.safe_file import NotWrittenError
    from fabgen.job.values.option_values import length_option

    day, shortest = date_given(issued), None if least is None else good_option(lambda: length_option("least", least))
    hard = effort_named(effort)
    options = BookingOptions(again, shortest, not service, day, None if anyway else out / job.stem, hard)
    try:
        with progress_shown() as progress:
            work, booking = good_input(lambda: book_job(job, rack, options, progress))
    except NotWrittenError as error:
        fail(f"{error}\nnothing was booked", NOT_WRITTEN)
    for line in report(work, booking):
        typer.echo(line)
    typer.echo(f"{booking.number} booked on {rack}; its last state is in {rack.name}.bak")
    finish(work.findings)
