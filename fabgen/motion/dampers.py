"""How much room a spring or damper takes between its eyes, as far as the job says."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.tables.movement_tables import Damper, Envelope
from fabgen.parts.shape.directions import array

ROD = 10.0
"""A damper whose diameter is not given is at least so thick everywhere, mm (common practice, no source)."""
CLEAR_OF_EYE = 25.0
"""Its body begins so far from the middle of an eye whose size is not given, mm; else an eye's diameter, where what
holds the eye has ended (common practice, no source)."""


def thickness(damper: Damper) -> float:
    """Of its body, mm."""
    return damper.diameter or ROD


def body_begins(damper: Damper) -> float:
    """How far from the middle of an eye, mm."""
    return CLEAR_OF_EYE if damper.eye_diameter is None else damper.eye_diameter


def body_span(damper: Damper, length: float) -> tuple[float, float]:
    """Where its body begins and ends, mm from the middle of its first eye: of one that is shorter than its eyes the
    middle half, so that what stands in it is found.

    Args:
        damper: its table.
        length: from eye to eye, mm.
    """
    begins = length / 4.0 if is_all_eyes(damper, length) else body_begins(damper)
    return begins, length - begins


def is_all_eyes(damper: Damper, length: float) -> bool:
    """Whether its two eyes leave no room for a body.

    Args:
        damper: its table.
        length: from eye to eye, mm.
    """
    return length <= 2.0 * body_begins(damper)


def halves(damper: Damper, a: Array, b: Array) -> Iterator[tuple[Array, Array]]:
    """From where to where its two halves reach in every position, (s, 3) each: as long as its body is where the damper
    is shortest, one from each end, so that they slide in one another.

    Args:
        damper: its table.
        a, b: its ends in s positions, (s, 3).
    """
    length = np.linalg.norm(b - a, axis=1)
    begins, along = body_begins(damper), (b - a) / length[:, None]
    reach = float(length.min()) - begins
    if reach > begins:
        yield a + begins * along, a + reach * along
        yield b - reach * along, b - begins * along


def stands_for(envelope: Envelope, damper: Damper) -> bool:
    """Whether an envelope is the room of the damper itself: a rod along it."""
    if envelope.shape != "capsule" or envelope.between is None or envelope.diameter is None:
        return False
    a, b = (array(point) for point in damper.between)
    along = (b - a) / max(float(np.linalg.norm(b - a)), 1e-9)
    away = np.array([array(point) for point in envelope.between]) - a
    off = np.linalg.norm(away - np.outer(away @ along, along), axis=1)
    return bool((off < envelope.diameter / 2.0).all())
