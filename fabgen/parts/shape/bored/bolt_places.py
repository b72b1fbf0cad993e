"""At which of their places bolts go through parts that have several, by the numbers that the job file gives them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from fabgen.parts.piece import Piece
from fabgen.parts.shape.bored.bolt_lines import BoltLine

_RUN = 3
"""So many numbers that follow one another are named by the first and the last."""


def several_places(pieces: Iterable[Piece]) -> dict[str, int]:
    """How many places each part of sheet has that stands at more than one, by mark.

    Args:
        pieces: of the whole job.
    """
    parts = ((piece.mark, piece.flat_part) for piece in pieces)
    return {mark: len(part.places) for mark, part in parts if part is not None and len(part.places) > 1}


def places_passed(
    lines: Sequence[BoltLine], several: Mapping[str, int], standing: Sequence[BoltLine] = ()
) -> dict[str, tuple[int, ...]]:
    """At which places bolts pass parts that have several, by mark, from 1; a part that a bolt which stands but once
    passes at all of them is left out.

    Args:
        lines: where the bolts stand.
        several: the number of places of parts that have more than one.
        standing: where all of their table do, where `lines` are some of these.
    """
    numbers: dict[str, set[int]] = {}
    for line in lines:
        for seat in line.seats:
            if seat.passage.mark in several and seat.passage.place:
                numbers.setdefault(seat.passage.mark, set()).add(seat.passage.place)
    stands_once = len(standing or lines) < 2
    return {
        mark: tuple(sorted(found))
        for mark, found in numbers.items()
        if not (stands_once and len(found) == several[mark])
    }


def places_by_layer(lines: Iterable[BoltLine], several: Mapping[str, int]) -> dict[int, tuple[int, ...]]:
    """At which places the bolts of a table pass each of its layers whose part has several.

    Args:
        lines: where they stand.
        several: the number of places of parts that have more than one.
    """
    seats = [seat for line in lines for seat in line.seats if seat.passage.mark in several and seat.passage.place]
    layers = sorted({seat.layer for seat in seats})
    return {layer: tuple(sorted({s.passage.place for s in seats if s.layer == layer})) for layer in layers}


def places_in_words(places: Mapping[str, Sequence[int]]) -> str:
    """'place 2 of L', 'places 1 and 2 of P1, P2; place 3 of G'.

    Args:
        places: by mark; '' of none.
    """
    marks: dict[tuple[int, ...], list[str]] = {}
    for mark, numbers in places.items():
        marks.setdefault(tuple(numbers), []).append(mark)
    return "; ".join(f"{numbers_in_words(numbers)} of {', '.join(named)}" for numbers, named in marks.items())


def numbers_in_words(numbers: Sequence[int]) -> str:
    """'place 2', 'places 1 and 4', 'places 1 to 4'.

    Args:
        numbers: of places, growing.
    """
    if len(numbers) == 1:
        return f"place {numbers[0]}"
    if len(numbers) >= _RUN and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"places {numbers[0]} to {numbers[-1]}"
    return f"places {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"
