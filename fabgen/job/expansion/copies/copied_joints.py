"""Bolts and welds of parts that are made again, which name them and have no marks of their own."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from fabgen.job.document import mark_of
from fabgen.job.tables.fields import Context, spacer_in

Entry = dict[str, Any]

JOINTS = ("bolt", "weld")
_NAMES = {"bolt": ("through", "into"), "weld": ("parts",)}
"""The keys that name parts."""


@dataclass(frozen=True, eq=False)
class CopiedJoint:
    """What becomes of a bolt's or weld's table: an `image` beside it, or the same with its quantity doubled."""

    table: str
    own: Entry
    entry: Entry
    is_image: bool


def copied_joints(
    tables: Mapping[str, Sequence[tuple[object, Any]]],
    copied: Collection[str],
    renamed: Callable[[str], str],
    stays_alike: Callable[[str], bool],
    is_length: Callable[[str], bool],
) -> Iterator[CopiedJoint]:
    """Bolts and welds made again: those that name a mirrored or repeated part, and beside such none that is there once.

    One that the job has already for the image, of the same thread through the same parts, is not made again.

    Args:
        tables: of the job, each entry with its place.
        copied: the marks of the parts that are made again.
        renamed: gives for a part's mark that of its image; the same of one that keeps its mark.
        stays_alike: whether a part that is not made again lies alike on both sides, or stands nowhere.
        is_length: whether what a bolt goes through is given as a length, not as a mark.
    """
    for table in JOINTS:
        there = [entry for _, entry in tables.get(table, ()) if isinstance(entry, dict)]
        kinds = [_kind(table, entry, is_length) for entry in there]
        for entry in there:
            marks = list(_marks(table, entry, is_length))
            if not any(mark in copied for mark in marks):
                continue
            if not all(mark in copied or stays_alike(mark) for mark in marks):
                continue
            image = _renamed(table, entry, renamed, is_length)
            kind = _kind(table, image, is_length)
            if kind != _kind(table, entry, is_length):
                if kind not in kinds:
                    yield CopiedJoint(table, entry, image, True)
            elif table == "bolt" and type(count := entry.get("quantity", 1)) is int:
                yield CopiedJoint(table, entry, image | {"quantity": 2 * count}, False)


def reads_as_length(context: Context, written: str) -> bool:
    """Whether what a bolt goes through is a length, or a spacer with its length."""
    with suppress(ValueError):
        context.length(spacer_in(written) or written)
        return True
    return False


def _marks(table: str, entry: Entry, is_length: Callable[[str], bool]) -> Iterator[str]:
    """The marks that a bolt or weld names; lengths are none."""
    for key in _NAMES[table]:
        written = entry.get(key)
        for each in written if isinstance(written, list) else [written]:
            if mark := _mark(table, each, is_length):
                yield mark


def _mark(table: str, written: object, is_length: Callable[[str], bool]) -> str:
    """A mark as it is named, "" of a length."""
    if table == "bolt" and (not isinstance(written, str) or is_length(written)):
        return ""
    return mark_of({"mark": written})


def _kind(table: str, entry: Entry, is_length: Callable[[str], bool]) -> tuple[object, ...]:
    """What two bolts or welds of one kind have in common: the parts, from either end, and the thread."""
    return (table, str(entry.get("thread", "")).split(), sorted(_marks(table, entry, is_length)))


def _renamed(table: str, entry: Entry, renamed: Callable[[str], str], is_length: Callable[[str], bool]) -> Entry:
    def image(written: object) -> object:
        if isinstance(written, list):
            return [image(each) for each in written]
        mark = _mark(table, written, is_length)
        return renamed(mark) if mark else written

    return deepcopy(entry) | {key: image(entry[key]) for key in _NAMES[table] if key in entry}
