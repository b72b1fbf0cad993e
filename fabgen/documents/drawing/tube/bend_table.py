"""The bends of a tube as rows of text: the same in the bend sheet and in the cut list."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import degrees, figure, length_text, signed
from fabgen.parts.piece import LengthPart, Piece
from fabgen.parts.shape.tubes import outside_wall

HEADS = (
    "bend", "straight before", "mark at", "angle", "set to", "rotation", "from TOP", "centre radius", "takes",
    "wall outside",
)  # fmt: skip
CUT_LIST_HEADS = ("mark", "bend", "mark at", "angle", "set to", "rotation", "from TOP", "centre radius")

NOTES = ("mark_at", "centre_radius", "rotation", "from_top")
"""Of the prose: what is said below every table."""


def heading(pieces: Sequence[Piece]) -> str:
    """'Tubes to bend', 'Bars to bend' or 'Tubes and bars to bend'."""
    bars = {part.section.is_solid for _, part in bent_tubes(pieces)}
    return f"{'Tubes and bars' if len(bars) > 1 else 'Bars' if True in bars else 'Tubes'} to bend"


def bent_tubes(pieces: Sequence[Piece]) -> list[tuple[Piece, LengthPart]]:
    """The tubes that are bent, in order."""
    return [(piece, part) for piece in pieces if (part := piece.length_part) is not None and part.bends]


def bend_rows(part: LengthPart, units: str) -> list[tuple[str, ...]]:
    """One row a bend, under `HEADS`."""
    rows: list[tuple[str, ...]] = []
    for i, (bend, straight) in enumerate(zip(part.bends, part.straights, strict=False), 1):
        wall = "solid" if part.section.is_solid else _wall(outside_wall(part.section, bend), units)
        rows.append(
            (
                str(i),
                length_text(straight, units),
                length_text(bend.mark, units),
                degrees(bend.angle),
                degrees(bend.set_angle),
                signed(degrees(bend.rotation)) if i > 1 else "-",
                degrees(bend.from_top % (2.0 * math.pi)),
                length_text(bend.radius, units),
                length_text(bend.length, units),
                wall,
            )
        )
    return rows


def former_words(part: LengthPart, units: str) -> list[str]:
    """On which formers a tube or bar is bent, and what holds where the job has none that fits."""
    formers = sorted({bend.former.words(units) for bend in part.bends if bend.former})
    lines = [f"Former: {'; '.join(formers)}."] if formers else []
    if any(not bend.former for bend in part.bends):
        lines.append(prose("bend_sheet", "no_former"))
    return lines


def _wall(size: float, units: str) -> str:
    return length_text(size, units) if units == "in" else figure(size, 2)


def cut_list_rows(pieces: Sequence[Piece], units: str) -> list[list[str]]:
    """One row a bend of every bent tube, under `CUT_LIST_HEADS`."""
    rows: list[list[str]] = []
    for piece, part in bent_tubes(pieces):
        for number, _, mark, angle, set_to, rotation, from_top, radius, *_ in bend_rows(part, units):
            first = piece.mark if number == "1" else ""
            rows.append([first, number, mark, angle, set_to, rotation, from_top, radius])
    return rows
