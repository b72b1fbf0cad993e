"""Checks of holes in sheet parts.  Distances are taken on the flat, as cut."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from fabgen.checks.rule import Found, found, rule
from fabgen.checks.sheet.flat_words import bend_words, one_of
from fabgen.checks.sheet.pressing import GENTLE, SLACK, Flat, tool_of
from fabgen.geometry.plane.outline import Circle, Xy
from fabgen.geometry.plane.regions import gap, gap_to_line, region
from fabgen.parts.piece import FlatBend, FlatPart, Hole
from fabgen.parts.shape.hole_groups import centre_of
from fabgen.shop.sheet_cutting import COMMON, CUTTING, CuttingProcess
from fabgen.shop.threaded.clearance_holes import clearance
from fabgen.shop.threaded.fasteners import hexagon_head, washer_diameter
from fabgen.wording.inches import INCH
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

DRAWN = "it will be drawn out of round; move it out, or drill it after folding (drilled = true)"
BOLT_SOURCE = "EN 1993-1-8, Table 3.3, from memory"
THIN_SHEET = "AISI S100-16, J3.2 (from memory, check)"
THICKEST_SHEET = 3.0 / 16.0 * INCH
"""Up to this AISI S100 speaks of sheet, mm (J3, from memory)."""
ALIKE = 0.05
"""Figures that differ by less are given as one, mm."""


@dataclass(frozen=True, slots=True)
class Case:
    """A hole and the figure that is too small, mm."""

    hole: Hole
    value: float


@rule("hole-size", Level.WARN, source=COMMON)
def hole_size(of: Flat) -> Iterator[Found]:
    """A hole is not too narrow for its sheet and the way it is cut."""
    flat, cutting = of.part, _cutting(of)
    least = cutting.hole_size(flat.thickness)
    for worst, words in _grouped(flat, [Case(hole, _width(hole)) for hole in flat.holes], least):
        small = sentence(words, " ", mm(worst.value), " wide, less than ", mm(least), f", the least by {cutting.name}")
        yield found(small, " in ", mm(flat.thickness), f" sheet: {cutting.why}; mark it and drill")


@rule("hole-to-edge", Level.WARN, source=COMMON)
def hole_to_edge(of: Flat) -> Iterator[Found]:
    """Too little metal between a hole and the edge burns away or tears."""
    flat, least = of.part, _cutting(of).web_width(of.part.thickness)
    for worst, words in _grouped(flat, [Case(hole, gap(hole.shape, flat.outline)) for hole in flat.holes], least):
        yield found(words, " ", mm(worst.value), " from the edge", _too_little(of))


@rule("hole-to-hole", Level.WARN, source=COMMON)
def hole_to_hole(of: Flat) -> Iterator[Found]:
    """Too little metal between two holes burns away or tears."""
    least = _cutting(of).web_width(of.part.thickness)
    for worst, words in _grouped(of.part, _near_pairs(of.part.holes, least), least):
        yield found(words, " ", mm(worst.value), " from the next hole", _too_little(of))


def _too_little(of: Flat) -> Sentence:
    cutting, thickness = _cutting(of), of.part.thickness
    least = mm(cutting.web_width(thickness))
    return sentence(", less than ", least, f", the least metal left by {cutting.name} in ", mm(thickness), " sheet")


@rule("hole-to-bend", Level.WARN, source=COMMON)
def hole_to_bend(of: Flat) -> Iterator[Found]:
    """A hole nearer than twice the thickness to where a bend begins, or over the lower tool's opening while the sheet
    is bent, is drawn out of round."""
    flat, least = of.part, 2.0 * of.part.thickness
    if not flat.bends:
        return
    cases = [Case(hole, min(_to_bend(hole, bend) for bend in flat.bends)) for hole in flat.holes]
    for worst, words in _grouped(flat, cases, least):
        alike = [case for case in cases if case.hole.label == worst.hole.label and case.value < least - SLACK]
        # Where one hole is the worst, its own bend; where all are as near, the bends of all.
        told = [case.hole for case in alike if case.value - worst.value < ALIKE]
        bends = sorted({_nearest_bend(flat, hole) for hole in (told if len(told) == len(alike) else [worst.hole])})
        where = f"{bend_words(flat, bends[0])} begins"
        if len(bends) > 1:
            where = f"bends {', '.join(str(i + 1) for i in bends[:-1])} and {bends[-1] + 1} begin"
        near = sentence(words, " ", mm(max(0.0, worst.value)), f" from where {where}")
        twice = sentence(", less than twice the thickness (", mm(least), ")")
        yield found(near, twice, f": {DRAWN}")
    kept = [case.hole for case in cases if case.value >= least - SLACK]
    yield from _over_the_tool(of, kept)


def _over_the_tool(of: Flat, holes: Sequence[Hole]) -> Iterator[Found]:
    """Holes whose edge lies within half the lower tool's opening of a bend line."""
    flat = of.part
    tools = [tool_of(of, bend.bend).opening / 2.0 for bend in flat.bends]
    bent = [i for i, bend in enumerate(flat.bends) if bend.bend.angle >= GENTLE and not bend.bend.is_hem]

    def over(hole: Hole, i: int) -> float:
        return gap_to_line(hole.shape, (flat.bends[i].start, flat.bends[i].end)) - tools[i]

    cases = [Case(hole, min(over(hole, i) for i in bent)) for hole in holes if bent]
    for worst, words in _grouped(flat, cases, 0.0):
        bend = min(bent, key=lambda i: over(worst.hole, i))
        near = sentence(words, " ", mm(worst.value + tools[bend]), f" from the middle of {bend_words(flat, bend)}")
        yield found(near, ", over the opening of the lower tool, half ", mm(2.0 * tools[bend]), f": {DRAWN}")


