"""Flats with the kerf allowed for, for those who cut themselves: outlines moved out and holes in by half of it.

A cutting service allows for its own kerf: these files are never the ones it gets.  They are named
so, and lie apart.  Arcs stay arcs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from fabgen.documents.dxf import flat_dxf, flat_name
from fabgen.documents.words import figure
from fabgen.geometry.offset import offset
from fabgen.geometry.outline import Circle, Loop, OutlineError, Xy
from fabgen.parts.piece import FlatPart, Hole, Mark, Piece

FOLDER = "own-cut"
_ARM = 3.0
"""Half length of the cross that marks a hole too small to cut, mm."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A part, or a hole of one, that this kerf cannot cut, and why."""

    mark: str
    what: str


def kerf_name(piece: Piece, kerf: float) -> str:
    """'own-cut/B1_S235_3mm_x2_kerf1.5mm.dxf'.  Raises TypeError without a flat."""
    return f"{FOLDER}/{flat_name(piece).removesuffix('.dxf')}_kerf{figure(kerf, 2)}mm.dxf"


def kerf_files(pieces: Iterable[Piece], kerf: float) -> tuple[dict[str, bytes], list[LeftOut]]:
    """A DXF of every flat, the cut moved off the part by half the kerf (mm), and what could not be made.

    A hole that the kerf would swallow is marked with a cross, to punch and drill.
    """
    files: dict[str, bytes] = {}
    left_out: list[LeftOut] = []
    for piece in pieces:
        if isinstance(piece.shape, FlatPart):
            try:
                part, holes = with_kerf(piece.shape, kerf)
            except OutlineError as error:
                left_out.append(LeftOut(piece.mark, f"no file: {error}"))
                continue
            if holes:
                many = f"{len(holes)} holes are" if len(holes) > 1 else "one hole is"
                what = f"{many} too small or too tightly rounded for a kerf of {figure(kerf, 2)} mm: marked with a "
                left_out.append(LeftOut(piece.mark, what + "cross, to drill"))
            files[kerf_name(piece, kerf)] = flat_dxf(replace(piece, shape=part))
    return files, left_out


def with_kerf(part: FlatPart, kerf: float) -> tuple[FlatPart, list[Hole]]:
    """The flat as the middle of the kerf runs round it, and the holes that it cannot run round.

    Raises OutlineError where the outline has an inside corner tighter than half the kerf.
    """
    outline = offset(part.outline, kerf / 2.0)
    holes: list[Hole] = []
    drilled: list[Hole] = []
    for hole in part.holes:
        try:
            holes.append(replace(hole, shape=_shrunk(hole.shape, kerf)))
        except OutlineError:
            drilled.append(hole)
    crosses = tuple(mark for hole in drilled for mark in _cross(_centre(hole.shape)))
    return replace(part, outline=outline, holes=tuple(holes), marks=part.marks + crosses), drilled


def _shrunk(shape: Loop, kerf: float) -> Loop:
    if isinstance(shape, Circle) and shape.diameter <= 2.0 * kerf:
        raise OutlineError("hardly wider than the kerf")
    return offset(shape, -kerf / 2.0)


def _centre(loop: Loop) -> Xy:
    x0, y0, x1, y1 = loop.bounds
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0


def _cross(at: Xy) -> Sequence[Mark]:
    x, y = at
    return Mark(line=((x - _ARM, y), (x + _ARM, y))), Mark(line=((x, y - _ARM), (x, y + _ARM)))
