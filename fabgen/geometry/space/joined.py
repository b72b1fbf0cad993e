"""Which of so many things hang together, by the pairs that touch."""

from __future__ import annotations

from collections.abc import Iterable


def joined_groups(count: int, pairs: Iterable[tuple[int, int]]) -> list[list[int]]:
    """The numbers 0 to `count` - 1 in groups that hang together, each group in order, by the first of each.

    Args:
        count: how many things there are.
        pairs: numbers of two that touch.
    """
    first = list(range(count))

    def root(k: int) -> int:
        while first[k] != k:
            first[k] = first[first[k]]
            k = first[k]
        return k

    for one, other in pairs:
        a, b = root(one), root(other)
        first[max(a, b)] = min(a, b)
    groups: dict[int, list[int]] = {}
    for k in range(count):
        groups.setdefault(root(k), []).append(k)
    return list(groups.values())
