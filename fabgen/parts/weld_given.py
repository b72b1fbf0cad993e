"""The welds a job gives, on the pieces they are for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fabgen.job.errors import Problem, Problems
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Piece
from fabgen.wording.nearest import nearest


def with_welds(job: Definitions, pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, each with the welds that put it on others.

    Raises:
        JobError: a weld names a mark that no part has, or one twice.
    """
    marks = [piece.mark for piece in pieces]
    problems = Problems()
    for number, weld in enumerate(job.weld):
        for place, mark in enumerate(weld.parts):
            path = ("weld", number, "parts", place)
            if mark not in marks:
                problems.append(
                    Problem(path, f"no part has the mark {mark!r}", "the mark of a part", nearest(mark, marks))
                )
            elif mark in weld.parts[:place]:
                problems.append(Problem(path, f"{mark} is named twice", "each part once"))
    problems.report()
    return [_welded(job, piece) for piece in pieces]


def _welded(job: Definitions, piece: Piece) -> Piece:
    own = tuple(weld for weld in job.weld if weld.parts[0] == piece.mark)
    return replace(piece, welds=own) if own else piece
