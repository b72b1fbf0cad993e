"""The last steps that all sheet families share: from a part laid flat to its piece, faults collected."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import TypeVar

from fabgen.geometry.plane.lettering import text_box
from fabgen.job.errors import Problems
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.etch_tables import Etched
from fabgen.job.tables.flat_tables import Plate
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.piece import Concern, FlatPart, Mark, Piece, fact
from fabgen.parts.shape.etching import OWN_HEIGHT, Metal, centre_cross, etched_number, fold_marks
from fabgen.parts.shape.hole_groups import hole_facts
from fabgen.parts.sheet.development import Development
from fabgen.parts.sheet.footprints import tube_marks
from fabgen.parts.sheet.made_once import made_once
from fabgen.parts.sheet.opposite_hand import mirrored
from fabgen.parts.sheet.placing import NOWHERE, Stands
from fabgen.parts.sheet.request import AnyRequest, Unfit
from fabgen.wording.levels import Level
from fabgen.wording.sentence import EMPTY, Sentence, sentence

Request = TypeVar("Request", bound=AnyRequest)


def pieces_of(requests: Iterable[Request], make: Callable[[Request], Piece]) -> list[Piece]:
    """A piece of every part of a family.

    Raises:
        JobError: the faults of all of them.
    """
    made: list[Piece] = []
    problems = Problems()
    for request in requests:
        with suppress(Unfit):
            made.append(made_once(request, make))
        problems += request.problems
    problems.report()
    return made


def sheet_piece(request: AnyRequest, kind: str, development: Development, stands: Stands = NOWHERE) -> Piece:
    """The piece: its flat with the lower left corner at the origin, marks etched, its holes in words after its facts.

    Args:
        stands: where the made part stands, if the job places it.
    """
    given = request.given
    flat = (mirrored(development) if given.opposite_of else development).at_origin()
    marks, marked, no_room = _marks(request, flat)
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
        marked=marked,
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
        opposite_of=given.opposite_of or "",
        facts=(*flat.facts, *hole_facts(flat.holes), *unmarked),
        path=request.path,
        concerns=(*_left_off(given, no_room), *flat.concerns),
    )


def _marks(request: AnyRequest, flat: Development) -> tuple[tuple[Mark, ...], tuple[Mark, ...], Sentence]:
    """All that is etched, what of it sets one side apart, and words that say so where the part's number found no
    room."""
    given, metal = request.given, Metal(flat.outline, flat.holes, flat.bends)
    etched = [mark for line in flat.lines for mark in metal.clipped(line)]
    etched += [mark for line in flat.runs for mark in replace(metal, bends=()).clipped(line)]
    etched += tube_marks(metal, flat.tubes)
    marked = tuple(etched)
    cut = replace(metal, holes=[hole for hole in flat.holes if not hole.drilled])
    etched += [mark for hole in flat.holes if hole.drilled for mark in centre_cross(cut, hole)]
    text = given.mark if given.mark_text is None else given.mark_text
    at = given.mark_at if isinstance(given, Etched) else None
    number: Sequence[Mark]
    if at is not None and text.strip():
        if given.opposite_of:  # counted from the right; letters are never mirrored
            left, _, right, _ = text_box(text, OWN_HEIGHT)
            at = [flat.outline.bounds[2] - at[0] - (right - left), at[1]]
        number, no_room = (Mark((at[0], at[1]), text, OWN_HEIGHT),), EMPTY
    else:
        number, no_room = etched_number(text, metal, etched, flat.strips)
    if given.mark_text:
        marked = (*number, *marked)
    marks = (*number, *etched)
    return (*marks, *(fold_marks(metal, marks) if flat.fold_marks else ())), marked, no_room


def _left_off(given: Plate | Bracket | Cover | Strap, no_room: Sentence) -> Iterator[Concern]:
    """A text given in the job is not left off unsaid; the part's own number in its facts only."""
    if no_room and given.mark_text:
        advice = "a shorter mark_text, or mark_text = '' and the mark by paint pen"
        text = sentence("etched mark: ", no_room, f": {advice}")
        yield Concern(Level.WARN, "mark-left-off", text, "common practice, no source")
