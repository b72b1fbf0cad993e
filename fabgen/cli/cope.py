"""`fabgen cope`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.options import AsJson, OutFolder, PaperName, Sleeves
from fabgen.cli.steps import STOPPED, good_option, paper_named, user_settings, written


def cope(
    branch: Annotated[str, typer.Option(help="the tube that is cut, e.g. 48.3x3.2")],
    onto: Annotated[str, typer.Option(help="the tube it sits on, e.g. 60.3x3.2")],
    angle: Annotated[str, typer.Option(help="angle between the two tubes, degrees")],
    offset: Annotated[str, typer.Option(help="how far the axes pass one another, e.g. 5 or '1/4 in'")] = "0",
    fit: Annotated[
        str,
        typer.Option(
            help="clear: no part of the wall fouls; outside: outer skin touches; "
            "left out = clear, but outside where one straight saw cut makes it"
        ),
    ] = "",
    paper: PaperName = "A4",
    out: OutFolder = Path("output"),
    sleeves: Sleeves = False,
    as_json: AsJson = False,
) -> None:
    """One coped tube end without a job file, as a template."""
    from fabgen.documents.everything import MakeOptions
    from fabgen.documents.folder import write_folder
    from fabgen.documents.without_job.one_cope import cope_files, cope_json, cope_report, read_cope

    sheet, settings = paper_named(paper), user_settings()
    request = good_option(lambda: read_cope(branch, onto, angle, offset, fit))
    target = out / request.name
    written(lambda: write_folder(target, cope_files(request, MakeOptions(sheet, settings.correction(sheet), sleeves))))
    template = (target / "tube-templates.pdf").as_posix()
    if as_json:
        typer.echo(json.dumps(cope_json(request.cope) | {"template": template}, allow_nan=False))
    else:
        for line in (*cope_report(request), f"template: {template}"):
            typer.echo(line)
    if request.misses:
        raise typer.Exit(STOPPED)
