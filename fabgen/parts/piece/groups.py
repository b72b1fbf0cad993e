"""Things alike, taken together."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

T = TypeVar("T")


def groups_alike(things: Iterable[T], alike: Callable[[T, T], bool]) -> list[list[T]]:
    """The things in groups, in the order in which the first of each is met.

    Args:
        things: of one kind.
        alike: whether the first of a group and another are.
    """
    groups: list[list[T]] = []
    for thing in things:
        group = next((each for each in groups if alike(each[0], thing)), None)
        if group is None:
            groups.append([thing])
        else:
            group.append(thing)
    return groups
