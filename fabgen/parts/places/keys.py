"""Keys of a place that do not go with what it is against."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.job.errors import InputError
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.wording.figures import figure


def needs_no(given: PlaceGiven, keys: Sequence[str], why: str) -> None:
    """Raises InputError where one of the keys is given.

    Args:
        given: the place.
        keys: those that have no meaning.
        why: what the part is, that is placed against.
    """
    for key in keys:
        if getattr(given, key.replace("from", "from_")) not in (None, 0.0):
            raise InputError(f"{why}: {key} has no meaning for it", f"no {key}", key=(key,))


def past_the_end(mark: str, along: float, length: float, given: PlaceGiven) -> None:
    """Raises InputError where a place along a length lies past its ends.

    Args:
        mark: of what it is along.
        along: mm from its start's saw cut.
        length: its saw length, mm.
        given: the place.
    """
    if not -1e-6 <= along <= length + 1e-6:
        past = (
            f"{figure(-along)} mm before its start" if along < 0.0 else f"{figure(along - length)} mm past its finish"
        )
        key = "near" if given.near is not None else "at"
        raise InputError(f"this place lies off {mark}, {past}", f"0 to {figure(length)} mm along it", key=(key,))
