"""From where a folded view is seen: an arrow beside the flat, with the view's letter (ISO 128-3, from memory)."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.documents.drawing.flat.fold_profile import FoldedProfile
from fabgen.documents.drawing.sheet.dimensions import FIGURE, arrow, dot
from fabgen.documents.render.picture import Text, line
from fabgen.documents.render.sketch import Sketch, grown
from fabgen.geometry.plane.outline import Box, Xy, box_of

LETTERS = "AB"
"""Of the folded views, in order."""
_LONG = 5.5
_LETTER = 3.0
"""From the arrow's end to the middle of its letter, mm of paper."""
_OFF, _STEP = 3.0, 2.0
"""An arrow keeps off the metal by so much at least, and is tried farther out by so much, mm of paper."""
_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92)


def draw_view_arrows(sketch: Sketch, profiles: Sequence[FoldedProfile], metal: Box) -> None:
    """Draw the arrow of each folded view, in the nearest free place at the end of its bends that it is seen from.

    Args:
        sketch: of the flat with all that is said of it.
        profiles: what the views show.
        metal: the flat's bounds, mm of paper.
    """
    for letter, profile in zip(LETTERS, profiles, strict=False):
        # With `across` to the right and the flat's own viewer up, the eye is toward this.
        toward = (profile.across[1], -profile.across[0])
        corners = [(x, y) for x in metal[::2] for y in metal[1::2]]
        first, last = (pick(dot(p, profile.across) for p in corners) for pick in (min, max))
        edge, far = (max(dot((x, y), toward) for x in box[::2] for y in box[1::2]) for box in (metal, sketch.box))
        _draw(sketch, letter, profile.across, toward, (first, last), (edge, far))


def _draw(sketch: Sketch, letter: str, across: Xy, toward: Xy, span: Xy, reach: Xy) -> None:
    off = reach[0] + _OFF
    while off <= reach[1] + _OFF + _STEP:
        for share in _SHARES:
            along = span[0] + share * (span[1] - span[0])

            def at(out: float, along: float = along) -> Xy:
                return (along * across[0] + out * toward[0], along * across[1] + out * toward[1])

            tip, tail, middle = at(off), at(off + _LONG), at(off + _LONG + _LETTER)
            text = Text(middle[0], middle[1] - FIGURE * 0.36, letter, FIGURE, "middle", bold=True)
            if sketch.free(grown(box_of((tip, middle)), FIGURE / 2.0)):
                sketch.draw(line(tail, tip), arrow(tip, (-toward[0], -toward[1])))
                sketch.write(text)
                return
        off += _STEP
