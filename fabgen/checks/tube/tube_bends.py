"""Checks of bent tubes: can the tube take the bend, can the bender hold it, and what is left of the wall?"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from fabgen.checks.finding import Finding
from fabgen.parts.piece import LengthPart, WorkedEnd
from fabgen.parts.shape.tubes import outside_wall, route_point, size_of
from fabgen.wording.figures import figure, mm
from fabgen.wording.levels import Level

TIGHTEST = 3.0
"""Least centreline radius in tube sizes."""

TIGHT_SOURCE = (
    "common practice for bending without a mandrel; the FIA asks the same of cage tube (Appendix J, article 253: "
    "from memory, check the text in force)"
)
LEAST_WALL = 0.8
"""Share of the wall that should be left at the outside of a bend."""

PRACTICE = "common practice, no source"


def check_bends(mark: str, part: LengthPart) -> Iterator[Finding]:
    """Every finding on the bends of one tube."""
    if not part.bends:
        return
    yield from check_radius(mark, part)
    yield from check_wall(mark, part)
    yield from check_straights(mark, part)
    for end in part.ends:
        yield from check_cope_in_bend(mark, part, end)


def check_radius(mark: str, part: LengthPart) -> Iterator[Finding]:
    """A centreline radius of three tube sizes or more."""
    tight = [i for i, bend in enumerate(part.bends, 1) if bend.radius < TIGHTEST * size_of(part.section, bend) - 0.05]
    if tight:
        least = min(part.bends[i - 1].radius / size_of(part.section, part.bends[i - 1]) for i in tight)
        text = (
            f"{_bends(tight)} {'are' if len(tight) > 1 else 'is'} tight: {figure(least, 2)} times the tube's size on "
            f"the centreline, under {TIGHTEST:g}: without a mandrel the tube flattens or wrinkles"
        )
        yield Finding(Level.WARN, (mark,), "bend-tight", text, TIGHT_SOURCE)


def check_wall(mark: str, part: LengthPart) -> Iterator[Finding]:
    """Four fifths of the wall or more are left at the outside of a bend."""
    if part.section.is_solid:
        return
    left = {i: outside_wall(part.section, bend) for i, bend in enumerate(part.bends, 1)}
    thin = [i for i, wall in left.items() if wall < LEAST_WALL * part.section.wall]
    if thin:
        wall = min(left[i] for i in thin)
        text = (
            f"at the outside of {_bends(thin)} about {mm(wall, 2)} of the {part.section.wall:g} mm wall are left "
            "(estimate t R / (R + d / 2): constant volume, neutral line on the centreline): measure a test bend"
        )
        yield Finding(Level.WARN, (mark,), "bend-wall", text, f"limit of {LEAST_WALL:.0%}: {PRACTICE}")


def check_straights(mark: str, part: LengthPart) -> Iterator[Finding]:
    """The bender has straight tube to hold before every bend."""
    for i, (straight, bend) in enumerate(zip(part.straights, part.bends, strict=False), 1):
        if straight >= bend.grip - 0.05:
            continue
        if i == 1:
            text = (
                f"before bend 1 there are {mm(straight)} of straight and the bender holds {mm(bend.grip)}: "
                f"saw it {math.ceil(bend.grip - straight)} mm longer at the start, and that off after bending"
            )
            yield Finding(Level.NOTE, (mark,), "bend-lead", text, _grip_source(bend.former))
        else:
            text = (
                f"between bends {i - 1} and {i} there are {mm(straight)} of straight and the bender holds "
                f"{mm(bend.grip)}: points farther apart, or a smaller radius"
            )
            yield Finding(Level.WARN, (mark,), "bend-straight", text, _grip_source(bend.former))


def check_cope_in_bend(mark: str, part: LengthPart, end: WorkedEnd) -> Iterator[Finding]:
    """An end is cut where the tube is straight."""
    if part.path is None or end.cut == "plain" or np.isnan(end.line.x).all():
        return
    straight = part.path.straights[0 if end.at == "start" else -1].length
    bend = float((route_point(part, end.at) - end.frame.origin) @ end.frame.x) + straight
    past = float(np.nanmax(end.line.x)) - bend
    if past > -0.01:
        text = (
            f"the cut at its {end.at} reaches the bend, {mm(straight)} from the route's end: "
            "a longer straight there, or a smaller radius"
        )
        yield Finding(Level.STOP, (mark,), "cut-in-bend", text, "the template is for straight tube")


def _grip_source(former: str) -> str:
    return f"former: {former}" if former else f"twice the tube's size, as no former fits: {PRACTICE}"


def _bends(numbers: list[int]) -> str:
    names = [str(i) for i in numbers]
    return f"bend {names[0]}" if len(names) == 1 else f"bends {', '.join(names[:-1])} and {names[-1]}"
