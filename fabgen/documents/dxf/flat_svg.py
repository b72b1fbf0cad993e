"""A flat pattern as SVG, true to size in millimetres: for cutters and plotters that read no DXF.

SVG 1.1 (W3C): one user unit is a millimetre, y points down.  Groups are named as the layers of
the DXF file; arcs are arcs.  Nothing is filled, and no text is set: marks are single strokes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.documents.dxf.flat_dxf import bend_lines, flat_name, mark_strokes
from fabgen.documents.wrap.wrap_marks import Stroke, moved
from fabgen.geometry.plane.outline import Circle, Edge, Loop
from fabgen.parts.piece import FlatPart, Piece

_STYLES = {
    # Widths as in the DXF layers; bends long-dashed double-dotted, ISO 128-2 05.1.
    "CUT": 'stroke="#000" stroke-width="0.5"',
    "HOLE": 'stroke="#000" stroke-width="0.5"',
    "BEND": 'stroke="#00f" stroke-width="0.25" stroke-dasharray="6 0.75 0.125 0.75 0.125 0.75"',
    "MARK": 'stroke="#080" stroke-width="0.25"',
}


def svg_name(piece: Piece) -> str:
    """The DXF file's name with the ending .svg.  Raises TypeError without a flat."""
    return flat_name(piece).removesuffix(".dxf") + ".svg"


def flat_svg(piece: Piece) -> bytes:
    """The flat pattern, its lower left corner at the page's.  Raises TypeError without a flat.

    The same piece gives the same bytes.
    """
    part = piece.shape
    if not isinstance(part, FlatPart):
        raise TypeError(f"{piece.mark} has no flat pattern")
    x0, y0, x1, y1 = part.outline.bounds
    width, height = x1 - x0, y1 - y0
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="0 0 {_n(width)} {_n(height)}">',
    ]
    for layer, paths in _layers(part, -x0, -y0, height):
        if paths:
            lines.append(f'<g id="{layer}" fill="none" {_STYLES[layer]}>')
            lines += [f'<path d="{path}"/>' for path in paths]
            lines.append("</g>")
    lines.append("</svg>\n")
    return "\n".join(lines).encode()


def _layers(part: FlatPart, dx: float, dy: float, height: float) -> Iterator[tuple[str, list[str]]]:
    yield "CUT", [_closed(part.outline.moved(dx, dy), height)]
    yield "HOLE", [_closed(hole.shape.moved(dx, dy), height) for hole in part.holes]
    yield "BEND", [_open(line, height) for line in moved(bend_lines(part), dx, dy)]
    curves = [mark.curve.moved(dx, dy) for mark in part.marks if mark.curve is not None]
    strokes = [stroke for mark in part.marks if mark.curve is None for stroke in moved(mark_strokes(mark), dx, dy)]
    yield "MARK", [*(_closed(curve, height) for curve in curves), *(_open(stroke, height) for stroke in strokes)]


def _closed(loop: Loop, height: float) -> str:
    """A closed path of lines and arcs; a circle is two half turns."""
    if isinstance(loop, Circle):
        r, y = loop.diameter / 2.0, _n(height - loop.y)
        left, right = _n(loop.x - r), _n(loop.x + r)
        return f"M{left} {y}A{_n(r)} {_n(r)} 0 0 0 {right} {y}A{_n(r)} {_n(r)} 0 0 0 {left} {y}Z"
    first = loop.vertices[0]
    return f"M{_n(first.x)} {_n(height - first.y)}" + "".join(_step(edge, height) for edge in loop.edges()) + "Z"


def _step(edge: Edge, height: float) -> str:
    x, y = _n(edge.end[0]), _n(height - edge.end[1])
    if not edge.is_arc:
        return f"L{x} {y}"
    # y points down: counter-clockwise on the sheet is sweep flag 0.
    large, sweep = int(abs(edge.bulge) > 1.0), int(edge.bulge < 0.0)
    return f"A{_n(edge.radius)} {_n(edge.radius)} 0 {large} {sweep} {x} {y}"


def _open(line: Stroke, height: float) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(height - y)}" for x, y in _points(line))


def _points(line: Stroke) -> Sequence[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in line]


def _n(value: float) -> str:
    """A coordinate to a tenth of a micrometre, without needless zeros; never '-0'."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
