"""The lines to write in a job file for keys that ends of tubes are to have, with the keys they have there already."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from fabgen.job.document import Document, entries, mark_of, table_in
from fabgen.job.expansion.expanded_tables import Expanded
from fabgen.job.expansion.written import written_value
from fabgen.job.tables.part_tables import Tube, TubeEnd
from fabgen.wording.sentence import Part, Sentence, Value, coordinate, joined, sentence

Key = Value | Sentence | str | Sequence[str] | None
"""What a key is to hold: a length to paste, a value as it is written, a word, or marks; None of one that is to go."""

KEPT = ("foot", "splice", "slit", "crush", "plane")
"""What an end has besides how it is cut: no line takes it away unsaid."""


@dataclass(frozen=True)
class Wanted:
    """Keys that a tube, or one end of it, is to have.

    Args:
        mark: of the tube, as the documents have it.
        at: "start" or "finish"; "" for keys of the tube itself.
        keys: by name; marks are added to those that the key lists already.
    """

    mark: str
    at: str
    keys: Mapping[str, Key]


_SAME = 0.05
"""Points that move as far but for this move alike, mm."""

Ends = dict[str, dict[str, dict[str, Key]]]
"""Keys by the mark of the tube, then by end."""


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
        has the line of the tube that is repeated where that one is to have it too, else one of its own in the repeat;
        an end within a tube that is cut in pieces, and a side of a ring, have no keys, which is said, and so is where
        a key does not go with what the end carries.

        Args:
            wanted: the keys; of two lengths for one key the greater is written.
            do: what the lines do, e.g. ' copes it'; left out where there is none.
        """
        without: dict[str, list[str]] = {}
        ends: Ends = {}
        for each in wanted:
            own, end = self._own(each.mark), f"the {each.at} of {each.mark}"
            if own is None:
                without.setdefault(_NO_TABLE, []).append(each.mark)
            elif each.at and not self._is_outer(each.mark, own, each.at):
                without.setdefault(_NO_KEYS, []).append(end)
            elif each.at and (kept := [key for key in KEPT if key in self._lost(own, each)]):
                why = f"{_listed([f'`{key}`' for key in each.keys])} does not go with the `{kept[0]}` there"
                without.setdefault(why, []).append(end)
            else:
                keys = ends.setdefault(own, {}).setdefault(each.at, {})
                for name, value in each.keys.items():
                    keys[name] = _further(keys.get(name), value)
        ends, followed = self._without_followers(ends)
        lines = joined(", ", (*self._tubes(ends, followed), *self._makers(ends, followed)))
        said = (sentence(f"{_listed(list(dict.fromkeys(those)))}: {why}") for why, those in without.items())
        return joined("; ", (*([sentence(lines, do)] if lines else []), *said))

    def listed(self, mark: str, key: str) -> list[Mapping[str, Any]]:
        """The tables that a tube has under a key, as the file or what makes it gives them; none where the job has no
        file.

        Args:
            mark: of the tube, as the documents have it.
            key: e.g. "holes".
        """
        own = self._own(mark)
        written = self._had(own, "").get(key) if self.raw and own is not None else None
        return [each for each in written if isinstance(each, Mapping)] if isinstance(written, list) else []

    def points(self, moved: Iterable[tuple[Tube, str, Sequence[float]]]) -> Sentence:
        """What sets the points of ends: 'set the point of the start of B to [x, y, z]'; of a tube that a frame or
        repeat makes the line with its route.

        Args:
            moved: tubes with the end, "start" or "finish", and where its point on the tube's centre line is to lie, mm.
        """
        every = {(tube.mark, at): (tube, place) for tube, at, place in moved}
        own: list[Sentence] = []
        routes: dict[str, list[Sentence]] = {}
        without: dict[str, list[str]] = {}
        for (mark, at), (tube, place) in every.items():
            owner = self._own(mark)
            if owner is None or not self._is_outer(mark, owner, at):
                why = _NO_TABLE if owner is None else _NO_KEYS
                without.setdefault(why, []).append(f"the {at} of {mark}")
                continue
            point = sentence("[", joined(", ", map(coordinate, _as_given(tube, at, place))), "]")
            if owner not in self.expanded.members:
                own.append(sentence(f"of the {at} of {mark} to ", point))
            elif not self._moves_with_first(mark, at, every):
                route = routes.setdefault(owner, [sentence(written_value(p)) for p in self._had(owner, "")["route"]])
                route[0 if at == "start" else -1] = point
        points = "set the point " if len(own) == 1 else "set the points "
        made = [
            Wanted(owner, "", {"route": sentence("[", joined(", ", route), "]")}) for owner, route in routes.items()
        ]
        return joined(
            ", ",
            (
                *([sentence(points, joined(", ", own))] if own else []),
                *([self.lines(made)] if made else []),
                *(f"{_listed(those)}: {why}" for why, those in without.items()),
            ),
        )

    def _moves_with_first(
        self, mark: str, at: str, every: Mapping[tuple[str, str], tuple[Tube, Sequence[float]]]
    ) -> bool:
        """Whether the point of a copy's end moves as far as that of the tube that is repeated, and so by itself."""
        first = self.expanded.copies.get(mark)
        if first is None or (first, at) not in every or "route" in self._own_change(mark):
            return False
        moves = [
            math.dist(place, tube.route[0 if at == "start" else -1].xyz)
            for tube, place in (every[mark, at], every[first, at])
        ]
        return math.isclose(*moves, abs_tol=_SAME)

    def _tubes(self, ends: Ends, followed: Set[str]) -> Iterable[Sentence]:
        """The lines in tables of tubes, alike ones once."""
        alike: dict[tuple[Sentence, tuple[str, ...]], list[str]] = {}
        for own, at_ends in ends.items():
            if own not in self.expanded.members:
                changed, over = self._changed(own, at_ends)
                lines = joined(", ", (sentence(f"`{key} = ", value, "`") for key, value in changed.items()))
                alike.setdefault((lines, tuple(f"`{key}`" for key in over)), []).append(own)
        for (lines, written_over), marks in alike.items():
            table = "table" if len(marks) == 1 else "tables"
            copied = " (copies follow)" if set(marks) & followed else ""
            yield sentence(lines, f" in the {table} of {_listed(marks)}{_over(written_over)}{copied}")

    def _makers(self, ends: Ends, followed: Set[str]) -> Iterable[Sentence]:
        """One `change` a frame, repeat or mirror, with what it changes already."""
        made = [("frame", i, entry) for i, entry in entries(self.raw, "frame")]
        made += [(table, i, entry) for table in ("repeat", "mirror") for i, entry in entries(self.raw, table)]
        for table, i, entry in made:
            theirs = {
                str(place[3]): (own, at_ends)
                for own, at_ends in ends.items()
                if (place := self.expanded.members.get(own, ()))[:2] == (table, i)
            }
            if not theirs:
                continue
            had, parts = table_in(entry, "change"), []
            for name in dict.fromkeys((*had, *theirs)):
                own, at_ends = theirs.get(name, ("", {}))
                changed, _ = self._changed(own, at_ends)
                keys: dict[str, Part] = {
                    key: written_value(value) for key, value in table_in(had, str(name)).items() if key not in changed
                }
                parts.append(sentence(f"{_bare(str(name))} = ", _braced(keys | changed)))
            copied = " (copies follow)" if {own for own, _ in theirs.values()} & followed else ""
            whose = f"frame {mark_of(entry)}" if table == "frame" else f"the {table} of {_parts_of(entry)}"
            over = _over(["`change`"] if had else [])
            yield sentence("`change = { ", joined(", ", parts), f" }}` in the table of {whose}{over}{copied}")

    def _changed(self, own: str, at_ends: Mapping[str, Mapping[str, Key]]) -> tuple[dict[str, Part], list[str]]:
        """What keys of a tube are to hold, and those of them that it has already."""
        keys: dict[str, Part] = {}
        over = []
        for at, new in at_ends.items():
            had = self._had(own, at)
            if at:
                keys[at] = _table(had, new)
                over += [at] if had else []
                continue
            for name, value in new.items():
                whole = _further(had.get(name), value)
                keys[name] = whole if isinstance(whole, Value | Sentence) else written_value(whole)
                over += [name] if name in had else []
        return keys, over

    # -- copies ----------------------------------------------------------------------
    def _without_followers(self, ends: Ends) -> tuple[Ends, Set[str]]:
        """The keys without those of copies that follow from the tube that is repeated; and the marks of these."""
        kept: Ends = {}
        followed = set(self.expanded.copies.values())
        for own, at_ends in ends.items():
            left = {at: keys for at, keys in at_ends.items() if not self._follows(own, at, keys, ends)}
            if left:
                kept[own] = left
        return kept, followed

    def _follows(self, own: str, at: str, keys: Mapping[str, Key], ends: Ends) -> bool:
        """Whether a copy gets its keys from the tube that is repeated, as that one is to have them too."""
        first = self.expanded.copies.get(own)
        if first is None or at in self._own_change(own):
            return False
        of_first = {name: self._of_first(own, value) for name, value in keys.items()}
        theirs = ends.get(first, {}).get(at, {})
        if all(name in theirs and _further(theirs[name], new) == theirs[name] for name, new in of_first.items()):
            return True
        return self._follows(first, at, of_first, ends)

    def _of_first(self, copy: str, value: Key) -> Key:
        """What the tube that is repeated has for it: marks of what is repeated with it are those of the first, and what
        it alone of all copies names has no name there."""
        if value is None or isinstance(value, Value | Sentence):
            return value
        first, repeat = self.expanded.copies[copy], self.expanded.members[copy][:2]
        number = copy.removeprefix(first)
        beside = {one for each, one in self.expanded.copies.items() if self.expanded.members[each][:2] == repeat}
        marks = dict.fromkeys(beside, "") | {one + number: one for one in beside}
        if isinstance(value, str):
            return marks.get(value, value)
        return [marks.get(mark, mark) for mark in value]

    # -- whose keys ------------------------------------------------------------------
    @cached_property
    def _entries(self) -> Mapping[str, Mapping[str, Any]]:
        """The tables of tubes as they stand in the file, by mark."""
        return {mark_of(entry): entry for _, entry in entries(self.raw, "tube")}

    def _own(self, mark: str) -> str | None:
        """The mark of the tube, in the file or made by a frame or repeat, whose keys a tube has; None of one that is
        neither."""
        if not self.raw or mark in self._entries or mark in self.expanded.members:
            return mark
        return self.expanded.pieces.get(mark)

    def _is_outer(self, mark: str, own: str, at: str) -> bool:
        """Whether an end of a tube is one that the tube in the file has: not where this was cut, nor a ring's."""
        if mark == own or not self.raw:
            return True
        tubes = [entry for _, entry in entries(self.expanded.tables, "tube")]
        marks = [mark_of(entry) for entry in tubes]
        pieces = [i for i, each in enumerate(marks) if self.expanded.pieces.get(each) == own]
        first, last = tubes[pieces[0]], tubes[pieces[-1]]
        if first["route"][0] == last["route"][-1]:
            return False
        return mark == marks[pieces[0] if at == "start" else pieces[-1]]

    def _own_change(self, own: str) -> Mapping[str, Any]:
        """What a frame or repeat changes of a tube that it makes."""
        place = self.expanded.members.get(own)
        if place is None:
            return {}
        return table_in(table_in(self.raw[str(place[0])][place[1]], "change"), str(place[3]))

    def _had(self, own: str, at: str) -> Mapping[str, Any]:
        """The keys that an end has in the file, or by its frame or repeat; for "" those of the tube."""
        if own in self._entries:
            whole = self._entries[own]
        else:
            whole = dict(self.expanded.given.get(own, {})) | dict(self._own_change(own))
        return table_in(whole, at) if at else whole

    def _lost(self, own: str, new: Wanted) -> Set[str]:
        """The keys of an end that have no meaning beside new ones."""
        had = self._had(own, new.at)
        return {key for key in had if key not in new.keys} - set(_left(had, new.keys))


