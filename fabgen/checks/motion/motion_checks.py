"""Checks of what moves: freedoms, what holds twice, rod-end angles, dampers, clearances."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.motion.motion_words import driver_at, driver_text, motion_text
from fabgen.checks.rule import FROM_JOB, LIMITS, Finding, Found, found, rule
from fabgen.geometry.mechanics.constraints import FRAME
from fabgen.geometry.mechanics.mechanism import NEARLY, Mobility
from fabgen.job.tables.movement_tables import Damper
from fabgen.motion.dampers import body_begins, is_all_eyes
from fabgen.motion.keep_out import Clearance
from fabgen.motion.movement import Movement, swing_limit
from fabgen.motion.travel import SweepResult, Tilt
from fabgen.shop.threaded.rod_ends import MEMORY
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Part, Sentence, changes, degrees, joined, mm, sentence

RANK_SOURCE = "rank of the constraint matrix; K. H. Hunt, Kinematic Geometry of Mechanisms, 1978"
_NEAR_LIMIT = 0.9
_SAME_LENGTH = 0.01
"""A damper is not past its closed or open length by less, mm."""
_SLIGHT = 0.5
"""A bush is not said to give less than this, mm or degrees."""


@dataclass(frozen=True, eq=False)
class Moving:
    """A job's movement under its rules."""

    movement: Movement
    units: str = "mm"
    mark: str = "movement"


def moving(checked: Checked) -> Iterator[Moving]:
    """The movement of a job that moves."""
    if checked.movement is not None:
        yield Moving(checked.movement, checked.units)


def movement_findings(movement: Movement, units: str = "mm") -> list[Finding]:
    """What is found on how a job moves, in the order of the rules.

    Args:
        movement: of the job.
        units: the job's, "mm" or "in".
    """
    return [finding for each in RULES for finding in each(Moving(movement, units))]


# -- freedoms ---------------------------------------------------------------------------
@rule("freedoms", Level.STOP, Level.NOTE, source=RANK_SOURCE)
def freedoms(of: Moving) -> Iterator[Found]:
    """It moves in as many ways as needed, and each driver holds one of them."""
    movement = of.movement
    mobility, wanted = movement.mobility, movement.linkage.wanted
    if mobility is None:
        return
    ways = _ways(mobility.freedoms)
    if wanted is None:
        nothing = f"{ways}; no sweep and no [movement] freedoms say how many are needed"
        yield found(nothing, _motions(movement), level=Level.NOTE)
    elif mobility.freedoms > wanted and mobility.lasting >= wanted:
        extra = mobility.freedoms - wanted
        text = f"{ways}, {extra} too many; {wanted} needed"
        settles = ". The load moves it where it will: add a link, or a joint that holds more"
        yield found(text, _motions(movement), settles)
    elif mobility.lasting >= wanted and movement.held is not None and movement.held.freedoms:
        drivers = ", ".join(driver.words for driver in movement.linkage.drivers)
        text = f"the drivers ({drivers}) do not hold every motion as drawn: a dead point, or drivers alike"
        yield found(text, _motions(movement))


@rule("binds", Level.STOP, source=RANK_SOURCE)
def binds(of: Moving) -> Iterator[Found]:
    """It does not bind: past a small shake it still moves in as many ways as needed."""
    movement = of.movement
    mobility, wanted = movement.mobility, movement.linkage.wanted
    if mobility is None or wanted is None or mobility.lasting >= wanted - _counted_turns(movement):
        return
    text: list[Part] = [f"it binds: {_ways(mobility.lasting)}, {wanted} needed"]
    if mobility.freedoms > mobility.lasting:
        text.append("; at the very position drawn it seems to move, but past a small shake it locks")
    elif mobility.nearly >= wanted:
        text.append("; joints that are all but in line hold one another: give their points and axes exactly in line")
    for mark, (short, long) in movement.forced.items():
        text += [f". To follow the travel {mark} would have to change its length by ", changes(short, long)]
    if movement.forced:
        text.append(": metal or bushes would have to give that")
    yield found(*text)


def _counted_turns(movement: Movement) -> int:
    """Turns of rods about themselves that `freedoms` of the job may count."""
    return len(movement.linkage.spins) if movement.linkage.job.movement.freedoms is not None else 0


@rule("dead-point", Level.WARN, source=RANK_SOURCE)
def dead_point(of: Moving) -> Iterator[Found]:
    """It is not near a dead point, where a small error in making decides how it moves."""
    movement = of.movement
    mobility, held = movement.mobility, movement.held
    if mobility is None or not _moves_as_wanted(movement, mobility):
        return
    if mobility.weakest < NEARLY or (held is not None and held.weakest < NEARLY):
        yield found("it is near a dead point: a small error in making decides how it moves")


