"""The lines to write in a job file for keys that ends of tubes are to have, with the keys they have there already."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from fabgen.job.document import Document, entries, mark_of, table_in
from fabgen.job.expansion.expanded_tables import Expanded
from fabgen.job.expansion.written import written_value
from fabgen.job.tables.part_tables import TubeEnd
from fabgen.wording.sentence import Part, Sentence, Value, joined, sentence

Key = Value | str | Sequence[str] | None
"""What a key is to hold: a length to paste, a word, or marks; None of one that is to go."""


@dataclass(frozen=True)
class Wanted:
    """Keys that one end of a tube is to have.

    Args:
        mark: of the tube, as the documents have it.
        at: "start" or "finish".
        keys: by name; marks are added to those that the key lists already.
    """

    mark: str
    at: str
    keys: Mapping[str, Key]


@dataclass(frozen=True)
class WrittenKeys:
    """A job file as those read it who are to write a line in it.

    Args:
        raw: the values as they stand in the file.
        expanded: its tables with frames and repeats worked out.
    """

    raw: Mapping[str, Any] = field(default_factory=dict)
    expanded: Expanded = field(default_factory=lambda: Expanded({}))

    @staticmethod
    def of(document: Document) -> WrittenKeys:
        return WrittenKeys(document.raw, document.expanded or Expanded(document.raw))

    def lines(self, wanted: Iterable[Wanted], do: Part = "") -> Sentence:
        """All the lines, each with where it goes: 'A in the tables of T1 and T2, B in the table of T3 copes it'.

        A key that the end has already stands in the line too, so that it can be pasted over what is there.  A copy
        has the line of the tube that is repeated; an end within a tube that is cut in pieces, and a side of a ring,
        have no keys, which is said.

        Args:
            wanted: the keys; of two lengths for one key the greater is written.
            do: what the lines do, e.g. ' copes it'; left out where there is none.
        """
        without: list[str] = []
        ends: dict[str, dict[str, dict[str, Key]]] = {}  # by the mark that the file has, then by end
        for each in wanted:
            own = self._own(each.mark)
            if own is None or not self._is_outer(each.mark, own, each.at):
                without.append(f"the {each.at} of {each.mark}")
                continue
            keys = ends.setdefault(own, {}).setdefault(each.at, {})
            for name, value in each.keys.items():
                keys[name] = _further(keys.get(name), value)
        lines = joined(", ", (*self._tubes(ends), *self._frames(ends)))
        return joined("; ", (*([sentence(lines, do)] if lines else []), *_without(without)))

    def _tubes(self, ends: Mapping[str, Mapping[str, Mapping[str, Key]]]) -> Iterable[Sentence]:
        """The lines in tables of tubes, alike ones once."""
        alike: dict[tuple[Sentence, tuple[str, ...]], list[str]] = {}
        for own, at_ends in ends.items():
            if own not in self.expanded.members:
                had = {at: self._had(own, at) for at in at_ends}
                lines = joined(", ", (sentence(f"`{at} = ", _table(had[at], at_ends[at]), "`") for at in at_ends))
                alike.setdefault((lines, tuple(f"`{at}`" for at in at_ends if had[at])), []).append(own)
        for (lines, over), marks in alike.items():
            table = "table" if len(marks) == 1 else "tables"
            copied = " (copies follow)" if set(marks) & set(self.expanded.copies.values()) else ""
            yield sentence(lines, f" in the {table} of {_listed(marks)}{_over(over)}{copied}")

    def _frames(self, ends: Mapping[str, Mapping[str, Mapping[str, Key]]]) -> Iterable[Sentence]:
        """One `change` a frame, with what it changes already."""
        for i, entry in entries(self.raw, "frame"):
            theirs = {
                str(place[3]): at_ends
                for own, at_ends in ends.items()
                if (place := self.expanded.members.get(own, ()))[:2] == ("frame", i)
            }
            if not theirs:
                continue
            had, mark = table_in(entry, "change"), mark_of(entry)
            parts = []
            for name in dict.fromkeys((*had, *theirs)):
                other = {
                    key: value for key, value in table_in(had, str(name)).items() if key not in theirs.get(name, {})
                }
                keys: dict[str, Part] = {key: written_value(value) for key, value in other.items()}
                keys |= {at: _table(self._had(f"{mark}-{name}", at), new) for at, new in theirs.get(name, {}).items()}
                parts.append(sentence(f"{name} = ", _braced(keys)))
            copied = " (copies follow)" if set(ends) & set(self.expanded.copies.values()) else ""
            yield sentence(
                "`change = { ",
                joined(", ", parts),
                f" }}` in the table of frame {mark}{_over(['`change`'] if had else [])}{copied}",
            )

    # -- whose keys ------------------------------------------------------------------
    @cached_property
    def _entries(self) -> Mapping[str, Mapping[str, Any]]:
        """The tables of tubes as they stand in the file, by mark."""
        return {mark_of(entry): entry for _, entry in entries(self.raw, "tube")}

    def _own(self, mark: str) -> str | None:
        """The mark, in the file or of a frame's tube, whose keys a tube has; None of one that the file knows not."""
        known = (*self._entries, *self.expanded.members, *self.expanded.copies)
        named = [each for each in known if mark == each or (mark.startswith(each) and mark[len(each) :].isalpha())]
        if not named:
            return mark if not self.raw else None
        own = max(named, key=len)
        while own in self.expanded.copies:
            own = self.expanded.copies[own]
        return own

    def _is_outer(self, mark: str, own: str, at: str) -> bool:
        """Whether an end of a tube is one that the tube in the file has: not where this was cut, nor a ring's."""
        tubes = [entry for _, entry in entries(self.expanded.tables, "tube")]
        marks = [mark_of(entry) for entry in tubes]
        if mark in self._entries or mark in self.expanded.members or mark in self.expanded.copies or not self.raw:
            return True
        stem = max((each for each in (own, *self.expanded.copies) if mark.startswith(each)), key=len)
        pieces = [i for i, each in enumerate(marks) if each.startswith(stem) and each[len(stem) :].isalpha()]
        first, last = tubes[pieces[0]], tubes[pieces[-1]]
        if first["route"][0] == last["route"][-1]:
            return False
        return mark == marks[pieces[0] if at == "start" else pieces[-1]]

    def _had(self, own: str, at: str) -> Mapping[str, Any]:
        """The keys that an end has in the file, or by its frame."""
        if own in self._entries:
            return table_in(self._entries[own], at)
        place = self.expanded.members.get(own)
        if place is None:
            return {}
        changed = table_in(table_in(self.raw["frame"][place[1]], "change"), str(place[3]))
        return table_in(changed if at in changed else self.expanded.given.get(own, {}), at)


