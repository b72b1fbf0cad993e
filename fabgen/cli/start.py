"""`fabgen start`."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.completing import starter_names
from fabgen.cli.steps import BAD_INPUT, NOT_WRITTEN, date_given, fail, good_input, known_name, user_settings, written
from fabgen.cli.terminal import show_rows


def start(
    template: Annotated[
        str | None, typer.Argument(metavar="TEMPLATE", help="the starter's name", autocompletion=starter_names)
    ] = None,
    file: Annotated[Path | None, typer.Argument(metavar="FILE", help="where to put it")] = None,
    day: Annotated[
        str | None, typer.Option("--date", metavar="YYYY-MM-DD", help="date of the job; left out = today")
    ] = None,
    owner: Annotated[
        str | None, typer.Option(help="who the drawings belong to; left out = as kept in the settings")
    ] = None,
    drawn_by: Annotated[str | None, typer.Option(help="who draws them; left out = as kept in the settings")] = None,
    keep: Annotated[bool, typer.Option("--keep", help="keep owner and drawn by in the settings for new jobs")] = False,
) -> None:
    """Copy a starter job to work from; with none named, list them."""
    from dataclasses import asdict, replace

    from fabgen.app.settings import write_settings
    from fabgen.app.starters import begun, purpose, starters, write_schema
    from fabgen.job.reader import read_text

    known = starters()
    if template is None:
        rows = [(name, purpose(path)) for name, path in known.items()]
        show_rows(("starter", "what it is for"), rows, lambda row: f"{row[0]:<16} {row[1]}")
        typer.echo("\nfabgen start NAME FILE.toml copies one to begin with.")
        return
    known_name(template, known, f"there is no starter {template!r}")
    target = file or Path(f"{template}.toml")
    if target.exists():
        fail(f"{target} is there already and stays as it is\n    accepted: the name of a new file", BAD_INPUT)
    date_of_job = date_given(day) or date.today()
    settings = user_settings()
    given = {key: text for key, text in (("owner", owner), ("drawn_by", drawn_by)) if text is not None}
    names = replace(settings.drawings, **given)
    header = {"date": date_of_job, **{key: text for key, text in asdict(names).items() if text}}
    text = begun(known[template].read_text(encoding="utf-8"), header)
    if len(header) > 1:
        good_input(lambda: read_text(text, target))
    if keep:
        path = written(lambda: write_settings(replace(settings, drawings=names)))
        typer.echo(f"owner and drawn by kept in {path}")
    try:
        target.write_bytes(text.encode())
    except OSError as error:
        fail(f"cannot write {target}: {error.strerror}", NOT_WRITTEN)
    schema = written(lambda: write_schema(target.parent))
    typer.echo(f"{target} written. Edit it, then: fabgen make {target}")
    if schema is not None:
        typer.echo(f"{schema} written: from it editors that read schemas complete and explain the keys")
