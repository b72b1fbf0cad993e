"""Brackets, from their definition to the piece: the tree of faces, holes, flat pattern, made sizes.

The flat is drawn with u, the direction along the folds, to the right, seen from the side that
the first folds turn toward.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fabgen.geometry.plane.outline import Loop, OutlineError, Xy
from fabgen.geometry.sheet.fold_tree_building import fold_tree
from fabgen.geometry.sheet.folded import extent
from fabgen.geometry.sheet.folds import Bend, Face, FacePlace, FoldTree, flat_pattern, laid_faces
from fabgen.job.errors import Path, nearest
from fabgen.job.tables.bracket_tables import BASE_AND_FLANGES, Bracket
from fabgen.job.tables.bracket_tables import SHAPES as KEYS
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.bracket.base_and_flanges import base_and_flanges, box, flange_names
from fabgen.parts.bracket.bracket_request import BracketRequest, BracketShape
from fabgen.parts.bracket.ears_and_clevises import clevis, ear, tabbed
from fabgen.parts.bracket.parallel_folds import angle, channel, hat, zed
from fabgen.parts.bracket.saddles_and_gussets import gusset, saddle
from fabgen.parts.piece import Datum, Fact, FlatBend, Piece, fact
from fabgen.parts.sheet.bend_data import brake_facts
from fabgen.parts.sheet.development import Development
from fabgen.parts.sheet.face_axes import FaceAxes, folded_datums
from fabgen.parts.sheet.footprints import footprints
from fabgen.parts.sheet.holes import PlacedHole, check_apart, check_inside, given_holes
from fabgen.parts.sheet.opposite_hand import datums_of_hand
from fabgen.parts.sheet.placing import Placing
from fabgen.parts.sheet.sheet_piece import pieces_of, sheet_piece
from fabgen.shop.bending.bends import legs_to_tangent
from fabgen.wording.figures import figure
from fabgen.wording.sentence import degrees, mm, number, sentence

SHAPES: dict[str, Callable[[BracketRequest], BracketShape]] = {
    "angle": angle,
    "channel": channel,
    "zed": zed,
    "hat": hat,
    "box": box,
    "clevis": clevis,
    "ear": ear,
    "tabbed": tabbed,
    "saddle": saddle,
    "gusset": gusset,
    BASE_AND_FLANGES: base_and_flanges,
}
NEARLY_CLOSED = math.radians(150.0)
"""Beyond this bend angle the outside mould line is so far off the metal that sizes to it mean little."""
ROOM = "flanges, notches and corners that leave room for one another"


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[bracket]].

    Raises:
        JobError: the faults of all brackets.
    """
    return pieces_of((BracketRequest(bracket, job, ("bracket", i)) for i, bracket in enumerate(job.bracket)), _piece)


def _piece(request: BracketRequest) -> Piece:
    bracket = request.given
    try:
        shape = SHAPES[bracket.shape or BASE_AND_FLANGES](request)
    finally:
        given = _given_holes(request)
    request.need_no_faults()
    by_face = {name: [item for item in (*shape.holes, *given) if item.face == name] for name in shape.axes}
    try:
        tree = _with_holes(fold_tree(shape.leaf), shape.axes, by_face)
        pattern = flat_pattern(tree)
    except OutlineError as error:
        raise request.unfit(_key_of(error, bracket), error.said, ROOM) from error
    _check_holes(request, tree, shape.axes, by_face)
    request.need_no_faults()
    cut = [item.hole for face in tree.all_faces() for item in by_face.get(face.name, ())]
    bends = tuple(FlatBend(line.start, line.end, line.bend, line.up, line.name) for line in pattern.lines)
    places = {face.name: place for face, place in laid_faces(tree)}
    on_flat = {name: _OnFlat(axes, places[name]) for name, axes in shape.axes.items()}
    flat = Development(
        pattern.outline,
        tuple(replace(hole, shape=loop, face=face) for (face, loop), hole in zip(pattern.holes, cut, strict=True)),
        bends,
        lines=tuple(tuple(on_flat[face].point(at) for at in line) for face, line in shape.lines),
        tubes=tuple(
            footprint.carried(on_flat[tube.face or shape.leaf.name])
            for tube, footprint in footprints(request, pattern.outline)
        ),
        fold_marks=bracket.fold_marks,
        tree=tree if bends else None,
        sizes=(*shape.sizes, *_over_all(shape, tree, request.thickness)),
        facts=(*_bend_facts(request, bends), *shape.facts),
        concerns=shape.concerns,
        inside=not request.outside,
    )
    if not bracket.place:
        return sheet_piece(request, "bracket", flat)
    datums = folded_datums(tree, shape.axes) if bends else {tree.face.name: Datum.flat(pattern.outline)}
    placing = Placing(request, datums_of_hand(bracket, flat, datums), [*given, *shape.holes], feet=shape.feet)
    return sheet_piece(request, "bracket", flat, placing.stands())


def _key_of(error: OutlineError, bracket: Bracket) -> Path:
    """The key that a fault of the tree or the flat is about."""
    if not error.key:
        return ()
    return ("corner_chamfer" if bracket.corner_chamfer else "corner_radius" if bracket.corner_radius else "base",)


