"""The commands, one module each.  They read, call, print and exit; what they do lives elsewhere.

Exit codes: 0 done, 1 done but a check says stop, 2 bad input (nothing written), 3 could not write.
"""

from __future__ import annotations

import contextlib
import gc
import os
import sys
from typing import Annotated, NoReturn

import typer

from fabgen.cli import bench, bend, book, check, cope, keys, look, make, manual, printer, start
from fabgen.cli.steps import NOT_WRITTEN

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
    bench.bench,
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
    """All commands: a broken pipe or Ctrl-C ends quietly, as the shell expects; what cannot be printed is told."""
    # A command lives for seconds: looking for garbage costs it a tenth of them and frees next to nothing.
    gc.disable()
    if sys.stdout is None:
        _not_printed("standard output is closed")
    try:
        try:
            app()
        finally:
            sys.stdout.flush()
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except OSError as error:
        if error.filename is not None:
            raise
        # What is left of it goes nowhere, or the end of the program would try again.
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        _not_printed(error.strerror or str(error))


def _not_printed(reason: str) -> NoReturn:
    with contextlib.suppress(OSError, ValueError):
        typer.echo(f"cannot print what was found: {reason}", err=True)
    sys.exit(NOT_WRITTEN)
