"""Flat plates: an outline with holes, cut and used as it is."""

from __future__ import annotations

from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.flat_tables import Plate
from fabgen.parts.piece import Datum, Piece
from fabgen.parts.sheet.development import Development
from fabgen.parts.sheet.footprints import footprints
from fabgen.parts.sheet.holes import check_flat_holes, given_holes
from fabgen.parts.sheet.opposite_hand import datums_of_hand
from fabgen.parts.sheet.placing import Placing
from fabgen.parts.sheet.request import SheetRequest, outline_of
from fabgen.parts.sheet.sheet_piece import pieces_of, sheet_piece


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[plate]].

    Raises:
        JobError: the faults of all plates.
    """
    return pieces_of((SheetRequest(plate, job, ("plate", i)) for i, plate in enumerate(job.plate)), _piece)


def _piece(request: SheetRequest[Plate]) -> Piece:
    holes = given_holes(request)
    outline = outline_of(request, request.given)
    check_flat_holes(holes, outline, request.problems)
    x0, y0, x1, y1 = outline.bounds
    flat = Development(
        outline,
        tuple(item.hole for item in holes),
        tubes=tuple(tube for _, tube in footprints(request, outline)),
        sizes=(("width", x1 - x0), ("height", y1 - y0)) if request.given.disc is None else (("diameter", x1 - x0),),
    )
    stands = Placing(request, datums_of_hand(request.given, flat, {"": Datum.flat(outline)}), holes).stands()
    return sheet_piece(request, "plate", flat, stands)
