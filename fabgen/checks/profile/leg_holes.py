"""Checks of the holes that a job gives its profiles: their distances, the root, and what a bolt needs there.

One finding speaks of a row of holes alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from fabgen.checks.checked import Checking
from fabgen.checks.grouped import named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.geometry.plane.regions import region
from fabgen.parts.piece import LegHole, ProfileEnd, ProfilePart, like_leg_holes
from fabgen.parts.shape.legs import hole_places
from fabgen.shop.profiles.gauge_lines import flat_of, usual_gauge
from fabgen.shop.threaded.fasteners import hexagon_head, washer_diameter
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence, to_paste

Profile = Checking[ProfilePart]

DISTANCES = "EN 1993-1-8, table 3.3 (from memory, check against your part)"
EDGE, PITCH = 1.2, 2.2
"""Least distances of a hole's middle from the metal's end or edge, and of two holes' middles, in hole widths (table
3.3)."""
SLIVER = 1.0
"""Less metal than this beside a hole bends out or tears as it is drilled, mm (common practice, no source)."""
TAPERED = 0.05
"""Flanges that slope by more than this want taper washers, a ratio (common practice, no source)."""
LOOSE = 0.5
"""A washer that lies on a root by no more than this is pushed off it, mm (common practice, no source)."""
_SAME = 0.05
_TINY = 1e-6
_CORNERS = 2.0 / math.sqrt(3.0)
"""Of a hexagon, across corners to across flats."""


@rule("leg-hole-off", Level.STOP, source=FROM_JOB)
def leg_hole_off(of: Profile) -> Iterator[Found]:
    """A hole in a leg stays on it: it crosses neither its toe, nor the leg beside it, nor a cut end."""
    for row in like_leg_holes(of.part.holes):
        hole = row[0]
        off, into = hole.reach - _to_toe(of.part, hole), hole.reach - _to_leg(of.part, hole)
        if off > 1e-6:
            yield found(f"{_row_name(row)} runs ", mm(off), f" off the edge of {hole.leg_said}: ", _cure(of.part, hole))
        if into > 1e-6:
            yield found(f"{_row_name(row)} runs ", mm(into), f" into the metal beside {hole.leg_said}: ",
                        _cure(of.part, hole))  # fmt: skip
    over = [
        sentence(f"{hole.name} runs ", mm(hole.width / 2.0 - free), f" off the {end.at}'s cut, move it in ",
                 mm(_move_in(of.part, hole, end)))
        for hole in of.part.holes
        for free, end in zip(hole.to_ends, of.part.ends, strict=True)
        if free < hole.width / 2.0 - 1e-6
    ]  # fmt: skip
    if over:
        yield found(named(over, "; "))


@rule("leg-hole-root", Level.WARN)
def leg_hole_root(of: Profile) -> Iterator[Found]:
    """A hole in a leg stays clear of the radius at its root, where a drill runs off and no bolt sits."""
    for row in like_leg_holes(of.part.holes):
        hole = row[0]
        into = hole.reach - _to_root(hole)
        if into > _SAME and hole.reach - _to_leg(of.part, hole) <= 1e-6:
            yield found(
                f"{_row_name(row)} runs ", mm(into), f" into the root of {hole.leg_said}: ", _cure(of.part, hole)
            )


@rule("leg-hole-sliver", Level.STOP)
def leg_hole_sliver(of: Profile) -> Iterator[Found]:
    """Beside a hole is as much metal, to the edge of its leg, to a cut end and to the next hole, as can be drilled."""
    thin: list[tuple[Sentence, float, Sentence]] = []
    for row in like_leg_holes(of.part.holes):
        hole = row[0]
        if -_TINY <= (left := _to_toe(of.part, hole) - hole.reach) < SLIVER - _TINY:
            to = sentence(f"between {_row_name(row)} and the edge of {hole.leg_said}")
            thin.append((to, left, _cure(of.part, hole)))
    for hole in of.part.holes:
        for free, end in zip(hole.to_ends, of.part.ends, strict=True):
            if -_TINY <= (left := free - hole.width / 2.0) < SLIVER - _TINY:
                move = sentence("move it in ", mm(_move_in(of.part, hole, end)))
                thin.append((sentence(f"between {hole.name} and the {end.at}'s cut"), left, move))
    for one, other, left in _between(of.part.holes):
        if _TINY < left < SLIVER - _TINY:
            thin.append((sentence(f"between {one.name} and {other.name}"), left, sentence("move them apart")))
    if thin:
        each = [sentence(mm(left), " of metal ", to, ": ", cure) for to, left, cure in thin]
        yield found(named(each, "; "), "; less than ", mm(SLIVER), " tears out as it is drilled")


@rule("leg-hole-edge", Level.WARN, source=DISTANCES)
def leg_hole_edge(of: Profile) -> Iterator[Found]:
    """A hole's middle is 1.2 of its width from the edge of its leg at least, so that a bolt does not tear out."""
    for row in like_leg_holes(of.part.holes):
        hole, least = row[0], EDGE * row[0].width
        free = _to_toe(of.part, hole) - (hole.reach - hole.width / 2.0)
        if not _is_thin(free - hole.width / 2.0) and free < least - _SAME:
            yield found(mm(free), f" from the middle of {_row_name(row)} to the edge of {hole.leg_said}; ", mm(least),
                        " needed: ", _cure(of.part, hole))  # fmt: skip


