"""General tolerances of welded parts and assemblies; figures in data/tolerances.toml."""

from __future__ import annotations

from bisect import bisect_left
from typing import Literal

from fabgen.shop.tables import data

WeldClass = Literal["A", "B", "C", "D"]


def welded_length(of_class: WeldClass, length: float) -> float:
    """What a length of a welded part may be out by, plus or minus, mm.

    Args:
        of_class: of ISO 13920.
        length: mm.
    Source: ISO 13920, table of linear dimensions.
    """
    table = data("tolerances")["iso_13920"]
    return float(table[of_class][bisect_left(table["up_to"], length - 1e-6)])


def welded_angle(of_class: WeldClass, leg: float) -> float:
    """What an angle of a welded part may be out by, mm in a metre.

    Args:
        of_class: of ISO 13920.
        leg: the shorter, mm.
    Source: ISO 13920, table of angles.
    """
    return float(data("tolerances")["iso_13920_angles"][of_class][bisect_left([400.0, 1000.0], leg - 1e-6)])


def steps(of_class: WeldClass, longest: float) -> list[tuple[float, float]]:
    """(plus or minus, up to what length), mm, of the ranges that reach from nothing to a length; ranges of one
    tolerance are one.

    Args:
        of_class: of ISO 13920.
        longest: mm.
    """
    table = data("tolerances")["iso_13920"]
    found: dict[float, float] = {}
    for most, out in zip(table["up_to"], table[of_class], strict=False):
        found[float(out)] = float(most)
        if most >= longest:
            break
    return list(found.items())
