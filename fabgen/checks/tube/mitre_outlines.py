"""Checks of mitres: which ends are mitred where the job is silent, and whether the outlines of two tubes lie on one
another in the plane they part at.

Both tubes may be sawn to the right plane and yet not meet there: a rectangular tube that is rolled
otherwise about its axis than its partner's mirror image, or one of another size, leaves a step.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.geometry.space.frame import Array, unit, upright
from fabgen.geometry.tube.profile import Profile
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import LengthPart, WorkedEnd
from fabgen.parts.shape.cuts import parting
from fabgen.parts.shape.sections import end_profile, half_size, section_profile
from fabgen.parts.shape.tubes import facing
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, mm, sentence

_MET = 0.1
"""What is left where turning one of the two makes them meet, mm."""

STEP = 1.0
"""Outlines that lie no farther apart than this count as met, mm: points are seldom better measured."""


@rule("mitred-alike", Level.NOTE, source=PRACTICE)
def mitred_alike(job: Checked) -> Iterator[Found]:
    """Two like ends that alone meet at no right angle, or nearly in one line, are mitred where the job is silent: a
    note of which."""
    found_pairs: dict[frozenset[tuple[str, str]], tuple[tuple[str, WorkedEnd], tuple[str, WorkedEnd]]] = {}
    for mark, part in job.own_tubes.items():
        for end in part.ends:
            for joint in end.joints if end.is_own_choice else ():
                far = facing(mark, end, job.tubes[joint.onto]) if joint.onto in job.tubes else None
                if far is not None:
                    pair = frozenset(((mark, end.at), (joint.onto, far.at)))
                    found_pairs.setdefault(pair, ((mark, end), (joint.onto, far)))
    pairs = list(found_pairs.values())
    if pairs:
        each = [
            sentence(f"{one} {end.at} with {other} {far.at} at ", degrees(_between(end, far)))
            for (one, end), (other, far) in pairs
        ]
        one_pair, more_pairs = "pair of like ends that meets", "pairs of like ends that meet"
        are = f"{one_pair} at no right angle is" if len(pairs) == 1 else f"{more_pairs} at no right angle are"
        (first, _), (other, far) = pairs[0]
        yield found(
            f"{len(pairs)} {are} mitred (", named(each, most=FEW), "): ",
            job.written.lines([Wanted(other, far.at, {"onto": [first]})], f" copes {other} instead"),
            about=list(dict.fromkeys(mark for pair in pairs for mark, _ in pair)),
        )  # fmt: skip


def _between(one: WorkedEnd, other: WorkedEnd) -> float:
    """The angle between two ends' axes, rad."""
    return math.acos(max(-1.0, min(1.0, float(one.frame.x @ other.frame.x))))


@rule("mitre-step", Level.WARN)
def mitre_step(job: Checked) -> Iterator[Found]:
    """Two tubes mitred with one another meet all round: their outlines in the mitre's plane lie on one another."""
    alike: dict[tuple[bool, bool, bool], list[_Step]] = {}
    for step in _steps(job):
        alike.setdefault(step.way, []).append(step)
    for those in alike.values():
        words = sentence(_apart(those), _why(those, job))
        yield found(words, about=dict.fromkeys(step.later.mark for step in those))


def _steps(job: Checked) -> Iterator[_Step]:
    """The mitres whose two halves do not meet."""
    parts = job.tubes
    order = list(parts)
    for place, mark in enumerate(order):
        for end in parts[mark].ends:
            for joint in end.joints if end.cut == "mitre" else ():
                other = parts.get(joint.onto)
                if other is None or order.index(joint.onto) >= place:
                    continue
                far = facing(mark, end, other)
                if far is None or (parts[mark].section.is_round and parts[mark].section == other.section):
                    continue
                later, earlier = _Half(mark, parts[mark], end), _Half(joint.onto, other, far)
                if (most := _step(later, earlier)) > STEP:
                    three = len(end.flats) > 1 or len(far.flats) > 1
                    yield _Step(later, earlier, most, None if three else _cure(later, earlier, most))