def _further(had: object, new: Key) -> Key:
    """Of two lengths the greater, of marks all."""
    if isinstance(had, Value) and isinstance(new, Value):
        return max(had, new, key=lambda each: each.values)
    if new is not None and not isinstance(new, str | Value):
        listed = [had] if isinstance(had, str) else list(had) if isinstance(had, Sequence) else []
        return list(dict.fromkeys((*listed, *new)))
    return new


def _table(had: Mapping[str, Any], new: Mapping[str, Key]) -> Sentence:
    keys: dict[str, Part] = {key: written_value(value) for key, value in _left(had, new).items()}
    for key, value in new.items():
        whole = _further(had.get(key), value)
        if whole is not None:
            keys[key] = whole if isinstance(whole, Value) else written_value(whole)
    return _braced(keys)


def _left(had: Mapping[str, Any], new: Mapping[str, Key]) -> dict[str, Any]:
    """The keys of an end that have a meaning beside the new ones."""
    left = {key: value for key, value in had.items() if key not in new}
    given = {key: value for key, value in new.items() if value is not None}
    while left and (faults := {str(fault.key[0]) for fault in TubeEnd.faults(left | given) if fault.key}):
        beside = faults & set(left) or {"cut"} & set(left)
        if not beside:
            break
        left = {key: value for key, value in left.items() if key not in beside}
    return left


def _braced(keys: Mapping[str, Part]) -> Sentence:
    inner = joined(", ", (sentence(f"{key} = ", value) for key, value in keys.items()))
    return sentence("{ ", inner, " }") if keys else sentence("{}")


def _over(keys: Sequence[str]) -> str:
    """That keys which stand there are written over."""
    return f" (over the {_listed(keys)} there)" if keys else ""


def _without(ends: Sequence[str]) -> Iterable[Sentence]:
    if ends:
        has = "has" if len(ends) == 1 else "have"
        yield sentence(f"{_listed(ends)} {has} no keys, being a cut within a tube or a corner of a ring")


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
