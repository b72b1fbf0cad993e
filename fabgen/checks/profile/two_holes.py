"""Holes of two parts that lie on one another: the bolt that both are for, and the line for the one that is missing."""

from __future__ import annotations

from contextlib import suppress
from typing import Protocol

from fabgen.parts.piece import ProfilePart
from fabgen.parts.shape.legs import LegPlace
from fabgen.shop.threaded.clearance_holes import UnknownBoltError, clearance
from fabgen.wording.sentence import Sentence, sentence, to_paste

_ROOM = 1.0
"""A hole without a bolt is for one so much thinner, mm (that of M8 and M10 by ISO 273, medium)."""


class Sized(Protocol):
    """A hole in whatever it is drilled."""

    @property
    def bolt(self) -> str: ...

    @property
    def width(self) -> float: ...


def bolt_of(one: Sized, other: Sized) -> float:
    """Diameter of what is to go through two holes, mm: the bolt of either, the thicker where they name two; or else a
    pin a little thinner than the narrower.

    Args:
        one, other: holes that lie on one another.
    """
    named = [size for hole in (one, other) if (size := _named(hole)) is not None]
    return max(named, default=min(one.width, other.width) - _ROOM)


def _named(hole: Sized) -> float | None:
    """Diameter of the bolt that a hole is for, mm; None where it names none that a table has."""
    if hole.bolt:
        with suppress(UnknownBoltError):
            return clearance(hole.bolt).nominal
    return None


def to_drill(mark: str, part: ProfilePart, place: LegPlace, width: float) -> Sentence | None:
    """What drills a profile under a hole that it covers, as the job file takes it; None where it would run off its end.

    Args:
        mark, part: the profile.
        place: where in it the hole's middle is.
        width: the hole's, mm.
    """
    if not width / 2.0 < place.along < part.length - width / 2.0:
        return None
    leg = "" if place.leg == "face" else f'leg = "{place.leg}", '
    return sentence(
        f"drill {mark}, holes = [{{ {leg}at = ", to_paste(place.along), ", gauge = ", to_paste(place.gauge),
        ", diameter = ", to_paste(width), " }]",
    )  # fmt: skip
