"""Bars: which pieces are sawn from which bar.

Pieces go onto bars one bar at a time, each bar filled as full as its pieces allow (an exact
subset sum), and the whole is compared with first-fit decreasing; the cheaper plan is kept.
A saw cut costs its kerf; the last cut of a bar is free when the piece ends with the bar.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.parts.piece import Piece
from fabgen.plan.plan import BarPlan, Cut

_PER_MM = 10
"""Lengths are planned in tenths of a millimetre, pieces rounded up."""


@dataclass(frozen=True, slots=True)
class BarStock:
    """Bars of one section and material: length mm, price each, how many there are (None = any)."""

    length: float
    price: float | None = None
    on_hand: int | None = None
    kerf: float = 2.0
    assumed: bool = False

    @property
    def cost(self) -> float:
        """What the plan tries to keep low: the price, or the length where there is none; the rack is free."""
        if self.on_hand is not None:
            return 0.0
        return self.price if self.price is not None else self.length


@dataclass(slots=True)
class _Bar:
    stock: BarStock
    cuts: list[Cut]

    @property
    def room(self) -> float:
        return self.stock.length - sum(cut.length + self.stock.kerf for cut in self.cuts)


def cuts_of(pieces: Sequence[Piece]) -> dict[tuple[str, str], list[Cut]]:
    """Every length to saw, by (section, material), longest first and by mark."""
    wanted: dict[tuple[str, str], list[Cut]] = defaultdict(list)
    for piece in pieces:
        if part := piece.length_part:
            wanted[str(part.section), piece.material] += [Cut(piece.mark, part.length)] * piece.quantity
    return {key: sorted(cuts, key=lambda c: (-c.length, c.mark)) for key, cuts in sorted(wanted.items())}


def plan_bars(
    section: str, material: str, cuts: Sequence[Cut], stocks: Sequence[BarStock]
) -> tuple[list[BarPlan], list[tuple[str, str]]]:
    """Bars for one section and material, and the pieces longer than any bar with the reason."""
    longest = max(stock.length for stock in stocks)
    fits = [cut for cut in cuts if cut.length <= longest]
    unplaced = [
        (
            cut.mark,
            f"{cut.length:.0f} mm of {section} is longer than the longest bar, {longest:.0f} mm: order longer or splice",
        )
        for cut in dict.fromkeys(cut for cut in cuts if cut.length > longest)
    ]
    plans = [_filled(fits, stocks)]
    if all(stock.on_hand is None for stock in stocks):
        plans += [_first_fit(fits, stock) for stock in stocks if all(cut.length <= stock.length for cut in fits)]
    usable = [bars for bars in plans if bars is not None]
    if not usable:
        return [], unplaced + [(cut.mark, f"no bar of {section} is left for it") for cut in dict.fromkeys(fits)]
    best = min(usable, key=lambda bars: (sum(bar.stock.cost for bar in bars), len(bars)))
    return _grouped(section, material, best), unplaced


def _filled(cuts: Sequence[Cut], stocks: Sequence[BarStock]) -> list[_Bar] | None:
    """Fill bar after bar, each with the stock that wastes least; None when the stock runs out."""
    left = list(cuts)
    racks = {stock: stock.on_hand for stock in stocks}
    bars: list[_Bar] = []
    while left:
        choices = []
        for stock in stocks:
            if racks[stock] == 0:
                continue
            chosen = _fullest(left, stock)
            if chosen:
                used = sum(left[i].length for i in chosen)
                choices.append((stock.on_hand is None, stock.cost / used, stock.length - used, stock, chosen))
        if not choices:
            return None
        *_, stock, chosen = min(choices, key=lambda choice: choice[:3])
        count = racks[stock]
        if count is not None:
            racks[stock] = count - 1
        bars.append(_Bar(stock, [left[i] for i in chosen]))
        taken = set(chosen)
        left = [cut for i, cut in enumerate(left) if i not in taken]
    return bars


def _fullest(cuts: Sequence[Cut], stock: BarStock) -> list[int]:
    """Indices of the cuts that fill one bar best: subset sum by bit sets, longest pieces preferred."""
    kerf = round(stock.kerf * _PER_MM)
    room = round(stock.length * _PER_MM) + kerf
    sizes = [-(-round(cut.length * _PER_MM * 1000) // 1000) + kerf for cut in cuts]
    mask = (1 << (room + 1)) - 1
    reached = [1]
    for size in sizes:
        reached.append((reached[-1] | reached[-1] << size) & mask)
    total = reached[-1].bit_length() - 1
    chosen: list[int] = []
    for i in range(len(sizes) - 1, -1, -1):
        if not reached[i] >> total & 1:
            chosen.append(i)
            total -= sizes[i]
    return chosen[::-1]


def _first_fit(cuts: Sequence[Cut], stock: BarStock) -> list[_Bar]:
    bars: list[_Bar] = []
    for cut in cuts:
        bar = next((bar for bar in bars if bar.room >= cut.length), None)
        if bar is None:
            bar = _Bar(stock, [])
            bars.append(bar)
        bar.cuts.append(cut)
    return bars


def _grouped(section: str, material: str, bars: Sequence[_Bar]) -> list[BarPlan]:
    alike = Counter((bar.stock, tuple(sorted(bar.cuts, key=lambda c: (-c.length, c.mark)))) for bar in bars)
    return [
        BarPlan(
            section=section,
            material=material,
            stock=stock.length,
            count=count,
            cuts=cuts,
            offcut=max(0.0, stock.length - sum(cut.length + stock.kerf for cut in cuts)),
            kerf=stock.kerf,
            assumed=stock.assumed,
            spare=stock.on_hand is not None,
        )
        for (stock, cuts), count in alike.items()
    ]
