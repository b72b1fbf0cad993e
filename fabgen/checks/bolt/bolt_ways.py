"""Bolts through parts that lie face to face, whatever they are: whether the holes of the two are in line, and whether
what lies over a bolt's hole has one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.checks.bolt.bolt_places import several
from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import FEW, named
from fabgen.checks.profile.profile_bodies import ProfileBody, profile_bodies
from fabgen.checks.profile.two_holes import bolt_of, to_drill
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.checks.sheet.flat_words import one_of
from fabgen.checks.tube.tube_bodies import Body, tube_bodies
from fabgen.checks.twins import Where
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.solids import distance
from fabgen.parts.piece import Hole, LegHole, ProfilePart
from fabgen.parts.shape.bored.bolt_places import places_in_words
from fabgen.parts.shape.bored.bolt_room import PARALLEL, passes
from fabgen.parts.shape.bored.hole_ways import HoleWay, hole_ways
from fabgen.parts.shape.legs import leg_place
from fabgen.parts.shape.standing_faces import StandingFace, standing_faces
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

TOUCH = 1.0
"""Faces no farther apart lie on one another, mm."""
NEAR = 3.0
"""A hole no more than so many times its width from another was meant for its bolt (common practice, no source)."""
_WIDE = 1.8
"""A hole without a bolt that is so many times as wide as the other is there for a tool or for weight."""


@dataclass(frozen=True, eq=False)
class _Pair:
    """Two holes of parts that lie face to face, seen along the first; `off`: how far their middles are apart, mm."""

    one: HoleWay
    other: HoleWay
    off: float

    @property
    def key(self) -> frozenset[int]:
        return frozenset((id(self.one), id(self.other)))

    @property
    def bolted(self) -> bool:
        """Whether a bolt goes through them: the job says which, or both are in profiles, where other holes are rare."""
        return bool(self.one.bolt or self.other.bolt) or all(
            isinstance(w.hole, LegHole) for w in (self.one, self.other)
        )

    @cached_property
    def passes(self) -> bool:
        """Whether the bolt of either, or a pin a little thinner than the narrower, goes through both."""
        return passes((self.one, self.other), bolt_of(self.one, self.other))


@rule("holes-out-of-line", Level.STOP, Level.WARN, source=FROM_JOB)
def holes_out_of_line(job: Checked) -> Iterator[Found]:
    """Holes of parts that lie face to face, of sheet, tube or profile, are so far in line that their bolt passes both;
    two without a bolt, a pin."""
    bolted: list[_Pair] = []
    bare: list[_Pair] = []
    told: set[frozenset[int]] = set()
    stacks = [{layer.mark for layer in stack.layers} for stack in job.plan.bolts if stack.is_out_of_line]
    for way, pairs, covers in _laps(job):
        if any(pair.passes for pair in pairs):
            continue
        if any({way.mark, pair.other.mark} <= stack for stack in stacks for pair in pairs[:1]):
            continue  # this is said of the bolt
        pair = min(pairs, key=lambda each: each.off, default=None)
        if pair is None or pair.key in told:
            continue
        widest = max(pair.one.width, pair.other.width)
        if pair.off <= (NEAR if covers and pair.bolted else 1.0) * widest and (pair.bolted or _alike(pair)):
            told.add(pair.key)
            (bolted if pair.bolted else bare).append(pair)
    for pairs, what, level in (
        (bolted, "out of line, so no bolt passes: ", Level.STOP),
        (bare, "nearly in line, but no pin of their size passes: ", Level.WARN),
    ):
        if pairs:
            marks = [mark for pair in pairs for mark in (pair.one.mark, pair.other.mark)]
            cases = _once_each(
                job,
                ((sentence(_named(p.one), " and ", _named(p.other)), (p.one, p.other), sentence(" by ", mm(p.off)))
                 for p in pairs),
            )  # fmt: skip
            yield found(what, named(cases, "; ", FEW), ": move one of them", about=marks, level=level)


@rule("hole-covered", Level.STOP, source=FROM_JOB)
def hole_covered(job: Checked) -> Iterator[Found]:
    """What lies over a bolt's hole, be it sheet, tube or profile, has a hole there too."""
    cases = _once_each(
        job,
        ((_named(way), (way,), sentence(f" by {covers.by.mark}, ", covers.cure(way))) for way, covers in covered(job)),
    )
    if cases:
        marks = [mark for way, covers in covered(job) for mark in (way.mark, covers.by.mark)]
        yield found("covered, so no bolt passes: ", named(cases, "; ", FEW), about=marks)


