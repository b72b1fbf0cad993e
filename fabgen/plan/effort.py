"""How hard the planner tries: what each level of effort may spend, counted in work and never in time.

A limit on time would give other results on a slower or a busier machine; these limits give the
same results on any.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

Progress = Callable[[str, float], None]
"""Told what is being worked on, and the share of it that is done (0 to 1)."""


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

    `places`: parts placed while orders of the parts are tried, in all tries together;
    `searches`: searches for a tight nest; `steps` and `failures`: the steps and the failed
    attempts after which one search ends; `hopeless`: the share of a sheet in parts beyond which
    no search is begun.
    """

    places: int
    searches: int
    steps: int
    failures: int
    hopeless: float


BUDGETS = {
    Effort.QUICK: Budget(places=0, searches=0, steps=0, failures=0, hopeless=0.0),
    Effort.NORMAL: Budget(places=400, searches=4, steps=300, failures=1, hopeless=0.92),
    Effort.LONG: Budget(places=4000, searches=24, steps=1500, failures=3, hopeless=0.97),
}


def silent(what: str, share: float) -> None:
    """Progress that tells nobody."""
