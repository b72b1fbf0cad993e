"""The commands, one module each.  They read, call, print and exit; what they do lives elsewhere.

Exit codes: 0 done, 1 done but a check says stop, 2 bad input (nothing written), 3 could not write.
"""

from __future__ import annotations

import gc
import sys
from typing import Annotated

import typer

from fabgen.cli import bend, book, check, cope, keys, look, make, manual, printer, start

app = typer.Typer(
    name="fabgen",
    help="From a plain text job file to cut list, tube templates, flat patterns, drawings and a shopping list.",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
for command in (
    make.make,
    check.check,
    look.look,
    start.start,
    cope.cope,
    bend.bend,
    book.book,
    printer.printer,
    keys.keys,
    manual.manual,
):
    app.command()(command)


@app.callback(invoke_without_command=True)
def top(version: Annotated[bool, typer.Option("--version", help="print the version and stop")] = False) -> None:
    if version:
        from fabgen import __version__

        typer.echo(__version__)
        raise typer.Exit


def main() -> None:
    """Entry point: a broken pipe or Ctrl-C ends quietly, as the shell expects."""
    # A command lives for seconds: looking for garbage costs it a tenth of them and frees next to nothing.
    gc.disable()
    try:
        app()
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