@once
def covered(job: Checked) -> list[tuple[HoleWay, Cover]]:
    """The holes for bolts over which metal lies that has none there, each with that."""
    cases = []
    without_axis = [{layer.mark for layer in stack.layers} for stack in job.plan.bolts if not stack.lines]
    for way, pairs, covers in _laps(job):
        if covers is None or any(pair.passes for pair in pairs):
            continue
        if not (way.bolt or (isinstance(way.hole, LegHole) and covers.by.profile is not None)):
            continue
        if covers.by.flat and any({way.mark, covers.by.mark} <= stack for stack in without_axis):
            continue  # this is said of the bolt
        if any(pair.off <= NEAR * max(way.width, pair.other.width) for pair in pairs):
            continue
        cases.append((way, covers))
    return cases


# -- what lies on what ------------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _Metal:
    """A placed part as holes meet it: its box, and whether a place near a hole's mouth is in its metal."""

    mark: str
    box: tuple[Array, Array]
    holds: Callable[[Array, HoleWay], bool]
    profile: ProfilePart | None = None
    flat: bool = False
    """Whether it is a length with a hole in a flattened end."""

    def covers(self, way: HoleWay) -> Array | None:
        """Where its metal lies over a hole, just beyond the mouth."""
        return next((mouth for mouth in way.mouths(TOUCH) if self.holds(mouth, way)), None)


@dataclass(frozen=True, eq=False)
class Cover:
    """Metal over a hole, and where."""

    by: _Metal
    at: Array

    def cure(self, way: HoleWay) -> Sentence:
        """A line to write, or what to do."""
        mark, profile = self.by.mark, self.by.profile
        if self.by.flat:
            return sentence(f"turn the flat of {mark}, or move it")
        if profile is None or (place := leg_place(profile, self.at)) is None:
            return sentence(f"drill {mark} there, or move it")
        ends = sentence(f"which ends there: move the hole in from its end, or move {mark}")
        return to_drill(mark, profile, place, way.width) or ends


@once
def _laps(job: Checked) -> list[tuple[HoleWay, list[_Pair], Cover | None]]:
    """Every hole with each part that lies on it, or has a hole near it in a face that lies on its own: the pairs that
    it makes with that one's holes, and where that one's metal covers it."""
    ways = {piece.mark: list(hole_ways(piece)) for piece in job.pieces}
    if not any(ways.values()):
        return []
    found = []
    metals = list(_metals(job))
    low, high = (np.array([metal.box[side] for metal in metals]).reshape(-1, 3) for side in (0, 1))
    for mark, own in ways.items():
        if not own:
            continue
        reach = np.array([NEAR * way.width + way.span[1] - way.span[0] + TOUCH for way in own])[:, None, None]
        middles = np.array([way.centre for way in own])[:, None, :]
        near = ((middles >= low - reach) & (middles <= high + reach)).all(axis=2)
        for number in np.flatnonzero(near.any(axis=0)):
            metal = metals[number]
            if metal.mark == mark or _are_one(job, mark, metal.mark):
                continue
            for way in (own[i] for i in np.flatnonzero(near[:, number])):
                pairs = [pair for other in ways[metal.mark] if (pair := _pair(way, other)) is not None]
                at = metal.covers(way)
                if pairs or at is not None:
                    found.append((way, pairs, None if at is None else Cover(metal, at)))
    return found


def _are_one(job: Checked, one: str, other: str) -> bool:
    """Whether two tubes lie in one another."""
    tubes = [job.tubes.get(mark) for mark in (one, other)]
    return any(
        tube is not None and mark in (*tube.through, *tube.sleeve_of)
        for tube, mark in zip(tubes, (other, one), strict=True)
    )


