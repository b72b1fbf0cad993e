"""What the job buys as it is, or has already, on the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import LinkPart, Piece


def with_states(job: Definitions, pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, each with what its part says of its state; what a link rod is made up of goes with it.

    Args:
        job: the definitions; a part that rides on a body which is not made here says so itself by now.
        pieces: all.
    """
    given = {part.mark: part.state for part in job.parts() if part.state is not None}
    links = {piece.mark for piece in pieces if isinstance(piece.shape, LinkPart)}
    found = []
    for piece in pieces:
        owner = piece.part_of if piece.part_of in links else piece.mark
        state = given.get(owner)
        found.append(piece if state is None else replace(piece, state=state))
    return found
