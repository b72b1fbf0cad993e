"""`fabgen keys`."""

from __future__ import annotations

from typing import Annotated

import typer

from fabgen.cli.steps import BAD_INPUT, fail


def keys(
    table: Annotated[str | None, typer.Argument(metavar="TABLE", help="a table's name, e.g. bracket")] = None,
) -> None:
    """What a job file can say: all tables, or one table's keys with what they mean."""
    from fabgen.job.manual import overview, table_text, tables
    from fabgen.shop.nearest import nearest

    known = tables()
    if table is not None and table not in known:
        close = nearest(table, known)
        hint = f"\n    nearest: {close}" if close else ""
        fail(f"a job file has no table {table!r}\n    accepted: {', '.join(known)}{hint}", BAD_INPUT)
    for line in overview() if table is None else table_text(table):
        typer.echo(line)
