"""Checks on folding, each with its reason and source: what a press-brake hand would ask."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import Polygon

from fabgen.checks.finding import Finding
from fabgen.checks.sheet.flat_words import bend_words
from fabgen.checks.sheet.sheet_holes import SLACK
from fabgen.checks.sheet.workshop import Workshop
from fabgen.geometry.plane.regions import cut_region
from fabgen.geometry.sheet.collisions import collisions
from fabgen.geometry.sheet.folds import Flange, FoldTree
from fabgen.parts.piece import FlatBend, FlatPart, Piece
from fabgen.shop.bends import COMMON, die_width, least_flange
from fabgen.shop.sheet_cutting import BRAKE_LENGTH
from fabgen.wording.figures import mm
from fabgen.wording.levels import Level

HEM = 4.0
"""Least length of a hem over the thickness, over its fold (common practice, no source)."""
HEM_THICKEST = 3.0
"""Thickest soft steel that is usually hemmed shut, mm (common practice, no source)."""
SOFT = 0.9
"""A material whose least inside radius is under this many thicknesses takes a hem (common practice, no source)."""
MOST_FACES = 60
"""Parts of more faces than this are not looked through for faces that run into one another."""


def flange_length(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """A flange that does not reach over the lower tool's edge slips into it."""
    if flat.tree is None:
        return
    tool = die_width(flat.thickness).value if flat.die is None else flat.die
    whose = "the usual lower tool" if flat.die is None else "the lower tool"
    told: set[str] = set()
    for tree, flange in _flanges(flat.tree):
        if flange.bend.is_hem:
            continue
        least = least_flange(flat.thickness, flange.bend.angle, flat.die).value
        for name, reach in ((tree.face.name, _back(tree, flange)), (flange.tree.face.name, _reach(flange))):
            outside = reach + flange.bend.setback
            if outside < least - SLACK and name not in told:
                told.add(name)
                text = (
                    f'face "{name}" is {mm(outside)} from its bend, outside; over {whose} with '
                    f"{mm(tool)} opening it needs {mm(least)}"
                )
                yield Finding(Level.WARN, (piece.mark,), "flange-length", text, COMMON)


def bend_radius(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """An inside radius under the material's least may crack."""
    for radius in sorted({bend.bend.radius for bend in flat.bends if not bend.bend.is_hem}):
        if radius < flat.least_radius - 1e-9:
            text = (
                f"inside radius {mm(radius)} is under the usual least of {mm(flat.least_radius)} for "
                f"{piece.material} {mm(flat.thickness)}: it may crack on the outside"
            )
            yield Finding(Level.WARN, (piece.mark,), "bend-radius", text, COMMON)


def hem(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """A hem that is too short to be pressed shut, or in sheet that does not take it."""
    if flat.tree is None:
        return
    hems = [flange for _, flange in _flanges(flat.tree) if flange.bend.is_hem]
    lengths = [_reach(flange) + flange.bend.setback for flange in hems]
    least = HEM * flat.thickness
    if lengths and min(lengths) < least - SLACK:
        text = f"a hem of {mm(min(lengths))} over its fold is too short to be pressed shut: it needs {mm(least)}"
        yield Finding(Level.WARN, (piece.mark,), "hem", text, COMMON)
    hard = flat.least_radius > SOFT * flat.thickness or flat.thickness > HEM_THICKEST
    if any(flange.bend.radius < flat.least_radius for flange in hems) and hard:
        text = (
            f"{piece.material} {mm(flat.thickness)} folded right back may crack along the fold: hems are for soft "
            f"steel up to {mm(HEM_THICKEST)}"
        )
        yield Finding(Level.WARN, (piece.mark,), "hem", text, COMMON)


def relief(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """A bend that ends inside the sheet tears it, or bulges at a corner where it meets another."""
    if flat.tree is None:
        return
    metal = cut_region(flat.outline, (hole.shape for hole in flat.holes))
    # A sliver of metal beyond a tangent line, where an edge runs off at a slant, holds no bend.
    least = 0.0025 * flat.thickness**2
    torn = [i for i, bend in enumerate(flat.bends) if any(metal.intersection(b).area > least for b in _beside(bend))]
    if torn:
        end = "ends" if len(torn) == 1 else "end"
        text = (
            f"{', '.join(bend_words(flat, i) for i in torn)} {end} inside the sheet without a notch: the sheet tears "
            'or bulges there; relief = "round" cuts one where the shape takes that key, else saw one before folding'
        )
        yield Finding(Level.WARN, (piece.mark,), "relief", text, COMMON)


def _beside(bend: FlatBend) -> Iterator[Polygon]:
    """The strips just beyond either end of a bend zone, where a notch would be."""
    t, half = bend.bend.thickness, bend.bend.allowance / 2.0 + 0.05 * bend.bend.thickness
    (x0, y0), (x1, y1) = bend.start, bend.end
    length = math.dist(bend.start, bend.end)
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    for x, y, way in ((x0, y0, -1.0), (x1, y1, 1.0)):
        near, far = way * 0.1 * t, way * 0.2 * t
        yield Polygon(
            [
                (x + along * ux - across * uy, y + along * uy + across * ux)
                for along, across in ((near, -half), (far, -half), (far, half), (near, half))
            ]
        )


def collision(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """Faces that run through one another cannot be folded."""
    if flat.tree is None or sum(1 for _ in flat.tree.all_faces()) > MOST_FACES:
        return
    pairs = collisions(flat.tree, flat.thickness)
    if pairs:
        one, other = pairs[0]
        more = f", and {len(pairs) - 1} more pairs do" if len(pairs) > 1 else ""
        text = f'folded, face "{other}" runs into face "{one}"{more}: a smaller bend angle or shorter flanges'
        yield Finding(Level.STOP, (piece.mark,), "flange-collision", text, COMMON)


def bend_length(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """A bend longer than the press brake."""
    longest = max((math.dist(bend.start, bend.end) for bend in flat.bends), default=0.0)
    if longest > shop.brake_length + SLACK:
        usual = shop.brake_length == BRAKE_LENGTH
        whose = "most press brakes take (brake_length in [job] says otherwise)" if usual else "the brake takes"
        text = f"a bend of {mm(longest)} is longer than the {mm(shop.brake_length)} that {whose}"
        yield Finding(Level.WARN, (piece.mark,), "bend-length", text, COMMON if usual else "")


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
