"""Checks of what moves: freedoms, what holds twice, rod-end angles, dampers, clearances."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from fabgen.checks.finding import Finding
from fabgen.checks.motion.motion_words import motion_text
from fabgen.geometry.mechanics.mechanism import NEARLY, Mobility
from fabgen.job.errors import listed
from fabgen.job.tables.place_tables import Placeable
from fabgen.motion.keep_out import Clearance
from fabgen.motion.movement import Study, swing_limit
from fabgen.motion.travel import SweepResult
from fabgen.shop.rod_ends import MEMORY
from fabgen.wording.levels import Level

RANK_SOURCE = "rank of the constraint matrix; K. H. Hunt, Kinematic Geometry of Mechanisms, 1978"
PRACTICE = "common practice, no source"
MARK = "movement"
_NEAR_LIMIT = 0.9
_SLIGHT = 0.5
"""A bush is not said to give less than this, mm."""


def check_movement(study: Study | None) -> list[Finding]:
    """Every finding on the job's movement."""
    if study is None:
        return []
    found = [*check_freedoms(study), *check_overheld(study), *check_sweeps(study)]
    found += [*check_tilts(study), *check_dampers(study), *check_bushes(study), *check_clearances(study)]
    return [*found, *_not_looked_at(study)]


# -- freedoms ---------------------------------------------------------------------------
def check_freedoms(study: Study) -> Iterator[Finding]:
    """It moves in as many ways as wanted, and each driver holds one of them."""
    mobility, wanted = study.mobility, study.made.wanted
    if mobility is None:
        return
    if wanted is None:
        text = f"{_ways(mobility.freedoms)}; no sweep and no [movement] freedoms say how many are wanted"
        yield Finding(Level.NOTE, (MARK,), "freedoms", text + _motions(study), RANK_SOURCE)
    elif mobility.lasting < wanted:
        yield from _too_few(study, mobility, wanted)
    elif mobility.freedoms > wanted:
        extra = mobility.freedoms - wanted
        what = "one motion" if extra == 1 else f"{extra} motions"
        text = f"{_ways(mobility.freedoms)} where {wanted} {'is' if wanted == 1 else 'are'} wanted: {what} too many"
        text += _motions(study) + ". It settles wherever the load takes it: another link, or a joint that holds more"
        yield Finding(Level.STOP, (MARK,), "freedoms", text, RANK_SOURCE)
    elif study.held is not None and study.held.freedoms:
        text = f"the drivers ({_drivers(study)}) do not hold every motion as drawn: a dead point, or drivers alike"
        yield Finding(Level.STOP, (MARK,), "freedoms", text + _motions(study), RANK_SOURCE)
    elif mobility.weakest < NEARLY or (study.held is not None and study.held.weakest < NEARLY):
        text = "it stands near a dead point: a small error in making decides how it moves"
        yield Finding(Level.WARN, (MARK,), "dead-point", text, RANK_SOURCE)


def _too_few(study: Study, mobility: Mobility, wanted: int) -> Iterator[Finding]:
    text = f"it binds: {_ways(mobility.lasting)} where {wanted} {'is' if wanted == 1 else 'are'} wanted"
    if mobility.freedoms > mobility.lasting:
        text += "; at the very position drawn it seems to move, but past a small shake it locks"
    elif mobility.nearly >= wanted:
        text += "; joints that are all but in line hold one another: give their points and axes exactly in line"
    for mark, (short, long) in study.forced.items():
        text += f". To follow the travel {mark} would have to change its length by {_plus(short)} to {_plus(long)} mm"
    if study.forced:
        text += ": metal or bushes would have to give that"
    yield Finding(Level.STOP, (MARK,), "binds", text, RANK_SOURCE)


def _motions(study: Study) -> str:
    if not study.free:
        return ""
    beside = " with the driver held" if study.held is not None and study.held.freedoms else ""
    return f"; free{beside}: " + " / ".join(motion_text(study.made, motion) for motion in study.free)


