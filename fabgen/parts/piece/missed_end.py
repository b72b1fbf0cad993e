"""Ends of tubes that the job leaves to be fitted and that meet nothing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fabgen.parts.piece.cut import At


@dataclass(frozen=True, slots=True)
class MissedEnd:
    """An end left plain: past the end of the tube it would sit on, short of one it aims at, or drawn to the corner of
    a bent tube's route, where the bend runs inside.

    Args:
        why: which of the three.
        at: the end.
        main: the mark of the other tube.
        off: how far past its end, short of it, or outside its bend the end lies, mm.
        place: (3) where the end's point would meet its axis; of one past its end, where that carried on would be met.
        theirs: the end of the other tube that it lies past.
        extend: what that end is to have to carry the whole foot, mm; None where it cannot go on so far.
        foot: how far the foot reaches past that end as it is, mm.
    """

    why: Literal["past", "short", "corner"]
    at: At
    main: str
    off: float
    place: tuple[float, float, float]
    theirs: At | None = None
    extend: float | None = None
    foot: float = 0.0
