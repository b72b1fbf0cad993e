"""Places of copies that are placed against something: against the copy of that, the same way round or mirrored."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.errors import InputError
from fabgen.job.expansion.copies.moved_tables import Moved
from fabgen.job.tables.tube_hole_tables import JOB_SIDES

_ON_PLACE = 1e-6
"""Points as near to one another are one, mm."""
_OTHER_END = {"start": "finish", "finish": "start"}
_OTHER_FACE = {"back": "front", "front": "back", "middle": "middle"}


@dataclass(frozen=True, eq=False)
class Copying:
    """One copy that a repeat or a mirror makes: what moves it, the marks that are copied, the table and the entry of
    every part by its mark, its number (the first is 2), and the marks of parts that keep theirs and get further places.

    `said_by`: what makes the copies, in words.
    """

    way: Moved
    marks: Collection[str]
    found: Mapping[str, tuple[str, Mapping[str, Any]]]
    number: int
    kept: Collection[str]
    said_by: str = "repeat"

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
        entry = self.found[against][1]
        if against in self.kept:
            own = entry.get("place")
            count = len(own) if isinstance(own, list) else 1
            moved["against_place"] = (place.get("against_place") or 1) + (self.number - 1) * count
        elif against in self.marks:
            moved["against"] = self.way.renamed(against)
            self._turned(moved, entry)
        elif not (self._along(moved, entry) if self.way.hand > 0.0 else self._on_itself(moved, entry)):
            what = f"{mark} is placed against {against}, of which this {self.said_by} makes no copy"
            row = f", a `step` along {against}" if self.said_by == "repeat" and "route" in entry else ""
            accepted = f"{against} in `parts` too{row}, or a list of places for {mark}"
            raise InputError(what, accepted, key=("parts",))
        return moved

    def _along(self, moved: dict[str, Any], entry: Mapping[str, Any]) -> bool:
        """Sets a place on a straight tube or profile so much farther along it as the copy is moved; whether that is
        along it."""
        if (by := shift_along(self.way, entry)) is None:
            return False
        if "near" in moved:  # a point, which is moved already
            return True
        try:
            at = self.way.context.length(moved["at"])
        except (KeyError, TypeError, ValueError):
            return False
        moved["at"] = f"{at + (-by if moved.get('from') == 'finish' else by)!r} mm"
        return True

    def _turned(self, moved: dict[str, Any], entry: Mapping[str, Any]) -> None:
        """The side, and what is counted clockwise."""
        self._side(moved, entry)
        for key in ("offset", "turn"):
            if key in moved:
                moved[key] = self.way.negated(moved[key])

    def _side(self, moved: dict[str, Any], entry: Mapping[str, Any]) -> None:
        side = moved.get("side")
        if side is None or not self.way.turns:
            return
        if isinstance(side, str) and (name := side.strip().lower()) in JOB_SIDES:
            # "front" and "back" of a sheet part are its own sides, and stay.
            if "route" in entry:
                if turned := self.way.side(name):
                    moved["side"] = turned
                else:
                    del moved["side"]
                    moved["toward"] = self.way.far_toward(name)
        elif "route" in entry:
            angle = self.way.angle(side, self.way.clocks(entry))
            moved["side"] = angle % 360.0 if isinstance(angle, float) else angle

    def _on_itself(self, moved: dict[str, Any], entry: Mapping[str, Any]) -> bool:
        """Sets a place on a straight tube that lies alike on both sides of the plane; whether it does."""
        alike = alike_on_both_sides(self.way, entry)
        if alike == "as it is":
            self._turned(moved, entry)
        if alike != "end for end":
            return bool(alike)
        # The same from its other end; seen from the start clockwise stays so, but along the tube all is reversed.
        if "near" not in moved:
            moved["from"] = _OTHER_END[moved.get("from", "start")]
        side = moved.get("side")
        if isinstance(side, str) and side.strip().lower() in JOB_SIDES:
            self._side(moved, entry)
        # What stands on its foot without a turn is alike both ways round.
        if "along" not in moved and ("turn" in moved or moved.get("stands_on") != "foot"):
            moved["turn"] = self.way.half_turned(moved.get("turn", 0))
        return True


def shift_along(way: Moved, entry: Mapping[str, Any]) -> float | None:
    """How much farther along a straight tube or profile a copy comes to lie that is moved along it, mm; None where
    it is not moved along it.

    Args:
        way: to the copy.
        entry: the table of the tube.
    """
    written = entry.get("route")
    ends = [way.read(each) for each in written] if isinstance(written, list) else []
    if way.turns or len(ends) != 2 or ends[0] is None or ends[1] is None:
        return None
    run, shift = ends[1] - ends[0], way.motion.moved(ends[0]) - ends[0]
    long = float(np.linalg.norm(run))
    by = float(shift @ run) / long if long else 0.0
    if not long or float(np.linalg.norm(shift - by * run / long)) > _ON_PLACE:
        return None
    return by


def runs_on_plate(way: Moved, entry: Mapping[str, Any], found: Mapping[str, tuple[str, Mapping[str, Any]]]) -> bool:
    """Whether what is copied is moved along the face of a plate that is there once.

    Args:
        way: to the copy.
        entry: the table of the plate.
        found: the table and the entry of every part by its mark.
    """
    place = entry.get("place")
    if isinstance(place, list) and len(place) == 1:
        (place,) = place
    if not isinstance(place, Mapping):
        return False
    if (against := place.get("against")) is None:
        return way.stays_in_plane(place)
    if against not in found or place.get("stands_on"):
        return False
    return shift_along(way, found[against][1]) is not None


def laid_over(place: Mapping[str, Any]) -> dict[str, Any]:
    """The place of a flat part turned over, where the given one is that of its opposite hand."""
    usual = "middle" if place.get("stands_on") else "back"
    lies = _OTHER_FACE.get(str(place.get("lies") or usual), "back")
    return dict(place) | ({"lies": lies} if "lies" in place or lies != usual else {})


def alike_on_both_sides(way: Moved, entry: Mapping[str, Any]) -> Literal["", "as it is", "end for end"]:
    """How a straight tube, profile or link comes to lie on itself where it is moved; "" of one that does not.

    Args:
        way: a mirror's.
        entry: its table.
    """
    written = entry.get("route", entry.get("between"))
    ends = [way.read(each) for each in written] if isinstance(written, list) else []
    if len(ends) != 2 or ends[0] is None or ends[1] is None:
        return ""
    start, finish = way.motion.moved(ends[0]), way.motion.moved(ends[1])
    if _same(start, ends[0]) and _same(finish, ends[1]):
        return "as it is"
    return "end for end" if _same(start, ends[1]) and _same(finish, ends[0]) else ""


def is_route_alike(way: Moved, entry: Mapping[str, Any]) -> bool:
    """Whether the route of a tube, profile or link, straight or bent, comes to lie on itself where it is moved, from
    either end.

    Args:
        way: a mirror's.
        entry: its table.
    """
    written = entry.get("route", entry.get("between"))
    ends = [way.read(each) for each in written] if isinstance(written, list) else []
    route = [each for each in ends if each is not None]
    if len(route) < 2 or len(route) < len(ends):
        return False
    moved = [way.motion.moved(each) for each in route]
    if all(map(_same, moved, route)):
        return True
    radii = entry.get("bend_radius")
    return all(map(_same, moved, reversed(route))) and (not isinstance(radii, list) or radii == radii[::-1])


def _same(one: Array, other: Array) -> bool:
    return bool(np.abs(one - other).max() < _ON_PLACE)