def _moves_as_wanted(movement: Movement, mobility: Mobility) -> bool:
    wanted, held = movement.linkage.wanted, movement.held
    return wanted is not None and mobility.lasting >= wanted >= mobility.freedoms and not (held and held.freedoms)


def _motions(movement: Movement) -> Sentence:
    if not movement.free:
        return sentence()
    beside = " with the driver held" if movement.held is not None and movement.held.freedoms else ""
    return sentence(
        f"; free{beside}: ", joined(" / ", (motion_text(movement.linkage, motion) for motion in movement.free))
    )


def _ways(count: int) -> str:
    if count == 0:
        return "it cannot move"
    return "it moves in one way" if count == 1 else f"it moves in {count} ways"


@rule("holds-twice", Level.WARN, source=RANK_SOURCE)
def holds_twice(of: Moving) -> Iterator[Found]:
    """Nothing is held twice: what is fits only if it is made exactly."""
    mobility = of.movement.mobility
    if mobility is None or (of.movement.linkage.wanted or 0) > mobility.lasting:
        return
    for group in mobility.overheld:
        names = " and ".join(group.owners) if len(group.owners) < 3 else ", ".join(group.owners)
        times = "once" if group.count == 1 else f"{group.count} times"
        yield found(
            f"{names} hold the same motion {times} more than needed: they bind unless made exactly true to one "
            "another. A ball or a soft bush in place of one takes it up"
        )


@rule("spins", Level.NOTE, source=RANK_SOURCE)
def spins(of: Moving) -> Iterator[Found]:
    """Rods on two balls may turn about themselves, which does no harm."""
    rods = of.movement.linkage.turning
    if rods:
        turn, them = ("turns about itself", "it") if len(rods) == 1 else ("turn about themselves", "them")
        yield found(
            f"{turn} on the balls at both ends: no harm, and not counted as a way to move; what is bent or welded on "
            f"beside the line swings round with {them}",
            about=rods,
        )


@rule("damper-held", Level.STOP)
def damper_held(of: Moving) -> Iterator[Found]:
    """A spring or damper has its ends on two bodies."""
    linkage = of.movement.linkage
    held: dict[str, list[str]] = {}
    for damper in linkage.job.damper if linkage.mechanism.bodies else ():
        one, other = (linkage.body_of(point) for point in damper.between)
        if other in linkage.fixed_to(one):
            bodies = dict.fromkeys("the frame" if each == FRAME else linkage.mechanism.bodies[each]
                                   for each in (one, other))  # fmt: skip
            held.setdefault(", fixed to ".join(bodies), []).append(damper.name)
    for body, names in held.items():
        do = (
            "put the point of the other end into the `points` of the [[body]] that carries it"
            if body == "the frame"
            else "give one end a point of the frame or of another [[body]]"
        )
        yield found(f"both ends are on {body}, so it springs nothing: {do}", about=names)


# -- through the travel --------------------------------------------------------------------
@rule("not-swept", Level.NOTE, source=LIMITS)
def not_swept(of: Moving) -> Iterator[Found]:
    """Travels are checked once the motion is as needed."""
    if not of.movement.sweeps and of.movement.linkage.job.sweep and of.movement.mobility is not None:
        yield found("travels were not checked: put the motion right first")


@rule("travel", Level.STOP, source=RANK_SOURCE)
def travel(of: Moving) -> Iterator[Found]:
    """Each travel given is reached, and no dead point ends it."""
    for result in of.movement.sweeps:
        if not result.places:
            yield found(f"{result.name}: the position to hold meanwhile cannot be reached")
        for reached, why in result.ends if result.places else ():
            needed = result.given[1] if reached >= 0.0 else result.given[0]
            how = "it comes to a dead point" if why == "dead point" else "the parts do not close any further"
            reaches = sentence(f"{result.name}: {result.words} reaches ", changes(reached), " of ", changes(needed))
            yield found(reaches, f", then {how}")


