"""Checks on flat, folded and rolled sheet parts: what a cutting service or a press-brake hand would ask.

One rule a function.  Distances are taken on the flat, as cut.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from fabgen.checks.finding import Finding
from fabgen.geometry.folds import Flange, FoldTree
from fabgen.geometry.outline import Circle, Outline
from fabgen.geometry.regions import gap, gap_to_line, region
from fabgen.parts.piece import DRAIN, FlatPart, Hole, Piece
from fabgen.shop.bends import COMMON, die_width, least_flange
from fabgen.shop.stock import SHEETS_METRIC

BOLT_SOURCE = "EN 1993-1-8, Table 3.3"
SLACK = 0.02
"""Figures this little under a limit are let pass: arcs are flattened for the check, mm."""
SHARP = math.radians(20.0)
"""An inside corner that turns less than this counts as smooth."""


def check_flat(piece: Piece) -> list[Finding]:
    """All findings on a piece that is a flat part; none on any other."""
    flat = piece.flat_part
    if flat is None:
        return []
    return [finding for rule in RULES for finding in rule(piece, flat)]


# -- holes --------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Case:
    """A hole and the figure that is too small, mm."""

    hole: Hole
    value: float


def hole_size(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """A hole narrower than the sheet is thick: cut by heat it comes out rough and tapered."""
    cases = [Case(hole, _width(hole)) for hole in flat.holes]
    for worst, words in _grouped(cases, flat.thickness):
        text = (
            f"{words} narrower ({_mm(worst.value)}) than the sheet is thick ({_mm(flat.thickness)}): mark it and drill"
        )
        yield Finding("warn", piece.mark, "hole-size", text, COMMON)


def hole_to_edge(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """Less metal than the thickness between a hole and the edge burns away or tears."""
    cases = [Case(hole, gap(hole.shape, flat.outline)) for hole in flat.holes]
    for worst, words in _grouped(cases, flat.thickness):
        text = f"{words} {_mm(worst.value)} from the edge, less than the thickness of {_mm(flat.thickness)}"
        yield Finding("warn", piece.mark, "hole-to-edge", text, COMMON)


def hole_to_hole(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """Less metal than the thickness between two holes burns away or tears."""
    for worst, words in _grouped(_near_pairs(flat.holes, flat.thickness), flat.thickness):
        text = f"{words} {_mm(worst.value)} from the next hole, less than the thickness of {_mm(flat.thickness)}"
        yield Finding("warn", piece.mark, "hole-to-hole", text, COMMON)


def hole_to_bend(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """A hole nearer than twice the thickness to where a bend begins is drawn out of round."""
    least = 2.0 * flat.thickness
    for bend in flat.bends:
        half = bend.bend.allowance / 2.0
        cases = [Case(hole, gap_to_line(hole.shape, (bend.start, bend.end)) - half) for hole in flat.holes]
        for worst, words in _grouped(cases, least):
            text = (
                f"{words} {_mm(max(0.0, worst.value))} from where the bend {bend.name} begins, less than twice "
                f"the thickness ({_mm(least)}): it will be drawn out of round; drill it after folding"
            )
            yield Finding("warn", piece.mark, "hole-to-bend", text, COMMON)


def bolt_edge(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """Bolt centre to edge at least 1.2 times the hole's diameter (EN 1993-1-8, Table 3.3, e1 and e2)."""
    for hole, width in _bolt_holes(flat):
        least = 1.2 * width
        for worst, words in _grouped([Case(hole, gap(hole.shape, flat.outline) + width / 2.0)], least):
            text = f"{words} {_mm(worst.value)} from centre to edge; a bolted joint wants 1.2 d0 = {_mm(least)}"
            yield Finding("warn", piece.mark, "bolt-edge", text, BOLT_SOURCE)


