"""`fabgen look`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.options import Figures, JobFile, OutFolder, Quiet, RackFile
from fabgen.cli.steps import figures_given, finish, good_input, trial_of, worked, written
from fabgen.cli.terminal import say, show_findings, show_trial


def look(
    job: JobFile,
    rack: RackFile = None,
    settings: Figures = None,
    out: OutFolder = Path("output"),
    quiet: Quiet = False,
    watch: Annotated[
        bool, typer.Option("--watch", help="show the page and make it again each time the job is saved")
    ] = False,
) -> None:
    """Make the page: the job in 3D, its drawings and checks."""
    from fabgen.app.live_page import follow, page_of, write_page
    from fabgen.app.progress import progress_shown
    from fabgen.app.trying import trial_folder
    from fabgen.documents.render.words import counted
    from fabgen.plan.effort import part_of

    figures = figures_given(settings)
    target = out / (trial_folder(job.stem, figures) if figures else job.stem)
    if watch:
        written(lambda: good_input(lambda: follow(job, target, rack, typer.echo, figures)))
        return
    with progress_shown() as progress:
        work = worked(job, rack, progress=part_of(progress, 0.0, 0.6), figures=figures)
        tried = trial_of(work, rack)
        progress("drawing the page", 0.6)
        html = page_of(work)
    page = written(lambda: write_page(target, html))
    show_findings(work.findings, "on the page", quiet)
    say(f"{counted(len(work.pieces), 'mark')} -> {page}", quiet)
    show_trial(tried, work.job.definitions.job.units, quiet)
    finish(work.findings)
