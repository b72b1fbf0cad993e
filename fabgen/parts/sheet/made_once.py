"""Parts of sheet made once a job: tubes and profiles stand on them, and places are found on them round after round, and
each time they are asked for again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar, cast

from fabgen.parts.piece import Piece
from fabgen.parts.sheet.request import AnyRequest

Request = TypeVar("Request", bound=AnyRequest)


def made_once(request: Request, make: Callable[[Request], Piece]) -> Piece:
    """The piece that `make` makes of a request, or made before of the same table of the same job: of another part of
    sheet it knows nothing, so it hangs on its own table and on these of the job alone.

    Args:
        request: the part, of a job or of a copy of it with places found.
        make: what its family makes of a request.
    Raises:
        Unfit: it has faults, which are the request's.
    """
    given, job = request.given, request.job
    hangs_on = (given, job.job, job.tube, job.material, job.bend_test)
    made = job.made_of_sheet.get(given.mark)
    if made is not None and all(one is other for one, other in zip(made[0], hangs_on, strict=True)):
        piece = cast(Piece, made[1])
        return piece if piece.path == request.path else replace(piece, path=request.path)
    piece = make(request)
    if not request.problems:
        job.made_of_sheet[given.mark] = (hangs_on, piece)
    return piece