@rule("leg-hole-end", Level.WARN, source=DISTANCES)
def leg_hole_end(of: Profile) -> Iterator[Found]:
    """A hole's middle is 1.2 of its width from the profile's cut end at least, notches counted."""
    close, least = [], 0.0
    for hole in of.part.holes:
        free, end = min(zip(hole.to_ends, of.part.ends, strict=True), key=lambda each: each[0])
        if not _is_thin(free - hole.width / 2.0) and free < EDGE * hole.width - _SAME:
            close.append(
                sentence(mm(free), f" from the middle of {hole.name} to the {end.at}'s cut, move it in ",
                         mm(_move_in(of.part, hole, end)))
            )  # fmt: skip
            least = max(least, EDGE * hole.width)
    if close:
        yield found(named(close, "; "), "; ", mm(least), " needed")


@rule("leg-holes-apart", Level.WARN, Level.STOP, source=DISTANCES)
def leg_holes_apart(of: Profile) -> Iterator[Found]:
    """Holes in one leg are as far apart as bolts need, and none runs into another."""
    close = [
        (one, other, between)
        for one, other, between in _between(of.part.holes)
        if between < (PITCH - 1.0) * max(one.width, other.width) - _SAME and (between <= 1e-6 or not _is_thin(between))
    ]
    if not close:
        return
    one, other, between = min(close, key=lambda each: each[2])
    pairs = f", the closest of {len(close)} pairs" if len(close) > 1 else ""
    if between <= 1e-6:
        yield found(f"{one.name} and {other.name} run into one another{pairs}: move them apart", level=Level.STOP)
    else:
        least = (PITCH - 1.0) * max(one.width, other.width)
        yield found(mm(between), f" of metal between {one.name} and {other.name}{pairs}; ", mm(least),
                    " needed: move them apart")  # fmt: skip


@rule("leg-bolt-seat", Level.WARN)
def leg_bolt_seat(of: Profile) -> Iterator[Found]:
    """A bolt's washer lies flat inside a leg: on the radius of the root it stands on one edge and bends the bolt."""
    for row in like_leg_holes(of.part.holes):
        hole = row[0]
        washer = washer_diameter(hole.bolt) if hole.bolt else None
        if washer is None or hole.reach - _to_root(hole) > _SAME:
            continue
        on = washer.value / 2.0 - _to_root(hole)
        if on > LOOSE:
            where = f" of the washer for {hole.bolt} at {_row_name(row)} lies on the root of {hole.leg_said}: move it "
            yield found(mm(on), where, mm(on), " toward the toe, or grind the washer", source=washer.source)


