"""What is printed: tables on a terminal, plain lines where the output goes to a file or a program."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from fabgen.app.trying import TriedJob
    from fabgen.checks.rule import Finding

_NARROW = 18
"""All columns but the last are no wider, in letters."""
_LINE = 120
"""A note's line where no terminal says how long one is, in letters."""
_NAMED = 3
"""So many marks are named in a note's line, the others counted."""
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


def show_findings(findings: Iterable[Finding], whole: str = "", quiet: bool = False) -> None:
    """What the checks found: stops and looks in full, notes a line a kind.

    Args:
        findings: all of them.
        whole: where the notes stand in full, "in cut-list.pdf"; '' where they are printed in full here.
        quiet: nothing but the stops.
    """
    from textwrap import shorten

    shown = [finding for finding in in_order(findings) if not quiet or finding.is_stop]
    kinds = _kinds_of_notes(shown) if whole else {}
    in_full = [finding for finding in shown if finding.rule not in kinds or not _is_note(finding)]
    if not is_watched():
        for finding in in_full:
            about = f"{finding.mark}: " if finding.mark else ""
            typer.echo(f"{finding.level.word}  {about}{finding.text}")
    elif in_full:
        rows = [(finding.level.word, finding.mark, finding.text) for finding in in_full]
        show_table(("", "mark", "what was found"), rows, style=[_STYLES[finding.level] for finding in in_full])
    width = _columns() if is_watched() else _LINE
    for notes in kinds.values():
        typer.echo(f"note  {shorten(f'{_about(notes)}{notes[0].text}', width - 6, placeholder=' ...')}")
    if kinds:
        count = sum(map(len, kinds.values()))
        typer.echo(f"{count} note{'s' if count > 1 else ''}, in full {whole}")


MOST_CHANGES = 8
"""So many changes of a list are printed; changes.txt has all."""


def show_trial(tried: TriedJob | None, units: str, quiet: bool) -> None:
    """What figures that are tried change against the job as its file has it; nothing where none are."""
    if tried is not None:
        from fabgen.app.trying import trial_lines

        for line in trial_lines(tried, units, MOST_CHANGES):
            say(line, quiet)


def _is_note(finding: Finding) -> bool:
    from fabgen.wording.levels import Level

    return finding.level is Level.NOTE


def _kinds_of_notes(findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    """The notes by the rule that made them."""
    kinds: dict[str, list[Finding]] = {}
    for finding in filter(_is_note, findings):
        kinds.setdefault(finding.rule, []).append(finding)
    return kinds


def _about(notes: Sequence[Finding]) -> str:
    """What the first of the notes is about, and after it the marks of its like."""
    like = dict.fromkeys(mark for note in notes[1:] for mark in note.marks)
    besides = f"; like it {_some(list(like))}" if like else ""
    first = _some(notes[0].marks)
    return f"{first}{besides}: " if first else ""


def _some(marks: Sequence[str]) -> str:
    more = len(marks) - _NAMED
    return ", ".join(marks) if more <= 1 else f"{', '.join(marks[:_NAMED])} and {more} more"


def _columns() -> int:
    import shutil

    return shutil.get_terminal_size().columns


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
