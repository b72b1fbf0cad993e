"""A hub of plate: the disc that the slit ends of tubes in one plane fit over, and how these ends are worked.

All of them stop on one circle about its middle, so far out that there is room to weld between any two; the disc's rim
leaves each of them a lap of 1.3 times its own size.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array, cross, unit
from fabgen.geometry.tube.disc import best_plane, lap, lean, spans, stand_off
from fabgen.geometry.tube.hub import Landing
from fabgen.job.errors import InputError
from fabgen.job.expansion.hub_tubes import WELD_ROOM, way_given
from fabgen.job.expansion.node_ends import OpenEnd, centred
from fabgen.job.expansion.placing import point_at, turn_toward
from fabgen.job.tables.fields import Context
from fabgen.job.tables.part_tables import NodeGiven
from fabgen.job.values.units import format_length
from fabgen.shop.profiles.standard_sizes import flat_thickness
from fabgen.wording.inches import INCH, nearest_fraction

LAP = 1.3
"""Times its own size that a tube's slit end laps over its disc: there its whole section works (ANSI/AISC 360-16, table
D3.1, case 5, U = 1.0; from memory, check against your edition)."""
LEAST_LAP = 1.0
"""The same at least, on a disc whose diameter is given (the same table, from memory)."""
ROOM = 0.5
"""A slit is so much wider than its disc, mm (common practice, no source)."""
LEAN = 0.5
"""What a tube may rise out of the disc's plane over its lap, mm: its slit is so much wider (common practice)."""
WIDE_LEAN = LEAN + ROOM / 2.0
"""The same on a disc that is wider than it need be: half of the slit's room is left."""
ASKEW = math.radians(1.0)
"""A rectangular tube's faces lie this nearly along and square to the disc (common practice, no source)."""
WALLS = 2.0
"""A disc is at least so many times as thick as the walls it carries (common practice, no source)."""
FARTHEST = 10.0
"""Tubes end at most so many times their own size from the disc's middle (common practice, no source)."""
_ROUND_UP = {"mm": (1.0, 10.0), "in": (INCH / 16.0, INCH / 2.0)}
"""Whole multiples of what places along tubes, and diameters of discs, are, mm, by the job's units."""
_LEAST_HOLE = 5.0
_AWAY = 1000.0
"""How far off the point lies toward which a slit looks, mm."""


@dataclass(frozen=True, eq=False)
class Disc:
    """A disc: its table without its mark, its middle and the direction square to it, (3,); its thickness and radius,
    where the tubes end, and how they land on it, mm."""

    plate: dict[str, Any]
    middle: Array
    square: Array
    thickness: float
    radius: float
    start: float
    landings: list[Landing]
    step: float


def leaning(group: Sequence[OpenEnd], node: NodeGiven | None) -> str:
    """What of the ends at a point keeps them from one disc, in words; '' where they lie in one plane."""
    middle, landings = centred(group)
    square = _square(landings, node, middle)
    if square is None:
        return "the ends here lie in one line, so any plane through it could be the disc's"
    return _leans(group, landings, square, LEAN / (LAP * max(map(_size, group))))


def _leans(group: Sequence[OpenEnd], landings: Sequence[Landing], square: Array, most: float) -> str:
    """Which end leans out of the disc's plane by more than an angle with the sine `most`, in words."""
    steep = [abs(lean(landing, square)) for landing in landings]
    worst = int(np.argmax(steep))
    if steep[worst] <= most + 1e-9:
        return ""
    angle, fits = (math.degrees(math.asin(min(1.0, sine))) for sine in (steep[worst], most))
    return f"{group[worst].mark} leans {angle:.2g} degrees out of the disc's plane, {fits:.2g} at most"


