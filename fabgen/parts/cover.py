"""Sheet covers, from their definition to the piece."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.geometry.outline import Loop, Xy
from fabgen.job.definitions import Cover, Definitions
from fabgen.job.errors import Path, Problem
from fabgen.parts import features
from fabgen.parts.cover_shapes import SHAPES, Asked, Laid
from fabgen.parts.features import Unfit
from fabgen.parts.piece import FlatPart, Hole, Mark, Piece
from fabgen.parts.sheet_piece import all_made, mark_text, material_of, sheet_piece

LINE_ROOM = 1.0
"""An etched line ends this far from the edge of the metal, mm."""


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[cover]]; raises one JobError with the problems of all."""
    return all_made("cover", job.cover, lambda cover, path, problems: _piece(cover, job, path, problems))


def _piece(cover: Cover, job: Definitions, path: Path, problems: list[Problem]) -> Piece:
    before = len(problems)
    own = features.holes_from(cover.holes, (*path, "holes"), job.job.hole_fit, problems)
    laid = SHAPES[cover.shape](Asked(cover, job.job.weld_gap, tuple(own), path, problems))
    placed = [*laid.holes, *own]
    if len(problems) > before or not features.check_flat_holes(placed, laid.outline, problems):
        raise Unfit
    flat, no_room = _flat(cover, laid, tuple(item.hole for item in placed))
    return sheet_piece(cover, "cover", material_of(cover, job), flat, path, laid.facts, no_room)


def _flat(cover: Cover, laid: Laid, given: tuple[Hole, ...]) -> tuple[FlatPart, list[tuple[str, str]]]:
    """The flat with its lower left corner at the origin, and what there is to say about its mark."""
    left, low = laid.outline.bounds[:2]
    outline = laid.outline.moved(-left, -low)
    holes = features.moved_holes(given, -left, -low)
    moved = [((x0 - left, y0 - low), (x1 - left, y1 - low)) for (x0, y0), (x1, y1) in laid.lines]
    lines = tuple(Mark(line=line) for ends in moved for line in _clipped(ends, outline, holes))
    marks, no_room = features.etched(mark_text(cover), outline, holes, lines=lines)
    width, height = outline.bounds[2:]
    sizes = (*laid.sizes, ("flat, width", width), ("flat, height", height))
    return FlatPart(cover.thickness, outline, holes, marks=marks + lines, rolled=laid.rolled, sizes=sizes), no_room


def _clipped(line: tuple[Xy, Xy], outline: Loop, holes: tuple[Hole, ...]) -> Iterator[tuple[Xy, ...]]:
    """The parts of a line that lie on metal, well off its edges."""
    from shapely import LineString

    from fabgen.geometry.regions import cut_region

    metal = cut_region(outline, (hole.shape for hole in holes)).buffer(-LINE_ROOM)
    on_metal = LineString(line).intersection(metal)
    for part in getattr(on_metal, "geoms", [on_metal]):
        if part.length > LINE_ROOM:
            yield tuple((float(x), float(y)) for x, y in part.coords)
