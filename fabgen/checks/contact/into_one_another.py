"""Parts that lie in one another."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.bolt.bolt_sleeves import sleeves
from fabgen.checks.bolt.rod_tilt import tilted
from fabgen.checks.checked import Checked
from fabgen.checks.contact.places import where
from fabgen.checks.grouped import FEW, named
from fabgen.checks.motion.shared_balls import crowded
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.checks.tube.clashes import run_together
from fabgen.contact.contacts import Into
from fabgen.contact.entering import Entry, How, entry
from fabgen.contact.solids import Box, Solid
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.shared_metal import Shared
from fabgen.job.tables.movement_tables import Damper
from fabgen.motion.dampers import is_all_eyes
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways
from fabgen.parts.shape.directions import array
from fabgen.parts.shape.nouns import noun_of
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

_LOOKS_IN = 0.9
"""Sheet whose front looks along a tube's end looks into it, as the cosine between."""
_FLUSH = 0.5
"""What is no farther from the rim of an end is flush with it, mm."""
_AT_EYE = 3.0
"""A hole whose axis passes a damper's end no farther off holds its eye, mm."""


@dataclass(frozen=True, eq=False)
class Entered:
    """Two parts of which one lies in the other, what they share, and how."""

    into: Into
    entry: Entry


@rule("into-one-another", Level.STOP, source=FROM_JOB)
def into_one_another(job: Checked) -> Iterator[Found]:
    """Parts that have a place lie in one another only where one is cut, drilled or slit for the other: plates,
    brackets, covers, straps, bars, bushes, links with their rod ends, bolts, dampers, and what tubes and profiles run
    through."""
    by_remedy: dict[str, list[Entered]] = {}
    astray = [(each.stack.name, each.sleeve) for each in sleeves(job) if each.sleeve.is_astray]
    told = {frozenset((bolt, mark)) for bolt, each in astray for mark in (each.mark, *each.passes)}
    told.update(frozenset((each.bolt, each.mark)) for each in tilted(job))
    told.update(ends.marks for ends in crowded(job))
    for each in job.contacts.into:
        if {each.one.mark, each.other.mark} in told or _is_by_their_tubes(job, each) or _holds_all_eyes(each):
            continue
        case = Entered(each, entry(each))
        by_remedy.setdefault(_remedy(case), []).append(case)
    for remedy, cases in by_remedy.items():
        within = remedy == _SMALLER and any(_is_within(case.entry) for case in cases)
        marks = list(dict.fromkeys(solid.mark for each in cases for solid in (each.into.one, each.into.other)))
        yield found(_what(cases), f": {_ONTO_SKIN if within else remedy}", about=marks)


def _is_by_their_tubes(job: Checked, case: Into) -> bool:
    """Whether two pieces of sheet, as feet are, lie in one another where the tubes that both touch do: this is said of
    the tubes."""
    crossed = run_together(job)
    if not crossed or not all(isinstance(each.part, FlatPart) for each in (case.one, case.other)):
        return False
    touched = [{solid.mark for solid in job.contacts.seated_by(each)} for each in (case.one, case.other)]
    return any(pair <= touched[0] & touched[1] for pair in crossed)


def _holds_all_eyes(case: Into) -> bool:
    """Whether one of two is a damper that is shorter than its eyes, and the other holds one of these: that is said of
    its length."""
    for one, other in ((case.one, case.other), (case.other, case.one)):
        damper = one.source
        if isinstance(damper, Damper) and is_all_eyes(damper, math.dist(*(point.xyz for point in damper.between))):
            if not isinstance(other.source, Piece):
                return True
            holes = list(hole_ways(other.source))
            return any(_off_axis(array(point), hole) <= _AT_EYE for point in damper.between for hole in holes)
    return False


def _off_axis(at: Array, hole: HoleWay) -> float:
    return float(np.linalg.norm(np.cross(at - hole.centre, hole.axis)))


def _is_within(way: Entry) -> bool:
    """Whether sheet lies where a tube is hollow."""
    return isinstance(way.inner.part, FlatPart) and way.how in ("inside", "hollow")


def _what(cases: Sequence[Entered]) -> Sentence:
    if len(cases) == 1:
        (only,) = cases
        inner, outer, verb = only.entry.inner.mark, only.entry.outer.mark, _VERBS[only.entry.how]
        return sentence(f"{inner} {verb} ", _sizes(only, outer))
    each = [sentence(f"{case.entry.inner.mark} ", _sizes(case, case.entry.outer.mark)) for case in cases]
    return sentence(f"{len(cases)} pairs of parts lie in one another (", named(each, "; ", FEW), ")")


_VERBS: Mapping[How, str] = {"through": "runs", "inside": "lies", "hollow": "reaches", "metal": "lies"}


