"""Flat lines as SVG, true to size in millimetres: for cutters, plotters and engravers that read no DXF.

SVG 1.1 (W3C): one user unit is a millimetre, y points down, and the picture's size is given in millimetres, so a
program that reads it draws it as large as it is.  Groups are named as the layers of the DXF files; arcs are arcs.
Nothing is filled and no text is set: marks are single strokes.  What is cut is a wide line, what is only marked a
thin one, bend lines are long-dashed double-dotted (ISO 128-2 05.1): no meaning hangs on a colour.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from fabgen.documents.dxf.flat_dxf import flat_name, flat_sheet
from fabgen.documents.render.svg import chain, coordinate
from fabgen.documents.wrap.wrap_sheet import FlatSheet, Shape
from fabgen.geometry.plane.outline import Circle, Edge, Outline
from fabgen.parts.piece import Piece


@dataclass(frozen=True)
class SvgLook:
    """How the lines look: attributes of what is cut and of the layers BEND and MARK, `more` ones of the file, decimals
    of a coordinate (mm), and whether all open lines of a layer are one path."""

    styles: tuple[str, str, str]
    more: str
    places: int
    one_path: bool


FLATS = SvgLook(
    (
        'stroke="#000" stroke-width="0.5"',
        'stroke="#00f" stroke-width="0.25" stroke-dasharray="6 0.75 0.125 0.75 0.125 0.75"',
        'stroke="#080" stroke-width="0.25"',
    ),
    ' version="1.1"',
    4,
    False,
)
"""Of flat parts: widths as in the layers of the DXF files."""

WRAPS = SvgLook(
    (
        'stroke="#000000" stroke-width="0.3" stroke-linejoin="round"',
        'stroke="#000000" stroke-width="0.1" stroke-dasharray="6 .75 .1 .75 .1 .75" stroke-linejoin="round"',
        'stroke="#000000" stroke-width="0.1" stroke-linejoin="round"',
    ),
    "",
    3,
    True,
)
"""Of developed tube ends and patches, for vinyl and film."""


def svg_name(piece: Piece) -> str:
    """The DXF file's name with the ending .svg.  Raises TypeError without a flat."""
    return flat_name(piece).removesuffix(".dxf") + ".svg"


def flat_svg(piece: Piece) -> bytes:
    """The flat pattern, its lower left corner at the page's.  Raises TypeError without a flat."""
    return sheet_svg(flat_sheet(piece), FLATS)


def sheet_svg(sheet: FlatSheet, look: SvgLook = WRAPS) -> bytes:
    """The sheet's lines as an SVG file; its name, if any, is the file's title.  The same sheet gives the same bytes."""
    width, height = (coordinate(size, look.places) for size in (sheet.width, sheet.height))
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg"{look.more} width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">',
    ]
    lines += [f"<title>{escape(sheet.name)}</title>"] if sheet.name else []
    # Curves that are etched come before strokes: they are drawn in one sweep.
    marks = sorted(sheet.marks, key=lambda mark: not isinstance(mark, Outline | Circle))
    layers = (("CUT", [sheet.cut]), ("HOLE", sheet.holes), ("BEND", sheet.folds), ("MARK", marks))
    for style, (layer, shapes) in zip((look.styles[0], *look.styles), layers, strict=True):
        closed = layer in ("CUT", "HOLE")
        paths = [_path(shape, sheet.height, look.places, closed) for shape in shapes]
        if paths and look.one_path and not closed:
            paths = ["".join(paths)]
        if paths:
            lines += [f'<g id="{layer}" fill="none" {style}>', *(f'<path d="{path}"/>' for path in paths), "</g>"]
    return "\n".join([*lines, "</svg>\n"]).encode()


def _path(shape: Shape, height: float, places: int, closed: bool) -> str:
    """An outline, a circle as two half turns, or a line from point to point."""

    def n(value: float) -> str:
        return coordinate(value, places)

    def step(edge: Edge) -> str:
        x, y = n(edge.end[0]), n(height - edge.end[1])
        if not edge.is_arc:
            return f"L{x} {y}"
        # y points down: counter-clockwise on the sheet is sweep flag 0.
        large, sweep = int(abs(edge.bulge) > 1.0), int(edge.bulge < 0.0)
        return f"A{n(edge.radius)} {n(edge.radius)} 0 {large} {sweep} {x} {y}"

    if isinstance(shape, Circle):
        r, y = shape.diameter / 2.0, n(height - shape.y)
        left, right = n(shape.x - r), n(shape.x + r)
        return f"M{left} {y}A{n(r)} {n(r)} 0 0 0 {right} {y}A{n(r)} {n(r)} 0 0 0 {left} {y}Z"
    if isinstance(shape, Outline):
        first = shape.vertices[0]
        return f"M{n(first.x)} {n(height - first.y)}{''.join(map(step, shape.edges()))}Z"
    return f"M{chain(shape, height, places)}{'Z' if closed else ''}"
