"""Wheels, dampers and envelopes in the scene: as wires, so that they hide nothing of what is made."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.mechanics.envelopes import KeepOutShape
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import EdgedMesh, joined
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.movement_tables import Damper
from fabgen.motion.keep_out import between, standing
from fabgen.parts.shape.directions import array

AROUND = 48
"""Chords of a circle."""
_SLIM, _LEAST, _MOST = 0.12, 16.0, 60.0
"""A damper whose diameter is not given is drawn about as thick as they are: a share of its length, mm from and to."""
_BODY = 0.55
"""Share of a damper's length that its body takes; the rest is its rod, a third as thick."""
_NO_WIDTH = 1.0
"""A wheel whose width the job does not give is drawn so wide, mm."""


@dataclass(frozen=True, eq=False)
class Wire:
    """Something of the job that is not made from its parts list: its name, what it is, and its edges; no skin."""

    name: str
    kind: str
    body: EdgedMesh


def wires(job: Definitions) -> list[Wire]:
    """The wheels, dampers and envelopes of a job, as drawn.

    Args:
        job: the definitions.
    """
    found = [Wire(damper.name, "damper", joined(list(_damper(damper)))) for damper in job.damper]
    for wheel in job.wheel:
        shape, frame = standing(wheel.model_copy(update={"width": _NO_WIDTH}) if wheel.width is None else wheel)[0]
        found.append(Wire(wheel.name, "wheel", wire(shape).in_frame(frame)))
    for envelope in job.envelope:
        shape, frame = standing(envelope)[0]
        found.append(Wire(envelope.name, "envelope", wire(shape).in_frame(frame)))
    return found


def _damper(damper: Damper) -> Iterator[EdgedMesh]:
    one, other = (array(point) for point in damper.between)
    length = float(np.linalg.norm(other - one))
    thick = damper.diameter or min(max(_SLIM * length, _LEAST), _MOST)
    middle = one + _BODY * (other - one)
    for a, b, diameter in ((one, middle, thick), (middle, other, thick / 3.0)):
        if length:
            shape, frame = between(a, b, diameter)
            yield wire(shape).in_frame(frame)


def wire(shape: KeepOutShape) -> EdgedMesh:
    """The edges of a shape in its own coordinates, and a few lines along what is round.

    Args:
        shape: about its x axis, or a box.
    """
    if shape.kind == "box":
        x, y, z = shape.half
        corners = [np.array([i * x, j * y, k * z]) for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)]
        pairs = [(a, b) for a in range(8) for b in range(a) if (a ^ b).bit_count() == 1]
        return _edged([np.array([corners[a], corners[b]]) for a, b in pairs])
    half, inner, outer = shape.half
    lines = [_circle(x, outer + shape.round_) for x in (-half, half)]
    if inner > shape.round_:
        lines += [_circle(x, inner - shape.round_) for x in (-half, half)]
    lines += [_meridian(half, outer, shape.round_, quarter) for quarter in range(4)]
    return _edged(lines)


def _circle(x: float, radius: float) -> Array:
    angle = np.linspace(0.0, math.tau, AROUND + 1)
    return np.column_stack((np.full(AROUND + 1, x), radius * np.cos(angle), radius * np.sin(angle)))


def _meridian(half: float, outer: float, rounded: float, quarter: int) -> Array:
    """A line along the outside, over both rounded edges, in one of four planes through the axis."""
    angle = np.linspace(0.0, math.pi / 2.0, AROUND // 4 + 1) if rounded else np.array([math.pi / 2.0])
    x, r = half + rounded * np.cos(angle), outer + rounded * np.sin(angle)
    x, r = np.concatenate((x, -x[::-1])), np.concatenate((r, r[::-1]))
    turn = quarter * math.pi / 2.0
    return np.column_stack((x, r * math.cos(turn), r * math.sin(turn)))


def _edged(lines: Sequence[Array]) -> EdgedMesh:
    edges, begin = [], 0
    for line in lines:
        edges += [(begin + i, begin + i + 1) for i in range(len(line) - 1)]
        begin += len(line)
    return EdgedMesh(np.vstack(lines), np.zeros((0, 3), dtype=np.int64), np.array(edges, dtype=np.int64))
