"""Figures as they stand in job.json."""

from __future__ import annotations

import math
from typing import Any

from fabgen.wording.sentence import Sentence, Unit


def rounded(value: float) -> float:
    """To four places, of a millimetre or a degree: more is noise, and differs from machine to machine."""
    return round(float(value), 4) + 0.0


def in_degrees(angle: float) -> float:
    """An angle, rad, in degrees."""
    return rounded(math.degrees(angle))


def in_mm(of: object, *names: str) -> dict[str, Any]:
    """{'length_mm': …} of the fields named."""
    return {f"{name}_mm": rounded(getattr(of, name)) for name in names}


def in_deg(of: object, *names: str) -> dict[str, Any]:
    """{'angle_deg': …} of the fields named, which are in rad."""
    return {f"{name}_deg": in_degrees(getattr(of, name)) for name in names}


def values_data(text: Sentence) -> list[dict[str, Any]]:
    """The values of a sentence in the order they are read; `name` where they have one, angles in degrees."""
    return [
        ({"name": value.name} if value.name else {}) | _figure(one, value.unit)
        for value in text.values
        for one in value.values
    ]


def _figure(value: float, unit: Unit) -> dict[str, Any]:
    if unit is Unit.RAD:
        return {"value": in_degrees(value), "unit": "deg"}
    return {"value": rounded(value), "unit": unit.value}
