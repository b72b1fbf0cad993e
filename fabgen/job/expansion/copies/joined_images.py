"""Mirror images that are one part with an earlier mark, and so become further places of it.

Two mirrors make four of a part with a hand: the image of its opposite hand is the part again, turned round.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from fabgen.job.document import entries, mark_of
from fabgen.job.errors import Path
from fabgen.job.expansion.copies.copied_joints import JOINTS
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.flat_tables import Plate
from fabgen.job.tables.lengths.bar_tables import Strap

Sheet = Plate | Bracket | Cover | Strap
Entry = dict[str, Any]
Entries = list[tuple[Path, Any]]

_OWN = frozenset(("mark", "place", "quantity", "opposite_of"))
"""Keys in which images that are one part may differ; whether the metal is the same is seen once they are made."""
_NO_NAMES = frozenset(("mark", "name", "title", "note", "mark_text"))
"""Keys whose texts name no part."""


# -- which may be -----------------------------------------------------------------------------
def likely_joined(job: Definitions, images: Mapping[str, str], raw: Mapping[str, Any]) -> Mapping[str, Sequence[str]]:
    """By the image of a part of sheet those before it that differ from it in no key, and so may be one part with it.

    An image that the file names, changes or gives a name stays a part of its own.

    Args:
        job: as read, each image that is not its own first with a mark of its own.
        images: of each image the mark of its first, in the order in which they were made.
        raw: the values as the file has them.
    """
    parts = {part.mark: part for part in job.parts() if isinstance(part, Sheet) and _may_have_places(part)}
    made = [mark for mark in images if mark in parts]
    if not made:
        return {}
    firsts = {mark: part.opposite_of for mark, part in parts.items() if part.opposite_of} | dict(images)
    kept = _named(raw) | set(job.points)
    kin: dict[str, list[str]] = {}
    found: dict[str, Sequence[str]] = {}
    for mark in (*(mark for mark in parts if mark not in images), *made):
        before = kin.setdefault(_root(mark, firsts), [])
        if mark in images and mark not in kept:
            asked = _asked(parts[mark], firsts)
            like = [other for other in before if _goes_with(job, mark, other)]
            if like := [other for other in like if _asked(parts[other], firsts) == asked]:
                found[mark] = like
        before.append(mark)
    return found


def _may_have_places(part: Sheet) -> bool:
    """Whether it does not say itself where it is, by points or along a tube."""
    return not (isinstance(part, Cover) and part.points is not None) and not (isinstance(part, Strap) and part.at)


def _root(mark: str, firsts: Mapping[str, str]) -> str:
    seen = set()
    while mark in firsts and mark not in seen:
        seen.add(mark)
        mark = firsts[mark]
    return mark


def _asked(part: Sheet, firsts: Mapping[str, str]) -> tuple[object, ...]:
    """What a part's keys ask for and of which hand, the images that they name called as their firsts."""

    def of_firsts(value: object) -> object:
        if isinstance(value, BaseModel):
            return {key: of_firsts(each) for key, each in value}
        if isinstance(value, Mapping):
            return {key: of_firsts(each) for key, each in value.items()}
        if isinstance(value, list | tuple):
            return [of_firsts(each) for each in value]
        return _root(value, firsts) if isinstance(value, str) else value

    keys = {key: of_firsts(value) for key, value in part if key not in _OWN}
    return type(part), part.is_placed, bool(part.opposite_of), keys


def _goes_with(job: Definitions, image: str, other: str) -> bool:
    """Whether a place of one can be one of the other: a part on a body has none on the frame."""
    bodies = [body.marks for body in job.body]
    return any(image in marks for marks in bodies) or not any(other in marks for marks in bodies)


def _named(raw: Mapping[str, Any]) -> set[str]:
    """All that the file names, but in what its mirrors mirror."""

    def texts(value: object) -> Iterator[str]:
        if isinstance(value, Mapping):
            for key, each in value.items():
                yield str(key)
                yield from texts(each)
        elif isinstance(value, list):
            for each in value:
                yield from texts(each)
        elif isinstance(value, str):
            yield value.strip()

    mirrors = [{key: each for key, each in entry.items() if key != "parts"} for _, entry in entries(raw, "mirror")]
    for entry in mirrors:
        if isinstance(marks := entry.get("marks"), Mapping):
            entry["marks"] = list(marks.values())
    return set(texts({**raw, "mirror": mirrors}))


# -- joined -----------------------------------------------------------------------------------
@dataclass(frozen=True)
class _Renamed:
    """Gives images the marks that they have joined; `places`: how many places these have before them."""

    joined: Mapping[str, str]
    places: Mapping[str, int]

    def entry(self, entry: Entry) -> Entry:
        """A table that names the marks joined; the very same where it names no image."""
        renamed = {key: each if key in _NO_NAMES else self._value(each) for key, each in entry.items()}
        against = entry.get("against")
        if isinstance(against, str) and against in self.joined:
            renamed["against_place"] = self.places[against] + entry.get("against_place", 1)
        return renamed if renamed != entry else entry

    def _value(self, value: Any) -> Any:
        if isinstance(value, dict):
            return self.entry(value)
        if isinstance(value, list):
            return [self._value(each) for each in value]
        return self.joined.get(value, value) if isinstance(value, str) else value


