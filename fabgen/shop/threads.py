"""Screw threads by their trade names: pitches, core diameters and thin nuts.

Pitches: ISO 261:1998, table 2 (general plan; coarse and fine), whose everyday choice is ISO
262; ASME B1.1-2003, table 1 (UNC and UNF).  Basic core diameter: ISO 724:1993, D1 = D - 2 x
5/8 H with H = (sqrt(3) / 2) P; ASME B1.1 has the same profile.
Thin nuts: ISO 4035:2012, greatest height m; its fine-pitch companion is ISO 8675:2012, with
the same heights.  Inch jam nuts: ASME B18.2.2, nominal height.  The heights of M14, M18, M22,
M27, and all inch ones: from memory, check against your part.  The figures are in data/threads.toml.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from fabgen.shop.tables import table
from fabgen.wording.inches import INCH
from fabgen.wording.input_error import InputError
from fabgen.wording.nearest import nearest_sizes

Hand = Literal["right", "left"]
Series = Literal["M", "UNC", "UNF"]
_INCH_SERIES: tuple[Series, ...] = ("UNC", "UNF")


def _sizes(system: Literal["metric", "inch"]) -> dict[str, dict[str, Any]]:
    return table("threads", system).rows


ADVICE = "e.g. M12, M12 x 1.25, 1/2-20 UNF or 10-32 UNF, and right or left"


class ThreadError(InputError):
    """No table here has such a thread, or the text names none."""


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread; `size` is its nominal size as named ('M12', '1/2'), lengths in mm."""

    size: str
    series: Series
    diameter: float
    pitch: float
    hand: Hand = "right"

    @property
    def core(self) -> float:
        """Basic minor diameter D1 of the nut's thread, mm (ISO 724)."""
        return self.diameter - 2.0 * 0.625 * (math.sqrt(3.0) / 2.0) * self.pitch

    @property
    def name(self) -> str:
        """'M12 x 1.75' or '1/2-20 UNF'."""
        if self.series == "M":
            return f"{self.size} x {self.pitch:g}"
        return f"{self.size}-{round(INCH / self.pitch)} {self.series}"

    @property
    def bolt(self) -> str:
        """'M12' or '1/2 in', as the tables of bolts, their heads and holes name it."""
        return self.size if self.series == "M" else f"{self.size} in"

    @property
    def jam_nut(self) -> float:
        """Height of a thin nut, mm."""
        return float(_sizes("metric" if self.series == "M" else "inch")[self.size]["jam_nut"])

    def __str__(self) -> str:
        return f"{self.name} {self.hand}"


_HANDS: dict[str, Hand] = {"right": "right", "rh": "right", "r": "right", "left": "left", "lh": "left", "l": "left"}
_HAND = re.compile(r"[\s,-]+(right|left|rh|lh|r|l)(?:[\s-]*hand)?$")
_METRIC_NAME = re.compile(r"m\s*(\d+(?:[.,]\d+)?)(?:\s*[x×*-]\s*(\d+(?:[.,]\d+)?))?")
_INCH_NAME = re.compile(
    r"(?:no\.?\s*|#\s*)?(\d+\s+\d+/\d+|\d+/\d+|\d+)(?:\s*(?:in|\"))?(?:\s*-\s*(\d+))?(?:\s*(un[a-z]{0,2}))?"
)


def parse_thread(text: str, hand: Hand | None = None) -> Thread:
    """The thread that a text names, right-handed where no hand is given.

    Args:
        text: with its hand at the end, as in 'M12 left', or without.  A metric size without pitch has the coarse
            one; an inch size needs its threads to the inch or its series.  Special and extra fine series (UNS,
            UNEF) exist, but no table here has them.
        hand: where it is given apart from the text.
    Raises:
        ThreadError: no table here has the thread, or the two hands differ.
    Source: ISO 261:1998, table 2; ASME B1.1-2003, table 1.
    """
    plain = " ".join(text.split()).casefold()
    if found := _HAND.search(plain):
        said = _HANDS[found[1]]
        if hand is not None and said != hand:
            raise ThreadError(f'"{text}" says {said}, but the hand given beside it is {hand}', "one hand")
        plain, hand = plain[: found.start()].strip(), said
    hand = hand or "right"
    if match := _METRIC_NAME.fullmatch(plain):
        return _metric(text, _number(match[1]), _number(match[2]) if match[2] else None, hand)
    if match := _INCH_NAME.fullmatch(plain):
        return _inch(text, " ".join(match[1].split()), match[2], match[3], hand)
    raise ThreadError(f'cannot read "{text}" as a thread', ADVICE, _with_hand(text) or _nearest(plain))


def _metric(text: str, diameter: float, pitch: float | None, hand: Hand) -> Thread:
    size, sizes = f"M{diameter:g}", _sizes("metric")
    if size not in sizes:
        near = nearest_sizes(diameter, {each: float(each[1:]) for each in sizes})
        raise ThreadError(f'"{text}" is of a size that is not in our tables', ", ".join(sizes), near)
    pitches = sizes[size]["pitches"]
    if pitch is not None and pitch not in pitches:
        accepted = ", ".join(f"{size} x {p:g}" for p in pitches)
        nearest = min(pitches, key=lambda p: abs(p - pitch))
        raise ThreadError(f"{size} x {pitch:g} is not in our tables (ISO 261)", accepted, f"{size} x {nearest:g}")
    return Thread(size, "M", diameter, pitch or pitches[0], hand)


def _inch(text: str, size: str, per_inch: str | None, series: str | None, hand: Hand) -> Thread:
    sizes = _sizes("inch")
    if size not in sizes:
        raise ThreadError(f'"{text}" is of a size that is not in our tables', ", ".join(sizes), _nearest(size))
    counts: dict[Series, int] = {name: sizes[size][name] for name in _INCH_SERIES}
    fitting = [
        name
        for name, count in counts.items()
        if (series is None or series == name.casefold()) and (per_inch is None or int(per_inch) == count)
    ]
    if len(fitting) != 1:
        accepted = " or ".join(f"{size}-{count} {name}" for name, count in counts.items())
        what = f'"{text}" may be either series' if fitting else f'"{text}" is not in our tables (UNC and UNF)'
        raise ThreadError(what, accepted)
    name = fitting[0]
    return Thread(size, name, sizes[size]["diameter"], INCH / counts[name], hand)


def coarse_pitch(diameter: float) -> float:
    """Pitch of the coarse metric thread, mm (ISO 261).

    Args:
        diameter: nominal, mm, one of the table's.
    """
    return float(_sizes("metric")[f"M{diameter:g}"]["pitches"][0])


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _with_hand(text: str) -> str:
    """The thread with the hand that its last word was probably meant to be: 'M12 rigt' is 'M12 right'; or ''."""
    head, _, last = " ".join(text.split()).rpartition(" ")
    meant = difflib.get_close_matches(last[:10].casefold(), ("right", "left"), n=1)
    if not meant or len(head) > 40:
        return ""
    try:
        parse_thread(head)
    except ThreadError:
        return ""
    return f"{head} {meant[0]}"


def _nearest(plain: str) -> str:
    close = difflib.get_close_matches(plain[:40], _names(), n=1, cutoff=0.5)
    return _names()[close[0]] if close else ""


@cache
def _names() -> dict[str, str]:
    """Names of all threads as compared, and as written."""
    inch = [f"{size}-{row[series]} {series}" for size, row in _sizes("inch").items() for series in _INCH_SERIES]
    return {name.casefold(): name for name in [*_sizes("metric"), *inch]}
