"""A hole that the job gives a profile, in one of its legs, its web or its flanges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.geometry.plane.outline import Circle, Loop, Outline
from fabgen.parts.piece.groups import groups_alike
from fabgen.shop.profiles.gauge_lines import Datum, Leg
from fabgen.wording.sentence import Sentence, Value, lengths, mm, sentence


@dataclass(frozen=True, slots=True)
class LegHole:
    """A hole square through a flat of the profile `main`, round or a slot.

    `face`: name of the outer face behind which it lies.  `gauge`: its middle from `datum`, mm; `usual`: on the leg's
    gauge line, as no other was given.  `station` of its middle along the face and `datum_station` of the datum, `along`
    from the start's saw cut, mm.  `length` over all, `width` of a slot its width, mm; `turn` rad: of a slot, from along
    the profile, clockwise seen from outside.  `to_ends`: from its middle, of a slot that of its round end, to the cut
    at start and finish, mm, square to that; below 0 past it.  `flat`: from where to where the leg is flat inside, mm
    from `datum`.
    """

    main: str
    number: int
    leg: Leg
    face: str
    gauge: float
    datum: Datum
    usual: bool
    station: float
    datum_station: float
    along: float
    length: float
    width: float
    thickness: float
    flat: tuple[float, float]
    turn: float = 0.0
    bolt: str = ""
    to_ends: tuple[float, float] = (math.inf, math.inf)
    is_there: bool = False
    """Of a profile that is bought or there already: whether it has the hole already."""

    @property
    def is_slot(self) -> bool:
        """Whether it is longer than wide."""
        return self.length > self.width

    @property
    def name(self) -> str:
        """'hole 3'."""
        return f"hole {self.number}"

    @property
    def leg_name(self) -> str:
        """'leg a', 'web', 'flange b', 'stem', 'face'."""
        return f"leg {self.leg}" if self.leg in ("a", "b") else self.leg

    @property
    def leg_said(self) -> str:
        """The same in a sentence: 'leg a', 'the web', 'the bar'."""
        if self.leg == "face":
            return "the bar"
        return f"the {self.leg}" if self.leg in ("web", "stem") else self.leg_name

    @property
    def reach(self) -> float:
        """Half of what it takes across the leg, mm."""
        return self.width / 2.0 + (self.length - self.width) / 2.0 * abs(math.sin(self.turn))

    @property
    def ahead(self) -> float:
        """How far a slot's round ends lie from its middle along the profile, mm."""
        return (self.length - self.width) / 2.0 * abs(math.cos(self.turn))

    @property
    def round_ends(self) -> tuple[tuple[float, float], ...]:
        """Middles of its round ends, station and along, mm; of a round hole its own."""
        half = (self.length - self.width) / 2.0
        across, ahead = half * math.sin(self.turn), half * math.cos(self.turn)
        return tuple((self.station + side * across, self.along + side * ahead) for side in ((-1, 1) if half else (0,)))

    @property
    def area(self) -> float:
        """What it takes out of the leg, mm2."""
        return math.pi / 4.0 * self.width**2 + (self.length - self.width) * self.width

    @property
    def size(self) -> Value:
        """'11 mm', or '30 x 11 mm' of a slot."""
        return lengths((self.length, self.width), decimals=2) if self.is_slot else mm(self.width, 2)

    @property
    def kind(self) -> Sentence:
        """'Ø 11 mm for M10', 'slot 30 x 11 mm'."""
        bolt = f" for {self.bolt}" if self.bolt else ""
        return sentence("slot " if self.is_slot else "Ø ", self.size, bolt)

    @property
    def where(self) -> Sentence:
        """'leg a, 22 mm from the heel', 'web, in its middle'."""
        if self.datum == "middle" and abs(self.gauge) < 0.05:
            return sentence(f"{self.leg_name}, in its middle")
        line = ", the gauge line" if self.usual and self.gauge else ""
        return sentence(f"{self.leg_name}, ", mm(abs(self.gauge)), f" from the {self.datum}{self.way}{line}")

    @property
    def way(self) -> str:
        """Which way from a middle that is: ' toward flange a'; '' where there is but one."""
        if self.datum != "middle" or self.leg in ("flange a", "flange b"):
            return ""
        return f" toward {'flange' if self.leg == 'web' else 'edge'} {'a' if self.gauge > 0.0 else 'b'}"

    @property
    def loop(self) -> Loop:
        """Its edge on the outer face seen from outside, the profile upright: x the station, y along it, mm."""
        if not self.is_slot:
            return Circle(self.station, self.along, self.width)
        # A quarter turn sets a level slot along the profile; `turn` is clockwise.
        slot = Outline.stadium(self.length, self.width).turned(math.pi / 2.0 - self.turn)
        return slot.moved(self.station, self.along)

    def like(self, other: LegHole) -> bool:
        """Whether it differs from another in nothing but where it is along the profile."""
        same = (self.face, self.length, self.width, self.bolt) == (other.face, other.length, other.width, other.bolt)
        turned = abs(math.remainder(self.turn - other.turn, math.pi)) > 1e-6
        return same and abs(self.station - other.station) < 0.01 and not turned


def like_leg_holes(holes: Sequence[LegHole]) -> list[list[LegHole]]:
    """The holes of a profile in rows of such as are alike, in the order they are first met."""
    return groups_alike(holes, LegHole.like)
