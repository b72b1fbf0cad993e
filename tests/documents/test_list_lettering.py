"""Text of the lists and drawings: four sizes by the steps of ISO 3098-1, their capitals 2.5 mm high at least."""

from __future__ import annotations

import re

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from jobs import pieces_of, read
from reportlab.lib.units import mm

from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.lists.cut_list import cut_list_pdf
from fabgen.documents.lists.saw_sheet import saw_sheet_pdf
from fabgen.documents.lists.shopping_list import shopping_pdf
from fabgen.documents.render.flow import CELL, TO_WRITE, abreast, table
from fabgen.documents.render.lettering import CAPITAL
from fabgen.documents.render.paper import A4
from fabgen.documents.render.pdf import render
from fabgen.plan.job_plan import plan_job

JOB = """
[job]
title = "Letters"
number = "L-1"
units = "mm"
[[tube]]
mark = "T1"
section = "48.3 x 3.2"
route = [[0, 0, 0], [600, 0, 0]]
[[tube]]
mark = "T2"
section = "33.7 x 2.6"
route = [[300, 0, 0], [300, 400, 0]]
[[plate]]
mark = "P1"
thickness = 3
rectangle = [120, 80]
"""


def capitals(pdf: bytes) -> set[float]:
    """Heights of the capitals on all pages, mm, to a tenth."""
    found: set[float] = set()
    for page in pdfium.PdfDocument(pdf):
        text = page.get_textpage()
        for i in range(text.count_chars()):
            if chr(raw.FPDFText_GetUnicode(text.raw, i)).isspace():
                continue
            found.add(round(raw.FPDFText_GetFontSize(text.raw, i) * CAPITAL * 25.4 / 72.0, 1))
    return found


@pytest.mark.parametrize("which", ["cut list", "saw sheets", "shopping list", "drawings"])
def test_no_text_is_smaller_than_the_least_step(which: str) -> None:
    job = read(JOB)
    pieces = pieces_of(job)
    plan = plan_job(job, pieces)
    pdf = {
        "cut list": lambda: cut_list_pdf(job.job, pieces, plan, [], {}, A4),
        "saw sheets": lambda: saw_sheet_pdf(job.job, pieces, plan, A4),
        "shopping list": lambda: shopping_pdf(job.job, pieces, plan, A4),
        "drawings": lambda: render(drawing_pages(pieces, job.job, A4), "x"),
    }[which]()
    assert capitals(pdf) <= {2.5, 3.5, 5.0, 7.0}


def test_short_rows_run_down_two_halves_where_both_keep_theirs_on_a_line() -> None:
    heads, rows = ["mark", "length", "mm"], [[f"T{i}", "end to end", str(100 + i)] for i in range(9)]
    two = abreast(heads, rows, 180.0, (2,))
    assert (two._nrows, two._ncols) == (6, 6)
    assert abreast(heads, rows[:8], 180.0, (2,))._ncols == 3
    assert (
        abreast(heads, [[one, "end to end of what is measured on the jig", mm] for one, _, mm in rows], 180.0)._ncols
        == 3
    )


def test_a_column_gives_room_to_the_one_whose_texts_wrap() -> None:
    """Of a short and a long text 180 mm take the long one on two lines at most, and a column to write in 20 mm."""
    long = "a text of many words that is to stand in a row of a list and is much longer than its neighbours are"
    ruled = table(["mark", "what", "is"], [["T1, T2, T3, T4", long, ""]] * 3, 180.0)
    ruled.wrap(180.0 * mm, 1e6)
    lines = (ruled._rowHeights[1] - 3.7) / CELL.leading
    assert round(lines) == 2
    assert ruled._argW[2] >= TO_WRITE * mm - 0.01


def test_sheets_stand_in_two_columns_on_as_few_pages_as_they_need() -> None:
    """Nine sheets of one part each, half a page wide: no page for each, and all named in their order."""
    plates = "".join(f'[[plate]]\nmark = "S{i}"\nthickness = {i + 2}\nrectangle = [200, 100]\n' for i in range(9))
    job = read(JOB.split("[[tube]]")[0] + plates)
    pieces = pieces_of(job)
    document = pdfium.PdfDocument(saw_sheet_pdf(job.job, pieces, plan_job(job, pieces), A4))
    assert len(document) == 2
    text = " ".join(page.get_textpage().get_text_range() for page in document)
    assert [int(each) for each in re.findall(r"Sheet (\d+) of 9", text)] == list(range(1, 10))