def _drivers(study: Study) -> str:
    return ", ".join(driver.words for driver in study.made.drivers)


def _ways(count: int) -> str:
    if count == 0:
        return "it cannot move"
    return "it moves in one way" if count == 1 else f"it moves in {count} ways"


def check_overheld(study: Study) -> Iterator[Finding]:
    """Nothing is held twice: what is fits only if it is made exactly."""
    if study.mobility is None or (study.made.wanted or 0) > study.mobility.lasting:
        return
    for group in study.mobility.overheld:
        names = " and ".join(group.owners) if len(group.owners) < 3 else ", ".join(group.owners)
        times = "once" if group.count == 1 else f"{group.count} times"
        text = (
            f"{names} hold the same motion {times} more than needed: they bind unless made exactly true to one "
            "another. A ball or a soft bush in place of one takes it up"
        )
        yield Finding(Level.WARN, (MARK,), "holds-twice", text, RANK_SOURCE)


# -- through the travel --------------------------------------------------------------------
def check_sweeps(study: Study) -> Iterator[Finding]:
    """Each travel asked for is reached, and no dead point ends it."""
    if not study.sweeps and study.made.job.sweep and study.mobility is not None:
        yield Finding(
            Level.NOTE, (MARK,), "not-swept", "the travels were not gone through: first the motion must be as wanted"
        )
    for result in study.sweeps:
        if not result.places:
            text = f"{result.name}: the position that is to be held meanwhile cannot be reached"
            yield Finding(Level.STOP, (MARK,), "travel", text, RANK_SOURCE)
            continue
        for reached, why in result.ends:
            asked = result.asked[1] if reached >= 0.0 else result.asked[0]
            how = "it comes to a dead point" if why == "dead point" else "the parts do not close any further"
            text = f"{result.name}: {result.words} gets to {_plus(reached)} mm of {_plus(asked)} mm, then {how}"
            yield Finding(Level.STOP, (MARK,), "travel", text, RANK_SOURCE)


def check_tilts(study: Study) -> Iterator[Finding]:
    """No ball is tilted past what its rod end takes."""
    for result in study.sweeps:
        for tilt in result.tilts:
            limit, source = swing_limit(study, tilt)
            if limit is None or not len(tilt.angle):
                continue
            at = int(np.argmax(tilt.angle))
            angle = float(tilt.angle[at])
            where = f"rod end at its {tilt.at}" if tilt.at else "ball"
            unknown = "the bolt's direction ([[pin]])" if tilt.at else "the stud's axis"
            how = "" if tilt.square else f"; {unknown} is not given, so the whole swing is counted"
            text = (
                f"{result.name}: {where} tilts {math.degrees(angle):.1f}° at {_driver(result, at)}, "
                f"{{}} its limit of {math.degrees(limit):.1f}° ({source}){how}"
            )
            if angle > limit and tilt.square:
                yield Finding(Level.STOP, (tilt.mark,), "ball-angle", text.format("past"), "")
            elif angle > limit:
                # Part of the swing may be a free turn about the bolt: nobody can tell without its direction.
                yield Finding(Level.WARN, (tilt.mark,), "ball-angle", text.format("past"), "")
            elif angle > _NEAR_LIMIT * limit:
                yield Finding(Level.WARN, (tilt.mark,), "ball-angle", text.format("close to"), "")
            elif source == MEMORY:
                yield Finding(Level.NOTE, (tilt.mark,), "ball-angle", text.format("against"), "")


def check_dampers(study: Study) -> Iterator[Finding]:
    """Dampers stay between their closed and open lengths."""
    for result in study.sweeps:
        for damper in study.made.job.damper:
            length = result.dampers[damper.name]
            if not len(length):
                continue
            low, high = int(np.argmin(length)), int(np.argmax(length))
            if damper.shortest is not None and length[low] < damper.shortest:
                text = f"closes to {length[low]:.1f} mm at {_driver(result, low)}, but no shorter than "
                text += f"{damper.shortest:.1f} mm it can be"
                yield Finding(Level.STOP, (damper.name,), "damper-length", f"{result.name}: {text}")
            if damper.longest is not None and length[high] > damper.longest:
                text = f"opens to {length[high]:.1f} mm at {_driver(result, high)}, but no longer than "
                text += f"{damper.longest:.1f} mm it can be"
                yield Finding(Level.STOP, (damper.name,), "damper-length", f"{result.name}: {text}")


