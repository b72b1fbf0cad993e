"""The template of a hole of the job's own in a tube, to stick on, punch and drill; holes alike along it share one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.words import figure, mm_text
from fabgen.documents.templates.hole_template import PRINTED_SIDE, SkinTemplate
from fabgen.parts.piece import DrilledHole, Piece
from fabgen.wording.sentence import joined, mm

_LONGEST_DRILL = 13.0
"""Above this a hole saw or a step drill takes over, mm (common practice, no source)."""


@dataclass(frozen=True)
class DrillTemplate(SkinTemplate):
    """The holes of one tube that are alike, in the order they are given."""

    piece: Piece
    hole: DrilledHole
    units: str
    alike: Sequence[DrilledHole]

    @property
    def name(self) -> str:
        more = f" +{len(self.alike) - 1}" if len(self.alike) > 1 else ""
        return f"{self.piece.mark} {self.hole.name}{more}"

    @property
    def short(self) -> str:
        return self.hole.name

    @property
    def quantity(self) -> str:
        count = len(self.alike) * self.piece.quantity
        return f"make {count}" if count > 1 else ""

    @property
    def along_words(self) -> tuple[str, ...]:
        if (slit := self.hole.slit) is not None and slit.hole:
            return self.length(slit.centre), f"from the {slit.at}'s cut", "from the cut"
        if len(self.alike) > 1:
            return f"{len(self.alike)} places", "see above"
        return super().along_words

    def facts(self) -> Iterator[str]:
        hole, main = self.hole, self.piece.mark
        yield f"{hole.onto.words(self.units)}, {self.piece.material}; {PRINTED_SIDE}"
        yield hole.kind.words(self.units)
        if (slit := hole.slit) is not None:
            if slit.hole:
                yield f"middle of the hole {self.length(slit.centre)} from {main}'s {slit.at}, the saw cut"
            yield f"a square tab goes in {self.length(slit.takes)}"
            yield f"its centre line {self.round(hole.station)}"
            if hole.both_walls:
                yield "of the far wall" if hole.far else "goes on through the opposite wall"
            return
        places = joined(", ", (mm(each.along, fixed=True) for each in self.alike)).words(self.units)
        yield f"centre {places} from {main}'s start, the saw cut"
        yield f"its centre line {self.round(hole.station)}"
        if abs(hole.offset) >= 0.05:
            yield f"drilled {self.length(abs(hole.offset))} beside the tube's middle, not square to the skin"
        if hole.both_walls:
            yield "the drill's way out" if hole.far else "goes on through the opposite wall"

    def table(self, width: float) -> Panel | None:
        """None of a hole that a drill makes: its centre and its size are all there is to it."""
        drilled = self.hole.slit is None and not self.hole.is_slot and self.hole.bore.is_round
        return None if drilled and self.hole.bore.width <= _LONGEST_DRILL else super().table(width)

    def advice(self) -> tuple[str, str]:
        hole = self.hole
        if (slit := hole.slit) is not None:
            if not slit.hole:
                return "Saw", "both sides down to the bottom line, then drill along it and file square"
            return "Drill", f"the {mm_text(slit.hole, self.units, 2)} hole first, then saw from the end to it"
        if hole.is_slot:
            apart = self.length(hole.bore.width - hole.bore.depth)
            turn = abs(math.degrees(math.remainder(hole.turn, math.pi)))
            way = "along the tube" if turn < 0.05 else f"{figure(turn)}° from along the tube"
            return "Drill", f"both ends, middles {apart} apart {way}, then cut out between"
        if hole.bore.width > _LONGEST_DRILL:
            return "Drill", "punch the centre, drill a pilot, then a hole saw or step drill"
        return "Drill", "punch the centre, drill a pilot, then to size"