def _over_all(shape: BracketShape, tree: FoldTree, thickness: float) -> Iterator[tuple[str, float]]:
    for words, size in zip(shape.words, extent(tree, thickness), strict=True):
        if words:
            yield words, float(size)


@dataclass(frozen=True, slots=True)
class _OnFlat:
    """Carries points and loops from (u, v) of a face to the flat, in the root face's coordinates."""

    axes: FaceAxes
    place: FacePlace

    def point(self, at: Xy) -> Xy:
        return self.place.point(*self.axes.point(at))

    def loop(self, loop: Loop) -> Loop:
        return self.axes.loop(loop).turned(self.place.turn).moved(self.place.x, self.place.y)


# -- holes ----------------------------------------------------------------------
def _given_holes(request: BracketRequest) -> list[PlacedHole]:
    """The holes that the job gives, each on a face that there is."""
    bracket = request.given
    faces = list(KEYS[bracket.shape].faces) if bracket.shape else flange_names(bracket)
    if bracket.shape == "gusset" and bracket.lip is None:
        faces = faces[:1]
    named: list[tuple[Path, str | None]] = [(("holes", i), hole.face) for i, hole in enumerate(bracket.holes)]
    named += [(("tubes", i), tube.face) for i, tube in enumerate(bracket.tubes)]
    unknown = [(where, face) for where, face in named if face is not None and face not in faces]
    for where, face in unknown:
        accepted = ", ".join(f'"{each}"' for each in faces)
        request.fault((*where, "face"), f'there is no face "{face}"', accepted, nearest(face, faces))
    return [] if unknown else given_holes(request, faces)


def _with_holes(tree: FoldTree, axes: Mapping[str, FaceAxes], by_face: Mapping[str, Sequence[PlacedHole]]) -> FoldTree:
    """The tree with the holes, from (u, v), in the faces' own coordinates."""
    name = tree.face.name
    holes = tuple(axes[name].loop(item.hole.shape) for item in by_face.get(name, ()))
    flanges = tuple(replace(each, tree=_with_holes(each.tree, axes, by_face)) for each in tree.flanges)
    return FoldTree(Face(name, tree.face.outline, holes), flanges)


def _check_holes(
    request: BracketRequest,
    tree: FoldTree,
    axes: Mapping[str, FaceAxes],
    by_face: Mapping[str, Sequence[PlacedHole]],
) -> None:
    for face in tree.all_faces():
        items = by_face.get(face.name, ())
        if not items:
            continue
        pairs = list(zip(items, face.holes, strict=True))
        x0, y0, x1, y1 = face.outline.bounds
        a, b = (axes[face.name].back(corner) for corner in ((x0, y0), (x1, y1)))
        spans = [
            f"{name} from {figure(min(p, q), 2)} to {figure(max(p, q), 2)}"
            for name, p, q in zip("uv", a, b, strict=True)
        ]
        accepted = f"inside the flat part of the face: {spans[0]}, {spans[1]}"
        if check_inside(pairs, face.outline, f'leaves face "{face.name}"', accepted, request.problems):
            check_apart(pairs, request.problems)


# -- words ----------------------------------------------------------------------
def _bend_facts(request: BracketRequest, bends: Sequence[FlatBend]) -> list[Fact]:
    """Each kind of bend once, with its K and what it takes up; then tool, force and spring back."""
    facts: list[Fact] = []
    for bend, count in Counter(each.bend for each in bends).items():
        allowance, deduction = mm(bend.allowance, 2).named("allowance"), mm(bend.deduction, 2).named("deduction")
        k = sentence(", K ", number(bend.k, 3).named("K"), " from ", request.factors[bend].source)
        takes = sentence(k, "; allowance ", allowance, ", deduction ", deduction, " each")
        times = number(count, 0).named("count")
        if bend.is_hem:
            open_by = mm(2.0 * bend.radius, 2).named("inside")
            room = sentence("open, ", open_by, " inside") if bend.radius else "closed"
            facts.append(fact("hem", "hem", times, " x, ", room, takes))
            continue
        angle, radius = degrees(bend.angle, 2).named("angle"), mm(bend.radius, 2).named("inside radius")
        said = fact("bends", "bends", times, " x ", angle, ", inside radius ", radius, takes)
        facts.append(replace(said, brief=sentence("K from ", request.factors[bend].source)))
        facts += _beyond_the_metal(bend)
    return [*facts, *brake_facts(request, bends)]


def _beyond_the_metal(bend: Bend) -> Iterator[Fact]:
    beyond = legs_to_tangent(bend.thickness, bend.radius, bend.angle)
    if beyond > 0.005:
        words = " beyond the metal: over its bend a leg measures that much less"
        if bend.angle > NEARLY_CLOSED:
            words += "; the bend is nearly closed, so go by the leg over its bend"
        meet = "outside sizes run to where the outer surfaces would meet, "
        yield fact("beyond-metal", "sizes over 90°", meet, mm(beyond, 2), words)
