"""From a job's bodies, joints and link rods to a mechanism and what drives it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.mechanics import constraints
from fabgen.geometry.mechanics.constraints import FRAME, ConstraintRow
from fabgen.geometry.mechanics.mechanism import Mechanism
from fabgen.geometry.space.frame import Array
from fabgen.job.document import repeated
from fabgen.job.errors import Path, Problem, Problems, listed, nearest, shown
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.job.tables.movement_tables import APART, FRAME_NAME, TABLES, TOWARD_ITSELF, AxisDirection, JointGiven, Sweep
from fabgen.job.tables.place_tables import Placeable, PlaceGiven
from fabgen.job.values.point import Point
from fabgen.motion.carried_points import carried
from fabgen.motion.linkage import Driver, Linkage, Rod, stiffness
from fabgen.motion.riders import Riders
from fabgen.motion.spins import hanging, spins
from fabgen.parts.piece import Piece
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.pin_ways import pin_way
from fabgen.parts.shape.directions import array, direction


def assemble(job: Definitions, pieces: Sequence[Piece] = (), bolts: Sequence[BoltLine] = ()) -> Linkage | None:
    """The job's mechanism.

    Args:
        job: its definitions.
        pieces: its parts; a point that no body names rides on the one whose part alone ends or is drilled there.
        bolts: where its bolts stand; they say which way those of rod ends run, before any [[pin]].
    Returns: None where nothing moves and nothing must be kept free.
    Raises:
        JobError: with all faults.
    """
    problems = Problems()
    if not job.body:
        problems += [
            Problem((table,), f"[[{table}]] needs movement, but no body moves", "a [[body]] for what moves")
            for table in TABLES
            if getattr(job, table) and table not in ("envelope", "wheel", "pin")
        ]
        problems += [
            Problem((*path, "on"), "no body of the job moves", "no `on`: it stands with the frame")
            for path, given in placed_parts(job)
            if given.on not in (None, FRAME_NAME)
        ]
        problems.report()
        if not job.envelope and not job.wheel:
            return None
    names = tuple(body.name for body in job.body)
    _check_names(job, names, problems)
    _check_axes(job, problems)
    riding = _riding(job, problems)
    problems.report()
    empty = Linkage(job, Mechanism(names, ()), (), (), (), riding)
    empty = replace(empty, carried=carried(Riders(empty, pieces)))
    rows = [row for joint in job.joint for row in _joint(empty, joint)]
    rods = _rods(empty, bolts)
    rows += [constraints.rod(rod.mark, *rod.bodies, *rod.ends) for rod in rods]
    drivers, drives = _drivers(empty, problems)
    problems.report()
    hung = hanging(job, empty.number, ((rod.bodies, rod.ends) for rod in rods))
    free = spins(Mechanism(names, tuple(rows)), hung)
    mechanism = Mechanism(names, (*rows, *(spin.row for spin in free)))
    return Linkage(job, mechanism, tuple(drivers), tuple(drives), tuple(rods), riding, tuple(free), empty.carried)


# -- names ------------------------------------------------------------------------------
def _check_names(job: Definitions, names: tuple[str, ...], problems: list[Problem]) -> None:
    known = [*names, FRAME_NAME]

    def body(path: Path, name: str) -> None:
        if name not in known:
            problems.append(Problem(path, f"there is no body {shown(name)}", listed(known), nearest(name, known)))

    for i, joint in enumerate(job.joint):
        for j, name in enumerate(joint.between):
            body(("joint", i, "between", j), name)
    for i, wheel in enumerate(job.wheel):
        body(("wheel", i, "on"), wheel.on)
    for i, envelope in enumerate(job.envelope):
        body(("envelope", i, "on"), envelope.on)
    for table in ("body", "damper", "sweep"):
        _twice([(table, i, entry.name) for i, entry in enumerate(getattr(job, table))], problems)
    kept = [("wheel", i, wheel.name) for i, wheel in enumerate(job.wheel)]
    kept += [("envelope", i, envelope.name) for i, envelope in enumerate(job.envelope)]
    parts = [(table, i, part.mark) for table, i, part in job.part_entries()]
    _twice([*parts, *kept], problems)
    for path, given in placed_parts(job):
        if given.on is not None:
            body((*path, "on"), given.on)
    links = [("link", i, link.mark) for i, link in enumerate(job.link)]
    _twice(links + [("joint", i, joint.name) for i, joint in enumerate(job.joint)], problems)
    movable = {mark for _, _, mark in parts}
    movable |= {wheel.name for wheel in job.wheel} | {envelope.name for envelope in job.envelope}
    movable |= {damper.name for damper in job.damper}
    for table in ("wheel", "envelope"):
        for i, entry in enumerate(getattr(job, table)):
            for j, name in enumerate(entry.ignore):
                if name not in movable:
                    what = f"there is no part, wheel, envelope or damper {shown(name)}"
                    path = (table, i, "ignore", j)
                    problems.append(Problem(path, what, listed(sorted(movable)), nearest(name, movable)))


def placed_parts(job: Definitions) -> Iterator[tuple[Path, PlaceGiven]]:
    """Every `place` of a part, and where it is written."""
    for table, i, part in job.part_entries():
        if isinstance(part, Placeable):
            for j, given in enumerate(part.place):
                yield (table, i, "place", *((j,) if len(part.place) > 1 else ())), given


def _check_axes(job: Definitions, problems: list[Problem]) -> None:
    """Axes that run toward the point they start from."""
    given: list[tuple[str, int, AxisDirection | None, Point | None]] = []
    given += [("joint", i, joint.axis, joint.at) for i, joint in enumerate(job.joint)]
    given += [("wheel", i, wheel.axis, wheel.centre) for i, wheel in enumerate(job.wheel)]
    given += [("envelope", i, envelope.axis, envelope.at) for i, envelope in enumerate(job.envelope)]
    for table, i, axis, at in given:
        if axis is not None and at is not None and axis.runs_toward(at):
            problems.append(Problem((table, i, "axis"), TOWARD_ITSELF, APART))


def _twice(entries: list[tuple[str, int, str]], problems: list[Problem]) -> None:
    named = [((table, i, "mark" if table in FAMILIES else "name"), name) for table, i, name in entries]
    problems += repeated(named, "the name {} is taken already by {}", "a name of its own")


def _riding(job: Definitions, problems: list[Problem]) -> dict[str, int]:
    """The body of each point and mark that the bodies name, as 'point FL' and 'mark T1'."""
    riding: dict[str, int] = {}
    place: dict[str, Path] = {}
    marks = [part.mark for part in (*job.tube, *job.profile)]
    sheet = {part.mark: part.is_placed for part in job.parts() if isinstance(part, Placeable)}
    others = {part.mark for part in job.parts()}.difference(marks, sheet)
    marks += [mark for mark, placed in sheet.items() if placed]

    def put(key: str, number: int, path: Path) -> None:
        if key in riding:
            what = f"the {key} rides on {shown(job.body[riding[key]].name)} already"
            problems.append(Problem(path, what, "each point and mark on one body", other=place[key]))
        riding[key], place[key] = number, path

    for i, body in enumerate(job.body):
        for j, point in enumerate(body.points):
            path: Path = ("body", i, "points", j)
            if point.name:
                put(f"point {point.name}", i, path)
            else:
                problems.append(Problem(path, "a point that rides on a body needs a name", "a name under [points]"))
        for j, mark in enumerate(body.marks):
            path = ("body", i, "marks", j)
            if mark in marks:
                put(f"mark {mark}", i, path)
            elif mark in sheet:
                what = f"{shown(mark)} has no place, so its path is not known"
                problems.append(Problem(path, what, f"a `place` for {mark}, or its mark left out here"))
            elif mark in others:
                what = f"{shown(mark)} is not named here: it goes with what it is fitted to"
                problems.append(Problem(path, what, f"the mark of that, and {mark} left out here"))
            else:
                accepted = "the mark of a tube or profile, or of a plate, bracket or cover that has a place"
                accepted += f": {listed(marks)}" if marks else "; there is none"
                problems.append(Problem(path, f"there is no part {shown(mark)}", accepted, nearest(mark, marks)))
    return riding


# -- joints and rods -----------------------------------------------------------------------
def _joint(linkage: Linkage, joint: JointGiven) -> list[ConstraintRow]:
    one, other = (linkage.number(name) for name in joint.between)
    at = array(joint.at)
    if joint.kind == "ball":
        return constraints.ball(joint.name, one, other, at)
    if joint.kind == "fixed":
        return constraints.fixed(joint.name, one, other, at)
    assert joint.axis is not None
    axis = direction(joint.axis, at)
    if joint.kind == "bush":
        return constraints.bush(joint.name, one, other, at, axis, stiffness(joint))
    kinds: dict[str, Callable[[str, int, int, Array, Array], list[ConstraintRow]]] = {
        "hinge": constraints.hinge,
        "slider": constraints.slider,
        "sleeve": constraints.sleeve,
    }
    return kinds[joint.kind](joint.name, one, other, at, axis)


def _rods(linkage: Linkage, bolts: Sequence[BoltLine]) -> list[Rod]:
    found = []
    for i, link in enumerate(linkage.job.link):
        if link.between is None:
            continue
        a, b = link.between
        one, other = linkage.body_of(a), linkage.body_of(b)
        if one != other:
            ends = array(a), array(b)
            pins = pin_way(ends[0], bolts, linkage.job.pin), pin_way(ends[1], bolts, linkage.job.pin)
            found.append(Rod(link.mark, (one, other), ends, i, pins))
    return found


# -- drivers -------------------------------------------------------------------------------
def _drivers(linkage: Linkage, problems: list[Problem]) -> tuple[list[Driver], list[int]]:
    found: dict[tuple[str, str], Driver] = {}
    drives: list[int] = []
    for i, sweep in enumerate(linkage.job.sweep):
        path: Path = ("sweep", i)
        if sweep.travel[0] >= sweep.travel[1]:
            problems.append(Problem((*path, "travel"), "the travel has no length", "the least change, then the most"))
        for j, point in enumerate(sweep.watch):
            if linkage.body_of(point) == FRAME:
                what = "this point rides on no body, so it does not move"
                problems.append(Problem((*path, "watch", j), what, "a point that a [[body]] names"))
        problems += _held_problems(linkage, sweep, path)
        key, driver = _driver(linkage, sweep, path, problems)
        if driver is not None:
            found.setdefault(key, driver)
            drives.append(list(found).index(key))
    return list(found.values()), drives


def _held_problems(linkage: Linkage, sweep: Sweep, path: Path) -> list[Problem]:
    others = {other.name: other for other in linkage.job.sweep if other.name != sweep.name}
    found = []
    for name in sweep.held:
        other = others.get(name)
        if other is None:
            what = f"there is no other sweep {shown(name)}"
            found.append(Problem((*path, "held", name), what, listed(others), nearest(name, others)))
        elif (other.height, other.damper, other.rack) == (sweep.height, sweep.damper, sweep.rack):
            what = f"the sweep {shown(name)} has the same driver, which cannot be held while it moves"
            found.append(Problem((*path, "held", name), what, "a sweep with another driver"))
    return found


def _driver(
    linkage: Linkage, sweep: Sweep, path: Path, problems: list[Problem]
) -> tuple[tuple[str, str], Driver | None]:
    if sweep.height is not None:
        body, at = linkage.body_of(sweep.height), array(sweep.height)
        if body == FRAME:
            what = "this point rides on no body, so it cannot go up and down"
            problems.append(Problem((*path, "height"), what, "a point that a [[body]] names"))
            return ("", ""), None
        name = sweep.height.name
        row = ConstraintRow(
            f"height of {name}", "gap", FRAME, body, np.zeros(3), at, float(at[2]), np.array([0.0, 0.0, 1.0])
        )
        return ("height", name), Driver(f"height of {name}", row)
    if sweep.damper is not None:
        return ("damper", sweep.damper), _damper_driver(linkage, sweep.damper, path, problems)
    assert sweep.rack is not None
    racks = {joint.name: joint for joint in linkage.job.joint if joint.kind in ("slider", "sleeve", "bush")}
    joint = racks.get(sweep.rack)
    if joint is None or joint.axis is None:
        accepted = f"a joint that slides: {listed(racks)}" if racks else "a joint of kind slider; there is none"
        what = f"there is no slider {shown(sweep.rack)}"
        problems.append(Problem((*path, "rack"), what, accepted, nearest(sweep.rack, racks)))
        return ("", ""), None
    one, other = (linkage.number(name) for name in joint.between)
    at = array(joint.at)
    row = ConstraintRow(f"travel of {joint.name}", "gap", one, other, at, at, 0.0, direction(joint.axis, at), one)
    return ("rack", joint.name), Driver(f"travel of {joint.name}", row)


def _damper_driver(linkage: Linkage, name: str, path: Path, problems: list[Problem]) -> Driver | None:
    dampers = {damper.name: damper for damper in linkage.job.damper}
    damper = dampers.get(name)
    if damper is None:
        accepted = f"a [[damper]]: {listed(dampers)}" if dampers else "a [[damper]]; there is none"
        what = f"there is no damper {shown(name)}"
        problems.append(Problem((*path, "damper"), what, accepted, nearest(name, dampers)))
        return None
    a, b = damper.between
    one, other = linkage.body_of(a), linkage.body_of(b)
    if one == other or np.allclose(array(a), array(b)):
        what = f"both ends of the damper {shown(name)} are on one body" if one == other else "the damper has no length"
        problems.append(Problem((*path, "damper"), what, "two points apart, on two bodies"))
        return None
    return Driver(f"length of {name}", constraints.rod(f"length of {name}", one, other, array(a), array(b)))
