"""How hard the planner tries: what each level of effort may spend, counted in work and never in time.

A limit on time would give other results on a slower or a busier machine; these limits give the
same results on any.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

Progress = Callable[[str, float], None]
"""Called with what is being worked on, and the share of it that is done (0 to 1)."""


class Effort(StrEnum):
    """How much computing a plan may take."""

    QUICK = "quick"
    """Rectangles round the parts only; remnants of other shapes and nothing else by true shape."""
    NORMAL = "normal"
    """True shapes wherever that may save a sheet."""
    LONG = "long"
    """True shapes everywhere, more tries, and what is left of the last sheet kept in one piece."""


@dataclass(frozen=True, slots=True)
class Budget:
    """What one material and thickness may take.

    `moves`: how much work on the moves of parts beside one another, in sums of two convex pieces of
    outlines (some ten thousand a second); true shapes are done with when it is spent.
    `places`: how many times a part may be placed while orders of the parts are tried; `choices`:
    choices of fewer or cheaper sheets tried; `searches`: searches for a tight nest, each over
    after so many `steps` or `failures`; `hopeless`: the share of a sheet in parts, the gap round them
    counted, beyond which none is begun; `drawing`: steps that the emptiest sheet's parts are drawn
    together with.
    """

    moves: int
    places: int
    choices: int
    searches: int
    steps: int
    failures: int
    hopeless: float
    drawing: int


BUDGETS = {
    Effort.QUICK: Budget(moves=200_000, places=0, choices=0, searches=0, steps=0, failures=0, hopeless=1.0, drawing=0),
    Effort.NORMAL: Budget(
        moves=200_000, places=1500, choices=6, searches=4, steps=300, failures=1, hopeless=0.92, drawing=0
    ),
    Effort.LONG: Budget(
        moves=2_000_000, places=20000, choices=24, searches=8, steps=1500, failures=12, hopeless=0.97, drawing=2000
    ),
}


def part_of(progress: Progress, start: float, end: float) -> Progress:
    """Progress of a step that is a part of the work.

    Args:
        progress: of the whole.
        start, end: shares of the whole that are done before and after the step.
    """

    def tell(what: str, share: float) -> None:
        progress(what, start + (end - start) * share)

    return tell


def silent(what: str, share: float) -> None:
    """Progress that goes nowhere.

    Args:
        what: is being worked on.
        share: of it that is done, 0 to 1.
    """
