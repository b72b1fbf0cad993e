"""Parts and bodies that are bought as they are, on the shopping list."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.job.tables.movement_tables import BodyGiven
from fabgen.job.tables.part_tables import Part
from fabgen.parts.piece import FlatPart, LinkPart, Piece
from fabgen.plan.plan import Purchase
from fabgen.wording.sentence import Sentence, lengths, mm, sentence

ITEM = "bought part"


def bought_parts(job: Definitions, pieces: Sequence[Piece]) -> list[Purchase]:
    """A line for every part, and for every body, that is bought; what rides on a bought body comes with it.

    Args:
        job: its part tables and bodies.
        pieces: of the whole job.
    """
    given = {part.mark: part for part in job.parts()}
    bodies = [body for body in job.body if body.state == "bought"]
    comes_with = {mark for body in bodies for mark in body.marks}
    found = [
        Purchase(ITEM, _goods(piece), piece.quantity, "piece", _note(given[piece.mark]))
        for piece in pieces
        if piece.state == "bought" and piece.mark in given and piece.mark not in comes_with
    ]
    return found + [Purchase(ITEM, sentence(_named(body.name, body.title)), 1, "piece", _note(body)) for body in bodies]


def _named(name: str, title: str) -> str:
    return f"{name}, {title}" if title else name


def _goods(piece: Piece) -> Sentence:
    """'L1, tie rod'; where the job gives no title, what it is and how large."""
    if piece.title:
        return sentence(_named(piece.mark, piece.title))
    shape = piece.shape
    what = f"{piece.mark}, {FAMILIES[piece.kind].one} "
    if isinstance(shape, LinkPart):
        return sentence(what, mm(shape.pin_to_pin), " pin to pin")
    if isinstance(shape, FlatPart):
        flat = sentence("" if shape.bends or shape.rolled else sentence(", ", lengths(shape.size)))
        return sentence(what, mm(shape.thickness, 2), " thick", flat)
    return sentence(what, shape.section, ", ", mm(shape.length), " long")


def _note(given: Part | BodyGiven) -> Sentence:
    """Who sells it, and what the job notes of it."""
    return sentence("; ".join(_said(given)))


def _said(given: Part | BodyGiven) -> Iterator[str]:
    if given.supplier:
        yield f"from {given.supplier}"
    if given.note:
        yield given.note
