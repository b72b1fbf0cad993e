"""How a figure is written, the same wherever one is: in facts, checks and documents."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from fabgen.wording.inches import inch_text, is_metric, nearest_fraction


def rounded_up(value: float, decimals: int) -> float:
    """The value to so many places; half a last place goes up (1/8 in, 3.175 mm, is 3.18), though binary has it a
    hair lower."""
    return round(value + math.copysign(1e-9, value), decimals)


def figure(value: float, decimals: int = 1) -> str:
    """A figure with at most `decimals` places and no needless zeros, half a last place up; never '-0'."""
    text = f"{value + math.copysign(1e-9, value):.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def adding_up(total: float, terms: Sequence[float], step: float) -> list[float]:
    """Terms rounded so that, as printed, they make their total as printed: the first as it is rounded elsewhere, the
    others up or down by a step where that is needed, those first that are nearest to it.

    Args:
        total, terms: of which the terms make the total.
        step: the last place that is printed.
    """
    first, *others = terms
    whole, own = (math.floor(each / step + 0.5 + 1e-6) for each in (total, first))
    down = [math.floor(each / step + 1e-6) for each in others]
    up = sorted(range(len(others)), key=lambda i: down[i] - others[i] / step)[: whole - own - sum(down)]
    return [own * step, *((each + (i in up)) * step for i, each in enumerate(down))]


def angle_figure(degrees: float, decimals: int = 1) -> str:
    """An angle as `figure` writes sizes, but half a last place to the even one: so an angle and the rest to a whole
    turn, as its mirror image has it, are written to make up that turn.

    Args:
        degrees: the angle.
        decimals: places at most.
    """
    place = Decimal(1).scaleb(-decimals)
    return figure(float(Decimal(f"{degrees:.6f}").quantize(place, ROUND_HALF_EVEN)), decimals)


@dataclass(frozen=True, slots=True)
class Figures:
    """How lengths are written: in mm, or in inches where the job works in inches.

    Inches are fractions where a size is one to 1/64 in, else thousandths.
    """

    inches: bool = False

    @property
    def units(self) -> str:
        """As the job names them: "mm" or "in"."""
        return "in" if self.inches else "mm"

    def length(self, value: float) -> str:
        """A size to 0.1 mm, or to 0.01 mm where it is given so exactly (19.05, not 19.1)."""
        return inch_text(value) if self.inches else figure(value, 2 if abs(value - round(value, 2)) < 1e-6 else 1)

    def size(self, value: float, decimals: int = 1) -> str:
        """A size to so many places of mm and no more."""
        return inch_text(value) if self.inches else figure(value, decimals)

    def sheet(self, thickness: float) -> str:
        """'3 mm' or '1/8"': a thickness with its unit, that of metric sheet in mm."""
        return inch_text(thickness) if self.inches and not is_metric(thickness) else f"{figure(thickness, 2)} mm"

    def tube(self, value: float) -> str:
        """A length along a tube: to 0.1 mm, no saw cuts closer."""
        return self.size(value)

    def tape(self, value: float) -> str:
        """A length that a tape reads: to 0.1 mm, or to 1/32 in."""
        return f'{nearest_fraction(value)}"' if self.inches else self.size(value)


MILLIMETRES = Figures()
