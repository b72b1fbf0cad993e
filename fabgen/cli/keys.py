"""`fabgen keys`."""

from __future__ import annotations

from typing import Annotated

import typer

from fabgen.cli.completing import table_names
from fabgen.cli.steps import BAD_INPUT, fail, known_name
from fabgen.cli.terminal import show_rows


def keys(
    table: Annotated[
        str | None, typer.Argument(metavar="TABLE", help="a table's name, e.g. bracket", autocompletion=table_names)
    ] = None,
    schema: Annotated[
        bool, typer.Option("--schema", help="print all of it as a JSON Schema, for editors that complete keys")
    ] = False,
) -> None:
    """List what a job file can hold, or the keys of one table."""
    from fabgen.job.key_help.keys_text import overview, table_text, tables

    if schema:
        from fabgen.job.key_help.job_schema import schema_text

        if table is not None:
            fail("--schema: is of the whole job file\n    accepted: fabgen keys --schema, without a table", BAD_INPUT)
        typer.echo(schema_text(), nl=False)
        return
    if table is None:
        show_rows(("table", "keys"), overview(), lambda row: f"{row[0]:<16} {row[1]}")
        return
    known_name(table, tables(), f"a job file has no table {table!r}")
    for line in table_text(table):
        typer.echo(line)
