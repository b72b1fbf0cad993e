"""What a part's own family saw while it made the part, passed on as findings."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.finding import Finding
from fabgen.parts.piece import Piece


def check_told(piece: Piece) -> Iterator[Finding]:
    """The piece's concerns."""
    for concern in piece.concerns:
        yield Finding(concern.level, (piece.mark,), concern.rule, concern.text, concern.source)
