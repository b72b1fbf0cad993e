"""Figures as they stand in job.json."""

from __future__ import annotations


def rounded(value: float) -> float:
    """To four places, of a millimetre or a degree: more is noise, and differs from machine to machine."""
    return round(float(value), 4) + 0.0
