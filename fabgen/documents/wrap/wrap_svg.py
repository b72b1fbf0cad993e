"""Flat SVG files of developed tube ends and hole patches, true to size, for vinyl cutters and engravers.

One user unit is a millimetre and the picture's size is given in millimetres, so a program that
reads it draws it as large as it is.  Groups are named as the layers of the DXF files: CUT, HOLE,
BEND, MARK; what is cut is a wide line, what is only marked a thin one, so no meaning hangs on a colour.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from fabgen.documents.wrap.wrap_sheet import FlatSheet, wrap_sheet
from fabgen.geometry.plane.outline import Xy
from fabgen.parts.piece import Piece, WorkedEnd

_WIDE, _THIN = 0.3, 0.1
"""Widths of cut and of marked lines, mm."""
_DOUBLE_DOTTED = "6 .75 .1 .75 .1 .75"
"""ISO 128-2 05.1, as in the DXF files."""


def wrap_svg(piece: Piece, end: WorkedEnd) -> bytes:
    """The developed tube end.  Raises TypeError when the piece is no length of section."""
    return sheet_svg(wrap_sheet(piece, end))


def sheet_svg(sheet: FlatSheet) -> bytes:
    """The sheet's lines as one SVG file.  The same sheet gives the same bytes."""
    w, h = _n(sheet.width), _n(sheet.height)
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">',
        f"<title>{escape(sheet.name)}</title>",
        *_group("CUT", _WIDE, [sheet.cut], sheet.height, closed=True),
        *_group("HOLE", _WIDE, sheet.holes, sheet.height, closed=True),
        *_group("BEND", _THIN, sheet.folds, sheet.height, dash=_DOUBLE_DOTTED),
        *_group("MARK", _THIN, sheet.marks, sheet.height),
        "</svg>",
    ]
    return ("\n".join(parts) + "\n").encode()


def _group(
    name: str, width: float, lines: Sequence[Sequence[Xy]], height: float, closed: bool = False, dash: str = ""
) -> Iterator[str]:
    """One path for all lines of a kind; closed ones a path each, as what is cut out is one thing."""
    if not lines:
        return
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    yield f'<g id="{name}" fill="none" stroke="#000000" stroke-width="{width}"{dashes} stroke-linejoin="round">'
    paths = [_path(line, height) for line in lines]
    if closed:
        yield from (f'<path d="{path}Z"/>' for path in paths)
    else:
        yield f'<path d="{"".join(paths)}"/>'
    yield "</g>"


def _path(points: Sequence[Xy], height: float) -> str:
    # y points down in SVG.
    return "M" + "L".join(f"{_n(x)} {_n(height - y)}" for x, y in points)


def _n(value: float) -> str:
    """To a thousandth of a millimetre, without needless zeros; never '-0'."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
