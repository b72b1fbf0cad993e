"""Folded brackets, from their definition to the piece: bend data, holes, flat pattern, made sizes.

The flat is drawn with u, the direction along the folds, to the right, seen from the side that
the first folds turn toward.
"""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np

from fabgen.geometry.folded import extent, placed_faces
from fabgen.geometry.folds import Bend, FoldTree, flat_pattern
from fabgen.job.definitions import BRACKET_FACES, Bracket, Definitions
from fabgen.job.errors import Path, Problem
from fabgen.parts import features
from fabgen.parts.bracket_shapes import SHAPES, Shape, Sizes
from fabgen.parts.features import PlacedHole, Unfit, figure
from fabgen.parts.piece import FlatBend, FlatPart, Hole, Piece
from fabgen.parts.sheet_piece import all_made, mark_text, material_of, sheet_piece
from fabgen.shop.bends import KFactor, k_factor, least_radius, legs_to_tangent

NEARLY_CLOSED = math.radians(150.0)
"""Beyond this bend angle the outside mould line is so far off the metal that sizes to it mean little."""


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[bracket]]; raises one JobError with the problems of all."""
    return all_made("bracket", job.bracket, lambda bracket, path, problems: _piece(bracket, job, path, problems))


def _piece(bracket: Bracket, job: Definitions, path: Path, problems: list[Problem]) -> Piece:
    material = material_of(bracket, job)
    radius = bracket.thickness if bracket.radius is None else bracket.radius
    k = k_factor(material.group, bracket.thickness, radius, job.job.bend_rule, bracket.k)
    turn = math.pi / 2.0 if bracket.bend_angle is None else bracket.bend_angle
    bend = Bend(bracket.thickness, radius, turn, k.value)
    before = len(problems)
    sizes = Sizes(bracket, bend, path, problems)
    shape = SHAPES[bracket.shape](sizes)
    faces = BRACKET_FACES[bracket.shape]
    placed = features.holes_from(bracket.holes, (*path, "holes"), job.job.hole_fit, problems, faces)
    if len(problems) > before:
        raise Unfit
    by_face = {leg.name: [item for item in placed if item.face == leg.name] for leg in shape.legs}
    tree = shape.tree({name: [item.hole.shape for item in items] for name, items in by_face.items()})
    _check_holes(shape, tree, by_face, sizes)
    _check_room(shape, tree, sizes)
    if len(problems) > before:
        raise Unfit
    least = least_radius(material, bracket.thickness).value
    flat, no_room = _flat(shape, tree, by_face, bracket, least)
    return sheet_piece(bracket, "bracket", material, flat, path, _bend_facts(shape, bend, k), no_room)


def _check_holes(shape: Shape, tree: FoldTree, by_face: dict[str, list[PlacedHole]], s: Sizes) -> None:
    outlines = {face.name: face for face in tree.all_faces()}
    for leg in shape.legs:
        face, items = outlines[leg.name], by_face[leg.name]
        pairs = list(zip(items, face.holes, strict=True))
        low = s.bend.setback
        accepted = (
            f"inside the flat part of the face: u from 0 to {figure(s.bracket.length)}, "
            f"v from {figure(low)} to {figure(low + leg.straight)}"
        )
        leaves = f'leaves face "{leg.name}"'
        if features.check_inside(pairs, face.outline, leaves, accepted, s.problems):
            features.check_apart(pairs, s.problems)


def _check_room(shape: Shape, tree: FoldTree, s: Sizes) -> None:
    """A problem when two faces that do not meet in a bend run into one another once folded."""
    from shapely import Polygon

    straight = {leg.name: leg.straight for leg in shape.legs}
    sections: list[tuple[FoldTree, Polygon]] = []
    for placed in placed_faces(tree):
        length, thick = straight[placed.face.name], s.bend.thickness
        box = np.array([[0.0, 0.0, 0.0], [0.0, length, 0.0], [0.0, length, thick], [0.0, 0.0, thick]])
        sections.append((placed.tree, Polygon(placed.frame.outside(box)[:, 1:])))
    for (one, one_section), (other, other_section) in combinations(sections, 2):
        joined = any(flange.tree is other for flange in one.flanges)
        if not joined and one_section.intersection(other_section).area > 1e-9:
            what = f'folded, face "{other.face.name}" runs into face "{one.face.name}"'
            s.problems.append(Problem((*s.path, "bend_angle"), what, "a smaller bend angle or shorter flanges"))
            return


def _flat(
    shape: Shape, tree: FoldTree, by_face: dict[str, list[PlacedHole]], bracket: Bracket, least: float
) -> tuple[FlatPart, list[tuple[str, str]]]:
    """The flat with its lower left corner at the origin, and what there is to say about its mark."""
    pattern = flat_pattern(tree).to_origin()
    given = [item.hole for face in tree.all_faces() for item in by_face[face.name]]
    holes = tuple(Hole(loop, hole.label, hole.bolt) for (_, loop), hole in zip(pattern.holes, given, strict=True))
    bends = tuple(FlatBend(line.start, line.end, line.bend, line.up, line.name) for line in pattern.lines)
    marks, no_room = features.etched(mark_text(bracket), pattern.outline, holes, bends)
    sizes = tuple(_made_sizes(shape, tree, bracket))
    flat = FlatPart(bracket.thickness, pattern.outline, holes, bends, marks, tree, sizes=sizes, least_radius=least)
    return flat, no_room


def _made_sizes(shape: Shape, tree: FoldTree, bracket: Bracket) -> list[tuple[str, float]]:
    words = "leg " if bracket.shape == "angle" else ""
    sizes = [("length along the folds", bracket.length)]
    for leg in shape.legs:
        sizes += [(f"{words}{leg.name}, outside", leg.outside), (f"{words}{leg.name}, inside", leg.inside)]
    _, across, high = extent(tree, bracket.thickness)
    root = words + shape.legs[0].name
    return [*sizes, (f"over all, along the {root}", float(across)), (f"over all, square to the {root}", float(high))]


def _bend_facts(shape: Shape, bend: Bend, k: KFactor) -> list[tuple[str, str]]:
    count = len(shape.legs) - 1
    turn = figure(math.degrees(bend.angle))
    facts = [
        (
            "bends",
            f"{count} x {turn}°, inside radius {figure(bend.radius)} mm, K {figure(bend.k, 3)} from {k.source}; "
            f"allowance {figure(bend.allowance)} mm, deduction {figure(bend.deduction)} mm each",
        )
    ]
    beyond = legs_to_tangent(bend.thickness, bend.radius, bend.angle)
    if beyond > 0.005:
        text = (
            f"outside sizes run to where the outer surfaces would meet, {figure(beyond)} mm beyond the metal: "
            "over its bend a leg measures that much less"
        )
        if bend.angle > NEARLY_CLOSED:
            text += "; the bend is nearly closed, so go by the leg over its bend"
        facts.append(("sizes over 90°", text))
    return facts
