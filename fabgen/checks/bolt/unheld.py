"""Bolts that are named through holes which cannot hold what they carry: too far from it, or another bolt's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from fabgen.checks.bolt.bolt_places import at_places
from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.checks.twins import Where
from fabgen.parts.piece import Piece
from fabgen.parts.shape.bored.bolt_lines import NEAR, BoltLine, Hole, Seat, holes_of, is_taken
from fabgen.parts.shape.bored.hole_ways import HoleWay
from fabgen.plan.plan import BoltStack
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

_ROUND = 1.5
"""A hole is a slot, which may hold several bolts, where it is so many times as long as it is wide."""


@rule("bolt-unheld", Level.STOP, source=FROM_JOB)
def bolt_unheld(job: Checked) -> Iterator[Found]:
    """What a bolt holds between two parts stands between them, or near to it, and no other bolt is in their holes."""
    cases = unheld(job)
    if cases:
        said = [said if len(cases) == 1 else sentence(f"{name}, ", said) for name, said in cases.items()]
        cure = ": place what holds it there, or name the parts that do"
        yield found(named(said, "; ", FEW), cure, about=list(cases))


@once
def unheld(job: Checked) -> Mapping[str, Sentence]:
    """By the bolts' names what is wrong with each that is held by nothing where it stands."""
    by_mark = {piece.mark: piece for piece in job.pieces}
    found: dict[str, Sentence] = {}
    owners: dict[Hole, str] = {}
    for stack in job.plan.bolts:
        lines = [line for line in stack.lines if line.in_line and not line.alone]
        astray = [line for line in lines if _astray(stack, line, Where("")) is not None]
        shared = [line for line in lines if is_taken(line, owners) and _all_stand(line, by_mark)]
        if astray and (words := _astray(stack, astray[0], at_places(job, stack, astray))) is not None:
            found[stack.name] = words
        elif shared:
            other = owners[holes_of(shared[0])[0]]
            found[stack.name] = _shared(shared[0], other, at_places(job, stack, shared))
        for line in lines:
            if line.goes_in:
                owners.update(dict.fromkeys(holes_of(line), stack.name))
    return found


def _astray(stack: BoltStack, line: BoltLine, at: Where) -> Sentence | None:
    """What is listed between two others and stands far beyond both of them."""
    if line.in_order or len(line.seats) < 3:
        return None
    listed = sum(layer.thickness for layer in stack.layers if not layer.mark and not layer.open)
    for before, seat, behind in zip(line.seats, line.seats[1:], line.seats[2:], strict=False):
        off = min(_apart(seat, before), _apart(seat, behind))
        middles = sorted((each.begins + each.ends) / 2.0 for each in (before, behind))
        outside = not middles[0] <= (seat.begins + seat.ends) / 2.0 <= middles[1]
        if outside and off > listed + NEAR * stack.choice.thread.diameter:
            mark, other = seat.passage.mark, min((before, behind), key=lambda each: _apart(seat, each)).passage.mark
            return sentence(
                f"{mark} stands ", mm(off), f" away from {other} along it", at, ", not between: nothing holds it"
            )
    return None


def _apart(one: Seat, other: Seat) -> float:
    return max(other.begins - one.ends, one.begins - other.ends)


def _shared(line: BoltLine, other: str, at: Where) -> Sentence:
    marks = list(dict.fromkeys(seat.passage.mark for seat in line.seats if seat.passage.ways))
    eyes = list(dict.fromkeys(seat.passage.mark for seat in line.seats if not seat.passage.ways))
    held = f": nothing holds {', '.join(eyes)} there" if eyes else ""
    return sentence(f"the holes of {', '.join(marks)} on its line", at, f" are those of {other}{held}")


def _all_stand(line: BoltLine, by_mark: Mapping[str, Piece]) -> bool:
    """Whether everything with a hole on a line has all its places, and none of the holes is a slot."""
    for passage in (seat.passage for seat in line.seats if seat.passage.ways):
        part = by_mark[passage.mark].flat_part
        if part is not None and len(part.places) < by_mark[passage.mark].quantity:
            return False
        if any(_length(way) > _ROUND * way.width for way in passage.ways):
            return False
    return True


def _length(way: HoleWay) -> float:
    """How long a hole is, from the first point of its rim to the farthest: of a slot at least half its own length."""
    return float(np.linalg.norm(way.edge - way.edge[0], axis=1).max())


RULES = (bolt_unheld,)
