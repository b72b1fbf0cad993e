"""Text of the lists: four sizes by the steps of ISO 3098-1, their capitals 2.5 mm high at least."""

from __future__ import annotations

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from jobs import pieces_of, read

from fabgen.documents.lists.cut_list import cut_list_pdf
from fabgen.documents.lists.saw_sheet import saw_sheet_pdf
from fabgen.documents.lists.shopping_list import shopping_pdf
from fabgen.documents.render.lettering import CAPITAL
from fabgen.documents.render.paper import A4
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


@pytest.mark.parametrize("which", ["cut list", "saw sheets", "shopping list"])
def test_no_text_is_smaller_than_the_least_step(which: str) -> None:
    job = read(JOB)
    pieces = pieces_of(job)
    plan = plan_job(job, pieces)
    pdf = {
        "cut list": lambda: cut_list_pdf(job.job, pieces, plan, [], {}, A4),
        "saw sheets": lambda: saw_sheet_pdf(job.job, pieces, plan, A4),
        "shopping list": lambda: shopping_pdf(job.job, pieces, plan, A4),
    }[which]()
    assert capitals(pdf) <= {2.5, 3.5, 5.0, 7.0}
