"""A link rod as it is set up: its two ends, what it bears, and the tube or bar between.

Along the rod from one pin: the rod end's shank, `shank` long from the ball's centre to its
end, goes `depth` deep into the bung, counted from the bung's outer face; the bung's head
stands out of the tube.  The depth runs from the least engagement (shallower must not be) to the
depth at which the jam nut, kept on the thread, meets the end of the thread: thread length less
nut, or the tapped depth if that is less.  The tube is sawn for the middle of that range.
"""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.parts.piece.length import LengthPart
from fabgen.shop.section import Section
from fabgen.shop.threaded.engagement import PRACTICE
from fabgen.shop.threads import Thread
from fabgen.wording.sentence import Sentence


# -- ends ---------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class RodEndSetup:
    """One end of a link rod, mm.

    `depth`: how far the shank is screwed in from the bung's outer face as the rod is set up,
    between `least_depth` (the least engagement, from `least_source`) and `most_depth`.  `tapped`:
    length of thread in the bung, or in the tube where there is none.  `swing` degrees, from
    `swing_source`; `rating` N and `mass` kg where the job gives them; `property_class` of the shank,
    '' where it does not.  `female`: threaded inside, it screws on the bar's turned end; `shank` goes
    to its open face then, and `thread_length` is the depth of its thread.  `remembered` tells
    which figures came from the table.
    """

    thread: Thread
    shank: float
    thread_length: float
    bore: float | None
    eye_width: float | None
    usual_pitch: float | None
    tapped: float
    head: float
    least_depth: float
    most_depth: float
    remembered: tuple[str, ...]
    least_source: str = PRACTICE
    swing: float | None = None
    swing_source: str = ""
    rating: float | None = None
    property_class: str = ""
    mass: float | None = None
    female: bool = False

    @property
    def turned(self) -> float:
        """Length of thread on the bar's own end, for a rod end threaded inside: it and the jam nut."""
        return self.most_depth + self.thread.jam_nut if self.female else 0.0

    @property
    def room(self) -> float:
        """How far it can be screwed from one limit to the other; 0 where there is no room."""
        return max(0.0, self.most_depth - self.least_depth)

    @property
    def depth(self) -> float:
        """As set up: the middle of the range, or as deep as it goes."""
        return self.most_depth - self.room / 2.0

    @property
    def reach(self) -> float:
        """From the tube's end to the pin as set up."""
        return self.head + self.shank - self.depth

    @property
    def showing(self) -> float:
        """Thread in sight outside the bung as set up, jam nut included."""
        return (self.turned if self.female else self.thread_length) - self.depth

    def engaged(self, depth: float) -> float:
        """Thread engaged when the shank is in by `depth`."""
        return min(depth, self.tapped)

    def sight_hole(self) -> float | None:
        """Where along the tube, from its end, a hole shows whether the shank is in far enough, mm; None where that
        place is outside the tube or past the thread."""
        place = self.least_depth - self.head
        if self.female:
            return None
        return place if self.head < self.least_depth <= self.tapped else None


@dataclass(frozen=True, slots=True)
class EyeSetup:
    """A fixed end: `sleeve` of that `width` across the link, its axis `offset` off the tube's; mm.  `reach`: from the
    tube's longest point to the pin along the tube.  `bush`: mark of what sits in it, or ''."""

    sleeve: Section
    width: float
    offset: float
    reach: float = 0.0
    bush: str = ""


LinkEnd = RodEndSetup | EyeSetup


# -- load ---------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Margin:
    """What bears the load: `bears` N, with what it was calculated from."""

    rule: str
    what: str
    bears: float
    basis: Sentence


@dataclass(frozen=True, slots=True)
class LoadedLink:
    """A link under its load, N: `longest` pin to pin, mm, the Euler load, and all margins."""

    load: float
    longest: float
    euler: float
    margins: tuple[Margin, ...]
    unknown: tuple[str, ...]
    """What could not be calculated, and why."""

    def times(self, margin: Margin) -> float:
        """By how many times it bears the load."""
        return margin.bears / self.load


# -- the link -----------------------------------------------------------------
@dataclass(frozen=True, eq=False, kw_only=True)
class LinkPart(LengthPart):
    """The tube of a link rod and what is at its ends; lengths mm, pin to pin.

    `sides`: its two ends; `adjust`: how far it has to adjust by the job; `bungs`: False when the tube
    itself is tapped; `head_diameter`: of what stands out of the tube; `made_mass` kg: of tube, bungs
    and sleeves; `load`: what it bears of the load the job gives.
    """

    pin_to_pin: float
    sides: tuple[LinkEnd, LinkEnd]
    adjust: float | None
    bungs: bool
    head_diameter: float
    sight_hole: float
    made_mass: float = 0.0
    load: LoadedLink | None = None

    @property
    def rods(self) -> tuple[RodEndSetup, ...]:
        """Its rod ends: two, one, or none."""
        return tuple(side for side in self.sides if isinstance(side, RodEndSetup))

    @property
    def is_stepped(self) -> bool:
        """Whether what stands out of the tube is of another diameter."""
        return self.bungs and abs(self.head_diameter - self.section.width) > 0.05

    @property
    def in_place(self) -> bool:
        """Whether turning the tube changes its length: one right-hand, one left-hand thread."""
        return len({rod.thread.hand for rod in self.rods}) == 2

    @property
    def per_turn(self) -> float:
        """What one turn of the tube changes pin to pin by, mm; by hands alike only their difference."""
        pitches = [rod.thread.pitch for rod in self.rods]
        return sum(pitches) if self.in_place else max(pitches, default=0.0) - min(pitches, default=0.0)

    @property
    def each_way(self) -> float:
        """How far it adjusts from the middle, longer or shorter."""
        return sum(self.extends)

    @property
    def extends(self) -> tuple[float, float]:
        """How much farther each end is out when the rod is at its longest, mm.

        In place both ends turn alike, so the first to reach its limit ends it; apart, each to its own.
        """
        if self.in_place:
            turns = min(rod.room / rod.thread.pitch for rod in self.rods) / 2.0
            one, other = (turns * rod.thread.pitch for rod in self.rods)
        else:
            one, other = (side.room / 2.0 if isinstance(side, RodEndSetup) else 0.0 for side in self.sides)
        return one, other
