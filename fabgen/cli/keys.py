"""`fabgen keys`."""

from __future__ import annotations

from typing import Annotated

import typer

from fabgen.cli.completing import table_names
from fabgen.cli.steps import BAD_INPUT, fail
from fabgen.cli.terminal import show_rows


def keys(
    table: Annotated[
        str | None, typer.Argument(metavar="TABLE", help="a table's name, e.g. bracket", autocompletion=table_names)
    ] = None,
) -> None:
    """What a job file can say: all tables, or one table's keys with what they mean."""
    from fabgen.job.manual import overview, table_text, tables
    from fabgen.shop.nearest import nearest

    known = tables()
    if table is not None and table not in known:
        close = nearest(table, known)
        hint = f"\n    nearest: {close}" if close else ""
        fail(f"a job file has no table {table!r}\n    accepted: {', '.join(known)}{hint}", BAD_INPUT)
    if table is None:
        show_rows(("table", "keys"), overview(), lambda row: f"{row[0]:<16} {row[1]}")
        return
    for line in table_text(table):
        typer.echo(line)
