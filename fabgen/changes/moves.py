"""Where parts whose metal is what it was have moved, the set-out sizes old and new."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np

from fabgen.changes.differences import from_to
from fabgen.changes.issued_part import IssuedPart, IssuedPlace
from fabgen.geometry.survey.rigid_fit import rigid_fit
from fabgen.wording.sentence import Part, Sentence, angles, joined, mm, sentence

LEAST = 0.5
"""A move that is smaller is shown by no tape, mm."""
_LEAST_TURN = 0.5
"""The same of a turn, degrees."""
MOST = 4
"""Of the places of one part so many are named."""


def lies_as_before(pairs: Iterable[tuple[IssuedPart, IssuedPart]]) -> bool:
    """Whether all that lies on the jig lies to the rest as it did: the frame as a whole may lie elsewhere.

    Args:
        pairs: parts as issued and as they are now.
    """
    places = [both for old, new in pairs for both in zip(old.places, new.places, strict=False)]
    known = [(was.at_mm, now.at_mm) for was, now in places if was.at_mm and len(was.at_mm) == len(now.at_mm)]
    if not known:
        return True
    before, after = (np.array([at for each in side for at in each]) for side in zip(*known, strict=True))
    off = rigid_fit(before, after).moved(before) - after
    return float(np.linalg.norm(off, axis=1).max()) < LEAST


def moves(old: IssuedPart, new: IssuedPart, on_jig: bool = True) -> list[Sentence]:
    """Which places of a part have moved, and how; nothing of papers that did not keep where parts stand.

    Args:
        old: as issued.
        new: as it is now.
        on_jig: whether moves on the jig count.
    """
    found: list[Sentence] = []
    for number, (was, now) in enumerate(zip(old.places, new.places, strict=False), 1):
        name = f"({number}) " if len(new.places) > 1 else ""
        if (on_jig or was.on or now.on) and (how := _moved(was, now)):
            found.append(sentence(name, how))
    more = len(found) - MOST
    return found if more <= 0 else [*found[:MOST], sentence(f"and {more} more: see set-out.pdf")]


def _moved(old: IssuedPlace, new: IssuedPlace) -> Sentence | None:
    """How one place moved; None where it did not, or nobody knows."""
    if old.on != new.on:
        return sentence(f"from {_on(old)} to {_on(new)}: see set-out.pdf")
    if not new.on:
        return _on_jig(old, new)
    said: list[Part] = []
    if old.foot != new.foot:
        said.append(f"now with its {new.foot}")
    said += _round(old, new)
    said += _size("near edge ", old.along_mm, new.along_mm, 0)
    if not said or abs(_length(old) - _length(new)) > LEAST:
        said += _size("far edge ", old.along_mm, new.along_mm, 1)
    said += _size("across ", old.across_mm, new.across_mm, 0)
    if old.over_mm is not None and new.over_mm is not None and abs(new.over_mm - old.over_mm) > LEAST:
        said.append(sentence("over the skin ", from_to(old.over_mm, new.over_mm)))
    turned = math.remainder(new.turn_deg - old.turn_deg, 360.0)
    if abs(turned) > _LEAST_TURN:
        said.append(sentence("turned ", _degrees(old.turn_deg, new.turn_deg)))
    return sentence(f"on {new.on}: ", joined(", ", said)) if said else None


def _on(place: IssuedPlace) -> str:
    return place.on or "a place by points"


def _length(place: IssuedPlace) -> float:
    return 0.0 if place.along_mm is None else place.along_mm[1] - place.along_mm[0]


def _size(
    what: str, old: tuple[float, float] | None, new: tuple[float, float] | None, which: int
) -> Iterator[Sentence]:
    if old is not None and new is not None and abs(new[which] - old[which]) > LEAST:
        yield sentence(what, from_to(old[which], new[which]))


def _round(old: IssuedPlace, new: IssuedPlace) -> Iterator[Sentence]:
    if old.side != new.side:
        yield sentence(f"{old.side or 'another side'} to {new.side}")
    if old.round_deg is None or new.round_deg is None:
        return
    if abs(math.remainder(new.round_deg - old.round_deg, 360.0)) > _LEAST_TURN:
        yield sentence("from TOP ", _degrees(old.round_deg, new.round_deg))


def _degrees(old: float, new: float) -> Part:
    return angles((math.radians(old), math.radians(new)), " to ")


def _on_jig(old: IssuedPlace, new: IssuedPlace) -> Sentence | None:
    """How far a part that is placed by points, or lies along a line, moved on the jig."""
    if not old.at_mm or len(old.at_mm) != len(new.at_mm):
        return None
    was, now = np.array(old.at_mm), np.array(new.at_mm)
    # A line that is drawn from its other end is where it was.
    by = min((now - was, now[::-1] - was), key=lambda each: float(np.abs(each).max())) if len(was) == 2 else now - was
    if float(np.abs(by).max()) < LEAST:
        return None
    if float(np.abs(by - by[0]).max()) < LEAST:
        named = zip(by.mean(axis=0), ("forward", "to the left", "up"), ("back", "to the right", "down"), strict=True)
        ways = [
            sentence(mm(abs(far)), f" {ahead if far > 0 else back}") for far, ahead, back in named if abs(far) >= LEAST
        ]
        return sentence("on the jig: ", joined(", ", ways))
    what = ("start", "finish") if len(was) == 2 else ("lower left", "lower right", "upper left")
    ends = [sentence(f"{name} ", mm(far)) for name, far in zip(what, np.linalg.norm(by, axis=1), strict=False)]
    return sentence("on the jig: ", joined(", ", ends), ", see set-out.pdf")
