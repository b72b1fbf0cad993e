"""Printed sizes, measured on the finished PDF by an independent renderer.

PDFium (through pypdfium2) draws the page and lists its vectors; neither has anything to do with
the library that wrote it.  One point is 1/72 in (ISO 32000-1:2008, 8.3.2.3).
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from coped_tubes import CASES
from numpy.typing import NDArray

from fabgen.documents.render import paper
from fabgen.documents.render.pdf import render
from fabgen.documents.render.true_size import MARGIN
from fabgen.documents.templates.templates import template_pages
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import LengthPart

POINT = 25.4 / 72.0
DPI = 300
Line = NDArray[np.float64]

HEADER = Header.model_validate({"title": "Curlew trailer", "number": "CUR-01", "units": "mm"})


def document(name: str, sheet: paper.Paper = paper.A4) -> pdfium.PdfDocument:
    return pdfium.PdfDocument(render(template_pages([CASES[name]], HEADER, sheet), "templates"))


def lines(page: pdfium.PdfPage) -> Iterator[tuple[float, Line]]:
    """Every stroked path of the page: its line width and its points, mm on the paper."""
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        m = thing.get_matrix()
        points = []
        for i in range(raw.FPDFPath_CountSegments(thing)):
            segment = raw.FPDFPath_GetPathSegment(thing, i)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            points.append((m.a * x.value + m.c * y.value + m.e, m.b * x.value + m.d * y.value + m.f))
        width = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(thing, width)
        yield width.value * POINT, np.array(points) * POINT


def ink(page: pdfium.PdfPage) -> NDArray[np.bool_]:
    """Dark pixels at 300 dpi, row 0 at the lower edge."""
    grey = np.asarray(page.render(scale=DPI / 72.0, grayscale=True).to_numpy()).squeeze()
    return grey[::-1] < 160


def end_marks(dark: NDArray[np.bool_], along: int, level: float) -> list[float]:
    """Where end marks cross a band 1.2 to 1.5 mm off a check line, mm; `along` is the line's axis."""
    band = [round((level + off) / 25.4 * DPI) for off in (1.2, 1.5)]
    strip = dark[band[0] : band[1], :] if along == 0 else dark[:, band[0] : band[1]]
    hit = np.flatnonzero(strip.all(axis=along))
    groups = np.split(hit, np.flatnonzero(np.diff(hit) > 1) + 1)
    return [float(group.mean() + 0.5) / DPI * 25.4 for group in groups]


@pytest.mark.parametrize("sheet", [paper.A4, paper.LETTER], ids=lambda sheet: sheet.name)
@pytest.mark.parametrize("name", ["common", "large", "rectangular onto round"])
def test_check_lines_measure_what_they_say(name: str, sheet: paper.Paper) -> None:
    for page in document(name, sheet):
        dark = ink(page)
        for along in (0, 1):
            # Distances of the two lines from the edge, and what they must measure.
            for level, length in ((MARGIN + 7.4, 100.0), (MARGIN + 1.8, 101.6)):
                first, second, *_text = end_marks(dark, along, level)
                assert second - first == pytest.approx(length, abs=0.1)


def test_a_page_is_as_large_as_its_paper() -> None:
    for sheet in (paper.A4, paper.LETTER):
        for page in document("common", sheet):
            size = sorted(side * POINT for side in page.get_size())
            assert size == pytest.approx(sorted((sheet.width, sheet.height)), abs=0.01)


def test_a_templates_width_on_the_raster() -> None:
    """From the left edge to the line on the overlap tab: pi (48.3 + 0.1) mm."""
    page = document("common")[0]
    thick = [points for width, points in lines(page) if width > 0.45 and len(points) == 4]
    left, top = max(thick, key=lambda points: points[:, 1].max())[1]
    dark = ink(page)
    rows = slice(round((top - 10.0) / 25.4 * DPI), round((top - 7.0) / 25.4 * DPI))
    uprights = np.flatnonzero(dark[rows].all(axis=0))
    groups = np.split(uprights, np.flatnonzero(np.diff(uprights) > 1) + 1)
    places = [float(g.mean() + 0.5) / DPI * 25.4 for g in groups]
    wanted = math.pi * (48.3 + 0.1)
    assert min(abs(p - left) for p in places) < 0.1
    assert min(abs(p - left - wanted) for p in places) < 0.1


@pytest.mark.parametrize("name", ["small", "common", "rectangular onto round", "top beside the toe"])
def test_the_printed_line_is_the_cut_line(name: str) -> None:
    """The thick curve of the PDF against the end's own (station, x), within 0.05 mm."""
    piece = CASES[name]
    assert isinstance(piece.shape, LengthPart)
    line, section = piece.shape.ends[0].line, piece.shape.section
    page = document(name)[0]
    curves = [pts for width, pts in lines(page) if width > 0.45 and len(pts) > 50]
    curve = max(curves, key=lambda pts: pts[0, 1])  # the start's template stands above the finish's
    u, v = curve[:, 0] - curve[0, 0], curve[:, 1]
    full = section.perimeter + math.pi * 0.1
    if section.is_round:
        station = u * section.perimeter / full
    else:
        # Faces keep their length; each of the four corner arcs is pi 0.1 / 4 mm longer on the paper.
        r = section.corner
        half, side, arc = section.depth / 2 - r, section.width - 2 * r, r * math.pi / 2
        runs = np.array([0.0, half, arc, side, arc, 2 * half, arc, side, arc, half])
        paper_runs = runs + np.isin(np.arange(10), (2, 4, 6, 8)) * math.pi * 0.1 / 4.0
        station = np.interp(u, np.cumsum(paper_runs), np.cumsum(runs))
    printed = v - v.min()
    true = np.interp(station[u <= full], np.append(line.station, section.perimeter), np.append(line.x, line.x[0]))
    assert np.abs(printed[u <= full] - (true - line.x.min())).max() < 0.05
