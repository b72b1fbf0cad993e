"""Holes of sheet parts from their definition, patterns spread out, and whether there is metal round each."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from shapely import STRtree

from fabgen.geometry.plane.outline import Circle, Loop, Outline, Xy
from fabgen.geometry.plane.regions import inside, region
from fabgen.job.errors import InputError, Path, Problem
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.flat_tables import HoleGiven
from fabgen.parts.piece import Hole
from fabgen.parts.shape.bush_seats import bush_named
from fabgen.parts.shape.hole_groups import hole_words
from fabgen.parts.sheet.request import AnyRequest, Unfit
from fabgen.shop.fits import hole_for
from fabgen.shop.threaded.clearance_holes import UnknownBoltError, clearance
from fabgen.wording.figures import figure
from fabgen.wording.sentence import Sentence, coordinate, mm, sentence


@dataclass(frozen=True, slots=True)
class PlacedHole:
    """A hole in the coordinates its definition uses, with where it was defined and the face it is on."""

    path: Path
    at: Xy
    hole: Hole
    face: str = ""


# -- from the definition --------------------------------------------------------
def given_holes(request: AnyRequest, faces: Sequence[str] = ()) -> list[PlacedHole]:
    """Every hole that the part's table lists, patterns spread out; faults are kept in the request.

    Args:
        faces: of a folded part, one of which every hole must name where there are several.
    """
    placed: list[PlacedHole] = []
    for i, entry in enumerate(request.given.holes):
        face = entry.face or (faces[0] if len(faces) == 1 else "")
        if faces and face not in faces:
            accepted = "face = " + " or ".join(f'"{each}"' for each in faces)
            request.fault(("holes", i), "the hole does not say which face it is on", accepted)
            continue
        try:
            placed += [
                PlacedHole((*request.path, "holes", i), at, hole, face) for at, hole in _spread(request, i, entry)
            ]
        except Unfit:
            continue
    return placed


def bolt_hole(request: AnyRequest, given: HoleGiven | Bracket, *below: str | int) -> Hole:
    """A round hole about (0, 0) for a `bolt`, or of a `diameter`, given `below` the part's table; raises Unfit for
    a bolt that no table has."""
    if given.bush is not None:
        return _bush_hole(request, given, *below)
    if given.bolt is None:
        diameter = given.diameter or 0.0
        return Hole(Circle(0.0, 0.0, diameter), figure(diameter, 2), drilled=bool(given.drilled))
    try:
        size = clearance(given.bolt, given.fit or request.job.job.hole_fit)
    except UnknownBoltError as error:
        raise request.unfit((*below, "bolt"), error.said, error.takes, error.nearest) from error
    label = f"{figure(size.diameter, 2)} for {size.bolt}"
    return Hole(Circle(0.0, 0.0, size.diameter), label, size.bolt, drilled=bool(given.drilled))


def _bush_hole(request: AnyRequest, given: HoleGiven | Bracket, *below: str | int) -> Hole:
    """A round hole about (0, 0) for the bush it names, of the size its fit needs or the one given; raises Unfit."""
    try:
        bush = bush_named(request.job, given.bush or "")
    except InputError as fault:
        raise request.unfit((*below, "bush"), fault.said, fault.takes, fault.nearest) from None
    diameter = given.diameter or hole_for(bush.fit, bush.section.width)
    label = f"{figure(diameter, 2)} for {bush.mark}"
    return Hole(Circle(0.0, 0.0, diameter), label, drilled=bool(given.drilled), bush=bush.mark)


def _spread(request: AnyRequest, number: int, given: HoleGiven) -> list[tuple[Xy, Hole]]:
    """The holes of one entry with their middles."""
    hole = bolt_hole(request, given, "holes", number)
    shape: Loop = hole.shape
    label = hole.label
    if given.length is not None:
        diameter = shape.bounds[2] - shape.bounds[0]
        if given.length <= diameter:
            what = sentence(
                "a slot ", mm(given.length, 2), " long is no longer than it is wide (", mm(diameter, 2), ")"
            )
            raise request.unfit(("holes", number, "length"), what, "the length over all, more than the width")
        shape = Outline.stadium(given.length, diameter).turned(given.turn)
        label = f"slot {figure(given.length, 2)} x {label}"
    return [(at, replace(hole, shape=shape.moved(*at), label=label)) for at in _centres(given)]


def _centres(given: HoleGiven) -> Iterator[Xy]:
    x, y = given.at
    if given.row is not None:
        dx, dy = given.row.pitch * math.cos(given.row.turn), given.row.pitch * math.sin(given.row.turn)
        yield from ((x + dx * i, y + dy * i) for i in range(given.row.count))
    elif given.grid is not None:
        px, py = given.grid.pitch
        yield from ((x + px * i, y + py * j) for j in range(given.grid.rows) for i in range(given.grid.columns))
    elif given.circle is not None:
        r, count, start = given.circle.diameter / 2.0, given.circle.count, given.circle.start
        turns = (start + 2.0 * math.pi * i / count for i in range(count))
        yield from ((x + r * math.cos(a), y + r * math.sin(a)) for a in turns)
    else:
        yield x, y


# -- metal round them -----------------------------------------------------------
def check_flat_holes(placed: Sequence[PlacedHole], outline: Loop, problems: list[Problem]) -> None:
    """Raises Unfit, faults kept, where a hole of a flat part leaves its outline or meets another."""
    pairs = [(item, item.hole.shape) for item in placed]
    zero = "the middle" if isinstance(outline, Circle) or outline.bounds[0] < 0.0 else "its lower left corner"
    accepted = f"holes with metal all round, `at` in the outline's own coordinates, from {zero}"
    if not (check_inside(pairs, outline, "leaves the outline", accepted, problems) and check_apart(pairs, problems)):
        raise Unfit


def check_inside(
    placed: Iterable[tuple[PlacedHole, Loop]], outline: Loop, what: str, accepted: str, problems: list[Problem]
) -> bool:
    """Whether every loop lies inside `outline`; of the first of each definition that does not, a problem says that
    the hole is or does `what`."""
    at_fault: set[Path] = set()
    for item, loop in placed:
        if item.path not in at_fault and not inside(loop, outline):
            at_fault.add(item.path)
            problems.append(Problem(item.path, sentence(_where(item), f" {what}"), accepted))
    return not at_fault


def check_apart(placed: Sequence[tuple[PlacedHole, Loop]], problems: list[Problem]) -> bool:
    """Whether no two holes cross or touch; the first pair of each definition is a problem."""
    shapes = [region(loop) for _, loop in placed]
    at_fault: set[Path] = set()
    pairs = STRtree(shapes).query(shapes, predicate="intersects").T if shapes else []
    for i, j in sorted((int(i), int(j)) for i, j in pairs if i < j):
        first, second = placed[i][0], placed[j][0]
        if second.path not in at_fault:
            at_fault.add(second.path)
            what = sentence(_where(second), " crosses ", _where(first))
            problems.append(Problem(second.path, what, "holes with metal between them"))
    return not at_fault


def _where(item: PlacedHole) -> Sentence:
    x, y = (coordinate(each) for each in item.at)
    return sentence("the hole ", hole_words(item.hole), " at (", x, ", ", y, ")")
