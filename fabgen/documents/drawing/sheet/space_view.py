"""A part in space, as a view of its sheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache

from fabgen.documents.drawing.sheet.views import View, least
from fabgen.documents.render.picture import Picture
from fabgen.documents.render.sketch import Panel
from fabgen.documents.scene.hidden_lines import isometric, seen_size
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Array, Frame

USUAL_PICTURE = 60.0
"""Larger side of a picture, mm of paper."""


def space_view(points: Sequence[Array], drawn: Callable[[Frame, float], Picture]) -> View:
    """The isometric view; what is hidden is worked out once, for a picture of the usual size.

    Args:
        points: all that is seen, each (n, 3) mm.
        drawn: the picture along -z of a frame, at a scale.
    """
    view = isometric()
    width, height = seen_size(points, view)
    usual = USUAL_PICTURE / max(width, height)

    @cache
    def picture() -> Picture:
        return drawn(view, usual)

    def draw(scale: float, room: Xy) -> Panel:
        scaled = picture().scaled(scale / usual)
        return Panel(scaled, scaled.bounds)

    return View("Isometric", least(width, height, (0.0, 0.0)), draw, scaled=False, largest=1.0)
