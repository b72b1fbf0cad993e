"""Hexagon bolts, nuts and washers: sizes, and which bolt a stack of parts takes.

Metric
    nominal lengths and thread length b    ISO 888:2012; ranges of length by ISO 4014:2011 (with a
                                           plain shank) and ISO 4017:2014 (threaded to the head)
    nut heights, the greatest m            ISO 4032:2012, table 1 (ISO 8673:2012 for fine pitches);
                                           nylon insert ISO 7040:2012; thin ISO 4035 (`threads.py`)
    washer thickness, nominal h            ISO 7089:2000, table 1
    width across flats of heads            ISO 272:1982, as ISO 4014 and ISO 4017 take it; bolts to older
                                           standards differ (M10 17, M12 19, M14 22, M22 32 mm)
    height of heads k                      ISO 4014:2011
Inch
    thread length                          ASME B18.2.1 (twice the diameter and 1/4 in, 1/2 in above 6 in)
    width across flats, height of heads    ASME B18.2.1
    nut heights, nominal                   ASME B18.2.2
    washer thickness, lengths stocked      common practice (narrow plain washers; steps of 1/4 in)

The figures are in data/fasteners.toml.  All of them are from memory, check against your part; those of
the everyday metric sizes are compared with the standards' tables in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal

from fabgen.shop.tables import data, inches, table
from fabgen.shop.threads import Thread, coarse_pitch
from fabgen.wording.inches import INCH, inch_size
from fabgen.wording.input_error import InputError
from fabgen.wording.nearest import nearest_sizes
from fabgen.wording.sentence import mm, sentence

NutKind = Literal["plain", "lock", "thin", "none"]

THREADS_OUT = 2.0
"""Threads that should stand out of the nut: a bolt's end is chamfered (common practice, no source)."""
ABSURD = 2.0
"""A bolt's end that stands out of its nut by more diameters than these is meant for another stack (common practice,
no source)."""

_SAME_LENGTH = 0.05
"""Lengths of bolts that differ by less are one length, mm."""

_INCH_LENGTHS = (
    *(n * INCH / 4.0 for n in range(2, 25)),
    *(n * INCH / 2.0 for n in range(13, 21)),
)
"""1/2 to 6 in by quarters, to 10 in by halves."""


def lengths() -> list[float]:
    """Nominal lengths of ISO 888 that hexagon bolts come in, mm."""
    found: list[float] = data("fasteners")["lengths"]["metric"]
    return found


class FastenerError(InputError):
    """There is no such bolt."""


class TooShortError(FastenerError):
    """No bolt is long enough."""


@dataclass(frozen=True, slots=True)
class BoltChoice:
    """A bolt for a stack of parts, mm.

    `clamped`: grip (the parts alone) and all washers.  `shank`: from under the head to the first
    full thread at most, 0 for a bolt threaded to the head.  `beyond`: how far the bolt's end
    stands out of the nut, or, without a nut, how deep it goes into the tapped part.
    """

    thread: Thread
    length: float
    standard: str
    grip: float
    washers: int
    washer: float
    nut: NutKind
    nut_height: float
    shank: float

    @property
    def clamped(self) -> float:
        """Grip and all washers, mm."""
        return self.grip + self.washers * self.washer

    @property
    def beyond(self) -> float:
        """How far the bolt's end stands out of the nut, or how deep it goes into the tapped part, mm."""
        return self.length - self.clamped - self.nut_height

    @property
    def washers_at_head(self) -> int:
        """One washer under what is turned comes first, the second under the other; more go to the nut."""
        return min(self.washers, 1) if self.nut == "none" else int(self.washers >= 2)

    @property
    def name(self) -> str:
        """'M12 x 80', 'M12 x 1.25 x 80', '1/2-13 UNC x 3 1/4 in'."""
        return bolt_name(self.thread, self.length)


@dataclass(frozen=True, slots=True)
class SourcedSize:
    """A size of a standard part, mm, and the source."""

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class HexagonHead:
    """Width across flats and height of a hexagon head, mm, and the source."""

    across_flats: float
    height: float
    source: str


def hexagon_head(bolt: str) -> HexagonHead | None:
    """The head of a hexagon bolt, None where no table has it.

    Args:
        bolt: its name as `Thread.bolt` has it, 'M10' or '3/8 in'.
    Source: ISO 272 and ISO 4014, inch ASME B18.2.1, from memory.
    """
    metric = bolt.startswith("M")
    of = table("fasteners", "metric" if metric else "inch")
    size = of.rows.get(bolt.removesuffix(" in"))
    if size is None or not size["across_flats"]:
        return None
    standards = "ISO 272 and ISO 4014" if metric else "ASME B18.2.1"
    return HexagonHead(size["across_flats"], size["head"], f"{standards}, {of.certainty}")


