"""The folders of files for machines: wrap/ for plotters and engravers, own-cut/ for those who cut themselves,
sleeve/ for 3D printers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from fabgen.documents.dxf.flat_dxf import drill_name, flat_dxf, flat_name, fold_name, hole_name, sheet_dxf, wrap_name
from fabgen.documents.dxf.sleeves import has_sleeve, sleeve_name, sleeve_stl
from fabgen.documents.dxf.svg_file import sheet_svg
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import figure
from fabgen.documents.wrap.fold_sheet import fold_sheet
from fabgen.documents.wrap.fold_wrap import FoldPaper
from fabgen.documents.wrap.profile_wraps import end_wraps
from fabgen.documents.wrap.wrap_sheet import FlatSheet, hole_sheet, wrap_sheet
from fabgen.geometry.plane.outline import OutlineError
from fabgen.parts.piece import (
    FlatPart,
    Piece,
    drilled_to_make,
    holes_to_make,
    length_parts,
    like_holes,
    profile_parts,
    to_make,
)
from fabgen.parts.shape.kerf import with_kerf

OWN_CUT = "own-cut"


def wrap_files(pieces: Sequence[Piece]) -> dict[str, bytes]:
    """'wrap/T1-start.dxf', 'wrap/T1-start.svg', … in the order of the pieces, then 'wrap/T1-hole-T2.dxf', …"""
    files: dict[str, bytes] = {}
    for name, sheet in _sheets(pieces):
        files[f"wrap/{name}"] = sheet_dxf(sheet)
        files[f"wrap/{name.removesuffix('.dxf')}.svg"] = sheet_svg(sheet)
    return files


def _sheets(pieces: Sequence[Piece]) -> Iterator[tuple[str, FlatSheet]]:
    for piece, part in length_parts(to_make(pieces)):
        for end in part.ends:
            if end.needs_template:
                yield wrap_name(piece, end), wrap_sheet(piece, end)
    for piece, profile in profile_parts(to_make(pieces)):
        for cut in profile.ends:
            wraps = end_wraps(profile, cut, FoldPaper())
            for wrap in wraps:
                words = wrap.words if len(wraps) > 1 else ""
                yield fold_name(piece, cut, words), fold_sheet(f"{piece.mark} {cut.at} {words}".rstrip(), wrap)
    for _, hole in holes_to_make(pieces):
        yield hole_name(hole), hole_sheet(hole)
    for piece in pieces:
        for group in like_holes(drilled_to_make(piece)):
            yield drill_name(group[0]), hole_sheet(group[0], len(group))


def kerf_name(piece: Piece, kerf: float) -> str:
    """'own-cut/B1_S235_3mm_x2_kerf1.5mm.dxf'.  Raises TypeError without a flat."""
    return f"{OWN_CUT}/{flat_name(piece).removesuffix('.dxf')}_kerf{figure(kerf, 2)}mm.dxf"


def kerf_files(pieces: Iterable[Piece], kerf: float) -> dict[str, bytes]:
    """A DXF of every flat that this kerf (mm) can cut, the cut moved off the part by half of it.

    A hole that the kerf would swallow is marked with a cross, to punch and drill; what this kerf cannot cut, the
    check `kerf` says.  A cutting service allows for its own kerf: these files are never the ones it gets, so they are
    named apart.
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


def sleeve_files(pieces: Iterable[Piece]) -> dict[str, bytes]:
    """A marking sleeve of every end that has a line to mark, and how to use them; nothing where there is none."""
    ends = ((piece, end) for piece, part in length_parts(pieces) for end in part.ends)
    files = {sleeve_name(piece, end): sleeve_stl(piece, end) for piece, end in ends if has_sleeve(end)}
    return files | {"sleeve/how-to-use.txt": prose("sleeves", "use").encode()} if files else {}