@rule("leg-bolts-meet", Level.WARN)
def leg_bolts_meet(of: Profile) -> Iterator[Found]:
    """Bolts in both legs of an angle do not foul one another inside it."""
    thick = of.part.section.thickness
    bolts = [hole for hole in of.part.holes if hole.bolt and hole.leg in ("a", "b")]
    for one, other in combinations(bolts, 2):
        heads = [hexagon_head(hole.bolt) for hole in (one, other)]
        if one.leg == other.leg or heads[0] is None or heads[1] is None:
            continue
        wide = [head.across_flats * _CORNERS / 2.0 for head in heads if head is not None]
        tall = [thick + head.height for head in heads if head is not None]
        apart, needed = abs(one.along - other.along), sum(wide)
        if one.gauge - wide[0] < tall[1] and other.gauge - wide[1] < tall[0] and apart < needed - _SAME:
            yield found(mm(apart), f" along from {one.name} to {other.name} in the other leg; ", mm(needed),
                        " needed: their bolt heads meet inside, move one along")  # fmt: skip


@rule("taper-washer", Level.NOTE)
def taper_washer(of: Profile) -> Iterator[Found]:
    """A bolt through a flange that slopes inside has a taper washer there."""
    holes = [hole for hole in of.part.holes if hole.bolt and hole.leg.startswith("flange")]
    if holes and of.part.section.slope > TAPERED:
        yield found(f"{_row_name(holes)}: the flange slopes inside, so a taper washer goes under head or nut there")


RULES = (
    leg_hole_off,
    leg_hole_root,
    leg_hole_sliver,
    leg_hole_edge,
    leg_hole_end,
    leg_holes_apart,
    leg_bolt_seat,
    leg_bolts_meet,
    taper_washer,
)


def _row_name(row: Sequence[LegHole]) -> str:
    """'hole 3', 'holes 2, 3 and 4' of a row: one sentence speaks of all."""
    numbers = [str(hole.number) for hole in row]
    if len(numbers) == 1:
        return f"hole {numbers[0]}"
    return f"each of holes {', '.join(numbers[:-1])} and {numbers[-1]}"


def _is_thin(left: float) -> bool:
    """Whether what is left beside a hole is told by another rule: off the metal, or a sliver."""
    return left < SLIVER - _TINY


def _between(holes: Sequence[LegHole]) -> Iterator[tuple[LegHole, LegHole, float]]:
    """Pairs of holes in one leg and the metal between them, mm."""
    shapes = {hole.number: region(hole.loop) for hole in holes}
    for one, other in combinations(holes, 2):
        if one.face == other.face:
            yield one, other, float(shapes[one.number].distance(shapes[other.number]))


def _sides(hole: LegHole, low: float, high: float) -> tuple[float, float]:
    """From a hole's middle to either side of what lies between two distances from its datum, mm."""
    return hole.gauge - low, high - hole.gauge


def _to_toe(part: ProfilePart, hole: LegHole) -> float:
    """From a hole's middle to the nearest free edge of its leg, mm; of a web there is none."""
    low, high = _sides(hole, *flat_of(part.section, hole.leg))
    if hole.leg == "web":
        return math.inf
    return min(low, high) if hole.leg == "face" else high


def _to_leg(part: ProfilePart, hole: LegHole) -> float:
    """From a hole's middle to the metal of the leg beside its own, mm; of a flat bar there is none."""
    low, high = _sides(hole, *flat_of(part.section, hole.leg))
    if hole.leg == "face":
        return math.inf
    return min(low, high) if hole.leg == "web" else low


def _to_root(hole: LegHole) -> float:
    """From a hole's middle to where the root's radius begins, mm; of a flat bar there is none."""
    low, high = _sides(hole, *hole.flat)
    if hole.leg == "face":
        return math.inf
    return min(low, high) if hole.leg == "web" else low


def _move_in(part: ProfilePart, hole: LegHole, end: ProfileEnd) -> float:
    """How far along the profile a hole is to go from an end's cut to be as far from it as a bolt needs, mm."""
    edge, by = end.cut.edge(hole.face), EDGE * hole.width
    return math.ceil(max(edge.clear(station, by) - x for station, x in hole_places(part, hole, end)) * 10.0) / 10.0


def _cure(part: ProfilePart, hole: LegHole) -> Sentence:
    """What to do about a hole that is wrong across its leg."""
    usual = usual_gauge(part.section, hole.leg)
    if abs(hole.gauge - usual.distance) < _SAME:
        return sentence("make it smaller, or take a wider leg")
    if not usual.distance:
        return sentence("put it in the middle, gauge = 0")
    return sentence("put it on the usual gauge line, gauge = ", to_paste(usual.distance))
