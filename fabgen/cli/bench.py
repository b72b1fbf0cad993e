"""`fabgen bench`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.options import JobFile, OutFolder, RackFile
from fabgen.cli.steps import good_input


def bench(
    job: JobFile,
    rack: RackFile = None,
    out: OutFolder = Path("output"),
    stay: Annotated[bool, typer.Option("--no-browser", help="print the address, open no browser")] = False,
) -> None:
    """Change a job on a page; each change is a small edit of its file."""
    import webbrowser

    from fabgen.app.bench.serving import work_at_bench

    show = (lambda address: None) if stay else webbrowser.open
    good_input(lambda: work_at_bench(job, out / job.stem, rack, typer.echo, show))
