"""Buckling of straight struts, also of ones that change their section along the way.

Euler: the lowest load at which a bent shape can stand, found for a strut of several lengths of
unlike stiffness by beam elements (cubic between their ends) as the least eigenvalue of bending
stiffness against the load's own (J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968,
chapter 15; from memory, edition not at hand).  For one length it is C pi^2 E I / l^2, with C = 1
for both ends free to turn, 4 for both held, 1/4 for one held and the other free, 2.0457 for one
held and the other free to turn.

Johnson's parabola where a strut is too stocky for Euler: P = Py (1 - Py / (4 Pe)), which takes
over at Pe = Py / 2 (Shigley, Mechanical Engineering Design, 'Intermediate-length columns with
central loading'; from memory, edition not at hand).  Secant: the load at which an eccentric one
first yields, P / A = Sy / (1 + (e c / k^2) sec((l / 2 k) sqrt(P / (A E)))) (same book, 'Columns
with eccentric loading').
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array

_ELEMENTS = 16
"""To each length of one section; its error is below 2 in 10 000 then, for both ends held."""
_STIFFEST = 1e4
"""Times the softest length: what is stiffer hardly bends.  It is taken to be as stiff as this, and a short one as less,
which errs on the safe side: of very unlike elements the equations cannot be solved in the digits there are."""
_SHORT, _LEAST = 0.02, 1e-5
"""Of the whole: a shorter length is one element; a still shorter one is left out."""


@dataclass(frozen=True, slots=True)
class StrutLength:
    """A length of one section: mm, and its bending stiffness E I in N mm2."""

    length: float
    stiffness: float


def euler_load(stretches: Sequence[StrutLength], fixed: tuple[bool, bool] = (False, False)) -> float:
    """The load that buckles a strut whose ends stay in line, N.

    Args:
        stretches: its lengths of one section each, in order.
        fixed: whether the start and the finish are held; else they are free to turn.
    Source: J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968, chapter 15 (from memory).
    """
    total = sum(stretch.length for stretch in stretches)
    counted = [stretch for stretch in stretches if stretch.length > _LEAST * total]
    softest = min(stretch.stiffness for stretch in counted)
    sizes: list[tuple[float, float]] = []
    for stretch in counted:
        short = min(1.0, stretch.length / (_SHORT * total))
        stiffness = min(stretch.stiffness, softest * max(1.0, _STIFFEST * short**2))
        elements = _ELEMENTS if short == 1.0 else 1
        sizes += [(stretch.length / elements, stiffness)] * elements
    count = 2 * len(sizes) + 2
    bending, load = np.zeros((count, count)), np.zeros((count, count))
    # Scaled by the whole length and the greatest stiffness, so that numbers are near one.
    total, most = sum(length for length, _ in sizes), max(stiffness for _, stiffness in sizes)
    for i, (length, stiffness) in enumerate(sizes):
        place = slice(2 * i, 2 * i + 4)
        bending[place, place] += stiffness / most * _bending(length / total)
        load[place, place] += _load(length / total)
    held = {0, count - 2} | ({1} if fixed[0] else set()) | ({count - 1} if fixed[1] else set())
    free = [i for i in range(count) if i not in held]
    factor = np.linalg.inv(np.linalg.cholesky(bending[np.ix_(free, free)]))
    greatest = float(np.linalg.eigvalsh(factor @ load[np.ix_(free, free)] @ factor.T)[-1])
    return most / total**2 / greatest


def _bending(length: float) -> Array:
    a, b = 6.0 / length, 12.0 / length**2
    rows = [[b, a, -b, a], [a, 4.0, -a, 2.0], [-b, -a, b, -a], [a, 2.0, -a, 4.0]]
    return np.array(rows) / length


def _load(length: float) -> Array:
    rows = [
        [36.0, 3.0 * length, -36.0, 3.0 * length],
        [3.0 * length, 4.0 * length**2, -3.0 * length, -(length**2)],
        [-36.0, -3.0 * length, 36.0, -3.0 * length],
        [3.0 * length, -(length**2), -3.0 * length, 4.0 * length**2],
    ]
    return np.array(rows) / (30.0 * length)


def johnson_load(euler: float, squash: float) -> float:
    """The load that a straight strut takes by Johnson's parabola, N.

    Args:
        euler: its Euler load, N.
        squash: the load that squashes it (yield by area), N.
    Source: Shigley, Mechanical Engineering Design, 'Intermediate-length columns with central loading' (from
        memory).
    """
    if euler <= squash / 2.0:
        return euler
    return squash * (1.0 - squash / (4.0 * euler))


def secant_load(
    area: float, radius: float, far: float, length: float, modulus: float, strength: float, off: float
) -> float:
    """The load at which a strut of one section, pinned at both ends and loaded beside its axis, yields, N.

    Args:
        area: mm2.
        radius: of gyration, mm.
        far: distance of the outermost fibre, mm.
        length: between the pins, mm.
        modulus: of elasticity, MPa.
        strength: yield, MPa.
        off: how far beside the axis the load is, mm.
    Source: Shigley, Mechanical Engineering Design, 'Columns with eccentric loading' (from memory).
    """
    euler = math.pi**2 * modulus * area * (radius / length) ** 2
    low, high = 0.0, min(euler * (1.0 - 1e-12), strength * area)
    for _ in range(200):
        load = (low + high) / 2.0
        bowed = 1.0 / math.cos(length / (2.0 * radius) * math.sqrt(load / (area * modulus)))
        if load / area * (1.0 + off * far / radius**2 * bowed) > strength:
            high = load
        else:
            low = load
    return low
