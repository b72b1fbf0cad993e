"""What lands on a profile, and profiles that land on a tube: from where to where along it, and on which of its faces.

An end lands where its cut lies on the main's outside, however it came to be cut so: by a notch, by a saw cut to a face,
or square with its point on the face.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.plane.outline import Loop, Outline
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.space.frame import Array, Frame
from fabgen.parts.holes.openings import stretch_at
from fabgen.parts.piece import (
    At,
    FaceLanding,
    LengthPart,
    Piece,
    ProfilePart,
    length_parts,
    profile_parts,
)
from fabgen.parts.shape.bodies.end_places import cut_places, tube_cut_places
from fabgen.parts.shape.legs import across_face
from fabgen.parts.shape.sections import section_profile
from fabgen.shop.section import Section

_TOUCH = 0.3
"""A cut that stands off a face by no more than this beside its gap lies on it, mm."""
_FACING = 0.2
"""An end lands on what it faces: the cosine between its way out and the face's way in."""
_LEAST = 2.0
"""An end that touches over less than this both along and across touches by a corner only, mm."""
_PART = 0.025
"""So does one of whose places no more than this share touch."""
_SHARE = 0.1
"""A face with less of the touching places than this is named by no table."""
_SIDES = {"left": (0.0, 1.0), "right": (0.0, -1.0), "top": (-1.0, 0.0), "bottom": (1.0, 0.0)}
"""Which way the outline of a rectangular tube runs, (y, z), along each of its sides."""
_Steps = tuple[Array, Array, tuple[str, ...]]
"""An outline: where each step of it starts, (n, 2), the step, (n, 2), and the face that it lies on, '' of none."""


@dataclass(frozen=True, eq=False)
class _End:
    """An end that may land on something: places of its cut in space, (n, 3)."""

    mark: str
    at: At
    points: Array
    way: Array
    gap: float
    mitred_with: tuple[str, ...]

    @cached_property
    def middle(self) -> Array:
        """Of its places, (3,)."""
        return np.asarray(self.points.mean(axis=0))

    @cached_property
    def size(self) -> float:
        """How far its places lie from their middle, mm."""
        return float(np.linalg.norm(self.points - self.middle, axis=1).max())


@dataclass(frozen=True, eq=False)
class _Main:
    """What may be landed on: a straight of it, its frame's x along, with `offset` to be added there for a place from
    its saw cut, from `first` to `last`; its outline as steps of (n, 2) with the outward normal and the face of each."""

    frame: Frame
    offset: float
    first: float
    last: float
    starts: Array
    steps: Array
    names: tuple[str, ...]

    @cached_property
    def size(self) -> float:
        """How far its outline reaches from the frame's x, mm."""
        return float(np.hypot(*self.starts.T).max(initial=0.0))

    @cached_property
    def outward(self) -> Array:
        """Unit normals, (n, 2)."""
        return np.asarray(np.column_stack((self.steps[:, 1], -self.steps[:, 0])) / np.hypot(*self.steps.T)[:, None])


def face_landings(pieces: Sequence[Piece]) -> dict[str, tuple[FaceLanding, ...]]:
    """By mark what lands on each profile, and the profiles that land on each tube, from its start on.

    Args:
        pieces: of the job, their ends cut.
    """
    profiles = [(piece.mark, part) for piece, part in profile_parts(pieces)]
    if not profiles:
        return {}
    tubes = [(piece.mark, part) for piece, part in length_parts(pieces) if piece.kind == "tube" and part.frame]
    own = [each for mark, part in profiles for each in _profile_ends(mark, part)]
    ends = own + [each for mark, tube in tubes for each in _tube_ends(mark, tube)]
    found: dict[str, list[FaceLanding]] = {}
    for mark, part in profiles:
        main = _profile_main(part)
        for end in ends:
            if (landing := _landing(end, mark, main, part)) is not None:
                found.setdefault(mark, []).append(landing)
    for mark, tube in tubes:
        outline = _tube_outline(tube.section)
        for end in own:
            if (landing := _landing(end, mark, _tube_main(tube, outline, end.middle), None)) is not None:
                found.setdefault(mark, []).append(landing)
    return {mark: tuple(sorted(each, key=lambda one: (one.first, one.branch))) for mark, each in found.items()}


# -- ends ---------------------------------------------------------------------------------
def _profile_ends(mark: str, part: ProfilePart) -> Iterator[_End]:
    for end in part.ends:
        partners = end.onto if end.kind == "mitre" else ()
        yield _End(mark, end.at, cut_places(end), end.frame.x, end.gap, partners)


def _tube_ends(mark: str, part: LengthPart) -> Iterator[_End]:
    for end in part.ends:
        if end.form is None and not end.line.misses:
            yield _End(mark, end.at, tube_cut_places(part, end), end.frame.x, end.gap, ())


# -- mains --------------------------------------------------------------------------------
def _profile_main(part: ProfilePart) -> _Main:
    last = part.begins + part.length
    return _Main(part.frame, -part.begins, part.begins, last, *_outline(part.cross.outline, part.cross))


def _outline(outline: Loop, cross: CrossSection) -> _Steps:
    """Of a profile."""
    starts, stops, names = [], [], []
    for edge in outline.edges() if isinstance(outline, Outline) else ():
        points = [*edge.points(0.02), edge.end]
        ends = (edge.start, edge.end)
        name = next((f.name for f in cross.faces if np.allclose((f.start, f.end), ends, atol=1e-6)), "")
        for a, b in pairwise(points):
            if math.dist(a, b) > 1e-9:
                starts.append(a)
                stops.append(b)
                names.append(name)
    one = np.array(starts).reshape(-1, 2)
    return one, np.array(stops).reshape(-1, 2) - one, tuple(names)


