"""Lists print well from page to page: no heading at a page's foot, no page that is blank, columns 5 mm apart.

Pages are read by PDFium, an independent reader.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest

from fabgen.app.work import work_on
from fabgen.documents.everything import MakeOptions, job_files
from fabgen.documents.render.flow import flowing_pdf, table
from fabgen.documents.render.lettering import TEXT
from fabgen.documents.render.paper import A4, find

ROOT = Path(__file__).parents[2]
MM = 25.4 / 72.0
FOOT = 13.0
"""The line with the page's number lies below this, mm from the paper's lower edge."""
LISTS = ("cut-list.pdf", "saw-sheets.pdf", "shopping-list.pdf", "set-out.pdf", "check-table.pdf")
JOBS = [
    ROOT / "templates" / "frame.toml",
    *(pytest.param(path, marks=pytest.mark.slow) for path in sorted(ROOT.glob("sample_parts/*.toml"))),
]


@dataclass(frozen=True)
class Letter:
    """A printed letter: its box and the size of its face, mm."""

    left: float
    base: float
    right: float
    size: float


def letters(page: pdfium.PdfPage) -> list[Letter]:
    text = page.get_textpage()
    found = []
    for i in range(text.count_chars()):
        if not chr(raw.FPDFText_GetUnicode(text.raw, i)).isspace():
            left, low, right, _ = (side * MM for side in text.get_charbox(i))
            found.append(Letter(left, low, right, raw.FPDFText_GetFontSize(text.raw, i) * MM))
    return found


def lists(path: Path, paper: str) -> Iterator[tuple[str, pdfium.PdfPage]]:
    """The pages of the lists of a job."""
    work = work_on(path)
    files = job_files(
        *(work.job.definitions.job, work.pieces, work.plan, work.findings, MakeOptions(find(paper))),
        *(work.movement, work.survey, None, work.contacts),
    )
    for name in LISTS:
        for page in pdfium.PdfDocument(files[name]) if name in files else ():
            yield name, page


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
@pytest.mark.parametrize("paper", ["A4", pytest.param("Letter", marks=pytest.mark.slow)])
def test_no_page_is_blank_or_ends_with_a_heading(path: Path, paper: str) -> None:
    seen = 0
    for number, (name, page) in enumerate(lists(path, paper)):
        printed = [letter for letter in letters(page) if letter.base > FOOT]
        drawn = [item for item in page.get_objects() if item.type == raw.FPDF_PAGEOBJ_PATH]
        assert len(printed) > 40 or len(drawn) > 10, (name, number)
        lowest = min(letter.base for letter in printed)
        last = [letter for letter in printed if letter.base < lowest + 2.5]
        # A heading's letters are a step larger; large marks of the saw sheets stand beside plain figures.
        under = [item for item in drawn if item.get_bounds()[1] * MM < lowest]
        assert min(letter.size for letter in last) < 1.2 * TEXT or under, (name, number)
        seen += 1
    assert seen > 2


@pytest.mark.parametrize("wide", [120.0, 180.0])
def test_columns_of_a_table_stand_5_mm_apart(wide: float) -> None:
    """Rows of texts that all but fill their columns: between the letters of two columns lie 5 mm and more."""
    header = work_on(ROOT / "templates" / "bars.toml").job.definitions.job
    rows = [["T1", "WWWWWWW WWWWWWW WWWWWWW", "123.4", "WWWWWW WWWWWWWW"], ["T22", "WWWWWWW", "7", "WWWWWWWWWW"]] * 3
    heads = ["mark", "words", "mm", "more words"]
    (page,) = pdfium.PdfDocument(flowing_pdf([table(heads, rows, wide, (2,))], A4, header, "list"))
    text = [letter for letter in letters(page) if letter.base > FOOT]
    covered = sorted((letter.left, letter.right) for letter in text)
    gaps, reach = [], covered[0][1]
    for left, right in covered[1:]:
        if left - reach > 2.0:
            gaps.append(left - reach)
        reach = max(reach, right)
    assert len(gaps) == len(heads) - 1
    assert min(gaps) >= 4.9
