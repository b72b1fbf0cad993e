"""What tubes are to one another, put on each: saw set-ups, welds, holes for branches' bores, and what sits where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fabgen.parts.holes.face_landings import face_landings
from fabgen.parts.holes.landings import landings
from fabgen.parts.holes.openings import NoHole, openings
from fabgen.parts.holes.passages import passages
from fabgen.parts.piece import Fact, LengthPart, Opening, Piece, WorkedEnd, fact, tube_parts
from fabgen.parts.shape.welds.tabs import tab_welds
from fabgen.parts.tube.joint_welds import end_welds, jutted_over
from fabgen.parts.tube.saw_cuts import saw_setup


def joined(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces with all that depends on the others of the job; those of sheet as they are."""
    on_faces = face_landings(pieces)
    parts = tube_parts(pieces)
    tubes = tube_parts(piece for piece in pieces if piece.kind == "tube")
    flats = {piece.mark: flat for piece in pieces if (flat := piece.flat_part) is not None}
    faces = jutted_over(pieces)
    sits = landings(tubes)
    holes: dict[str, list[Opening]] = {}
    missing: dict[tuple[str, str], list[str]] = {}
    for mark, part in tubes.items():
        for found in (*openings(mark, part, tubes), *passages(mark, part, tubes)):
            if isinstance(found, NoHole):
                missing.setdefault((mark, found.at), []).append(found.why)
            else:
                holes.setdefault(found.main, []).append(found)

    def worked(mark: str, part: LengthPart, end: WorkedEnd) -> WorkedEnd:
        return replace(
            end,
            saw=saw_setup(part, end, parts),
            welds=(*end.welds, *end_welds(mark, part, end, parts, faces), *tab_welds(part, end, flats)),
            no_hole=tuple(missing.get((mark, end.at), ())),
        )

    def completed(piece: Piece, part: LengthPart) -> Piece:
        start, finish = (worked(piece.mark, part, end) for end in part.ends)
        own = _told_apart(holes.get(piece.mark, ()))
        shape = replace(part, ends=(start, finish), holes=own, landings=tuple(sits.get(piece.mark, ())))
        shape = replace(shape, profiles=on_faces.get(piece.mark, ()))
        return replace(piece, shape=shape, facts=(*piece.facts, *map(_fact, own)))

    def landed_on(piece: Piece) -> Piece:
        part, own = piece.profile_part, on_faces.get(piece.mark, ())
        return replace(piece, shape=replace(part, landings=own)) if part is not None and own else piece

    return [completed(piece, parts[piece.mark]) if piece.mark in parts else landed_on(piece) for piece in pieces]


def _told_apart(holes: Sequence[Opening]) -> tuple[Opening, ...]:
    """Holes of one main, those of a branch that opens into it with both ends marked as such."""
    branches = [hole.branch for hole in holes]
    return tuple(replace(hole, only=branches.count(hole.branch) == 1) for hole in holes)


def _fact(hole: Opening) -> Fact:
    kind = "to pass through, " if hole.passes else "bore "
    return fact("hole", f"hole for {hole.name}", kind, hole.bore_size.named("bore"), ", centre ", hole.place)
