"""A short figure of a part's metal, by which a tick on the page knows whether the part has changed since."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable
from typing import Any

from fabgen.changes.apart import LEAST
from fabgen.changes.as_issued import as_issued
from fabgen.changes.issued_part import Corner, IssuedPart
from fabgen.parts.piece import Piece

_FIGURES = 12
_NOT_METAL = {"mark", "kind", "quantity", "made", "stock_in", "places"}
_BESIDE = 0.01371
"""Figures are counted in steps of `LEAST` from beside 0: so no even size lies where one step ends, and noise of the
last decimals changes no print."""


def metal_prints(pieces: Iterable[Piece]) -> dict[str, str]:
    """By mark: alike as long as a part is drawn alike and nothing changes that a list of changes would tell.

    Changes of less than `LEAST` mm may show, or not.
    """
    return {part.mark: _print(part) for part in as_issued(pieces)}


def _print(part: IssuedPart) -> str:
    data = part.model_dump(mode="json", exclude=_NOT_METAL, exclude_defaults=True)
    for end in data.get("ends", ()):
        end.pop("onto", None)
    data["outline"] = _swells(part.outline)
    for hole, own in zip(data.get("holes", ()), part.holes, strict=False):
        hole["outline"] = _swells(own.outline)
        hole["at_mm"] = (_one_way_round(own.at_mm[0], part.around_mm), own.at_mm[1])
    text = json.dumps(_in_steps(data), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:_FIGURES]


def _swells(outline: tuple[Corner, ...]) -> list[list[float]]:
    """The corners, and instead of each bulge how far the arc stands off its chord, mm."""
    ends = outline[1:] + outline[:1]
    return [[x, y, bulge * math.dist((x, y), end[:2]) / 2.0] for (x, y, bulge), end in zip(outline, ends, strict=True)]


def _one_way_round(station: float, around: float) -> float:
    """A place round a tube as one figure: straight opposite TOP, where it is half of `around` either way, plus."""
    return station if station > LEAST - around / 2.0 else station + around


def _in_steps(value: Any) -> Any:
    if isinstance(value, float):
        return math.floor((value + _BESIDE) / LEAST)
    if isinstance(value, dict):
        return {key: _in_steps(each) for key, each in value.items()}
    return [_in_steps(each) for each in value] if isinstance(value, list | tuple) else value