@rule("washer-on-bend", Level.WARN, source=COMMON)
def washer_on_bend(of: Flat) -> Iterator[Found]:
    """The washer, head or nut at a bolt's hole sits on flat metal, not on a bend's curve."""
    flat = of.part
    for hole, width in _bolt_holes(flat):
        washer = washer_diameter(hole.bolt)
        if washer is None or not flat.bends or hole.boxed:
            continue
        bend = min(range(len(flat.bends)), key=lambda i: _to_bend(hole, flat.bends[i]))
        room = _to_bend(hole, flat.bends[bend]) + width / 2.0
        short = washer.value / 2.0 - room
        if short < SLACK:
            continue
        where = sentence(
            one_of(flat, [hole], 0), " is ", mm(room), f" from centre to where {bend_words(flat, bend)} begins"
        )
        head = hexagon_head(hole.bolt)
        bare = head is not None and head.across_flats / math.sqrt(3.0) <= room + SLACK
        wide = sentence(": its washer, ", mm(washer.value), " wide, stands on the curve; ")
        other = ", or leave the washer out" if bare else ""
        flat_metal = _between_bends(flat, hole, bend)
        if flat_metal is not None and flat_metal < washer.value - SLACK:
            narrow = sentence("the ", mm(flat_metal), " of flat metal between the bends on both sides has no room ")
            remedy = sentence("for it: widen the face by ", mm(washer.value - flat_metal), " or take a smaller bolt")
            yield found(where, wide, narrow, remedy, other, source=washer.source)
        else:
            yield found(where, wide, "move it out ", mm(short), other, source=washer.source)


@rule("bolt-edge", Level.WARN, Level.NOTE, source=f"{BOLT_SOURCE}; {THIN_SHEET}")
def bolt_edge(of: Flat) -> Iterator[Found]:
    """Bolt centre to edge: 1.2 times the hole (EN 1993-1-8) and, in sheet up to 4.76 mm (3/16 in), 1.5 times the bolt
    (AISI S100) at least; an ear that takes load usually has twice the bolt (common practice)."""
    flat = of.part
    alike: dict[tuple[str, float], list[Case]] = {}
    for hole, width in _bolt_holes(flat):
        if hole.boxed:
            continue
        alike.setdefault((hole.bolt, width), []).append(Case(hole, gap(hole.shape, flat.outline) + width / 2.0))
    for (name, width), cases in alike.items():
        bolt = clearance(name).nominal
        in_sheet = 1.5 * bolt if flat.thickness <= THICKEST_SHEET + 1e-6 else 0.0
        steps = (
            (Level.WARN, 1.2 * width, "a bolted joint needs 1.2 d0", BOLT_SOURCE),
            (Level.WARN, in_sheet, "bolts in sheet need 1.5 d", THIN_SHEET),
            (Level.NOTE, 2.0 * bolt, "an ear that takes load needs 2 d", COMMON),
        )
        for level, least, wanted, source in steps:
            for worst, words in _grouped(flat, cases, least):
                near = sentence(words, " ", mm(worst.value), f" from centre to edge; {wanted} = ", mm(least))
                yield found(near, level=level, source=source)
            cases = [case for case in cases if case.value >= least - SLACK]


