"""Checks of holes in mains into which a branch's bore opens."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.checks.finding import Finding
from fabgen.parts.piece import Piece, length_parts
from fabgen.wording.levels import Level

PRACTICE = "common practice, no source"


def check_openings(pieces: Sequence[Piece]) -> list[Finding]:
    """Holes that cannot be marked, then those whose sides stay in the main's wall."""
    found = [
        Finding(Level.STOP, (piece.mark,), "no-hole", f"no template for the hole at its {end.at}: {why}")
        for piece, part in length_parts(pieces)
        for end in part.ends
        for why in end.no_hole
    ]
    for _, main in length_parts(pieces):
        for hole in main.holes:
            if not hole.through:
                text = (
                    f"its bore is too wide for {hole.main}: at its sides the hole for {hole.name} runs down in the "
                    f"wall of {hole.main} and never comes out in its bore; keep the hole within that bore there"
                )
                found.append(Finding(Level.WARN, (hole.branch,), "hole-in-wall", text, PRACTICE))
    return found
