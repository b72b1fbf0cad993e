"""A rule: one function that checks one thing, with its name, levels and source beside it; and the findings it makes.

    @rule("hole-size", Level.WARN, source=COMMON)
    def hole_size(of: Checking[FlatPart]) -> Iterator[Found]:
        \"\"\"A hole too narrow for its sheet and the way it is cut.\"\"\"
        ...
        yield found("hole A is ", mm(width), " wide, ...")

The docstring's first paragraph is the rule in the manual.  A group names what its rules check, one after the other.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Generic, Protocol, TypeVar

from fabgen.wording.levels import Level
from fabgen.wording.sentence import Part, Sentence, sentence

if TYPE_CHECKING:
    from fabgen.checks.checked import Checked

PRACTICE = "common practice, no source"
FROM_JOB = "follows from the job itself"
LIMITS = "says what was not checked"
_NOT_PRINTED = (FROM_JOB, LIMITS)
"""What needs no citation with every finding."""
MOST = 40
"""Marks that are named in a merged finding: a table's row must fit a page."""


# -- findings -----------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Finding:
    """One result of a check.  A finding never says that anything is safe.

    Args:
        level: how grave it is.
        marks: the parts it is about, or the bolt, body or material.
        rule: the rule's name in the registry, short and in kebab case.
        said: what was found, with its values.
        source: a citation, 'common practice, no source', or '' where it follows from the job's own sizes.
        units: "mm" or "in", which the job is worked in.
    """

    level: Level
    marks: tuple[str, ...]
    rule: str
    said: Sentence
    source: str = ""
    units: str = "mm"

    @property
    def is_stop(self) -> bool:
        return self.level is Level.STOP

    @property
    def mark(self) -> str:
        """The marks as one text, 'T3, T4, T5'."""
        return listed_marks(self.marks)

    @property
    def text(self) -> str:
        """What was found, in words; in inch jobs with inches first and mm beside."""
        return self.said.words(self.units)

    @property
    def cited(self) -> str:
        """The text with its source behind it, as tables on paper have it."""
        return self.text + (f"  [{self.source}]" if self.source else "")

    @property
    def data(self) -> dict[str, str | list[str]]:
        """As JSON has it: `mark` in one text as tables have it, `marks` one by one and all."""
        return {
            "level": self.level,
            "mark": self.mark,
            "marks": list(self.marks),
            "rule": self.rule,
            "text": self.text,
            "source": self.source,
        }


@dataclass(frozen=True, slots=True)
class Found:
    """What a rule yields; the rest is the rule's own.  Made by `found`."""

    said: Sentence
    level: Level | None = None
    marks: tuple[str, ...] = ()
    source: str | None = None


def found(
    *parts: Part, level: Level | None = None, about: str | Iterable[str] = "", source: str | None = None
) -> Found:
    """A finding in the making.

    Args:
        parts: of the sentence, texts and values as they are read.
        level: where the rule has several and this is not its first.
        about: the mark or marks, where it is not that of the part that is checked.
        source: where it is not the rule's.
    """
    marks = tuple(filter(None, (about,))) if isinstance(about, str) else tuple(dict.fromkeys(about))
    return Found(sentence(*parts), level, marks, source)


def listed_marks(marks: Sequence[str]) -> str:
    """'T3, T4, T5'; of more than `MOST` the rest are counted."""
    more = len(marks) - MOST
    return ", ".join(marks) if more <= 0 else f"{', '.join(marks[:MOST])} and {more} more"


def graded(findings: Iterable[Finding]) -> list[Finding]:
    """The findings, the gravest first, those of a level by their marks (T2 before T10), else as they come."""
    return sorted(findings, key=lambda finding: (finding.level.rank, [_counting(mark) for mark in finding.marks[:1]]))


def _counting(mark: str) -> list[tuple[str, int]]:
    """What sorts marks as one counts them: T2, T2-R, T10."""
    return [(letters, int(digits or 0)) for letters, digits in re.findall(r"(\D*)(\d*)", mark)]


def merged(findings: Iterable[Finding]) -> list[Finding]:
    """Findings that say the same of several marks made into one; order kept, and each mark once."""
    marks: dict[Finding, dict[str, None]] = {}
    for finding in findings:
        marks.setdefault(replace(finding, marks=()), {}).update(dict.fromkeys(finding.marks))
    return [replace(finding, marks=tuple(named)) for finding, named in marks.items()]


# -- rules --------------------------------------------------------------------------------
class Subject(Protocol):
    """What a rule checks: the whole job, or one part of it."""

    @property
    def mark(self) -> str: ...

    @property
    def units(self) -> str: ...


S = TypeVar("S", bound=Subject)


@dataclass(frozen=True)
class Rule(Generic[S]):
    """One entry of the registry.

    Args:
        name: what job.json calls it, in kebab case.
        levels: those its findings may have; the first where the function says nothing else.
        source: a citation, PRACTICE, FROM_JOB or LIMITS.
        about: what is checked, one sentence or a few.
        check: yields what is found on a subject.
    """

    name: str
    levels: tuple[Level, ...]
    source: str
    about: str
    check: Callable[[S], Iterable[Found]]

    def __call__(self, subject: S) -> Iterator[Finding]:
        """The findings on a subject, complete."""
        own = "" if self.source in _NOT_PRINTED else self.source
        for each in self.check(subject):
            source = own if each.source is None else each.source
            marks = each.marks or (subject.mark,)
            yield Finding(each.level or self.levels[0], marks, self.name, each.said, source, subject.units)


def rule(name: str, *levels: Level, source: str = PRACTICE) -> Callable[[Callable[[S], Iterable[Found]]], Rule[S]]:
    """Makes a rule of the function below it; its docstring says what is checked."""

    def made(check: Callable[[S], Iterable[Found]]) -> Rule[S]:
        about = " ".join(inspect.cleandoc(check.__doc__ or "").split("\n\n")[0].split())
        return Rule(name, levels, source, about, check)

    return made


@dataclass(frozen=True)
class Group(Generic[S]):
    """Rules for one kind of subject, in the order they are run; `about` is their heading in the manual.

    `of_all`: what they find counts also where it is of parts alone that are bought or there already; of others it does
    not, as nothing of these is made here.  `of_twins`: what they find alike of a mirror image or a copy and of its
    first is one finding.
    """

    about: str
    subjects: Callable[[Checked], Iterable[S]]
    rules: tuple[Rule[S], ...]
    of_all: bool = False
    of_twins: bool = False

    def findings(self, checked: Checked) -> Iterator[Finding]:
        """What the rules find, subject by subject."""
        for subject in self.subjects(checked):
            for each in self.rules:
                yield from each(subject)
