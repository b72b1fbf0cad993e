"""Rigid bodies held to one another: the equations of joints and rods, and how they change.

Every joint is made of three kinds of scalar equation, after E. J. Haug, Computer Aided
Kinematics and Dynamics of Mechanical Systems (1989), chapter 9 (spatial joints; chapter from memory):

* gap: a point of one body lies `value` from a point of another, along a direction;
* distance: two points lie `value` apart;
* dot: a direction of one body has the cosine `value` with a direction of another.

A body's place is an origin and a turn; its small motion is a shift and a turn about the
outer axes.  Turns count times the mechanism's size, so that all unknowns and all equations
are lengths and the rank of the matrix does not depend on the units.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array, any_across, unit

Ints = NDArray[np.int64]
FRAME = -1
"""The number of the body that never moves."""

_AXES = np.eye(3)
_NOWHERE = np.zeros(3)


@dataclass(frozen=True, eq=False)
class ConstraintRow:
    """One equation.  `owner` is the joint or rod it belongs to, `holds` what it stops in words.

    `one` and `other` are the bodies' numbers, `a` and `b` points of theirs as drawn (3,), or
    directions where the kind is dot; `n` is the direction of a gap, fixed to body `carrier`.
    """

    owner: str
    kind: Literal["gap", "distance", "dot"]
    one: int
    other: int
    a: Array
    b: Array
    value: float = 0.0
    n: Array = field(default_factory=lambda: _NOWHERE)
    carrier: int = FRAME
    holds: str = ""


def across(axis: Array) -> tuple[Array, Array]:
    """Two unit directions square to an axis and to one another, (3,) each.

    Args:
        axis: (3,), of any length.
    """
    axis = unit(axis)
    hint = any_across(axis)
    one = unit(np.cross(axis, hint))
    return one, np.cross(axis, one)


# -- joints ---------------------------------------------------------------------------
def ball(owner: str, one: int, other: int, at: Array) -> list[ConstraintRow]:
    """A ball joint: holds a point of both bodies together; they turn freely.

    Args:
        owner: the joint's name.
        one: number of a body.
        other: number of the other.
        at: the joint's centre as drawn, (3,), mm.
    """
    return [
        ConstraintRow(owner, "gap", one, other, at, at, 0.0, axis, FRAME, f"shift along {name}")
        for axis, name in zip(_AXES, "xyz", strict=True)
    ]


def stays_on_line(owner: str, one: int, other: int, at: Array, axis: Array) -> list[ConstraintRow]:
    """The other's point stays on the axis of the first.

    Args:
        owner: the joint's name.
        one: number of the body that the axis belongs to.
        other: number of the body that the point belongs to.
        at: the point as drawn, on the axis, (3,), mm.
        axis: (3,).
    """
    return [ConstraintRow(owner, "gap", one, other, at, at, 0.0, n, one, "shift across its axis") for n in across(axis)]


def stays_along(owner: str, one: int, other: int, at: Array, axis: Array) -> list[ConstraintRow]:
    """The other's point stays where it is along the axis of the first.

    Args:
        owner: the joint's name.
        one: number of the body that the axis belongs to.
        other: number of the body that the point belongs to.
        at: the point as drawn, (3,), mm.
        axis: (3,).
    """
    return [ConstraintRow(owner, "gap", one, other, at, at, 0.0, unit(axis), one, "shift along its axis")]


def stays_parallel(owner: str, one: int, other: int, axis: Array) -> list[ConstraintRow]:
    """The two bodies' axes stay parallel.

    Args:
        owner: the joint's name.
        one: number of a body.
        other: number of the other.
        axis: as drawn, (3,).
    """
    return [ConstraintRow(owner, "dot", one, other, n, unit(axis), holds="tilt of its axis") for n in across(axis)]


def stays_unturned(owner: str, one: int, other: int, axis: Array) -> list[ConstraintRow]:
    """The two bodies do not turn about the axis against one another.

    Args:
        owner: the joint's name.
        one: number of a body.
        other: number of the other.
        axis: as drawn, (3,).
    """
    e, f = across(axis)
    return [ConstraintRow(owner, "dot", one, other, e, f, holds="turn about its axis")]


def hinge(owner: str, one: int, other: int, at: Array, axis: Array) -> list[ConstraintRow]:
    """A hinge: the bodies turn about its axis only.

    Args:
        owner: the joint's name.
        one: number of a body.
        other: number of the other.
        at: a point of the axis as drawn, (3,), mm.
        axis: (3,).
    """
    return ball(owner, one, other, at) + stays_parallel(owner, one, other, axis)


def sleeve(owner: str, one: int, other: int, at: Array, axis: Array) -> list[ConstraintRow]:
    """A sleeve: the bodies turn about its axis and slide along it.

    Args:
        owner: the joint's name.
        one: number of a body.
        other: number of the other.
        at: a point of the axis as drawn, (3,), mm.
        axis: (3,).
    """
    return stays_on_line(owner, one, other, at, axis) + stays_parallel(owner, one, other, axis)


def slider(owner: str, one: int, other: int, at: Array, axis: Array) -> list[ConstraintRow]:
    """A slider: the bodies slide along its axis only.

    Args:
        owner: the joint's name.
        one: number of a body.
        other: number of the other.
        at: a point of the axis as drawn, (3,), mm.
        axis: (3,).
    """
    return sleeve(owner, one, other, at, axis) + stays_unturned(owner, one, other, axis)


def bush(owner: str, one: int, other: int, at: Array, axis: Array, stiff: Iterable[str]) -> list[ConstraintRow]:
    """A bush that holds some motions and gives in the rest.

    Args:
        owner: the joint's name.
        one: number of a body.
        other: number of the other.
        at: its centre as drawn, (3,), mm.
        axis: (3,).
        stiff: what it holds: 'radial', 'axial', 'tilt', 'turn'.
    """
    wanted = set(stiff)
    rows: list[ConstraintRow] = []
    if "radial" in wanted:
        rows += stays_on_line(owner, one, other, at, axis)
    if "axial" in wanted:
        rows += stays_along(owner, one, other, at, axis)
    if "tilt" in wanted:
        rows += stays_parallel(owner, one, other, axis)
    if "turn" in wanted:
        rows += stays_unturned(owner, one, other, axis)
    return rows


def fixed(owner: str, one: int, other: int, at: Array) -> list[ConstraintRow]:
    """Holds the two bodies as one.

    Args:
        owner: the joint's name.
        one: number of a body.
        other: number of the other.
        at: where they are joined, as drawn, (3,), mm.
    """
    return ball(owner, one, other, at) + [row for axis in _AXES for row in stays_unturned(owner, one, other, axis)]


def rod(owner: str, one: int, other: int, a: Array, b: Array) -> ConstraintRow:
    """A rod with a ball at both ends: the points keep their distance.

    Args:
        owner: the rod's name.
        one: number of a body.
        other: number of the other.
        a: its end on the first, as drawn, (3,), mm.
        b: its end on the other, as drawn, (3,), mm.
    Raises:
        ValueError: the two points are the same.
    """
    length = float(np.linalg.norm(b - a))
    if length < 1e-9:
        raise ValueError("a rod needs two points apart")
    return ConstraintRow(owner, "distance", one, other, a, b, length, holds="length")


# -- all together -----------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class Places:
    """Where the bodies are: origins (n + 1, 3) and turns (n + 1, 3, 3); the last is the frame."""

    origins: Array
    turns: Array

    def moved(self, step: Array, size: float) -> Places:
        """The places after a small motion.

        Args:
            step: (6 n,), body by body a shift and a turn.
            size: the mechanism's size, mm: turns (rad) are counted times this.
        """
        parts = step.reshape(-1, 6)
        origins, turns = self.origins.copy(), self.turns.copy()
        origins[:-1] += parts[:, :3]
        turns[:-1] = rotations(parts[:, 3:] / size) @ turns[:-1]
        return Places(origins, turns)


def rotations(vectors: Array) -> Array:
    """Rotation matrices (n, 3, 3) of rotation vectors (n, 3): Rodrigues' formula."""
    angle = np.sqrt((vectors * vectors).sum(axis=1))[:, None, None]
    k = np.zeros((len(vectors), 3, 3))
    k[:, 0, 1], k[:, 0, 2], k[:, 1, 2] = -vectors[:, 2], vectors[:, 1], -vectors[:, 0]
    k -= k.transpose(0, 2, 1)
    small = angle < 1e-8
    safe = np.where(small, 1.0, angle)
    sine = np.where(small, 1.0, np.sin(safe) / safe)
    versine = np.where(small, 0.5, 2.0 * (np.sin(safe / 2.0) / safe) ** 2)
    return np.asarray(np.eye(3) + sine * k + versine * (k @ k))


