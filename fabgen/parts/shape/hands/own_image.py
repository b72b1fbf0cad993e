"""Whether a sheet part is its own mirror image: the part and its image, both as built, laid on one another.

What is flat and unmarked is turned over for its image; what is folded is its own where its flat, turned in its plane or
turned over with every bend the other way, lies on that of the image.  What is etched besides the part's own number says
where things go, and is on one side only.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.plane.laid_on import NEAR, Laying, layings, matched, same_loop, same_loops
from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.sheet.folded import PlacedFace, placed_faces
from fabgen.geometry.sheet.folds import Face, FacePlace, flat_pattern, laid_faces
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.survey.rigid_fit import RigidMotion
from fabgen.parts.piece import FlatBend, FlatPart, LengthPart, Mark, Piece, ProfilePart, Rolled
from fabgen.parts.shape.hands.mirrored_flat import FlatMirror, mirrored_flat
from fabgen.parts.shape.sheet_body import faces_in_space, fold_tree_of, sheet_body

_STILL = RigidMotion(np.eye(3), np.zeros(3))
_POINTS = 41
"""So many along the middle line of a bar stand for it."""
_ABOUT_Z = np.diag([-1.0, -1.0, 1.0])
_UPSIDE_DOWN = np.diag([1.0, -1.0, -1.0])


def ways_to_image(piece: Piece, image: Piece) -> tuple[RigidMotion, ...] | None:
    """What brings a part from each of its places to that of its mirror image, where it is its own image.

    Args:
        piece: of sheet.
        image: its opposite hand, at as many places.
    Returns: one motion a place; None where the two are not one part.
    """
    part, other = piece.flat_part, image.flat_part
    if part is None or other is None or len(part.places) != len(other.places):
        return None
    onto = laid_onto(other, part)
    if onto is None:
        return None
    ways = []
    for here, there in zip(part.places, other.places, strict=True):
        # The part stands where its image does: from its place into itself, onto the image, and out to the image's.
        own, new = _motion(here.frame), _motion(there.frame)
        whole = _then(_then(_back(own), _back(onto)), new)
        ways.append(whole)
    return tuple(ways)


def turns_over(piece: Piece) -> bool:
    """Whether a part is flat and alike on both sides, so that it can be turned over."""
    part = piece.flat_part
    if part is None or part.bends or part.marked:
        return False
    return part.rolled is None and part.band is None and not part.surface


def stands_by_points(
    piece: Piece, image: Piece, ways: Sequence[RigidMotion] | None
) -> list[dict[str, list[str] | list[float]]]:
    """Where a part's mirror image stands, as `place` of the job gives it by a point and directions.

    Args:
        piece: the part, of sheet.
        image: its opposite hand, at as many places.
        ways: of one that is its own image, what brings it to that from each of its places.
    """
    placed = image if ways is None else piece
    part = placed.flat_part
    if part is None or not part.datums:
        return []
    datum = next(iter(part.datums.values()))
    found: list[dict[str, list[str] | list[float]]] = []
    for number, place in enumerate(part.places):
        stands = _motion(place.frame)
        stands = stands if ways is None else _then(stands, ways[number])
        at = stands.moved(datum.origin)
        along, up = stands.rotation @ datum.u, stands.rotation @ datum.front
        lengths = [f"{round(float(each), 9) + 0.0!r} mm" for each in at]
        found.append({"at": lengths, "along": _figures(along), "up": _figures(up)})
    return found


def _figures(way: Array) -> list[float]:
    return [round(float(each), 12) + 0.0 for each in way]


def is_alike_end_for_end(piece: Piece) -> bool:
    """Whether a strap may stand either way round on its tube."""
    part = piece.flat_part
    return part is not None and any(abs(abs(laying.turn) - math.pi) < 1e-6 for laying in _lain(part, part))


def is_handed(part: FlatPart) -> bool:
    """Whether a sheet part differs from its mirror image, as built."""
    return laid_onto(mirrored_flat(part), part) is None


def is_on_itself(part: FlatPart | LengthPart | ProfilePart | None, motion: RigidMotion) -> bool:
    """Whether a part of sheet or a bent bar, at all of its places together, lies where it lies now once it is moved;
    its holes may be elsewhere.

    Args:
        part: as built; None of what is not known.
        motion: may be a reflection.
    """
    if isinstance(part, LengthPart):
        middles = _middle_line(part)
        return bool(len(middles)) and _same_points(motion.moved(middles), middles)
    if not isinstance(part, FlatPart) or not part.places:
        return False
    faces = list(faces_in_space(part))
    if not faces:
        corners = sheet_body(replace(part, holes=(), drilled=())).vertices
        standing = np.vstack([place.frame.outside(corners) for place in part.places])
        return _same_points(motion.moved(standing), standing)
    thickness = part.thickness

    def lies_on(one: tuple[Frame, Face], other: tuple[Frame, Face]) -> bool:
        (here, face), (there, goal) = one, other
        way = _then(_then(_motion(here), motion), _back(_motion(there)))
        skins = way.moved(np.array([[0.0, 0.0, 0.0], [0.0, 0.0, thickness]]))[:, 2]
        if abs(float(skins.min())) > NEAR or abs(float(skins.max()) - thickness) > NEAR:
            return False
        across = way.rotation[:2, :2]
        over = float(np.linalg.det(across)) < 0.0
        turned = across @ np.diag([-1.0, 1.0]) if over else across
        laying = Laying(math.atan2(float(turned[1, 0]), float(turned[0, 0])), float(way.shift[0]), float(way.shift[1]))
        return same_loop(laying.loop(face.outline.flipped() if over else face.outline), goal.outline)

    return matched(faces, faces, lies_on)


def _middle_line(part: LengthPart) -> Array:
    """Points along the middle line of a bent bar at each of its places, as many from either end, (n, 3) mm."""
    if part.path is None or part.frame is None:
        return np.empty((0, 3))
    own = np.array([part.path.frame_at(float(at)).origin for at in np.linspace(0.0, part.path.length, _POINTS)])
    return np.vstack([own, *(frame.outside(part.frame.inside(own)) for frame in part.also)])


def is_made_alike(one: FlatPart, other: FlatPart) -> bool:
    """Whether two parts are one as they are built, none of them turned, what is etched on them included.

    Args:
        one: as built.
        other: as built.
    """
    if (one.tree is None) != (other.tree is None) or (one.band is None) != (other.band is None):
        return False
    holes, others = ([hole.shape for hole in part.all_holes] for part in (one, other))
    return (
        same_loop(one.outline, other.outline)
        and same_loops(holes, others)
        and matched(one.bends, other.bends, _same_bend)
        and matched(one.marked, other.marked, lambda a, b: _same_text(a, b) if a.text else _same_mark(a, b))
        and _is_rolled_alike(one.rolled, other.rolled)
        and len(one.surface) == len(other.surface)
        and (not one.surface or _same_points(_corners(one), _corners(other)))
    )


def _same_text(one: Mark, other: Mark) -> bool:
    return one.text == other.text and one.height == other.height and math.dist(one.at, other.at) < NEAR


def _is_rolled_alike(one: Rolled | None, other: Rolled | None) -> bool:
    if one is None or other is None:
        return one is other
    sizes = ((each.bottom, each.top, each.height) for each in (one, other))
    return math.dist(*sizes) < NEAR and abs(one.arc - other.arc) < 1e-4


def laid_onto(image: FlatPart, part: FlatPart) -> RigidMotion | None:
    """What brings the made shape of one part onto that of another, where the two are alike; else None.

    Args:
        image: the part that is laid.
        part: what it is laid on; both as built, each in the frame of its own body.
    """
    if image.tree is None and (part.rolled or part.band or part.surface):
        return _rolled(image, part)
    for laying in _lain(image, part):
        return _in_space(image, part, laying, over=False)
    if part.marked:
        return None
    turned = _turned_over(image)
    for laying in _lain(turned, part):
        return _in_space(image, part, laying, over=True)
    return None


# -- flats --------------------------------------------------------------------------------
def _lain(one: FlatPart, other: FlatPart) -> Iterator[Laying]:
    holes, others = ([hole.shape for hole in part.all_holes] for part in (one, other))
    if len(holes) != len(others) or len(one.bends) != len(other.bends) or len(one.marked) != len(other.marked):
        return
    for laying in layings(one.outline, other.outline, holes, others):
        if (
            same_loops([laying.loop(hole) for hole in holes], others)
            and matched([_laid_bend(bend, laying) for bend in one.bends], other.bends, _same_bend)
            and matched([_laid_mark(mark, laying) for mark in one.marked], other.marked, _same_mark)
        ):
            yield laying


def _turned_over(part: FlatPart) -> FlatPart:
    """Seen from its other side: what lay left lies right, and what folded up folds down."""
    over = FlatMirror().point
    bends = tuple(replace(b, start=over(b.start), end=over(b.end), up=not b.up) for b in part.bends)
    holes = tuple(replace(hole, shape=hole.shape.flipped()) for hole in part.holes)
    drilled = tuple(replace(hole, shape=hole.shape.flipped()) for hole in part.drilled)
    return replace(part, outline=part.outline.flipped(), holes=holes, drilled=drilled, bends=bends, marked=())


def _laid_bend(bend: FlatBend, laying: Laying) -> FlatBend:
    return replace(bend, start=laying.point(bend.start), end=laying.point(bend.end))


def _laid_mark(mark: Mark, laying: Laying) -> Mark:
    curve = None if mark.curve is None else laying.loop(mark.curve)
    return replace(mark, at=laying.point(mark.at), line=tuple(map(laying.point, mark.line)), curve=curve)


def _same_bend(one: FlatBend, other: FlatBend) -> bool:
    a, b = one.bend, other.bend
    alike = abs(a.angle - b.angle) < 1e-4 and abs(a.radius - b.radius) < NEAR
    return one.up == other.up and alike and _same_line((one.start, one.end), (other.start, other.end))


def _same_mark(one: Mark, other: Mark) -> bool:
    if one.text or other.text:
        return False  # letters are never alike when they are turned
    if one.curve is not None or other.curve is not None:
        return one.curve is not None and other.curve is not None and same_loop(one.curve, other.curve)
    return _same_line(one.line, other.line)


def _same_line(one: Sequence[Xy], other: Sequence[Xy]) -> bool:
    return len(one) == len(other) and any(
        all(math.dist(a, b) < NEAR for a, b in zip(one, each, strict=True)) for each in (other, other[::-1])
    )


# -- in space -------------------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _OnFlat:
    """A face of a part: where it lies on the flat, and where in the made part."""

    outline: Loop
    place: FacePlace
    placed: PlacedFace


def _faces(part: FlatPart) -> list[_OnFlat]:
    tree = fold_tree_of(part)
    x0, y0 = flat_pattern(tree).outline.bounds[:2] if part.tree is not None else (0.0, 0.0)
    found = []
    for (face, place), placed in zip(laid_faces(tree), placed_faces(tree), strict=True):
        there = FacePlace(place.x - x0, place.y - y0, place.turn)
        found.append(_OnFlat(face.outline.turned(there.turn).moved(there.x, there.y), there, placed))
    return found


def _in_space(image: FlatPart, part: FlatPart, laying: Laying, over: bool) -> RigidMotion | None:
    """The motion of the made shape whose flat is laid so, turned over first or not."""
    root = _faces(image)[0]

    def on_flat(x: float, y: float) -> Xy:
        at = root.place.point(x, y)
        return laying.point(FlatMirror().point(at) if over else at)

    outline = root.outline.flipped() if over else root.outline
    there = laying.loop(outline)
    face = next((each for each in _faces(part) if same_loop(there, each.outline)), None)
    if face is None:
        return None
    c, s = math.cos(face.place.turn), math.sin(face.place.turn)

    def point(x: float, y: float, height: float) -> Array:
        u, v = on_flat(x, y)
        u, v = u - face.place.x, v - face.place.y
        up = part.thickness - height if over else height
        return face.placed.frame.outside(np.array([u * c + v * s, v * c - u * s, up]))

    start = point(0.0, 0.0, 0.0)
    axes = np.column_stack([point(*each) - start for each in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))])
    return RigidMotion(axes, start)


def _rolled(image: FlatPart, part: FlatPart) -> RigidMotion | None:
    """What is rolled, or drawn from end to end, has an inside, so it is never turned over."""
    for laying in _lain(image, part):
        still = abs(laying.turn) < 1e-6
        if part.band is not None:
            return _STILL if still else None
        if part.rolled is not None and still:
            return _STILL
        if part.rolled is not None and abs(part.rolled.bottom - part.rolled.top) < NEAR:
            return RigidMotion(_UPSIDE_DOWN, np.array([0.0, 0.0, part.rolled.height]))
        if part.surface and still:
            for turn in (np.eye(3), _ABOUT_Z):
                if _same_points(_corners(image) @ turn.T, _corners(part)):
                    return RigidMotion(turn, np.zeros(3))
    return None


def _corners(part: FlatPart) -> Array:
    return np.vstack([facet.points for facet in part.surface])


def _same_points(one: Array, other: Array) -> bool:
    apart = np.linalg.norm(one[:, None] - other[None], axis=2)
    return bool(apart.min(axis=0).max() < NEAR and apart.min(axis=1).max() < NEAR)


# -- motions ---------------------------------------------------------------------------------
def _motion(frame: Frame) -> RigidMotion:
    return RigidMotion(frame.axes.T, frame.origin)


def _back(motion: RigidMotion) -> RigidMotion:
    return RigidMotion(motion.rotation.T, -motion.rotation.T @ motion.shift)


def _then(first: RigidMotion, second: RigidMotion) -> RigidMotion:
    return RigidMotion(second.rotation @ first.rotation, second.rotation @ first.shift + second.shift)
