"""The folder wrap/: each developed tube end and each hole's patch, as DXF and as SVG."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.documents.dxf.flat_dxf import hole_name, sheet_dxf, wrap_name
from fabgen.documents.dxf.svg_file import sheet_svg
from fabgen.documents.wrap.wrap_sheet import FlatSheet, hole_sheet, wrap_sheet
from fabgen.parts.piece import Piece, length_parts


def wrap_files(pieces: Sequence[Piece]) -> dict[str, bytes]:
    """'wrap/T1-start.dxf', 'wrap/T1-start.svg', … in the order of the pieces, then 'wrap/T1-hole-T2.dxf', …"""
    files: dict[str, bytes] = {}
    for name, sheet in _sheets(pieces):
        files[f"wrap/{name}"] = sheet_dxf(sheet)
        files[f"wrap/{name.removesuffix('.dxf')}.svg"] = sheet_svg(sheet)
    return files


def _sheets(pieces: Sequence[Piece]) -> Iterator[tuple[str, FlatSheet]]:
    for piece, part in length_parts(pieces):
        for end in part.ends:
            if end.cut != "plain":
                yield wrap_name(piece, end), wrap_sheet(piece, end)
    for _, part in length_parts(pieces):
        for hole in part.holes:
            yield hole_name(hole), hole_sheet(hole)
