"""What a check says: one finding, its level, and where the rule comes from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from fabgen.wording.inches import inches_beside

MOST = 40
"""Marks that are named where findings are told together: a table's row must fit a page."""

Level = Literal["stop", "warn", "note"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a check found.  `rule` is a short kebab-case name; `source` a citation,
    'common practice, no source', or ''.  A finding never says that anything is safe."""

    level: Level
    mark: str
    rule: str
    text: str
    source: str = ""


def in_inches(findings: Iterable[Finding]) -> list[Finding]:
    """The findings with inches beside every size, for jobs worked in inches."""
    return [replace(finding, text=inches_beside(finding.text)) for finding in findings]


def together(findings: Iterable[Finding]) -> list[Finding]:
    """Findings that say the same of several marks made into one, its `mark` 'T3, T4, T5'; order kept.

    Of more than `MOST` marks the rest are counted: job.json has them all.
    """
    marks: dict[Finding, list[str]] = {}
    for finding in findings:
        told = marks.setdefault(replace(finding, mark=""), [])
        if finding.mark not in told:
            told.append(finding.mark)
    return [replace(finding, mark=_listed(named)) for finding, named in marks.items()]


def _listed(marks: list[str]) -> str:
    more = len(marks) - MOST
    return ", ".join(marks) if more <= 0 else f"{', '.join(marks[:MOST])} and {more} more"
