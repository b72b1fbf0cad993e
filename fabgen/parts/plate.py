"""Flat plates: an outline with holes, cut and used as it is."""

from __future__ import annotations

from fabgen.job.definitions import Definitions, Plate
from fabgen.job.errors import JobError, Path, Problem
from fabgen.parts import features
from fabgen.parts.piece import FlatPart, Piece


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[plate]]; raises one JobError with the problems of all."""
    problems: list[Problem] = []
    made = [_piece(plate, job, ("plate", i), problems) for i, plate in enumerate(job.plate)]
    if problems:
        raise JobError(problems)
    return [piece for piece in made if piece is not None]


def _piece(plate: Plate, job: Definitions, path: Path, problems: list[Problem]) -> Piece | None:
    outline = features.outline_from(plate, path, problems)
    placed = features.holes_from(plate.holes, (*path, "holes"), job.job.hole_fit, problems)
    if outline is None or not features.check_flat_holes(placed, outline, problems):
        return None
    left, low = outline.bounds[:2]
    outline = outline.moved(-left, -low)
    holes = features.moved_holes((item.hole for item in placed), -left, -low)
    text = plate.mark if plate.mark_text is None else plate.mark_text
    marks, no_room = features.etched(text, outline, holes)
    width, height = outline.bounds[2:]
    sizes = (("width", width), ("height", height)) if plate.disc is None else (("diameter", width),)
    flat = FlatPart(plate.thickness, outline, holes, marks=marks, sizes=sizes)
    material = job.find_material(plate.material or job.job.material)
    return Piece(
        mark=plate.mark,
        kind="plate",
        quantity=plate.quantity,
        material=material.name,
        mass=features.sheet_mass(flat.net_area, plate.thickness, material),
        shape=flat,
        title=plate.title,
        note=plate.note,
        finish=plate.finish,
        facts=(*features.hole_facts(holes), *no_room),
        path=path,
    )
