"""Jobs of tubes whose points lie on their faces."""

from __future__ import annotations

import math
from typing import Any

from jobs import checked, tube, tubes_text

from fabgen.checks.registry import run_checks
from fabgen.parts.piece import LengthPart

Tube = dict[str, Any]
Corner = tuple[float, float, float]
SQUARE, ROUND, INCH = "40 x 40 x 2", "33.7 x 2.6", "1.5 x 1.5 x 0.12"
CORNERS: tuple[Corner, ...] = ((0, 0, 700), (800, 0, 700), (800, 600, 700), (0, 600, 700))


def ring(corners: tuple[Corner, ...], section: str, name: str = "R") -> list[Tube]:
    following = (*corners[1:], corners[0])
    return [
        tube(f"{name}{i}", *ends, section=section) for i, ends in enumerate(zip(corners, following, strict=True), 1)
    ]


def table(posts: str = SQUARE, rails: str = SQUARE, scale: float = 1.0) -> list[Tube]:
    """Four posts, then four rails at their tops: 800 x 600 x 700."""
    corners = tuple((scale * x, scale * y, scale * z) for x, y, z in CORNERS)
    return [
        *(tube(f"P{i}", (x, y, 0), (x, y, z), section=posts) for i, (x, y, z) in enumerate(corners, 1)),
        *ring(corners, rails),
    ]


def splayed(section: str, **start: Any) -> list[Tube]:
    """Four rails of 800 x 600, then four legs under their corners, each out by 100 and 60 at the floor."""
    legs = [
        tube(f"P{i}", (x + math.copysign(100, x - 400), y + math.copysign(60, y - 300), 0), (x, y, z), section=section)
        for i, (x, y, z) in enumerate(CORNERS, 1)
    ]
    return [*ring(CORNERS, section), *(leg | {"start": start} for leg in legs)]


def ends(part: LengthPart) -> list[Corner]:
    assert part.frame is not None
    points = part.frame.origin, part.frame.origin + part.axis * part.frame.x
    return [tuple(round(float(each), 6) + 0.0 for each in point) for point in points]  # type: ignore[misc]


def made(*tubes: Tube, more: str = "", **job: Any) -> tuple[dict[str, LengthPart], dict[str, str]]:
    """Tubes by their marks, and the texts of what is found on them besides notes, by rule."""
    of = checked(tubes_text(*tubes, **job) + "\n" + more)
    parts = {piece.mark: part for piece in of.pieces if (part := piece.length_part) is not None}
    return parts, {finding.rule: finding.text for finding in run_checks(of) if finding.level != "note"}
