"""Quantities: a figure with its unit, as it stands in a job file.

Read here are single figures: `48.3`, `12 mm`, `1 5/8 in`, `3/4"`, `5' 3 1/2"`, `60 deg`.
Formulas made of them are the work of `formulas.py`.

Units are exact: 1 in = 25.4 mm and 1 ft = 304.8 mm by the international yard and pound
agreement of 1959.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from fabgen.job.errors import InputError, shown

Units = Literal["mm", "in"]

INCH = Fraction(254, 10)
LENGTH_UNITS: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": INCH,
    "inch": INCH,
    "inches": INCH,
    '"': INCH,
    "''": INCH,
    "thou": INCH / 1000,
    "ft": 12 * INCH,
    "foot": 12 * INCH,
    "feet": 12 * INCH,
    "'": 12 * INCH,
}
"""Millimetres in each unit, exactly: figures are rounded once, so "3/4 in" equals "19.05 mm"."""
ANGLE_UNITS: dict[str, float] = {
    "deg": math.pi / 180.0,
    "degree": math.pi / 180.0,
    "degrees": math.pi / 180.0,
    "°": math.pi / 180.0,
    "rad": 1.0,
}
GAUGES = ("ga", "gauge", "gage", "swg", "bwg", "awg")
"""Numbers of wall and sheet that are no lengths: their size depends on the metal and on the table."""
GAUGE_ADVICE = 'the thickness in mm or inches, as measured, e.g. "1.5 mm" or "0.060 in"'
UNIT_WORDS = tuple(unit for unit in (*LENGTH_UNITS, *ANGLE_UNITS) if unit.isalpha())

LONGEST_TEXT = 200
LONGEST_LENGTH = 1e7
"""No part of a home-built vehicle is 10 km long: beyond this it is a slip of the pen."""
LARGEST_VALUE = LONGEST_LENGTH**3


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in mm and rad, and its dimension: mm to the power `length`, rad to the power `angle`.

    `bare` marks a number made of figures without units.  It may stand for a length in the
    job's units; the ratio of two lengths may not, though it has no unit either.
    """

    value: float
    length: int = 0
    angle: int = 0
    bare: bool = False

    @property
    def kind(self) -> str:
        """The dimension in words, e.g. 'a length'."""
        if (self.length, self.angle) == (0, 0):
            return "a bare number" if self.bare else "a ratio without a unit"
        if self.angle == 0 and self.length in (1, 2, 3):
            return ("a length", "an area", "a volume")[self.length - 1]
        return "an angle" if (self.length, self.angle) == (0, 1) else "neither a length nor an angle"

    def as_length(self, units: str = "mm") -> float:
        """The length in mm; a bare number counts in the job's `units`.  Raises InputError."""
        if self.bare:
            value = in_mm(self.value, units)
        elif (self.length, self.angle) == (1, 0):
            value = self.value
        else:
            raise InputError(f"comes to {self.kind}, not a length", _LENGTH_ADVICE.get(self.kind, ""))
        if abs(value) > LONGEST_LENGTH:
            raise InputError(f"comes to {value / 1e6:.4g} km", "a length of less than 10 km")
        return value

    def as_angle(self) -> float:
        """The angle in rad; a bare number counts in degrees.  Raises InputError."""
        if self.bare:
            return math.radians(self.value)
        if (self.length, self.angle) == (0, 1):
            return self.value
        raise InputError(f"comes to {self.kind}, not an angle", "an angle in degrees")


def in_mm(value: float, units: str) -> float:
    """A bare number of `units` in mm, rounded once: 0.1 in is 2.54 mm."""
    return value if units == "mm" else float(Fraction(repr(value)) * LENGTH_UNITS[units])


_LENGTH_ADVICE = {
    "a ratio without a unit": "a length; to halve a length, divide it by a bare number, e.g. `track / 2`",
    "an area": "a length; a length times a length is not one",
    "an angle": 'a length, e.g. "12 mm"',
}


# -- text -------------------------------------------------------------------
_ALIKE = str.maketrans(
    {
        **dict.fromkeys("‘’′", "'"),
        **dict.fromkeys("“”″", '"'),
        **dict.fromkeys("−–", "-"),
        **dict.fromkeys("⁄∕÷", "/"),
        **dict.fromkeys("×·⋅", "*"),
        **dict.fromkeys("\u00a0\u2009\u202f\t", " "),
        "º": "°",
    }
)


def tidy(text: str) -> str:
    """The text with typographic quotes, dashes and fractions as plain characters.

    Raises:
        InputError: it is empty, or longer than `LONGEST_TEXT`.
    """
    if len(text) > LONGEST_TEXT:
        raise InputError(f"{shown(text)} is {len(text)} characters long", f"at most {LONGEST_TEXT} characters")
    text = text.translate(_ALIKE)
    if not text.isascii():
        text = "".join(_plain_fraction(c) for c in text)
    text = text.strip()
    if not text:
        raise InputError("the text is empty", 'a number, e.g. 12.5 or "1 5/8 in"')
    return text


