"""Tubes that become several pieces: the pieces' marks, and other tubes' ends that name them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from string import ascii_lowercase
from typing import Any

from fabgen.job.tables.fields import Context
from fabgen.job.values.point import Point


def letters(number: int) -> str:
    """What the mark of a piece, numbered from 0, ends with: a, b, … z, aa, ab, …"""
    before, last = divmod(number, len(ascii_lowercase))
    return (letters(before - 1) if before else "") + ascii_lowercase[last]


def onto_pieces(entry: Any, carrying: Mapping[str, Callable[[Point], list[str]]], context: Context) -> Any:
    """A tube whose ends name tubes that became pieces names the pieces there instead; any other as it is.

    Args:
        entry: its table.
        carrying: by the mark of each tube that became pieces, the marks of those on which an end at a point may sit.
        context: what the values are read with.
    """
    if not isinstance(entry, Mapping) or not isinstance(route := entry.get("route"), list) or not route:
        return entry
    changed: dict[str, Any] = {}
    for at, written in (("start", route[0]), ("finish", route[-1])):
        end, (point, _) = entry.get(at), context.point_reading.read(written)
        onto = end.get("onto") if isinstance(end, Mapping) else None
        named = [onto] if isinstance(onto, str) else onto
        if not isinstance(end, Mapping) or not isinstance(named, list) or point is None:
            continue
        if all(isinstance(mark, str) for mark in named) and any(mark in carrying for mark in named):
            pieces = [carrying[mark](point) if mark in carrying else [mark] for mark in named]
            changed[at] = dict(end) | {"onto": [mark for each in pieces for mark in each]}
    return dict(entry) | changed if changed else entry
