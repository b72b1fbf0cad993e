"""Clearance holes for bolts.

Metric: ISO 273:1979, fine (close), medium and coarse series, tolerances H12, H13, H14.
Inch: close, normal and loose of ASME B18.2.8, from memory, check against your part.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from fabgen.wording.inches import INCH
from fabgen.wording.input_error import InputError

HoleFit = Literal["close", "medium", "coarse"]

ISO_273 = "ISO 273:1979 (table from memory)"
ASME = "ASME B18.2.8, from memory, check against your part"
_FITS: tuple[HoleFit, ...] = ("close", "medium", "coarse")
ISO_WORDS: dict[HoleFit, str] = {"close": "fine", "medium": "medium", "coarse": "coarse"}

METRIC: dict[float, tuple[float, float, float]] = {
    1.6: (1.7, 1.8, 2.0),
    2.0: (2.2, 2.4, 2.6),
    2.5: (2.7, 2.9, 3.1),
    3.0: (3.2, 3.4, 3.6),
    3.5: (3.7, 3.9, 4.2),
    4.0: (4.3, 4.5, 4.8),
    5.0: (5.3, 5.5, 5.8),
    6.0: (6.4, 6.6, 7.0),
    7.0: (7.4, 7.6, 8.0),
    8.0: (8.4, 9.0, 10.0),
    10.0: (10.5, 11.0, 12.0),
    12.0: (13.0, 13.5, 14.5),
    14.0: (15.0, 15.5, 16.5),
    16.0: (17.0, 17.5, 18.5),
    18.0: (19.0, 20.0, 21.0),
    20.0: (21.0, 22.0, 24.0),
    22.0: (23.0, 24.0, 26.0),
    24.0: (25.0, 26.0, 28.0),
    27.0: (28.0, 30.0, 32.0),
    30.0: (31.0, 33.0, 35.0),
    33.0: (34.0, 36.0, 38.0),
    36.0: (37.0, 39.0, 42.0),
    39.0: (40.0, 42.0, 45.0),
    42.0: (43.0, 45.0, 48.0),
    45.0: (46.0, 48.0, 52.0),
    48.0: (50.0, 52.0, 56.0),
    52.0: (54.0, 56.0, 62.0),
    56.0: (58.0, 62.0, 66.0),
    60.0: (62.0, 66.0, 70.0),
    64.0: (66.0, 70.0, 74.0),
}
"""Bolt diameter to hole diameters (close, medium, coarse), mm: ISO 273:1979."""

_INCH_TABLE: dict[str, tuple[str, str, str]] = {
    "1/4": ("17/64", "9/32", "19/64"),
    "5/16": ("21/64", "11/32", "23/64"),
    "3/8": ("25/64", "13/32", "27/64"),
    "7/16": ("29/64", "15/32", "31/64"),
    "1/2": ("17/32", "9/16", "39/64"),
    "5/8": ("21/32", "11/16", "47/64"),
    "3/4": ("25/32", "13/16", "29/32"),
    "7/8": ("29/32", "15/16", "1 1/32"),
    "1": ("1 1/32", "1 3/32", "1 5/32"),
    "1 1/8": ("1 5/32", "1 7/32", "1 5/16"),
    "1 1/4": ("1 9/32", "1 11/32", "1 7/16"),
    "1 3/8": ("1 7/16", "1 1/2", "1 39/64"),
    "1 1/2": ("1 9/16", "1 5/8", "1 47/64"),
}


def inches(text: str) -> float:
    """A size in inches as mm.

    Args:
        text: such as '1 3/32'.
    """
    return float(sum(Fraction(part) for part in text.split())) * INCH


INCH_BOLTS: dict[str, tuple[float, float, float]] = {
    size: (inches(close), inches(normal), inches(loose)) for size, (close, normal, loose) in _INCH_TABLE.items()
}
"""Bolt size in inches to hole diameters (close, normal, loose), mm."""


class UnknownBoltError(InputError):
    """A bolt size that is in no table."""


_ACCEPTED = 'M1.6 to M64, e.g. "M10", or an inch size from 1/4 to 1 1/2, e.g. "3/8 in"; or give `diameter`'


@dataclass(frozen=True, slots=True)
class ClearanceHole:
    """A clearance hole: the bolt's name and diameter, the hole's diameter, mm, and the source."""

    bolt: str
    nominal: float
    diameter: float
    source: str


def clearance(bolt: str, fit: HoleFit = "medium") -> ClearanceHole:
    """The clearance hole for a bolt.

    Args:
        bolt: such as 'M10', 'M10 x 1.25', '3/8 in', '1/2-20 UNF'.
        fit: close, medium or coarse.
    Raises:
        UnknownBoltError: the size is in no table.
    Source: ISO 273:1979 and ASME B18.2.8, both from memory.
    """
    column = _FITS.index(fit)
    text = " ".join(bolt.replace(",", ".").split())
    metric = re.fullmatch(r"[Mm] ?(\d+(?:\.\d+)?)(?: ?[xX×] ?\d+(?:\.\d+)?)?", text)
    if metric and float(metric[1]) in METRIC:
        nominal = float(metric[1])
        return ClearanceHole(f"M{nominal:g}", nominal, METRIC[nominal][column], f"{ISO_273}, {ISO_WORDS[fit]} series")
    inch = re.fullmatch(r"(\d+(?:[ -]\d+/\d+|/\d+)?) ?(?:in|inch|\"|″)?(?: ?- ?\d+)?(?: ?UN[A-Z]*)?", text)
    if inch and (size := inch[1].replace("-", " ")) in INCH_BOLTS:
        return ClearanceHole(f"{size} in", inches(size), INCH_BOLTS[size][column], ASME)
    raise UnknownBoltError(f'"{bolt}" is no bolt size in the tables', _ACCEPTED, _nearest(bolt))


def _nearest(text: str) -> str:
    number = re.fullmatch(r" *[Mm] ?(\d+(?:\.\d+)?).*", text)
    if number:
        return f"M{min(METRIC, key=lambda size: abs(size - float(number[1]))):g}"
    known = [f"{size} in" for size in INCH_BOLTS]
    close = difflib.get_close_matches(text.strip(), known, 1, 0.4)
    return close[0] if close else ""
