"""What has changed since earlier papers: changes.txt, the table on the cut list's first page, lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from reportlab.platypus import Flowable

from fabgen.changes.compared import PartChange
from fabgen.changes.issuing import Issuing, Since
from fabgen.changes.trial import Trial
from fabgen.checks.rule import listed_marks
from fabgen.documents.render.flow import BODY, CELL_BOLD, SMALL, cell, section, table
from fabgen.documents.render.prose import prose
from fabgen.job.tables.definitions import Header


def changes_text(header: Header, issue: Issuing) -> str:
    """changes.txt."""
    lines = [header.title, f"Job {header.number}, revision {header.revision}", ""]
    if issue.lost:
        lines += [prose("changes", "lost"), ""]
    for since in issue.lists:
        marks = [", ".join(change.marks) for change in since.changes]
        wide = min(max(map(len, marks)), 24)
        lines += [since.heading, ""]
        lines += [
            f"  {mark:{wide}}  {each.said.words(header.units)}" for mark, each in zip(marks, since.changes, strict=True)
        ]
        lines += [f"\n{note}" for note in _notes(since)]
        lines.append("")
    lines += [_nothing(issue), ""] if _is_unchanged(issue) else []
    return "\n".join([*lines, prose("changes", "compared")]) + "\n"


def changes_section(header: Header, issue: Issuing, width: float) -> list[Flowable]:
    """The tables, `width` mm wide; nothing where there is nothing to say."""
    story: list[Flowable] = []
    if issue.lost:
        story.append(cell(prose("changes", "lost"), CELL_BOLD))
    for since in issue.lists:
        rows = _rows(since.changes, header.units)
        notes = [cell(note, SMALL) for note in _notes(since)]
        grid = table(["mark", "what has changed"], rows, width)
        story += section(since.heading, grid, *notes)
    if _is_unchanged(issue):
        story.append(cell(_nothing(issue), BODY))
    return [*story, cell(prose("changes", "compared"), SMALL)] if story else []


def trial_section(header: Header, trial: Trial, width: float) -> list[Flowable]:
    """What the papers were made with in place of what the job file says, and what that changes."""
    said = cell(prose("changes", "trial").format(tried=trial.said.words(header.units)), CELL_BOLD)
    if not trial.parts:
        return [said, cell(prose("changes", "no_baseline" if trial.parts is None else "no_part"), BODY)]
    grid = table(["mark", "what that changes"], _rows(trial.parts, header.units), width)
    return [said, *section("Changed against the job as its file has it", grid)]


def _rows(changes: Iterable[PartChange], units: str) -> list[list[str]]:
    return [[listed_marks(each.marks), each.said.words(units)] for each in changes]


def changes_lines(issue: Issuing, units: str, most: int) -> Iterator[str]:
    """The lists in lines of a terminal, of each so many marks' at `most`."""
    if issue.lost:
        yield prose("changes", "lost")
    for since in issue.lists:
        yield f"{since.heading}:"
        yield from (f"  {_line(change, units)}" for change in since.changes[:most])
        if (more := len(since.changes) - most) > 0:
            yield f"  and {more} more: see changes.txt"
        yield from _notes(since)
    if _is_unchanged(issue):
        yield _nothing(issue)


def _line(change: PartChange, units: str) -> str:
    return f"{listed_marks(change.marks)}: {change.said.words(units)}"


def _notes(since: Since) -> Iterator[str]:
    if since.own:
        yield prose("changes", "own").format(revision=since.revision)


def _is_unchanged(issue: Issuing) -> bool:
    return bool(issue.before) and all(since.own for since in issue.lists)


def _nothing(issue: Issuing) -> str:
    return prose("changes", "nothing").format(revision=issue.before)