@rule("ball-angle", Level.NOTE, Level.WARN, Level.STOP, source=FROM_JOB)
def ball_angle(of: Moving) -> Iterator[Found]:
    """No ball is tilted past what its rod end takes."""
    most: dict[tuple[str, str], tuple[float, str]] = {}
    for result in of.movement.sweeps:
        for tilt in result.tilts:
            if len(tilt.angle) and tilt.angle.max() > most.get((tilt.mark, tilt.at), (-1.0, ""))[0]:
                most[tilt.mark, tilt.at] = float(tilt.angle.max()), result.name
    alike: dict[tuple[Level, str, float, str, str], list[_Tilted]] = {}
    told: dict[tuple[float, bool], list[_Tilted]] = {}
    for result in of.movement.sweeps:
        for tilt in result.tilts:
            limit, source = swing_limit(of.movement, tilt)
            if limit is None or not len(tilt.angle) or most[tilt.mark, tilt.at][1] != result.name:
                continue  # the travel that tilts it most tells all
            at = int(np.argmax(tilt.angle))
            angle = float(tilt.angle[at])
            unknown = "the bolt's direction ([[bolt]] or [[pin]])" if tilt.at else "the stud's axis"
            how = "" if tilt.square else f"; {unknown} is not given, so all of the swing is counted"
            if angle > limit:
                # Part of the swing may be a free turn about the bolt: nobody can tell without its direction.
                level, word = (Level.STOP if tilt.square else Level.WARN), "past"
            elif angle > _NEAR_LIMIT * limit:
                level, word = Level.WARN, "close to"
            elif how and source == MEMORY:
                level, word = Level.NOTE, "against"
            elif source == MEMORY:
                case = _Tilted(result, tilt, at)
                told.setdefault((round(limit, 6), bool(tilt.at)), []).append(case)
                continue
            else:
                continue
            alike.setdefault((level, word, limit, source, how), []).append(_Tilted(result, tilt, at))
    for (level, word, limit, source, how), cases in alike.items():
        said = sentence(" limit of ", degrees(limit, fixed=True), f" ({source}){how}")
        marks = [case.tilt.mark for case in cases]
        if len(cases) == 1:
            (case,) = cases
            tilts = sentence(f"{case.result.name}: {case.where} tilts ", *case.how_far)
            yield found(tilts, f", {word} its", said, level=level, about=marks)
            continue
        each = [sentence(case.whose, " ", *case.how_far, f", {case.result.name}") for case in cases]
        what = "rod ends" if all(case.tilt.at for case in cases) else "balls"
        yield found(
            f"{len(cases)} {what} tilt {word} their", said, ": ", named(each, "; ", FEW), level=level, about=marks
        )
    for (limit, is_rod_end), cases in told.items():
        yield _within(cases, "rod ends" if is_rod_end else "balls", limit)


@dataclass(frozen=True)
class _Tilted:
    """The largest tilt of a ball in a travel: in which, of which ball, and at which step."""

    result: SweepResult
    tilt: Tilt
    at: int

    @property
    def angle(self) -> float:
        return float(self.tilt.angle[self.at])

    @property
    def where(self) -> str:
        return f"rod end at its {self.tilt.at}" if self.tilt.at else "ball"

    @property
    def whose(self) -> str:
        return f"{self.tilt.mark} at its {self.tilt.at}" if self.tilt.at else self.tilt.mark

    @property
    def how_far(self) -> tuple[Part, ...]:
        return degrees(self.angle, fixed=True), sentence(" at ", driver_text(self.result, self.at))


def _within(cases: Sequence[_Tilted], what: str, limit: float) -> Found:
    """One sentence for all that stay well within a limit from memory: the largest of them."""
    worst = max(cases, key=lambda case: case.angle)
    limits = sentence(" limit of ", degrees(limit, fixed=True), f" ({MEMORY})")
    marks = tuple(case.tilt.mark for case in cases)
    if len(cases) == 1:
        start = f"{worst.result.name}: {worst.where} tilts "
        return found(start, *worst.how_far, ", against its", limits, level=Level.NOTE, about=marks)
    at = f" at its {worst.tilt.at}" if worst.tilt.at else ""
    most = f"{len(cases)} {what} tilt, most {worst.tilt.mark}'s{at}: {worst.result.name}, "
    return found(most, *worst.how_far, ", against their", limits, level=Level.NOTE, about=marks)