def join(tables: dict[str, Entries], joined: Mapping[str, str]) -> dict[str, str]:
    """Makes images further places of earlier marks, and lets all that names them name those.

    Bolts and welds of images that come to hold the same parts become one, with the quantity of both.

    Args:
        tables: of the job; changed.
        joined: by the mark of an image that whose place it becomes.
    Returns: those that were joined: `joined` with the bushes between the ears of such parts.
    """
    known = {mark_of(entry): entry for parts in tables.values() for _, entry in parts if isinstance(entry, dict)}
    joined = {image: own for image, own in joined.items() if image in known and own in known}
    if not joined:
        return {}
    places, grown = _grown(known, joined, _bodies(tables))
    for table, parts in tables.items():
        tables[table] = [
            (path, _off_body(grown.get(mark_of(each), each), joined) if isinstance(each, dict) else each)
            for path, each in parts
            if not isinstance(each, dict) or mark_of(each) not in joined
        ]
    held = {table: list(tables.get(table, ())) for table in JOINTS}
    _rename(tables, _Renamed(joined, places))
    bushes = _alike_bushes(tables, joined)
    _rename(tables, _Renamed(bushes, {}))
    for table, before in held.items():
        if table in tables:
            tables[table] = _once(table, tables[table], [entry for _, entry in before])
    return {**joined, **bushes}


def _rename(tables: dict[str, Entries], renamed: _Renamed) -> None:
    for table, parts in tables.items():
        tables[table] = [(path, renamed.entry(each) if isinstance(each, dict) else each) for path, each in parts]


def _bodies(tables: Mapping[str, Entries]) -> dict[str, str]:
    """The body that a part rides on by its mark."""
    return {
        str(mark): str(body.get("name"))
        for _, body in tables.get("body", ())
        if isinstance(body, dict)
        for mark in _as_list(body.get("marks"))
    }


def _grown(
    known: Mapping[str, Entry], joined: Mapping[str, str], bodies: Mapping[str, str]
) -> tuple[dict[str, int], dict[str, Entry]]:
    """By image how many places its mark has before it, and the tables of the marks with all their places."""
    places: dict[str, int] = {}
    grown: dict[str, Entry] = {}
    for image, own in joined.items():
        first, other = grown.get(own, known[own]), known[image]
        there, more = _as_list(first.get("place")), _as_list(other.get("place"))
        if image in bodies:
            more = [{**each, "on": each.get("on", bodies[image])} for each in more]
        places[image] = len(there)
        grown[own] = first | {"quantity": first.get("quantity", 1) + other.get("quantity", 1)}
        if more:
            grown[own]["place"] = [*there, *more]
    return places, grown


def _as_list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _off_body(entry: Entry, joined: Collection[str]) -> Entry:
    """A body no longer lists what has become a place, which says itself what it rides on."""
    marks = _as_list(entry.get("marks"))
    left = [mark for mark in marks if mark not in joined]
    return entry if len(left) == len(marks) else {**entry, "marks": left}


def _alike_bushes(tables: Mapping[str, Entries], joined: Mapping[str, str]) -> dict[str, str]:
    """Bushes of images that came to be between the ears of one part with another's, which are made as often as that
    stands; taken out of their table."""
    first: dict[str, str] = {}
    alike: dict[str, str] = {}
    left: Entries = []
    for path, entry in tables.get("bush", ()):
        kind = {key: each for key, each in entry.items() if key != "mark"} if isinstance(entry, dict) else {}
        if kind.get("between") in joined.values() and "quantity" not in kind:
            own = first.setdefault(repr(kind), mark_of(entry))
            if own != mark_of(entry):
                alike[mark_of(entry)] = own
                continue
        left.append((path, entry))
    if alike:
        tables["bush"][:] = left
    return alike


def _once(table: str, parts: Entries, before: Sequence[Any]) -> Entries:
    """Bolts and welds, those that name joined parts together with others that hold the same ones alike."""
    kept: Entries = []
    for (path, entry), was in zip(parts, before, strict=True):
        alike = (i for i, (_, other) in enumerate(kept) if entry is not was and _is_like(entry, other))
        same = next(alike, None)
        if same is None:
            kept.append((path, entry))
        elif table == "bolt":
            where, own = kept[same]
            kept[same] = where, own | {"quantity": own.get("quantity", 1) + entry.get("quantity", 1)}
    return kept


def _is_like(one: Any, other: Any) -> bool:
    """Whether two bolts or welds differ at most in how many there are, which for both is a number."""
    if not (isinstance(one, dict) and isinstance(other, dict)):
        return False
    alike = {**one, "quantity": 1} == {**other, "quantity": 1}
    return alike and all(type(each.get("quantity", 1)) is int for each in (one, other))