def _sizes(case: Entered, outer: str) -> Sentence:
    """'right through S1 over 40 mm, 300 mm from S1's start'."""
    low, high = case.into.deepest.box
    over, deep = mm(float(np.max(high - low))), mm(case.entry.deep or 0.0)
    match case.entry.how:
        case "through":
            run = sentence(" over ", deep) if case.entry.deep is not None else sentence()
            how = sentence(f"right through {outer}", run)
        case "inside":
            how = sentence(f"wholly inside {outer}")
        case "hollow":
            how = sentence(deep, f" into the hollow of {outer}")
        case "metal":
            how = sentence(f"in {outer}, ", deep, " deep over ", over)
    places = [where((case.entry.outer, case.entry.inner), each.middle) for each in _places(case.into)]
    return sentence(how, ", ", named(places, " and ", FEW))


def _places(into: Into) -> list[Shared]:
    """What two share, one piece a place, the deepest first: pieces no farther apart than a tube is wide, as its two
    walls are, or than the deepest is large where neither is a tube, are in one place."""
    sections = [each.part.section for each in (into.one, into.other) if isinstance(each.part, LengthPart)]
    low, high = into.deepest.box
    wide = max((max(each.width, each.depth) for each in sections), default=float(np.max(high - low)))
    found: list[list[Shared]] = []
    for piece in into.shared:
        near = [place for place in found if any(_apart(piece.box, each.box) <= wide for each in place)]
        found = [place for place in found if place not in near]
        found.append([*(each for place in near for each in place), piece])
    return sorted((max(place, key=lambda each: each.deep) for place in found), key=lambda each: -round(each.deep, 6))


def _apart(one: Box, other: Box) -> float:
    """How far two boxes are apart, mm."""
    return float(np.linalg.norm(np.maximum(0.0, np.maximum(one[0] - other[1], other[0] - one[1]))))


_SMALLER = "make the sheet smaller, cut it out there, or move one of them"

_ONTO_SKIN = "move the sheet out to the tube's skin (`against` in its `place`), make it smaller, or cut it out there"


def _beside_profile(case: Into) -> str:
    """What mends a profile that lies in something else than another profile or a tube."""
    sources = [each.source for each in (case.one, case.other) if isinstance(each.source, Piece)]
    profile, other = sorted(sources, key=lambda each: each.profile_part is None)
    if other.flat_part is None:
        return f"move the {noun_of(other)}, or the {noun_of(profile)}"
    return f"cut the {noun_of(profile)} to it with `onto`, make the {noun_of(other)} smaller, or move one of them"


def _lies_in_end(one: Solid, other: Solid) -> tuple[str, str] | None:
    """The marks of flat sheet and of a tube in whose end it lies though it was meant to lie on it: its back is flush
    with the end's rim, and it looks into the tube; None where it is not so."""
    for sheet, tube in ((one, other), (other, one)):
        flat, part = sheet.part, tube.part
        if not isinstance(flat, FlatPart) or flat.tree is not None or flat.rolled is not None or flat.band is not None:
            continue
        for end in part.ends if isinstance(part, LengthPart) and not isinstance(part, LinkPart) else ():
            is_square = float(np.ptp(end.line.x)) < _FLUSH
            longest = end.frame.origin + end.line.longest * end.frame.x
            u, v, over = sheet.frame.inside(longest[None, :])[0].tolist()
            x0, y0, x1, y1 = flat.outline.bounds
            looks_in = is_square and float(sheet.frame.z @ end.frame.x) > _LOOKS_IN
            if looks_in and abs(over) <= _FLUSH and x0 < u < x1 and y0 < v < y1:
                return sheet.mark, tube.mark
    return None


def _remedy(entered: Entered) -> str:
    case = entered.into
    one, other = (solid.part for solid in (case.one, case.other))
    if marks := _lies_in_end(case.one, case.other):
        sheet, tube = marks
        return f"{sheet} looks into {tube}'s end: turn `up` of its `place` about, which says where its upper side looks"
    kinds = {case.one.kind, case.other.kind}
    if kinds == {"damper"}:
        return "two dampers cannot be in one place: move the points of one"
    if "damper" in kinds:
        return "move its points, or what is in its way"
    if one is None and other is None:
        return "two bolts cannot cross: move the holes of one"
    if (one is None or other is None) and (isinstance(one, LinkPart) or isinstance(other, LinkPart)):
        return "no rod is drilled: move its points, or the holes of the bolt"
    if one is None or other is None:
        return "it goes through metal that has no hole for it: drill it, or move one of them"
    if isinstance(one, LinkPart) and isinstance(other, LinkPart):
        return "two rods cannot be in one place: set their ends side by side on the bolt, or move one's points"
    if isinstance(one, LinkPart) or isinstance(other, LinkPart):
        return "move the points of the rod, or what is in its way"
    if case.one.mark == case.other.mark:
        return "move one of its places"
    if isinstance(one, FlatPart) and isinstance(other, FlatPart):
        return "move one, make one smaller, or cut a slot where they cross"
    if isinstance(one, ProfilePart) or isinstance(other, ProfilePart):
        return _beside_profile(case)
    if not isinstance(one, FlatPart) and not isinstance(other, FlatPart):
        return "the cope at its end does not make room for that: move a bend, or one of them"
    return _SMALLER