def bolt_spacing(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """Bolt centres at least 2.2 times the hole's diameter apart (EN 1993-1-8, Table 3.3, p1)."""
    bolts = _bolt_holes(flat)
    for width in sorted({width for _, width in bolts}):
        near = _near_pairs([hole for hole, other in bolts if other == width], 1.2 * width)
        cases = [Case(case.hole, case.value + width) for case in near]
        for worst, words in _grouped(cases, 2.2 * width):
            text = f"{words} {_mm(worst.value)} from the next, centre to centre; a bolted joint wants 2.2 d0 = "
            yield Finding("warn", piece.mark, "bolt-spacing", text + _mm(2.2 * width), BOLT_SOURCE)


# -- bends --------------------------------------------------------------------
def flange_length(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """A flange that does not reach over the lower tool's edge slips into it."""
    if flat.tree is None:
        return
    told: set[str] = set()
    for tree, flange in _flanges(flat.tree):
        least = least_flange(flat.thickness, flange.bend.angle).value
        for name, reach in ((tree.face.name, _back(tree, flange)), (flange.tree.face.name, _reach(flange))):
            outside = reach + flange.bend.setback
            if outside < least - SLACK and name not in told:
                told.add(name)
                text = (
                    f'face "{name}" is {_mm(outside)} from its bend, outside; over the usual lower tool with '
                    f"{_mm(die_width(flat.thickness).value)} opening it needs {_mm(least)}"
                )
                yield Finding("warn", piece.mark, "flange-length", text, COMMON)


def bend_radius(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """An inside radius under the material's least may crack."""
    for radius in sorted({bend.bend.radius for bend in flat.bends}):
        if radius < flat.least_radius - 1e-9:
            text = (
                f"inside radius {_mm(radius)} is under the usual least of {_mm(flat.least_radius)} for "
                f"{piece.material} {_mm(flat.thickness)}: it may crack on the outside"
            )
            yield Finding("warn", piece.mark, "bend-radius", text, COMMON)


# -- the whole part -----------------------------------------------------------
def inside_corner(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """A sharp inside corner is where a crack begins."""
    if isinstance(flat.outline, Circle):
        return
    corners = list(_sharp_inside(flat.outline))
    if corners:
        x, y = corners[0]
        many = f"{len(corners)} sharp inside corners, the first" if len(corners) > 1 else "a sharp inside corner"
        text = f"{many} at ({_number(x)}, {_number(y)}) on the flat: a crack begins there under load; a radius helps"
        yield Finding("note", piece.mark, "inside-corner", text, COMMON)


def drain(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """A cap without a drain hole keeps the water that gets in."""
    is_cap = piece.kind == "cover" and flat.rolled is None
    if is_cap and not any(hole.label.startswith(DRAIN) for hole in flat.holes):
        text = "no drain hole: what it closes will hold water, from rain or condensation, and rust from inside"
        yield Finding("warn", piece.mark, "drain", text, COMMON)


def sheet_size(piece: Piece, flat: FlatPart) -> Iterator[Finding]:
    """A flat larger than the largest usual sheet."""
    x0, y0, x1, y1 = flat.outline.bounds
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    most_long, most_short = max(SHEETS_METRIC)
    if long > most_long or short > most_short:
        text = (
            f"the flat is {_mm(long)} x {_mm(short)}, larger than the largest usual sheet of "
            f"{_mm(most_long)} x {_mm(most_short)}: make it in two parts or ask the merchant"
        )
        yield Finding("warn", piece.mark, "sheet-size", text, COMMON)


RULES: tuple[Callable[[Piece, FlatPart], Iterator[Finding]], ...] = (
    hole_size,
    hole_to_edge,
    hole_to_hole,
    hole_to_bend,
    bolt_edge,
    bolt_spacing,
    flange_length,
    bend_radius,
    inside_corner,
    drain,
    sheet_size,
)


# -- measuring ----------------------------------------------------------------
def _width(hole: Hole) -> float:
    """The hole's least width, mm."""
    if isinstance(hole.shape, Circle):
        return hole.shape.diameter
    box = region(hole.shape).minimum_rotated_rectangle.exterior.coords
    return min(math.dist(box[0], box[1]), math.dist(box[1], box[2]))


def _bolt_holes(flat: FlatPart) -> list[tuple[Hole, float]]:
    return [(hole, _width(hole)) for hole in flat.holes if hole.bolt]


def _near_pairs(holes: Iterable[Hole], least: float) -> list[Case]:
    """One case for each pair of holes with less than `least` mm between them."""
    near = []
    for one, other in combinations(holes, 2):
        (a0, b0, a1, b1), (c0, d0, c1, d1) = one.shape.bounds, other.shape.bounds
        if max(c0 - a1, a0 - c1) < least and max(d0 - b1, b0 - d1) < least:
            near.append(Case(one, gap(one.shape, other.shape)))
    return near


def _grouped(cases: Iterable[Case], least: float) -> Iterator[tuple[Case, str]]:
    """Of like holes the worst one under `least`, and words that say which and how many."""
    groups: dict[str, list[Case]] = {}
    for case in cases:
        if case.value < least - SLACK:
            groups.setdefault(case.hole.label, []).append(case)
    for label, group in groups.items():
        worst = min(group, key=lambda case: case.value)
        x0, y0, x1, y1 = worst.hole.shape.bounds
        place = f"({_number((x0 + x1) / 2)}, {_number((y0 + y1) / 2)})"
        many = f", the worst of {len(group)}," if len(group) > 1 else ""
        yield worst, f"hole {label} at {place} on the flat{many} is"


def _flanges(tree: FoldTree) -> Iterator[tuple[FoldTree, Flange]]:
    for flange in tree.flanges:
        yield tree, flange
        yield from _flanges(flange.tree)


def _reach(flange: Flange) -> float:
    """How far the flange's face goes from its bend, mm."""
    return flange.tree.face.outline.bounds[3]


def _back(tree: FoldTree, flange: Flange) -> float:
    """How far the parent's face goes back from the bend, mm."""
    nx, ny = -math.sin(flange.turn), math.cos(flange.turn)
    return max((flange.x - v.x) * nx + (flange.y - v.y) * ny for v in tree.face.outline.vertices)


def _sharp_inside(outline: Outline) -> Iterator[tuple[float, float]]:
    edges = list(outline.counter_clockwise().edges())
    for before, after in zip([edges[-1], *edges[:-1]], edges, strict=True):
        if math.remainder(after.heading_in - before.heading_out, 2.0 * math.pi) < -SHARP:
            yield after.start


def _number(value: float) -> str:
    text = f"{value:.1f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _mm(value: float) -> str:
    return f"{_number(value)} mm"
