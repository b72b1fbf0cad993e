"""Checks of the holes that a job gives its tubes: their distances, what lies over them, what drill and bolt find."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np

from fabgen.checks.checked import Checked, Checking, once
from fabgen.checks.grouped import named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.checks.tube.covered_holes import distance_over
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.joined import joined_groups
from fabgen.job.expansion.written import written_value
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import ENDS, At, DrilledHole, Landing, LengthPart
from fabgen.parts.shape.hollow.lids import Lid, sheet_lids
from fabgen.parts.shape.sections import section_profile
from fabgen.shop.threaded.clearance_holes import clearance
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, mm, sentence

if TYPE_CHECKING:
    from shapely import Polygon

Tube = Checking[LengthPart]

DISTANCES = "EN 1993-1-8, table 3.3 (from memory, check against your part)"
END, PITCH = 1.2, 2.2
"""Least distances of a hole's middle from the metal's end, and of two holes' middles, in hole widths (table 3.3)."""
WIDEST = 0.5
"""A hole wider than this share of the tube takes more than is left beside it (common practice, no source)."""
STEEPEST = math.radians(30.0)
"""A drill farther than this from square to the skin runs off (common practice, no source)."""
_SAME = 0.05
_MOST = 4
"""Holes of a row that are named one by one."""
_ALONGSIDE = math.sin(math.radians(10.0))
"""Drills nearer to one way than this do not cross inside a tube."""


@rule("drill-off-end", Level.STOP, source=FROM_JOB)
def drill_off_end(of: Tube) -> Iterator[Found]:
    """A hole in a tube's wall stays on its straight: it crosses no end's cut and runs into no bend."""
    for hole in of.part.drilled:
        if hole.off:
            move = "make it shorter" if hole.slit else "move it along by its own size at least, or make it smaller"
            yield found(f"{hole.name} runs {hole.off}: {move}")


@rule("drill-to-end", Level.WARN, source=DISTANCES)
def drill_to_end(of: Tube) -> Iterator[Found]:
    """A hole's middle is 1.2 of its width from the tube's cut end at least, so that a bolt does not tear out."""
    short: dict[tuple[At, float, float], list[DrilledHole]] = {}
    worst: dict[int, tuple[float, At, DrilledHole]] = {}
    for hole in of.part.drilled:
        if hole.vent or hole.off or hole.slit is not None:
            continue
        free, at = min(zip(hole.to_ends, ENDS, strict=True))
        if free < END * hole.width - _SAME and free < worst.get(hole.number, (math.inf,))[0]:
            worst[hole.number] = free, at, hole  # of both walls of one drill's way the worse
    for free, at, hole in worst.values():
        short.setdefault((at, round(free, 1), END * hole.width), []).append(hole)
    for (at, free, least), holes in short.items():
        yield found(mm(free), f" from the middle of {_these(holes)} to the {at}'s cut; ", mm(least),
                    f" needed: move {_it(holes)} in")  # fmt: skip


@rule("drill-near-bend", Level.WARN)
def drill_near_bend(of: Tube) -> Iterator[Found]:
    """A hole nearer to a bend than it is wide is drilled after bending, as the bend pulls it long."""
    near: dict[int, DrilledHole] = {}
    for hole in of.part.drilled:
        if not hole.off and hole.to_bend < min(hole.width, getattr(near.get(hole.number), "to_bend", math.inf)):
            near[hole.number] = hole  # of both walls of one drill's way the worse
    for hole in near.values():
        later = "cut it after bending, or make it shorter" if hole.slit else "drill it after bending or move it away"
        yield found(mm(hole.to_bend), f" from the edge of {hole.name} to a bend; less than ", mm(hole.width),
                    f": {later}")  # fmt: skip


@rule("drill-under-joint", Level.STOP, Level.WARN)
def drill_under_joint(of: Tube) -> Iterator[Found]:
    """No hole lies under the wall or the weld of a tube that sits there, or under a plate, foot or bracket; a hole
    wholly within the tube's bore, or with one of the plate's own over it, may.  Where the plate's own is beside it
    and a bolt is named through both, that is told of the bolt."""
    for hole in of.part.drilled:
        for landing in of.part.landings:
            yield from _under(of, hole, landing)
    if of.part.drilled:
        yield from _under_sheet(of)


