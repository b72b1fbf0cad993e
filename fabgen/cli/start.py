"""`fabgen start`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.completing import starter_names
from fabgen.cli.steps import BAD_INPUT, NOT_WRITTEN, fail, known_name
from fabgen.cli.terminal import show_rows


def start(
    template: Annotated[
        str | None, typer.Argument(metavar="TEMPLATE", help="the starter's name", autocompletion=starter_names)
    ] = None,
    file: Annotated[Path | None, typer.Argument(metavar="FILE", help="where to put it")] = None,
) -> None:
    """Copy a starter job to work from; with none named, list them."""
    from fabgen.app.starters import purpose, starters

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
    try:
        target.write_bytes(known[template].read_bytes())
    except OSError as error:
        fail(f"cannot write {target}: {error.strerror}", NOT_WRITTEN)
    typer.echo(f"{target} written. Edit it, then: fabgen make {target}")
