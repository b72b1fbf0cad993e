"""The bends of a tube as the bender needs them: marks from the start's saw cut, angles, rotations."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from fabgen.geometry.tube.centreline import Centreline, Turn
from fabgen.job.tables.tube_tables import Former
from fabgen.parts.piece import TubeBend
from fabgen.parts.shape.tubes import size_in_bend
from fabgen.shop.section import Section
from fabgen.wording.sentence import EMPTY, Sentence, as_made, sentence

USUAL_GRIP = 2.0
"""Straight that a bender holds before a bend, in tube sizes, where the job does not say (common
practice, no source)."""


def bends_of(
    path: Centreline, section: Section, lead: float, formers: Sequence[Former], neutral_shift: float = 0.0
) -> tuple[tuple[TubeBend, ...], tuple[float, ...]]:
    """The bends of a tube, and the straights before, between and after them.

    Args:
        lead: from the start's saw cut to the route's start, mm.
        formers: the job's; the first that makes a bend serves it.
        neutral_shift: how far inside the centreline the line lies that keeps its length, where no former says, mm.
    Returns: the bends, and the straights, mm, the last counted to the route's finish.
    """
    done: list[TubeBend] = []
    straights = [straight.length for straight in path.straights]
    straights[0] += lead
    at = 0.0
    for straight, turn in zip(straights, path.turns, strict=False):
        former = former_for(formers, section, turn)
        at += straight
        length = (turn.radius - (former.neutral_shift if former else neutral_shift)) * turn.angle
        done.append(
            TubeBend(
                at=at,
                length=length,
                mark=at - (former.setback if former else 0.0),
                radius=turn.radius,
                angle=turn.angle,
                set_angle=former.springback.set_for(turn.angle) if former else turn.angle,
                rotation=0.0,
                from_top=turn.from_top,
                grip=_grip(former, section, turn),
                former=former_words(former) if former else EMPTY,
            )
        )
        at += length
    return _with_rotations(done), tuple(straights)


def _grip(former: Former | None, section: Section, turn: Turn) -> float:
    if former is None or former.least_straight is None:
        return USUAL_GRIP * size_in_bend(section, turn)
    return former.least_straight


def former_for(formers: Sequence[Former], section: Section, turn: Turn) -> Former | None:
    """The first of the job's formers that makes a bend; None where none does."""
    size = size_in_bend(section, turn)
    return next((former for former in formers if former.fits(size, turn.radius)), None)


def former_words(former: Former) -> Sentence:
    """'name, radius 115 mm', or the radius alone."""
    return sentence(f"{former.name}, " if former.name else "", "radius ", as_made(former.radius))


def _with_rotations(bends: Sequence[TubeBend]) -> tuple[TubeBend, ...]:
    turned = [replace(bend, rotation=clear_angle(bend.from_top - before.from_top)) for before, bend in pairwise(bends)]
    return (*bends[:1], *turned)


def clear_angle(angle: float) -> float:
    """The same angle in (-pi, pi], a hair's breadth of half a turn counted as plus."""
    turned = math.remainder(angle, 2.0 * math.pi)
    return turned + 2.0 * math.pi if turned <= -math.pi + 1e-9 else turned
