"""Places of copies that are placed against something: against the copy of that, the same way round."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import upright
from fabgen.geometry.survey.rigid_fit import RigidMotion
from fabgen.job.errors import InputError
from fabgen.job.expansion.placing import point_at, turn_toward
from fabgen.job.tables.fields import Context
from fabgen.job.tables.tube_hole_tables import JOB_SIDES

_FAR = 1e9
"""A point so far off stands for a direction, mm."""


@dataclass(frozen=True, eq=False)
class Copying:
    """One copy that a repeat makes: its number (the first is 2), what moves it, the marks that are copied, and the
    table and the entry of every part by its mark.  `renamed` gives a mark its number; `placed`: the tables whose
    parts keep their mark and get further places."""

    number: int
    motion: RigidMotion
    marks: Sequence[str]
    found: Mapping[str, tuple[str, Mapping[str, Any]]]
    context: Context
    renamed: Callable[[str, int], str]
    placed: Sequence[str]

    def moved(self, mark: str, place: Mapping[str, Any]) -> dict[str, Any]:
        """A place of a part, moved already by its points, against the copy of what it is against.

        Args:
            mark: of the part.
            place: as a table of the job has it.
        Raises:
            InputError: what it is against is not copied with it.
        """
        moved, against = dict(place), place.get("against")
        if not isinstance(against, str) or against not in self.found:
            return moved  # by a point, or a fault that is reported at the first
        if against not in self.marks:
            what = f"{mark} is placed against {against}, of which this repeat makes no copy"
            raise InputError(what, f"{against} in `parts` too, or a list of places for {mark}", key=("parts",))
        table, entry = self.found[against]
        if table in self.placed:
            own = entry.get("place")
            count = len(own) if isinstance(own, list) else 1
            moved["against_place"] = (place.get("against_place") or 1) + (self.number - 1) * count
        else:
            moved["against"] = self.renamed(against, self.number)
            self._turn(moved, entry)
        return moved

    def _turn(self, moved: dict[str, Any], entry: Mapping[str, Any]) -> None:
        """The side, as the tube or profile is turned with it."""
        side, rotation = moved.get("side"), self.motion.rotation
        if np.allclose(rotation, np.eye(3)) or side is None:
            return
        if isinstance(side, str) and (name := side.strip().lower()) in JOB_SIDES:
            del moved["side"]
            moved["toward"] = point_at(_FAR * (rotation @ np.array(JOB_SIDES[name])))
            return
        ends = [self.context.point_reading.read(written)[0] for written in (entry.get("route") or ())[:2]]
        if len(ends) < 2 or ends[0] is None or ends[1] is None or ends[0].xyz == ends[1].xyz:
            return
        with suppress(ValueError):
            if self.context.section(entry.get("section")).is_round:  # whose TOP does not turn with it
                along = np.array(ends[1].xyz) - np.array(ends[0].xyz)
                top = turn_toward(rotation @ along, rotation @ upright(0.0 * along, along).z)
                moved["side"] = math.degrees(self.context.angle(side) + top) % 360.0
