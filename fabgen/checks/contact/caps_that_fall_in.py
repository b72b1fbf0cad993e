"""Sheet that lies over the end of a tube and is smaller than its bore."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import Found, found
from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, LengthPart
from fabgen.wording.sentence import Sentence, mm, sentence

NEAR = 15.0
"""Sheet no farther from a tube's end was meant to close it, mm (common practice, no source)."""
HALF = 0.5
"""What is smaller than such a share of the bore is no cap (common practice, no source)."""
_FLAT = 0.5
"""What lies square across takes no more than this besides its thickness along the tube, mm."""


@dataclass(frozen=True, eq=False)
class FallsIn:
    """A sheet part of `size` that touches nothing, at the end of `tube`, whose `bore` is larger; (2,) mm, across the
    tube's own y and z."""

    cap: Solid
    tube: Solid
    size: Array
    bore: Array

    def said(self, tubes: str) -> Sentence:
        """'CAP 30 mm x 30 mm, the bore of S-L, S-R 34 mm x 34 mm, the outside 40 mm x 40 mm'."""
        outside = self.bore + 2.0 * _wall(self.tube)
        return sentence(f"{self.cap.mark} ", self._across(self.size), f", the bore of {tubes} ",
                        self._across(self.bore), ", the outside ", self._across(outside))  # fmt: skip

    def _across(self, size: Array) -> Sentence:
        y, z = size.tolist()
        return sentence(mm(z), " across") if _is_round(self.tube) else sentence(mm(z), " x ", mm(y))


def falls_in(cap: Solid, tube: Solid) -> FallsIn | None:
    """A sheet part as one that falls into a tube's end, None where it does not.

    Args:
        cap: it touches nothing.
        tube: what is nearest to it.
    """
    if not tube.is_hollow or not isinstance(cap.part, FlatPart) or not _wall(tube):
        return None
    low, high = _bounds(tube.shape.skin.mesh.vertices)
    points = tube.frame.inside(cap.frame.outside(cap.shape.skin.mesh.vertices))
    begin, end = _bounds(points)
    size, bore = (end - begin)[1:], (high - low)[1:] - 2.0 * _wall(tube)
    middle = (begin + end) / 2.0
    if _is_round(tube):  # what is not round itself is held by its corners
        size = np.full(2, 2.0 * np.hypot(*(points - middle)[:, 1:].T).max())
    near = min(abs(middle[0] - low[0]), abs(middle[0] - high[0])) <= NEAR + cap.part.thickness / 2.0
    across = end[0] - begin[0] <= cap.part.thickness + _FLAT
    over = (np.abs(middle - (low + high) / 2.0)[1:] <= bore / 2.0).all()
    fits = (size < bore).all() and (size > HALF * bore).all()
    return FallsIn(cap, tube, size, bore) if near and across and over and fits else None


def falls_in_words(cases: Sequence[FallsIn]) -> Found:
    """All of a job in one finding."""
    alike: dict[Sentence, list[FallsIn]] = {}
    for case in cases:
        alike.setdefault(case.said(""), []).append(case)
    each = [some[0].said(", ".join(dict.fromkeys(case.tube.mark for case in some))) for some in alike.values()]
    return found(
        "smaller than the bore that it is to close, so it falls in (", named(each, "; ", FEW),
        "): as large as the outside it lies on the end, as large as the bore it is let in",
        about=list(dict.fromkeys(case.cap.mark for case in cases)),
    )  # fmt: skip


def _wall(tube: Solid) -> float:
    return (tube.part.section.wall or 0.0) if isinstance(tube.part, LengthPart) else 0.0


def _is_round(tube: Solid) -> bool:
    return isinstance(tube.part, LengthPart) and tube.part.section.is_round


def _bounds(points: Array) -> tuple[Array, Array]:
    return points.min(axis=0), points.max(axis=0)
