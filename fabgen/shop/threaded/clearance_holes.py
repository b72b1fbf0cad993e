"""Clearance holes for bolts.

Metric: ISO 273:1979, fine (close), medium and coarse series, tolerances H12, H13, H14.
Inch: close, normal and loose of ASME B18.2.8, from memory, check against your part.
The figures are in data/clearance_holes.toml.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from typing import Literal

from fabgen.shop.tables import inches, table
from fabgen.wording.input_error import InputError
from fabgen.wording.nearest import nearest_sizes

HoleFit = Literal["close", "medium", "coarse"]

ISO_WORDS: dict[HoleFit, str] = {"close": "fine", "medium": "medium", "coarse": "coarse"}


def holes(system: Literal["metric", "inch"]) -> dict[str, dict[str, float]]:
    """Diameters of the holes by bolt and fit, mm.

    Args:
        system: of the bolts, named 'M10' or '3/8'.
    """
    return table("clearance_holes", system).rows


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
    text = " ".join(bolt.replace(",", ".").split())
    metric = re.fullmatch(r"[Mm] ?(\d+(?:\.\d+)?)(?: ?[xX×] ?\d+(?:\.\d+)?)?", text)
    if metric and (size := f"M{float(metric[1]):g}") in holes("metric"):
        of = table("clearance_holes", "metric")
        source = f"{of.source} (table {of.certainty}), {ISO_WORDS[fit]} series"
        return ClearanceHole(size, float(metric[1]), of.rows[size][fit], source)
    inch = re.fullmatch(r"(\d+(?:[ -]\d+/\d+|/\d+)?) ?(?:in|inch|\"|″)?(?: ?- ?\d+)?(?: ?UN[A-Z]*)?", text)
    if inch and (size := inch[1].replace("-", " ")) in holes("inch"):
        of = table("clearance_holes", "inch")
        return ClearanceHole(f"{size} in", inches(size), of.rows[size][fit], f"{of.source}, {of.certainty}")
    raise UnknownBoltError(f'"{bolt}" is no bolt size in the tables', _ACCEPTED, _nearest(bolt))


def clearance_diameter(bolt: str, fit: HoleFit) -> float | None:
    """The diameter of `clearance`, mm; None where no table has the bolt.

    Args:
        bolt, fit: of `clearance`.
    """
    try:
        return clearance(bolt, fit).diameter
    except UnknownBoltError:
        return None


def _nearest(text: str) -> str:
    number = re.fullmatch(r" *(?:[Mm] ?(\d+(?:\.\d+)?).*|(\d+))", text)
    if number and (number[1] or f"M{number[2]}" in holes("metric")):
        if number[2]:
            return f"M{number[2]}"
        return nearest_sizes(float(number[1]), {size: float(size[1:]) for size in holes("metric")})
    known = [f"{size} in" for size in holes("inch")]
    close = difflib.get_close_matches(text.strip(), known, 1, 0.4)
    return close[0] if close else ""
