"""Papers print well from page to page: no heading at a list's foot, no page that is blank, columns 5 mm apart, no line
that a printer without greys leaves out, few pages.

Pages are read by PDFium, an independent reader.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
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
"""Of these no page ends with a heading; the others are drawings."""
THINNEST = 0.08
"""Two dots of a printer with 600 to the inch, mm."""
DEMO = ROOT / "sample_parts" / "curlew-trailer.toml"
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


@lru_cache(maxsize=1)
def papers(path: Path, paper: str) -> dict[str, bytes]:
    """All PDFs of a job."""
    work = work_on(path)
    files = job_files(
        *(work.job.definitions.job, work.pieces, work.plan, work.findings, MakeOptions(find(paper))),
        *(work.movement, work.survey, None, work.contacts),
    )
    return {name: data for name, data in files.items() if name.endswith(".pdf")}


def pages(path: Path, paper: str) -> Iterator[tuple[str, pdfium.PdfPage]]:
    for name, data in papers(path, paper).items():
        for page in pdfium.PdfDocument(data):
            yield name, page


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
@pytest.mark.parametrize("paper", ["A4", pytest.param("Letter", marks=pytest.mark.slow)])
def test_no_page_is_blank_or_ends_with_a_heading(path: Path, paper: str) -> None:
    seen = 0
    for number, (name, page) in enumerate(pages(path, paper)):
        printed = [letter for letter in letters(page) if letter.base > FOOT]
        drawn = [item for item in page.get_objects() if item.type == raw.FPDF_PAGEOBJ_PATH]
        assert len(printed) > 40 or len(drawn) > 10, (name, number)
        seen += 1
        if name not in LISTS:
            continue
        lowest = min(letter.base for letter in printed)
        last = [letter for letter in printed if letter.base < lowest + 2.5]
        # A heading's letters are a step larger; large marks of the saw sheets stand beside plain figures.
        under = [item for item in drawn if item.get_bounds()[1] * MM < lowest]
        assert min(letter.size for letter in last) < 1.2 * TEXT or under, (name, number)
    assert seen > 2


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
@pytest.mark.parametrize("paper", ["A4"])
def test_lines_and_letters_are_black_and_wide_enough_for_any_printer(path: Path, paper: str) -> None:
    """A grey line a dot or two wide is broken into single dots where there are no greys."""
    channels = [ctypes.c_uint() for _ in range(4)]
    wide = ctypes.c_float()
    seen = 0
    for number, (name, page) in enumerate(pages(path, paper)):
        for item in page.get_objects():
            if item.type == raw.FPDF_PAGEOBJ_PATH and _is_stroked(item):
                raw.FPDFPageObj_GetStrokeColor(item.raw, *channels)
                raw.FPDFPageObj_GetStrokeWidth(item.raw, wide)
                assert wide.value * MM * item.get_matrix().a >= THINNEST, (name, number)
            elif item.type == raw.FPDF_PAGEOBJ_TEXT:
                raw.FPDFPageObj_GetFillColor(item.raw, *channels)
            else:
                continue
            assert [channel.value for channel in channels[:3]] == [0, 0, 0], (name, number)
            seen += 1
    assert seen > 100


def _is_stroked(item: pdfium.PdfObject) -> bool:
    mode, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(item.raw, mode, stroke)
    return bool(stroke.value)


MOST = {"cut-list": 7, "tube-templates": 14, "check-table": 5, "saw-sheets": 4, "shopping-list": 4}
"""Pages of the demo's papers on A4."""


@pytest.mark.slow
@pytest.mark.parametrize("name", MOST)
def test_the_demo_needs_no_more_pages_than_it_did(name: str) -> None:
    """What one prints for a small trailer is to be few pages: more is a table that wraps or a page half empty."""
    assert len(pdfium.PdfDocument(papers(DEMO, "A4")[f"{name}.pdf"])) <= MOST[name]


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