class System:
    """Bodies and the rows that hold them, ready to be worked out for any places.

    The rows' points are taken as drawn, where every body is unturned.
    """

    def __init__(self, bodies: int, rows: Sequence[ConstraintRow]) -> None:
        self.bodies, self.rows = bodies, tuple(rows)
        points = [(row.one, row.a) for row in rows if row.kind != "dot"]
        points += [(row.other, row.b) for row in rows if row.kind != "dot"]
        every = np.array([at for _, at in points]).reshape(-1, 3)
        spread = every - every.mean(axis=0) if len(every) else every
        self.size = float(np.sqrt((spread**2).sum(axis=1).mean())) if len(every) else 1.0
        self.size = self.size or 1.0
        origins = np.zeros((bodies + 1, 3))
        for body in range(bodies):
            own = [at for number, at in points if number == body]
            if own:
                origins[body] = np.mean(own, axis=0)
        self.drawn = Places(origins, np.tile(np.eye(3), (bodies + 1, 1, 1)))
        self.values = np.array([row.value for row in rows])
        self._group()

    def _group(self) -> None:
        self._dots = np.array([i for i, row in enumerate(self.rows) if row.kind == "dot"], dtype=np.int64)
        self._reaches = np.array([i for i, row in enumerate(self.rows) if row.kind != "dot"], dtype=np.int64)
        reaches = [self.rows[i] for i in self._reaches]
        self._far = np.array([row.kind == "distance" for row in reaches], dtype=bool)
        self._one, self._other = self._numbers(reaches, "one"), self._numbers(reaches, "other")
        self._carrier = self._numbers(reaches, "carrier")
        self._a = self._stack(reaches, "a") - self.drawn.origins[self._one]
        self._b = self._stack(reaches, "b") - self.drawn.origins[self._other]
        self._n = self._stack(reaches, "n")
        dots = [self.rows[i] for i in self._dots]
        self._dot_one, self._dot_other = self._numbers(dots, "one"), self._numbers(dots, "other")
        self._u, self._v = self._stack(dots, "a"), self._stack(dots, "b")

    def _numbers(self, rows: Sequence[ConstraintRow], name: str) -> Ints:
        # The frame, -1, is the last place.
        return np.array([getattr(row, name) for row in rows], dtype=np.int64) % (self.bodies + 1)

    @staticmethod
    def _stack(rows: Sequence[ConstraintRow], name: str) -> Array:
        return np.array([getattr(row, name) for row in rows], dtype=float).reshape(-1, 3)

    @cached_property
    def owners(self) -> tuple[str, ...]:
        """The joints and rods in the order of their first rows."""
        return tuple(dict.fromkeys(row.owner for row in self.rows))

    def point(self, body: int, drawn: Array, places: Places) -> Array:
        """Where a body's point is now, (3,) mm.

        Args:
            body: its number.
            drawn: the point as drawn, (3,), mm.
            places: where the bodies are.
        """
        return np.asarray(places.origins[body] + places.turns[body] @ (drawn - self.drawn.origins[body]))

    def worked_out(self, places: Places, values: Array | None = None) -> tuple[Array, Array]:
        """Residuals of the equations and their derivatives by the bodies' small motions.

        Args:
            places: where the bodies are.
            values: what the rows are to hold, (m,); left out: as drawn.
        Returns: (m,) mm and (m, 6 bodies).
        """
        wanted = self.values if values is None else values
        residual = np.empty(len(self.rows))
        jacobian = np.zeros((len(self.rows), self.bodies + 1, 6))
        self._reach(places, wanted, residual, jacobian)
        if len(self._dots):
            self._dot(places, wanted, residual, jacobian)
        jacobian[:, :, 3:] /= self.size
        return residual, jacobian[:, :-1].reshape(len(self.rows), 6 * self.bodies)

    def _reach(self, places: Places, wanted: Array, residual: Array, jacobian: Array) -> None:
        rows, turns = self._reaches, places.turns
        a = (turns[self._one] @ self._a[:, :, None])[:, :, 0]
        b = (turns[self._other] @ self._b[:, :, None])[:, :, 0]
        between = b + places.origins[self._other] - a - places.origins[self._one]
        n = (turns[self._carrier] @ self._n[:, :, None])[:, :, 0]
        far = self._far
        if far.any():
            length = np.sqrt((between[far] ** 2).sum(axis=1))[:, None]
            n[far] = between[far] / np.maximum(length, 1e-12)
        residual[rows] = (n * between).sum(axis=1) - wanted[rows]
        jacobian[rows, self._other, :3] += n
        jacobian[rows, self._other, 3:] += _cross(b, n)
        jacobian[rows, self._one, :3] -= n
        jacobian[rows, self._one, 3:] -= _cross(a, n)
        # The direction of a gap turns with its body; that of a distance follows the points.
        jacobian[rows, self._carrier, 3:] += np.where(far[:, None], 0.0, _cross(n, between))

    def _dot(self, places: Places, wanted: Array, residual: Array, jacobian: Array) -> None:
        rows, turns = self._dots, places.turns
        u = (turns[self._dot_one] @ self._u[:, :, None])[:, :, 0]
        v = (turns[self._dot_other] @ self._v[:, :, None])[:, :, 0]
        residual[rows] = self.size * ((u * v).sum(axis=1) - wanted[rows])
        across_both = self.size * _cross(u, v)
        jacobian[rows, self._dot_one, 3:] += across_both
        jacobian[rows, self._dot_other, 3:] -= across_both


def _cross(a: Array, b: Array) -> Array:
    """Cross products (n, 3), without the cost of numpy's general one."""
    out = np.empty_like(a)
    out[:, 0] = a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1]
    out[:, 1] = a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2]
    out[:, 2] = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return out
