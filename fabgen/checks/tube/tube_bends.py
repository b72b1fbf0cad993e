"""Checks of bent tubes: can the tube take the bend, can the bender hold it, and what is left of the wall?"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from fabgen.checks.checked import Checking
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.tubes import outside_wall, route_point, size_in_bend
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, number, sentence

TIGHTEST = 3.0
"""Least centreline radius in tube sizes."""

TIGHT_SOURCE = (
    "common practice for bending without a mandrel; the FIA requires the same of cage tube (Appendix J, article 253: "
    "from memory, check the text in force)"
)
LEAST_WALL = 0.8
"""Share of the wall that should be left at the outside of a bend."""

Tube = Checking[LengthPart]


@rule("bend-tight", Level.WARN, source=TIGHT_SOURCE)
def bend_tight(of: Tube) -> Iterator[Found]:
    """A bend has a centreline radius of three tube sizes or more."""
    part = of.part
    tight = [
        i for i, bend in enumerate(part.bends, 1) if bend.radius < TIGHTEST * size_in_bend(part.section, bend) - 0.05
    ]
    if tight:
        least = min(part.bends[i - 1].radius / size_in_bend(part.section, part.bends[i - 1]) for i in tight)
        times = sentence(f"{bends_named(tight)} {'are' if len(tight) > 1 else 'is'} tight: ", number(least, 2))
        on_line = f" times the tube's size on the centreline, under {TIGHTEST:g}"
        yield found(times, on_line, ": without a mandrel the tube flattens or wrinkles")


@rule("bend-wall", Level.WARN, source=f"limit of {LEAST_WALL:.0%}: {PRACTICE}")
def bend_wall(of: Tube) -> Iterator[Found]:
    """Four fifths of the wall or more are left at the outside of a bend."""
    section = of.part.section
    if section.is_solid:
        return
    left = {i: outside_wall(section, bend) for i, bend in enumerate(of.part.bends, 1)}
    thin = [i for i, wall in left.items() if wall < LEAST_WALL * section.wall]
    if thin:
        about = sentence(f"at the outside of {bends_named(thin)} about ", mm(min(left[i] for i in thin), 2), " of the ")
        formula = "(estimate t R / (R + d / 2): constant volume, neutral line on the centreline): measure a test bend"
        yield found(about, mm(section.wall, 4), f" wall are left {formula}")


@rule("bend-lead", Level.NOTE)
def bend_lead(of: Tube) -> Iterator[Found]:
    """The bender has straight tube to hold before the first bend."""
    if not of.part.bends:
        return
    straight, bend = of.part.straights[0], of.part.bends[0]
    if straight < bend.grip - 0.05:
        holds = sentence("before bend 1 there are ", mm(straight), " of straight and the bender holds ", mm(bend.grip))
        longer = mm(math.ceil(bend.grip - straight))
        off = " longer at the start, and that off after bending"
        yield found(holds, ": saw it ", longer, off, source=_grip_source(bend.former))


@rule("bend-straight", Level.WARN)
def bend_straight(of: Tube) -> Iterator[Found]:
    """The bender has straight tube to hold between two bends."""
    for i, (straight, bend) in enumerate(zip(of.part.straights[1:], of.part.bends[1:], strict=False), 2):
        if straight < bend.grip - 0.05:
            between = sentence(f"between bends {i - 1} and {i} there are ", mm(straight))
            holds = sentence(" of straight and the bender holds ", mm(bend.grip))
            farther = ": points farther apart, or a smaller radius"
            yield found(between, holds, farther, source=_grip_source(bend.former))


@rule("cut-in-bend", Level.STOP, source="the template is for straight tube")
def cut_in_bend(of: Tube) -> Iterator[Found]:
    """An end is cut where the tube is straight."""
    part = of.part
    for end in part.ends if part.bends and part.path is not None else ():
        assert part.path is not None
        if end.cut == "plain" or np.isnan(end.line.x).all():
            continue
        straight = part.path.straights[0 if end.at == "start" else -1].length
        bend = float((route_point(part, end.at) - end.frame.origin) @ end.frame.x) + straight
        if float(np.nanmax(end.line.x)) - bend > -0.01:
            cut = sentence(f"the cut at its {end.at} reaches the bend, ", mm(straight), " from the route's end")
            yield found(cut, ": a longer straight there, or a smaller radius")


RULES = (bend_tight, bend_wall, bend_lead, bend_straight, cut_in_bend)


def _grip_source(former: Sentence) -> str:
    return f"former: {former.words()}" if former else f"twice the tube's size, as no former fits: {PRACTICE}"


def bends_named(numbers: list[int]) -> str:
    names = [str(i) for i in numbers]
    return f"bend {names[0]}" if len(names) == 1 else f"bends {', '.join(names[:-1])} and {names[-1]}"