def with_points(text: str) -> str:
    """The text with a point for each decimal comma, '' where it has none or one may stand between thousands.

    Args:
        text: a length as written, e.g. '6,5 mm'.
    """
    commas = list(re.finditer(r"(?<![0-9,])([0-9]+),([0-9]+)(?![0-9,])", text))
    if not commas or len(commas) != text.count(","):
        return ""
    if any(len(found[2]) == 3 and found[1].strip("0") for found in commas):
        return ""
    return text.replace(",", ".")


def _plain_fraction(c: str) -> str:
    """'½' as ' 1/2'; any other character as it is."""
    written = unicodedata.decomposition(c)
    if not written.startswith("<fraction>"):
        return c
    return " " + "".join(chr(int(code, 16)) for code in written.split()[1:]).replace("⁄", "/")


# -- figures ----------------------------------------------------------------
def _either(units: Iterable[str]) -> str:
    """Pattern for any of `units`, longest first; a word must not run on into a longer one."""
    longest_first = sorted(units, key=len, reverse=True)
    return "|".join(rf"{unit}(?!\w)" if unit.isalpha() else unit for unit in longest_first)


_NUMBER = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_SIMPLE = r"[0-9]+[ ]*/[ ]*[0-9]+"
_MIXED = rf"[0-9]+(?:[ ]+|-){_SIMPLE}"
_AMOUNT = rf"(?:{_MIXED}|{_SIMPLE}|{_NUMBER})"

# Feet and inches may be joined by a dash, 5'-3", but not by one set off by spaces: that is a minus.
_FEET_AND_INCHES = re.compile(
    rf"(?P<feet>{_NUMBER})[ ]*(?:ft(?!\w)|foot(?!\w)|feet(?!\w)|'(?!'))(?:-|[ ]*)"
    rf"(?P<inches>{_AMOUNT})[ ]*(?:inches(?!\w)|inch(?!\w)|in(?!\w)|\"|'')",
    re.IGNORECASE,
)
_WITH_UNIT = re.compile(rf"(?P<amount>{_AMOUNT})[ ]*(?P<unit>{_either([*LENGTH_UNITS, *ANGLE_UNITS])})", re.IGNORECASE)
_BARE_MIXED = re.compile(_MIXED)
_BARE_NUMBER = re.compile(_NUMBER)
_FRACTION = re.compile(r"(?:(?P<whole>[0-9]+)(?P<joint>[ ]+|-))?(?P<over>[0-9]+)[ ]*/[ ]*(?P<under>[0-9]+)")


def scan(text: str, at: int = 0) -> tuple[Quantity, int] | None:
    """The figure that begins at a place of a text, e.g. `1 5/8 in`.

    A simple fraction without a unit is left to the formula, where it is a division.

    Args:
        text: as `tidy` gives it.
        at: where the figure begins.
    Returns: the figure and where it ends; None where none begins there.
    Raises:
        InputError: what begins there may be read in two ways, or divides by nothing.
    """
    if found := _FEET_AND_INCHES.match(text, at):
        inches = 12 * Fraction(found["feet"]) + _amount(found["inches"])
        return Quantity(float(inches * INCH), length=1), found.end()
    if (found := _WITH_UNIT.match(text, at)) and not _is_subtraction(found["amount"]):
        amount, unit = _amount(found["amount"]), found["unit"].lower()
        if unit in LENGTH_UNITS:
            return Quantity(float(amount * LENGTH_UNITS[unit]), length=1), found.end()
        return Quantity(float(amount) * ANGLE_UNITS[unit], angle=1), found.end()
    if (found := _BARE_MIXED.match(text, at)) and not _is_subtraction(found[0]):
        if "-" in found[0]:
            whole, fraction = found[0].split("-")
            what = f"{shown(found[0])} may be a mixed number or a subtraction"
            raise InputError(what, f"{whole} {fraction} for the mixed number, {whole} - {fraction} for the subtraction")
        return Quantity(float(_amount(found[0])), bare=True), found.end()
    if found := _BARE_NUMBER.match(text, at):
        return Quantity(float(found[0]), bare=True), found.end()
    return None


def _is_subtraction(amount: str) -> bool:
    """True for 10-5/2: its fraction is above one, so the dash joins no mixed number."""
    found = _FRACTION.fullmatch(amount)
    return bool(found and found["joint"] == "-" and int(found["over"]) >= int(found["under"]))


def _amount(text: str) -> Fraction:
    found = _FRACTION.fullmatch(text)
    if found is None:
        return Fraction(text)
    over, under = int(found["over"]), int(found["under"])
    if under == 0:
        raise InputError(f"the fraction {over}/{under} divides by nothing")
    if found["whole"] is not None and over >= under:
        raise InputError(
            f"{shown(text)} is not a mixed number", "a fraction below one after the whole number, e.g. 1 5/8"
        )
    return int(found["whole"] or 0) + Fraction(over, under)
