"""Least inside radii of cold bends, by grade, thickness and rolling direction (`data/bend_radii.toml`)."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from fabgen.shop.materials import Material
from fabgen.shop.strength import strength
from fabgen.shop.tables import data

Rolling = Literal["along", "across"]
"""How a bend line lies to the sheet's rolling direction."""

WIDER_ABOVE = math.radians(120.0)
"""Above this bend angle the next radius of the series holds: DIN 6935."""


@dataclass(frozen=True, slots=True)
class LeastRadius:
    """Least inside radius (mm) of a bend that lies so to the rolling direction, and where it comes from."""

    value: float
    rolling: Rolling
    source: str


def least_radius(
    material: Material, thickness: float, rolling: Rolling = "along", angle: float = math.pi / 2.0
) -> LeastRadius:
    """Least inside radius that the sheet is usually bent to without cracking.

    Args:
        material: of the sheet; a grade that no block names counts by its tensile strength or its group.
        thickness: of the sheet, mm.
        rolling: how the bend line lies to the rolling direction; 'along' is the harder.
        angle: of the bend, rad.
    """
    block = _block(material, thickness)
    upto = block["upto"]
    column = min(bisect_left(upto, thickness - 1e-9), len(upto) - 1)
    value = float(block.get(rolling, block["along"])[column])
    if block.get("times"):
        value *= thickness
    elif thickness > upto[-1]:
        value *= thickness / upto[-1]
    if block.get("wider_above_120") and WIDER_ABOVE + 1e-9 < angle < math.pi - 1e-6:
        value = next((r for r in data("bend_radii")["series"]["radii"] if r > value + 1e-9), value * 1.25)
    return LeastRadius(value, rolling, _cited(block))


def _block(material: Material, thickness: float) -> dict[str, Any]:
    """The block that serves the material, of several the one with the thickness, else the last."""
    serving = list(_serving(material))
    return next((block for block in serving if thickness <= block["upto"][-1] + 1e-9), serving[-1])


def _serving(material: Material) -> Iterator[dict[str, Any]]:
    blocks = data("bend_radii")["block"]
    named = [block for block in blocks if any(_is_of(material.name, name) for name in block["serves"])]
    if named:
        yield from named
    elif material.group != "mild steel":
        yield from (block for block in blocks if material.group in block["serves"])
    else:
        tensile = strength(material).breaks or 0.0
        classes = sorted({block["tensile"] for block in blocks if "tensile" in block})
        own = next((each for each in classes if tensile <= each), classes[-1])
        yield from (block for block in blocks if block.get("tensile") == own)


def _cited(block: dict[str, Any]) -> str:
    """The source of a block, with its certainty where the source itself was not at hand."""
    certainty = block.get("certainty")
    return f"{block['source']} ({certainty})" if certainty else str(block["source"])


def _is_of(grade: str, name: str) -> bool:
    """Whether a grade is the named one, or a quality of it: 'S355J2' of 'S355'."""
    return grade == name or (grade.startswith(name) and grade[len(name) : len(name) + 1] in ("J", "K"))