@rule("bolt-spacing", Level.WARN, source=BOLT_SOURCE)
def bolt_spacing(of: Flat) -> Iterator[Found]:
    """Bolt centres at least 2.2 times the hole's diameter apart (EN 1993-1-8, Table 3.3, p1)."""
    bolts = _bolt_holes(of.part)
    for width in sorted({width for _, width in bolts}):
        near = _near_pairs([hole for hole, other in bolts if other == width], 1.2 * width)
        cases = [Case(case.hole, case.value + width) for case in near]
        for worst, words in _grouped(of.part, cases, 2.2 * width):
            wanted = " from the next, centre to centre; a bolted joint needs 2.2 d0 = "
            yield found(words, " ", mm(worst.value), wanted, mm(2.2 * width))


# -- measuring ----------------------------------------------------------------
def _cutting(of: Flat) -> CuttingProcess:
    return CUTTING[of.part.process or of.job.shop.process]


def _width(hole: Hole) -> float:
    """The hole's least width, mm."""
    if isinstance(hole.shape, Circle):
        return hole.shape.diameter
    box = region(hole.shape).minimum_rotated_rectangle.exterior.coords
    return min(math.dist(box[0], box[1]), math.dist(box[1], box[2]))


def _to_bend(hole: Hole, bend: FlatBend) -> float:
    """From the hole to where the bend begins, mm."""
    return gap_to_line(hole.shape, (bend.start, bend.end)) - bend.bend.allowance / 2.0


def _nearest_bend(flat: FlatPart, hole: Hole) -> int:
    return min(range(len(flat.bends)), key=lambda i: _to_bend(hole, flat.bends[i]))


def _between_bends(flat: FlatPart, hole: Hole, bend: int) -> float | None:
    """The flat metal across a hole from where its nearest bend begins to where the one on its other side, parallel to
    that, begins, mm; None where there is none."""
    near = flat.bends[bend]
    along = _unit(near)
    centre = centre_of(hole.shape)
    side = _off(centre, near, along)
    across = []
    for other in flat.bends:
        turn, off = _unit(other), _off(centre, other, along)
        reach = sorted(_dot(end, along) for end in (other.start, other.end))
        parallel = abs(along[0] * turn[1] - along[1] * turn[0]) < 1e-6
        if parallel and off * side < 0.0 and reach[0] <= _dot(centre, along) <= reach[1]:
            across.append(abs(side) + abs(off) - (near.bend.allowance + other.bend.allowance) / 2.0)
    return min(across, default=None)


def _unit(bend: FlatBend) -> Xy:
    long = math.dist(bend.start, bend.end)
    return (bend.end[0] - bend.start[0]) / long, (bend.end[1] - bend.start[1]) / long


def _dot(one: Xy, other: Xy) -> float:
    return one[0] * other[0] + one[1] * other[1]


def _off(point: Xy, bend: FlatBend, along: Xy) -> float:
    """How far a point lies to the left of a bend's line that runs `along`, mm."""
    return along[0] * (point[1] - bend.start[1]) - along[1] * (point[0] - bend.start[0])


def _bolt_holes(flat: FlatPart) -> list[tuple[Hole, float]]:
    return [(hole, _width(hole)) for hole in flat.all_holes if hole.bolt]


def _near_pairs(holes: Iterable[Hole], least: float) -> list[Case]:
    """One case for each pair of holes with less than `least` mm between them."""
    near = []
    for one, other in combinations(holes, 2):
        (a0, b0, a1, b1), (c0, d0, c1, d1) = one.shape.bounds, other.shape.bounds
        if max(c0 - a1, a0 - c1) < least and max(d0 - b1, b0 - d1) < least:
            near.append(Case(one, gap(one.shape, other.shape)))
    return near


def _grouped(flat: FlatPart, cases: Iterable[Case], least: float) -> Iterator[tuple[Case, Sentence]]:
    """Of like holes the worst one under `least`, and words that say which and of how many."""
    groups: dict[str, list[Case]] = {}
    for case in cases:
        if case.value < least - SLACK:
            groups.setdefault(case.hole.label, []).append(case)
    for group in groups.values():
        worst = min(range(len(group)), key=lambda i: group[i].value)
        alike = max(case.value for case in group) - group[worst].value < ALIKE
        yield group[worst], sentence(one_of(flat, [case.hole for case in group], worst, alike), " is")


RULES = (hole_size, hole_to_edge, hole_to_hole, hole_to_bend, washer_on_bend, bolt_edge, bolt_spacing)
