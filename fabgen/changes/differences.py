"""In what a part differs from what its earlier papers had, the figure first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest

from fabgen.changes.apart import LEAST, close, close_all, close_angle, ends_apart, outlines_apart
from fabgen.changes.hole_changes import hole_changes
from fabgen.changes.issued_part import IssuedBend, IssuedEnd, IssuedFold, IssuedPart
from fabgen.changes.same_metal import fold_middle
from fabgen.wording.sentence import Sentence, Unit, Value, angles, degrees, lengths, mm, sentence

MOST = 8
"""So much of one part is listed: a table's row must fit a page, and such a part is cut anew."""


def differences(old: IssuedPart, new: IssuedPart, units: str) -> list[Sentence]:
    """What differs between two parts that are not one piece of metal; one sentence at least.

    Args:
        units: "mm" or "in", of the job: a section is named by its sizes there.
    """
    found = list(_stock(old, new, units))
    anew = bool(found)
    if old.material != new.material:
        found.append(sentence(f"material {old.material} to {new.material}"))
    found += [*_flat(old, new), *_sizes(old.sizes_mm, new.sizes_mm)]
    # Of another section or sheet all that is cut is cut anew.
    if not anew and "thickness" not in _changed(old.sizes_mm, new.sizes_mm):
        found += [sentence("opposite hand")] if old.flipped != new.flipped else []
        found += _ends(old, new)
        found += _bends(old.bends, new.bends)
        found += hole_changes(old, new)
        found += _folds(old.folds, new.folds)
        found += _outline(old, new)
    found += _bought(old.bought, new.bought)
    found = found or [sentence("its shape has changed: see its new drawing")]
    more = len(found) - MOST
    return found if more <= 0 else [*found[:MOST], sentence(f"and {more} more")]


def from_to(old: float, new: float) -> Value:
    """'612.4 to 618.0 mm', with a second place where one shows no difference."""
    places = 1 if f"{old:.1f}" != f"{new:.1f}" and abs(new - old) > 2 * LEAST else 2
    return Value((old, new), Unit.MM, places, " mm", joint=" to ", fixed=True)


def _stock(old: IssuedPart, new: IssuedPart, units: str) -> Iterator[Sentence]:
    if old.stock != new.stock:
        a, b = (part.stock_in if units == "in" else part.stock for part in (old, new))
        yield sentence(f"section {a or 'sheet'} to {b or 'sheet'}")


def _flat(old: IssuedPart, new: IssuedPart) -> Iterator[Sentence]:
    if old.flat_mm and new.flat_mm and not close_all(old.flat_mm, new.flat_mm):
        yield sentence("flat ", lengths(old.flat_mm), " to ", lengths(new.flat_mm))


def _outline(old: IssuedPart, new: IssuedPart) -> Iterator[Sentence]:
    """Of a flat that is as wide and as high as it was: how far its outline moves."""
    if old.flat_mm and new.flat_mm and close_all(old.flat_mm, new.flat_mm):
        apart = outlines_apart(old.outline, new.outline)
        if apart >= LEAST:
            yield sentence("the outline of the flat moves by up to ", mm(apart, 2 if apart < 1.0 else 1))


def _changed(old: Mapping[str, float], new: Mapping[str, float]) -> list[str]:
    """Names of sizes that differ, those that only one has included."""
    both = dict.fromkeys((*old, *new))
    return [name for name in both if name not in old or name not in new or not close(old[name], new[name])]


def _sizes(old: Mapping[str, float], new: Mapping[str, float], whose: str = "") -> Iterator[Sentence]:
    """What differs; sizes that change alike in one sentence."""
    alike: dict[tuple[float, float], list[str]] = {}
    for name in _changed(old, new):
        if name in old and name in new:
            alike.setdefault((old[name], new[name]), []).append(name)
    for (before, now), names in alike.items():
        yield sentence(f"{whose}{' and '.join(names)} ", from_to(before, now))
    yield from (sentence(f"new: {whose}{name} ", mm(size)) for name, size in new.items() if name not in old)
    yield from (sentence(f"{whose}{name} ", mm(size), ": no more") for name, size in old.items() if name not in new)


# -- lengths ------------------------------------------------------------------------------
def _ends(old: IssuedPart, new: IssuedPart) -> Iterator[Sentence]:
    for a, b in zip(old.ends, new.ends, strict=False):
        yield from _end(a, b)


