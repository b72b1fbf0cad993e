"""The one-dimensional cutting stock problem in whole numbers.

Sizes are numbered, longest first.  A kind of bar has a `room`; each size `takes` some of it
(its own length and the saw's kerf).  All the methods of the `cutting_…` modules speak in these
terms, so units, kerf, clamp and marks are somebody else's business.

The terms (pattern, bound, column generation) are those of Gilmore, P. C. and Gomory, R. E.,
'A linear programming approach to the cutting-stock problem', Operations Research 9, 1961.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import gcd

Bar = tuple[int, tuple[int, ...]]
"""One bar cut: the number of its kind, and the sizes on it in rising order, repeated as often as cut."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Bars alike: `room` in all, what each size `takes` of it, cost each, how many (None = any number)."""

    room: int
    takes: tuple[int, ...]
    cost: int
    count: int | None = None

    def holds(self, size: int) -> bool:
        return self.takes[size] <= self.room

    def used(self, sizes: Iterable[int]) -> int:
        return sum(self.takes[size] for size in sizes)


@dataclass(frozen=True)
class Problem:
    """How many of each size are wanted, and the kinds of bar there are.

    Raises ValueError when figures are not whole and positive, when a size fits no kind, or when
    a size fits no kind of unlimited number: without one there may be no answer at all.
    """

    wanted: tuple[int, ...]
    kinds: tuple[Kind, ...]

    def __post_init__(self) -> None:
        if any(n < 0 for n in self.wanted) or any(min(kind.takes, default=1) < 1 for kind in self.kinds):
            raise ValueError("sizes must be 1 or more, and numbers wanted not negative")
        if any(len(kind.takes) != len(self.wanted) or kind.cost < 0 for kind in self.kinds):
            raise ValueError("every kind needs what each size takes of it, and a cost of 0 or more")
        if not all(any(k.count is None and k.holds(size) for k in self.kinds) for size in range(len(self.wanted))):
            raise ValueError("every size needs a kind of bar of unlimited number that holds it")

    @cached_property
    def groups(self) -> dict[tuple[int, ...], list[int]]:
        """Numbers of the kinds that share one list of `takes`."""
        found: dict[tuple[int, ...], list[int]] = {}
        for k, kind in enumerate(self.kinds):
            found.setdefault(kind.takes, []).append(k)
        return found

    @cached_property
    def step(self) -> int:
        """All costs are multiples of this."""
        return gcd(*(kind.cost for kind in self.kinds)) or 1

    def cost(self, bars: Iterable[Bar]) -> int:
        return sum(self.kinds[k].cost for k, _ in bars)

    def without(self, bars: Sequence[Bar]) -> Problem:
        """What is still to be cut, and from what, after these bars."""
        wanted, used = list(self.wanted), Counter(k for k, _ in bars)
        for _, sizes in bars:
            for size in sizes:
                wanted[size] -= 1
        kinds = [
            kind if kind.count is None else replace(kind, count=kind.count - used[k]) for k, kind in enumerate(self.kinds)
        ]
        return Problem(tuple(wanted), tuple(kinds))

    def faults(self, bars: Sequence[Bar]) -> list[str]:
        """What is wrong with a plan, in words; empty when it can be sawn and gives every piece once."""
        found = []
        cut = Counter(size for _, sizes in bars for size in sizes)
        if any(cut[size] != n for size, n in enumerate(self.wanted)):
            found.append("the pieces cut are not the pieces wanted")
        if any(self.kinds[k].used(sizes) > self.kinds[k].room for k, sizes in bars):
            found.append("a bar is cut longer than it is")
        for k, n in Counter(k for k, _ in bars).items():
            count = self.kinds[k].count
            if count is not None and n > count:
                found.append(f"{n} bars of kind {k} are cut, {count} are there")
        return found


@dataclass(frozen=True, slots=True)
class Cutting:
    """A plan, what it costs, and a cost below which no plan can be."""

    bars: tuple[Bar, ...]
    cost: int
    bound: int

    @property
    def proven(self) -> bool:
        return self.cost <= self.bound

    @property
    def gap(self) -> float:
        """How far above the bound the cost may be, as a share of the bound."""
        return (self.cost - self.bound) / self.bound if self.bound else float(self.cost > 0)
