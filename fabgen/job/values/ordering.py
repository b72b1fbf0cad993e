"""The order in which values that use one another can be worked out, and the loops among them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from graphlib import CycleError, TopologicalSorter


def in_order(needs: Mapping[str, Collection[str]]) -> tuple[list[str], list[list[str]]]:
    """Names sorted so that each comes after those it needs, and the loops among them.

    Args:
        needs: by name the names it needs; needs that are no names themselves are passed over.
    Returns: the order, without names in a loop but with those that need them, and the loops, e.g. [a, b, a].
    """
    left = {name: [n for n in wanted if n in needs] for name, wanted in needs.items()}
    loops: list[list[str]] = []
    while True:
        among = {name: [n for n in wanted if n in left] for name, wanted in left.items()}
        try:
            order = list(TopologicalSorter(among).static_order())
        except CycleError as error:
            # graphlib names a loop from each name to the next that needs it; we read it the other way.
            loop = _from_first(error.args[1][::-1], list(needs))
            loops.append(loop)
            for name in loop[:-1]:
                del left[name]
        else:
            return order, loops


def _from_first(loop: list[str], names: list[str]) -> list[str]:
    """The loop begun at whichever of its names the file gives first."""
    ring = loop[:-1]
    start = min(range(len(ring)), key=lambda i: names.index(ring[i]))
    ring = ring[start:] + ring[:start]
    return [*ring, ring[0]]
