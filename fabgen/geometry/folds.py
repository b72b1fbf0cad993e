"""Bends and folded parts: bend allowance, and a tree of flat faces joined by bends.

Terms: the *outside mould line* of a bend is where the two outside surfaces would meet if
the bend were sharp.  `angle` is the bend angle: how far the sheet turns from flat, rad.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from fabgen.geometry.outline import Loop, Outline


@dataclass(frozen=True, slots=True)
class Bend:
    """One bend: sheet thickness and inside radius (mm), bend angle (rad), K-factor.

    K is the neutral line's depth from the inside surface over the thickness, so
    allowance = angle * (radius + k * thickness); setback = tan(angle / 2) * (radius +
    thickness); deduction = 2 * setback - allowance.
    """

    thickness: float
    radius: float
    angle: float
    k: float

    @property
    def allowance(self) -> float:
        """Length of the neutral line through the bend, mm."""
        return self.angle * (self.radius + self.k * self.thickness)

    @property
    def setback(self) -> float:
        """Tangent line to outside mould line, mm (for bends under 180 degrees)."""
        return math.tan(self.angle / 2.0) * (self.radius + self.thickness)

    @property
    def deduction(self) -> float:
        """What the flat is shorter than the sum of the outside leg lengths, mm."""
        return 2.0 * self.setback - self.allowance


@dataclass(frozen=True, eq=False)
class Face:
    """A flat face of a folded part, drawn in its own coordinates: x along the bend it hangs
    on, y away from it, y = 0 at the bend's tangent line.  The root face may lie anywhere."""

    name: str
    outline: Outline
    holes: tuple[Loop, ...] = ()


@dataclass(frozen=True, eq=False)
class Flange:
    """A face hung on an edge of its parent.

    The bend's tangent line on the parent runs from (`x`, `y`) in the parent's coordinates in
    direction `turn` (rad); the child's x axis lies along it, and its y axis, in the flat, is
    that direction turned left by 90 degrees.  `up` is True when it folds toward the viewer.
    """

    bend: Bend
    x: float
    y: float
    turn: float
    up: bool
    tree: FoldTree


@dataclass(frozen=True, eq=False)
class FoldTree:
    """A face and the flanges that hang on it."""

    face: Face
    flanges: tuple[Flange, ...] = ()
