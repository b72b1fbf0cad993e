"""Pictures to PDF pages, true to size: one millimetre of picture is one millimetre of paper."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import as_file, files

from reportlab import rl_config
from reportlab.lib.fonts import addMapping
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from fabgen.documents.render.picture import PENS, Arc, Fill, PenStyle, Picture, Stroke, Text
from fabgen.geometry.plane.outline import Xy

rl_config.useA85 = 0  # binary streams: half the time and a fifth less to send

REGULAR, BOLD = "Sheet", "Sheet-Bold"


@dataclass(frozen=True)
class Page:
    """One page, `width` x `height` mm, its origin at the lower left corner; `marks` are the parts that it is for, where
    it is not for the whole job."""

    width: float
    height: float
    picture: Picture
    marks: tuple[str, ...] = ()


@cache
def use_fonts() -> None:
    """Register the two faces that travel with fabgen (embedded, so every printer agrees)."""
    for name, stem in ((REGULAR, "DejaVuSansCondensed"), (BOLD, "DejaVuSansCondensed-Bold")):
        with as_file(files("fabgen.documents.render") / "fonts" / f"{stem}.ttf") as path:
            pdfmetrics.registerFont(TTFont(name, str(path)))
    for bold in (0, 1):
        for italic in (0, 1):
            # No italic face travels with fabgen: the upright one stands in.
            addMapping(REGULAR, bold, italic, BOLD if bold else REGULAR)
            addMapping(BOLD, bold, italic, BOLD)


@lru_cache(maxsize=16384)
def text_width(text: str, size: float, bold: bool = False) -> float:
    """Printed width of one line of text, mm, at letter height `size` mm."""
    use_fonts()
    return float(pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size))


def fitted(text: str, width: float, size: float, bold: bool = False, least: float = 1.8) -> tuple[str, float]:
    """One line of text made to fit.

    Args:
        width: room for it, mm.
        size: wanted height of its letters, mm.
        least: least height of its letters, mm: where they would be smaller the text is cut with '…'.
    Returns: the text and the height of its letters, mm.
    """
    natural = text_width(text, size, bold)
    if natural <= width:
        return text, size
    smaller = size * width / natural
    if smaller >= least:
        return text, smaller
    while text and text_width(text + "…", least, bold) > width:
        text = text[:-1]
    return text + "…", least


def wrapped(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """The text in lines of at most `width` mm at letter height `size` mm; a word longer than that is broken."""
    lines: list[str] = []
    for word in text.split():
        trial = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(trial, size, bold) <= width:
            lines[-1] = trial
            continue
        while text_width(word, size, bold) > width and len(word) > 1:
            cut = max(1, int(len(word) * width / text_width(word, size, bold)) - 1)
            lines.append(word[:cut])
            word = word[cut:]
        lines.append(word)
    return lines


def render(pages: Sequence[Page], title: str, author: str = "") -> bytes:
    """The pages as one PDF file.  No clock and no random identifiers: like input, like bytes.

    Args:
        title, author: of the document, as its properties say them.
    """
    use_fonts()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject("")
    canvas.setCreator("fabgen")
    # Printing dialogues honour this: no fitting to the page, so true size stays true.
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        canvas.setPageSize((page.width * mm, page.height * mm))
        draw(canvas, page.picture)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def draw(canvas: Canvas, picture: Picture, x: float = 0.0, y: float = 0.0) -> None:
    """Draw a picture on a page.

    Args:
        picture: in mm; a millimetre of it is a millimetre of paper.
        x, y: where its origin comes, mm from the page's lower left corner.
    """
    canvas.saveState()
    canvas.translate(x * mm, y * mm)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    pen = ""
    for item in picture.items:
        if isinstance(item, Text):
            _draw_text(canvas, item)
        elif isinstance(item, Fill):
            _draw_fill(canvas, item)
        else:
            # Most strokes share their pen with the one before: setting it once halves the file.
            if item.pen != pen:
                pen = item.pen
                _take_pen(canvas, PENS[pen])
            _draw_line(canvas, item)
    canvas.restoreState()


def _take_pen(canvas: Canvas, style: PenStyle) -> None:
    canvas.setLineWidth(style.width * mm)
    canvas.setStrokeGray(style.grey)
    canvas.setDash([d * mm for d in style.dash] if style.dash else [])


def _draw_fill(canvas: Canvas, item: Fill) -> None:
    canvas.setFillGray(item.grey)
    canvas.addLiteral(f"{_chain(item.points)} h f")


def _chain(points: Sequence[Xy]) -> str:
    """A path through the points in the page's own language (ISO 32000-1:2008, 8.5.2), to a thousandth of a point.

    Written out here because the library's own numbers take a tenth of the time of a whole job.
    """
    first, *others = points
    begin = f"{first[0] * mm:.3f} {first[1] * mm:.3f} m"
    return " ".join([begin, *[f"{x * mm:.3f} {y * mm:.3f} l" for x, y in others]])


def _draw_line(canvas: Canvas, item: Stroke | Arc) -> None:
    if isinstance(item, Stroke):
        canvas.addLiteral(f"{_chain(item.points)} {'s' if item.closed else 'S'}")
        return
    path = canvas.beginPath()
    if math.isclose(item.end - item.start, 360.0):
        path.circle(item.x * mm, item.y * mm, item.radius * mm)
    else:
        r = item.radius
        path.arc(
            (item.x - r) * mm,
            (item.y - r) * mm,
            (item.x + r) * mm,
            (item.y + r) * mm,
            item.start,
            item.end - item.start,
        )
    canvas.drawPath(path, stroke=1, fill=0)


def _draw_text(canvas: Canvas, item: Text) -> None:
    canvas.setFillGray(0.0)
    canvas.setFont(BOLD if item.bold else REGULAR, item.size * mm)
    shift = {"start": 0.0, "middle": -0.5, "end": -1.0}[item.anchor]
    if shift:
        shift *= text_width(item.text, item.size, item.bold) * mm
    if item.turn:
        canvas.saveState()
        canvas.translate(item.x * mm, item.y * mm)
        canvas.rotate(item.turn)
        canvas.drawString(shift, 0.0, item.text)
        canvas.restoreState()
    else:
        canvas.drawString(item.x * mm + shift, item.y * mm, item.text)
