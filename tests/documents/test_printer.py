"""The printer test page as PDFium sees it, and the corrections it gives."""

from __future__ import annotations

import ctypes
from itertools import combinations

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest

from fabgen.documents.render import paper
from fabgen.documents.render.correction import Correction
from fabgen.documents.render.pdf import render
from fabgen.documents.render.picture import Stroke, Text
from fabgen.documents.render.sketch import text_box
from fabgen.documents.without_job.printer_test_page import (
    correction_words,
    line_lengths,
    measured_correction,
    printer_page,
)

POINT = 25.4 / 72.0


def strokes(sheet: paper.Paper) -> list[np.ndarray]:
    """The page's lines, end to end, mm, read back from the PDF."""
    page = pdfium.PdfDocument(render(printer_page(sheet), "test"))[0]
    found = []
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        m = thing.get_matrix()
        points = []
        for i in range(raw.FPDFPath_CountSegments(thing)):
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(thing, i), x, y)
            points.append((m.a * x.value + m.e, m.d * y.value + m.f))
        found.append(np.array(points) * POINT)
    return found


@pytest.mark.parametrize("sheet", paper.SIZES, ids=lambda sheet: sheet.name)
def test_the_lines_are_as_long_as_the_page_says(sheet: paper.Paper) -> None:
    across, down = line_lengths(sheet)
    drawn = [np.ptp(points, axis=0) for points in strokes(sheet)]
    assert max(size[0] for size in drawn) == pytest.approx(across, abs=0.01)
    assert max(size[1] for size in drawn) == pytest.approx(down, abs=0.01)
    words = " ".join(item.text for item in printer_page(sheet)[0].picture.items if isinstance(item, Text))
    assert f"across: {across:g} mm ({across / 25.4:.3f} in)" in words
    assert f"down: {down:g} mm ({down / 25.4:.3f} in)" in words
    assert f"fabgen printer --paper {sheet.name} --across" in words
    # Nearly the whole page, and still on it where the printer is 5 % off.
    assert across > 0.8 * sheet.width
    assert down > 0.8 * sheet.height
    assert across * 1.05 < sheet.width - 12.0
    assert down * 1.05 < sheet.height - 12.0


def test_lengths_on_the_usual_papers() -> None:
    assert line_lengths(paper.A4) == (180.0, 260.0)
    assert line_lengths(paper.A4.landscape) == (180.0, 260.0)
    assert line_lengths(paper.LETTER) == (180.0, 240.0)


@pytest.mark.parametrize("sheet", paper.SIZES, ids=lambda sheet: sheet.name)
def test_nothing_falls_on_anything_or_off_the_page(sheet: paper.Paper) -> None:
    (page,) = printer_page(sheet)
    x0, y0, x1, y1 = sheet.printable
    texts = [text_box(item) for item in page.picture.items if isinstance(item, Text)]
    rules = []
    for item in page.picture.items:
        if isinstance(item, Stroke):
            xs, ys = zip(*item.points, strict=True)
            rules.append((min(xs), min(ys), max(xs), max(ys)))
    for box in texts + rules:
        assert x0 <= box[0]
        assert box[2] <= x1
        assert y0 <= box[1]
        assert box[3] <= y1
    pairs = [*combinations(texts, 2), *((text, rule) for text in texts for rule in rules)]
    for a, b in pairs:
        assert min(a[2], b[2]) <= max(a[0], b[0]) or min(a[3], b[3]) <= max(a[1], b[1])


def test_end_marks_stand_free_of_the_other_line() -> None:
    """Both ends of either line have a mark of their own, away from the crossing."""
    lines = strokes(paper.A4)
    long = [points for points in lines if np.ptp(points, axis=0).max() > 100.0]
    marks = [points for points in lines if np.ptp(points, axis=0).max() < 10.0]
    assert (len(long), len(marks)) == (2, 4)
    ends = np.concatenate(long)
    for mark in marks:
        assert np.linalg.norm(ends - mark.mean(axis=0), axis=1).min() < 0.01
    crossing = np.array([long[1][:, 0].mean(), long[0][:, 1].mean()])
    assert np.linalg.norm(ends - crossing, axis=1).min() > 13.0


@pytest.mark.parametrize(
    ("across", "down", "wanted"),
    [
        ("180", "260", (1.0, 1.0)),
        ("179.4", "260.3", (180 / 179.4, 260 / 260.3)),
        ("179.4 mm", "25.9 cm", (180 / 179.4, 260 / 259)),
        ("7 1/16 in", "10 1/4 in", (180 / (7.0625 * 25.4), 260 / (10.25 * 25.4))),
    ],
)
def test_wanted_over_measured(across: str, down: str, wanted: tuple[float, float]) -> None:
    given = measured_correction(paper.A4, across, down)
    assert (given.x, given.y) == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(
    ("across", "down", "option"),
    [("18", "260", "across"), ("180", "240", "down"), ("170", "260", "across"), ("a foot", "260", "across")],
)
def test_measures_that_cannot_be_true_name_the_option(across: str, down: str, option: str) -> None:
    with pytest.raises(ValueError, match=f"^--{option}: ") as error:
        measured_correction(paper.A4, across, down)
    assert "accepted: " in str(error.value)


def test_another_papers_page_is_noticed() -> None:
    """The long lines of any two papers differ by more than a printer may be off."""
    for sheet in paper.SIZES:
        for other in paper.SIZES:
            if line_lengths(sheet) != line_lengths(other):
                across, down = line_lengths(other)
                with pytest.raises(ValueError, match="--paper"):
                    measured_correction(sheet, str(across), str(down))


def test_words_say_when_the_correction_is_large() -> None:
    small, large = (list(correction_words(paper.A4, Correction(f, 1.0))) for f in (1.004, 1.02))
    assert small == ["A4: lengths are multiplied by 1.0040 across and 1.0000 down in true-size pages"]
    assert large[1].startswith("look: more than 1 %")