def _tube_outline(section: Section) -> _Steps:
    """Of a tube, its first figure along z."""
    ring = section_profile(section, math.pi / 2.0).skin
    steps = np.roll(ring, -1, axis=0) - ring
    kept = np.hypot(*steps.T) > 1e-9
    return ring[kept], steps[kept], tuple(_sides(steps[kept]))


def _sides(steps: Array) -> Iterator[str]:
    """The side of a rectangular tube that each step of its outline lies on; '' at a corner, and of a round tube."""
    for y, z in (steps / np.hypot(*steps.T)[:, None]).tolist():
        yield next((name for name, (a, b) in _SIDES.items() if math.hypot(a - y, b - z) < 1e-6), "")


def _tube_main(part: LengthPart, outline: _Steps, near: Array) -> _Main | None:
    """The straight of a tube that a place is nearest to; None where that is a bend."""
    stretch = stretch_at(part, near)
    if stretch is None:
        return None
    first, last = max(stretch.first, 0.0), min(stretch.last, part.length)
    return _Main(stretch.outside.frame, 0.0, first, last, *outline)


# -- landings -----------------------------------------------------------------------------
def _landing(end: _End, mark: str, main: _Main | None, part: ProfilePart | None) -> FaceLanding | None:
    """Where an end lands on a main; None where it does not."""
    if main is None or end.mark == mark or mark in end.mitred_with or not len(main.starts):
        return None
    frame, reach = main.frame, end.gap * 1.5 + _TOUCH
    x, y, z = frame.inside(end.middle).tolist()
    if not main.first - end.size < x < main.last + end.size or math.hypot(y, z) > main.size + end.size + reach:
        return None
    local = frame.inside(end.points)
    low, high = main.starts.min(axis=0) - reach, main.starts.max(axis=0) + reach
    near = (local[:, 0] > main.first - reach) & (local[:, 0] < main.last + reach)
    near &= ((local[:, 1:] > low) & (local[:, 1:] < high)).all(axis=1)
    if not near.any():
        return None
    local = local[near]
    step, off = _nearest(main, local[:, 1:])
    ahead = np.array([end.way @ frame.y, end.way @ frame.z])
    on = (off <= reach) & ((main.outward @ ahead)[step] > _FACING)
    if on.sum() < _PART * len(end.points):
        return None
    touching = local[on]
    named = _faces_of(main, step[on], touching, ahead)
    if max(float(np.ptp(touching[:, 0])), float(np.hypot(*np.ptp(touching[:, 1:], axis=0)))) < _LEAST:
        return None
    counts = {name: named.count(name) for name in dict.fromkeys(named) if name}
    faces = tuple(sorted((n for n, count in counts.items() if count >= _SHARE * len(named)), key=lambda n: -counts[n]))
    outline = _outline_on(main, faces[0], end) if faces else touching
    across = across_face(part, faces[0], outline[:, 1:]) if part is not None and faces else None
    first, last = (min(max(float(x), main.first), main.last) for x in (outline[:, 0].min(), outline[:, 0].max()))
    way = main.outward[step[on]].mean(axis=0)
    turn = math.atan2(-float(way[0]), float(way[1])) % (2.0 * math.pi)
    angle = math.acos(min(1.0, abs(float(end.way @ frame.x))))
    return FaceLanding(
        end.mark,
        end.at,
        first + main.offset,
        last + main.offset,
        faces,
        across,
        None if part is not None or faces else turn,
        angle,
    )


def _faces_of(main: _Main, step: NDArray[np.intp], touching: Array, ahead: Array) -> list[str]:
    """The face that each touching place is on, '' on a round; where all are in a root or on a toe's round, the nearest
    face that looks the same way."""
    named = [main.names[i] for i in step]
    facing = np.flatnonzero(np.array([name != "" for name in main.names]) & (main.outward @ ahead > _FACING))
    if any(named) or not len(facing):
        return named
    middles = main.starts[facing] + main.steps[facing] / 2.0
    nearest = facing[np.hypot(*(middles - touching[:, 1:].mean(axis=0)).T).argmin()]
    return [main.names[nearest]] * len(named)


def _outline_on(main: _Main, face: str, end: _End) -> Array:
    """What an end shows on the plane of a face, seen along its own axis: what is marked out there.  (n, 3) in the
    main's frame."""
    at = main.names.index(face)
    places, ahead = main.frame.inside(end.points), main.frame.axes @ end.way
    normal = np.array([0.0, *main.outward[at]])
    off = (places - np.array([0.0, *main.starts[at]])) @ normal
    return np.asarray(places - np.outer(off / float(ahead @ normal), ahead))


def _nearest(main: _Main, points: Array) -> tuple[NDArray[np.intp], Array]:
    """The step of an outline that each place is nearest to, and how far off it is, (n,) each."""
    away = points[:, None] - main.starts
    share = np.clip((away * main.steps).sum(axis=2) / (main.steps**2).sum(axis=1), 0.0, 1.0)
    off = np.linalg.norm(away - share[..., None] * main.steps, axis=2)
    step = off.argmin(axis=1)
    return step, off[np.arange(len(points)), step]
