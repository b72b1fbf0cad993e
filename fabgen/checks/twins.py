"""Findings that say of a mirror image or a copy what is said of its first: one finding, which names both."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import Finding
from fabgen.wording.sentence import sentence


@dataclass(frozen=True, slots=True)
class Where:
    """At which of several places something is so, or from which side, as part of a sentence: twins differ in it besides
    their names.

    Args:
        places: in words, '' of what stands but once.
        aside: whether they stand in brackets.
    """

    places: str
    aside: bool = True

    def words(self, units: str = "mm") -> str:
        """' (place 2 of L)', 'from the left'."""
        return f" ({self.places})" if self.places and self.aside else self.places

    def __format__(self, spec: str) -> str:
        raise TypeError("where something is so goes into a sentence as a part of its own")


@dataclass(frozen=True)
class Twins:
    """What is made again in a job.

    Args:
        firsts: of the mark of each image or copy that has one of its own, and of the name of each bolt that goes with
            such, that of its first.
    """

    firsts: Mapping[str, str]

    def first(self, name: str) -> str:
        """What something is made after; its own name of what is made after nothing."""
        while name in self.firsts:
            name = self.firsts[name]
        return name

    def as_one(self, findings: Iterable[Finding]) -> list[Finding]:
        """The findings, those of twins made into one where they differ in nothing but the names: it is said of the
        first, and after that of which others.

        Args:
            findings: of one or several rules, in their order.
        """
        alike: dict[object, list[Finding]] = {}
        for each in findings if self.firsts else ():
            alike.setdefault(self._key(each), []).append(each)
        return [self._one(each) for each in alike.values()] if self.firsts else list(findings)

    def _key(self, finding: Finding) -> object:
        marks = tuple(self.first(mark) for mark in finding.marks)
        said = sentence(*(part for part in finding.said.parts if not isinstance(part, Where)))
        return finding.rule, finding.level, finding.source, marks, self._with_firsts(said.words(finding.units))

    def _one(self, findings: Sequence[Finding]) -> Finding:
        first = findings[0]
        marks = tuple(dict.fromkeys(mark for each in findings for mark in each.marks))
        likewise = [self._other(each, first) for each in findings[1:] if each.text != first.text]
        if not likewise:
            return replace(first, marks=marks)
        return replace(first, said=sentence(first.said, "; likewise ", named(likewise, "; ", FEW)), marks=marks)

    def _other(self, finding: Finding, first: Finding) -> str:
        """What a finding is about, and which parts it names: 'bolt 1 mirrored (P1-R, P2-R)', 'S1-R' of one bolt."""
        known = {*self._names.findall(first.text), *finding.marks} if self._names is not None else set()
        found = [] if self._names is None else self._names.findall(finding.text)
        where = [part.places for part in finding.said.parts if isinstance(part, Where) and part.places]
        parts = ", ".join((*(name for name in dict.fromkeys(found) if name not in known), *dict.fromkeys(where)))
        if finding.marks == first.marks or not parts:
            return parts or finding.mark
        return f"{finding.mark} ({parts})"

    def _with_firsts(self, text: str) -> str:
        return text if self._names is None else self._names.sub(lambda found: self.first(found[0]), text)

    @cached_property
    def _names(self) -> re.Pattern[str] | None:
        longest_first = sorted(self.firsts, key=lambda name: (-len(name), name))
        return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, longest_first))})(?![\w-])") if self.firsts else None