def washer_thickness(thread: Thread) -> float:
    """Thickness of a plain washer, mm.

    Args:
        thread: of the bolt.
    Raises:
        FastenerError: there is no such inch bolt.
    """
    return float(_size(thread)["washer"])


def washer_diameter(bolt: str) -> SourcedSize | None:
    """Outside diameter of a plain washer, None where no table has it.

    Args:
        bolt: its name as `shop.clearance_holes` gives it, 'M10' or '3/8 in'.
    Source: ISO 7089, inch ASME B18.21.1 narrow, from memory.
    """
    of = table("fasteners", "metric_washers" if bolt.startswith("M") else "inch_washers")
    size = of.rows.get(bolt.removesuffix(" in"))
    return None if size is None else SourcedSize(float(size["diameter"]), f"{of.source}, {of.certainty}")


def nut_height(thread: Thread, kind: NutKind) -> float:
    """Height of a nut, mm, 0 for none.

    Args:
        thread: of the nut.
        kind: plain, lock, thin or none.
    Raises:
        FastenerError: there is no such inch nut.
    """
    if kind == "none":
        return 0.0
    if kind == "thin":
        return thread.jam_nut
    return float(_size(thread)["nut" if kind == "plain" else "lock"])


def washer_standard(thread: Thread) -> str:
    """The standard a washer is bought to.

    Args:
        thread: of the bolt.
    """
    return "ISO 7089" if thread.series == "M" else "narrow plain washer, ASME B18.21.1"


def thread_length(thread: Thread, length: float) -> float:
    """Length of thread b on a bolt with a plain shank, mm.

    Args:
        thread: of the bolt.
        length: nominal, mm.
    Source: ISO 888; inch threads ASME B18.2.1 (both from memory).
    """
    if thread.series != "M":
        return 2.0 * thread.diameter + (0.25 if length <= 6.0 * INCH + 1e-6 else 0.5) * INCH
    return 2.0 * thread.diameter + (6.0 if length <= 125.0 else 12.0 if length <= 200.0 else 25.0)


def choose_bolt(
    thread: Thread,
    grip: float,
    washers: int,
    nut: NutKind,
    engagement: float | None = None,
    height: float | None = None,
    last_layer: float | None = None,
) -> BoltChoice:
    """The shortest bolt that clamps a grip with two threads out of its nut.

    A bolt with a plain shank is taken where there is one whose thread reaches below the nut, one threaded to the
    head where not.  A longer one goes before it if it brings its plain shank through the last joint, so that no
    thread takes the shear there, and its end then stands out of the nut by no more than the diameter.

    Args:
        thread: of the bolt.
        grip: thickness of the parts alone, mm.
        washers: how many.
        nut: plain, lock, thin or none.
        engagement: without a nut, how far it reaches into the tapped part, mm; left out: the diameter (common
            practice, no source).
        height: of the nut, mm; left out: the usual one's.
        last_layer: thickness of the last of several parts, mm, which the last joint is before; None for a single one.
    Raises:
        FastenerError: there is no such bolt.
        TooShortError: none is long enough.
    """
    washer = washer_thickness(thread) if washers else 0.0
    over = nut_height(thread, nut) if height is None else height
    clamped = grip + washers * washer
    extra = least_beyond(thread, nut, engagement)
    needed = clamped + over + extra
    fitting = [
        BoltChoice(thread, length, standard, grip, washers, washer, nut, over, shank)
        for length, standard, shank in _candidates(thread)
        if length >= needed - 1e-6 and shank <= clamped + 1e-6
    ]
    if nut != "none" and last_layer is not None:
        for choice in fitting:
            joint = choice.washers_at_head * washer + grip - last_layer
            if choice.shank >= joint - 1e-6 and choice.beyond <= max(extra, thread.diameter) + 1e-6:
                return choice
    if fitting:
        return fitting[0]
    longest = longest_bolt(thread)
    what = sentence(
        f"no {thread.size} bolt is long enough: ",
        mm(needed, 1, fixed=True),
        " is needed for a grip of ",
        mm(grip, 1, fixed=True),
    )
    raise TooShortError(
        what, sentence(f"{thread.size} bolts are ", mm(longest, 3), " long at most: threaded rod, or less grip")
    )


def least_beyond(thread: Thread, nut: NutKind, engagement: float | None = None) -> float:
    """How far a bolt's end must stand out of its nut, or go into a tapped part, mm.

    Args:
        thread: of the bolt.
        nut: plain, lock, thin or none.
        engagement: without a nut, how far it reaches into the tapped part, mm; left out: the diameter (common
            practice, no source).
    """
    if nut != "none":
        return THREADS_OUT * thread.pitch
    return thread.diameter if engagement is None else engagement


