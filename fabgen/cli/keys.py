"""`fabgen keys`."""

from __future__ import annotations

from typing import Annotated

import typer

from fabgen.cli.completing import table_names
from fabgen.cli.steps import BAD_INPUT, fail, known_name
from fabgen.cli.terminal import show_rows


def keys(
    table: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[TABLE]",
            autocompletion=table_names,
            help="a table's name, e.g. bracket; or a key, or a word of the trade, e.g. turn, rod end",
        ),
    ] = None,
    schema: Annotated[
        bool, typer.Option("--schema", help="print all of it as a JSON Schema, for editors that complete keys")
    ] = False,
) -> None:
    """List what a job file can hold, or explain one word of it."""
    import textwrap

    from fabgen.job.key_help.keys_text import WIDTH, overview, table_text, tables
    from fabgen.job.key_help.trade_words import key_names, keys_called, trade_words, way_to

    if schema:
        from fabgen.job.key_help.job_schema import schema_text

        if table:
            fail("--schema: is of the whole job file\n    accepted: fabgen keys --schema, without a table", BAD_INPUT)
        typer.echo(schema_text(), nl=False)
        return
    if not table:
        show_rows(("table", "keys"), overview(), lambda row: f"{row[0]:<16} {row[1]}")
        return
    name = " ".join(table)
    is_table = name in tables()
    lines = [*way_to(name), *(() if is_table else keys_called(name))]
    for line in lines:
        typer.echo(textwrap.fill(line, WIDTH, subsequent_indent="    ", break_on_hyphens=False))
    if lines and not is_table:
        return
    known_name(name, tables(), f"a job file has no table {name!r}", [*trade_words(), *key_names()])
    for line in table_text(name):
        typer.echo(line)
