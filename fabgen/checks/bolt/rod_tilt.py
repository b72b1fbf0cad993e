"""Rod ends as they are drawn: how far each is tilted on its bolt."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.parts.piece import LinkPart, RodEndSetup
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, sentence

_TRUE = math.radians(0.05)


@dataclass(frozen=True, slots=True)
class Tilted:
    """The rod end of link `mark` that stands past its swing on the bolt that goes by `bolt`; angles in rad."""

    mark: str
    at: str
    bolt: str
    angle: float
    limit: float
    source: str


@rule("rod-tilt", Level.STOP, source=FROM_JOB)
def rod_tilt(job: Checked) -> Iterator[Found]:
    """As drawn no rod end is tilted on its bolt past what its ball takes; of one whose travel is known with its pin,
    that is told of the travel."""
    sweeps = job.movement.sweeps if job.movement is not None else ()
    swept = {(tilt.mark, tilt.at) for sweep in sweeps for tilt in sweep.tilts if tilt.square}
    cases = [case for case in tilted(job) if (case.mark, case.at) not in swept]
    if cases:
        each = [_words(case, several=len(cases) > 1) for case in cases]
        cure = ": turn what the bolt goes through until it is square to the rod"
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
                    case = Tilted(piece.mark, at, stack.name, angle, side.swing, side.swing_source)
                    found.setdefault((piece.mark, at), case)
    return list(found.values())


RULES = (rod_tilt,)
