"""Strengths and stiffness that buckling, pull and threads are calculated with, by material, form and thickness.

The figures stand in data/strength.toml, each block with its source and how certain it is; what a job says of a
material of its own goes first.  Elastic modulus, from memory: EN 1993-1-1, 3.2.6 (steel, 210 000 MPa), EN 1993-1-4
(stainless, 200 000 MPa), EN 1999-1-1, 3.2.5 (aluminium, 70 000 MPa).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fabgen.shop.materials import Material
from fabgen.shop.tables import data

MEMORY = "from memory, check against your certificate"
MODULUS = {"mild steel": 210_000.0, "alloy steel": 210_000.0, "stainless": 200_000.0, "aluminium": 70_000.0}
"""MPa, by a material's group."""
Form = Literal["tube", "bar", ""]
"""What it is bought as: hollow section, round bar or, '', sheet and anything else."""


@dataclass(frozen=True, slots=True)
class Strength:
    """MPa; None where it is not known."""

    modulus: float
    yields: float | None
    breaks: float | None


@dataclass(frozen=True, slots=True)
class BesideWeld:
    """What a weld leaves of aluminium beside it: MPa, how far that reaches from the weld (`zone`, mm), and by what
    process.  `bears`: the stress to set against a yield, the tensile strength with the two partial factors' ratio."""

    yields: float
    breaks: float
    zone: float
    process: str
    source: str

    @property
    def bears(self) -> float:
        partial = data("strength")["partial"]
        return float(self.breaks * partial["yielding"] / partial["breaking"])


def strength(material: Material, thickness: float = 0.0, form: Form = "") -> Strength:
    """Strengths and stiffness of a material; what a job says of its own goes first.

    Args:
        material: a grade such as S355J2H counts as S355.
        thickness: of sheet or wall, or of solid bar its diameter, mm; 0 where not known: the thinnest row.
        form: what it is bought as.
    """
    yields, breaks = material.given_yield, material.tensile_strength
    for block in data("strength")["strengths"]:
        for name, of_form, over, up_to, least_yield, least_tensile in block["rows"]:
            fits = (over < thickness or over == thickness == 0) and thickness <= up_to + 1e-6
            if _is_of(material.grade, name) and fits and of_form in ("", form):
                return Strength(
                    MODULUS[material.group],
                    float(least_yield) if yields is None else yields,
                    float(least_tensile) if breaks is None else breaks,
                )
    return Strength(MODULUS[material.group], yields, breaks)


def beside_weld(material: Material, thickness: float, tig: bool) -> BesideWeld | None:
    """What a weld leaves of aluminium; None of other metals, and where no value is known.

    Args:
        material: of the part.
        thickness: of its wall, mm.
        tig: whether it is welded by TIG, else by MIG.
    Source: EN 1999-1-1, 6.1.6, tables 3.2a and 3.2b.
    """
    table = data("strength")
    for block in table["welded"]:
        for name, over, up_to, yields, breaks in block["rows"]:
            if material.grade != name or not over < thickness <= up_to + 1e-6:
                continue
            softer = tig and name.startswith(table["tig"]["series"]) and thickness <= table["tig"]["up_to"] + 1e-6
            share = table["tig"]["factor"] if softer else 1.0
            process = "TIG" if tig else "MIG"
            zone = next(reach for most, reach in table["zone"][process.lower()] if thickness <= most)
            source = block["source"] + ("; TIG's factor 0.8 from memory" if softer else "")
            return BesideWeld(share * yields, share * breaks, float(zone), process, source)
    return None


def _is_of(name: str, grade: str) -> bool:
    """Whether a name is that grade's or of a quality grade of a structural steel: 'S355J2H' of 'S355'."""
    if name == grade:
        return True
    return grade in ("S235", "S275", "S355") and name.startswith(grade) and name[len(grade)] in ("J", "K")
