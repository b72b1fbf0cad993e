"""Pictures to SVG: the same description as the PDF pages, for the page and for README pictures.

One user unit is a millimetre.  Texts carry their printed width, so that the layout holds
with any face the viewer has; the face named first is the one the PDFs embed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial
from html import escape

from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import PENS, Arc, Fill, Item, Picture, Stroke, Text
from fabgen.geometry.plane.outline import Xy

FACE = "'DejaVu Sans Condensed','Liberation Sans Narrow','Arial Narrow',sans-serif"


def to_svg(picture: Picture, width: float, height: float, title: str = "", places: int = 3) -> str:
    """The picture as one SVG element, its origin at the lower left corner.  It needs no other file, and the same
    picture gives the same text.

    Args:
        width, height: of the element, mm.
        title: what a screen reader says; left out, it passes the picture over.
        places: decimals of coordinates.
    """
    label = f' role="img" aria-label="{escape(title)}"' if title else ' aria-hidden="true"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {coordinate(width)} {coordinate(height)}" '
        f'width="{coordinate(width)}mm" height="{coordinate(height)}mm"{label}>'
    ]
    # One group a run of one pen keeps the file small without a style sheet that could leak into a page.
    open_pen = ""
    for item in picture.items:
        pen = item.pen if isinstance(item, Stroke | Arc) else ""
        if pen != open_pen:
            if open_pen:
                parts.append("</g>")
            if pen:
                parts.append(_group(pen))
            open_pen = pen
        parts.append(_item(item, height, places))
    if open_pen:
        parts.append("</g>")
    parts.append("</svg>")
    return "\n".join(parts) + "\n"


def _group(pen: str) -> str:
    style = PENS[pen]
    dash = f' stroke-dasharray="{" ".join(coordinate(d) for d in style.dash)}"' if style.dash else ""
    return (
        f'<g class="pen-{pen}" fill="none" stroke="{_grey(style.grey)}" stroke-width="{coordinate(style.width)}"{dash} '
        'stroke-linecap="round" stroke-linejoin="round">'
    )


def _item(item: Item, height: float, places: int) -> str:
    if isinstance(item, Text):
        return _text(item, height, places)
    if isinstance(item, Arc):
        return _arc(item, height, places)
    points = chain(item.points, height, places)
    if isinstance(item, Fill):
        return f'<path d="M{points}Z" fill="{_grey(item.grey)}"/>'
    return f'<path d="M{points}{"Z" if item.closed else ""}"/>'


def _arc(arc: Arc, height: float, places: int) -> str:
    at = partial(coordinate, places=places)
    if math.isclose(arc.end - arc.start, 360.0):
        return f'<circle cx="{at(arc.x)}" cy="{at(height - arc.y)}" r="{at(arc.radius)}"/>'
    ends = [
        (arc.x + arc.radius * math.cos(math.radians(a)), height - arc.y - arc.radius * math.sin(math.radians(a)))
        for a in (arc.start, arc.end)
    ]
    (x0, y0), (x1, y1) = ends
    large = 1 if arc.end - arc.start > 180.0 else 0
    r = at(arc.radius)
    # y points down in SVG: counter-clockwise on paper is sweep flag 0.
    return f'<path d="M{at(x0)} {at(y0)}A{r} {r} 0 {large} 0 {at(x1)} {at(y1)}"/>'


def _text(text: Text, height: float, places: int) -> str:
    at = partial(coordinate, places=places)
    x, y = at(text.x), at(height - text.y)
    turn = f' transform="rotate({at(-text.turn)} {x} {y})"' if text.turn else ""
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    bold = ' font-weight="bold"' if text.bold else ""
    width = at(text_width(text.text, text.size, text.bold))
    return (
        f'<text x="{x}" y="{y}" font-family="{FACE}" font-size="{at(text.size)}"{bold}{anchor}{turn} '
        f'textLength="{width}" lengthAdjust="spacingAndGlyphs">{escape(text.text)}</text>'
    )


def chain(points: Sequence[Xy], height: float, places: int = 3) -> str:
    """Points, y upward, as the way along them in a picture `height` mm high, whose y points down."""
    return "L".join(f"{coordinate(x, places)} {coordinate(height - y, places)}" for x, y in points)


def coordinate(value: float, places: int = 3) -> str:
    """A coordinate in mm to so many decimals, without needless zeros; never '-0'."""
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _grey(grey: float) -> str:
    level = round(255 * grey)
    return f"#{level:02x}{level:02x}{level:02x}"
