"""All papers as one: what the separate files hold, in the order of the work, with links that lead where they say.

Read back by PDFium (pypdfium2) and not by the library that writes it.
"""

from __future__ import annotations

import ctypes
from pathlib import Path

import pypdfium2
import pypdfium2.raw as raw
import pytest
from typer.testing import CliRunner

from fabgen.app.work import work_on
from fabgen.cli import app
from fabgen.documents.everything import MakeOptions, job_files
from fabgen.documents.one_file import NAME
from fabgen.documents.render.paper import find

MARKS = ("LEG1", "LEG2", "R1", "X1", "FOOT", "GUSSET", "STAY")
STARTER = Path(__file__).parents[2] / "templates" / "frame.toml"


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    work = work_on(STARTER)
    options = MakeOptions(find("A4"), one_file=True, patterns=True)
    return job_files(
        *(work.job.definitions.job, work.pieces, work.plan, work.findings, options),
        *(work.movement, work.survey, None, work.contacts),
    )


def texts(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_range() for page in document]


def contents(files: dict[str, bytes]) -> int:
    """How many pages the list of contents has."""
    apart = sum(len(texts(pdf)) for name, pdf in files.items() if name.endswith(".pdf") and name != NAME)
    return len(texts(files[NAME])) - apart


def test_each_page_of_the_separate_files_is_in_it_once(files: dict[str, bytes]) -> None:
    whole = texts(files[NAME])
    apart = [text for name, pdf in files.items() if name.endswith(".pdf") and name != NAME for text in texts(pdf)]
    assert contents(files) in (1, 2)
    for text in apart:
        assert any(text.strip()[:200] in each for each in whole), text[:200]


def test_it_goes_in_the_order_of_the_work(files: dict[str, bytes]) -> None:
    """Saw, cope, fold, fit: the first page of each in this order."""
    whole = texts(files[NAME])[contents(files) :]
    names = ["cut-list.pdf", "shopping-list.pdf", "saw-sheets.pdf", "tube-templates.pdf", "check-table.pdf"]
    firsts = [texts(files[name])[0].strip()[:120] for name in names if name in files]
    at = [next(i for i, text in enumerate(whole) if first in text) for first in firsts]
    assert len(at) >= 4
    assert at == sorted(at)


def links(document: pypdfium2.PdfDocument, number: int) -> list[tuple[str, int]]:
    """The words under each link of a page, and the page that it leads to, both from 0."""
    page, place = document[number], ctypes.c_int(0)
    link, box, found = raw.FPDF_LINK(), raw.FS_RECTF(), []
    text = page.get_textpage()
    while raw.FPDFLink_Enumerate(page, place, link):
        raw.FPDFLink_GetAnnotRect(link, box)
        words = text.get_text_bounded(box.left, box.bottom, box.right, box.top).strip()
        dest = raw.FPDFLink_GetDest(document, link)
        found.append((words, raw.FPDFDest_GetDestPageIndex(document, dest)))
    return found


def test_each_page_bears_its_number_and_leads_back(files: dict[str, bytes]) -> None:
    document = pypdfium2.PdfDocument(files[NAME])
    for number in range(contents(files), len(document)):
        assert links(document, number) == [(f"{number + 1} of {len(document)}", 0)]


def test_a_line_of_the_contents_leads_to_the_page_that_it_names(files: dict[str, bytes]) -> None:
    """Of each line the last cell is the page's number, and all its cells lead to the same page."""
    document = pypdfium2.PdfDocument(files[NAME])
    found = [link for number in range(contents(files)) for link in links(document, number)]
    named = [(int(words.split(" to ")[0]) - 1, to) for words, to in found if words.split(" to ")[0].isdigit()]
    assert len(named) > 10
    assert all(number == to for number, to in named)
    assert len(found) >= 3 * len(named)
    marks = [(words, to) for words, to in found if words in MARKS]
    assert len(marks) == len(MARKS)
    assert all(mark in texts(files[NAME])[to] for mark, to in marks)


def test_the_same_job_gives_the_same_bytes_and_the_terminal_says_how_many_pages(tmp_path: Path) -> None:
    for name in ("a", "b"):
        told = CliRunner().invoke(app, ["make", str(STARTER), "--one-file", "--out", str(tmp_path / name)])
        assert told.exit_code == 0
    a, b = (tmp_path / name / "frame" / NAME for name in ("a", "b"))
    assert a.read_bytes() == b.read_bytes()
    assert f"{NAME} {len(pypdfium2.PdfDocument(a.read_bytes()))} pages" in told.stdout
