"""Examples for the manual, taken from the starters and samples as they stand, so that each is part of a job that
the tests make."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from fabgen.shop.tables import data

_HEAD = re.compile(r"\[\[?(?P<name>[A-Za-z_]+)")
LONGEST = 26
"""A block of more lines than this serves only where there is no shorter one."""


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Lines of a job file, and the file's name."""

    text: str
    file: str


def extra() -> dict[str, Excerpt]:
    """Examples for the tables that no starter or sample has."""
    return {name: Excerpt(**found) for name, found in data("extra", "fabgen.documents.manual").items()}


def excerpts(paths: Iterable[Path]) -> dict[str, Excerpt]:
    """For each table of a job file the example that shows most: the longest block that is not too long."""
    found: dict[str, list[Excerpt]] = {}
    for path in paths:
        for name, lines in blocks(path.read_text(encoding="utf-8").splitlines()):
            found.setdefault(name, []).append(Excerpt("\n".join(lines), path.name))
    return {name: max(several, key=_worth) for name, several in found.items()}


def _worth(excerpt: Excerpt) -> tuple[bool, int]:
    lines = excerpt.text.count("\n") + 1
    return (lines <= LONGEST, lines if lines <= LONGEST else -lines)


def blocks(lines: Sequence[str]) -> Iterator[tuple[str, list[str]]]:
    """(table, its lines) one after another; the comment right above a table belongs to it, a ruled heading does not."""
    starts = [i for i, line in enumerate(lines) if _HEAD.match(line)]
    for start, after in zip(starts, [*starts[1:], len(lines)], strict=True):
        head = _HEAD.match(lines[start])
        assert head is not None
        first = start
        while first > 0 and _is_remark(lines[first - 1]):
            first -= 1
        end = after
        while end > start + 1 and (not lines[end - 1].strip() or lines[end - 1].startswith("#")):
            end -= 1
        yield head["name"], list(lines[first:end])


def _is_remark(line: str) -> bool:
    return line.startswith("#") and "-----" not in line
