"""Spacers on bolts: which lengths of a stack are short tubes to saw, and how many of each there are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from fabgen.job.tables.fields import SpacerLength
from fabgen.parts.piece import LinkPart, Piece
from fabgen.plan.plan import BoltStack, Purchase
from fabgen.shop.threaded.clearance_holes import clearance_diameter
from fabgen.wording.sentence import Sentence, as_made, mm, sentence

ITEM = "spacer"
_RING = 3.0
"""A spacer thinner than this is a ring that few saws cut square: thick washers do (common practice, no source), mm."""


@dataclass(frozen=True, slots=True)
class Spacer:
    """Like spacers of a job: short tubes that bolts go through.

    Args:
        bolt: what goes through it, 'M12'.
        bore: of its tube, the bolt's diameter and the most that is usual for it, mm.
        length: mm.
        quantity: how many.
        stacks: the bolts that it is on, as findings name them.
    """

    bolt: str
    bore: tuple[float, float]
    length: float
    quantity: int
    stacks: tuple[str, ...]


def spacer_places(through: Sequence[float | str], by_mark: Mapping[str, Piece]) -> set[int]:
    """Which of what a bolt passes are spacers: what the job calls so; lengths with something on both sides of them that
    lie beside the eye of a link rod, or that are the outer ones of an odd run between two ears, as the 8s of 8, 20, 8.

    Any other single length between two ears is no spacer: it stands for a bush or an eye that is not in the job, as
    does a length under the head or the nut.

    Args:
        through: marks and lengths, mm, as the bolt's table lists them.
        by_mark: the parts.
    """
    eyes = {i for i, each in enumerate(through) if isinstance(each, str) and _is_link(by_mark.get(each))}
    inner = {i for i in range(1, len(through) - 1) if not isinstance(through[i], str)}
    found = {i for i in inner if eyes & {i - 1, i + 1}}
    found |= {i for i, each in enumerate(through) if isinstance(each, SpacerLength)}
    for first, last in _between_ears(through):
        count = last - first - 1
        if count >= 3 and count % 2 == 1 and {first + 1, last - 1} <= inner:
            found |= {first + 1, last - 1}
    return found


def _is_link(piece: Piece | None) -> bool:
    return piece is not None and isinstance(piece.shape, LinkPart)


def _between_ears(through: Sequence[float | str]) -> Iterator[tuple[int, int]]:
    """The places of two parts that follow one another with lengths alone between them, and those of each part that is
    named twice."""
    marks = [i for i, each in enumerate(through) if isinstance(each, str)]
    yield from pairwise(marks)
    for one in marks:
        again = [other for other in marks if other > one and through[other] == through[one]]
        yield from ((one, other) for other in again[:1])


def spacers(stacks: Sequence[BoltStack]) -> list[Spacer]:
    """The spacers of all bolts, like ones together, by bolt and length.

    Args:
        stacks: of the whole job.
    """
    found: dict[tuple[str, float], Spacer] = {}
    for stack in stacks:
        thread = stack.choice.thread
        for layer in stack.layers:
            if not layer.spacer:
                continue
            key = thread.size, round(layer.thickness, 3)
            last = found.get(key)
            found[key] = Spacer(
                thread.size,
                (thread.diameter, clearance_diameter(thread.bolt, "medium") or thread.diameter),
                layer.thickness,
                stack.quantity + (last.quantity if last else 0),
                tuple(dict.fromkeys((*(last.stacks if last else ()), stack.name))),
            )
    return sorted(found.values(), key=lambda each: (each.bore, each.length))


def bore_text(spacer: Spacer) -> Sentence:
    """'bore 12 mm to 13.5 mm'.

    Args:
        spacer: its bore.
    """
    least, most = spacer.bore
    wide = sentence(" to ", as_made(most, decimals=2)) if most > least else ""
    return sentence("bore ", as_made(least, decimals=2), wide)


def is_ring(spacer: Spacer) -> bool:
    """Whether it is so thin that a thick washer does as well.

    Args:
        spacer: its length.
    """
    return spacer.length < _RING


def spacer_purchases(stacks: Sequence[BoltStack]) -> list[Purchase]:
    """A line for all like spacers.

    Args:
        stacks: of the whole job.
    """
    return [
        Purchase(
            ITEM,
            sentence(f"for {each.bolt}, ", mm(each.length, 2), " long"),
            each.quantity,
            "piece",
            sentence(
                "thick washers, or saw from tube, " if is_ring(each) else "saw from tube, ",
                bore_text(each),
                f"; {', '.join(each.stacks)}",
            ),
        )
        for each in spacers(stacks)
    ]
