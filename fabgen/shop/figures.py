"""How a figure is written, the same wherever one is: in facts, checks and documents."""

from __future__ import annotations

import math


def figure(value: float, decimals: int = 1) -> str:
    """A figure with at most `decimals` places and no needless zeros; never '-0'."""
    # Half a last place goes up (1/8 in, 3.175 mm, is 3.18), though binary has it a hair lower.
    text = f"{value + math.copysign(1e-9, value):.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