def disc_of(group: Sequence[OpenEnd], node: NodeGiven | None, context: Context) -> Disc:
    """The disc for the ends at a point.

    Args:
        group: the ends that land on it.
        node: what the job says of the point.
        context: what the values are read with.
    Raises:
        InputError: they lie in no one plane, lie too close to one another, or the disc given is too small.
    """
    if why := leaning(group, node):
        raise InputError(why, 'hub_along square to the plane of the tubes, or corners = "hub", a short tube')
    middle, landings = centred(group)
    square = _square(landings, node, middle)
    assert square is not None
    for end in group:
        _refuse_askew(end, square)
    step, whole = _ROUND_UP[context.units]
    most = FARTHEST * max(map(_size, group))
    off = stand_off(landings, square, WELD_ROOM, most)
    if off is None:
        raise _too_close(group, landings, most, context)
    start = _up(off, step)
    laps = [LAP * _size(end) for end in group]
    sides = [max(map(abs, spans(landing, square))) for landing in landings]
    radius = max(math.hypot(start + long, side) for long, side in zip(laps, sides, strict=True))
    radius = _up(2.0 * radius, whole) / 2.0
    if node is not None and node.disc is not None:
        _held_against(node.disc, start, group, landings, square, context)
        radius = node.disc / 2.0
        if why := _leans(group, landings, square, WIDE_LEAN / (radius - start)):
            raise InputError(f"{why} on a disc so wide", "a smaller disc, or none given", key=("disc",))
    thickness = node.thickness if node is not None else None
    thickness = thickness or flat_thickness(WALLS * max(landing.wall for landing in landings), context.units)
    for end, landing in zip(group, landings, strict=True):
        _refuse_thick(end, landing, square, thickness, radius - start, context)
    ahead = unit(landings[0].way - lean(landings[0], square) * square)
    out = f"{nearest_fraction(start, 16)} in" if context.units == "in" else format_length(start)
    plate = {
        "title": "hub disc",
        "note": f"For the slit ends of {len(group)} tubes, which stop {out} from its middle.",
        "thickness": _mm(thickness),
        "disc": _mm(2.0 * radius),
        "tubes": [_laid(end, landing, ahead, square, start) for end, landing in zip(group, landings, strict=True)],
        "place": {"at": point_at(middle), "along": _way(ahead), "up": _way(square), "lies": "middle", "of": [0, 0]},
    }
    return Disc(plate, middle, square, thickness, radius, start, landings, step)


def _laid(end: OpenEnd, landing: Landing, ahead: Array, square: Array, start: float) -> dict[str, Any]:
    """Where a tube lies on the disc, to be etched there; `ahead` is the disc's own x."""
    right, left = spans(landing, square)
    way = unit(landing.way - lean(landing, square) * square)
    aside = cross(square, way)
    at = start * way + (right + left) / 2.0 * aside
    lies_flat = abs(left - right - end.section.width) < abs(left - right - end.section.depth)
    return {
        "tube": end.section,
        "at": [_mm(float(at @ ahead)), _mm(float(at @ cross(square, ahead)))],
        "lean": 0,
        "turn": math.degrees(math.atan2(float(way @ cross(square, ahead)), float(way @ ahead))),
        "roll": 90 if lies_flat else 0,
        "ends": True,
    }


def straddling(disc: Disc, end: OpenEnd, landing: Landing, mark: str) -> dict[str, Any]:
    """The keys of an end that is slit to fit over a disc.

    Args:
        disc: the disc.
        end: the end.
        landing: how it lands there.
        mark: of the disc.
    """
    ahead = landing.way if end.at == "start" else -landing.way
    out = unit(cross(disc.square, ahead))
    # Its slit's middle lies in the disc's plane halfway along the lap, where a lean shares out to either side.
    axis = end.point - float((end.point - disc.middle) @ landing.way) * landing.way
    inside = max(0.0, min(map(abs, spans(landing, disc.square))) - landing.wall)
    reach = math.sqrt(disc.radius**2 - inside**2) - disc.start
    beside = float((disc.middle - axis) @ disc.square) - lean(landing, disc.square) * (disc.start + reach / 2.0)
    width = _slit_width(disc.thickness, landing, disc.square, reach)
    hole = max(width, _LEAST_HOLE)
    deep = _up(reach + hole / 2.0 - math.sqrt(hole**2 - width**2) / 2.0 + ROOM, disc.step)
    short = disc.start - float((end.point - disc.middle) @ landing.way)
    slit = {
        "width": _mm(width),
        "depth": _mm(deep),
        "toward": point_at(end.point + short * landing.way + _AWAY * out),
        "offset": _mm(beside),
        "both_walls": True,
        "tab": mark,
    }
    return {"cut": "plain", "extend": _mm(-short), "slit": slit}


