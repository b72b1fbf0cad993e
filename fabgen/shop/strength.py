"""Strengths and stiffness that buckling and threads are calculated with, by material.

All from memory, check against your certificate.  Yield strength of S235, S275, S355: EN 10025-2
(`materials.py`); their tensile strength: the same, least value for 3 to 100 mm.  Aluminium: EN
755-2, extruded, least values of the temper; a weld takes much of it away beside it.  Stainless: EN
10088-2, hot rolled, least values.  Elastic modulus: EN 1993-1-1, 3.2.6 (steel, 210 000 MPa), EN
1993-1-4 (stainless, 200 000 MPa), EN 1999-1-1, 3.2.5 (aluminium, 70 000 MPa).
"""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.shop.materials import Material

MEMORY = "from memory, check against your certificate"
MODULUS = {"mild steel": 210_000.0, "alloy steel": 210_000.0, "stainless": 200_000.0, "aluminium": 70_000.0}
"""MPa, by a material's group."""

_LEAST: dict[str, tuple[float, float]] = {
    # Yield and tensile strength, MPa.
    "S235": (235.0, 360.0),
    "S275": (275.0, 410.0),
    "S355": (355.0, 470.0),
    "S355MC": (355.0, 430.0),
    "S420MC": (420.0, 480.0),
    "304": (210.0, 520.0),
    "1.4301": (210.0, 520.0),
    "304L": (200.0, 500.0),
    "1.4307": (200.0, 500.0),
    "316": (220.0, 520.0),
    "1.4401": (220.0, 520.0),
    "316L": (220.0, 520.0),
    "1.4404": (220.0, 520.0),
    "6060-T66": (160.0, 215.0),
    "6061-T6": (240.0, 260.0),
    "6082-T6": (250.0, 290.0),
}


@dataclass(frozen=True, slots=True)
class Strength:
    """MPa; None where it is not known."""

    modulus: float
    yields: float | None
    breaks: float | None


def strength(material: Material) -> Strength:
    """Strengths and stiffness of a material; what a job says of its own goes first.

    Args:
        material: a grade such as S355J2H counts as S355.
    """
    name = max((n for n in _LEAST if material.name == n or _is_grade(material.name, n)), key=len, default="")
    yields, breaks = _LEAST.get(name, (None, None))
    return Strength(
        MODULUS[material.group],
        material.yield_strength if material.yield_strength is not None else yields,
        material.tensile_strength if material.tensile_strength is not None else breaks,
    )


def _is_grade(name: str, of: str) -> bool:
    """Whether a name is that of a quality grade of a structural steel: 'S355J2H' of 'S355'."""
    return of in ("S235", "S275", "S355") and name.startswith(of) and name[len(of) : len(of) + 1] in ("J", "K")
