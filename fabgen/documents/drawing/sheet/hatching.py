"""Section hatching: thin lines at 45 degrees inside closed loops (ISO 128-50)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from fabgen.documents.render.picture import Stroke, line
from fabgen.geometry.plane.outline import Xy


def hatched(loops: Iterable[Sequence[Xy]], spacing: float = 1.6) -> list[Stroke]:
    """Lines inside an odd number of the loops (closed polygons, mm of paper), `spacing` mm apart."""
    c = math.sqrt(0.5)
    turned = [[(x * c + y * c, y * c - x * c) for x, y in loop] for loop in loops]
    if not any(turned):
        return []
    low = min(v for loop in turned for _, v in loop)
    high = max(v for loop in turned for _, v in loop)
    strokes: list[Stroke] = []
    for k in range(math.ceil(low / spacing), math.floor(high / spacing) + 1):
        level = k * spacing + 1e-7
        crossings: list[float] = []
        for loop in turned:
            for (u0, v0), (u1, v1) in zip(loop, [*loop[1:], loop[0]], strict=True):
                if (v0 > level) != (v1 > level):
                    crossings.append(u0 + (u1 - u0) * (level - v0) / (v1 - v0))
        crossings.sort()
        for a, b in zip(crossings[::2], crossings[1::2], strict=False):
            strokes.append(line((a * c - level * c, a * c + level * c), (b * c - level * c, b * c + level * c), "thin"))
    return strokes
