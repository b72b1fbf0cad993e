"""What welds ask of the metal: cold bends near them, and the least that counts as a fillet.

The figures and their sources stand in data/welding.toml.
"""

from __future__ import annotations

import math
from typing import Any

from fabgen.shop.materials import Material
from fabgen.shop.tables import data

NEAR = 5.0
"""A weld nearer to a cold bend than this many thicknesses is near it: EN 1993-1-8:2005, 4.14."""


def filler_group(material: Material) -> str:
    """What a metal's filler and gas are sold for: 'steel', 'stainless' or 'aluminium'.

    Args:
        material: of the part.
    """
    return "steel" if material.group in ("mild steel", "alloy steel") else material.group


def gas(process: str, metal: str) -> str:
    """The shielding gas in words, '' where the process takes none.

    Args:
        process: 'mag', 'tig' or 'stick'.
        metal: as `filler_group` has it.
    Source: data/welding.toml, [gases].
    """
    return next((name for by, group, name in _block("gases")["rows"] if (by, group) == (process, metal)), "")


def thinnest(process: str, metal: str) -> float:
    """The thinnest metal that a process usually welds, mm.

    Args:
        process: 'mag', 'tig' or 'stick'.
        metal: as `filler_group` has it.
    Source: data/welding.toml, [thinnest].
    """
    return float(next(least for by, group, least in _block("thinnest")["rows"] if (by, group) == (process, metal)))


def _block(name: str) -> dict[str, Any]:
    found: dict[str, Any] = data("welding")[name]
    return found


def is_killed(material: Material) -> bool:
    """Whether its grade is delivered fully killed.

    Args:
        material: by its grade, e.g. S355J2H.
    """
    return material.grade.endswith(tuple(_block("killed")["endings"]))


def thickest_by_bend(radius: float, thickness: float, killed: bool) -> float:
    """The thickest steel that may be welded near a bend of this radius, mm; 0 where none may, inf where any may.

    Args:
        radius: inside, mm.
        thickness: mm.
        killed: whether the steel is fully killed; else the column for loads that come and go counts.
    Source: EN 1993-1-8:2005, table 4.2.
    """
    for least, usual, fully_killed in _block("near_bends")["rows"]:
        if radius >= least * thickness * (1.0 - 1e-6):
            return float(fully_killed if killed else usual) or math.inf
    return 0.0


def next_row(radius: float, thickness: float) -> float:
    """The least radius of the next wider row of that table, which the bend does not reach, mm; inf past the last.

    Args:
        radius: inside, mm.
        thickness: mm.
    Source: EN 1993-1-8:2005, table 4.2.
    """
    leasts = [least * thickness for least, *_ in _block("near_bends")["rows"]]
    return min((least for least in leasts if radius < least * (1.0 - 1e-6)), default=math.inf)


def tube_complies(material: Material, wall: float) -> bool:
    """Whether cold formed tube of a grade counts as within the table whatever its corners.

    Args:
        material: of the tube.
        wall: mm.
    Source: EN 1993-1-8:2005, table 4.2, note.
    """
    return is_killed(material) and wall <= _block("killed")["tube_up_to"] + 1e-6


def least_throat() -> float:
    """Throat under which a fillet does not count, mm."""
    return float(_block("fillet")["throat"])


def least_run(throat: float) -> float:
    """Length under which a fillet carries no load, mm.

    Args:
        throat: mm.
    """
    fillet = _block("fillet")
    return max(float(fillet["length"]), float(fillet["throats"]) * throat)


def least_metal(is_tube: bool) -> float:
    """Thickness from which the clauses on fillets hold, mm.

    Args:
        is_tube: whether it is the wall of a tube.
    """
    return float(_block("fillet_scope")["tube" if is_tube else "sheet"])
