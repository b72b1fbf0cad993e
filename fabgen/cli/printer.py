"""`fabgen printer`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.options import OutFolder, PaperName
from fabgen.cli.steps import good_option, paper_named, user_settings, written


def printer(
    paper: PaperName = "A4",
    across: Annotated[str | None, typer.Option(help="measured length of the line across the page")] = None,
    down: Annotated[str | None, typer.Option(help="measured length of the line down the page")] = None,
    forget: Annotated[bool, typer.Option("--forget", help="remove the correction of this paper")] = False,
    out: OutFolder = Path("output"),
) -> None:
    """Correct a printer that prints long or short."""
    from fabgen.app.printer_setup import FOLDER, change_report, changed_settings, page_files, page_report
    from fabgen.app.settings import write_settings
    from fabgen.documents.folder import write_folder

    sheet, settings = paper_named(paper), user_settings()
    changed = good_option(lambda: changed_settings(settings, sheet, across, down, forget))
    if changed is None:
        written(lambda: write_folder(out / FOLDER, page_files(sheet)))
        lines = [f"{(out / FOLDER).as_posix()}/: the test page", *page_report(settings, sheet)]
    else:
        written(lambda: write_settings(changed))
        lines = list(change_report(settings, changed, sheet))
    for line in lines:
        typer.echo(line)
