"""Brackets that are placed near a point, as that of a taped bolt: whether their hole meets it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.checks.bolt.bolt_places import several
from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.flat_tables import Plate
from fabgen.parts.piece import Skin
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.bolt_places import places_in_words
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

MOST = 1.0
"""A hole passes the point that it is for within this, mm (common practice, no source)."""

_IN_AIR = 5.0
"""A point that is farther off the skin than this, mm, is no place along it alone."""

_ONE_AXIS = 0.05
"""Holes whose axes lie within this of one another are for one bolt, mm."""


@dataclass(frozen=True, eq=False)
class Miss:
    """A part at one of its places, whose hole is `off` from the point `name`; (3,) mm from the hole's axis to that.

    `skin`: which it is placed against, None of what is placed otherwise.  `height`: of the bracket, that would put it
    there, mm; None where another one does not.  `place`: its number, 0 of a part that has but one.
    """

    mark: str
    name: str
    off: Array
    skin: Skin | None = None
    against: str = ""
    behind: bool = False
    height: float | None = None
    place: int = 0


@rule("hole-off-point", Level.WARN, Level.STOP, source=PRACTICE)
def hole_off_point(job: Checked) -> Iterator[Found]:
    """A bracket or plate with holes for one bolt, placed near a point that stands off the skin, holds the point in
    them, to a millimetre; a stop where its bolt does not pass for that."""
    bolts = kept_out_by_points(job)
    stops = [each for each in _missed(job) if any(each in misses for misses in bolts.values())]
    looks = [each for each in _missed(job) if each not in stops]
    for missed, names, level in ((stops, list(bolts), Level.STOP), (looks, [], Level.WARN)):
        if missed:
            what, cure = words(missed)
            several = ", so their bolts do not pass" if names else ""
            so = f", so {names[0]} does not pass" if len(names) == 1 else several
            yield found(what, so, cure, about=list(dict.fromkeys(each.mark for each in missed)), level=level)


@once
def kept_out_by_points(job: Checked) -> Mapping[str, Sequence[Miss]]:
    """The bolts, by name, that are out of line by nothing but how far holes miss the points that their parts stand
    near, with those holes."""
    found = {}
    for stack in job.plan.bolts:
        lines = [line for line in stack.lines if not line.in_line]
        misses = [[miss for miss in _missed(job) if _keeps_out(miss, line)] for line in lines]
        if lines and all(misses):
            found[stack.name] = [miss for each in misses for miss in each]
    return found


def _keeps_out(miss: Miss, line: BoltLine) -> bool:
    """Whether a bolt is out of line in the hole that misses its point, and by as much."""
    seats = [seat.passage.mark for seat in line.seats if seat.layer in line.astray]
    return miss.mark in seats and abs(line.off - float(np.linalg.norm(miss.off))) <= MOST


@once
def _missed(job: Checked) -> Sequence[Miss]:
    return list(_misses(job))


def _misses(job: Checked) -> Iterator[Miss]:
    tables = {part.mark: part for part in job.job.parts() if isinstance(part, Plate | Bracket)}
    for piece in job.pieces:
        table, part = tables.get(piece.mark), piece.flat_part
        if table is None or part is None or not part.all_holes:
            continue
        for number, (given, place) in enumerate(zip(table.place or (), part.places, strict=False), 1):
            skin = place.skin
            if given.near is None or skin is None or not stands_off(skin, point := np.array(given.near.xyz)):
                continue
            off = _off(list(hole_ways(replace(piece, shape=replace(part, places=(place,))))), point)
            if off is None or float(np.linalg.norm(off)) <= MOST:
                continue
            behind = float((point - _middle(skin)) @ skin.out) < 0.0
            height = None if behind else height_that_meets(table, skin, off)
            name, which = given.near.name or "its point", number if piece.mark in several(job) else 0
            yield Miss(piece.mark, name, off, skin, place.against, behind, height, which)


def height_that_meets(table: Plate | Bracket, skin: Skin, off: Array) -> float | None:
    """The height of a clevis or an ear whose hole is so far off, that lacks or has too much of it alone."""
    out = float(off @ skin.out)
    if not isinstance(table, Bracket) or table.shape not in ("clevis", "ear") or table.height is None:
        return None
    return table.height + out if float(np.linalg.norm(off - out * skin.out)) < MOST else None


def _middle(skin: Skin) -> Array:
    return skin.origin if skin.section is None else skin.axis


def stands_off(skin: Skin, point: Array) -> bool:
    """Whether a point is off the metal that a part is placed against, as a bolt is and a joint of tubes is not."""
    if skin.section is None:
        return float((point - skin.origin) @ skin.out) > _IN_AIR
    away = point - skin.axis
    return float(np.linalg.norm(away - (away @ skin.along) * skin.along)) > skin.section.reach + _IN_AIR


def _off(holes: list[HoleWay], point: Array) -> Array | None:
    """From the one axis of the holes to the point, square to it, (3,) mm; None where they are for several bolts."""
    if not holes:
        return None
    first = holes[0]
    if any(float(np.linalg.norm(_beside(first, hole.centre))) > _ONE_AXIS for hole in holes[1:]):
        return None
    return _beside(first, point)


def _beside(hole: HoleWay, point: Array) -> Array:
    away = point - hole.centre
    return np.asarray(away - float(away @ hole.axis) * hole.axis)


def words(missed: Sequence[Miss]) -> tuple[Sentence, Sentence]:
    """What is missed, and what to change."""
    if len(missed) == 1:
        (only,) = missed
        what = sentence("its hole misses ", only.name, " by ", mm(float(np.linalg.norm(only.off))), _where(only))
    else:
        said = (
            sentence(f"{each.mark} at {each.name} ", mm(float(np.linalg.norm(each.off))), _where(each))
            for each in missed
        )
        cases = list({each.words(): each for each in said}.values())  # two ears at one point are told once
        what = sentence(f"{len(missed)} holes miss the points that their parts stand near: ", named(cases, "; ", FEW))
    heights = {(each.mark, None if each.height is None else round(each.height, 1)) for each in missed}
    if len(heights) == len({mark for mark, _ in heights}) and all(height is not None for _, height in heights):
        each_one = [sentence(mm(height), f" for {mark}") for mark, height in sorted(heights) if height is not None]
        return what, sentence(": a height of ", named(each_one), " puts it there")
    cure = "change the height, `offset` or `turn`, or move what carries it"
    if behind := next((each for each in missed if each.behind), None):
        where = f" at {places_in_words({behind.mark: [behind.place]})}" if behind.place else ""
        cure = f'`toward = "{behind.name}"` in place of `side`{where} turns it to that point'
    return what, sentence(": ", cure)


def _where(miss: Miss) -> str:
    """', too far from S1': where, of the ways that it is off, it is most so."""
    skin = miss.skin
    if miss.behind:
        return f", which is on the other side of {miss.against}"
    if skin is None:
        return ""
    out, along, beside = (float(miss.off @ way) for way in (skin.out, skin.along, skin.beside))
    if abs(out) >= max(abs(along), abs(beside)):
        return f", too {'near to' if out > 0.0 else 'far from'} {miss.against}"
    return f", {'along' if abs(along) > abs(beside) else 'across'} {miss.against}"


RULES = (hole_off_point,)
