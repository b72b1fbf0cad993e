"""A rule: one function that checks one thing, with its name, levels and source beside it.

    @rule("hole-size", Level.WARN, source=COMMON)
    def hole_size(of: Checking[FlatPart]) -> Iterator[Found]:
        \"\"\"A hole too narrow for its sheet and the way it is cut.\"\"\"
        ...
        yield found("hole A is ", mm(width), " wide, ...")

The docstring's first paragraph is the rule in the manual.  A group names what its rules check, one after the other.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, Protocol, TypeVar

from fabgen.checks.finding import Finding, Found
from fabgen.wording.levels import Level

if TYPE_CHECKING:
    from fabgen.checks.checked import Checked

PRACTICE = "common practice, no source"
FROM_JOB = "follows from the job itself"
LIMITS = "says what was not checked"
_NOT_PRINTED = (FROM_JOB, LIMITS)
"""What needs no citation with every finding."""


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
    """Rules for one kind of subject, in the order they are run; `about` is their heading in the manual."""

    about: str
    subjects: Callable[[Checked], Iterable[S]]
    rules: tuple[Rule[S], ...]

    def findings(self, checked: Checked) -> Iterator[Finding]:
        """What the rules find, subject by subject."""
        for subject in self.subjects(checked):
            for each in self.rules:
                yield from each(subject)
