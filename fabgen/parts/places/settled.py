"""Parts placed against others: their skins found from the finished pieces, until nothing moves any more.

A plate stands so far from a tube's saw cut, and the end of another tube may be sawn to that plate: so the pieces are
made, the places found on them, and the pieces made again, which as a rule changes no saw cut that a place counts from.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib import import_module

import numpy as np

from fabgen.job.errors import JobError, Problem, Problems
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.job.tables.part_tables import Part
from fabgen.job.tables.place_tables import Placeable, PlaceGiven
from fabgen.parts.piece import FlatPart, LengthPart, Piece, ProfilePart, Skin
from fabgen.parts.places.on_pieces import on_piece
from fabgen.parts.places.on_profile import skin_of_profile
from fabgen.parts.places.on_sheet import skin_of_sheet
from fabgen.parts.places.on_tube import skin_of_tube
from fabgen.parts.places.order import Wanted, in_order
from fabgen.parts.sheet.skin import FoundPlace

ROUNDS = 6
"""So often are the pieces made before places and saw cuts count as never coming to rest."""
_STILL = 1e-6
"""A skin that moves by less stands still, mm."""


@dataclass
class Settling:
    """A job whose places against others are being found; `job` has those that are."""

    job: Definitions
    problems: Problems = field(default_factory=Problems)
    wanted: Sequence[Wanted] = ()
    rounds: int = 0

    @staticmethod
    def of(job: Definitions) -> Settling:
        """Before any place is found."""
        problems = Problems()
        return Settling(job, problems, in_order(job, problems))

    def finds_more(self, pieces: Sequence[Piece]) -> bool:
        """Finds the places on the pieces made last; whether one is new or has moved, so that they must be made again.

        Args:
            pieces: of all families, made of `job`.
        """
        if not self.wanted or self.problems:
            return False
        self.rounds += 1
        known = {piece.mark: piece for piece in pieces}
        moved = [each for each in self.wanted if self._find(each, known)]
        if self.problems or not moved:
            return False
        if self.rounds >= ROUNDS:
            first = moved[0]
            number, mark = next(first.against())
            what = f"where {first.mark} stands and where {mark} is sawn hang on one another, and come to no rest"
            accepted = "from = the other end, near = a point, or another place"
            self.problems.append(Problem(first.path_of(number), what, accepted))
            return False
        return True

    def _find(self, wanted: Wanted, known: dict[str, Piece]) -> bool:
        """Finds the places of one part; whether they moved."""
        places: list[PlaceGiven] = list(getattr(self.job, wanted.table)[wanted.number].place)
        moved = False
        for number, mark in wanted.against():
            with self.problems.at(*wanted.path_of(number)):
                piece, given = on_piece(mark, wanted.places[number], known)
                skin = _skin(known[piece], given)
                before = places[number]
                moved |= not isinstance(before, FoundPlace) or _moved(before.skin, skin)
                places[number] = FoundPlace.found(given, skin)
        if moved:
            parts = list(getattr(self.job, wanted.table))
            parts[wanted.number] = parts[wanted.number].model_copy(update={"place": places})
            self.job = self.job.model_copy(update={wanted.table: parts})
            known |= _made_again(self.job, wanted)
        return moved


def with_places_found(job: Definitions, stood: Definitions) -> Definitions:
    """A job, those of its places that another gives likewise as they were found there: where that was is where the
    search for them starts.

    Args:
        job: as read.
        stood: a job whose places were found.
    """
    known: dict[str | None, list[FoundPlace]] = {}
    for place in (place for part in stood.parts() if isinstance(part, Placeable) for place in part.place):
        if isinstance(place, FoundPlace):
            known.setdefault(place.against, []).append(place)
    tables: dict[str, list[Part]] = {}
    for table, number, part in job.part_entries():
        if isinstance(part, Placeable) and any(place.against in known for place in part.place):
            places = [_found_so(place, known.get(place.against, ())) for place in part.place]
            tables.setdefault(table, list(getattr(job, table)))[number] = part.model_copy(update={"place": places})
    return job.model_copy(update=tables)


def _found_so(place: PlaceGiven, stood: Sequence[FoundPlace]) -> PlaceGiven:
    """A place, with the skin of one that was given likewise; which way up a part lies does not move that."""
    given = {key: value for key, value in dict(place).items() if key != "lies"}
    like = next((each for each in stood if given.items() <= dict(each).items()), None)
    return place if like is None else FoundPlace.found(place, like.skin)


def _skin(piece: Piece, given: PlaceGiven) -> Skin:
    match piece.shape:
        case LengthPart():
            return skin_of_tube(piece.mark, piece.shape, given)
        case ProfilePart():
            return skin_of_profile(piece.mark, piece.shape, given)
        case FlatPart():
            return skin_of_sheet(piece.mark, piece.shape, given)


def _moved(before: Skin, after: Skin) -> bool:
    return not all(
        np.allclose(one, other, rtol=0.0, atol=_STILL)
        for one, other in (
            (before.place, after.place),
            (1000.0 * before.along, 1000.0 * after.along),
            (1000.0 * before.out, 1000.0 * after.out),
        )
    )


def _made_again(job: Definitions, wanted: Wanted) -> Mapping[str, Piece]:
    """The part in its new place, for those that stand against it."""
    part = getattr(job, wanted.table)[wanted.number]
    family = import_module(f"fabgen.parts.{FAMILIES[wanted.table].built_by}")
    try:
        return {wanted.mark: family.pieces(job.model_copy(update={wanted.table: [part]}))[0]}
    except JobError:
        return {}  # it is reported when all pieces are made
