"""Check of solid bar on a round tube, which its fit may leave sawn square."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from fabgen.checks.finding import Finding
from fabgen.parts.piece import LengthPart, sawn_square
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level


def check_solid_ends(parts: Mapping[str, LengthPart]) -> Iterator[Finding]:
    """Solid bar square on a round tube is not left sawn square, open at the sides, without a word."""
    for mark, part in parts.items():
        for end in part.ends:
            if not (part.section.is_round and sawn_square(part.section, end)):
                continue
            main = parts.get(end.joints[0].onto)
            if main is None or not main.section.is_round:
                continue
            left = (math.hypot(main.section.width, part.section.width) - main.section.width) / 2.0
            text = (
                f"its {end.at} is sawn square, leaves {figure(left)} mm open at the sides of {end.joints[0].onto}, and "
                f'has no template; `{end.at} = {{ fit = "outside" }}` copes it'
            )
            yield Finding(Level.NOTE, (mark,), "solid-square", text, "geometry of the two sections")
