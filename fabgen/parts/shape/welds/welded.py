"""What is welded to what, as far as the job says: tube ends on tubes, the weld table, seats of brackets, bungs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fabgen.job.expansion.pieces import pieces_of
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.bush_seats import bush_seats, holders
from fabgen.shop.materials import Material

LET_IN = ("cap", "panel")
"""Shapes of cover that are let into an opening and welded all round."""


@dataclass(frozen=True, eq=False)
class WeldedPair:
    """Two parts with a weld between them, `one` on `other`; `bung`: the other is a bung in the link, which has no
    mark of its own."""

    one: str
    other: str
    metals: tuple[Material, Material]
    bung: bool = False

    @property
    def words(self) -> str:
        """'B1 (6082-T6) on T1 (S355)'."""
        other = "its bungs" if self.bung else self.other
        return f"{self.one} ({self.metals[0].name}) {'with' if self.bung else 'on'} {other} ({self.metals[1].name})"


def welded_pairs(job: Definitions, pieces: Sequence[Piece]) -> list[WeldedPair]:
    """Every two parts that the job welds to one another, each pair once.

    Args:
        job: the definitions.
        pieces: all, complete.
    """
    metals = {piece.mark: job.find_material(piece.material) for piece in pieces}
    found: dict[frozenset[str], WeldedPair] = {}
    for one, other in _pairs(job, pieces):
        if one in metals and other in metals:
            found.setdefault(frozenset((one, other)), WeldedPair(one, other, (metals[one], metals[other])))
    return [*found.values(), *_bungs(job, pieces, metals)]


def _pairs(job: Definitions, pieces: Sequence[Piece]) -> Iterator[tuple[str, str]]:
    marks = {piece.mark for piece in pieces}
    for piece in pieces:
        if isinstance(piece.shape, LengthPart):
            yield from ((piece.mark, weld.onto) for weld in piece.shape.welds)
        elif isinstance(piece.shape, ProfilePart):
            yield from ((piece.mark, mark) for end in piece.shape.ends for mark in end.onto)
    for weld in job.weld:
        first, *others = weld.parts
        yield from ((first, other) for other in others)
    for bush in job.bush:
        if bush.fit == "weld":
            yield from ((bush.mark, mark) for mark, _ in holders(bush, bush_seats(bush.mark, pieces), ()))
    for bracket in job.bracket:
        for seat in bracket.sits or ():
            if isinstance(seat.onto, str):
                yield from ((bracket.mark, mark) for mark in pieces_of(seat.onto, marks) or [seat.onto])


def _bungs(job: Definitions, pieces: Sequence[Piece], metals: Mapping[str, Material]) -> Iterator[WeldedPair]:
    bungs = {link.mark: link.bung_material for link in job.link if link.bung_material}
    for piece in pieces:
        if isinstance(piece.shape, LinkPart) and piece.shape.bungs and piece.mark in bungs:
            own = job.find_material(bungs[piece.mark] or piece.material)
            yield WeldedPair(piece.mark, piece.mark, (metals[piece.mark], own), bung=True)


def welded_marks(job: Definitions, pieces: Sequence[Piece]) -> dict[str, None]:
    """The marks of all parts that are welded to something, as far as the job says, in the order of the pieces.

    Args:
        job: the definitions.
        pieces: all, complete.
    """
    paired = {mark for pair in welded_pairs(job, pieces) for mark in (pair.one, pair.other)}
    paired |= {cover.mark for cover in job.cover if cover.shape in LET_IN}
    paired |= {part.mark for part in job.parts() if part.weld}
    paired |= {piece.mark for piece in pieces if isinstance(piece.shape, LinkPart) and piece.shape.bungs}
    return dict.fromkeys(piece.mark for piece in pieces if piece.mark in paired)
