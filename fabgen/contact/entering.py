"""How one of two things that share metal lies in the other: right through it, wholly inside it, or so far in.

Of a straight tube the hollow counts as its metal does, so that what lies in its bore has not got out of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from fabgen.contact.contacts import Into
from fabgen.contact.pair import LAP
from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import Mesh
from fabgen.geometry.space.shared_metal import mesh_of
from fabgen.geometry.space.skin import PlacedSkin, Skin
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, ProfilePart

if TYPE_CHECKING:
    from manifold3d import Manifold

How = Literal["through", "inside", "hollow", "metal"]


@dataclass(frozen=True, eq=False)
class Entry:
    """What lies in what, and how.

    Args:
        inner, outer: the one that enters the other, and that.
        how: right through it, wholly inside it, into the hollow of a tube, or into its metal alone.
        deep: how far it would have to go back to be out of it, mm; of a straight length that runs through, how far it
            runs in it; None of what else runs through, and of what is inside.
    """

    inner: Solid
    outer: Solid
    how: How
    deep: float | None


def is_in_hollow(solid: Solid, tube: Solid) -> bool:
    """Whether one that touches nothing lies in the hollow of a straight tube."""
    if not tube.is_hollow:
        return False
    return PlacedSkin(Skin((mesh_of(tube.filled),))).is_around(solid.skin)


def entry(case: Into) -> Entry:
    """Which of two runs into the other, and how.

    A length goes into sheet where it comes out behind it or ends in it, else the sheet goes into the length.

    Args:
        case: what they share.
    """
    inner, outer = _in_order(case)
    sheets = isinstance(inner.part, FlatPart) and isinstance(outer.part, FlatPart)
    if _is_through(inner, outer):
        return Entry(inner, outer, "through", _run(inner, outer))
    if sheets and _is_through(outer, inner):
        return Entry(outer, inner, "through", None)
    if isinstance(outer.part, FlatPart) and inner.is_hollow and not _ends_in(inner, outer):
        into_it = _into_hollow(outer, inner)
        return into_it if into_it.how != "metal" else Entry(inner, outer, "metal", into_it.deep)
    return _into_hollow(inner, outer) if outer.is_hollow else Entry(inner, outer, "metal", case.deepest.deep)


def _into_hollow(inner: Solid, outer: Solid) -> Entry:
    """How one lies in a straight tube that it does not come out behind."""
    body = outer.filled
    if (inner.metal - body).volume() < LAP**3:
        return Entry(inner, outer, "inside", None)
    shell = mesh_of(body)
    deep = _way_out(mesh_of(inner.metal ^ body), shell)
    middle = isinstance(inner.part, FlatPart) and deep > _way_out(_axis(outer, shell), shell) - LAP
    if middle and _is_cut(inner, body):
        return Entry(inner, outer, "through", None)
    return Entry(inner, outer, "hollow" if deep > outer.shape.thickness + LAP else "metal", deep)


def _in_order(case: Into) -> tuple[Solid, Solid]:
    """A length before sheet, a link, bolt or damper before anything; else the later before the earlier."""
    one, other = case.one, case.other
    return (one, other) if _rank(one) < _rank(other) else (other, one)


def _rank(solid: Solid) -> int:
    part = solid.part
    if part is None or isinstance(part, LinkPart):
        return 0
    return 2 if isinstance(part, FlatPart) else 1


def _is_through(inner: Solid, outer: Solid) -> bool:
    """Whether one comes out behind the other; what is thin may leave a tube on both sides of a flat of its skin, and is
    asked for its depth besides."""
    if isinstance(inner.part, FlatPart) and outer.is_hollow:
        return False
    return _is_cut(inner, outer.filled, _bore(outer))


def _bore(solid: Solid) -> float:
    """How large what lies in the hollow of a bent tube may be, mm, since that is not filled; of anything else 0."""
    part = solid.part
    if not isinstance(part, LengthPart) or isinstance(part, LinkPart) or part.path is None:
        return 0.0
    return 2.0 * max(part.section.width, part.section.depth)


def _is_cut(inner: Solid, body: Manifold, least: float = 0.0) -> bool:
    """Whether what is left of one outside a body falls in more pieces than it has, of those larger than `least` mm."""
    left, whole = _pieces(inner.metal - body), _pieces(inner.metal)
    large = [sum(np.ptp(each.vertices, axis=0).max() > least for each in some) for some in (left, whole)]
    return bool(large[0] > large[1])


def _run(inner: Solid, outer: Solid) -> float | None:
    """How far a straight one runs in the other, mm; None of sheet, and where either is bent."""
    body = outer.filled
    if isinstance(inner.part, FlatPart) or _bore(inner) or _bore(outer):
        return None
    if (along := _along(inner)) is None:
        first, second = (np.mean(mesh.vertices, axis=0) for mesh in _pieces(inner.metal - body)[:2])
        along = (second - first) / np.linalg.norm(second - first)
    return float(np.ptp(mesh_of(inner.metal ^ body).vertices @ along))


def _axis(tube: Solid, shell: Mesh) -> Mesh:
    """The middle of a straight tube's filled body as a body without size."""
    along = _along(tube)
    assert along is not None
    at = shell.vertices - np.outer(shell.vertices @ along, along)
    middle = (at.min(axis=0) + at.max(axis=0)) / 2.0 + float(np.mean(shell.vertices @ along)) * along
    return Mesh(np.array([middle]), np.zeros((0, 3), dtype=np.int64))


def _pieces(metal: Manifold) -> list[Mesh]:
    """Its pieces that are worth one, the largest first."""
    pieces = [piece for piece in metal.decompose() if piece.volume() > LAP**3]
    return [mesh_of(piece) for piece in sorted(pieces, key=lambda piece: -float(piece.volume()))]


def _along(solid: Solid) -> Array | None:
    """The way of a straight length, (3,); None of anything else."""
    part = solid.part
    if isinstance(part, ProfilePart):
        return part.frame.x
    if not isinstance(part, LengthPart) or part.path is not None or part.frame is None:
        return None
    return solid.frame.axes.T @ part.frame.x if solid.number else part.frame.x


def _ends_in(length: Solid, sheet: Solid) -> bool:
    """Whether an end of a straight length is in what it shares with a sheet."""
    along = _along(length)
    assert along is not None
    shared = mesh_of(length.metal ^ sheet.metal).vertices @ along
    whole = length.frame.outside(length.shape.skin.mesh.vertices) @ along
    return bool(shared.min() < whole.min() + LAP or shared.max() > whole.max() - LAP)


def _way_out(shared: Mesh, body: Mesh) -> float:
    """The shortest way on which what lies in a convex body leaves it, square to a face of either, mm."""
    normals = np.unique(np.round(np.vstack((body.normals, shared.normals, -shared.normals)), 6), axis=0)
    reach = (body.vertices @ normals.T).max(axis=0)
    return float((reach - (shared.vertices @ normals.T).min(axis=0)).min())
