"""Flat plates: an outline with holes, cut and used as it is."""

from __future__ import annotations

from fabgen.job.errors import Path, Problem
from fabgen.job.tables.definitions import Definitions, Plate
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.sheet import features
from fabgen.parts.sheet.etching import Metal, footprints, tube_marks
from fabgen.parts.sheet.face_axes import Datum
from fabgen.parts.sheet.features import Unfit
from fabgen.parts.sheet.placing import Placing
from fabgen.parts.sheet.sheet_piece import all_made, mark_text, material_of, sheet_piece


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[plate]]; raises one JobError with the problems of all."""
    return all_made("plate", job.plate, lambda plate, path, problems: _piece(plate, job, path, problems))


def _piece(plate: Plate, job: Definitions, path: Path, problems: list[Problem]) -> Piece:
    outline = features.outline_from(plate, path, problems)
    placed = features.holes_from(plate.holes, (*path, "holes"), job.job.hole_fit, problems)
    if outline is None or not features.check_flat_holes(placed, outline, problems):
        raise Unfit
    left, low = outline.bounds[:2]
    outline = outline.moved(-left, -low)
    holes = features.moved_holes((item.hole for item in placed), -left, -low)
    feet = [
        foot.carried(lambda loop: loop.moved(-left, -low), lambda at: (at[0] - left, at[1] - low))
        for _, foot in footprints(plate.tubes, outline, job, path, problems)
    ]
    tubes = tube_marks(Metal(outline, holes), feet)
    marks, no_room = features.etched(mark_text(plate), outline, holes, lines=tubes, at=plate.mark_at)
    width, height = outline.bounds[2:]
    sizes = (("width", width), ("height", height)) if plate.disc is None else (("diameter", width),)
    places = Placing(plate, plate.thickness, {"": Datum.flat((left, low))}, placed, path, problems).standings()
    flat = FlatPart(plate.thickness, outline, holes, marks=marks + tubes, sizes=sizes, places=places)
    return sheet_piece(plate, "plate", material_of(plate, job), flat, path, (), no_room)
