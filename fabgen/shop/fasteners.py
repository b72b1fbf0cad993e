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

All figures of this module are from memory, check against your part; those of the everyday metric
sizes are compared with the standards' tables in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fabgen.shop.threads import Thread, coarse_pitch
from fabgen.wording.inches import INCH
from fabgen.wording.input_error import InputError

NutKind = Literal["plain", "lock", "thin", "none"]

MEMORY = "from memory, check against your bolt"

THREADS_OUT = 2.0
"""Threads that should stand out of the nut: a bolt's end is chamfered (common practice, no source)."""

LENGTHS = (
    *(6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 80.0, 90.0),
    *(100.0, 110.0, 120.0, 130.0, 140.0, 150.0, 160.0, 180.0, 200.0, 220.0, 240.0, 260.0, 280.0, 300.0, 320.0),
    *(340.0, 360.0),
)
"""Nominal lengths of ISO 888 that hexagon bolts come in, mm."""

_INCH_LENGTHS = (
    *(n * INCH / 4.0 for n in range(2, 25)),
    *(n * INCH / 2.0 for n in range(13, 21)),
)
"""1/2 to 6 in by quarters, to 10 in by halves."""


@dataclass(frozen=True, slots=True)
class _Size:
    """What is made for one size of thread, mm: greatest heights of plain and lock nut, thickness of a washer, width
    across flats and height of the bolt's head (0: in no table), and the ranges of nominal length of bolts with a
    plain shank and threaded to the head."""

    nut: float
    lock: float
    washer: float
    across_flats: float
    head: float
    shanked: tuple[float, float] = (0.0, 0.0)
    threaded: tuple[float, float] = (0.0, 0.0)


def _inch_size(nut: float, lock: float, washer: float, across_flats: float, head: float) -> _Size:
    return _Size(nut * INCH, lock * INCH, washer * INCH, across_flats * INCH, head * INCH)


_METRIC = {
    # diameter: ISO 4032 m, ISO 7040 h, ISO 7089 h, ISO 272 s, ISO 4014 k, ISO 4014 lengths, ISO 4017 lengths
    3.0: _Size(2.4, 4.5, 0.5, 0.0, 0.0, (20, 30), (6, 30)),
    4.0: _Size(3.2, 6.0, 0.8, 7.0, 2.8, (25, 40), (8, 40)),
    5.0: _Size(4.7, 6.8, 1.0, 8.0, 3.5, (25, 50), (10, 50)),
    6.0: _Size(5.2, 8.0, 1.6, 10.0, 4.0, (30, 60), (12, 60)),
    8.0: _Size(6.8, 9.5, 1.6, 13.0, 5.3, (40, 80), (16, 80)),
    10.0: _Size(8.4, 11.9, 2.0, 16.0, 6.4, (45, 100), (20, 100)),
    12.0: _Size(10.8, 14.9, 2.5, 18.0, 7.5, (50, 120), (25, 120)),
    14.0: _Size(12.8, 17.0, 2.5, 21.0, 8.8, (60, 140), (30, 140)),
    16.0: _Size(14.8, 19.1, 3.0, 24.0, 10.0, (65, 160), (30, 150)),
    18.0: _Size(15.8, 21.0, 3.0, 27.0, 11.5, (70, 180), (35, 150)),
    20.0: _Size(18.0, 22.8, 3.0, 30.0, 12.5, (80, 200), (40, 150)),
    22.0: _Size(19.4, 25.0, 3.0, 34.0, 14.0, (90, 220), (45, 150)),
    24.0: _Size(21.5, 27.1, 4.0, 36.0, 15.0, (90, 240), (50, 150)),
    27.0: _Size(23.8, 29.5, 4.0, 41.0, 17.0, (100, 260), (55, 200)),
    30.0: _Size(25.6, 32.6, 4.0, 46.0, 18.7, (110, 300), (60, 200)),
    33.0: _Size(28.7, 35.5, 5.0, 0.0, 0.0, (130, 320), (65, 200)),
    36.0: _Size(31.0, 38.9, 5.0, 0.0, 0.0, (140, 360), (70, 200)),
}

_INCH = {
    # size: nominal heights of hex and nylon insert nut, thickness of a narrow plain washer, width across flats
    # and height of the head, in
    "1/4": _inch_size(7 / 32, 5 / 16, 0.065, 7 / 16, 5 / 32),
    "5/16": _inch_size(17 / 64, 11 / 32, 0.065, 1 / 2, 13 / 64),
    "3/8": _inch_size(21 / 64, 29 / 64, 0.065, 9 / 16, 15 / 64),
    "7/16": _inch_size(3 / 8, 29 / 64, 0.065, 5 / 8, 9 / 32),
    "1/2": _inch_size(7 / 16, 19 / 32, 0.095, 3 / 4, 5 / 16),
    "9/16": _inch_size(31 / 64, 41 / 64, 0.095, 0.0, 0.0),
    "5/8": _inch_size(35 / 64, 3 / 4, 0.095, 15 / 16, 25 / 64),
    "3/4": _inch_size(41 / 64, 7 / 8, 0.134, 1 + 1 / 8, 15 / 32),
    "7/8": _inch_size(3 / 4, 63 / 64, 0.134, 1 + 5 / 16, 35 / 64),
    "1": _inch_size(55 / 64, 1 + 3 / 64, 0.134, 1 + 1 / 2, 39 / 64),
}


