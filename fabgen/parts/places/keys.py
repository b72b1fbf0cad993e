"""Keys of a place against something: those that do not go with it, and how far along a length it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.errors import InputError
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.wording.sentence import mm, sentence


def needs_no(given: PlaceGiven, keys: Sequence[str], why: str) -> None:
    """Raises InputError where one of the keys is given.

    Args:
        given: the place.
        keys: those that have no meaning.
        why: what the part is, that is placed against.
    """
    for key in keys:
        if getattr(given, key) not in (None, 0.0):
            raise InputError(f"{why}: {key} has no meaning for it", f"no {key}", key=(key,))


def along_given(what: str, length: float, given: PlaceGiven, nearest: Callable[[Array], float]) -> float:
    """How far along a tube or profile a place is, mm from its start's saw cut.

    Args:
        what: what the place is against, 'S1 is a tube'.
        length: its saw length, mm.
        given: the place.
        nearest: how far along it is nearest to a point (3,), mm.
    Raises:
        InputError: `at` is no length.
    """
    if given.near is not None:
        return nearest(np.array(given.near.xyz))
    if not isinstance(given.at, int | float):
        raise InputError(f"{what}: `at` is a length along it", "e.g. at = 300; near = a point", key=("at",))
    return length - given.at if given.from_ == "finish" else float(given.at)


def where_key(given: PlaceGiven) -> tuple[str]:
    """The key that says how far along a length a place is."""
    return ("near",) if given.near is not None else ("at",)


def past_the_end(mark: str, along: float, length: float, given: PlaceGiven) -> None:
    """Raises InputError where a place along a length lies past its ends.

    Args:
        mark: of what it is along.
        along: mm from its start's saw cut.
        length: its saw length, mm.
        given: the place.
    """
    if not -1e-6 <= along <= length + 1e-6:
        by = (mm(-along), " before its start") if along < 0.0 else (mm(along - length), " past its finish")
        what = sentence(f"this place lies off {mark}, ", *by)
        raise InputError(what, sentence("0 to ", mm(length), " along it"), key=where_key(given))
