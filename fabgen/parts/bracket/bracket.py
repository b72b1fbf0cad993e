"""Brackets, from their definition to the piece: the tree of faces, holes, flat pattern, made sizes, marks.

The flat is drawn with u, the direction along the folds, to the right, seen from the side that
the first folds turn toward.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fabgen.geometry.plane.outline import Loop, OutlineError, Xy
from fabgen.geometry.sheet.fold_tree_building import fold_tree
from fabgen.geometry.sheet.folded import extent
from fabgen.geometry.sheet.folds import Bend, Face, Flange, FlatPattern, FoldTree, Place, flat_pattern, laid_faces
from fabgen.job.errors import Path, Problem, nearest
from fabgen.job.tables.bracket_tables import BASE_AND_FLANGES
from fabgen.job.tables.bracket_tables import SHAPES as KEYS
from fabgen.job.tables.definitions import Bracket, Definitions
from fabgen.parts.bracket.base_and_flanges import flange_names
from fabgen.parts.bracket.bracket_definition import Asked, Shape
from fabgen.parts.bracket.bracket_shapes import SHAPES
from fabgen.parts.piece import FlatBend, FlatPart, Hole, Mark, Piece
from fabgen.parts.sheet import features
from fabgen.parts.sheet.bend_data import brake_facts
from fabgen.parts.sheet.etching import Metal, fold_marks, footprints, tube_marks
from fabgen.parts.sheet.face_axes import Datum, FaceAxes, folded_datums
from fabgen.parts.sheet.features import PlacedHole, Unfit, figure
from fabgen.parts.sheet.placing import Placing
from fabgen.parts.sheet.sheet_piece import all_made, mark_text, material_of, sheet_piece
from fabgen.shop.bends import least_radius, legs_to_tangent

NEARLY_CLOSED = math.radians(150.0)
"""Beyond this bend angle the outside mould line is so far off the metal that sizes to it mean little."""
ROOM = "flanges, notches and corners that leave room for one another"


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[bracket]]; raises one JobError with the problems of all."""
    return all_made("bracket", job.bracket, lambda bracket, path, problems: _piece(bracket, job, path, problems))


def _piece(bracket: Bracket, job: Definitions, path: Path, problems: list[Problem]) -> Piece:
    own: list[Problem] = []
    try:
        return _made(Asked(bracket, job, material_of(bracket, job), path, own))
    finally:
        problems += own


def _made(asked: Asked) -> Piece:
    bracket, path = asked.bracket, asked.path
    late: list[Problem] = []
    given = _given_holes(asked, late)
    try:
        shape = SHAPES[bracket.shape or BASE_AND_FLANGES](asked)
    finally:
        asked.problems.extend(late)
    asked.need_legs()
    by_face = {name: [item for item in (*shape.holes, *given) if item.face == name] for name in shape.axes}
    try:
        tree = _with_holes(fold_tree(shape.leaf), shape, by_face)
        pattern = flat_pattern(tree)
    except OutlineError as error:
        asked.problems.append(Problem(_place_of(error, bracket, path), str(error), ROOM))
        raise Unfit from error
    _check_holes(shape, tree, by_face, asked)
    asked.need_legs()
    flat, no_room = _flat(shape, tree, pattern, by_face, asked)
    if bracket.place:
        datums = (
            folded_datums(tree, shape.axes) if flat.tree else {tree.face.name: Datum.flat(pattern.outline.bounds[:2])}
        )
        numbered = [*given, *shape.holes]
        placing = Placing(bracket, asked.thickness, datums, numbered, path, asked.problems)
        flat = replace(flat, places=placing.standings())
    facts = [*_bend_facts(asked, flat), *shape.facts]
    return sheet_piece(bracket, "bracket", asked.material, flat, path, facts, no_room)


def _place_of(error: OutlineError, bracket: Bracket, path: Path) -> Path:
    if error.key:
        return (
            *path,
            "corner_chamfer" if bracket.corner_chamfer else "corner_radius" if bracket.corner_radius else "base",
        )
    return path


# -- holes ----------------------------------------------------------------------
def _given_holes(asked: Asked, problems: list[Problem]) -> list[PlacedHole]:
    """The holes that the job gives, each on a face that there is."""
    bracket = asked.bracket
    faces = list(KEYS[bracket.shape].faces) if bracket.shape else flange_names(bracket)
    if bracket.shape == "gusset" and bracket.lip is None:
        faces = faces[:1]
    named: list[tuple[Path, str | None]] = [(("holes", i), hole.face) for i, hole in enumerate(bracket.holes)]
    named += [(("tubes", i), tube.face) for i, tube in enumerate(bracket.tubes)]
    for where, face in named:
        if face is not None and face not in faces:
            accepted = ", ".join(f'"{each}"' for each in faces)
            what = f'there is no face "{face}"'
            problems.append(Problem((*asked.path, *where, "face"), what, accepted, nearest(face, faces)))
    if problems:
        return []
    holes = bracket.holes
    if len(faces) == 1:
        holes = [hole if hole.face else hole.model_copy(update={"face": faces[0]}) for hole in holes]
    return features.holes_from(holes, (*asked.path, "holes"), asked.job.job.hole_fit, problems, faces)


def _with_holes(tree: FoldTree, shape: Shape, by_face: Mapping[str, Sequence[PlacedHole]]) -> FoldTree:
    """The tree with the holes, from (u, v), in the faces' own coordinates."""
    name = tree.face.name
    holes = tuple(shape.axes[name].shape(item.hole.shape) for item in by_face.get(name, ()))
    flanges = tuple(
        Flange(each.bend, each.x, each.y, each.turn, each.up, _with_holes(each.tree, shape, by_face))
        for each in tree.flanges
    )
    return FoldTree(Face(name, tree.face.outline, holes), flanges)


