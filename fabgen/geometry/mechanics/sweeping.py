"""Takes a mechanism through a travel: the equations are solved anew at each step.

Each step starts from the one before (warm start), predicts by the tangent and corrects by
Gauss-Newton.  A step whose correction is not small beside its prediction is halved, so that
the mechanism cannot jump to its other way of being put together; where halving does not
help, the sweep ends there and says why.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from fabgen.geometry.mechanics.constraints import Places, System
from fabgen.geometry.space.frame import Array

CLOSED = 1e-11
"""Residuals below this share of the mechanism's size count as closed."""
_ROUNDS = 40
_HALVINGS = 14
_BEND = 0.25
"""A correction may be so large beside the prediction."""
_LONGEST = 0.3
"""Longest prediction as a share of the mechanism's size: about 0.3 rad of turn."""
_FLAT = 1e-2

Ending = Literal["", "dead point", "does not close"]


@dataclass(frozen=True, eq=False)
class Settled:
    """Where Gauss-Newton came to rest: `closes` says whether all equations hold there."""

    places: Places
    closes: bool
    shift: Array
    """Sum of the small motions gone through, (6 bodies,)."""


def settled(system: System, places: Places, values: Array | None = None, rounds: int = _ROUNDS) -> Settled:
    """From near the places given to places where all rows hold; least motion first where some is free.

    Args:
        system: the equations.
        places: where to begin.
        values: what the rows are to hold, (m,); left out: as drawn.
        rounds: of Gauss and Newton's steps, at most.
    """
    total = np.zeros(6 * system.bodies)
    goal = CLOSED * system.size
    residual, matrix = system.worked_out(places, values)
    worst = float(np.abs(residual).max(initial=0.0))
    for _ in range(rounds):
        if worst <= goal:
            return Settled(places, True, total)
        step = least_motion(matrix, -residual)
        for _halving in range(6):
            trial = places.moved(step, system.size)
            residual, matrix = system.worked_out(trial, values)
            new = float(np.abs(residual).max(initial=0.0))
            if new < worst:
                break
            step = step / 2.0
        else:
            # Rounding is all that is left to gain.
            return Settled(places, worst <= 1e3 * goal, total)
        places, worst, total = trial, new, total + step
    return Settled(places, worst <= goal, total)


def least_motion(matrix: Array, wanted: Array) -> Array:
    """The smallest motion that gives the wanted changes, in the sense of least squares, (n,).

    Args:
        matrix: changes of the rows by the motions, (m, n).
        wanted: changes of the rows, (m,).
    """
    return np.asarray(np.linalg.lstsq(matrix, wanted, rcond=1e-10)[0])


@dataclass(frozen=True, eq=False)
class Position:
    """One position of a sweep: the driver's change from the drawing, mm, and the bodies' places."""

    driver: float
    places: Places


@dataclass(frozen=True, eq=False)
class Travel:
    """A sweep: positions in the order of the driver.  `ends` says where it came to a stop before it
    should have: (driver value reached, why)."""

    positions: tuple[Position, ...]
    ends: tuple[tuple[float, Ending], ...] = ()


def sweep(system: System, driver: int, changes: Sequence[float], held: Sequence[tuple[int, float]] = ()) -> Travel:
    """The positions at each change of the driving row's value; all other rows keep theirs.

    From the drawing it goes out both ways.  Where the mechanism cannot be taken further the last position reached
    is kept as an end; where it does not even get to what is held there are no positions.

    Args:
        system: the equations.
        driver: number of the driving row.
        changes: of its value, mm.
        held: rows to change first, by how much (mm), and then to keep.
    """
    found: list[Position] = []
    ends: list[tuple[float, Ending]] = []
    start, values = Position(0.0, system.drawn), system.values.copy()
    for row, change in held:
        there, complete = _advanced(system, values, row, start, change, _HALVINGS)
        if not complete:
            return Travel((), ((0.0, _reason(system, row, there.places)),))
        start = Position(0.0, there.places)
        values[row] += change
    for way in (1.0, -1.0):
        here = start
        for change in sorted((c for c in changes if (c >= 0.0) == (way > 0.0)), key=abs):
            there, complete = _advanced(system, values, driver, here, change, _HALVINGS)
            if not complete:
                ends.append((there.driver, _reason(system, driver, there.places)))
                if abs(there.driver) > 1e-9 * system.size:
                    found.append(there)
                break
            here = there
            found.append(here)
    return Travel(tuple(sorted(found, key=lambda position: position.driver)), tuple(ends))


def position_at(
    system: System, driver: int, near: Position, change: float, held: Sequence[tuple[int, float]] = ()
) -> Position | None:
    """One more position of a sweep; None where the mechanism does not get there.

    Args:
        system: the equations.
        driver: number of the driving row.
        near: a position of that sweep, to begin at.
        change: of the driving row's value from the drawing, mm.
        held: as for the sweep.
    """
    values = system.values.copy()
    for row, by in held:
        values[row] += by
    there, complete = _advanced(system, values, driver, near, change, _HALVINGS)
    return there if complete else None


def _advanced(
    system: System, base: Array, driver: int, here: Position, to: float, halvings: int
) -> tuple[Position, bool]:
    """As far from `here` toward the change `to` of the driver's base value as the mechanism goes, and whether
    that is all the way."""
    values = base.copy()
    values[driver] += to
    residual, matrix = system.worked_out(here.places, values)
    step = least_motion(matrix, -residual)
    length = float(np.linalg.norm(step))
    if length <= _LONGEST * system.size:
        there = settled(system, here.places.moved(step, system.size), values, rounds=12)
        if there.closes and float(np.linalg.norm(there.shift)) <= _BEND * length + 1e-7 * system.size:
            return Position(to, there.places), True
    if halvings == 0:
        return here, False
    middle, complete = _advanced(system, base, driver, here, (here.driver + to) / 2.0, halvings - 1)
    return _advanced(system, base, driver, middle, to, halvings - 1) if complete else (middle, False)


def _reason(system: System, driver: int, places: Places) -> Ending:
    """Whether the parts still move there and only the driver has come to its greatest or least value."""
    matrix = system.worked_out(places)[1]
    rest = np.delete(matrix, driver, axis=0)
    values, right = np.linalg.svd(rest)[1:]
    rank = int((values > 1e-6 * values[0]).sum()) if values.size else 0
    free = right[rank:]
    pull = float(np.linalg.norm(free @ matrix[driver])) if len(free) else 0.0
    return "dead point" if len(free) and pull < _FLAT * np.linalg.norm(matrix[driver]) else "does not close"
