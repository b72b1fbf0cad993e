"""Inches beside millimetres, for jobs that are worked in inches.

An inch is 25.4 mm exactly (the international yard and pound agreement of 1959).
"""

from __future__ import annotations

import re
from fractions import Fraction

INCH = 25.4
FINEST = 64
"""The finest fraction that rules and drawings show: 1/64 in."""
_SAME = 0.006
"""A size this near a fraction, mm, is that fraction: metric texts give two places."""
_SIZES = re.compile(r"(?<![\d.\]\"])(\d+(?:\.\d+)?)((?: (?:x|and|to|or) \d+(?:\.\d+)?)*) mm\b(?!2|3|[²³/]| \[)")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


def fraction(inches: Fraction) -> str:
    """'2 1/2', '13/32', '4'."""
    whole, rest = divmod(inches, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def nearest_fraction(mm: float, parts: int = 32) -> str:
    """A length in inches to the nearest 1/32 (or other part), as a tape shows it, without its unit: '1 13/32'."""
    return fraction(Fraction(round(mm / INCH * parts), parts))


def inch_size(mm: float, decimals: int = 3) -> str:
    """A length in inches without its unit: a fraction where it is one to 1/64, else decimals: '2 1/2', '1.575'."""
    near = Fraction(round(mm / INCH * FINEST), FINEST)
    if abs(float(near) * INCH - mm) < _SAME:
        return f"-{fraction(-near)}" if near < 0 else fraction(near)
    return f"{mm / INCH:.{decimals}f}"


def inch_text(mm: float, decimals: int = 3) -> str:
    """A length in inches, e.g. '2 1/2"' or '1.575"'."""
    return f'{inch_size(mm, decimals)}"'


def inches_beside(text: str) -> str:
    """The text with inches in brackets after every size in mm that has none yet: '19 mm' becomes '19 mm [0.748"]'."""
    return _SIZES.sub(_with_inches, text)


def _with_inches(found: re.Match[str]) -> str:
    sizes = _NUMBER.sub(lambda number: inch_size(float(number[0])), found[1] + found[2])
    return f'{found[0]} [{sizes}"]'
