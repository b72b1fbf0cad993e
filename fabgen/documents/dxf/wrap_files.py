"""The folder wrap/: each developed tube end and each hole's patch, as DXF and as SVG."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.documents.dxf.flat_dxf import hole_name, sheet_dxf, wrap_name
from fabgen.documents.dxf.svg_file import sheet_svg
from fabgen.documents.wrap.wrap_sheet import FlatSheet, hole_sheet, wrap_sheet
from fabgen.parts.marking import Marking
from fabgen.parts.piece import LengthPart, Piece


def wrap_files(pieces: Sequence[Piece], marking: Marking) -> dict[str, bytes]:
    """'wrap/T1-start.dxf', 'wrap/T1-start.svg', … in the order of the pieces, then 'wrap/T1-hole-T2.dxf', …"""
    files: dict[str, bytes] = {}
    for name, sheet in _sheets(pieces, marking):
        files[f"wrap/{name}"] = sheet_dxf(sheet)
        files[f"wrap/{name.removesuffix('.dxf')}.svg"] = sheet_svg(sheet)
    return files


def _sheets(pieces: Sequence[Piece], marking: Marking) -> Iterator[tuple[str, FlatSheet]]:
    for piece in pieces:
        if isinstance(piece.shape, LengthPart):
            for end in piece.shape.ends:
                if end.cut != "plain":
                    yield wrap_name(piece, end), wrap_sheet(piece, end)
    for piece in pieces:
        for hole in marking.holes.get(piece.mark, ()):
            yield hole_name(hole), hole_sheet(hole)