@dataclass(frozen=True, eq=False)
class _Half:
    """One of the two tubes of a mitre, at the end that is mitred; `roll` rad on from how the job has it,
    about the tube from its start to its finish."""

    mark: str
    part: LengthPart
    end: WorkedEnd
    roll: float = 0.0

    @property
    def top(self) -> float:
        """phi of the top line; about the finish's own x the roll runs the other way."""
        return self.end.top + (self.roll if self.end.at == "start" else -self.roll)

    @property
    def size(self) -> float:
        return max(self.part.section.width, self.part.section.depth)

    def rolled(self, by: float) -> _Half:
        return _Half(self.mark, self.part, self.end, by)

    def half_height(self, inside: Array) -> float:
        frame, top = self.end.frame, self.top
        up = math.cos(top) * frame.y + math.sin(top) * frame.z
        return half_size(self.part.section, frame.x, up, inside)

    @property
    def _profile(self) -> Profile:
        """Its places: those of its cut line, or of its section as it is rolled."""
        if self.roll == 0.0:
            return end_profile(self.part.section, self.end)
        return section_profile(self.part.section, self.top)

    def outline(self, middle: Array, normal: Array) -> Array:
        """Where the outside's lines come through a plane, (n, 3)."""
        walls = self._profile.walls(self.end.frame)
        reach = (middle - walls.skin) @ normal / float(walls.along @ normal)
        return np.asarray(walls.skin + reach[:, None] * walls.along)

    def shares(self, mark: str) -> Array:
        """Which places of its outline are cut for that partner, (n,) bool: all, but in a mitre of three."""
        if len(self.end.flats) == 1:
            return np.ones(len(self._profile.phi), dtype=bool)
        points = self._profile.walls(self.end.frame).skin
        points = points + self.end.line.x[:, None] * self.end.frame.x
        off = np.array([np.abs((points - self.end.frame.origin) @ f.inward(self.end.frame)) for f in self.end.flats])
        own = next(i for i, flat in enumerate(self.end.flats) if flat.onto == mark)
        return np.asarray(off[own] <= np.nan_to_num(off, nan=np.inf).min(axis=0) + 0.01)


@dataclass(frozen=True, eq=False)
class _Step:
    """A mitre whose halves lie up to `most` mm apart; `cure`: the half that is to be turned, and what then stays."""

    later: _Half
    earlier: _Half
    most: float
    cure: tuple[_Half, float] | None

    @property
    def unlike(self) -> bool:
        return self.later.part.section != self.earlier.part.section

    @property
    def rest(self) -> float:
        return self.most if self.cure is None else self.cure[1]

    @property
    def way(self) -> tuple[bool, bool, bool]:
        """What is said of all that are alike in it."""
        return self.cure is not None, self.rest <= _MET, self.rest > STEP and self.unlike

    def sizes(self, units: str) -> str:
        return f"{self.later.part.section.words(units)} and {self.earlier.part.section.words(units)}"


# -- words --------------------------------------------------------------------------
def _apart(steps: Sequence[_Step]) -> Sentence:
    if len(steps) == 1:
        later, earlier = steps[0].later, steps[0].earlier
        return sentence(
            f"its {later.end.at} and the {earlier.end.at} of {earlier.mark} are mitred, but their outlines do not meet "
            "in the mitre: they are up to ", mm(steps[0].most), " apart",
        )  # fmt: skip
    each = [
        sentence(f"{step.later.mark} {step.later.end.at} with {step.earlier.mark} ", mm(step.most)) for step in steps
    ]
    return sentence(f"the outlines of {len(steps)} pairs do not meet in their mitres (", named(each), ")")


def _why(steps: Sequence[_Step], job: Checked) -> Sentence:
    """What they differ in, and how to correct it."""
    first, one = steps[0], len(steps) == 1
    rolled = f", as the two {'' if one else 'of each '}are rolled differently about their axes"
    instead = sentence(_coped_instead(steps, job), ", close the step with a plate")
    which = f": {first.sizes(job.units)}; " if one else ": "
    sizes = sentence(which, instead, ", or take one size")
    if first.cure is not None:
        turned = [
            Wanted(half.mark, "", {"turn": sentence(figure(_turn(half)))})
            for half, _ in (step.cure for step in steps if step.cure is not None)
        ]
        left = sentence(" makes them meet")
        if first.rest > _MET:
            left = sentence(" brings that down to ", mm(max(step.rest for step in steps)))
        check = " (check its other end then)" if one else " (check their other ends then)"
        rest = sentence("; the rest is the sizes", sizes) if first.way[2] else sentence("")
        return sentence(rolled, ": ", job.written.lines(turned, left), check, rest)
    if first.unlike:
        return sentence(", as their sizes differ", sizes)
    return sentence(rolled, " and neither can be turned to correct it: ", instead)


