"""Packing parts on a sheet by their bounding rectangles: quick, square to look at, and the floor for all else."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from rectpack import SORT_LSIDE, SORT_NONE, PackingBin, PackingMode, newPacker

from fabgen.plan.plan import PlacedPart
from fabgen.plan.sheets.blanks import Blank
from fabgen.plan.sheets.sheet_stock import Room

_PER_MM = 100
"""Rectangles are packed in hundredths of a millimetre, parts rounded up."""
Lie = Literal["free", "lying", "upright"]
"""Parts that may lie either way: turned as the packer likes, or all with the long side along x or y."""


def pack(blanks: Sequence[Blank], room: Room, gap: float) -> tuple[list[PlacedPart], list[Blank]]:
    """Fill one rectangular room; returns what was placed and what is left, in the given order."""
    if all(blank.grain is None for blank in blanks):
        return _packed(blanks, room, gap, "free")
    # The packer turns all parts or none.  Where some must not be turned, none are, and those that
    # may lie either way all lie one way or the other, whichever takes more.
    tries = [_packed(blanks, room, gap, lie) for lie in ("lying", "upright")]
    return min(tries, key=lambda t: sum(blank.area for blank in t[1]))


def _packed(blanks: Sequence[Blank], room: Room, gap: float, lie: Lie) -> tuple[list[PlacedPart], list[Blank]]:
    x0, y0, x1, y1 = room.bounds
    free = lie == "free"
    packer = newPacker(
        mode=PackingMode.Offline,
        bin_algo=PackingBin.BBF,
        sort_algo=SORT_LSIDE if free else SORT_NONE,
        rotation=free,
    )
    packer.add_bin(_down(x1 - x0 + gap), _down(y1 - y0 + gap))
    turns = [_turn(blank, room, lie) for blank in blanks]
    sizes = [_size(blank, turn) for blank, turn in zip(blanks, turns, strict=True)]
    # Longest first, as the packer's own order does.
    for i in sorted(range(len(blanks)), key=lambda i: -max(sizes[i])):
        packer.add_rect(_up(sizes[i][0] + gap), _up(sizes[i][1] + gap), i)
    packer.pack()
    placed: list[PlacedPart] = []
    taken: set[int] = set()
    for _, x, y, width, _, i in sorted(packer.rect_list(), key=lambda r: r[5]):
        taken.add(i)
        turn = turns[i] if width == _up(sizes[i][0] + gap) else 90.0
        placed.append(_standing(blanks[i], turn, x0 + x / _PER_MM, y0 + y / _PER_MM))
    return placed, [blank for i, blank in enumerate(blanks) if i not in taken]


def _turn(blank: Blank, room: Room, lie: Lie) -> float:
    if blank.grain is not None:
        return blank.turns(room.grain)[0]
    width, height = blank.size
    return 0.0 if lie == "free" or (width >= height) == (lie == "lying") else 90.0


def _size(blank: Blank, turn: float) -> tuple[float, float]:
    width, height = blank.size
    return (height, width) if turn == 90.0 else (width, height)


def _standing(blank: Blank, turn: float, left: float, low: float) -> PlacedPart:
    """The part turned about its own origin and moved so that its lower left corner is at (left, low)."""
    x0, y0, _, y1 = blank.part.outline.bounds
    x, y = (left + y1, low - x0) if turn == 90.0 else (left - x0, low - y0)
    return PlacedPart(blank.mark, x, y, turn)


def _up(length: float) -> int:
    return -int(-round(length * _PER_MM, 6) // 1)


def _down(length: float) -> int:
    return int(length * _PER_MM + 1e-6)
