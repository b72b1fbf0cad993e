"""Which body of the mechanism each part rides on: the one that names it, else that of what carries it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from fabgen.geometry.mechanics.constraints import FRAME
from fabgen.motion.linkage import Linkage
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece


@dataclass(frozen=True, eq=False)
class Riders:
    """The bodies that parts ride on.

    Args:
        linkage: what moves.
        pieces: of the job, complete.
    """

    linkage: Linkage
    pieces: Sequence[Piece]

    def body(self, piece: Piece, number: int = 0) -> int:
        """The number of the body that a part rides on; the frame's where nothing that moves carries it.

        Args:
            piece: the part.
            number: which of its places, from 0 on.
        """
        if isinstance(piece.shape, FlatPart) and piece.shape.places:
            place = piece.shape.places[number]
            if place.on:
                return self.linkage.number(place.on)
            own = (piece.mark, place.against) if place.against else (piece.mark,)
            return self._first(own)
        return self._first((piece.mark,))

    def named(self) -> dict[str, str]:
        """The name of the body that moves on which a part rides, by its mark; link rods, which join bodies, and what
        stays with the frame are left out, and bodies that move as one have one name."""
        found: dict[str, str] = {}
        for piece in self.pieces:
            if not isinstance(piece.shape, LinkPart) and FRAME not in (one := self.linkage.fixed_to(self.body(piece))):
                found[piece.mark] = self.linkage.mechanism.bodies[min(one)]
        return found

    def _first(self, marks: Sequence[str]) -> int:
        """The body of the first mark that rides on one, of those that carry these too."""
        known = dict.fromkeys(marks)
        for mark in (left := list(known)):
            if (body := self.linkage.riding.get(f"mark {mark}")) is not None:
                return body
            if mark in self._links:
                return self._links[mark]
            further = [each for each in self._carriers.get(mark, ()) if each not in known]
            known |= dict.fromkeys(further)
            left += further
        return FRAME

    @cached_property
    def _links(self) -> Mapping[str, int]:
        """The body of each link whose two points ride on one."""
        found: dict[str, int] = {}
        for link in self.linkage.job.link:
            ends = {self.linkage.body_of(point) for point in link.between or ()}
            if len(ends) == 1:
                found[link.mark] = ends.pop()
        return found

    @cached_property
    def _carriers(self) -> Mapping[str, list[str]]:
        found: dict[str, list[str]] = {}
        for mark, carrier in self._carried():
            found.setdefault(mark, []).append(carrier)
        return found

    def _carried(self) -> Iterator[tuple[str, str]]:
        """What is put together with what: parts of a part, bushes in their holes, straps and bent bars round a tube,
        what has but one place against something, and what the weld table welds on."""
        for piece in self.pieces:
            part = piece.shape
            if piece.part_of:
                yield piece.mark, piece.part_of
            if isinstance(part, FlatPart):
                yield from ((hole.bush, piece.mark) for hole in part.all_holes if hole.bush)
                if part.band is not None and part.band.mark:
                    yield piece.mark, part.band.mark
                if len(part.places) == 1 and part.places[0].against:
                    yield piece.mark, part.places[0].against
            elif isinstance(part, LengthPart) and not isinstance(part, LinkPart) and part.clasp is not None:
                yield piece.mark, part.clasp.mark
        for weld in self.linkage.job.weld:
            first, *others = weld.parts
            yield from ((first, other) for other in others)
