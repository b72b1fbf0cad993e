"""A hole in a main on the sheet that is laid on it: the patch, unrolled.

Coordinates: u mm of paper round the main and v mm along it, from the hole's centre.  The printed
side shows outward and v points to the main's finish, so u grows to the right of the top line as
`parts/holes/openings.py` counts it.  The sheet's thickness counts as in `wrap.py`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabgen.documents.wrap.wrap import Girth
from fabgen.geometry.plane.outline import Box, Xy
from fabgen.parts.piece import DrilledHole, Opening

BESIDE, OVER = 20.0, 12.0
"""Paper beside the hole and above and below it, mm: the labels stand there."""
LEAST = (70.0, 50.0)
"""Least width and height of the patch, mm."""
_TOP_REACH, _PAST_TOP = 25.0, 9.0
"""The patch is made wider by up to this much to reach the main's top line, and goes so far past it, mm."""
_SPARE = 2.0
"""The patch's ends stay this far apart where it goes nearly round the main, mm."""


@dataclass(frozen=True, eq=False)
class Patch:
    """`edge`: the hole, closed back to its first point.  `top`: u of the main's top line, None where
    that lies beyond the patch.  `folds` (u) and `faces` (name, u, u) of a rectangular main."""

    opening: Opening | DrilledHole
    edge: tuple[Xy, ...]
    box: Box
    top: float | None
    folds: tuple[float, ...]
    faces: tuple[tuple[str, float, float], ...]

    @property
    def saw_cut(self) -> float | None:
        """v of the saw cut that a slit is open to; None of a hole."""
        slit = self.opening.slit if isinstance(self.opening, DrilledHole) else None
        return None if slit is None else slit.centre * (-1.0 if slit.at == "start" else 1.0)

    @property
    def width(self) -> float:
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        return self.box[3] - self.box[1]

    @property
    def hole(self) -> Box:
        """What the hole itself covers."""
        (x0, y0), (x1, y1) = np.min(self.edge, axis=0).tolist(), np.max(self.edge, axis=0).tolist()
        return (x0, y0, x1, y1)


def patch(opening: Opening | DrilledHole, paper_thickness: float = 0.0) -> Patch:
    """The patch for paper (or film) of the given thickness, mm; 0 gives the main's own outside."""
    girth = Girth(opening.onto, 0.0, True, paper_thickness)
    edge = opening.edge
    middle = float(girth.on_paper(np.array([edge.centre[0]]))[0])
    u, v = girth.on_paper(edge.station) - middle, edge.along - edge.centre[1]
    half_height = max(float(np.abs(v).max()) + OVER, LEAST[1] / 2.0)
    left, right = _across(float(u.min()), float(u.max()), girth.width)
    top = min((turn * girth.width - middle for turn in (-1, 0, 1)), key=abs)
    wider = (min(left, top - _PAST_TOP), max(right, top + _PAST_TOP))
    if max(left - wider[0], wider[1] - right) <= _TOP_REACH and wider[1] - wider[0] <= girth.width - _SPARE:
        left, right = wider
    faces = _faces(girth, middle)
    shown = tuple((name, max(a, left), min(b, right)) for name, a, b in faces if b > left and a < right)
    folds = sorted(s for _, *ends in faces for s in ends if left + 0.3 < s < right - 0.3)
    return Patch(
        opening=opening,
        edge=tuple(zip(u.tolist(), v.tolist(), strict=True)),
        box=(left, -half_height, right, half_height),
        top=top if left + 0.3 < top < right - 0.3 else None,
        folds=tuple(s for i, s in enumerate(folds) if i == 0 or s - folds[i - 1] > 0.3),
        faces=shown,
    )


def _faces(girth: Girth, middle: float) -> list[tuple[str, float, float]]:
    """Name and ends of the main's faces, u counted from `middle`, a turn to either side."""
    found = []
    for face in girth.faces():
        first, last = girth.on_paper(np.array([face.start, face.finish])).tolist()
        found += [
            (face.name, first - middle + way * girth.width, last - middle + way * girth.width) for way in (-1, 0, 1)
        ]
    return found


def _across(first: float, last: float, girth: float) -> tuple[float, float]:
    """Left and right edge: the hole and a margin, or as much of it as goes round the main."""
    least, most = LEAST[0], girth - _SPARE
    left, right = first - BESIDE, last + BESIDE
    more = max(0.0, least - (right - left)) / 2.0
    left, right = left - more, right + more
    less = max(0.0, (right - left) - most) / 2.0
    return left + less, right - less
