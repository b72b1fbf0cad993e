"""Corrected pages: what comes out of a printer that is off, and what leaves the sheet."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from coped_tubes import CASES
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, affinity

from fabgen.documents.render import paper
from fabgen.documents.render.correction import GREATEST, LEAST, NONE, Correction, corrected, true_size_pages
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.picture import Arc, Fill, Picture, Stroke, Text, line
from fabgen.documents.render.sketch import text_box
from fabgen.documents.templates.templates import template_pages
from fabgen.job.tables.definitions import Header

FACTORS = st.floats(LEAST, GREATEST)
HEADER = Header.model_validate({"title": "Curlew trailer", "number": "CUR-01", "units": "in"})
OFF = (Correction(1.0032, 0.9987), Correction(1.05, 0.95), Correction(0.95, 1.05), Correction(1.05, 1.05))


def templates(sheet: paper.Paper) -> list[Page]:
    return template_pages(list(CASES.values()), HEADER, sheet)


def printed(page: Page, correction: Correction) -> Page:
    """What a printer does to a page whose lengths come out wanted / factor."""
    x, y = (correction.x, correction.y) if page.width < page.height else (correction.y, correction.x)
    items = [
        Stroke(tuple((px / x, py / y) for px, py in item.points), item.pen, item.closed)
        for item in page.picture.items
        if isinstance(item, Stroke)
    ]
    return Page(page.width, page.height, Picture.of(items))


@pytest.mark.parametrize("correction", OFF)
def test_on_paper_everything_is_as_it_was_laid_out(correction: Correction) -> None:
    laid_out = templates(correction.layout(paper.A4))
    pages = corrected(laid_out, correction)
    assert len(pages) == len(laid_out)
    for before, after in zip(laid_out, pages, strict=True):
        wanted = [item.points for item in before.picture.items if isinstance(item, Stroke)]
        made = [item.points for item in printed(after, correction).picture.items if isinstance(item, Stroke)]
        for points, others in zip(wanted, made, strict=True):
            assert np.allclose(points, others, atol=1e-9)


@pytest.mark.parametrize("correction", OFF)
@pytest.mark.parametrize("sheet", [paper.A4, paper.LETTER], ids=lambda sheet: sheet.name)
def test_pages_keep_the_papers_size_and_its_printable_area(correction: Correction, sheet: paper.Paper) -> None:
    pages = true_size_pages(templates, sheet, correction)
    turned = {(page.width, page.height) for page in pages}
    assert turned <= {(sheet.width, sheet.height), (sheet.height, sheet.width)}
    assert len(turned) == 2  # both ways up are among the cases
    for page in pages:
        own = sheet.upright if page.width < page.height else sheet.landscape
        x0, y0, x1, y1 = own.printable
        low, left, right, high = (page.picture.bounds[i] for i in (1, 0, 2, 3))
        assert x0 <= left
        assert right <= x1
        assert y0 <= low
        assert high <= y1
        for box in (text_box(item) for item in page.picture.items if isinstance(item, Text)):
            assert x0 <= box[0]
            assert box[2] <= x1
            assert y0 <= box[1]
            assert box[3] <= y1


@pytest.mark.parametrize("correction", OFF)
def test_texts_fall_on_one_another_no_more_than_before(correction: Correction) -> None:
    def shared(page: Page) -> int:
        boxes = [text_box(item) for item in page.picture.items if isinstance(item, Text)]
        return sum(
            min(a[2], b[2]) - max(a[0], b[0]) > 0.05 and min(a[3], b[3]) - max(a[1], b[1]) > 0.05
            for a, b in combinations(boxes, 2)
        )

    laid_out = templates(correction.layout(paper.A4))
    for before, after in zip(laid_out, corrected(laid_out, correction), strict=True):
        assert shared(after) <= shared(before)


def test_the_long_side_of_a_page_on_its_side_is_its_x() -> None:
    ruler = Picture.of([line((10.0, 10.0), (110.0, 10.0)), line((10.0, 10.0), (10.0, 110.0))])
    upright, aside = corrected([Page(210.0, 297.0, ruler), Page(297.0, 210.0, ruler)], Correction(1.01, 0.99))
    for page, (x, y) in ((upright, (101.0, 99.0)), (aside, (99.0, 101.0))):
        across, up = page.picture.items
        assert isinstance(across, Stroke)
        assert isinstance(up, Stroke)
        assert across.points[1][0] - across.points[0][0] == pytest.approx(x)
        assert up.points[1][1] - up.points[0][1] == pytest.approx(y)


@given(FACTORS, FACTORS, st.floats(0.3, 300.0), st.floats(-360.0, 360.0), st.floats(1.0, 360.0))
def test_arcs_become_ellipses(x: float, y: float, radius: float, start: float, turn: float) -> None:
    arc = Arc(20.0, 30.0, radius, start, start + turn)
    (page,) = corrected([Page(210.0, 297.0, Picture.of([arc]))], Correction(x, y))
    (made,) = page.picture.items
    if x == y:
        assert made == Arc(20.0 * x, 30.0 * x, radius * x, start, start + turn)
        return
    assert isinstance(made, Stroke)
    assert made.closed == math.isclose(turn, 360.0)
    points = np.array([*made.points, made.points[0]] if made.closed else made.points)
    middles = (points[1:] + points[:-1]) / 2.0
    for places in (points, middles):
        off = np.hypot((places[:, 0] / x - 20.0), (places[:, 1] / y - 30.0)) - radius
        assert np.abs(off).max() < 0.01 / 1.05
    angles = np.radians([start, start + turn])
    wanted = np.column_stack(((20.0 + radius * np.cos(angles)) * x, (30.0 + radius * np.sin(angles)) * y))
    assert points[[0, -1]] == pytest.approx(wanted, abs=1e-6)


def test_a_full_circle_against_another_library() -> None:
    (page,) = corrected([Page(210.0, 297.0, Picture.of([Arc(50.0, 60.0, 40.0)]))], Correction(1.04, 0.97))
    (made,) = page.picture.items
    assert isinstance(made, Stroke)
    fine = affinity.scale(Point(50.0, 60.0).buffer(40.0, quad_segs=4096), 1.04, 0.97, origin=(0.0, 0.0))
    assert Polygon(made.points).exterior.hausdorff_distance(LineString(fine.exterior.coords)) < 0.01


def test_fills_move_and_texts_keep_their_printed_size() -> None:
    items = [Fill(((0.0, 0.0), (10.0, 0.0), (0.0, 10.0)), 0.3), Text(10.0, 20.0, "TOP", 4.0, "middle", 90.0, True)]
    (page,) = corrected([Page(210.0, 297.0, Picture.of(items))], Correction(1.02, 0.98))
    fill, text = page.picture.items
    assert fill == Fill(((0.0, 0.0), (10.2, 0.0), (0.0, 9.8)), 0.3)
    assert text == Text(10.2, 19.6, "TOP", 4.0 * 0.98, "middle", 90.0, True)


def test_no_correction_changes_nothing() -> None:
    pages = templates(paper.A4)
    assert NONE.layout(paper.A4) == paper.A4
    assert corrected(pages, NONE) == pages


@pytest.mark.parametrize("factors", [(0.949, 1.0), (1.0, 1.051), (math.nan, 1.0), (1.0, math.inf), (0.0, 1.0)])
def test_factors_that_are_no_correction(factors: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"0\.95 to 1\.05"):
        Correction(*factors)
