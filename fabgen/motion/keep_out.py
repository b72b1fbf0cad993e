"""Tyres, calipers, bolt heads and tool room against the job's parts and one another, through a travel.

Tubes are taken filled up, as round bars that hold their section, between their longest
points; link rods as round bars from pin to pin; dampers as round bars from eye to eye; a bent tube as one bar a leg,
its corners sharp; bent bars as they are.
Plates, brackets and covers that the job places are taken as they are made, skin for skin.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fabgen.geometry.mechanics.envelopes import KeepOutShape, MovedShape, ball_gaps, clearances
from fabgen.geometry.mechanics.skin_clearance import MovedSkin, TriangleSkin, skin_clearances
from fabgen.geometry.space.frame import Array, Frame, any_across
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.job.errors import Path, Problem, Problems
from fabgen.job.tables.movement_tables import SHOULDER, Damper, Envelope, Wheel
from fabgen.motion.dampers import halves, stands_for, thickness
from fabgen.motion.linkage import Linkage, Rod
from fabgen.motion.riders import Riders
from fabgen.motion.travel import Follow
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece, ProfilePart, length_parts, profile_parts
from fabgen.parts.shape.directions import array, direction

FAR = 150.0
"""Pairs that stay farther apart than the clearance wanted and this are not measured, mm."""

SKIN = 0.02
"""Chords of arcs and bends of sheet parts stay this near to the true shape, mm."""

BAR_STEP = math.radians(15.0)
"""A bent bar is taken straight between places so far apart in its bends: at most 1 part in 100 of the radius off."""

ASPECT = 0.7
"""Height of a tyre's side as a share of its width where the job gives no rim."""


@dataclass(frozen=True, eq=False)
class Obstacle:
    """Something with room of its own.  `kept` marks envelopes and wheels; `moved` gives its shapes
    in the positions of a travel."""

    name: str
    kept: bool
    moved: Callable[[Follow], Sequence[MovedShape | MovedSkin]]
    wanted: float = 0.0
    ignore: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Between:
    """The least clearance, mm, where it is between two positions: at which change of the driver, mm."""

    driver: float
    clear: float


@dataclass(frozen=True, eq=False)
class Clearance:
    """Between two bodies through one sweep: clearance (s,) mm and where they come nearest, (s, 2, 3), in each position;
    where it is least between two positions, and where they come nearest there or in the position where it is least,
    (2, 3)."""

    one: str
    other: str
    wanted: float
    clear: Array
    nearest: Array
    points: Array
    between: Between | None = None

    @property
    def least(self) -> float:
        return float(self.clear.min()) if self.between is None else self.between.clear

    def driver(self, of_positions: Array) -> float:
        """The driver's change where it is least, mm.

        Args:
            of_positions: in each position, (s,) mm.
        """
        return float(of_positions[self.at]) if self.between is None else self.between.driver

    @property
    def at(self) -> int:
        """Number of the position where it is least."""
        return int(np.argmin(self.clear))


def obstacles(linkage: Linkage, pieces: Sequence[Piece]) -> list[Obstacle]:
    """Everything of a job that takes room.

    Args:
        linkage: what moves.
        pieces: of the job; those that it places count.
    Raises:
        JobError: an envelope or a tyre cannot be of the sizes given.
    """
    problems = Problems()
    riders = Riders(linkage, pieces)
    found = [
        (_bent_bar if part.is_bent_bar else _tube)(riders.body(piece), piece.mark, part)
        for piece, part in length_parts(pieces)
        if not isinstance(part, LinkPart) and not piece.part_of and part.frame is not None
    ]
    found += [_profile(riders.body(piece), piece.mark, part) for piece, part in profile_parts(pieces)]
    found += [_link(linkage, rod) for rod in linkage.rods]
    found += [_damper(linkage, damper) for damper in linkage.job.damper]
    found += [_sheet(riders, piece, flat) for piece in pieces if (flat := piece.flat_part) and flat.places]
    for i, wheel in enumerate(linkage.job.wheel):
        if wheel.width is not None:
            found += _kept(linkage, wheel, ("wheel", i), problems)
    for i, envelope in enumerate(linkage.job.envelope):
        found += _kept(linkage, envelope, ("envelope", i), problems)
    problems.report()
    return found


