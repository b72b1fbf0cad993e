"""`fabgen check`."""

from __future__ import annotations

import typer

from fabgen.cli.options import JobFile
from fabgen.cli.steps import finish, print_findings, worked


def check(job: JobFile) -> None:
    """Read and check a job; write nothing."""
    from fabgen.documents.words import counted

    work = worked(job)
    print_findings(work.findings)
    typer.echo(f"{counted(len(work.pieces), 'mark')} read and checked; nothing written")
    finish(work.findings)
