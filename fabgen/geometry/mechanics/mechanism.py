"""How a mechanism can move where it stands: freedoms by rank, what moves how, what holds twice.

The freedoms are those that the rank of the constraint matrix leaves (not a count of bodies
and joints, which special shapes prove wrong: K. H. Hunt, Kinematic Geometry of Mechanisms,
1978, on linkages with passing mobility and overconstrained loops).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fabgen.geometry.mechanics.constraints import ConstraintRow, Places, System
from fabgen.geometry.mechanics.sweeping import settled
from fabgen.geometry.space.frame import Array

RANK = 1e-6
"""Singular values below this share of the greatest count as nothing."""
NEARLY = 5e-3
"""Below this share a hold or a motion is nearly lost: a small error in making decides."""
_STEP = 1e-2
_TAKES_PART = 1e-6


@dataclass(frozen=True, eq=False)
class Screw:
    """Motion of one body: it turns about the axis through `at` along `along`, and slides `pitch`
    mm along it a radian.  A body that only slides has `turns` False."""

    body: int
    along: Array
    at: Array
    pitch: float
    turns: bool
    share: float
    """How much the body moves against the body that moves most, 0 to 1."""


@dataclass(frozen=True)
class Overheld:
    """Joints and rods that hold the same motion more than once, and how many equations too many."""

    owners: tuple[str, ...]
    count: int


@dataclass(frozen=True, eq=False)
class Mobility:
    """`freedoms`: independent small motions here; `lasting`: how many go on past a small step
    (the others are a shake: the parts give a little, then bind).  `plain_count` is six for each body less
    one for each equation.  `motions` (6 bodies, freedoms) are the motions; `weakest` the share
    of the least singular value that still counts; `nearly` the freedoms there would be if what is
    nearly nothing were nothing: joints a hair out of line."""

    freedoms: int
    lasting: int
    plain_count: int
    motions: Array
    overheld: tuple[Overheld, ...]
    weakest: float
    nearly: int


@dataclass(frozen=True, eq=False)
class Mechanism:
    """Named moving bodies and the rows that hold them; body `FRAME` stands still."""

    bodies: tuple[str, ...]
    rows: tuple[ConstraintRow, ...]

    @cached_property
    def system(self) -> System:
        """The equations, ready to be evaluated."""
        return System(len(self.bodies), self.rows)

    def with_rows(self, more: Sequence[ConstraintRow]) -> Mechanism:
        """The same mechanism with further equations.

        Args:
            more: rows between its bodies.
        """
        return replace(self, rows=(*self.rows, *more))

    def without(self, owner: str) -> Mechanism:
        """The same mechanism with a joint or rod taken out.

        Args:
            owner: its name.
        """
        return replace(self, rows=tuple(row for row in self.rows if row.owner != owner))

    def mobility(self, places: Places | None = None) -> Mobility:
        """Freedoms, and what is held more than once.

        Args:
            places: where the bodies are; left out: as drawn.
        """
        system = self.system
        here = system.drawn if places is None else places
        matrix = system.worked_out(here)[1]
        motions, left, weakest = null_spaces(matrix)
        return Mobility(
            freedoms=motions.shape[1],
            lasting=_lasting(system, here, motions),
            plain_count=6 * len(self.bodies) - len(self.rows),
            motions=motions,
            overheld=_overheld(self.rows, left),
            weakest=weakest,
            nearly=_nearly_free(matrix),
        )

    def screws(self, motion: Array, places: Places | None = None) -> list[Screw]:
        """How each body moves in a small motion; bodies that stand still are left out.

        Args:
            motion: (6 bodies,).
            places: where the bodies are; left out: as drawn.
        """
        here = self.system.drawn if places is None else places
        parts = motion.reshape(-1, 6)
        moved = np.linalg.norm(parts, axis=1)
        most = float(moved.max(initial=0.0))
        found = []
        for body, part in enumerate(parts):
            if most and moved[body] > 1e-6 * most:
                turn = part[3:] / self.system.size
                found.append(_screw(body, here.origins[body], part[:3], turn, self.system.size, moved[body] / most))
        return found


def null_spaces(matrix: Array) -> tuple[Array, Array, float]:
    """Motions and equations that a matrix takes to nothing.

    Args:
        matrix: (m, n).
    Returns: motions (n, k), equations (m, l), and the least singular value that counts, as a share of the
        greatest.
    """
    if not matrix.size:
        return np.eye(matrix.shape[1]), np.zeros((matrix.shape[0], 0)), 1.0
    left, values, right = np.linalg.svd(matrix)
    counted = values[values > RANK * values[0]] if values[0] > 0.0 else values[:0]
    rank = len(counted)
    weakest = float(counted[-1] / values[0]) if rank else 1.0
    return right[rank:].T, left[:, rank:], weakest


def _nearly_free(matrix: Array) -> int:
    values = np.linalg.svd(matrix, compute_uv=False) if matrix.size else np.zeros(0)
    return int(matrix.shape[1] - (values > NEARLY * values.max(initial=0.0)).sum())


def plainest(motions: Array) -> list[Array]:
    """A basis of the motions in which as few bodies move as may be: single bodies first, then the rest.

    Args:
        motions: (6 bodies, k).
    """
    bodies, found = len(motions) // 6, np.zeros((len(motions), 0))
    for body in range(bodies):
        others = np.ones(len(motions), dtype=bool)
        others[6 * body : 6 * body + 6] = False
        alone = motions @ null_spaces(motions[others])[0] if bodies > 1 else motions
        found = _extended(found, alone)
    found = _extended(found, motions)
    return [found[:, i] for i in range(found.shape[1])]


def _extended(basis: Array, more: Array) -> Array:
    for column in more.T:
        rest = column - basis @ (basis.T @ column)
        if np.linalg.norm(rest) > 1e-6:
            basis = np.column_stack((basis, rest / np.linalg.norm(rest)))
    return basis


def _lasting(system: System, places: Places, motions: Array) -> int:
    """Freedoms a small step away along a mixture of all motions, brought back onto the equations."""
    count: int = motions.shape[1]
    if not count:
        return 0
    least = count
    for weights in (np.cos(1.0 + 2.0 * np.arange(count)), np.cos(2.0 + 3.0 * np.arange(count))):
        step = motions @ (weights / np.linalg.norm(weights)) * _STEP * system.size
        there = settled(system, places.moved(step, system.size))
        gone = np.linalg.norm((there.places.origins - places.origins) / system.size) + np.linalg.norm(
            there.places.turns - places.turns
        )
        if not there.closes or gone < 0.1 * _STEP:
            return 0
        left_there = null_spaces(system.worked_out(there.places)[1])[0]
        least = min(least, len(left_there.T))
    return least


def _overheld(rows: Sequence[ConstraintRow], left: Array) -> tuple[Overheld, ...]:
    """Groups of owners whose equations hang together in the left null space, with its size in each."""
    if not left.shape[1]:
        return ()
    share = left @ left.T
    owners = list(dict.fromkeys(row.owner for row in rows))
    number = {owner: i for i, owner in enumerate(owners)}
    of = np.array([number[row.owner] for row in rows])
    group = list(range(len(owners)))
    for i, j in zip(*np.nonzero(np.abs(share) > _TAKES_PART), strict=True):
        one, other = group[of[i]], group[of[j]]
        if one != other:
            group = [one if g == other else g for g in group]
    found = []
    for key in dict.fromkeys(group):
        inside = np.array([group[o] == key for o in of])
        count = round(float(np.trace(share[np.ix_(inside, inside)])))
        if count:
            taking = [o for o in owners if group[number[o]] == key]
            found.append(Overheld(tuple(taking), count))
    return tuple(found)


def _screw(body: int, origin: Array, shift: Array, turn: Array, size: float, share: float) -> Screw:
    rate = float(np.linalg.norm(turn))
    if rate * size <= 1e-6 * float(np.linalg.norm(shift)):
        return Screw(body, shift / np.linalg.norm(shift), origin, 0.0, False, share)
    along = turn / rate
    at = origin + np.cross(turn, shift) / rate**2
    return Screw(body, along, at, float(along @ shift) / rate, True, share)
