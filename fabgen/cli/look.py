"""`fabgen look`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.options import JobFile, OutFolder, Quiet, RackFile
from fabgen.cli.steps import finish, good_input, worked, written
from fabgen.cli.terminal import say, show_findings


def look(
    job: JobFile,
    rack: RackFile = None,
    out: OutFolder = Path("output"),
    quiet: Quiet = False,
    watch: Annotated[
        bool, typer.Option("--watch", help="show the page and make it again each time the job is saved")
    ] = False,
) -> None:
    """Make the page: the job in 3D, its drawings and checks."""
    from fabgen.app.live_page import follow, page_of, write_page
    from fabgen.app.progress import progress_shown
    from fabgen.documents.render.words import counted
    from fabgen.plan.effort import part_of

    if watch:
        written(lambda: good_input(lambda: follow(job, out / job.stem, rack, typer.echo)))
        return
    with progress_shown() as progress:
        work = worked(job, rack, progress=part_of(progress, 0.0, 0.6))
        progress("drawing the page", 0.6)
        html = page_of(work)
    page = written(lambda: write_page(out / job.stem, html))
    show_findings(work.findings, "on the page", quiet)
    say(f"{counted(len(work.pieces), 'mark')} -> {page}", quiet)
    finish(work.findings)