def check_bushes(study: Study) -> Iterator[Finding]:
    """What soft bushes are asked to give."""
    for result in study.sweeps:
        for give in result.gives if result.places else ():
            slide, tilt = float(np.ptp(give.endwise)), float(give.tilt.max(initial=0.0))
            if slide > _SLIGHT or math.degrees(tilt) > _SLIGHT:
                parts = (
                    [f"{_plus(give.endwise.min())} to {_plus(give.endwise.max())} mm endwise"]
                    if slide > _SLIGHT
                    else []
                )
                parts += [f"{math.degrees(tilt):.1f}° of tilt"] if math.degrees(tilt) > _SLIGHT else []
                text = f"{result.name}: this bush has to give {' and '.join(parts)}: see that it can, and has the room"
                yield Finding(Level.NOTE, (give.joint,), "bush-gives", text, PRACTICE)


# -- clearances -----------------------------------------------------------------------------
def check_clearances(study: Study) -> Iterator[Finding]:
    """Envelopes and tyres keep clear of tubes, links, placed plates, brackets and covers, and one another."""
    for number, list_ in enumerate(study.clearances):
        result = study.sweeps[number] if study.sweeps else None
        for clear in list_:
            if clear.least < clear.wanted - 1e-3:
                yield _clash(clear, result)


def _clash(clear: Clearance, result: SweepResult | None) -> Finding:
    x, y, z = clear.points.mean(axis=0)
    where = f"near ({x:.0f}, {y:.0f}, {z:.0f})"
    lead = f"{result.name}: " if result else ""
    when = f"at {_driver(result, clear.at)}" if result else "as drawn"
    if clear.least <= 0.0:
        deep = f", by {-clear.least:.1f} mm at least" if clear.least < -0.05 else ""
        text = f"{lead}runs into {clear.other} {when}, {where}{deep}"
        return Finding(Level.STOP, (clear.one,), "clearance", text, PRACTICE)
    text = f"{lead}comes within {clear.least:.1f} mm of {clear.other} {when}, {where}; {clear.wanted:.1f} mm is wanted"
    return Finding(Level.WARN, (clear.one,), "clearance", text, PRACTICE)


def _driver(result: SweepResult, at: int) -> str:
    return f"{result.words} {_plus(result.driver[at])} mm"


def _plus(value: float) -> str:
    """With its sign, and never '-0.0'."""
    return "0.0" if abs(value) < 0.05 else f"{value:+.1f}"


def _without_place(study: Study) -> list[str]:
    """Parts that a `place` may be given to and that no place is known of, or not of all of them."""
    job, known = study.made.job, {thing.name for thing in study.things}
    found = []
    for part in job.parts():
        if not isinstance(part, Placeable):
            continue
        placed = len(part.place) or int(part.mark in known)
        if placed < part.quantity:
            found.append(f"{part.mark} ({part.quantity - placed} of {part.quantity})" if placed else part.mark)
    return found


def _not_looked_at(study: Study) -> Iterator[Finding]:
    unplaced = _without_place(study)
    if any(thing.kept for thing in study.things) and unplaced:
        text = "clearances were looked at for tubes, links, envelopes and parts with a place; no `place` have "
        text += f"{listed(unplaced)}: give one to what may foul"
        yield Finding(Level.NOTE, (MARK,), "not-looked-at", text)
    if study.mobility is not None:
        text = (
            "bodies, joints and rods were taken as rigid and without play. Loads, bending and wear were not looked at; "
            "suspension, steering and brakes need their design judged by someone qualified"
        )
        yield Finding(Level.NOTE, (MARK,), "movement-limits", text)
