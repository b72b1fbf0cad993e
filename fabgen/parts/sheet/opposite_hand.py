"""The opposite hand of a sheet part while it is made: it is laid flat as its keys say, and then mirrored."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.sheet.folds import mirrored_tree
from fabgen.geometry.space.frame import Array, Frame
from fabgen.job.tables.place_tables import OfTwoHands
from fabgen.parts.piece import Datum
from fabgen.parts.shape.hands.mirrored_flat import (
    FlatMirror,
    mirrored_bend,
    mirrored_facet,
    mirrored_hole,
    mirrored_loop,
    mirrored_rolled,
)
from fabgen.parts.sheet.development import Development


def mirrored(flat: Development) -> Development:
    """A part laid flat, as its mirror image.

    Args:
        flat: of the part.
    """
    to = FlatMirror(flat.band is not None)

    def lines(those: Iterable[tuple[Xy, ...]]) -> tuple[tuple[Xy, ...], ...]:
        return tuple(tuple(to.point(at) for at in reversed(line)) for line in those)

    return replace(
        flat,
        outline=to.loop(flat.outline),
        holes=tuple(mirrored_hole(hole, to) for hole in flat.holes),
        bends=tuple(mirrored_bend(bend, to) for bend in flat.bends),
        lines=lines(flat.lines),
        runs=lines(flat.runs),
        tubes=tuple(tube.carried(to) for tube in flat.tubes),
        strips=tuple(([to.point(at) for at in reversed(line)], half) for line, half in flat.strips),
        tree=None if flat.tree is None else mirrored_tree(flat.tree, mirrored_loop),
        rolled=None if flat.rolled is None else mirrored_rolled(flat.rolled, to),
        surface=tuple(mirrored_facet(facet) for facet in flat.surface),
    )


def datums_of_hand(given: OfTwoHands, flat: Development, datums: Mapping[str, Datum]) -> Mapping[str, Datum]:
    """How (u, v) of the faces lie in what is made: in an opposite hand mirrored, u and v running as on the part itself.

    Args:
        given: the part's table.
        flat: the part laid flat as its keys say.
        datums: how they lie in what its keys say.
    """
    if not given.opposite_of:
        return datums
    signs, shift = body_mirror(flat)
    return {
        name: replace(
            each, origin=each.origin * signs + shift, u=each.u * signs, v=each.v * signs, front=each.front * signs
        )
        for name, each in datums.items()
    }


def body_mirror(flat: Development) -> tuple[Array, Array]:
    """What mirrors the made part, as signs of its coordinates, then a shift (3,) mm.

    Args:
        flat: the part laid flat, not mirrored.
    """
    if flat.band is not None:
        return np.array([1.0, 1.0, -1.0]), np.zeros(3)
    if flat.rolled is not None or flat.surface:
        return np.array([1.0, -1.0, 1.0]), np.zeros(3)
    # A flat one lies with its lower left corner at the origin.
    x0, _, x1, _ = flat.outline.bounds
    wide = 0.0 if flat.tree is not None else x1 - x0
    return np.array([-1.0, 1.0, 1.0]), np.array([wide, 0.0, 0.0])


def mirrored_frame(frame: Frame, flat: Development) -> Frame:
    """The frame of an opposite hand that stands as the part itself does in a world mirrored from side to side.

    Args:
        frame: of the part, in the mirrored world.
        flat: the part laid flat, not mirrored.
    """
    signs, shift = body_mirror(flat)
    side = np.array([1.0, -1.0, 1.0])
    axes = frame.axes * side * signs[:, None]
    return Frame(frame.outside(shift) * side, *axes)
