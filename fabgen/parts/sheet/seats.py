"""What edges of sheet sit on, as a job gives it: the tube in place under the edge, and its words."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.plane.outline import Vertex
from fabgen.geometry.sheet.tube_seats import PlateEdge
from fabgen.geometry.space.frame import Frame, unit
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism
from fabgen.job.errors import listed, nearest
from fabgen.job.tables.bracket_tables import SeatGiven
from fabgen.job.tables.etch_tables import FLAT
from fabgen.parts.shape.sections import section_solid
from fabgen.parts.sheet.request import AnyRequest
from fabgen.shop.section import Section
from fabgen.wording.sentence import Part, Sentence, degrees, joined, mm, sentence


@dataclass(frozen=True, eq=False)
class SeatEdge:
    """An edge along x, the sheet above it: straight at y = 0, or sitting on a tube."""

    edge: PlateEdge | None
    words: Sentence

    def height(self, x: float) -> float:
        """y of the edge, mm; nan where it passes the tube by."""
        return 0.0 if self.edge is None else self.edge.height(x)

    def vertices(self, start: float, end: float) -> list[Vertex]:
        """The edge from x = `start` up to, and without, x = `end`."""
        return [Vertex(start, 0.0)] if self.edge is None else self.edge.vertices(start, end)

    def meets(self, start: float, end: float) -> bool:
        """Whether all of the edge sits on the tube."""
        return self.edge is None or not bool(np.isnan(self.edge.heights(np.linspace(start, end, 181))).any())


def section_of(request: AnyRequest, onto: Section | str, *below: str | int) -> Section | None:
    """The section that a key `below` the part's table names itself, or by the mark of a tube; None for a flat.

    Raises:
        Unfit: a mark that no tube has.
    """
    if isinstance(onto, Section):
        return onto
    if onto == FLAT:
        return None
    marks = {tube.mark: tube.section for tube in request.job.tube}
    if onto in marks:
        return marks[onto]
    accepted = "a section, or the mark of a tube" + (f": {listed(list(marks))}" if marks else "")
    raise request.unfit(below, f'"{onto}" is the mark of no tube', accepted, nearest(onto, list(marks)))


def tube_under(seat: SeatGiven, section: Section, middle: Frame, turn: float) -> RoundBar | RoundedPrism:
    """The tube under an edge.

    Args:
        seat: its `slope`, by which the axis rises (rad); `offset`, which moves it square to itself (mm; at turn 0
            toward z, at 90 degrees toward -x); `roll`, which turns the section (rad).
        middle: x along the edge, y up from it, z through the sheet, its origin in mid-sheet where the tube's axis
            passes when nothing is offset.
        turn: seen from above, from x toward z to the axis, rad.
    """
    along = math.cos(turn) * middle.x + math.sin(turn) * middle.z
    aside = math.cos(turn) * middle.z - math.sin(turn) * middle.x
    axis = math.cos(seat.slope) * along + math.sin(seat.slope) * middle.y
    up = unit(middle.y - float(middle.y @ axis) * axis)
    side = np.cross(up, axis)
    top = math.cos(seat.roll) * up + math.sin(seat.roll) * side
    solid = section_solid(section, Frame(middle.origin + seat.offset * aside, axis, np.cross(top, axis), top))
    assert isinstance(solid, RoundBar | RoundedPrism)
    return solid


def foot(request: AnyRequest, seat: SeatGiven | None, middle: Frame, usual: float, *below: str | int) -> SeatEdge:
    """The edge that sits on what `seat` says, given `below` the part's table.

    Args:
        middle: as for `tube_under`.
        usual: the turn where the seat gives none, rad.
    Raises:
        Unfit: a mark that no tube has.
    """
    section = None if seat is None else section_of(request, seat.onto, *below, "onto")
    if seat is None or section is None:
        return SeatEdge(None, sentence("a flat"))
    turn = usual if seat.turn is None else seat.turn
    tube = tube_under(seat, section, middle, turn)
    far_skin = Frame(middle.origin - request.thickness / 2.0 * middle.z, middle.x, middle.y, middle.z)
    return SeatEdge(PlateEdge(far_skin, request.thickness, tube), seat_words(seat, section, turn))


def seat_words(seat: SeatGiven, section: Section, turn: float) -> Sentence:
    """'tube 48.3 x 3.2, across it', with all that is not as usual."""
    name = f"{seat.onto}, " if isinstance(seat.onto, str) else ""
    turned = math.degrees(turn) % 180.0
    lie: Part = sentence("turned ", degrees(math.radians(turned), 2).named("turn"), " from it")
    if turned in (0.0, 90.0, 180.0):
        lie = "across it" if turned == 90.0 else "along it"
    words: list[Part] = [f"{name}tube {section}", lie]
    if seat.slope:
        words.append(sentence("its axis rising ", degrees(seat.slope, 2).named("slope")))
    if seat.offset:
        words.append(sentence("its axis ", mm(seat.offset, 2).named("offset"), " to the side"))
    if seat.roll:
        words.append(sentence("the section rolled ", degrees(seat.roll, 2).named("roll")))
    return joined(", ", words)
