"""The bounded knapsack: the most valuable pieces that go onto one bar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class _Lot:
    """`number` pieces of one size taken together, so that a few lots make every number up to the one wanted."""

    size: int
    number: int
    take: int
    taken: NDArray[np.bool_]
    """Whether the lot is in the best filling of the lots up to it, by room less `take`."""


@dataclass(frozen=True, slots=True)
class Knapsack:
    """Best fillings for every room up to `room`, by dynamic programming in whole numbers."""

    lots: tuple[_Lot, ...]
    values: tuple[NDArray[np.int64], ...]
    """After each lot: the value of the best filling at each of the rooms asked for."""
    rooms: tuple[int, ...]

    @classmethod
    def of(cls, values: Sequence[int], takes: Sequence[int], wanted: Sequence[int], rooms: Sequence[int]) -> Knapsack:
        """`values[size]` each, at most `wanted[size]` of a size; sizes worth nothing are left out.

        Time and memory grow as lots x the largest room.
        """
        room = max(rooms)
        asked = np.array(rooms)
        best = np.zeros(room + 1, dtype=np.int64)
        lots, after = [], []
        for size, (value, take, most) in enumerate(zip(values, takes, wanted, strict=True)):
            n = min(most, room // take) if value > 0 else 0
            number = 1
            while n > 0:
                number = min(number, n)
                long = take * number
                with_it = best[: room + 1 - long] + value * number
                taken = with_it > best[long:]
                np.maximum(best[long:], with_it, out=best[long:])
                lots.append(_Lot(size, number, long, taken))
                after.append(best[asked])
                n -= number
                number *= 2
        return cls(tuple(lots), tuple(after), tuple(rooms))

    def value(self, at: int) -> int:
        """Value of the best filling of `rooms[at]`."""
        return int(self.values[-1][at]) if self.values else 0

    def filling(self, at: int, lots: int | None = None) -> tuple[int, ...]:
        """The best filling of `rooms[at]` with the first so many lots (all)."""
        room = self.rooms[at]
        chosen: list[int] = []
        for lot in reversed(self.lots[:lots]):
            if lot.take <= room and lot.taken[room - lot.take]:
                chosen += [lot.size] * lot.number
                room -= lot.take
        return tuple(sorted(chosen))

    def fillings(self, at: int, above: int) -> Iterator[tuple[int, ...]]:
        """Different fillings of `rooms[at]` worth more than `above`: the best with the first so many lots, for each number."""
        last = above
        for j in range(len(self.lots)):
            value = int(self.values[j][at])
            if value > last:
                last = value
                yield self.filling(at, j + 1)
