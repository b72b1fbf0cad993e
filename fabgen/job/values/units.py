"""Lengths, angles and forces as people write them, to mm, rad and N; lengths also back."""

from __future__ import annotations

import re
from fractions import Fraction

from fabgen.job.errors import InputError, shown
from fabgen.job.values.formulas import Formula, Names
from fabgen.job.values.quantity import INCH, LARGEST_VALUE, LENGTH_UNITS, Quantity
from fabgen.wording.inches import fraction

LENGTH_ADVICE = 'a length, e.g. 12.5, "1 5/8 in" or "track / 2 - 12 mm"'
ANGLE_ADVICE = 'an angle in degrees, e.g. 60, "60 deg" or "0.5 rad"'
FORCE_ADVICE = 'a force in quotes with its unit, e.g. "4 kN", "900 lbf" or "400 kgf"'
# Standard gravity 9.80665 m/s2 (3rd General Conference on Weights and Measures, 1901); 1 lb = 0.45359237 kg (1959).
_FORCES = {"n": 1.0, "kn": 1000.0, "kgf": 9.80665, "kg": 9.80665, "lbf": 4.4482216152605, "lb": 4.4482216152605}
_FORCE = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*([A-Za-z]+)\s*")
_MOST_FORCE = 1e7


def parse_length(written: object, units: str = "mm", names: Names | None = None) -> float:
    """A length as a job file writes it: figure, unit, fraction or formula.

    Args:
        written: a number, in `units`, or a text.
        units: "mm" or "in", of bare numbers.
        names: named dimensions that a formula may use.
    Returns: mm.
    Raises:
        InputError: it is no length.
    """
    if isinstance(written, str):
        return Formula.read(written, names or {}).length(names or {}, units)
    quantity = number(written, LENGTH_ADVICE)
    try:
        return quantity.as_length(units)
    except InputError as fault:
        raise fault.about(shown(written)) from None


def parse_angle(written: object, names: Names | None = None) -> float:
    """An angle as a job file writes it, e.g. 60, "60 deg", "60°", "0.5 rad" or a formula.

    Args:
        written: a number of degrees, or a text.
        names: named dimensions that a formula may use.
    Returns: rad.
    Raises:
        InputError: it is no angle.
    """
    if isinstance(written, str):
        return Formula.read(written, names or {}).angle(names or {}, "mm")
    return number(written, ANGLE_ADVICE).as_angle()


def parse_force(written: object) -> float:
    """A force with its unit, e.g. "4 kN".

    Args:
        written: what a job file says; a text.
    Returns: N, above 0.
    Raises:
        InputError: it is no force, or none that anything of a shop's size bears.
    """
    found = _FORCE.fullmatch(written) if isinstance(written, str) and len(written) < 60 else None
    unit = _FORCES.get(found[2].casefold()) if found else None
    if found is None or unit is None:
        raise InputError(f"cannot read {shown(written)} as a force", FORCE_ADVICE)
    force = float(found[1].replace(",", ".")) * unit
    if not 0.0 < force <= _MOST_FORCE:
        raise InputError(f"{shown(written)} is not a usable force", f"above zero, at most {_MOST_FORCE / 1e6:g} MN")
    return force


def number(value: object, accepted: str) -> Quantity:
    """A TOML number as a bare quantity.

    Args:
        value: what the file says.
        accepted: what would do, for the error.
    Raises:
        InputError: it is no number, or nan, infinity or one beyond all use.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"cannot read {shown(value)} as a number", accepted)
    if not -LARGEST_VALUE <= value <= LARGEST_VALUE:  # nan too
        raise InputError(f"{shown(value)} is not a usable number", accepted)
    return Quantity(float(value), bare=True)


def format_length(mm: float, units: str = "mm", unit: bool = True) -> str:
    """A length for people: '412.5 mm' to a tenth, or '16.24 in' to a thousandth; no needless zeros.

    Args:
        mm: the length, mm.
        units: "mm" or "in".
        unit: whether the unit's name follows.
    """
    text = f"{mm / float(LENGTH_UNITS[units]):.{1 if units == 'mm' else 3}f}".rstrip("0").rstrip(".")
    text = "0" if text == "-0" else text
    return f"{text} {units}" if unit else text


def format_fraction(mm: float, denominator: int = 16, feet: bool = False) -> str:
    """A length to the nearest fraction of an inch as a tape shows it: '16 1/4"', or 1' 4 1/4" with `feet`.

    Args:
        mm: the length, mm.
        denominator: of the finest fraction.
        feet: whether whole feet are split off.
    """
    parts = round(abs(mm) / float(INCH) * denominator)
    sign = "-" if mm < 0 and parts else ""
    front, inch = "", 12 * denominator
    if feet and parts >= inch:
        front, parts = f"{parts // inch}' ", parts % inch
    return f'{sign}{front}{fraction(Fraction(parts, denominator))}"'
