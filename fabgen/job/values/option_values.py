"""Figures given as options on the command line: read as in a job file, faults named by option."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from fabgen.job.errors import InputError, shown
from fabgen.job.values.formulas import UnknownNameError
from fabgen.job.values.units import parse_angle, parse_length

T = TypeVar("T")


def option(name: str, read: Callable[[], T], accepted: str = "") -> T:
    """What `read` gives; its fault is reported as one of the option, with `accepted` in place of its own advice.

    Raises:
        InputError: `read` raised one.
    """
    try:
        return read()
    except InputError as fault:
        if accepted:
            raise InputError(f"--{name}: {fault.what}", accepted) from fault
        raise fault.about(f"--{name}:") from None


def length_option(name: str, text: str) -> float:
    """A length in mm; bare figures are mm."""
    return option(name, lambda: _plain(text, "a length", parse_length), "a length, e.g. 3, '12.5 mm' or '1 5/8 in'")


def angle_option(name: str, text: str) -> float:
    """An angle in rad; bare figures are degrees."""
    return option(name, lambda: _plain(text, "an angle", parse_angle), "an angle in degrees, e.g. 60 or '22.5 deg'")


def _plain(text: str, kind: str, parse: Callable[[str], float]) -> float:
    """The figure; a name in it is reported as not a number: the command line has no dimensions to name."""
    try:
        return parse(text)
    except UnknownNameError as error:
        raise InputError(f"cannot read {shown(text)} as {kind}") from error
