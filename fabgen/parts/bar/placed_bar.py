"""Where bent bars stand that the job places: lying on a skin as they would on the bench."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabgen.job.errors import Path, Problem, Problems, Words
from fabgen.job.tables.lengths.bar_tables import Bar
from fabgen.parts.piece import Datum, Place
from fabgen.parts.sheet.placing import Placing


@dataclass
class Laid:
    """A bar about to be placed: it lies on the bench as thick as it is."""

    given: Bar
    path: Path
    problems: Problems

    @property
    def thickness(self) -> float:
        return self.given.diameter

    def fault(self, key: str | Path, what: Words, accepted: Words, near: str = "") -> None:
        """Keeps a fault of a key below the bar's table."""
        below = (key,) if isinstance(key, str) else key
        self.problems.append(Problem((*self.path, *below), what, accepted, near))


def bar_places(bar: Bar, path: Path) -> tuple[Place, ...]:
    """Where it stands by its `place`; its frames are pages, in the middle of the bar.

    Args:
        bar: as the job gives it.
        path: where the job file has it.
    Raises:
        JobError: with the faults of its places.
    """
    laid = Laid(bar, path, Problems())
    u, v, front = np.eye(3)
    places = Placing(laid, {"": Datum(np.array([0.0, 0.0, -bar.diameter / 2.0]), u, v, front)}, []).stands().places
    laid.problems.report()
    return places
