"""Parts that lie in one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from fabgen.checks.bolt.bolt_sleeves import sleeves
from fabgen.checks.checked import Checked
from fabgen.checks.contact.places import where
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.contact.contacts import Into
from fabgen.contact.solids import Solid
from fabgen.parts.piece import FlatPart, LinkPart, ProfilePart
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence


@rule("into-one-another", Level.STOP, source=FROM_JOB)
def into_one_another(job: Checked) -> Iterator[Found]:
    """Parts that have a place lie in one another only where one is cut, drilled or slit for the other: plates,
    brackets, covers, straps, bars, bushes, links with their rod ends, bolts, dampers, and what tubes and profiles run
    through."""
    by_remedy: dict[str, list[Into]] = {}
    astray = [each for each in sleeves(job) if each.is_astray]
    told = {frozenset((each.stack.name, mark)) for each in astray for mark in (each.mark, *each.passes)}
    for each in (each for each in job.contacts.into if {each.one.mark, each.other.mark} not in told):
        by_remedy.setdefault(_remedy(each), []).append(each)
    for remedy, cases in by_remedy.items():
        marks = list(dict.fromkeys(solid.mark for each in cases for solid in (each.one, each.other)))
        yield found(_what(cases), f": {remedy}", about=marks)


def _what(cases: Sequence[Into]) -> Sentence:
    if len(cases) == 1:
        (only,) = cases
        inner, outer = _in_order(only)
        return sentence(f"{inner.mark} lies in {outer.mark}, ", _sizes(only, (outer, inner)))
    each = []
    for case in cases:
        inner, outer = _in_order(case)
        each.append(sentence(f"{inner.mark} in {outer.mark} ", _sizes(case, (outer, inner))))
    return sentence(f"{len(cases)} pairs of parts lie in one another (", named(each, "; ", FEW), ")")


def _sizes(case: Into, solids: Sequence[Solid]) -> Sentence:
    low, high = case.deepest.box
    over = mm(float(np.max(high - low)))
    return sentence(mm(case.deepest.deep), " deep over ", over, ", ", where(solids, case.deepest.middle))


def _in_order(case: Into) -> tuple[Solid, Solid]:
    """What runs into the other, and that: a length into sheet, a link into anything; else the later into the
    earlier."""
    one, other = case.one, case.other
    return (one, other) if _rank(one) < _rank(other) else (other, one)


def _rank(solid: Solid) -> int:
    part = solid.part
    if part is None or isinstance(part, LinkPart):
        return 0
    return 2 if isinstance(part, FlatPart) else 1


def _remedy(case: Into) -> str:
    one, other = (solid.part for solid in (case.one, case.other))
    kinds = {case.one.kind, case.other.kind}
    if kinds == {"damper"}:
        return "two dampers cannot be in one place: move the points of one"
    if "damper" in kinds:
        return "move its points, or what is in its way"
    if one is None and other is None:
        return "two bolts cannot cross: move the holes of one"
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
        return "cut the profile to it with `onto`, make the sheet smaller, or move one of them"
    if not isinstance(one, FlatPart) and not isinstance(other, FlatPart):
        return "the cope at its end does not make room for that: move a bend, or one of them"
    return "make the sheet smaller, cut it out there, or move one of them"
