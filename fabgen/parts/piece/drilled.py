"""A hole that the job gives a tube, as it lies on the tube's skin; bores of branches are `Opening`s."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.penetration import Outside, Penetration
from fabgen.parts.piece.cut import At
from fabgen.parts.piece.groups import groups_alike
from fabgen.parts.piece.joint import side_of_top
from fabgen.shop.section import Section
from fabgen.wording.sentence import Sentence, Value, lengths, mm, sentence


@dataclass(frozen=True, slots=True)
class Slit:
    """What makes a hole a slit, open to the saw cut of the end `at`.

    `width` between its sides; `depth` from the saw cut to its bottom; `hole` is drilled there, 0 of square corners;
    `tab`: mark of what stands in it, '' where the job names nothing.  mm.
    """

    at: At
    width: float
    depth: float
    hole: float
    tab: str = ""

    @property
    def centre(self) -> float:
        """From the saw cut to the middle of the hole at its bottom, mm; of square corners to the slit's middle."""
        return self.depth - self.hole / 2.0 if self.hole else self.depth / 2.0

    @property
    def takes(self) -> float:
        """How far a square tab as wide as the slit goes in, mm: to where the hole narrows to that width again."""
        if not self.hole:
            return self.depth
        return self.centre + math.sqrt(max(0.0, (self.hole**2 - self.width**2) / 4.0))


@dataclass(frozen=True, eq=False)
class DrilledHole:
    """One wall's hole, round or a slot, in the tube `main`.

    `number`: of the drill's way, from 1 on; `far`: it is where the drill comes out again.  `onto`: the tube's section;
    `bore`: what is cut out, as a solid section, a slot its length first; `edge` as an opening's; `skin`: what it lies
    on.  `frame`: its origin on the tube's middle or `offset` mm beside it, x along the drill out of the tube.
    `turn` rad: of a slot, from along the tube, clockwise seen from outside.
    """

    main: str
    number: int
    far: bool
    onto: Section
    bore: Section
    edge: Penetration
    skin: Outside
    frame: Frame
    offset: float = 0.0
    turn: float = 0.0
    bolt: str = ""
    vent: bool = False
    both_walls: bool = False
    tangents: tuple[float, ...] = ()
    sleeve: Section | None = None
    """What is welded into it, through both walls, for the bolt to pass."""
    plug: bool = False
    """Whether it is welded shut on what lies inside, as on the sleeve of a splice."""
    is_there: bool = False
    """Of a tube that is bought or there already: whether it has the hole already."""
    off: str = ""
    """Where it runs off its straight, 'off the start', 'into a bend'; '' where it does not."""
    to_ends: tuple[float, float] = (math.inf, math.inf)
    """How far its middle, of a slot that of its round end, is from the cut at start and finish on that side, mm."""
    to_bend: float = math.inf
    """How far its edge is from the nearest bend, mm; below 0 in it."""
    slit: Slit | None = None
    """Of a slit in an end: its sizes; `bore` is then its depth by its width, and its middle that of its hole."""

    @property
    def is_slot(self) -> bool:
        """Whether it is longer than wide."""
        return not self.bore.is_round and self.slit is None

    @property
    def name(self) -> str:
        """'hole 1', 'hole 1, far wall', 'vent 2', 'plug hole 3'."""
        return f"{self.word} {self.number}{', far wall' if self.far else ''}"

    @property
    def word(self) -> str:
        """'hole', 'plug hole', 'vent' or 'slit'."""
        if self.slit is not None:
            return "slit"
        return "vent" if self.vent else "plug hole" if self.plug else "hole"

    @property
    def area(self) -> float:
        """What of the wall it takes away, mm2: a hole's bore, of a slit what lies within its edge on the skin."""
        if self.slit is None:
            return self.bore.area
        x, y = self.edge.points.T
        return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0

    @property
    def width(self) -> float:
        """Its diameter, of a slot its width, mm."""
        return self.bore.depth

    @property
    def along(self) -> float:
        """Its middle from the start's saw cut, mm."""
        return self.edge.centre[1]

    @property
    def marked_at(self) -> float:
        """Where a drawing dimensions it, mm from the start's saw cut: its middle, of a square slit its bottom."""
        if self.slit is None or self.slit.hole:
            return self.along
        return self.along + self.slit.depth / 2.0 * (1.0 if self.slit.at == "start" else -1.0)

    @property
    def station(self) -> float:
        """Its middle round the skin from TOP, mm, to the right seen from the start."""
        return self.edge.centre[0]

    @property
    def way(self) -> float:
        """Which way out of the tube the drill looks at this wall: rad from TOP, clockwise seen from the start."""
        out, axis = self.frame.x, self.skin.frame
        round_ = math.atan2(-float(out @ axis.y), float(out @ axis.z)) % (2.0 * math.pi)
        return 0.0 if 2.0 * math.pi - round_ < 1e-6 else round_

    @property
    def size(self) -> Value:
        """'11 mm', or '30 x 11 mm' of a slot."""
        return mm(self.bore.width, 2) if self.bore.is_round else lengths((self.bore.width, self.bore.depth), decimals=2)

    @property
    def kind(self) -> Sentence:
        """'Ø 11 mm for M10', 'slot 30 x 11 mm', 'slit 6 mm wide, 40 mm deep, hole Ø 6 mm at its bottom'."""
        if (slit := self.slit) is not None:
            bottom = sentence("hole Ø ", mm(slit.hole, 2), " at its bottom") if slit.hole else "square corners"
            return sentence(mm(slit.width, 2), " wide, ", mm(slit.depth), " deep, ", bottom)
        bolt = f" for {self.bolt}" if self.bolt else ""
        if self.sleeve is not None:
            outside = lengths(self.sleeve.sizes, decimals=2)
            return sentence("Ø ", self.size, " for a sleeve ", outside, bolt)
        use = ", to be plug-welded" if self.plug else bolt
        return sentence("slot " if self.is_slot else "Ø ", self.size, use)

    @property
    def lets_through(self) -> bool:
        """Whether air and water pass: not where a sleeve is welded in, nor where it is welded shut."""
        return self.sleeve is None and not self.plug

    @property
    def place(self) -> Sentence:
        """'120.0 mm from the start's saw cut, on TOP'."""
        if (slit := self.slit) is not None:
            return sentence(f"at the {slit.at}, ", side_of_top(self.station))
        return sentence(mm(self.along, fixed=True), " from the start's saw cut, ", side_of_top(self.station))

    def like(self, other: DrilledHole) -> bool:
        """Whether one stick-on template serves both: they differ in nothing but where they are along one tube."""
        return (
            self.main == other.main
            and self.bore == other.bore
            and self.slit == other.slit
            and self.far == other.far
            and self.vent == other.vent
            and self.bolt == other.bolt
            and self.sleeve == other.sleeve
            and self.plug == other.plug
            and self.is_there == other.is_there
            and abs(self.station - other.station) < 0.01
            and abs(self.offset - other.offset) < 0.01
            and abs(math.remainder(self.turn - other.turn, math.pi)) < 1e-6
        )


def like_holes(holes: Sequence[DrilledHole]) -> list[list[DrilledHole]]:
    """The holes of a tube in groups that share a template, in the order they are first met."""
    return groups_alike(holes, DrilledHole.like)


def numbered(holes: Sequence[DrilledHole], after: int) -> tuple[DrilledHole, ...]:
    """The holes with their numbers counted on from `after`."""
    return tuple(replace(hole, number=hole.number + after) for hole in holes)
