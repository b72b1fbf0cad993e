"""What edges of sheet sit on, as a job gives it: the tube in place under the edge, and its words."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import Vertex
from fabgen.geometry.sheet.tube_seats import PlateEdge
from fabgen.geometry.space.frame import Frame, unit
from fabgen.geometry.tube.solids import Bar, RoundedPrism
from fabgen.job.errors import Path, Problem, listed, nearest
from fabgen.job.tables.bracket_tables import SeatGiven
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.etch_tables import FLAT
from fabgen.parts.sheet.features import Unfit, figure
from fabgen.parts.tube.cope import section_solid
from fabgen.shop.section import Section


@dataclass(frozen=True, eq=False)
class Foot:
    """An edge along x, the sheet above it: straight at y = 0, or sitting on a tube."""

    edge: PlateEdge | None
    words: str

    def height(self, x: float) -> float:
        """y of the edge, mm; nan where it passes the tube by."""
        return 0.0 if self.edge is None else self.edge.height(x)

    def vertices(self, start: float, end: float) -> list[Vertex]:
        """The edge from x = `start` up to, and without, x = `end`."""
        return [Vertex(start, 0.0)] if self.edge is None else self.edge.vertices(start, end)

    def meets(self, start: float, end: float) -> bool:
        """Whether all of the edge sits on the tube."""
        return self.edge is None or not bool(np.isnan(self.edge.heights(np.linspace(start, end, 181))).any())


def section_of(onto: Section | str, job: Definitions, path: Path, problems: list[Problem]) -> Section | None:
    """The section that a key names itself, or by the mark of a tube; None for a flat.  Raises Unfit."""
    if isinstance(onto, Section):
        return onto
    if onto == FLAT:
        return None
    marks = {tube.mark: tube.section for tube in job.tube}
    if onto in marks:
        return marks[onto]
    accepted = "a section, or the mark of a tube" + (f": {listed(list(marks))}" if marks else "")
    problems.append(Problem(path, f'"{onto}" is the mark of no tube', accepted, nearest(onto, list(marks))))
    raise Unfit


def tube_under(
    section: Section, middle: Frame, turn: float, slope: float, offset: float, roll: float
) -> Bar | RoundedPrism:
    """The tube under an edge.  `middle`: x along the edge, y up from it, z through the sheet, its origin
    in mid-sheet where the tube's axis passes when nothing is offset.

    Seen from above the axis runs at `turn` from x toward z; it rises by `slope`; `offset` moves it
    square to itself (at turn 0 toward z, at 90 degrees toward -x); `roll` turns the section.
    """
    along = math.cos(turn) * middle.x + math.sin(turn) * middle.z
    aside = math.cos(turn) * middle.z - math.sin(turn) * middle.x
    axis = math.cos(slope) * along + math.sin(slope) * middle.y
    up = unit(middle.y - float(middle.y @ axis) * axis)
    side = np.cross(up, axis)
    top = math.cos(roll) * up + math.sin(roll) * side
    solid = section_solid(section, Frame(middle.origin + offset * aside, axis, np.cross(top, axis), top))
    assert isinstance(solid, Bar | RoundedPrism)
    return solid


def foot(
    given: SeatGiven | None,
    middle: Frame,
    thickness: float,
    job: Definitions,
    path: Path,
    problems: list[Problem],
    usual: float,
) -> Foot:
    """The edge that sits on what `given` says, the tube's axis under `middle`'s origin; `usual` is the turn
    where none is given.  Raises Unfit."""
    section = None if given is None else section_of(given.onto, job, (*path, "onto"), problems)
    if given is None or section is None:
        return Foot(None, "a flat")
    turn = usual if given.turn is None else given.turn
    tube = tube_under(section, middle, turn, given.slope, given.offset, given.roll)
    far_skin = Frame(middle.origin - thickness / 2.0 * middle.z, middle.x, middle.y, middle.z)
    return Foot(PlateEdge(far_skin, thickness, tube), seat_words(given, section, turn))


def seat_words(given: SeatGiven, section: Section, turn: float) -> str:
    """'tube 48.3 x 3.2, across it', with all that is not as usual."""
    name = f"{given.onto}, " if isinstance(given.onto, str) else ""
    degrees = math.degrees(turn) % 180.0
    lie = (
        "along it"
        if degrees in (0.0, 180.0)
        else "across it"
        if degrees == 90.0
        else f"turned {figure(degrees)}° from it"
    )
    words = [f"{name}tube {section}, {lie}"]
    if given.slope:
        words.append(f"its axis rising {figure(math.degrees(given.slope))}°")
    if given.offset:
        words.append(f"its axis {figure(given.offset)} mm to the side")
    if given.roll:
        words.append(f"the section rolled {figure(math.degrees(given.roll))}°")
    return ", ".join(words)
