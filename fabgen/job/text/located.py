"""Where faults stand: problems with their file, line and place in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

from fabgen.job.errors import JobError, Path, Problem, in_words
from fabgen.job.text.source import SourceMap


def entries(raw: Mapping[str, Any], name: str) -> list[tuple[int, dict[str, Any]]]:
    """The tables of the list `name` with their numbers, whatever else it holds passed over."""
    value = raw.get(name)
    return [(i, entry) for i, entry in enumerate(value) if isinstance(entry, dict)] if isinstance(value, list) else []


def mark_of(entry: Mapping[str, Any]) -> str:
    """The mark of a table as written, '' where it has none that could be one."""
    mark = entry.get("mark")
    if type(mark) is int and abs(mark) < 10**15:
        return str(mark)
    return mark.strip()[:80] if isinstance(mark, str) else ""


def located(problems: Iterable[Problem], file: FilePath, raw: Mapping[str, Any], source: SourceMap) -> JobError:
    """The problems in the order of the file, each with file, line and place in words."""
    found: list[Problem] = []
    for problem in problems:
        line = source.line(problem.path) if problem.line is None else problem.line
        what = problem.what + (f" on line {source.line(problem.other)}" if problem.other else "")
        where = problem.where or in_words(problem.path, _mark_at(problem.path, raw))
        found.append(replace(problem, what=what, line=line, file=str(file), where=where, other=()))
    unique = dict.fromkeys(found)
    return JobError(sorted(unique, key=lambda problem: problem.line or 0))


def _mark_at(path: Path, raw: Mapping[str, Any]) -> str:
    """The mark (or name) of the entry that `path` leads into."""
    if len(path) < 2 or not isinstance(path[0], str) or not isinstance(path[1], int):
        return ""
    for i, entry in entries(raw, path[0]):
        if i == path[1]:
            name = entry.get("name")
            return mark_of(entry) or (name[:40] if isinstance(name, str) else "")
    return ""
