"""What is printed where: text boxes of a PDF by an independent reader (PDFium), overlaps, and texts off the sheet.

Boxes are (left, bottom, right, top) in millimetres from the page's lower left corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw

from fabgen.documents.render.picture import Arc, Picture, Stroke, Text
from fabgen.documents.render.sketch import arc_points, grown, text_box

MM = 25.4 / 72.0
TOUCH = 0.15
"""Boxes that share less than this are neighbours, mm: letters have side bearings."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class PrintedText:
    """One printed string on page `page` (from 1) and the box round its ink."""

    page: int
    text: str
    box: Box


def text_boxes(pdf: bytes) -> list[PrintedText]:
    """Every string of the document; a string set in several pieces gives one box a piece."""
    document = pdfium.PdfDocument(pdf)
    found: list[PrintedText] = []
    for number in range(len(document)):
        page = document[number]
        words = page.get_textpage()
        found += [PrintedText(number + 1, text, box) for text, box in _strings(page, words)]
        words.close()
        page.close()
    document.close()
    return found


def _strings(page: pdfium.PdfPage, words: pdfium.PdfTextPage) -> Iterator[tuple[str, Box]]:
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
        size = raw.FPDFTextObj_GetText(item.raw, words.raw, None, 0)
        buffer = (raw.FPDF_WCHAR * (size // 2 + 1))()
        raw.FPDFTextObj_GetText(item.raw, words.raw, buffer, size)
        text = bytes(buffer)[:size].decode("utf-16-le").rstrip("\x00")
        if text.strip():
            left, bottom, right, top = item.get_bounds()
            yield text, (left * MM, bottom * MM, right * MM, top * MM)


def overlaps(pdf: bytes) -> list[tuple[PrintedText, PrintedText]]:
    """Pairs of texts whose ink boxes lie on one another."""
    found: list[tuple[PrintedText, PrintedText]] = []
    by_page: dict[int, list[PrintedText]] = {}
    for text in text_boxes(pdf):
        by_page.setdefault(text.page, []).append(text)
    for texts in by_page.values():
        texts.sort(key=lambda t: t.box[0])
        for i, one in enumerate(texts):
            for other in texts[i + 1 :]:
                if other.box[0] > one.box[2] - TOUCH:
                    break
                if min(one.box[3], other.box[3]) - max(one.box[1], other.box[1]) > TOUCH:
                    found.append((one, other))
    return found


def outside(pdf: bytes, margin: float) -> list[PrintedText]:
    """Texts that come nearer to an edge of their page than `margin` mm."""
    document = pdfium.PdfDocument(pdf)
    sizes = [document.get_page_size(i) for i in range(len(document))]
    document.close()
    return [
        text
        for text in text_boxes(pdf)
        if text.box[0] < margin
        or text.box[1] < margin
        or text.box[2] > sizes[text.page - 1][0] * MM - margin
        or text.box[3] > sizes[text.page - 1][1] * MM - margin
    ]


def struck(picture: Picture) -> list[str]:
    """Texts of a picture that a line runs through (etched marks apart: these are the part's own)."""
    lines: list[tuple[float, float, float, float]] = []
    for item in picture.items:
        if isinstance(item, Stroke | Arc) and item.pen != "mark":
            points = arc_points(item) if isinstance(item, Arc) else item.points
            closed = isinstance(item, Stroke) and item.closed
            for (x0, y0), (x1, y1) in pairwise([*points, points[0]] if closed else points):
                lines.append((x0, y0, x1, y1))
    at = np.array(lines, dtype=float).reshape(-1, 4)
    found = []
    for item in picture.items:
        if isinstance(item, Text) and at.size:
            # Turn the lines back about the text's foot, so that askew texts are judged by their own box.
            c, s = math.cos(math.radians(item.turn)), math.sin(math.radians(item.turn))
            back = np.array([[c, -s], [s, c]])
            turned = np.hstack([(at[:, i : i + 2] - (item.x, item.y)) @ back for i in (0, 2)])
            level = replace(item, x=0.0, y=0.0, turn=0.0)
            if _cut(turned, *grown(text_box(level), -0.18 * item.size)):
                found.append(item.text)
    return found


def _cut(lines: np.ndarray, left: float, bottom: float, right: float, top: float) -> bool:
    """True when one of the lines (n, 4) passes through the box: Liang and Barsky's clipping."""
    x0, y0, dx, dy = lines[:, 0], lines[:, 1], lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1]
    enter, leave = np.zeros(len(lines)), np.ones(len(lines))
    for p, q in ((-dx, x0 - left), (dx, right - x0), (-dy, y0 - bottom), (dy, top - y0)):
        with np.errstate(divide="ignore", invalid="ignore"):
            r = q / p
        enter = np.where(p < 0, np.maximum(enter, r), enter)
        leave = np.where(p > 0, np.minimum(leave, r), leave)
        leave = np.where((p == 0) & (q < 0), -1.0, leave)
    return bool((enter < leave - 1e-9).any())
