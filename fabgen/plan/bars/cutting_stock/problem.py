"""The one-dimensional cutting stock problem in whole numbers.

Sizes are numbered, longest first.  A kind of bar has a `room`; each size `takes` some of it
(its own length and the saw's kerf).  All the methods of this package speak in these terms, so
units, kerf, clamp and marks are somebody else's business.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import gcd

Bar = tuple[int, tuple[int, ...]]
"""One bar cut, or its pattern: the number of its kind, and the sizes on it, rising, repeated as often as cut."""


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
class StockProblem:
    """How many of each size are wanted, and the kinds of bar there are.

    Raises ValueError when takes are not 1 or more, when bars of unlimited number cost nothing, or
    when a size fits no kind of unlimited number: without one there may be no plan at all.
    """

    wanted: tuple[int, ...]
    kinds: tuple[Kind, ...]

    def __post_init__(self) -> None:
        if any(n < 0 for n in self.wanted) or any(min(kind.takes, default=1) < 1 for kind in self.kinds):
            raise ValueError("sizes must be 1 or more, and numbers wanted not negative")
        if any(len(kind.takes) != len(self.wanted) for kind in self.kinds):
            raise ValueError("every kind needs what each size takes of it")
        if any(kind.cost < (kind.count is None) for kind in self.kinds):
            raise ValueError("bars of unlimited number must cost 1 or more, others 0 or more")
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

    @cached_property
    def bought(self) -> list[int]:
        """Numbers of the kinds of unlimited number."""
        return [k for k, kind in enumerate(self.kinds) if kind.count is None]

    @cached_property
    def rack(self) -> list[int]:
        """The kind of every single bar of limited number, no more of a kind than there are pieces."""
        pieces = sum(self.wanted)
        return [k for k, kind in enumerate(self.kinds) for _ in range(min(kind.count or 0, pieces))]

    def total(self, values: Sequence[int]) -> int:
        """Value of all pieces wanted, at `values` each."""
        return sum(n * value for n, value in zip(self.wanted, values, strict=True))

    def cost(self, bars: Iterable[Bar]) -> int:
        return sum(self.kinds[k].cost for k, _ in bars)

    def without(self, bars: Sequence[Bar]) -> StockProblem:
        """What is still to be cut, and from what, after these bars."""
        wanted, used = list(self.wanted), Counter(k for k, _ in bars)
        for _, sizes in bars:
            for size in sizes:
                wanted[size] -= 1
        kinds = [
            kind if kind.count is None else replace(kind, count=kind.count - used[k])
            for k, kind in enumerate(self.kinds)
        ]
        return StockProblem(tuple(wanted), tuple(kinds))

    def part(self, bars: Sequence[Bar]) -> StockProblem:
        """The pieces of these bars as a problem of their own, with the bars of limited number they use."""
        wanted = Counter(size for _, sizes in bars for size in sizes)
        used = Counter(k for k, _ in bars)
        kinds = [kind if kind.count is None else replace(kind, count=used[k]) for k, kind in enumerate(self.kinds)]
        return StockProblem(tuple(wanted[size] for size in range(len(self.wanted))), tuple(kinds))


def trimmed(sizes: Iterable[int], left: Sequence[int]) -> tuple[int, ...]:
    """The sizes of a pattern without those of which too few are left."""
    return tuple(size for size, n in Counter(sizes).items() for _ in range(min(n, left[size])))


@dataclass(slots=True)
class Allowance:
    """How much work may still be done, in steps of about a microsecond.

    Steps are counted, not timed, so that a job gets the same plan on every machine.
    """

    left: float

    def spend(self, steps: float) -> None:
        self.left -= steps

    @property
    def spent(self) -> bool:
        return self.left <= 0


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """A plan, what it costs, and a cost below which no plan can be."""

    bars: tuple[Bar, ...]
    cost: int
    bound: int

    @property
    def proven(self) -> bool:
        return self.cost <= self.bound