def _end(old: IssuedEnd, new: IssuedEnd) -> Iterator[Sentence]:
    if old.form != new.form:
        yield sentence(f"{new.at}: {old.form or old.how} to {new.form or new.how}")
    yield from _sizes(old.sizes_mm, new.sizes_mm, f"{new.at}, ")
    apart = ends_apart(old, new)
    if apart < LEAST:
        return
    moved = sentence("its cut moves by up to ", mm(apart)) if math.isfinite(apart) else sentence("its cut is another")
    if old.how != new.how:
        yield sentence(f"{new.at}: {old.how}, now {new.how}; ", moved)
    elif (pair := _one_angle(old.angles_deg, new.angles_deg)) is not None:
        yield sentence(f"{new.at}: {new.how} at ", angles(pair, " to "), "; ", moved)
    else:
        yield sentence(f"{new.at}: ", moved)


def _one_angle(old: Sequence[float], new: Sequence[float]) -> tuple[float, float] | None:
    """The one angle that is another, before and after, rad."""
    if len(old) != len(new):
        return None
    pairs = [(a, b) for a, b in zip(old, new, strict=True) if not close_angle(a, b)]
    return (math.radians(pairs[0][0]), math.radians(pairs[0][1])) if len(pairs) == 1 else None


def _bends(old: Sequence[IssuedBend], new: Sequence[IssuedBend]) -> Iterator[Sentence]:
    if len(old) != len(new):
        yield sentence(f"bends: {len(old)}, now {len(new)}")
        return
    turned = 0.0
    for number, (a, b) in enumerate(zip(old, new, strict=True), 1):
        if not close_angle(a.angle_deg, b.angle_deg):
            yield sentence(f"bend {number}: angle ", _angles(a.angle_deg, b.angle_deg))
        if not close(a.radius_mm, b.radius_mm):
            yield sentence(f"bend {number}: centre radius ", from_to(a.radius_mm, b.radius_mm))
        if not close(a.at_mm, b.at_mm):
            yield sentence(f"bend {number} begins at ", from_to(a.at_mm, b.at_mm), " from the start")
        # What one bend is turned by turns those after it too.
        by = math.remainder(b.from_top_deg - a.from_top_deg, 360.0)
        if not close_angle(by, turned):
            yield sentence(f"bend {number} turns by ", degrees(math.radians(abs(by - turned))), " about the tube")
        turned = by


def _angles(old: float, new: float) -> Value:
    places = 1 if abs(old - new) > 0.1 else 2
    return angles((math.radians(old), math.radians(new)), " to ", places)


# -- flats --------------------------------------------------------------------------------
def _folds(old: Sequence[IssuedFold], new: Sequence[IssuedFold]) -> Iterator[Sentence]:
    names = dict.fromkeys(fold.name for fold in (*old, *new))
    for name in names:
        pair = zip_longest(*([fold for fold in each if fold.name == name] for each in (old, new)))
        for a, b in pair:
            yield from _fold(a, b)


def _fold(old: IssuedFold | None, new: IssuedFold | None) -> Iterator[Sentence]:
    if old is None or new is None:
        yield sentence(f"new: bend {new.name}" if new is not None else f"bend {old.name if old else ''}: no more")
        return
    name = f"bend {new.name}"
    if not close_angle(old.angle_deg, new.angle_deg):
        yield sentence(f"{name}: angle ", _angles(old.angle_deg, new.angle_deg))
    if not close(old.radius_mm, new.radius_mm):
        yield sentence(f"{name}: inside radius ", from_to(old.radius_mm, new.radius_mm))
    if old.up != new.up:
        yield sentence(f"{name}: folds {'up' if new.up else 'down'}, not {'down' if new.up else 'up'}")
    if (moved := _off_line(old, new)) >= LEAST:
        yield sentence(f"{name}: its line moves by ", mm(moved, 2 if moved < 1.0 else 1))


def _off_line(old: IssuedFold, new: IssuedFold) -> float:
    """How far the middle of the new bend line lies from the old line, mm: a longer line is no other."""
    (x, y), (u, v) = old.start_mm, old.end_mm
    along = math.hypot(u - x, v - y)
    mx, my = fold_middle(new)
    return abs((u - x) * (my - y) - (v - y) * (mx - x)) / along if along else 0.0


# -- what is bought -------------------------------------------------------------------------
def _bought(old: Mapping[str, int], new: Mapping[str, int]) -> Iterator[Sentence]:
    def some(here: Mapping[str, int], there: Mapping[str, int]) -> Iterable[str]:
        return (f"{n - there.get(name, 0)} {name}" for name, n in here.items() if n > there.get(name, 0))

    more, fewer = ", ".join(some(new, old)), ", ".join(some(old, new))
    if more and fewer:
        yield sentence(f"bought with it: {more}, not {fewer}")
    elif more or fewer:
        yield sentence(f"bought with it: {more} more" if more else f"bought with it: {fewer} fewer")
