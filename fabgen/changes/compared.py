"""Two issues of a job's parts compared: which marks are new, gone, renamed or changed, and in what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from fabgen.changes.differences import differences
from fabgen.changes.issued_part import IssuedPart
from fabgen.changes.moves import lies_as_before, moves
from fabgen.changes.same_metal import same_metal
from fabgen.wording.sentence import EMPTY, Sentence, joined, sentence

_MOST_TRIED = 40
"""Of parts with the sizes of a new one so many are compared with it; one that is like none of them is listed as new."""

_MOST_NAMED = 12
"""Of ends that came to what is gone so many are named."""

How = Literal["changed", "renamed", "new", "gone", "moved"]
ORDER: tuple[How, ...] = ("changed", "renamed", "new", "gone", "moved")
"""In which changes are listed: first those that spoil what is cut."""


@dataclass(frozen=True, slots=True)
class PartChange:
    """What became of marks since their papers were issued; `how` of a mark that now has another name is renamed, and
    it stands under the old one, which is on the metal."""

    how: How
    marks: tuple[str, ...]
    said: Sentence


def compared(old: Sequence[IssuedPart], new: Sequence[IssuedPart], units: str = "mm") -> list[PartChange]:
    """What has changed for somebody who cut by the old papers; nothing of what is made already.

    Args:
        units: "mm" or "in", of the job.
    Returns: those that say the same of several marks as one.
    """
    if tuple(old) == tuple(new):
        return []
    before, after = ({part.mark: part for part in parts} for parts in (old, new))
    kept = {
        mark: min(part.quantity, after[mark].quantity)
        for mark, part in before.items()
        if mark in after and part.state == after[mark].state and same_metal(part, after[mark])
    }
    serves = _serves(before, after, kept)
    came = _came_to_gone(before, after)
    on_jig = not lies_as_before((before[mark], after[mark]) for mark in kept)
    found: dict[How, list[PartChange]] = {how: [] for how in ORDER}
    for part in new:
        same = before.get(part.mark) if part.mark in kept else None
        for how, said in _of_mark(before.get(part.mark), part, same is not None, serves, units):
            found[how].append(PartChange(how, (part.mark,), said))
        if same is not None and not part.made and (moved := moves(same, part, on_jig)):
            found["moved"].append(PartChange("moved", (part.mark,), sentence("moved ", joined("; ", moved))))
    for part in old:
        if part.mark not in after:
            how, said = _of_gone(part, serves.of.get(part.mark, Counter()), came.get(part.mark, _Came()))
            found[how].append(PartChange(how, (part.mark,), said))
    return [change for how in ORDER for change in _merged(found[how])]


def _merged(changes: Iterable[PartChange]) -> Iterator[PartChange]:
    marks: dict[PartChange, list[str]] = {}
    for change in changes:
        marks.setdefault(replace(change, marks=()), []).extend(change.marks)
    return (replace(change, marks=tuple(named)) for change, named in marks.items())


# -- what is cut already and serves elsewhere -------------------------------------------------
@dataclass
class _Serves:
    """How many pieces that were cut for one mark serve another now."""

    of: dict[str, Counter[str]] = field(default_factory=dict)
    """By the old mark: new marks."""
    for_: dict[str, Counter[str]] = field(default_factory=dict)
    """By the new mark: old marks."""


def _serves(before: Mapping[str, IssuedPart], after: Mapping[str, IssuedPart], kept: Mapping[str, int]) -> _Serves:
    """What is left of the old parts shared out to what is wanted of the new; `kept`: how many stay what they are under
    their mark."""
    spare: list[tuple[IssuedPart, int]] = []
    wanted: list[tuple[IssuedPart, int]] = []
    for mark, part in before.items():
        left = part.quantity - kept.get(mark, 0)
        if left > 0 and not part.made:
            spare.append((part, left))
    for mark, part in after.items():
        more = part.quantity - kept.get(mark, 0)
        if more > 0 and not part.made:
            wanted.append((part, more))
    # Marks that are gone serve first: what still has its mark is looked for under that.
    spare.sort(key=lambda each: each[0].mark in after)
    return _shared_out(spare, wanted)


def _shared_out(spare: Sequence[tuple[IssuedPart, int]], wanted: Sequence[tuple[IssuedPart, int]]) -> _Serves:
    found = _Serves()
    left = [count for _, count in spare]
    kinds: dict[object, list[int]] = {}
    for number, (part, _) in enumerate(spare):
        kinds.setdefault((_kind(part), _step(part)), []).append(number)
    for part, more in wanted:
        near = (kinds.get((_kind(part), _step(part) + by), ()) for by in (0, -1, 1))
        likely = sorted(number for each in near for number in each if left[number])
        for number in likely[:_MOST_TRIED]:
            old = spare[number][0]
            count = min(more, left[number])
            if count and old.bought == part.bought and same_metal(old, part):
                left[number] -= count
                more -= count
                found.of.setdefault(old.mark, Counter())[part.mark] += count
                found.for_.setdefault(part.mark, Counter())[old.mark] += count
    return found


def _kind(part: IssuedPart) -> object:
    """What parts of one metal have in common, whatever noise is on their sizes."""
    return part.stock, part.material, tuple(part.sizes_mm), len(part.folds), len(part.bends), len(part.holes)


def _step(part: IssuedPart) -> int:
    """The greatest of its sizes in whole millimetres: those of one metal differ by one at most."""
    return round(max((*part.sizes_mm.values(), *(part.flat_mm or ())), default=0.0))


# -- what is said of a mark -------------------------------------------------------------------
def _of_mark(
    old: IssuedPart | None, new: IssuedPart, same: bool, serves: _Serves, units: str
) -> Iterator[tuple[How, Sentence]]:
    """What is said of a mark of the new papers; nothing where it is not to be cut, or is as it was.

    Args:
        same: whether its metal is what it was.
    """
    if old is not None and old.state != new.state:
        yield "changed", _other_state(old, new, serves)
        return
    if old is None and new.state == "bought":
        yield "new", sentence(f"new: buy {new.quantity}")
    if new.made:
        return
    if old is None:
        if to_make := _to_make(new, serves):
            yield "new", sentence(f"new: {to_make}")
        return
    said = [sentence(f"quantity {old.quantity} to {new.quantity}")] if old.quantity != new.quantity else []
    if not same or old.bought != new.bought:
        said += differences(old, new, units)
    if said:
        yield "changed", sentence(joined("; ", said), _also(serves.of.get(new.mark, Counter())))


def _to_make(new: IssuedPart, serves: _Serves) -> str:
    """How many are to be made of a part that was not made before; '' where what is cut already serves as all."""
    taken = serves.for_.get(new.mark, Counter())
    if (more := new.quantity - taken.total()) <= 0:
        return ""
    return f"make {more}" + (f"; {_counts(taken)} serve as the rest" if taken else "")


def _other_state(old: IssuedPart, new: IssuedPart, serves: _Serves) -> Sentence:
    """That a part is made here now, and was not, or the other way round."""
    was = old.state or "made here"
    if not new.state:
        taken = serves.for_.get(new.mark, Counter())
        return sentence(f"was {was}, now made here: {_to_make(new, serves) or f'{_counts(taken)} serve as it'}")
    do = "" if old.state else ": do not cut it"
    return sentence(f"was {was}, now {new.state}{do}", _also(serves.of.get(new.mark, Counter())))


def _also(to: Counter[str]) -> Sentence:
    """That what was cut by the old papers serves other marks."""
    return sentence(f"; what is cut of it serves as {_counts(to)}") if to else EMPTY


@dataclass
class _Came:
    """The ends that came to what is gone, 'T9 start', and those of them that sit on nothing now."""

    ends: list[str] = field(default_factory=list)
    in_the_air: list[str] = field(default_factory=list)


def _came_to_gone(before: Mapping[str, IssuedPart], after: Mapping[str, IssuedPart]) -> dict[str, _Came]:
    """By the mark of what is gone."""
    found: dict[str, _Came] = {}
    for mark, new in after.items():
        for was, end in zip(before[mark].ends if mark in before else (), new.ends, strict=False):
            for onto in was.onto:
                if onto not in after:
                    came = found.setdefault(onto, _Came())
                    came.ends.append(f"{mark} {end.at}")
                    came.in_the_air += [] if end.onto else [f"{mark} {end.at}"]
    return found


def _of_gone(old: IssuedPart, to: Counter[str], came: _Came) -> tuple[How, Sentence]:
    """What is said of a mark that the new papers do not have.

    Args:
        to: what it serves as now.
        came: the ends that came to it.
    """
    if not to:
        return "gone", sentence("gone: no longer needed", f"; {_in_the_air(came)}" if came.in_the_air else "")
    spare = old.quantity - to.total()
    too_many = f"; {spare} of {old.quantity} no longer needed" if spare else ""
    name = next(iter(to)) if len(to) == 1 else _counts(to)
    return "renamed", sentence(f"now called {name}, the metal is the same{too_many}")


def _in_the_air(came: _Came) -> str:
    """What is said of the ends that came to what is gone, where some sit on nothing now."""
    left = came.in_the_air
    end, its, them = ("ends", "its point", "it") if len(left) == 1 else ("end", "their points", "them")
    who = "" if left == came.ends else f"{_named(left)} "
    which = f"{_named(came.ends)} came to it, and {who}{end} in the air now"
    return f"{which}: move {its} to what carries {them}, or take {them} out"


def _named(ends: Sequence[str]) -> str:
    more = f" and {len(ends) - _MOST_NAMED} more" if len(ends) > _MOST_NAMED else ""
    return ", ".join(ends[:_MOST_NAMED]) + more


def _counts(marks: Counter[str]) -> str:
    """'T5', '2 T5 and 1 T6'."""
    if len(marks) == 1 and next(iter(marks.values())) == 1:
        return next(iter(marks))
    return " and ".join(f"{count} {mark}" for mark, count in marks.items())