def longest_bolt(thread: Thread) -> float:
    """The longest that is made, mm.

    Raises:
        FastenerError: no table has the thread.
    """
    return max(length for length, _, _ in _candidates(thread))


def bolt_of_length(
    thread: Thread, length: float, grip: float, washers: int, nut: NutKind, height: float | None = None
) -> BoltChoice:
    """A bolt of a length that is given, in a stack that it may be too short or too long for.

    Of two that are made in that length it is the one with a plain shank, unless that is so long that the nut would run
    onto it.  One of a length that is not made is taken as cut down from the next longer.

    Args:
        thread: of the bolt.
        length: as given, mm.
        grip: thickness of the parts alone, mm.
        washers: how many.
        nut: plain, lock, thin or none.
        height: of the nut, mm; left out: the usual one's.
    Raises:
        FastenerError: there is no such bolt, or none is so long.
    """
    washer = washer_thickness(thread) if washers else 0.0
    over = nut_height(thread, nut) if height is None else height
    made = _candidates(thread)
    from_length = min((each for each, _, _ in made if each >= length - _SAME_LENGTH), default=None)
    if from_length is None:
        longest = bolt_name(thread, max(each for each, _, _ in made))
        raise FastenerError(f"{bolt_name(thread, length)} is longer than any that is made", f"{longest} at most")
    same = from_length if abs(from_length - length) < _SAME_LENGTH else length
    bolts = [
        BoltChoice(thread, same, standard, grip, washers, washer, nut, over, min(shank, same))
        for each, standard, shank in made
        if each == from_length
    ]
    return next((bolt for bolt in bolts if bolt.shank <= bolt.clamped + 1e-6), bolts[-1])


def spacer_for_shank(choice: BoltChoice, last_layer: float) -> tuple[BoltChoice, float] | None:
    """The shortest bolt that brings its plain shank through the last joint of a stack, and what a spacer under the nut
    must take up: the shank that reaches out of the stack, and the end that stands out by more than the diameter.

    Args:
        choice: the bolt whose shank ends before that joint.
        last_layer: thickness of the last part, mm.
    Returns:
        The bolt without the spacer, and the spacer, mm; None where no bolt does.
    """
    joint = choice.washers_at_head * choice.washer + choice.grip - last_layer
    for length, standard, shank in _candidates(choice.thread):
        longer = replace(choice, length=length, standard=standard, shank=shank)
        spacer = max(shank - choice.clamped, longer.beyond - choice.thread.diameter)
        left = longer.beyond - spacer
        if shank >= joint - 1e-6 and left >= least_beyond(choice.thread, choice.nut) - 1e-6 and spacer > 0.0:
            return longer, spacer
    return None


def _candidates(thread: Thread) -> list[tuple[float, str, float]]:
    """(length, standard, shank) of every bolt there is, shortest first, of like lengths the one with a shank."""
    size = _size(thread)
    if thread.series != "M":
        return [
            (length, "ASME B18.2.1", max(0.0, length - thread_length(thread, length)))
            for length in _INCH_LENGTHS
            if length >= thread.diameter
        ]
    coarse = thread.pitch == coarse_pitch(thread.diameter)
    shanked, threaded = ("ISO 4014", "ISO 4017") if coarse else ("ISO 8765", "ISO 8676")
    found = []
    for length in lengths():
        if size["shanked"][0] <= length <= size["shanked"][1]:
            found.append((length, shanked, length - thread_length(thread, length)))
        if size["threaded"][0] <= length <= size["threaded"][1]:
            found.append((length, threaded, 0.0))
    return found


def _size(thread: Thread) -> dict[str, Any]:
    """What is made for one size of thread, mm: the columns of data/fasteners.toml."""
    if thread.series == "M":
        return table("fasteners", "metric").rows[thread.size]
    sizes = table("fasteners", "inch").rows
    if thread.size not in sizes:
        near = nearest_sizes(thread.diameter, {size: inches(size) for size in sizes})
        raise FastenerError(f"there is no hexagon bolt {thread.size}", ", ".join(sizes), near)
    return sizes[thread.size]


def bolt_name(thread: Thread, length: float) -> str:
    """'M12 x 40', of a fine one 'M12 x 1.25 x 40', of an inch one '1/2-13 UNC x 1 1/2 in'.

    Args:
        thread: of the bolt.
        length: of the bolt under its head, mm.
    """
    if thread.series == "M":
        return f"{nut_name(thread)} x {length:g}"
    return f"{thread.name} x {inch_size(length)} in"


def nut_name(thread: Thread) -> str:
    """The thread as nuts are named by it: 'M12', of a fine one 'M12 x 1.25', of an inch one '1/2-13 UNC'.

    Args:
        thread: of the nut.
    """
    is_coarse = thread.series == "M" and thread.pitch == coarse_pitch(thread.diameter)
    return thread.size if is_coarse else thread.name