_NO_TABLE = "no line, as it has no table in the job file"
_NO_KEYS = "no line, as this is a cut within a tube or a corner of a ring, which has no keys"


def _as_given(tube: Tube, at: str, place: Sequence[float]) -> Sequence[float]:
    """The point that the job is to give for an end whose centre line is to end at a place: on the face on which the
    tube's points lie, and before its own `offset`."""
    number = 0 if at == "start" else -1
    given, on_axis, aside = tube.given_ends[number].xyz, tube.route[number].xyz, tube.offset or (0.0, 0.0, 0.0)
    return [each + a - b - c for each, a, b, c in zip(place, given, on_axis, aside, strict=True)]


def _further(had: object, new: Key) -> Key:
    """Of two lengths the greater, of marks all."""
    if isinstance(had, Value) and isinstance(new, Value):
        return max(had, new, key=lambda each: each.values)
    if new is not None and not isinstance(new, str | Value | Sentence):
        listed = [had] if isinstance(had, str) else list(had) if isinstance(had, Sequence) else []
        return list(dict.fromkeys((*listed, *new)))
    return new


def _table(had: Mapping[str, Any], new: Mapping[str, Key]) -> Sentence:
    keys: dict[str, Part] = {key: written_value(value) for key, value in _left(had, new).items()}
    for key, value in new.items():
        whole = _further(had.get(key), value)
        if whole is not None:
            keys[key] = whole if isinstance(whole, Value | Sentence) else written_value(whole)
    return _braced(keys)


def _left(had: Mapping[str, Any], new: Mapping[str, Key]) -> dict[str, Any]:
    """The keys of an end that have a meaning beside the new ones."""
    left = {key: value for key, value in had.items() if key not in new}
    given = {key: value for key, value in new.items() if value is not None}
    while left and (faults := {str(fault.key[0]) for fault in TubeEnd.faults(left | given) if fault.key}):
        beside = faults & set(left) or {"cut", "plane"} & set(left)
        if not beside:
            break
        left = {key: value for key, value in left.items() if key not in beside}
    return left


def _braced(keys: Mapping[str, Part]) -> Sentence:
    inner = joined(", ", (sentence(f"{key} = ", value) for key, value in keys.items()))
    return sentence("{ ", inner, " }") if keys else sentence("{}")


def _bare(name: str) -> str:
    """A key as TOML takes it."""
    return name if "." not in name else f'"{name}"'


def _parts_of(repeat: Mapping[str, Any]) -> str:
    parts = repeat.get("parts")
    return _listed([parts] if isinstance(parts, str) else [str(each) for each in parts or ()])


def _over(keys: Sequence[str]) -> str:
    """That keys which stand there are written over."""
    return f" (over the {_listed(keys)} there)" if keys else ""


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
