"""Two things held against one another: what metal they share, and how far they are apart."""

from __future__ import annotations

from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.shared_metal import Shared, shared_metal

LAP = 0.5
"""Things that lie into one another by less lie against one another, mm: points are seldom better measured."""


def into_one_another(one: Solid, other: Solid) -> list[Shared]:
    """What two share where they lie deeper in one another than `LAP`, the deepest first; nothing where they do not.

    The one with the simpler skin is taken `LAP` smaller all round: only where that still meets the other is the metal
    of both cut out and measured.

    Args:
        one, other: where they stand.
    """
    small, large = sorted((one, other), key=lambda solid: len(solid.shape.skin.mesh.triangles))
    core = small.core(LAP)
    if not (core.meets(large.skin) or core.is_around(large.skin) or large.skin.is_around(core)):
        return []
    return [piece for piece in shared_metal(one.metal, other.metal) if piece.deep > LAP]


def gap(one: Solid, other: Solid) -> tuple[float, Array]:
    """How far two are apart, mm, 0 where they touch, and where, (3,).

    Args:
        one, other: where they stand.
    """
    if one.skin.meets(other.skin):  # perhaps only where a hole is
        return one.cut_skin.gap(other.cut_skin)
    return one.skin.gap(other.skin)
