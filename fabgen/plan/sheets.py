"""Sheets: flat parts laid out on sheets by their bounding rectangles, turned where it helps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from rectpack import SORT_LSIDE, PackingBin, PackingMode, newPacker

from fabgen.parts.piece import FlatPart, Piece
from fabgen.plan.plan import Placed, SheetPlan

_PER_MM = 100
"""Rectangles are packed in hundredths of a millimetre, parts rounded up."""


@dataclass(frozen=True, slots=True)
class SheetStock:
    """Sheets of one thickness and material: size mm, price each, how many there are (None = any)."""

    size: tuple[float, float]
    price: float | None = None
    on_hand: int | None = None
    assumed: bool = False

    @property
    def cost(self) -> float:
        if self.on_hand is not None:
            return 0.0
        return self.price if self.price is not None else self.size[0] * self.size[1]


@dataclass(frozen=True, slots=True)
class _Blank:
    mark: str
    width: float
    height: float
    area: float


def blanks_of(pieces: Sequence[Piece]) -> dict[tuple[str, float], list[_Blank]]:
    """Every flat blank, by (material, thickness)."""
    wanted: dict[tuple[str, float], list[_Blank]] = defaultdict(list)
    for piece in pieces:
        if part := piece.flat_part:
            wanted[piece.material, part.thickness] += [_blank(piece.mark, part)] * piece.quantity
    return dict(sorted(wanted.items()))


def _blank(mark: str, part: FlatPart) -> _Blank:
    x0, y0, x1, y1 = part.outline.bounds
    return _Blank(mark, x1 - x0, y1 - y0, part.net_area)


def plan_sheets(
    material: str,
    thickness: float,
    blanks: Sequence[_Blank],
    stocks: Sequence[SheetStock],
    gap: float,
    margin: float,
) -> tuple[list[SheetPlan], list[tuple[str, str]]]:
    """Sheets for one material and thickness, and the parts too large for any sheet, with the reason."""
    fits, unplaced = [], []
    for blank in blanks:
        if any(_fits(blank, stock.size, margin) for stock in stocks):
            fits.append(blank)
        else:
            unplaced.append(blank.mark)
    reasons = [
        (mark, "is larger than any sheet: make it in two or order a larger sheet") for mark in dict.fromkeys(unplaced)
    ]
    sheets: list[SheetPlan] = []
    racks = {stock: stock.on_hand for stock in stocks}
    while fits:
        tries = []
        for stock in stocks:
            if racks[stock] == 0:
                continue
            placed, left = _pack(fits, stock.size, gap, margin)
            if placed:
                filled = sum(blank.width * blank.height for blank, _ in placed)
                # A sheet that takes everything left wins by cost; else the best cost for the area filled.
                key = (stock.on_hand is None, bool(left), stock.cost if not left else stock.cost / filled)
                tries.append((key, stock, placed, left))
        if not tries:
            reasons += [(mark, "finds no sheet left on hand") for mark in dict.fromkeys(b.mark for b in fits)]
            break
        _, stock, placed, fits = min(tries, key=lambda t: t[0])
        count = racks[stock]
        if count is not None:
            racks[stock] = count - 1
        used = sum(blank.area for blank, _ in placed) / (stock.size[0] * stock.size[1])
        sheets.append(
            SheetPlan(
                material,
                thickness,
                stock.size,
                tuple(p for _, p in placed),
                used,
                stock.assumed,
                stock.on_hand is not None,
            )
        )
    return sheets, reasons


def _fits(blank: _Blank, size: tuple[float, float], margin: float) -> bool:
    room = sorted((size[0] - 2 * margin, size[1] - 2 * margin))
    need = sorted((blank.width, blank.height))
    return need[0] <= room[0] + 1e-9 and need[1] <= room[1] + 1e-9


def _pack(
    blanks: Sequence[_Blank], size: tuple[float, float], gap: float, margin: float
) -> tuple[list[tuple[_Blank, Placed]], list[_Blank]]:
    """Fill one sheet; returns what was placed and what is left, in the given order."""
    packer = newPacker(mode=PackingMode.Offline, bin_algo=PackingBin.BBF, sort_algo=SORT_LSIDE, rotation=True)
    packer.add_bin(_down(size[0] - 2 * margin + gap), _down(size[1] - 2 * margin + gap))
    for i, blank in enumerate(blanks):
        packer.add_rect(_up(blank.width + gap), _up(blank.height + gap), i)
    packer.pack()
    placed: list[tuple[_Blank, Placed]] = []
    taken: set[int] = set()
    for _, x, y, width, _height, i in sorted(packer.rect_list(), key=lambda r: r[5]):
        blank = blanks[i]
        taken.add(i)
        left, low = margin + x / _PER_MM, margin + y / _PER_MM
        if width == _up(blank.width + gap):
            place = Placed(blank.mark, left, low, 0.0)
        else:
            # Turned a quarter left about its own origin, the part lies to the left of it.
            place = Placed(blank.mark, left + blank.height, low, 90.0)
        placed.append((blank, place))
    return placed, [blank for i, blank in enumerate(blanks) if i not in taken]


def _up(length: float) -> int:
    return -int(-round(length * _PER_MM, 6) // 1)


def _down(length: float) -> int:
    return int(length * _PER_MM + 1e-6)
