"""The last steps that all sheet families share: from a part laid flat to its piece, faults collected."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TypeVar

from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.sheet.folds import FoldTree
from fabgen.job.errors import Problems
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.etch_tables import Etched
from fabgen.job.tables.flat_tables import Plate
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.piece import Band, Concern, Fact, FlatBend, FlatPart, Hole, Mark, Piece, Rolled, fact
from fabgen.parts.shape.etching import OWN_HEIGHT, Metal, Strip, centre_cross, etched_number, fold_marks
from fabgen.parts.shape.hole_groups import hole_facts
from fabgen.parts.sheet.face_axes import FaceAxes
from fabgen.parts.sheet.footprints import Footprint, tube_marks
from fabgen.parts.sheet.placing import NOWHERE, Stands
from fabgen.parts.sheet.request import AnyRequest, Unfit
from fabgen.shop.section import Section
from fabgen.wording.levels import Level
from fabgen.wording.sentence import EMPTY, Sentence, sentence

Request = TypeVar("Request", bound=AnyRequest)


@dataclass(frozen=True, eq=False)
class Development:
    """A sheet part laid flat, in the coordinates that its holes are given in.

    Etched are `lines`, less what of them lies on bends; `runs`, lines that cross bends; the outlines of `tubes`; and
    with `fold_marks` which way each bend folds.  The part's number keeps clear of these and of `strips`.
    """

    outline: Loop
    holes: tuple[Hole, ...] = ()
    bends: tuple[FlatBend, ...] = ()
    lines: tuple[tuple[Xy, ...], ...] = ()
    runs: tuple[tuple[Xy, ...], ...] = ()
    tubes: tuple[Footprint, ...] = ()
    strips: tuple[Strip, ...] = ()
    fold_marks: bool = False
    tree: FoldTree | None = None
    rolled: Rolled | None = None
    band: Band | None = None
    bar: Section | None = None
    surface: tuple[Facet, ...] = ()
    closes: bool = False
    sizes: tuple[tuple[str, float], ...] = ()
    facts: tuple[Fact, ...] = ()
    concerns: tuple[Concern, ...] = ()
    inside: bool = False

    def at_origin(self) -> Development:
        """The same with the outline's lower left corner at the origin."""
        left, low = self.outline.bounds[:2]
        move = FaceAxes(dx=-left, dy=-low)

        def polylines(lines: Iterable[tuple[Xy, ...]]) -> tuple[tuple[Xy, ...], ...]:
            return tuple(tuple(move.point(at) for at in line) for line in lines)

        rolled = self.rolled
        if rolled is not None and rolled.sector is not None:
            rolled = replace(rolled, sector=replace(rolled.sector, apex=move.point(rolled.sector.apex)))
        return replace(
            self,
            outline=move.loop(self.outline),
            holes=tuple(replace(hole, shape=move.loop(hole.shape)) for hole in self.holes),
            bends=tuple(replace(bend, start=move.point(bend.start), end=move.point(bend.end)) for bend in self.bends),
            lines=polylines(self.lines),
            runs=polylines(self.runs),
            tubes=tuple(tube.carried(move) for tube in self.tubes),
            strips=tuple(([move.point(at) for at in line], half) for line, half in self.strips),
            rolled=rolled,
        )


def pieces_of(requests: Iterable[Request], make: Callable[[Request], Piece]) -> list[Piece]:
    """A piece of every part of a family.

    Raises:
        JobError: the faults of all of them.
    """
    made: list[Piece] = []
    problems = Problems()
    for request in requests:
        with suppress(Unfit):
            made.append(make(request))
        problems += request.problems
    problems.report()
    return made


def sheet_piece(request: AnyRequest, kind: str, development: Development, stands: Stands = NOWHERE) -> Piece:
    """The piece: its flat with the lower left corner at the origin, marks etched, its holes in words after its facts.

    Args:
        stands: where the made part stands, if the job places it.
    """
    given, flat = request.given, development.at_origin()
    marks, no_room = _marks(request, flat)
    shape = FlatPart(
        request.thickness,
        flat.outline,
        tuple(hole for hole in flat.holes if not hole.drilled),
        flat.bends,
        marks,
        flat.tree,
        flat.rolled,
        flat.sizes,
        grain=given.grain,
        process=given.process,
        die=request.die,
        closes=flat.closes,
        surface=flat.surface,
        places=stands.places,
        inside=flat.inside,
        band=flat.band,
        bar=flat.bar,
        drilled=tuple(hole for hole in flat.holes if hole.drilled),
        datums=stands.datums,
        numbered=stands.numbered,
    )
    unmarked = [fact("etched-mark", "etched mark", no_room)] if no_room else []
    return Piece(
        mark=given.mark,
        kind=kind,
        quantity=given.quantity,
        material=request.material.name,
        mass=shape.net_area * shape.thickness * request.material.density * 1e-9,
        shape=shape,
        title=given.title,
        note=given.note,
        finish=given.finish,
        facts=(*flat.facts, *hole_facts(flat.holes), *unmarked),
        path=request.path,
        concerns=(*_left_off(given, no_room), *flat.concerns),
    )


def _marks(request: AnyRequest, flat: Development) -> tuple[tuple[Mark, ...], Sentence]:
    """All that is etched, and words that say so where the part's number found no room."""
    given, metal = request.given, Metal(flat.outline, flat.holes, flat.bends)
    etched = [mark for line in flat.lines for mark in metal.clipped(line)]
    etched += [mark for line in flat.runs for mark in replace(metal, bends=()).clipped(line)]
    etched += tube_marks(metal, flat.tubes)
    cut = replace(metal, holes=[hole for hole in flat.holes if not hole.drilled])
    etched += [mark for hole in flat.holes if hole.drilled for mark in centre_cross(cut, hole)]
    text = given.mark if given.mark_text is None else given.mark_text
    at = given.mark_at if isinstance(given, Etched) else None
    number: Sequence[Mark]
    if at is not None and text.strip():
        number, no_room = (Mark((at[0], at[1]), text, OWN_HEIGHT),), EMPTY
    else:
        number, no_room = etched_number(text, metal, etched, flat.strips)
    marks = (*number, *etched)
    return (*marks, *(fold_marks(metal, marks) if flat.fold_marks else ())), no_room


def _left_off(given: Plate | Bracket | Cover | Strap, no_room: Sentence) -> Iterator[Concern]:
    """A text given in the job is not left off unsaid; the part's own number in its facts only."""
    if no_room and given.mark_text:
        advice = "a shorter mark_text, or mark_text = '' and the mark by paint pen"
        text = sentence("etched mark: ", no_room, f": {advice}")
        yield Concern(Level.WARN, "mark-left-off", text, "common practice, no source")
