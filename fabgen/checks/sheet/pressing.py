"""What checks of folded parts share: the metal, the lower tool of a bend, and what is too small to be judged."""

from __future__ import annotations

import math

from fabgen.checks.checked import Checking
from fabgen.geometry.sheet.folds import Bend
from fabgen.parts.piece import FlatPart
from fabgen.shop.bending.press_brake import LowerTool, lower_tool
from fabgen.shop.materials import Material

SLACK = 0.02
"""Figures this little under a limit are let pass: arcs are flattened for the check, mm."""
GENTLE = math.radians(30.0)
"""Bends of less take a wider radius than the one drawn, and pull little metal (common practice, no source)."""

Flat = Checking[FlatPart]


def metal_of(of: Flat) -> Material:
    """The material of the part."""
    return of.job.job.find_material(of.piece.material)


def tool_of(of: Flat, bend: Bend) -> LowerTool:
    """The lower tool that a bend is made over."""
    return lower_tool(metal_of(of), of.part.thickness, bend.radius, of.part.die)
