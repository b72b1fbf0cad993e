"""Flats with the kerf allowed for, for those who cut themselves.

A cutting service allows for its own kerf: these files are never the ones it gets.  They are named
so, and lie apart.  What this kerf cannot cut, the check `kerf` tells.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from fabgen.documents.dxf.flat_dxf import flat_dxf, flat_name
from fabgen.documents.render.words import figure
from fabgen.geometry.plane.outline import OutlineError
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.sheet.kerf import with_kerf

FOLDER = "own-cut"


def kerf_name(piece: Piece, kerf: float) -> str:
    """'own-cut/B1_S235_3mm_x2_kerf1.5mm.dxf'.  Raises TypeError without a flat."""
    return f"{FOLDER}/{flat_name(piece).removesuffix('.dxf')}_kerf{figure(kerf, 2)}mm.dxf"


def kerf_files(pieces: Iterable[Piece], kerf: float) -> dict[str, bytes]:
    """A DXF of every flat that this kerf (mm) can cut, the cut moved off the part by half of it.

    A hole that the kerf would swallow is marked with a cross, to punch and drill.
    """
    files: dict[str, bytes] = {}
    for piece in pieces:
        if isinstance(piece.shape, FlatPart):
            try:
                part = with_kerf(piece.shape, kerf).part
            except OutlineError:
                continue
            files[kerf_name(piece, kerf)] = flat_dxf(replace(piece, shape=part))
    return files