def measured(found: Sequence[Obstacle], follow: Follow) -> tuple[list[Clearance], int]:
    """The clearances of every envelope and wheel through one travel.

    Returns: the clearances, nearest first, and how many pairs stay so far apart that they are not measured.
    """
    measured: list[Clearance] = []
    far = 0
    shapes = {obstacle.name: obstacle.moved(follow) for obstacle in found}
    for i, one in enumerate(found):
        for j, other in enumerate(found):
            if not one.kept or (other.kept and j <= i) or i == j:
                continue
            if other.name in one.ignore or one.name in other.ignore:
                continue
            wanted = max(one.wanted, other.wanted)
            near = [
                (a, b)
                for a in shapes[one.name]
                for b in shapes[other.name]
                if isinstance(a, MovedShape) and float(ball_gaps(a, b).min()) < wanted + FAR
            ]
            if near:
                measured.append(_least(one, other, wanted, near))
            else:
                far += 1
    return sorted(measured, key=lambda clearance: clearance.least - clearance.wanted), far


def _least(
    one: Obstacle, other: Obstacle, wanted: float, near: list[tuple[MovedShape, MovedShape | MovedSkin]]
) -> Clearance:
    every = [skin_clearances(a, b) if isinstance(b, MovedSkin) else clearances(a, b) for a, b in near]
    clear = np.array([c for c, _ in every])
    best = np.argmin(clear, axis=0)
    least = clear.min(axis=0)
    nearest = np.array([every[k][1][at] for at, k in enumerate(best)])
    return Clearance(one.name, other.name, wanted, least, nearest, nearest[int(np.argmin(least))])


# -- shapes -----------------------------------------------------------------------------
def _with_body(body: int, shapes: Sequence[tuple[KeepOutShape, Frame]]) -> Callable[[Follow], list[MovedShape]]:
    def moved(follow: Follow) -> list[MovedShape]:
        turns = follow.turns[:, body]
        return [
            MovedShape(shape, follow.point(body, frame.origin), frame.axes @ turns.transpose(0, 2, 1))
            for shape, frame in shapes
        ]

    return moved


def _tube(body: int, mark: str, part: LengthPart) -> Obstacle:
    if part.path is None:
        route = [end.frame.origin + end.line.longest * end.frame.x for end in part.ends]
    else:
        route = [part.path.start.origin, *(turn.corner for turn in part.path.turns), part.path.finish.origin]
    diameter = 2.0 * part.section.reach
    shapes = [between(a, b, diameter) for a, b in pairwise(route)]
    return Obstacle(mark, False, _with_body(body, shapes))


def _bent_bar(body: int, mark: str, part: LengthPart) -> Obstacle:
    """A bent bar where the job places it: as round bars from place to place along it."""
    assert part.path is not None
    places = [part.path.frame_at(s).origin for s in part.path.stations(BAR_STEP)]
    pairs = [(a, b) for a, b in pairwise(places) if float(np.linalg.norm(b - a)) > 0.01]
    shapes = [between(a, b, part.section.width) for a, b in pairs]
    return Obstacle(mark, False, _with_body(body, shapes))


def _sheet(riders: Riders, piece: Piece, part: FlatPart) -> Obstacle:
    """A plate, bracket or cover where the job places it, once or several times."""
    from fabgen.parts.shape.sheet_body import sheet_body

    stands = [(riders.body(piece, number), place.frame) for number, place in enumerate(part.places)]
    return _skinned(piece.mark, sheet_body(part, SKIN), stands)


def _profile(body: int, mark: str, part: ProfilePart) -> Obstacle:
    """A profile as it is cut."""
    from fabgen.parts.shape.profiles import profile_body

    return _skinned(mark, profile_body(part), [(body, part.frame)])


def _skinned(mark: str, shape: EdgedMesh, stands: Sequence[tuple[int, Frame]]) -> Obstacle:
    """A body skin for skin, where it stands on the bodies that move."""
    middle = np.mean(shape.bounds, axis=0)
    skin = TriangleSkin(shape.corners - middle)

    def moved(follow: Follow) -> list[MovedSkin]:
        return [
            MovedSkin(
                skin,
                follow.point(body, frame.outside(middle)),
                frame.axes @ follow.turns[:, body].transpose(0, 2, 1),
            )
            for body, frame in stands
        ]

    return Obstacle(mark, False, moved)


def between(a: Array, b: Array, diameter: float) -> tuple[KeepOutShape, Frame]:
    """A round bar from point to point, and where it stands.

    Args:
        a: (3,), mm.
        b: (3,), mm.
        diameter: mm.
    """
    return KeepOutShape.disc(diameter, float(np.linalg.norm(b - a))), _along((a + b) / 2.0, b - a)


