"""What is done to round bar besides sawing it: threads, flattened ends, and what it is bent round."""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.parts.piece.cut import At
from fabgen.shop.threaded.fasteners import THREADS_OUT
from fabgen.shop.threads import Thread
from fabgen.wording.sentence import Sentence, mm, sentence


@dataclass(frozen=True, slots=True)
class ThreadedEnd:
    """A thread cut on an end of bar: `length` mm of it; `nuts` and `washers` go on it, `fixings` mm high in all, of
    which the washers `under` the nuts are so many mm."""

    thread: Thread
    length: float
    nuts: int = 0
    washers: int = 0
    fixings: float = 0.0
    under: float = 0.0

    @property
    def takes(self) -> float:
        """What the nuts and washers need of it with two threads out of the last nut, mm; 0 without nuts."""
        return self.fixings + THREADS_OUT * self.thread.pitch if self.nuts else 0.0

    @property
    def said(self) -> Sentence:
        """'thread M12 x 1.75 right, 39 mm'."""
        return sentence(f"thread {self.thread}, ", mm(self.length))


@dataclass(frozen=True, slots=True)
class FlattenedEnd:
    """An end of bar beaten flat in the plane of its bends, or of tube crushed flat: `length` mm of it, `thickness`
    and `width` mm; a hole of `hole` mm, 0 for none, its middle `at` mm from the end."""

    length: float
    thickness: float
    width: float
    hole: float
    at: float
    turn: float = 0.0
    """Of a tube's crushed end: from upright about the tube, rad."""
    transition: float = 0.0
    """Of a tube's crushed end: from the flat to where it is round, mm."""

    @property
    def taken(self) -> float:
        """From the end to where the bar or tube is as it was bought, mm."""
        return self.length + self.transition

    @property
    def said(self) -> Sentence:
        """'flattened to 4 mm over 28 mm, hole 6.5 mm'."""
        hole = sentence(", hole ", mm(self.hole)) if self.hole else ""
        return sentence("flattened to ", mm(self.thickness), " over ", mm(self.length), hole)


@dataclass(frozen=True, slots=True)
class FlattenedHole:
    """The hole of a flattened end: which end, its diameter, mm, and the bolt that it is for, '' where none is said."""

    at: At
    diameter: float
    bolt: str = ""

    @property
    def name(self) -> str:
        """'hole in its start'."""
        return f"hole in its {self.at}"


BarEnd = ThreadedEnd | FlattenedEnd | None
"""None: only sawn."""


@dataclass(frozen=True, slots=True)
class Clasp:
    """What a bent bar goes round, and what its nuts clamp against that; mm.

    `name` of it in words, `mark` where it is a part; `across` and `along` are its sizes across and along the bar's
    legs; `inside` is clear between the legs, `depth` from the inside of the bow to their ends; `clamped` lie between it
    and the washers, of which `seats` are the marks.  The bow `stands_off` it where it bears on corners.
    """

    name: str
    mark: str
    across: float
    along: float
    inside: float
    depth: float
    clamped: float
    stands_off: float = 0.0
    seats: tuple[str, ...] = ()

    @property
    def beyond(self) -> float:
        """How far the legs' ends stand out of what is clamped, mm."""
        return self.to_seat - self.clamped

    @property
    def to_seat(self) -> float:
        """From the legs' ends to where what it goes round ends, mm."""
        return self.depth - self.stands_off - self.along
