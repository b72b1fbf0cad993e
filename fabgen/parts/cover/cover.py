"""Sheet covers, from their definition to the piece."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.cover.cover_request import CoverDevelopment, CoverRequest
from fabgen.parts.cover.drain_edges import named_as_it_stands
from fabgen.parts.cover.drains_and_beads import bead_concerns, bead_facts, bead_lines
from fabgen.parts.cover.flat_covers import cap, panel
from fabgen.parts.cover.rolled_covers import cone, skirt
from fabgen.parts.cover.transition_covers import transition
from fabgen.parts.piece import Datum, Piece, Place
from fabgen.parts.sheet.holes import check_flat_holes
from fabgen.parts.sheet.opposite_hand import datums_of_hand, mirrored_frame
from fabgen.parts.sheet.placing import NOWHERE, Placing, Stands, numbered
from fabgen.parts.sheet.sheet_piece import pieces_of, sheet_piece

SHAPES: dict[str, Callable[[CoverRequest], CoverDevelopment]] = {
    "cap": cap,
    "panel": panel,
    "skirt": skirt,
    "cone": cone,
    "transition": transition,
}


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[cover]].

    Raises:
        JobError: the faults of all covers.
    """
    return pieces_of((CoverRequest(cover, job, ("cover", i)) for i, cover in enumerate(job.cover)), _piece)


def _piece(request: CoverRequest) -> Piece:
    given = request.holes
    laid = SHAPES[request.given.shape](request)
    request.need_no_faults()
    placed = [*laid.own, *given]
    check_flat_holes(placed, laid.outline, request.problems)
    laid = replace(laid, holes=tuple(item.hole for item in placed))
    beads = bead_lines(request, laid)
    request.need_no_faults()
    x0, y0, x1, y1 = laid.outline.bounds
    flat = replace(
        laid,
        runs=(*laid.runs, *beads),
        strips=tuple((line, bead.width / 2.0) for line, bead in zip(beads, request.given.beads, strict=True)),
        sizes=(*laid.sizes, ("flat, width", x1 - x0), ("flat, height", y1 - y0)),
        facts=(*laid.facts, *bead_facts(request)),
        concerns=(*laid.concerns, *bead_concerns(request, laid)),
    )
    return named_as_it_stands(sheet_piece(request, "cover", flat, _stands(request, laid)))


def _stands(request: CoverRequest, laid: CoverDevelopment) -> Stands:
    """Where it stands: as the job says, else where its own points are, if they are given in the vehicle."""
    cover = request.given
    if cover.place and cover.creases:
        request.fault("place", "its points say where a folded panel stands", "no `place`")
    elif cover.place:
        # What is rolled or drawn from end to end stands on its bottom, about an axis of its own.
        is_round = cover.shape in ("skirt", "cone", "transition")
        datum = Datum(np.zeros(3), *np.eye(3)) if is_round else Datum.flat(laid.outline)
        datums = datums_of_hand(cover, laid, {"": datum})
        tall = cover.height if cover.shape in ("skirt", "cone") and cover.height is not None else 0.0
        return Placing(request, datums, [*request.holes, *laid.own], is_round, tall).stands()
    if laid.frame is None:
        return NOWHERE
    if laid.surface:  # made of the points themselves
        return Stands((Place(Frame(np.zeros(3), *np.eye(3))),))
    origin = laid.frame.outside(np.array([*laid.outline.bounds[:2], -cover.thickness / 2.0]))
    frame, datum = Frame(origin, laid.frame.x, laid.frame.y, laid.frame.z), Datum.flat(laid.outline)
    frame = mirrored_frame(frame, laid) if cover.opposite_of else frame
    datums = datums_of_hand(cover, laid, {"": datum})
    return Stands((Place(frame),), datums, numbered([*request.holes, *laid.own]))