@rule("damper-length", Level.STOP, source=FROM_JOB)
def damper_length(of: Moving) -> Iterator[Found]:
    """Dampers stay between their closed and open lengths, as drawn and through each travel, and are longer than their
    two eyes; of an eye whose size is not given 25 mm counts."""
    given = of.movement.linkage.job.damper
    drawn = {damper.name: math.dist(*(point.xyz for point in damper.between)) for damper in given}
    past: dict[tuple[float, str], list[Damper]] = {}
    for damper in given:
        if (limit := _past(damper, drawn[damper.name])) is not None:
            past.setdefault((round(drawn[damper.name], 3), limit.words("mm")), []).append(damper)
    for (long, _), dampers in past.items():
        yield found(
            "drawn ", mm(long, fixed=True), " from eye to eye, but it is ", _past(dampers[0], long) or "", ": move "
            "a point of it, or take another damper", about=[damper.name for damper in dampers],
        )  # fmt: skip
    for result in of.movement.sweeps:
        for damper in given:
            length = result.dampers[damper.name]
            # One that is drawn past its length is told of that.
            if not len(length) or _past(damper, drawn[damper.name]) is not None:
                continue
            for at, comes in ((int(np.argmin(length)), "closes"), (int(np.argmax(length)), "opens")):
                if (limit := _past(damper, float(length[at]))) is not None:
                    how = sentence(f"{comes} to ", mm(length[at], fixed=True), " at ", driver_text(result, at))
                    yield found(f"{result.name}: ", how, ", but it is ", limit, about=damper.name)


def _past(damper: Damper, length: float) -> Sentence | None:
    """The limit that a damper of that length, mm, is past."""
    if damper.shortest is not None and length < damper.shortest - _SAME_LENGTH:
        return sentence(mm(damper.shortest, fixed=True), " long when closed")
    if damper.longest is not None and length > damper.longest + _SAME_LENGTH:
        return sentence(mm(damper.longest, fixed=True), " long when open")
    if is_all_eyes(damper, length):
        least = mm(2.0 * body_begins(damper), fixed=True)
        how = "with its eyes alone" if damper.eye_diameter is not None else "with two usual eyes, its own not given"
        return sentence(least, f" long {how}")
    return None


@rule("bush-gives", Level.NOTE)
def bush_gives(of: Moving) -> Iterator[Found]:
    """How far soft bushes have to give."""
    for result in of.movement.sweeps:
        for give in result.gives if result.places else ():
            slide, tilt = float(np.ptp(give.endwise)), float(give.tilt.max(initial=0.0))
            parts: list[Part] = []
            if slide > _SLIGHT:
                parts.append(sentence(changes(give.endwise.min(), give.endwise.max()), " endwise"))
            if math.degrees(tilt) > _SLIGHT:
                parts.append(sentence(degrees(tilt, fixed=True), " of tilt"))
            if parts:
                gives = sentence(f"{result.name}: this bush has to give ", joined(" and ", parts))
                yield found(gives, ": check that it can, and has room", about=give.joint)


# -- clearances -----------------------------------------------------------------------------
@rule("clearance", Level.WARN, Level.STOP)
def clearance(of: Moving) -> Iterator[Found]:
    """Envelopes and tyres keep clear of tubes, links, placed plates, brackets and covers, and one another."""
    for number, cleared in enumerate(of.movement.clearances):
        result = of.movement.sweeps[number] if of.movement.sweeps else None
        for clear in cleared:
            if clear.least < clear.wanted - 1e-3:
                yield _clash(clear, result)


def _clash(clear: Clearance, result: SweepResult | None) -> Found:
    x, y, z = clear.points.mean(axis=0)
    where = f"near ({x:.0f}, {y:.0f}, {z:.0f})"
    lead = f"{result.name}: " if result else ""
    when = sentence("at ", driver_at(result, clear.driver(result.driver))) if result else sentence("as drawn")
    if clear.least <= 0.0:
        into = sentence(f"{lead}runs into {clear.other} ", when, f", {where}")
        deep = sentence(", by ", mm(-clear.least, fixed=True), " at least") if clear.least < -0.05 else ""
        return found(into, deep, level=Level.STOP, about=clear.one)
    near = sentence(f"{lead}comes within ", mm(clear.least, fixed=True), f" of {clear.other} ", when, f", {where}; ")
    return found(near, mm(clear.wanted, fixed=True), " needed", about=clear.one)


@rule("movement-limits", Level.NOTE, source=LIMITS)
def movement_limits(of: Moving) -> Iterator[Found]:
    """What was taken as rigid, and what was not checked."""
    if of.movement.mobility is not None:
        yield found(
            "bodies, joints and rods were taken as rigid and without play. Loads, bending and wear were not checked; "
            "suspension, steering and brakes need their design judged by someone qualified"
        )


RULES = (
    *(freedoms, binds, dead_point, holds_twice, spins, damper_held, not_swept, travel, ball_angle, damper_length),
    *(bush_gives, clearance, movement_limits),
)
