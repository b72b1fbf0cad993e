"""Which way the bolts of rod ends run, as far as the job tells: by a [[bolt]] through it, by its [[pin]], or by a hole
at it that no bolt is named through."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Piece
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.hole_ways import hole_ways
from fabgen.parts.shape.bored.pin_ways import OFF, pin_way

AWAY = 100.0
"""A hole whose axis runs past a pin's middle by less than `OFF` is so near to it, mm."""


@dataclass(frozen=True, eq=False)
class Pins:
    """The ways of pins.

    Args:
        job: its definitions.
        pieces: all, complete.
        bolts: where its bolts stand.
    """

    job: Definitions
    pieces: Sequence[Piece]
    bolts: Sequence[BoltLine] = ()

    def way(self, at: Array) -> Array | None:
        """The unit direction of the bolt through a point; None where nothing tells it.

        Args:
            at: middle of a rod end's ball, (3,).
        """
        if (way := pin_way(at, self.bolts, self.job.pin)) is not None:
            return way
        if not len(self._holes[0]):
            return None
        centres, axes = self._holes
        away = at - centres
        along = (away * axes).sum(axis=1)
        off = np.linalg.norm(away - along[:, None] * axes, axis=1)
        fits = np.flatnonzero((off < OFF) & (np.abs(along) < AWAY))
        return axes[fits[np.argmin(np.abs(along[fits]))]] if len(fits) else None

    @cached_property
    def _holes(self) -> tuple[Array, Array]:
        """Middles and unit axes of all holes that have a place, (n, 3) each."""
        ways = [way for piece in self.pieces if piece.is_placed for way in hole_ways(piece)]
        centres = np.array([way.centre for way in ways]).reshape(-1, 3)
        return centres, np.array([way.axis for way in ways]).reshape(-1, 3)
