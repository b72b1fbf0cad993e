"""Checks of slits in tubes' ends: what stands in them, and what a saw leaves at their bottom."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fabgen.checks.checked import Checking
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.parts.piece import DrilledHole, FlatPart, LengthPart, Slit
from fabgen.parts.shape.welds.tabs import TabInSlit, tab_in_slit
from fabgen.wording.levels import Level
from fabgen.wording.sentence import degrees, mm

Tube = Checking[LengthPart]

ROOM = (0.2, 1.0)
"""A slit is so much wider than the tab that is welded into it, mm: less binds, more is a gap to fill (common practice,
no source)."""
_SQUARE = math.radians(1.0)
_SAME = 0.005


@rule("slit-tab", Level.STOP, Level.WARN)
def slit_tab(of: Tube) -> Iterator[Found]:
    """A tab goes into its slit, with 0.2 to 1 mm of room for the weld."""
    for hole, slit in _slits(of):
        tab = _tab(of, slit)
        if slit.tab and tab is None:
            yield found(f"{hole.name} is for {slit.tab}, which is no sheet part: name the part that stands in it")
            continue
        if tab is None:
            continue
        room = slit.width - tab.thickness
        if room < -_SAME:
            yield found(mm(slit.width, 2), f" wide, {hole.name} does not take {slit.tab} of ", mm(tab.thickness, 2),
                        ": make it ", mm(tab.thickness + 2.0 * ROOM[0], 2))  # fmt: skip
        elif room < ROOM[0] - _SAME:
            yield found(mm(room, 2), f" of room for {slit.tab} in {hole.name}: it binds as sawn; make the slit ",
                        mm(tab.thickness + 2.0 * ROOM[0], 2), " wide", level=Level.WARN)  # fmt: skip
        elif room > ROOM[1] + _SAME:
            yield found(mm(room, 2), f" of room for {slit.tab} in {hole.name} is a wide gap to weld: make the slit ",
                        mm(tab.thickness + ROOM[1] / 2.0, 2), " wide", level=Level.WARN)  # fmt: skip


@rule("slit-tab-place", Level.STOP, source=FROM_JOB)
def slit_tab_place(of: Tube) -> Iterator[Found]:
    """A tab that the job places lies in its slit: along it, in its middle, and no deeper than it goes."""
    for hole, slit in _slits(of):
        tab = _tab(of, slit)
        if tab is not None:
            yield from _misplaced(of.part, hole, slit, tab)


@rule("slit-corner", Level.NOTE)
def slit_corner(of: Tube) -> Iterator[Found]:
    """A slit deeper than it is wide ends in a drilled hole: from square corners a crack runs on."""
    for hole, slit in _slits(of):
        if not slit.hole and slit.depth > slit.width:
            yield found(f"square corners at the bottom of {hole.name} start a crack: leave `hole` out, or give it ",
                        mm(max(5.0, slit.width), 2))  # fmt: skip


RULES = (slit_tab, slit_tab_place, slit_corner)


# -- helpers ----------------------------------------------------------------------
def _slits(of: Tube) -> Iterator[tuple[DrilledHole, Slit]]:
    """Each slit by its near wall."""
    return ((hole, hole.slit) for hole in of.part.drilled if hole.slit is not None and not hole.far)


def _tab(of: Tube, slit: Slit) -> FlatPart | None:
    return next((each.flat_part for each in of.job.pieces if slit.tab and each.mark == slit.tab), None)


def _misplaced(tube: LengthPart, hole: DrilledHole, slit: Slit, tab: FlatPart) -> Iterator[Found]:
    stood = tab_in_slit(tube, hole, slit, tab)
    if stood is None:
        return
    normal = stood.stands.z
    lean = math.asin(min(1.0, math.hypot(float(normal @ stood.inward), float(normal @ stood.out))))
    if lean > _SQUARE:
        yield found(degrees(lean), f" askew: {slit.tab} does not lie along {hole.name}; turn one of them")
        return
    beside = stood.beside(hole, tab.thickness)
    if beside > max(slit.width - tab.thickness, 0.0) / 2.0 + 0.05:
        yield found(mm(beside), f" beside the middle of {hole.name} stands {slit.tab}: move one of them")
        return
    deep, opposite = _reached(tube, hole, stood)
    if deep <= 0.0:
        yield found(f"{slit.tab} does not reach into {hole.name}: ", mm(-deep), " short of the saw cut; move it")
    elif deep > slit.takes + 0.05:
        yield found(mm(deep), f" deep in the tube stands {slit.tab}, and {hole.name} takes ", mm(slit.takes),
                    ": make the slit ", mm(slit.depth + deep - slit.takes), " deep")  # fmt: skip
    elif opposite:
        yield found(f"{slit.tab} runs into the wall opposite {hole.name}: give the slit `both_walls = true`, or make "
                    "the tab narrower")  # fmt: skip


def _reached(tube: LengthPart, hole: DrilledHole, stood: TabInSlit) -> tuple[float, bool]:
    """How far from the saw cut the tab reaches into the slit's walls, mm, minus where it stops short; and whether it
    meets a wall opposite that is not slit."""
    from shapely import box

    outside, wall = stood.outside, tube.section.wall
    walls = [(outside - wall, outside), *([(-outside, wall - outside)] if hole.both_walls else [])]
    deep = max(
        (reach[1] for low, high in walls if (reach := stood.within(low, high)) is not None),
        default=-float(stood.seen.bounds[0]),
    )
    inside = box(0.05, -outside, 1e4, wall - outside - 0.05)
    return deep, not hole.both_walls and stood.seen.intersection(inside).area > 0.01
