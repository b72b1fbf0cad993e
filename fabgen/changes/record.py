"""`issued.json`: the parts as papers were issued, by which the next papers say what has changed.

A revision is issued when it is first made.  The record keeps what it was then, what it was when last made (where that
is another), and the same of the revision before.  So a list of changes stays on the papers until the revision after,
however often they are made.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Literal

from pydantic import Field, ValidationError

from fabgen.changes.compared import compared
from fabgen.changes.issued_part import IssuedPart, Kept

NAME = "issued.json"
VERSION: Literal[1] = 1
"""Of the contract, `issued.schema.json`: higher where a key goes or changes its meaning; keys may be added."""

When = Literal["first", "last"]


class Issue(Kept):
    """The parts of a revision as it was first made, or last."""

    revision: str = Field(description="as [job] revision")
    made: When = Field(description="first or last: which make of that revision")
    parts: tuple[IssuedPart, ...]


class Record(Kept):
    """The whole file: the issues of the revision before, then those of the one that was made last."""

    version: Literal[1] = Field(description="number of this contract; raised where a key goes or changes its meaning")
    job: str = Field(description="number of the job")
    issues: tuple[Issue, ...] = Field(min_length=1, description="the oldest first; the last is of the latest papers")
    lost: bool = Field(default=False, description="true: what was issued before could not be read")

    @property
    def revision(self) -> str:
        """Of the latest papers."""
        return self.issues[-1].revision

    @property
    def before(self) -> tuple[Issue, ...]:
        """Issues of the revision before that, none where there is none."""
        return tuple(issue for issue in self.issues if issue.revision != self.revision)

    @property
    def first(self) -> Issue:
        """The latest revision as it was first made."""
        return next(issue for issue in self.issues if issue.revision == self.revision)


class NotARecordError(Exception):
    """The file is damaged, or none of ours."""


def read_record(data: bytes) -> Record:
    """The record in a file.

    Raises:
        NotARecordError: it holds none that this version knows.
    """
    try:
        return Record.model_validate_json(data)
    except ValidationError as error:
        raise NotARecordError(str(error.errors()[0]["msg"])) from error


def next_record(old: Record | None, job: str, revision: str, parts: Sequence[IssuedPart], lost: bool = False) -> Record:
    """The record that is kept after a make.

    Args:
        old: as the makes before left it, of the same job; None of a job that is made for the first time.
        job: its number.
        parts: as they are made now.
        lost: what was issued before could not be read.
    """
    now = tuple(parts)
    if old is None:
        return Record(version=VERSION, job=job, issues=(Issue(revision=revision, made="first", parts=now),), lost=lost)
    if old.revision != revision:
        before = tuple(issue for issue in old.issues if issue.revision == old.revision)
        return Record(version=VERSION, job=job, issues=(*before, Issue(revision=revision, made="first", parts=now)))
    kept = (*old.before, old.first)
    if compared(old.first.parts, now):
        kept = (*kept, Issue(revision=revision, made="last", parts=now))
    return Record(version=VERSION, job=job, issues=kept, lost=old.lost)


def record_text(record: Record) -> str:
    """The file, a line a part."""
    lines = ["{", f' "version": {record.version},', f' "job": {_json(record.job)},']
    lines += [' "lost": true,'] if record.lost else []
    lines.append(' "issues": [')
    for number, issue in enumerate(record.issues, 1):
        lines.append(f'  {{"revision": {_json(issue.revision)}, "made": "{issue.made}", "parts": [')
        parts = [f"   {_json(part.model_dump(mode='json', exclude_defaults=True))}" for part in issue.parts]
        lines += [",\n".join(parts), "  ]}" + ("," if number < len(record.issues) else "")]
    return "\n".join([*lines, " ]", "}"]) + "\n"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
