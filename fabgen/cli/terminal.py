"""What is printed: tables on a terminal, plain lines where the output goes to a file or a program."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from fabgen.checks.rule import Finding

_NARROW = 18
"""All columns but the last are no wider, in letters."""
_STYLES = {"stop": "bold red", "warn": "yellow", "note": ""}


def is_watched() -> bool:
    """Whether standard output is a terminal."""
    return sys.stdout.isatty()


def say(text: str, quiet: bool = False) -> None:
    """A line saying what was done; not printed when quiet."""
    if not quiet:
        typer.echo(text)


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """The findings, the same one of several marks once: stops first, then warnings, then notes."""
    from fabgen.checks.rule import graded, merged

    return graded(merged(findings))


def show_findings(findings: Iterable[Finding], quiet: bool = False) -> None:
    """All findings; when quiet only the stops."""
    shown = [finding for finding in in_order(findings) if not quiet or finding.is_stop]
    if not is_watched():
        for finding in shown:
            about = f"{finding.mark}: " if finding.mark else ""
            typer.echo(f"{finding.level.word}  {about}{finding.text}")
    elif shown:
        rows = [(finding.level.word, finding.mark, finding.text) for finding in shown]
        show_table(("", "mark", "what was found"), rows, style=[_STYLES[finding.level] for finding in shown])


def show_rows(
    heads: Sequence[str], rows: Iterable[Sequence[str]], plain: Callable[[Sequence[str]], str] = "  ".join
) -> None:
    """Rows as a table on a terminal, else each as `plain` writes it."""
    if is_watched():
        show_table(heads, rows)
        return
    for row in rows:
        typer.echo(plain(row))


def show_table(heads: Sequence[str], rows: Iterable[Sequence[str]], style: Sequence[str] = ()) -> None:
    from rich import box
    from rich.console import Console
    from rich.table import Column, Table
    from rich.text import Text

    columns = [Column(head, max_width=_NARROW if i < len(heads) - 1 else None) for i, head in enumerate(heads)]
    table = Table(*columns, box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for number, row in enumerate(rows):
        # As Text, so that a bracket in a mark is a bracket and nothing else.
        first, *rest = (Text(cell) for cell in row)
        if number < len(style):
            first.stylize(style[number])
        table.add_row(first, *rest)
    Console(file=sys.stdout, highlight=False).print(table)
