"""Holes that moved, grew, came or went: which of the new is which of the old."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from fabgen.changes.apart import LEAST, close_all, hole_moved, left_over, round_moved, same_hole, same_size
from fabgen.changes.issued_part import IssuedHole, IssuedPart
from fabgen.changes.same_metal import hole_place
from fabgen.wording.sentence import EMPTY, Sentence, lengths, mm, sentence

Moved = tuple[IssuedHole, IssuedHole]
"""A hole as it was and as it is."""

_MOST_PAIRS = 40_000
"""Where more pairs are possible, holes that are not where one was are listed as new and gone."""

T = TypeVar("T")


def hole_changes(old: IssuedPart, new: IssuedPart) -> Iterator[Sentence]:
    """What of the holes differs; holes alike in one sentence."""
    around = new.around_mm
    gone, come = left_over(old.holes, new.holes, lambda a, b: same_hole(a, b, around), hole_place(new))
    resized, gone, come = _paired(gone, come, lambda a, b: hole_moved(a, b, around) < LEAST, around)
    moved, gone, come = _paired(gone, come, same_size, around)
    for was, now in resized:
        yield _resized(was, now, around)
    for pairs in _alike(moved, lambda pair: pair[1]):
        yield _moved(pairs, around)
    for holes in _alike(come, lambda hole: hole):
        yield sentence("new: ", _named(holes), _place(holes, around))
    for holes in _alike(gone, lambda hole: hole):
        yield sentence(_named(holes), _place(holes, around), ": no more")


def _paired(
    gone: Sequence[IssuedHole], come: Sequence[IssuedHole], may: Callable[[IssuedHole, IssuedHole], bool], around: float
) -> tuple[list[Moved], list[IssuedHole], list[IssuedHole]]:
    """Old and new holes in pairs, the nearest first, and what is left of either.

    Args:
        may: whether two may be a pair.
        around: the skin's length round a tube, mm; 0 of a flat.
    """
    if len(gone) * len(come) > _MOST_PAIRS:
        return [], list(gone), list(come)
    near = sorted(
        (round(hole_moved(a, b, around), 3), i, j) for i, a in enumerate(gone) for j, b in enumerate(come) if may(a, b)
    )
    pairs: dict[int, int] = {}
    taken: set[int] = set()
    for _, i, j in near:
        if i not in pairs and j not in taken:
            pairs[i] = j
            taken.add(j)
    return (
        [(gone[i], come[pairs[i]]) for i in sorted(pairs)],
        [each for i, each in enumerate(gone) if i not in pairs],
        [each for j, each in enumerate(come) if j not in taken],
    )


def _alike(items: Sequence[T], hole_of: Callable[[T], IssuedHole]) -> list[list[T]]:
    """Items whose holes are called alike, together."""
    groups: dict[str, list[T]] = {}
    for item in items:
        groups.setdefault(_named([hole_of(item)]).words(), []).append(item)
    return list(groups.values())


def _named(holes: Sequence[IssuedHole]) -> Sentence:
    """'hole Ø 11 mm', '4 holes Ø 11 mm', 'slot 30 x 11 mm', 'slit 40 x 6 mm'."""
    first, count = holes[0], len(holes)
    # Of a slit the last figure is the hole at its bottom.
    size = lengths(first.size_mm[:2], decimals=2)
    word = f"{count} {first.what}s" if count > 1 else first.what
    return sentence(word, " Ø " if len(first.size_mm) == 1 else " ", size, f" in {first.leg}" if first.leg else "")


def _place(holes: Sequence[IssuedHole], around: float) -> Sentence:
    """Where a single hole is; nothing of several."""
    if len(holes) > 1:
        return EMPTY
    at = holes[0].at_mm
    if around or holes[0].leg:
        return sentence(" at ", mm(at[1]), " from the start")
    return sentence(" at ", lengths(at, ", "))


def _resized(was: IssuedHole, now: IssuedHole, around: float) -> Sentence:
    here = sentence(_named([was]), _place([was], around))
    if was.what == now.what and close_all(was.size_mm, now.size_mm):
        return sentence(here, ": its edge is another")
    if was.what == now.what and len(now.size_mm) == 1:
        return sentence(here, ": now Ø ", mm(now.size_mm[0], 2))
    return sentence(here, ": now ", _named([now]))


def _moved(pairs: Sequence[Moved], around: float) -> Sentence:
    by = [hole_moved(was, now, around) for was, now in pairs]
    holes = [now for _, now in pairs]
    places = 2 if max(by) < 1.0 else 1
    if len(pairs) > 1:
        most = " move by up to " if max(by) - min(by) >= LEAST else " move by "
        return sentence(_named(holes), most, mm(max(by), places))
    was, now = pairs[0]
    return sentence(_named(holes), " moves by ", mm(by[0], places), _where_to(was, now, around))


def _where_to(was: IssuedHole, now: IssuedHole, around: float) -> Sentence:
    if not around and not now.leg:
        return sentence(", to ", lengths(now.at_mm, ", "))
    round_it = abs(round_moved(was, now, around))
    if round_it < LEAST:
        return sentence(", to ", mm(now.at_mm[1]), " from the start")
    which = f"across {now.leg}" if now.leg else "round the tube"
    return sentence(", ", mm(round_it, 2 if round_it < 1.0 else 1), f" of it {which}")
