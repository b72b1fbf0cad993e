"""Sheet covers, from their definition to the piece."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.space.frame import Frame
from fabgen.job.errors import Path, Problem
from fabgen.job.tables.definitions import Cover, Definitions
from fabgen.parts.cover.cover_shapes import Asked, Laid
from fabgen.parts.cover.drains_and_beads import bead_concerns, bead_facts, bead_lines
from fabgen.parts.cover.flat_covers import cap, panel
from fabgen.parts.cover.rolled_covers import cone, skirt
from fabgen.parts.cover.transition_covers import transition
from fabgen.parts.piece import FlatBend, FlatPart, Hole, Mark, Piece, Rolled, Standing
from fabgen.parts.sheet import features
from fabgen.parts.sheet.face_axes import Datum
from fabgen.parts.sheet.features import Unfit
from fabgen.parts.sheet.placing import Placing
from fabgen.parts.sheet.sheet_piece import all_made, mark_text, material_of, sheet_piece
from fabgen.shop.bends import least_radius

LINE_ROOM = 1.0
"""An etched line ends this far from the edge of the metal, mm."""

SHAPES: dict[str, Callable[[Asked], Laid]] = {
    "cap": cap,
    "panel": panel,
    "skirt": skirt,
    "cone": cone,
    "transition": transition,
}


def pieces(job: Definitions) -> list[Piece]:
    """One piece a [[cover]]; raises one JobError with the problems of all."""
    return all_made("cover", job.cover, lambda cover, path, problems: _piece(cover, job, path, problems))


def _piece(cover: Cover, job: Definitions, path: Path, problems: list[Problem]) -> Piece:
    before = len(problems)
    own = features.holes_from(cover.holes, (*path, "holes"), job.job.hole_fit, problems)
    material = material_of(cover, job)
    asked = Asked(cover, job, material, tuple(own), path, problems)
    laid = SHAPES[cover.shape](asked)
    placed = [*laid.holes, *own]
    if len(problems) > before or not features.check_flat_holes(placed, laid.outline, problems):
        raise Unfit
    holes = tuple(item.hole for item in placed)
    beads = bead_lines(asked, laid.outline, holes)
    if len(problems) > before:
        raise Unfit
    concerns = (*laid.concerns, *bead_concerns(asked, laid.outline, holes, laid.bends))
    least = least_radius(material, cover.thickness).value if laid.bends else 0.0
    flat, no_room = _flat(cover, replace(laid, lines=(*laid.lines, *beads)), holes)
    flat = replace(flat, least_radius=least, die=asked.die, places=_places(asked, laid))
    piece = sheet_piece(cover, "cover", material, flat, path, (*laid.facts, *bead_facts(asked)), no_room)
    return replace(piece, concerns=(*piece.concerns, *concerns))


def _flat(cover: Cover, laid: Laid, given: tuple[Hole, ...]) -> tuple[FlatPart, list[tuple[str, str]]]:
    """The flat with its lower left corner at the origin, and what there is to say about its mark."""
    left, low = laid.outline.bounds[:2]

    def moved(p: Xy) -> Xy:
        return p[0] - left, p[1] - low

    outline = laid.outline.moved(-left, -low)
    holes = features.moved_holes(given, -left, -low)
    lines = tuple(Mark(line=part) for line in laid.lines for part in _clipped([moved(p) for p in line], outline, holes))
    bends = tuple(FlatBend(moved(b.start), moved(b.end), b.bend, b.up, b.name) for b in laid.bends)
    beads = [([moved((x, y)) for x, y in bead.line], bead.width / 2.0) for bead in cover.beads]
    marks, no_room = features.etched(mark_text(cover), outline, holes, bends, lines, strips=beads)
    width, height = outline.bounds[2:]
    flat = FlatPart(
        cover.thickness,
        outline,
        holes,
        bends,
        marks + lines,
        rolled=_moved_roll(laid.rolled, -left, -low),
        sizes=(*laid.sizes, ("flat, width", width), ("flat, height", height)),
        closes=laid.closes,
        surface=laid.surface,
    )
    return flat, no_room


def _places(asked: Asked, laid: Laid) -> tuple[Standing, ...]:
    """Where it stands: as the job says, else where its own points are, if they are given in the vehicle."""
    cover = asked.cover
    corner = laid.outline.bounds[:2]
    if cover.place and cover.creases:
        asked.fault("place", "its points say where a folded panel stands", "no `place`")
    elif cover.place:
        # What is rolled or drawn from end to end stands on its bottom, about an axis of its own.
        is_round = cover.shape in ("skirt", "cone", "transition")
        datum = Datum(np.zeros(3), *np.eye(3)) if is_round else Datum.flat(corner)
        numbered = [*asked.holes, *laid.holes]
        return Placing(cover, cover.thickness, {"": datum}, numbered, asked.path, asked.problems, is_round).standings()
    if laid.frame is None:
        return ()
    if laid.surface:  # made of the points themselves
        return (Standing(Frame(np.zeros(3), *np.eye(3))),)
    origin = laid.frame.outside(np.array([*corner, -cover.thickness / 2.0]))
    return (Standing(Frame(origin, laid.frame.x, laid.frame.y, laid.frame.z)),)


def _moved_roll(rolled: Rolled | None, dx: float, dy: float) -> Rolled | None:
    if rolled is None or rolled.sector is None:
        return rolled
    x, y = rolled.sector.apex
    return replace(rolled, sector=replace(rolled.sector, apex=(x + dx, y + dy)))


def _clipped(line: Sequence[Xy], outline: Loop, holes: tuple[Hole, ...]) -> Iterator[tuple[Xy, ...]]:
    """The parts of a line that lie on metal, well off its edges."""
    from shapely import LineString

    from fabgen.geometry.plane.regions import cut_region

    metal = cut_region(outline, (hole.shape for hole in holes)).buffer(-LINE_ROOM)
    on_metal = LineString(line).intersection(metal)
    for part in getattr(on_metal, "geoms", [on_metal]):
        if part.length > LINE_ROOM:
            yield tuple((float(x), float(y)) for x, y in part.coords)