class FastenerError(InputError):
    """There is no such bolt."""


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
        thread = self.thread
        if thread.series != "M":
            return f"{thread.name} x {_inches(self.length)}"
        size = thread.size if thread.pitch == coarse_pitch(thread.diameter) else thread.name
        return f"{size} x {self.length:g}"


@dataclass(frozen=True, slots=True)
class HexagonHead:
    """Width across flats and height of a hexagon head, mm, and the source."""

    across_flats: float
    height: float
    source: str


def hexagon_head(bolt: str) -> HexagonHead | None:
    """The head of a hexagon bolt, None where no table has it.

    Args:
        bolt: its name as `shop.holes` gives it, 'M10' or '3/8 in'.
    Source: ISO 272 and ISO 4014, inch ASME B18.2.1, from memory.
    """
    metric = bolt.startswith("M")
    size = _METRIC.get(float(bolt[1:])) if metric else _INCH.get(bolt.removesuffix(" in"))
    if size is None or not size.across_flats:
        return None
    standards = "ISO 272 and ISO 4014" if metric else "ASME B18.2.1"
    return HexagonHead(size.across_flats, size.head, f"{standards}, {MEMORY}")


def washer_thickness(thread: Thread) -> float:
    """Thickness of a plain washer, mm.

    Args:
        thread: of the bolt.
    Raises:
        FastenerError: there is no such inch bolt.
    """
    return _size(thread).washer


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
    size = _size(thread)
    return size.nut if kind == "plain" else size.lock


def nut_standard(thread: Thread, kind: NutKind) -> str:
    """The standard a nut is bought to.

    Args:
        thread: of the nut.
        kind: plain, lock, thin or none.
    """
    if thread.series != "M":
        return "nylon insert, ASME B18.16.6" if kind == "lock" else "ASME B18.2.2"
    coarse = thread.pitch == coarse_pitch(thread.diameter)
    return {
        "plain": "ISO 4032" if coarse else "ISO 8673",
        "lock": "nylon insert, ISO 7040" if coarse else "nylon insert, ISO 10512",
        "thin": "ISO 4035" if coarse else "ISO 8675",
        "none": "",
    }[kind]


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


def choose_bolt(thread: Thread, grip: float, washers: int, nut: NutKind, engagement: float | None = None) -> BoltChoice:
    """The shortest bolt that clamps a grip with two threads out of its nut.

    A bolt with a plain shank is taken where there is one whose thread reaches below the nut, one threaded to the
    head where not.

    Args:
        thread: of the bolt.
        grip: thickness of the parts alone, mm.
        washers: how many.
        nut: plain, lock, thin or none.
        engagement: without a nut, how far it reaches into the tapped part, mm; left out: the diameter (common
            practice, no source).
    Raises:
        FastenerError: there is no such bolt, or none is long enough.
    """
    washer, height = washer_thickness(thread) if washers else 0.0, nut_height(thread, nut)
    clamped = grip + washers * washer
    extra = (thread.diameter if engagement is None else engagement) if nut == "none" else THREADS_OUT * thread.pitch
    needed = clamped + height + extra
    for length, standard, shank in _candidates(thread):
        if length >= needed - 1e-6 and shank <= clamped + 1e-6:
            return BoltChoice(thread, length, standard, grip, washers, washer, nut, height, shank)
    longest = max(length for length, _, _ in _candidates(thread))
    raise FastenerError(
        f"no {thread.size} bolt is long enough: {needed:.1f} mm is needed for a grip of {grip:.1f} mm",
        f"{thread.size} bolts are {longest:g} mm long at most: threaded rod, or less grip",
    )


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
    for length in LENGTHS:
        if size.shanked[0] <= length <= size.shanked[1]:
            found.append((length, shanked, length - thread_length(thread, length)))
        if size.threaded[0] <= length <= size.threaded[1]:
            found.append((length, threaded, 0.0))
    return found


def _size(thread: Thread) -> _Size:
    if thread.series == "M":
        return _METRIC[thread.diameter]
    found = _INCH.get(thread.size)
    if found is None:
        near = min(_INCH, key=lambda size: abs(_fraction(size) * INCH - thread.diameter))
        raise FastenerError(f"there is no hexagon bolt {thread.size}", ", ".join(_INCH), near)
    return found


def _fraction(text: str) -> float:
    over, _, under = text.partition("/")
    return float(over) / float(under or 1)


def _inches(length: float) -> str:
    whole, quarters = divmod(round(length / INCH * 4), 4)
    part = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}[quarters]
    return " ".join(word for word in (str(whole) if whole or not part else "", part, "in") if word)