def _along(origin: Array, along: Array) -> Frame:
    return Frame.along(origin, along, any_across(along))


def _link(linkage: Linkage, rod: Rod) -> Obstacle:
    link = linkage.job.link[rod.index]

    def moved(follow: Follow) -> list[MovedShape]:
        a, b = (follow.point(body, end) for body, end in zip(rod.bodies, rod.ends, strict=True))
        return [_between_each(a, b, 2.0 * link.section.reach)]

    return Obstacle(rod.mark, False, moved)


def _damper(linkage: Linkage, damper: Damper) -> Obstacle:
    ends = [(linkage.body_of(point), array(point)) for point in damper.between]

    def moved(follow: Follow) -> list[MovedShape]:
        (a, b) = (follow.point(body, at) for body, at in ends)
        return [_between_each(p, q, thickness(damper)) for p, q in halves(damper, a, b)]

    own = (envelope.name for envelope in linkage.job.envelope if stands_for(envelope, damper))
    return Obstacle(damper.name, False, moved, ignore=frozenset(own))


def _between_each(a: Array, b: Array, diameter: float) -> MovedShape:
    """A round bar from point to point in each position, (s, 3) mm; as long everywhere."""
    frames = [_along((p + q) / 2.0, q - p) for p, q in zip(a, b, strict=True)]
    shape = KeepOutShape.disc(diameter, float(np.linalg.norm(b[0] - a[0])))
    return MovedShape(shape, np.array([f.origin for f in frames]), np.array([f.axes for f in frames]))


def _kept(linkage: Linkage, given: Wheel | Envelope, path: Path, problems: list[Problem]) -> list[Obstacle]:
    try:
        placed = standing(given)
    except ValueError as fault:
        problems.append(Problem(path, str(fault), "sizes that fit, and an axis toward a point apart from `at`"))
        return []
    wanted = linkage.job.movement.clear if given.clear is None else given.clear
    return [Obstacle(given.name, True, _with_body(linkage.number(given.on), placed), wanted, frozenset(given.ignore))]


Standing = list[tuple[KeepOutShape, Frame]]
"""What takes room, where it stands as drawn."""


def standing(given: Wheel | Envelope) -> Standing:
    """The room that a wheel or an envelope takes as drawn; a tyre's own shape is the first.

    Args:
        given: a wheel with a width, or an envelope.
    Raises:
        ValueError: its sizes make no shape.
    """
    return _wheel_shape(given) if isinstance(given, Wheel) else _envelope_shape(given)


def _wheel_shape(wheel: Wheel) -> Standing:
    assert wheel.width is not None
    centre = array(wheel.centre)
    frame = _along(centre, direction(wheel.axis, centre))
    return [(shape, frame) for shape in _tyre(wheel.diameter, wheel.width, wheel.rim, wheel.shoulder)]


def _envelope_shape(given: Envelope) -> Standing:
    if given.shape == "capsule":
        assert given.between is not None
        assert given.diameter is not None
        a, b = (array(point) for point in given.between)
        along = b - a if np.linalg.norm(b - a) > 1e-9 else np.array([1.0, 0.0, 0.0])
        return [(KeepOutShape.capsule(float(np.linalg.norm(b - a)), given.diameter), _along((a + b) / 2.0, along))]
    assert given.at is not None
    at = array(given.at)
    if given.shape == "box":
        assert given.size is not None
        x, y, z = given.size
        return [(KeepOutShape.box(x, y, z), Frame(at, *np.eye(3)))]
    assert given.diameter is not None
    assert given.width is not None
    axis = np.array([0.0, 1.0, 0.0]) if given.axis is None else direction(given.axis, at)
    if given.shape == "disc":
        return [(KeepOutShape.disc(given.diameter, given.width), _along(at, axis))]
    return [(shape, _along(at, axis)) for shape in _tyre(given.diameter, given.width, given.rim, given.shoulder)]


def _tyre(diameter: float, width: float, rim: float | None, shoulder: float | None) -> list[KeepOutShape]:
    """The tyre, and the fully rounded one within it, into which it can be said farther how deep something runs."""
    inside = max(0.0, diameter - 2.0 * ASPECT * width) if rim is None else rim
    # A small wheel's section may be less than two of the usual shoulders.
    greatest = min(width / 2.0, (diameter - inside) / 4.0)
    own = KeepOutShape.tyre(diameter, width, inside, min(SHOULDER, greatest) if shoulder is None else shoulder)
    return [own, KeepOutShape.tyre(diameter, width, inside, greatest)] if own.round_ < greatest else [own]
