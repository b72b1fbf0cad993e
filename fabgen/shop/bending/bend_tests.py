"""K from test strips: a strip of known length is folded once, its legs measured, and K follows.

The flat length is leg + leg - deduction, the legs outside to the mould line; the deduction is
2 setback - allowance, and the allowance angle (radius + K thickness).  What the strip was made
of, how thick it is and the radius it took are the shop's own: so is the K.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fabgen.shop.bending.bends import KFactor, legs_to_tangent
from fabgen.wording.sentence import Sentence, mm, sentence

SAME_THICKNESS = 0.06
"""Sheets whose thickness differs by less than this, mm, are one sheet: about what a rolled sheet varies by."""
SAME_RADIUS = 0.1
SAME_DIE = 0.5
WIDE_SCATTER = 0.2
"""Strips whose bend allowances differ by more than this, mm, are worth folding again: common practice, no source."""


@dataclass(frozen=True, slots=True)
class FoldedStrip:
    """One folded strip: length before (mm), and the two legs measured outside, to the mould line up to a
    bend of 90 degrees and over the bend beyond it."""

    length: float
    legs: tuple[float, float]


def allowance_of(strip: FoldedStrip, thickness: float, radius: float, angle: float) -> float:
    """Bend allowance that a strip shows, mm: length - legs + 2 setback.

    Args:
        strip: as measured.
        thickness: of the sheet, mm.
        radius: inside, mm.
        angle: of the bend, rad.
    """
    beyond = legs_to_tangent(thickness, radius, angle)
    legs = strip.legs[0] + strip.legs[1] + 2.0 * beyond
    return strip.length - legs + 2.0 * math.tan(angle / 2.0) * (radius + thickness)


def k_of(strip: FoldedStrip, thickness: float, radius: float, angle: float) -> float:
    """K that a strip shows; it may be nonsense where the strip was measured wrongly.

    Args:
        strip: as measured.
        thickness: of the sheet, mm.
        radius: inside, mm.
        angle: of the bend, rad.
    """
    return (allowance_of(strip, thickness, radius, angle) / angle - radius) / thickness


@dataclass(frozen=True, slots=True)
class MeasuredK:
    """K of one material, thickness (mm), inside radius (mm) and lower tool (mm; None: any), from `ks` of strips.

    `spread` is how far the strips' bend allowances lie apart at most, mm.
    """

    material: str
    thickness: float
    radius: float
    die: float | None
    ks: tuple[float, ...]
    spread: float
    tool: str = ""

    @property
    def value(self) -> float:
        """The strips' mean."""
        return sum(self.ks) / len(self.ks)

    @property
    def source(self) -> Sentence:
        """'own test, 3 strips: K 0.412 to 0.431' and so on."""
        over = sentence(" over ", mm(self.die, 3)) if self.die is not None else ""
        if len(self.ks) == 1:
            return sentence("own test", over, ", 1 strip")
        spread = f"K {min(self.ks):.3f} to {max(self.ks):.3f}"
        return sentence("own test", over, f", mean of {len(self.ks)} strips, {spread}")

    @property
    def factor(self) -> KFactor:
        """The mean with its source."""
        return KFactor(self.value, self.source)

    def serves(self, material: str, thickness: float, radius: float, die: float | None) -> bool:
        """Whether a bend is one of those tested; a tool that either does not name is no hindrance.

        Args:
            material: its name.
            thickness: of the sheet, mm.
            radius: inside, mm.
            die: opening of the lower tool, mm; None where it is not known.
        """
        same_tool = self.die is None or die is None or abs(self.die - die) <= SAME_DIE
        return (
            self.material == material
            and abs(self.thickness - thickness) <= SAME_THICKNESS
            and abs(self.radius - radius) <= SAME_RADIUS
            and same_tool
        )


def merged(tests: Iterable[MeasuredK]) -> list[MeasuredK]:
    """Tests of one material, thickness, radius and tool made into one, in the order they are first met.

    Args:
        tests: in the order of the job.
    """
    groups: list[list[MeasuredK]] = []
    for test in tests:
        for group in groups:
            first = group[0]
            if first.serves(test.material, test.thickness, test.radius, test.die) and first.die == test.die:
                group.append(test)
                break
        else:
            groups.append([test])
    return [_merged(group) for group in groups]


def _merged(group: Sequence[MeasuredK]) -> MeasuredK:
    ks = tuple(k for test in group for k in test.ks)
    first = group[0]
    spread = max(test.spread for test in group)
    if len(group) > 1:
        spread = max(spread, (max(ks) - min(ks)) * first.thickness * math.pi / 2.0)
    return MeasuredK(first.material, first.thickness, first.radius, first.die, ks, spread, first.tool)


def find(
    tests: Iterable[MeasuredK], material: str, thickness: float, radius: float, die: float | None
) -> list[MeasuredK]:
    """The tests that serve a bend; those over its own tool before those that name none.

    Args:
        tests: one for each material, thickness, radius and tool.
        material: its name.
        thickness: of the sheet, mm.
        radius: inside, mm.
        die: opening of the lower tool, mm; None where it is not known.
    Returns: more than one only where the bend names no tool and tests were made over several.
    """
    serving = [test for test in tests if test.serves(material, thickness, radius, die)]
    named = [test for test in serving if test.die is not None]
    return named or serving