def _pair(one: HoleWay, other: HoleWay) -> _Pair | None:
    """Two holes on one line or nearly so in faces that touch; None of others."""
    if abs(float(one.axis @ other.axis)) < PARALLEL:
        return None
    apart = other.centre - one.centre
    ahead = float(apart @ one.axis)
    off = float(np.linalg.norm(apart - ahead * one.axis))
    thick = (one.span[1] - one.span[0] + other.span[1] - other.span[0]) / 2.0
    if abs(abs(ahead) - thick) > TOUCH or off > NEAR * max(one.width, other.width):
        return None
    return _Pair(one, other, off)


def _alike(pair: _Pair) -> bool:
    widths = pair.one.width, pair.other.width
    return max(widths) <= _WIDE * min(widths)


# -- metal of each kind --------------------------------------------------------------------------
def _metals(job: Checked) -> Iterator[_Metal]:
    for body in profile_bodies(job):
        yield _Metal(body.mark, body.box, _in_profile(body), body.part)
    for tube in tube_bodies(job).values():
        yield _Metal(tube.mark, tube.box, _in_tube(tube), flat=tube.has_drilled_flat)
    sheets: dict[str, list[StandingFace]] = {}
    for face in standing_faces(job.pieces):
        sheets.setdefault(face.mark, []).append(face)
    for mark, faces in sheets.items():
        corners = np.vstack([_corners(face) for face in faces])
        yield _Metal(mark, (corners.min(axis=0), corners.max(axis=0)), _in_sheet(faces))


def _in_profile(body: ProfileBody) -> Callable[[Array, HoleWay], bool]:
    return lambda point, _: leg_place(body.part, point) is not None


def _in_tube(body: Body) -> Callable[[Array, HoleWay], bool]:
    def holds(point: Array, way: HoleWay) -> bool:
        # Over the end of a tube lies its bore.
        if body.part.path is not None or abs(float(body.frame.x @ way.axis)) > 0.1:
            return False
        at, begins, ends = body.extent(point[None, :])
        return bool(begins[0] < at[0] < ends[0]) and any(
            float(distance(block.solid, point[None, :])[0]) < 0.0 for block in body.blocks
        )

    return holds


def _in_sheet(faces: Sequence[StandingFace]) -> Callable[[Array, HoleWay], bool]:
    import shapely

    def holds(point: Array, way: HoleWay) -> bool:
        for face in faces:
            if float(face.frame.z @ way.axis) < PARALLEL:
                continue  # of the two sides of a sheet one does
            x, y, z = face.frame.inside(point)
            if -face.thickness < z < 0.0 and shapely.contains_xy(face.metal, x, y):
                return True
        return False

    return holds


def _corners(face: StandingFace) -> Array:
    x0, y0, x1, y1 = face.metal.bounds
    return face.frame.outside(np.array([(x, y, -z) for x in (x0, x1) for y in (y0, y1) for z in (0.0, face.thickness)]))


# -- in words --------------------------------------------------------------------------------------
def _once_each(job: Checked, cases: Iterable[tuple[Sentence, Sequence[HoleWay], Sentence]]) -> list[Sentence]:
    """Cases in words, each once, with all the places at which it is so.

    Args:
        job: its parts.
        cases: words, the holes that they name, and further words.
    """
    at: dict[tuple[Sentence, Sentence], dict[str, set[int]]] = {}
    for before, ways, after in cases:
        numbers = at.setdefault((before, after), {})
        for way in ways:
            if way.place and way.mark in several(job):
                numbers.setdefault(way.mark, set()).add(way.place)
    return [
        sentence(before, Where(places_in_words({mark: sorted(each) for mark, each in numbers.items()})), after)
        for (before, after), numbers in at.items()
    ]


def _named(way: HoleWay) -> Sentence:
    """'AR hole 1', 'P hole Ø11 for M10 (40 mm from the left, 30 mm from below)'."""
    if isinstance(way.hole, Hole):
        assert way.flat is not None
        return sentence(f"{way.mark} ", one_of(way.flat, [way.hole], 0))
    return sentence(f"{way.mark} {way.hole.name}")


RULES = (holes_out_of_line, hole_covered)