@rule("drill-apart", Level.WARN, Level.STOP, source=DISTANCES)
def drill_apart(of: Tube) -> Iterator[Found]:
    """Holes in one wall of a tube are as far apart as bolts need, and none runs into another or a branch's bore."""
    holes = of.part.drilled
    shapes = {id(hole): _shape(hole) for hole in holes}
    meeting: list[_Pair] = []
    close: list[_Pair] = []
    for one, other in combinations(holes, 2):
        if one.far and other.far and float(one.frame.x @ other.frame.x) > 0.999:
            continue  # as far apart as where the two drills came in
        between = _gap(shapes[id(one)], shapes[id(other)], one.skin.girth)
        least = (PITCH - 1.0) * max(one.width, other.width)
        if between <= 0.0:
            meeting.append(_Pair(one, other, 0.0, 0.0))
        elif between < least - _SAME and not (one.vent and other.vent):
            close.append(_Pair(one, other, between, least))
    touching = _in_rows(meeting)
    for group in touching:
        yield found(f"{_these(_of_pairs(group))} run into one another: move "
                    f"{'one of them' if len(group) == 1 else 'them apart'}", level=Level.STOP)  # fmt: skip
    for group in _in_rows([pair for pair in close if not any(_holds(row, pair) for row in touching)]):
        worst = min(group, key=lambda pair: pair.between - pair.least)
        same = worst.one.number == worst.other.number
        cure = "make it smaller, or move it to the middle" if same else "move them apart"
        each = "" if len(group) == 1 else " each"
        yield found(mm(worst.between), f" of metal between {_these(_of_pairs(group))}; ", mm(worst.least),
                    f" needed{each}: {cure}")  # fmt: skip
    for bore in of.part.holes:
        around = _polygon(bore.edge.station, bore.edge.along)
        for hole in holes:
            if _gap(shapes[id(hole)], around, hole.skin.girth) <= 0.0:
                yield found(f"{hole.name} runs into the hole for {bore.name}: move it", level=Level.STOP)


@rule("drill-crosses", Level.STOP, source=FROM_JOB)
def drill_crosses(of: Tube) -> Iterator[Found]:
    """Bolts and sleeves that go through a tube from different sides do not meet inside it."""
    through = [hole for hole in of.part.drilled if hole.both_walls and not hole.far and (hole.sleeve or hole.bolt)]
    for one, other in combinations(through, 2):
        square = np.cross(one.frame.x, other.frame.x)
        if float(np.linalg.norm(square)) < _ALONGSIDE:
            continue  # side by side: their holes in the walls tell
        room = abs(float((other.frame.origin - one.frame.origin) @ square)) / float(np.linalg.norm(square))
        needed = (_passes(one) + _passes(other)) / 2.0
        if room < needed - _SAME:
            yield found(f"{_inside(one)} and {_inside(other)} meet inside the tube, ", mm(room), " from middle to "
                        "middle; ", mm(needed), " needed: move one of them along")  # fmt: skip


@rule("drill-over-edge", Level.WARN)
def drill_over_edge(of: Tube) -> Iterator[Found]:
    """A hole in a rectangular tube stays on the flat of its face: on the corner a drill runs off and no bolt sits."""
    over: dict[tuple[float, float], list[DrilledHole]] = {}
    for hole in of.part.drilled:
        skin = hole.skin
        if skin.is_round or hole.far:
            continue
        upright = abs(float(hole.frame.x @ skin.frame.z)) > math.sqrt(0.5)
        flat = (skin.across if upright else skin.up) - 2.0 * skin.corner
        reach = abs(hole.offset) + across(hole) / 2.0
        if reach > flat / 2.0 + _SAME:
            over.setdefault((round(reach - flat / 2.0, 3), flat), []).append(hole)
    for (past, flat), holes in over.items():
        runs, it = "runs" if len(holes) == 1 else "run", _it(holes)
        yield found(f"{_these(holes)} {runs} ", mm(past), " into the corner of the face, flat for ", mm(flat),
                    f": make {it} smaller or move {it} to the middle")  # fmt: skip


@rule("drill-wide", Level.WARN)
def drill_wide(of: Tube) -> Iterator[Found]:
    """A hole wider than half the tube leaves little wall: the tube is as weak there as what is left."""
    section = of.part.section
    wide: dict[tuple[float, float], list[DrilledHole]] = {}
    for hole in of.part.drilled:
        upright = abs(float(hole.frame.x @ hole.skin.frame.z)) > math.sqrt(0.5)
        width = section.depth if upright else section.width
        if not hole.far and hole.sleeve is None and across(hole) > WIDEST * width + _SAME:
            wide.setdefault((round(across(hole), 3), width), []).append(hole)
    for (taken, width), holes in wide.items():
        yield found(mm(taken), " of the tube's ", mm(width), f" are taken by {_these(holes)}: keep to half, or weld a "
                    f"sleeve or a plate round {_it(holes)}")  # fmt: skip