def _coped_instead(steps: Sequence[_Step], job: Checked) -> Sentence:
    """The lines that cope the narrower of each two onto the other; in words where three are mitred at once."""
    if any(len(half.end.flats) > 1 for step in steps for half in (step.later, step.earlier)):
        return sentence("cope one onto the other")
    pairs = [
        sorted((step.earlier, step.later), key=lambda half: -half.size) for step in steps
    ]  # of like ones as listed
    keys = [Wanted(main.mark, main.end.at, {"cut": None, "seam": None}) for main, _ in pairs]
    keys += [Wanted(on.mark, on.end.at, {"cut": None, "seam": None, "onto": [main.mark]}) for main, on in pairs]
    ((main, on), *more) = pairs
    return job.written.lines(keys, " copes one onto the other" if more else f" copes {on.mark} onto {main.mark}")


# -- the step ---------------------------------------------------------------------
def _step(one: _Half, other: _Half) -> float:
    """The greatest distance, in the plane the two part at, from either outline to the other, mm."""
    middle = (one.end.frame.origin + other.end.frame.origin) / 2.0
    normal = _plane(one, other)
    u = unit(np.cross(normal, one.end.frame.y if abs(normal @ one.end.frame.y) < 0.9 else one.end.frame.z))
    across = np.column_stack((u, np.cross(normal, u)))
    flat = [(half.outline(middle, normal) - middle) @ across for half in (one, other)]
    seen = [one.shares(other.mark), other.shares(one.mark)]
    return max(_farthest(flat[0][seen[0]], flat[1]), _farthest(flat[1][seen[1]], flat[0]))


def _farthest(points: Array, outline: Array) -> float:
    return float(shapely.distance(shapely.points(points), shapely.LinearRing(outline)).max(initial=0.0))


def _plane(one: _Half, other: _Half) -> Array:
    """Unit normal of the plane the two part at, rolled as they are.

    As the job cuts them it bisects, or goes from edge to edge; a roll moves an edge, and so the latter.
    """
    cut = next(flat.inward(one.end.frame) for flat in one.end.flats if flat.onto == other.mark)
    d, e = one.end.frame.x, other.end.frame.x
    bisecting = unit(d - e)
    if (one.roll == 0.0 and other.roll == 0.0) or float(cut @ bisecting) > 1.0 - 1e-9:
        return cut
    inside = unit(d + e) if float(d @ e) > -1.0 + 1e-12 else one.end.frame.z
    return unit(parting(d, e, one.half_height(inside), other.half_height(inside)))


# -- rolling ----------------------------------------------------------------------
def _cure(later: _Half, earlier: _Half, step: float) -> tuple[_Half, float] | None:
    """The later tube, else the earlier, rolled so that the step is least, and what then stays, mm; None where
    rolling does not take away a third of it."""
    for half, still in ((later, earlier), (earlier, later)):
        best = min(((_step(half.rolled(by), still), half.rolled(by)) for by in _rolls(half)), default=None, key=_first)
        if best is None:
            continue
        rest, rolled = best
        if half.part.path is None:
            rest, rolled = _refined(rolled, still)
        if rest < 2.0 / 3.0 * step:
            return rolled, rest
    return None


def _first(pair: tuple[float, _Half]) -> tuple[float, float]:
    """Rank of a try: the least step, to 0.01 mm, then the least roll."""
    return round(pair[0], 2), abs(pair[1].roll)


def _rolls(half: _Half) -> list[float]:
    """Rolls to try, rad: a bent rectangular tube bends square to a face, so only a quarter turn."""
    section = half.part.section
    if section.is_round or half.part.frame is None:
        return []
    if half.part.path is not None:
        return [] if section.width == section.depth else [math.pi / 2.0]
    span = 45 if section.width == section.depth else 90
    return [math.radians(degrees) for degrees in range(-span, span, 3)]


def _refined(rolled: _Half, still: _Half) -> tuple[float, _Half]:
    """To the nearest tenth of a degree of `turn`, as that is what one can type and set."""
    for stride in (1.0, 0.3, 0.1):
        near = [rolled.rolled(rolled.roll + math.radians(stride * k)) for k in (-3, -2, -1, 0, 1, 2, 3)]
        _, rolled = min(((_step(half, still), half) for half in near), key=_first)
    exact = rolled.rolled(rolled.roll + math.radians(round(_turn(rolled), 1) - _turn(rolled)))
    return _step(exact, still), exact


def _turn(half: _Half) -> float:
    """The job's `turn` that gives the tube its roll, degrees, the least of those that are alike."""
    section, frame = half.part.section, half.part.frame
    assert frame is not None
    plain = upright(frame.origin, frame.x)
    now = math.atan2(-float(frame.z @ plain.y), float(frame.z @ plain.z))
    period = math.pi / 2.0 if section.width == section.depth else math.pi
    return math.degrees(math.remainder(now + half.roll, period))
