"""Parts that the job places nowhere: what was not held against anything."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import LIMITS, Found, found, rule
from fabgen.parts.piece import FlatPart, Piece
from fabgen.wording.levels import Level
from fabgen.wording.sentence import sentence

_LEAST = 2
"""So many placed tubes and profiles make something that parts have a place in."""
_ASKED = ("link", "plate", "bracket", "cover", "strap", "bar")
"""Families whose parts may stand somewhere or not."""
_KEYS = {"link": "`between` of a link"}


@rule("no-place", Level.NOTE, source=LIMITS)
def no_place(of: Checked) -> Iterator[Found]:
    """Parts without a place in a job that places others: loose, so their fit and clearances were not checked."""
    lengths = [piece for piece in of.pieces if piece.kind in ("tube", "profile") and piece.is_placed]
    asked = (piece for piece in of.pieces if piece.kind in _ASKED and piece.state != "made")
    loose = [(piece, left) for piece in asked if (left := _left(piece))]
    if not loose or (len(lengths) < _LEAST and of.movement is None):
        return
    has = "has" if len(loose) == 1 else "have"
    one = len(loose) == 1 and loose[0][1] == 1
    stands, was = ("it stands", "was") if one else ("they stand", "were")
    if len(loose) == 1 and not one and not _places(loose[0][0]):
        stands, was = f"its {loose[0][1]} pieces stand", "were"
    some = [f"{left} of {piece.quantity} {piece.mark}" for piece, left in loose if _places(piece)]
    which = sentence(" (", named(some), ")") if some else sentence()
    yield found(
        f"{has} no place", which, f": {stands} aside in the view and {was} held against nothing. ", _advice(loose, of),
        about=[piece.mark for piece, _ in loose],
    )  # fmt: skip


def _places(piece: Piece) -> int:
    """How many of it the job places."""
    if isinstance(piece.shape, FlatPart):
        return len(piece.shape.places)
    if piece.kind == "bar" and piece.length_part is not None:
        return 1 + len(piece.length_part.also) if piece.is_placed else 0
    return piece.quantity if piece.is_placed else 0


def _left(piece: Piece) -> int:
    return max(0, piece.quantity - _places(piece))


def _advice(loose: Sequence[tuple[Piece, int]], of: Checked) -> str:
    kinds = dict.fromkeys(piece.kind for piece, _ in loose)
    ways = [_KEYS[kind] for kind in kinds if kind in _KEYS]
    if set(kinds) - set(_KEYS):
        carrier = next((p.mark for p in of.pieces if p.kind in ("tube", "profile") and p.is_placed), "S1")
        ways.insert(0, f'`place`, e.g. place = {{ against = "{carrier}", at = 300, side = "top" }}')
    return f"Give {'; '.join(ways)}"


RULES = (no_place,)
