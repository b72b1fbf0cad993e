"""Single-stroke lettering for marks etched on parts: open strokes, no outlines to be cut out.

The letter shapes are A. V. Hershey's (U.S. National Bureau of Standards, 1967), simplex.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from fabgen.geometry.plane.outline import Box, Xy, box_of

if TYPE_CHECKING:
    from HersheyFonts import HersheyFonts

_CAPITAL = 21.0
_BASE = 9.0
"""Height of a capital and place of the base line in the font's own units, whose y points down."""


@lru_cache(maxsize=512)
def strokes(text: str, height: float) -> tuple[tuple[Xy, ...], ...]:
    """The text as open polylines, mm: capitals `height` tall, standing on y = 0, beginning at x = 0.

    Args:
        text: what the font lacks is written as '?'.
        height: of a capital, mm.
    Source: A. V. Hershey's simplex letters, U.S. National Bureau of Standards, 1967.
    """
    plain = "".join(c if " " <= c <= "~" else "?" for c in text)
    lines = [line for stroke in _font().strokes_for_text(plain) if len(line := list(stroke)) > 1]
    if not lines:
        return ()
    left = min(x for line in lines for x, _ in line)
    scale = height / _CAPITAL
    return tuple(tuple(((x - left) * scale, (_BASE - y) * scale) for x, y in line) for line in lines)


@lru_cache(maxsize=1)
def _font() -> HersheyFonts:
    from HersheyFonts import HersheyFonts

    font = HersheyFonts()
    font.load_default_font("futural")
    return font


def text_box(text: str, height: float) -> Box:
    """The box (xmin, ymin, xmax, ymax) of the strokes, mm; ymin is below 0 where letters go under the line.

    Args:
        text: as for `strokes`.
        height: of a capital, mm.
    """
    return box_of([point for line in strokes(text, height) for point in line] or [(0.0, 0.0)])