def _refuse_thick(
    end: OpenEnd, landing: Landing, square: Array, thickness: float, reach: float, context: Context
) -> None:
    """Refuses a disc whose slit takes a tube from wall to wall."""
    high = landing.outline @ square
    room = 2.0 * (min(float(high.max()), -float(high.min())) - landing.wall)
    wide = _slit_width(thickness, landing, square, reach)
    if wide >= room - 1e-9:
        most = format_length(max(0.0, room - (wide - thickness)), context.units)
        what = f"the slit for a disc of {format_length(thickness, context.units)} takes {end.mark} from wall to wall"
        raise InputError(what, f"a thickness under {most}, or a hub of tube", key=("thickness",))


def _slit_width(thickness: float, landing: Landing, square: Array, reach: float) -> float:
    """The width of a tube's slit, mm; `reach` from where it ends to the rim, mm."""
    return thickness + ROOM + min(abs(lean(landing, square)) * reach, LEAN)


def _refuse_askew(end: OpenEnd, square: Array) -> None:
    """Refuses solid bar, and a rectangular tube that lies with an edge to the disc."""
    if end.section.is_solid:
        raise InputError(f"{end.mark} is solid bar, which has no wall to slit", 'corners = "hub", a short tube')
    if end.section.is_round or end.frame is None:
        return
    across = unit(square - float(square @ end.frame.x) * end.frame.x)
    askew = math.acos(min(1.0, max(abs(float(across @ end.frame.y)), abs(float(across @ end.frame.z)))))
    if askew > ASKEW + 1e-9:
        turn = math.degrees(turn_toward(end.frame.x, square)) % 180.0
        what = f"{end.mark} is turned {math.degrees(askew):.2g} degrees to the disc: its slit would run into a corner"
        raise InputError(what, f"turn = {round(turn, 2):g} at {end.mark}, or as much and 90 degrees")


def _held_against(
    diameter: float,
    start: float,
    group: Sequence[OpenEnd],
    landings: Sequence[Landing],
    square: Array,
    context: Context,
) -> None:
    """Refuses a disc of a given diameter that leaves a tube too little to weld."""
    for end, landing in zip(group, landings, strict=True):
        least, found = LEAST_LAP * _size(end), lap(landing, square, start, diameter / 2.0)
        if found < least - 1e-6:
            side = max(map(abs, spans(landing, square)))
            wide = _up(2.0 * math.hypot(start + least, side), _ROUND_UP[context.units][1])
            lies, needs, enough = (format_length(size, context.units) for size in (max(found, 0.0), least, wide))
            what = f"{end.mark} laps {lies} over this disc, {needs} needed: its own size"
            raise InputError(what, f"a disc of {enough}, or none given", key=("disc",))


def _too_close(group: Sequence[OpenEnd], landings: Sequence[Landing], most: float, context: Context) -> InputError:
    """Two of the ends leave the point too nearly the same way."""
    pairs = combinations(zip(group, landings, strict=True), 2)
    (one, a), (other, b) = min(pairs, key=lambda pair: -float(pair[0][1].way @ pair[1][1].way))
    angle = math.degrees(math.acos(max(-1.0, min(1.0, float(a.way @ b.way)))))
    what = f"{one.mark} and {other.mark} lie {angle:.2g} degrees apart: too near to one another as far out as"
    return InputError(
        f"{what} {format_length(most, context.units)} from the disc's middle",
        "tubes farther apart, or one of them coped onto the other",
    )


def _square(landings: Sequence[Landing], node: NodeGiven | None, middle: Array) -> Array | None:
    given = way_given(node, middle)
    return best_plane(landings) if given is None else given


def _size(end: OpenEnd) -> float:
    return max(end.section.width, end.section.depth)


def _up(size: float, step: float) -> float:
    return math.ceil(size / step - 1e-9) * step


def _mm(size: float) -> str:
    return f"{round(size, 6) + 0.0:.12g} mm"


def _way(direction: Array) -> list[float]:
    return [round(float(each), 12) + 0.0 for each in direction]