def _check_holes(shape: Shape, tree: FoldTree, by_face: Mapping[str, Sequence[PlacedHole]], asked: Asked) -> None:
    for face in tree.all_faces():
        items = by_face.get(face.name, ())
        if not items:
            continue
        pairs = list(zip(items, face.holes, strict=True))
        x0, y0, x1, y1 = face.outline.bounds
        a, b = (shape.axes[face.name].back(corner) for corner in ((x0, y0), (x1, y1)))
        spans = [
            f"{name} from {figure(min(p, q))} to {figure(max(p, q))}" for name, p, q in zip("uv", a, b, strict=True)
        ]
        accepted = f"inside the flat part of the face: {spans[0]}, {spans[1]}"
        if features.check_inside(pairs, face.outline, f'leaves face "{face.name}"', accepted, asked.problems):
            features.check_apart(pairs, asked.problems)


# -- the flat -------------------------------------------------------------------
def _flat(
    shape: Shape,
    tree: FoldTree,
    laid: FlatPattern,
    by_face: Mapping[str, Sequence[PlacedHole]],
    asked: Asked,
) -> tuple[FlatPart, list[tuple[str, str]]]:
    """The flat with its lower left corner at the origin, and what there is to say about its mark."""
    bracket, pattern, corner = asked.bracket, laid.to_origin(), laid.outline.bounds[:2]
    given = [item.hole for face in tree.all_faces() for item in by_face.get(face.name, ())]
    holes = tuple(
        Hole(loop, hole.label, hole.bolt, face) for (face, loop), hole in zip(pattern.holes, given, strict=True)
    )
    bends = tuple(FlatBend(line.start, line.end, line.bend, line.up, line.name) for line in pattern.lines)
    metal = Metal(pattern.outline, holes, bends)
    lines = tuple(_etched_lines(shape, tree, corner, metal, asked))
    number, no_room = features.etched(mark_text(bracket), pattern.outline, holes, bends, lines, bracket.mark_at)
    marks = (*number, *lines)
    if bracket.fold_marks:
        marks = (*marks, *fold_marks(metal, marks))
    least = least_radius(asked.material, asked.thickness).value if bends else 0.0
    sizes = (*shape.sizes, *_over_all(shape, tree, asked.thickness))
    kept = tree if bends else None
    flat = FlatPart(
        asked.thickness, pattern.outline, holes, bends, marks, kept, sizes=sizes, least_radius=least, die=asked.die
    )
    return flat, no_room


def _over_all(shape: Shape, tree: FoldTree, thickness: float) -> Iterator[tuple[str, float]]:
    for words, size in zip(shape.words, extent(tree, thickness), strict=True):
        if words:
            yield words, float(size)


@dataclass(frozen=True, slots=True)
class _OnFlat:
    """From (u, v) of a face to the flat, whose lower left corner is the root's `corner`."""

    face_axes: FaceAxes
    place: Place
    corner: Xy

    def point(self, at: Xy) -> Xy:
        x, y = self.place.point(*self.face_axes.point(at))
        return x - self.corner[0], y - self.corner[1]

    def loop(self, loop: Loop) -> Loop:
        turned = self.face_axes.shape(loop).turned(self.place.turn)
        return turned.moved(self.place.x - self.corner[0], self.place.y - self.corner[1])


def _etched_lines(shape: Shape, tree: FoldTree, corner: Xy, metal: Metal, asked: Asked) -> Iterator[Mark]:
    """Where tubes sit, face by face: what the shape itself shows, and the tubes that the job names."""
    places = {face.name: place for face, place in laid_faces(tree)}
    flats = {name: _OnFlat(face_axes, places[name], corner) for name, face_axes in shape.axes.items()}
    for face, line in shape.lines:
        yield from metal.clipped([flats[face].point(at) for at in line])
    for tube, foot in footprints(asked.bracket.tubes, metal.outline, asked.job, asked.path, asked.problems):
        flat = flats[tube.face or shape.leaf.name]
        yield from tube_marks(metal, [foot.carried(flat.loop, flat.point)])


# -- words ----------------------------------------------------------------------
def _bend_facts(asked: Asked, flat: FlatPart) -> list[tuple[str, str]]:
    """Each kind of bend once, with its K and what it takes up; then tool, force and spring back."""
    facts = []
    for bend, count in Counter(each.bend for each in flat.bends).items():
        source = asked.factors[bend].source
        takes = f"allowance {figure(bend.allowance)} mm, deduction {figure(bend.deduction)} mm each"
        if bend.is_hem:
            room = f"open, {figure(2.0 * bend.radius)} mm inside" if bend.radius else "closed"
            facts.append(("hem", f"{count} x, {room}, K {figure(bend.k, 3)} from {source}; {takes}"))
            continue
        turn = figure(math.degrees(bend.angle))
        words = (
            f"{count} x {turn}°, inside radius {figure(bend.radius)} mm, K {figure(bend.k, 3)} from {source}; {takes}"
        )
        facts.append(("bends", words))
        facts += _beyond_the_metal(bend)
    lengths = [(each.bend, math.dist(each.start, each.end)) for each in flat.bends if not each.bend.is_hem]
    return [*facts, *brake_facts(asked.material, lengths, asked.die)]


def _beyond_the_metal(bend: Bend) -> Iterator[tuple[str, str]]:
    beyond = legs_to_tangent(bend.thickness, bend.radius, bend.angle)
    if beyond > 0.005:
        text = (
            f"outside sizes run to where the outer surfaces would meet, {figure(beyond)} mm beyond the metal: "
            "over its bend a leg measures that much less"
        )
        if bend.angle > NEARLY_CLOSED:
            text += "; the bend is nearly closed, so go by the leg over its bend"
        yield "sizes over 90°", text
