"""The bounded knapsack: the most valuable pieces that go onto one bar, and all that are worth something."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Integers = NDArray[np.int64]


def lots_of(number: int) -> Iterator[int]:
    """Few numbers of pieces to be taken together, from which every number up to `number` can be made up."""
    lot = 1
    while number > 0:
        lot = min(lot, number)
        yield lot
        number -= lot
        lot *= 2


@dataclass(frozen=True, slots=True)
class _Lot:
    size: int
    number: int
    take: int
    taken: NDArray[np.bool_]
    """Whether the lot is in the best filling of the lots up to it, by room less `take`."""


@dataclass(frozen=True, slots=True)
class Knapsack:
    """The best filling of each of `rooms`, by dynamic programming in whole numbers."""

    rooms: tuple[int, ...]
    lots: tuple[_Lot, ...]
    values: tuple[Integers, ...]
    """After each lot: the value of the best filling of each room with the lots so far."""

    @classmethod
    def of(cls, values: Sequence[int], takes: Sequence[int], wanted: Sequence[int], rooms: Sequence[int]) -> Knapsack:
        """`values[size]` each, at most `wanted[size]` of a size.  Time and memory grow as lots x the largest room."""
        room = max(rooms)
        wanted_rooms = np.array(rooms)
        best = np.zeros(room + 1, dtype=np.int64)
        lots, after = [], []
        for size, (value, take, most) in enumerate(zip(values, takes, wanted, strict=True)):
            for number in lots_of(min(most, room // take) if value > 0 else 0):
                long = take * number
                with_it = best[: room + 1 - long] + value * number
                lots.append(_Lot(size, number, long, with_it > best[long:]))
                np.maximum(best[long:], with_it, out=best[long:])
                after.append(best[wanted_rooms])
        return cls(tuple(rooms), tuple(lots), tuple(after))

    @property
    def work(self) -> float:
        """Steps of about a microsecond that it took."""
        return len(self.lots) * (8.0 + max(self.rooms) / 600.0)

    def value(self, at: int) -> int:
        """Value of the best filling of `rooms[at]`."""
        return int(self.values[-1][at]) if self.values else 0

    def fillings(self, at: int, above: int) -> Iterator[tuple[int, ...]]:
        """Different fillings of `rooms[at]` worth more than `above`.

        They are the best ones with the first so many sizes, for each number: good patterns that
        serve different sizes, all from one table.
        """
        last = above
        for j in range(len(self.lots)):
            if (value := int(self.values[j][at])) > last:
                last = value
                yield self._filling(at, j + 1)

    def _filling(self, at: int, lots: int) -> tuple[int, ...]:
        room = self.rooms[at]
        chosen: list[int] = []
        for lot in reversed(self.lots[:lots]):
            if lot.take <= room and lot.taken[room - lot.take]:
                chosen += [lot.size] * lot.number
                room -= lot.take
        return tuple(sorted(chosen))


class Fillings:
    """All fillings of a bar worth something, by the best value that the sizes from each one on can still add."""

    def __init__(self, values: Sequence[int], takes: Sequence[int], wanted: Sequence[int], room: int) -> None:
        # The smallest last: whether anything may still be added to a filling is then found at once.
        self._order = sorted((size for size, n in enumerate(wanted) if n), key=lambda size: (-takes[size], size))
        self._values, self._takes, self._wanted = values, takes, wanted
        best = np.zeros(room + 1, dtype=np.int64)
        tables = [best]
        for size in reversed(self._order):
            best = best.copy()
            for number in lots_of(min(wanted[size], room // takes[size])):
                long = takes[size] * number
                best[long:] = np.maximum(best[long:], best[: room + 1 - long] + values[size] * number)
            tables.append(best)
        self._best = tables[::-1]

    def most(self, room: int) -> int:
        """Value of the best filling."""
        return int(self._best[0][room])

    def worth(self, room: int, least: int) -> Iterator[tuple[int, ...] | None]:
        """Every filling worth `least` at least that no piece can be added to; None for each step between."""
        order = self._order

        def search(first: int, room: int, value: int, chosen: tuple[int, ...]) -> Iterator[tuple[int, ...] | None]:
            yield tuple(sorted(chosen)) if value >= least and self._full(room, chosen) else None
            for j in range(first, len(order)):
                if value + self._best[j][room] < least:
                    return
                size = order[j]
                for n in range(min(self._wanted[size], room // self._takes[size]), 0, -1):
                    left, more = room - n * self._takes[size], value + n * self._values[size]
                    if more + self._best[j + 1][left] >= least:
                        yield from search(j + 1, left, more, chosen + (size,) * n)

        return search(0, room, 0, ())

    def _full(self, room: int, chosen: tuple[int, ...]) -> bool:
        for size in reversed(self._order):
            if chosen.count(size) < self._wanted[size]:
                return self._takes[size] > room
        return True
