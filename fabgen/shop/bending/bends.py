"""Bending rules: where K comes from, the usual lower tool, the least flange.

One allowance serves every rule: angle * (radius + K * thickness), geometry.folds.Bend.  The
rules differ in K alone.  Legs are measured to the outside mould line (where the two outer
surfaces would meet), so that the flat is the sum of the legs less the deduction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from fabgen.shop.materials import Group
from fabgen.wording.sentence import Sentence, sentence

BendRule = Literal["table", "din6935"]

COMMON = "common practice, no source"
ROOM_FOR_BEND = 0.95
"""Share of the room between a boxed-in bolt's hole and its tabs that their inside radius takes at most."""
HANDBOOK = "Machinery's Handbook, bending sheet metal (edition not at hand, from memory)"
DIN_6935 = "DIN 6935 (from memory)"

MIDDLE = 5.0
"""From this ratio of inside radius to thickness on the neutral line is the middle of the sheet (DIN 6935)."""


@dataclass(frozen=True, slots=True)
class KFactor:
    """A K-factor and, in words, where it comes from."""

    value: float
    source: Sentence


@dataclass(frozen=True, slots=True)
class SourcedLength:
    """A length by a rule, mm, and where the rule comes from."""

    value: float
    source: str


TABLE_RATIOS = (1.0, 2.0, 3.0, 4.0, 5.0)
"""Inside radius over thickness, the columns of the table; the first also serves all below it."""

_TABLE_SOFT = (0.41, 0.43, 0.45, 0.48, 0.50)
_TABLE_HARD = (0.45, 0.46, 0.48, 0.49, 0.50)
TABLE: dict[Group, tuple[float, ...]] = {
    "mild steel": _TABLE_SOFT,
    "aluminium": _TABLE_SOFT,
    "stainless": _TABLE_HARD,
    "alloy steel": _TABLE_HARD,
}
"""K by material group and ratio of inside radius to thickness.

The first column is the handbook's: Machinery's Handbook gives the straight length for a 90 degree
bend as L = c T + 1.57 R, with c = 0.55 for soft brass and soft copper, 0.64 for half-hard copper and
brass, soft steel and aluminium, 0.71 for bronze, hard copper, cold-rolled and spring steel, and
K = c / (pi / 2).  Its cold-rolled steel is a hard one: cold-reduced and annealed sheet (DC01, DC04) is put with
the soft steel, common practice.  It names no stainless and no alloy steel: both are put with the hard metals,
common practice.  The last column is DIN 6935's (neutral line in the middle); between them the figures rise
evenly (common practice, no source).  Between columns K is interpolated.
"""


def k_factor(
    group: Group, thickness: float, radius: float, rule: BendRule = "table", own: float | None = None
) -> KFactor:
    """K for one bend.

    Args:
        group: of the material.
        thickness: of the sheet, mm.
        radius: inside, mm.
        rule: the table, or DIN 6935's formula.
        own: a K that the job gives; it wins over any rule.
    """
    if own is not None:
        return KFactor(own, sentence("the job file"))
    if rule == "din6935":
        return KFactor(din6935_factor(thickness, radius) / 2.0, sentence(f"{DIN_6935} (its k is 2 K)"))
    source = sentence(f"the table for {group}: {_table_source(group, thickness, radius)}")
    return KFactor(table_k(group, thickness, radius), source)


def table_k(group: Group, thickness: float, radius: float) -> float:
    """K from `TABLE`, straight lines between its columns.

    Args:
        group: of the material.
        thickness: of the sheet, mm.
        radius: inside, mm.
    """
    ratio = min(max(radius / thickness, TABLE_RATIOS[0]), TABLE_RATIOS[-1])
    row = TABLE[group]
    i = min(int(ratio - TABLE_RATIOS[0]), len(row) - 2)
    share = ratio - TABLE_RATIOS[i]
    return row[i] * (1.0 - share) + row[i + 1] * share


def _table_source(group: Group, thickness: float, radius: float) -> str:
    ratio = radius / thickness
    if ratio >= MIDDLE - 1e-9:
        return DIN_6935
    named = group in ("mild steel", "aluminium")
    if ratio <= TABLE_RATIOS[0] + 1e-9:
        kind = "as its soft steel and aluminium" if named else f"as its hard metals; {COMMON} for {group}"
        return f"{HANDBOOK}, {kind}"
    return f"interpolated by fabgen between Machinery's Handbook and DIN 6935; {COMMON}"


# -- DIN 6935 -----------------------------------------------------------------
def din6935_factor(thickness: float, radius: float) -> float:
    """The correction factor k of DIN 6935: the neutral line lies k s / 2 from the inside, so K = k / 2.

    Args:
        thickness: s, mm.
        radius: inside, r, mm.
    Source: DIN 6935 (from memory): k = 0.65 + 0.5 log10(r / s) up to r / s = 5, 1 above.  Below r / s of about
        0.05 the formula goes under 0 and 0 is taken.
    """
    ratio = radius / thickness
    if ratio > MIDDLE:
        return 1.0
    return max(0.0, 0.65 + 0.5 * math.log10(ratio)) if ratio > 0.0 else 0.0


def legs_to_tangent(thickness: float, radius: float, angle: float) -> float:
    """What a leg measured to the mould line is longer than over all, mm: 0 up to a bend of 90 degrees.

    In a bend of more than 90 degrees the mould line lies outside the metal; what can be measured is the leg to
    the tangent square to it, over the outside of the bend.  DIN 6935 measures such legs so (from memory).

    Args:
        thickness: of the sheet, mm.
        radius: inside, mm.
        angle: of the bend, rad.
    """
    return max(0.0, (math.tan(angle / 2.0) - 1.0) * (radius + thickness)) if angle > math.pi / 2.0 else 0.0


# -- what a press brake can do -----------------------------------------------------
def die_width(thickness: float) -> SourcedLength:
    """Usual opening of the lower tool, mm: 6 t under 3 mm, 8 t to 8 mm, 10 t to 10 mm, 12 t above.

    Args:
        thickness: t, of the sheet, mm.
    Source: as makers of press brakes and their tools advise for mild steel (read on their pages: 0.5 mm to 2.6 mm
        6 t, 3 mm to 8 mm 8 t, 9 mm and 10 mm 10 t, 12 mm and more 12 t).
    """
    times = 6.0 if thickness < 3.0 - 1e-9 else 8.0 if thickness <= 8.0 else 10.0 if thickness <= 10.0 else 12.0
    return SourcedLength(times * thickness, COMMON)


def least_flange(angle: float, die: float) -> SourcedLength:
    """Least flange, outside to the mould line, that still lies on both edges of the lower tool, mm.

    Half the tool's opening along the flange once the bend is made: (die / 2) / cos(angle / 2), 0.71 of the
    opening at 90 degrees (common practice; a maker of press brakes gives 0.70).

    Args:
        angle: of the bend, rad.
        die: opening of the lower tool, mm.
    """
    return SourcedLength(die / 2.0 / math.cos(min(angle, math.radians(150.0)) / 2.0), COMMON)
