"""What edges of sheet sit on, as a job gives it: the tube in place under the edge, and its words."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.plane.outline import Vertex
from fabgen.geometry.sheet.tube_seats import PlateEdge
from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism
from fabgen.job.errors import listed, nearest
from fabgen.job.expansion.pieces import pieces_of, whole_or_piece
from fabgen.job.tables.bracket_tables import SeatGiven
from fabgen.job.tables.etch_tables import FLAT
from fabgen.parts.shape.sections import section_solid
from fabgen.parts.sheet.request import AnyRequest
from fabgen.shop.section import Section
from fabgen.wording.sentence import Part, Sentence, degrees, joined, mm, sentence


@dataclass(frozen=True, eq=False)
class Foot:
    """What an edge of a part is cut to sit on, in (u, v) of a face and the height over its back, mm.

    `name`: what the edge is called, 'foot'; `onto`: the mark of the tube, those of its pieces where it was cut in
    several, none where the job gives a section; `under`: x along the tube's axis, z up from it
    toward the part, the origin on the axis where it passes; `edge`: unit (3,), the way the edge runs; `section`: of the
    tube, which lies `roll` about its axis.
    """

    name: str
    onto: tuple[str, ...]
    section: Section
    roll: float
    face: str
    under: Frame
    edge: Array

    @staticmethod
    def of(request: AnyRequest, seat: SeatGiven, section: Section, face: str, middle: Frame, turn: float) -> Foot:
        """The foot on a tube under it.

        Args:
            seat: as the job gives it.
            section: of the tube.
            face: in whose (u, v) and height over its back `middle` is given.
            middle, turn: as `tube_under` takes them.
        """
        onto: tuple[str, ...] = () if isinstance(seat.onto, Section) else (seat.onto,)
        if onto and (cut := pieces_of(onto[0], {tube.mark for tube in request.job.tube})):
            onto = tuple(cut)
        return Foot("foot", onto, section, seat.roll, face, _axis_under(seat, middle, turn), middle.x)

    def moved(self, by: Array) -> Foot:
        """The foot with the zero of its (u, v) and height moved, by (3,) mm."""
        under = self.under
        return replace(self, under=Frame(under.origin + by, under.x, under.y, under.z))


@dataclass(frozen=True, eq=False)
class SeatEdge:
    """An edge along x, the sheet above it: straight at y = 0, or sitting on a tube, on which it stands as a foot."""

    edge: PlateEdge | None
    words: Sentence
    feet: tuple[Foot, ...] = ()

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
    if (mark := whole_or_piece(onto, marks)) in marks:
        return marks[mark]
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
    under = _axis_under(seat, middle, turn)
    top = math.cos(seat.roll) * under.z + math.sin(seat.roll) * under.y
    solid = section_solid(section, Frame(under.origin, under.x, np.cross(top, under.x), top))
    assert isinstance(solid, RoundBar | RoundedPrism)
    return solid


def _axis_under(seat: SeatGiven, middle: Frame, turn: float) -> Frame:
    """The tube's axis under an edge as x, z up from it toward the sheet."""
    along = math.cos(turn) * middle.x + math.sin(turn) * middle.z
    aside = math.cos(turn) * middle.z - math.sin(turn) * middle.x
    axis = math.cos(seat.slope) * along + math.sin(seat.slope) * middle.y
    up = unit(middle.y - float(middle.y @ axis) * axis)
    return Frame(middle.origin + seat.offset * aside, axis, np.cross(up, axis), up)


def foot(
    request: AnyRequest, seat: SeatGiven | None, face: str, middle: Frame, usual: float, *below: str | int
) -> SeatEdge:
    """The edge that sits on what `seat` says, given `below` the part's table.

    Args:
        face: of the edge.
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
    on = Foot.of(request, seat, section, face, middle, turn).moved(np.array([0.0, 0.0, request.thickness / 2.0]))
    return SeatEdge(PlateEdge(far_skin, request.thickness, tube), seat_words(seat, section, turn), (on,))


def seat_words(seat: SeatGiven, section: Section, turn: float) -> Sentence:
    """'tube 48.3 x 3.2, across it', with all that is not as usual."""
    name = f"{seat.onto}, " if isinstance(seat.onto, str) else ""
    turned = math.degrees(turn) % 180.0
    lie: Part = sentence("turned ", degrees(math.radians(turned), 2).named("turn"), " from it")
    if turned in (0.0, 90.0, 180.0):
        lie = "across it" if turned == 90.0 else "along it"
    words: list[Part] = [sentence(f"{name}tube ", section), lie]
    if seat.slope:
        words.append(sentence("its axis rising ", degrees(seat.slope, 2).named("slope")))
    if seat.offset:
        words.append(sentence("its axis ", mm(seat.offset, 2).named("offset"), " to the side"))
    if seat.roll:
        words.append(sentence("the section rolled ", degrees(seat.roll, 2).named("roll")))
    return joined(", ", words)
