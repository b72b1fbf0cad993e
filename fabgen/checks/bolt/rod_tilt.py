"""Rod ends as they are drawn: how far each is tilted on its bolt."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.bolt.bolt_places import written_places
from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.place_tables import Placeable, PlaceGiven
from fabgen.parts.piece import LinkPart, Place, RodEndSetup
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.bolt_places import numbers_in_words
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, sentence

_TRUE = math.radians(0.05)
_LEVEL = 0.02
"""Of a bolt along the skin that carries what it goes through, and of a rod square to that: sine of the angle."""


@dataclass(frozen=True, slots=True)
class Tilted:
    """The rod end of link `mark` that stands past its swing on the bolt that goes by `bolt`; angles in rad.

    `turn`: what of the job file makes the bolt square to it; '' where no turn on a skin does.
    """

    mark: str
    at: str
    bolt: str
    angle: float
    limit: float
    source: str
    turn: str = ""


@rule("rod-tilt", Level.STOP, source=FROM_JOB)
def rod_tilt(job: Checked) -> Iterator[Found]:
    """As drawn no rod end is tilted on its bolt past what its ball takes; of one whose travel is known with its pin,
    that is told of the travel."""
    sweeps = job.movement.sweeps if job.movement is not None else ()
    swept = {(tilt.mark, tilt.at) for sweep in sweeps for tilt in sweep.tilts if tilt.square}
    cases = [case for case in tilted(job) if (case.mark, case.at) not in swept]
    if cases:
        each = [_words(case, several=len(cases) > 1) for case in cases]
        turns = list(dict.fromkeys(case.turn for case in cases if case.turn))
        so = sentence(", ", named(turns, "; ", FEW)) if turns else ""
        cure = sentence(": turn what the bolt goes through until it is square to the rod", so)
        yield found(named(each, "; ", FEW), cure, about=list(dict.fromkeys(case.mark for case in cases)))


def _words(case: Tilted, several: bool) -> Sentence:
    which = f"{case.mark} at its {case.at}" if several else f"at its {case.at} it"
    tilts = sentence(f"{which} tilts ", degrees(case.angle, fixed=True), f" on {case.bolt} as drawn, ")
    return sentence(tilts, degrees(case.limit, fixed=True), f" is its limit ({case.source})")


@once
def tilted(job: Checked) -> Sequence[Tilted]:
    """The rod ends that stand past their swing where a bolt is named through them."""
    links = {piece.mark: piece for piece in job.pieces if isinstance(piece.shape, LinkPart) and piece.is_placed}
    found: dict[tuple[str, str], Tilted] = {}
    for stack in job.plan.bolts:
        for line in stack.lines:
            for seat in line.seats if line.in_line and not line.alone else ():
                piece = links.get(seat.passage.mark)
                if piece is None or seat.passage.axis is not None:
                    continue
                part = piece.shape
                assert isinstance(part, LinkPart)
                assert part.frame is not None
                angle = math.asin(min(1.0, abs(float(line.axis @ part.frame.x))))
                away = [float(np.linalg.norm(end.frame.origin - seat.passage.centre)) for end in part.ends]
                at = ("start", "finish")[away[1] < away[0]]
                side = part.sides[away[1] < away[0]]
                if isinstance(side, RodEndSetup) and side.swing is not None and angle > side.swing + _TRUE:
                    turn = _square(job, line, part.frame.x)
                    case = Tilted(piece.mark, at, stack.name, angle, side.swing, side.swing_source, turn)
                    found.setdefault((piece.mark, at), case)
    return list(found.values())


def _square(job: Checked, line: BoltLine, rod: Array) -> str:
    """The turn on its skin of what else a bolt goes through that makes it square to a rod, as the job file has it, at
    each of its places there; '' where another part holds it too, or where it is not for the skin to turn it."""
    held = {seat.passage.mark for seat in line.seats if seat.passage.ways}
    part = next((piece.flat_part for piece in job.pieces if held == {piece.mark}), None)
    table = next((each for each in job.job.parts() if isinstance(each, Placeable) and held == {each.mark}), None)
    if part is None or table is None:
        return ""
    passed = sorted({seat.passage.place for seat in line.seats if seat.passage.place})
    numbers: dict[str, list[int]] = {}
    for number in (each for each in passed if each <= written_places(job, table.mark)):
        if turn := _turned(part.places[number - 1], table.place[number - 1], line, rod):
            numbers.setdefault(turn, []).append(number)
    if len(table.place) == 1:
        return "".join(f"{turn} in the place of {table.mark}" for turn in numbers)
    return " and ".join(f"{turn} in {numbers_in_words(at)} of {table.mark}" for turn, at in numbers.items())


def _turned(place: Place, given: PlaceGiven, line: BoltLine, rod: Array) -> str:
    """'turn = 90': what makes a bolt square to a rod at one place of what it goes through; '' where no turn does."""
    if place.skin is None or given.along is not None or abs(float(line.axis @ place.skin.out)) > _LEVEL:
        return ""
    wanted = np.cross(rod, place.skin.out)
    if float(np.linalg.norm(wanted)) < _LEVEL:  # any turn is square to a rod that comes straight at the skin
        return ""
    now, then = (math.atan2(float(w @ place.skin.beside), float(w @ place.skin.along)) for w in (line.axis, wanted))
    turned = round(math.degrees(math.remainder((given.turn or 0.0) + then - now, math.pi)), 1)
    return f"turn = {figure(90.0 if turned == -90.0 else turned)}"


RULES = (rod_tilt,)