@rule("drill-not-opposite", Level.WARN, source=FROM_JOB)
def drill_not_opposite(of: Tube) -> Iterator[Found]:
    """Holes given one by one in opposite walls are in line, or far enough apart to be no pair."""
    pairs: list[tuple[DrilledHole, DrilledHole, float]] = []
    for one, other in combinations(of.part.drilled, 2):
        if one.number == other.number or one.vent or other.vent or one.slit or other.slit:
            continue
        if float(one.frame.x @ other.frame.x) > -0.99 or abs(one.width - other.width) > _SAME:
            continue
        off = other.frame.origin - one.frame.origin
        apart = float(np.linalg.norm(off - (off @ one.frame.x) * one.frame.x))
        if _SAME < apart < one.width:
            pairs.append((one, other, apart))
    if pairs:
        each = [sentence(f"{one.name} and {other.name} by ", mm(apart)) for one, other, apart in pairs]
        yield found(
            "holes in opposite walls out of line, so no bolt passes: ", named(each, "; "), _through_both(of, pairs)
        )


def _through_both(of: Tube, pairs: Sequence[tuple[DrilledHole, DrilledHole, float]]) -> Sentence:
    """The line that drills the first of each pair through both walls and has the other no more."""
    given, kept = of.job.written.listed(of.mark, "holes"), {one.number for one, _, _ in pairs}
    numbers, dropped = range(1, len(given) + 1), {other.number for _, other, _ in pairs} - kept
    if any("row" in each for each in given) or not {*kept, *dropped} <= set(numbers):
        return sentence(": give one of each two `both_walls = true` and leave the other out")
    holes = [
        written_value({**each, "both_walls": True} if number in kept else each)
        for number, each in zip(numbers, given, strict=True)
        if number not in dropped
    ]
    line = of.job.written.lines([Wanted(of.mark, "", {"holes": sentence(f"[{', '.join(holes)}]")})])
    return sentence(": ", line, ", which drills the first of each two through both walls and leaves the other out")


@rule("drill-skids", Level.WARN)
def drill_skids(of: Tube) -> Iterator[Found]:
    """A drill that meets a round tube far from square runs off."""
    leaning: dict[float, list[DrilledHole]] = {}
    for hole in of.part.drilled:
        if not hole.skin.is_round or hole.far:
            continue
        lean = math.asin(min(1.0, abs(hole.offset) / hole.skin.corner))
        if lean > STEEPEST:
            leaning.setdefault(round(lean, 4), []).append(hole)
    for lean, holes in leaning.items():
        yield found(degrees(lean), f" from square to the skin: the drill for {_these(holes)} runs off; clamp a block "
                    f"on and drill through it, or mill {_it(holes)}")  # fmt: skip


@rule("crushed-by-bolt", Level.NOTE)
def crushed_by_bolt(job: Checked) -> Iterator[Found]:
    """A bolt through both walls of a tube pulls them in when it is tightened."""
    marks = [
        piece.mark
        for piece in job.pieces
        if (part := piece.length_part) is not None
        and any(hole.bolt and hole.both_walls and hole.sleeve is None for hole in part.drilled)
    ]
    if marks:
        yield found(
            "a bolt through both walls pulls them in as it is tightened: give the hole a crush sleeve, `sleeve = …`, "
            "or tighten it by hand with a lock nut", about=marks,
        )  # fmt: skip


RULES = (
    drill_off_end,
    drill_to_end,
    drill_near_bend,
    drill_under_joint,
    drill_apart,
    drill_crosses,
    drill_over_edge,
    drill_wide,
    drill_not_opposite,
    drill_skids,
)


# -- helpers ----------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _Pair:
    """Two holes with too little metal between them, and what is needed, mm."""

    one: DrilledHole
    other: DrilledHole
    between: float
    least: float


def _in_rows(pairs: Sequence[_Pair]) -> list[list[_Pair]]:
    """The pairs that share a hole together: a row of holes too close is one fault."""
    first: dict[int, int] = {}
    shared = ((first.setdefault(id(hole), k), k) for k, each in enumerate(pairs) for hole in (each.one, each.other))
    return [[pairs[k] for k in row] for row in joined_groups(len(pairs), shared)]


def _holds(row: Sequence[_Pair], pair: _Pair) -> bool:
    """Whether both holes of a pair are in a row already."""
    return {id(pair.one), id(pair.other)} <= {id(hole) for hole in _of_pairs(row)}


def _of_pairs(pairs: Sequence[_Pair]) -> list[DrilledHole]:
    holes = {id(hole): hole for pair in pairs for hole in (pair.one, pair.other)}
    return sorted(holes.values(), key=lambda hole: (hole.number, hole.far))


def _these(holes: Sequence[DrilledHole]) -> str:
    """'hole 1', 'hole 1, hole 2 and hole 5'; many that follow one another 'holes 1 to 12'."""
    names = list(dict.fromkeys(hole.name for hole in holes))
    numbers = [hole.number for hole in holes]
    alike = len({(hole.word, hole.far) for hole in holes}) == 1
    if alike and len(names) > _MOST and numbers == list(range(numbers[0], numbers[0] + len(numbers))):
        return f"{holes[0].word}s {numbers[0]} to {numbers[-1]}"
    return _named(names)[0]


