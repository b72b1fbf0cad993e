"""What a check says: one finding, its level, and where the rule comes from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from fabgen.wording.inches import inches_beside
from fabgen.wording.levels import Level

MOST = 40
"""Marks that are named where findings are told together: a table's row must fit a page."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a check found.

    `marks`: the parts it is about, or the bolt, body, material it is about; `rule`: a short kebab-case name;
    `source`: a citation, 'common practice, no source', or ''.  A finding never says that anything is safe.
    """

    level: Level
    marks: tuple[str, ...]
    rule: str
    text: str
    source: str = ""

    @property
    def is_stop(self) -> bool:
        return self.level is Level.STOP

    @property
    def mark(self) -> str:
        """The marks as one text, 'T3, T4, T5'."""
        return listed_marks(self.marks)

    @property
    def data(self) -> dict[str, str]:
        """As JSON has it."""
        return {
            "level": self.level,
            "mark": self.mark,
            "rule": self.rule,
            "text": self.text,
            "source": self.source,
        }

    @property
    def cited(self) -> str:
        """The text with its source behind it, as tables on paper have it."""
        return self.text + (f"  [{self.source}]" if self.source else "")


def listed_marks(marks: Sequence[str]) -> str:
    """'T3, T4, T5'; of more than `MOST` the rest are counted."""
    more = len(marks) - MOST
    return ", ".join(marks) if more <= 0 else f"{', '.join(marks[:MOST])} and {more} more"


def in_inches(findings: Iterable[Finding]) -> list[Finding]:
    """The findings with inches beside every size, for jobs worked in inches."""
    return [replace(finding, text=inches_beside(finding.text)) for finding in findings]


def graded(findings: Iterable[Finding]) -> list[Finding]:
    """The findings, the gravest first, else as they come."""
    return sorted(findings, key=lambda finding: finding.level.rank)


def together(findings: Iterable[Finding]) -> list[Finding]:
    """Findings that say the same of several marks made into one; order kept, and each mark once."""
    marks: dict[Finding, dict[str, None]] = {}
    for finding in findings:
        marks.setdefault(replace(finding, marks=()), {}).update(dict.fromkeys(finding.marks))
    return [replace(finding, marks=tuple(named)) for finding, named in marks.items()]
