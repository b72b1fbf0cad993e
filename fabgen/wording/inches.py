"""Inches, for jobs that are worked in them.

An inch is 25.4 mm exactly (the international yard and pound agreement of 1959).
"""

from __future__ import annotations

import math
from fractions import Fraction

INCH = 25.4
FINEST = 64
"""The finest fraction that rules and drawings show: 1/64 in."""
_SAME = 0.006
"""A size this near a fraction, mm, is that fraction: metric texts give two places."""
_WRITTEN = 1e-4
"""A size this near a tenth of a millimetre, mm, is written in tenths."""


def fraction(inches: Fraction) -> str:
    """'2 1/2', '13/32', '4'."""
    whole, rest = divmod(inches, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def nearest_fraction(mm: float, parts: int = 32) -> str:
    """A length in inches to the nearest 1/32 (or other part), as a tape shows it, without its unit: '1 13/32'."""
    near = fraction(Fraction(round(abs(mm) / INCH * parts), parts))
    return f"-{near}" if mm < 0.0 and near != "0" else near


def inch_size(mm: float, decimals: int = 3, outward: bool = False) -> str:
    """A length in inches without its unit: a fraction where it is one to 1/64, else decimals: '2 1/2', '1.575'.

    Args:
        mm: the length.
        decimals: places, where it is no fraction.
        outward: rounded away from 0, not to the nearest.
    """
    near = Fraction(round(mm / INCH * FINEST), FINEST)
    if is_fraction(mm) and not (outward and abs(float(near)) * INCH < abs(mm) - 1e-6):
        return f"-{fraction(-near)}" if near < 0 else fraction(near)
    if outward:
        places = 10.0**decimals
        whole = math.ceil(round(abs(mm) / INCH * places, 4)) / places
        return f"{math.copysign(whole, mm):.{decimals}f}"
    return f"{mm / INCH:.{decimals}f}"


def is_metric(*sizes: float) -> bool:
    """Whether sizes, mm, are those of something made in millimetres: all of them tenths, and not all of them fractions
    of an inch.  It keeps its metric size in an inch job."""
    tenths = all(abs(size * 10.0 - round(size * 10.0)) < 10.0 * _WRITTEN for size in sizes)
    return tenths and not all(is_fraction(size) for size in sizes)


def is_fraction(size: float) -> bool:
    """Whether a size, mm, is a fraction of an inch, to 1/64."""
    return abs(round(size / INCH * FINEST) / FINEST * INCH - size) < _SAME


def inch_text(mm: float, decimals: int = 3) -> str:
    """A length in inches, e.g. '2 1/2"' or '1.575"'."""
    return f'{inch_size(mm, decimals)}"'