def _it(holes: Sequence[DrilledHole]) -> str:
    return "it" if len(holes) == 1 else "them"


def across(hole: DrilledHole) -> float:
    """How wide a hole is across the tube, mm."""
    return hole.width + (hole.bore.width - hole.width) * abs(math.sin(hole.turn))


def _passes(hole: DrilledHole) -> float:
    """Diameter of what fills a hole from wall to wall, its sleeve or its bolt, mm."""
    return hole.sleeve.width if hole.sleeve is not None else clearance(hole.bolt).nominal


def _inside(hole: DrilledHole) -> str:
    return f"the sleeve of {hole.name}" if hole.sleeve is not None else f"the bolt of {hole.name}"


def _under(of: Tube, hole: DrilledHole, landing: Landing) -> Iterator[Found]:
    from shapely import Polygon

    branch = of.job.tubes.get(landing.branch)
    if branch is None:
        return
    end = next(end for end in branch.ends if end.at == landing.at)
    if float(hole.frame.x @ end.frame.x) <= 0.05:
        return  # in the other wall
    seen = Polygon(end.frame.inside(_in_job(hole))[:, 1:])
    outline = Polygon(section_profile(branch.section, end.top).skin)
    if not seen.intersects(outline.buffer(branch.section.wall)):
        return
    if not seen.intersects(outline):
        yield found(f"{hole.name} is under the weld of {landing.branch}, ", mm(float(seen.distance(outline))),
                    " from its wall: move it ", mm(branch.section.wall), " away at least",
                    level=Level.WARN)  # fmt: skip
    elif hole.bolt or branch.section.is_solid or not outline.buffer(-branch.section.wall).contains(seen):
        yield found(f"{hole.name} is under {landing.branch}, which sits there: move it")


@once
def _sheet_lids(job: Checked) -> list[Lid]:
    return list(sheet_lids(job.pieces))


def _under_sheet(of: Tube) -> Iterator[Found]:
    """One finding a part that lies over holes, and one a part whose weld does."""
    under: dict[str, list[str]] = {}
    beside: dict[str, tuple[list[str], float]] = {}
    for laid in _sheet_lids(of.job):
        mark = laid.mark
        wide = laid.thickness if any(of.mark in weld.parts for weld in laid.piece.welds) else 0.0
        for hole in of.part.drilled:
            off = distance_over(laid, hole)
            if off <= 0.0 and _is_out_of_line(of.job, mark, hole):
                continue  # this is said of the bolt
            if off <= 0.0:
                under.setdefault(mark, []).append(hole.name)
            elif off < wide - _SAME:
                beside.setdefault(mark, ([], wide))[0].append(hole.name)
    for mark, names in under.items():
        named, verb = _named(names)
        yield found(f"{named} {verb} under {mark}, which lies there: move {mark}, or cut the same hole in it")
    for mark, (holes, wide) in beside.items():
        named, verb = _named([name for name in holes if name not in under.get(mark, ())])
        if named:
            yield found(f"{named} {verb} under the weld of {mark}: move it ", mm(wide), " away at least",
                        level=Level.WARN)  # fmt: skip


def _is_out_of_line(job: Checked, mark: str, hole: DrilledHole) -> bool:
    """Whether a bolt is to go through a hole and a part that lies over it, and the part's own hole for it is not
    there."""
    return any(
        not line.in_line and mark in (seat.passage.mark for seat in line.seats)
        for stack in job.plan.bolts
        for line in stack.lines
        if any(way.hole is hole for seat in line.seats for way in seat.passage.ways)
    )


def _named(names: list[str]) -> tuple[str, str]:
    """'hole 1 and hole 2', with 'is' or 'are'."""
    each = list(dict.fromkeys(names))
    return " and ".join(filter(None, [", ".join(each[:-1]), *each[-1:]])), "is" if len(each) == 1 else "are"


def _in_job(hole: DrilledHole) -> Array:
    """The edge in the job's axes, (n, 3)."""
    return hole.skin.at(hole.edge.station, hole.edge.along)


def _polygon(station: Array, along: Array) -> Polygon:
    from shapely import Polygon

    return Polygon(np.column_stack((station, along)))


def _shape(hole: DrilledHole) -> Polygon:
    return _polygon(hole.edge.station, hole.edge.along)


def _gap(one: Any, other: Any, girth: float) -> float:
    """The least metal between two holes on the developed skin, mm; 0 where they meet."""
    from shapely.affinity import translate

    return min(float(one.distance(translate(other, turn * girth))) for turn in (-1, 0, 1))
