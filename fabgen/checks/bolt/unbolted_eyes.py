"""Eyes of dampers and balls of link rods between drilled ears, through which the job names no bolt."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import made_here
from fabgen.parts.shape.bored.bolt_lines import EYE, BoltLine
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways
from fabgen.parts.shape.directions import array
from fabgen.wording.levels import Level

_BESIDE = 60.0
"""An ear whose hole is farther off along its axis than this, mm, is not beside the eye (common practice, no source)."""


@rule("eye-unbolted", Level.NOTE, source=FROM_JOB)
def eye_unbolted(job: Checked) -> Iterator[Found]:
    """Where the eye of a damper or the ball of a link rod stands in the holes of an ear that is made here, the job
    names the bolt that goes through, or says by a pin that it has one."""
    pins = [array(pin.at) for pin in job.job.pin]
    ways = [way for piece in made_here(job.pieces) for way in hole_ways(piece)]
    cases: dict[tuple[str, str], None] = {}
    for mark, at in _eyes(job) if ways else ():
        if any(float(np.linalg.norm(pin - at)) <= EYE for pin in pins):
            continue
        ears = dict.fromkeys(way.mark for way in ways if _is_in(way, at))
        if ears and not any(_is_on(line, at) for stack in job.plan.bolts for line in stack.lines):
            cases[mark, " and ".join(ears)] = None
    if cases:
        yield found(
            "no bolt is named through ",
            named([f"{mark} in {ears}" for mark, ears in cases], "; ", FEW),
            ": none is on the shopping list, and neither its length nor what it holds was checked: a [[bolt]] table ",
            "with `through` names it",
            about=list(dict.fromkeys(mark for mark, _ in cases)),
        )  # fmt: skip


def _eyes(job: Checked) -> Iterator[tuple[str, Array]]:
    """What is held by a bolt through its middle, by name, and where that is."""
    for damper in job.job.damper:
        yield from ((damper.name, array(point)) for point in damper.between)
    for link in job.job.link:
        yield from ((link.mark, array(point)) for point in link.between or ())


def _is_in(way: HoleWay, at: Array) -> bool:
    return _passes(way.centre, way.axis, at) and abs(float((at - way.centre) @ way.axis)) <= _BESIDE


def _is_on(line: BoltLine, at: Array) -> bool:
    along = float((at - line.at) @ line.axis)
    return _passes(line.at, line.axis, at) and -_BESIDE <= along <= line.reach + _BESIDE


def _passes(on: Array, axis: Array, at: Array) -> bool:
    away = at - on
    return float(np.linalg.norm(away - float(away @ axis) * axis)) <= EYE


RULES = (eye_unbolted,)
