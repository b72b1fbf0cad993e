"""No paper of a job in inches gives a length in mm alone: samples and starters, their heads said to be in inches."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pypdfium2 as pdfium
import pytest

from fabgen.app.hands import with_own_images
from fabgen.app.work import WorkedJob, built, planned
from fabgen.documents.everything import MakeOptions, job_files
from fabgen.documents.render.paper import LETTER
from fabgen.job.reader import read_job

ROOT = Path(__file__).parents[1]
JOBS = [*sorted(ROOT.glob("sample_parts/*.toml")), *sorted(ROOT.glob("templates/*.toml"))]
QUICK = ("tubes", "profiles", "bushes")
ALLOWED = (
    r"^[\d.]+ mm of thread, head [\d.]+ mm$",  # the rest of a metric bung that wraps
    r"^[\d. ]*mm, [\d.]+ mm of thread.*",  # the rest of a metric bung, in a line of its own
    r"\d[\d.]*(?: x [\d.]+)+ mm(?: S\d+\w*,? \d+ mm)?",  # a section as it is sold, in lengths that the job lists
    r"\[[^\]]*\d mm\]",  # beside the inches
    r"measure this line: 100 mm",  # a line of true size beside one of 4 in
    r"\d[\d.]* mm of (?:thread|weld wire)",
    r"(?:rod end|bung|bore|shank|thread|head|disc)\b.*",  # sizes of metric goods
    r"\d[\d.]* mm(?: S\d+\w*)?, \d+ grit",
    r"^[\d. ]*mm(?:,? [\d.]+ mm)*(?: of thread.*)?$",  # the rest of such, in a cell of its own
    r"its [\d.]+ mm (?:side|leg)",  # a metric section's own
    r"bars? of [\d.]+ mm",  # stock as the rack lists it
    r"\bbar [\d.]+ mm",
    r"^Bars? [\d to]+ of \d+(?:, alike)?: [\d.]+ mm",
    r"EN [\d-]+ [\d.]+ mm",
    r"^\d+ mm; the saw cut",
    r"^(?:x )?[\d.]+ mm(?:, [\d.]+°| on)$",  # the rest of a section that wraps
    r"^to [\d.]+ mm;",  # a spacer of metric make
    r"^[\d. ]+mm, (?:from the rack|[\d.]+°)",
)


def of_inches(path: Path) -> WorkedJob:
    loaded = with_own_images(read_job(path))
    header = loaded.definitions.job.model_copy(update={"units": "in"})
    loaded = replace(loaded, definitions=loaded.definitions.model_copy(update={"job": header}))
    return planned(loaded, built(loaded), None, None)


def lines_of(work: WorkedJob) -> Iterator[tuple[str, str]]:
    """The lines of the papers, and the findings."""
    files = job_files(
        *(work.job.definitions.job, work.pieces, work.plan, work.findings, MakeOptions(LETTER)),
        *(work.movement, work.survey, None, work.contacts),
    )
    for name, content in files.items():
        if name.endswith(".pdf"):
            for page in pdfium.PdfDocument(content):
                yield from ((name, line) for line in page.get_textpage().get_text_range().splitlines())
    yield from ((finding.rule, finding.said.words("in")) for finding in work.findings)


def alone(line: str, own: set[str]) -> bool:
    """Whether a line has a length in mm with no inches, beside the thicknesses of metric sheet."""
    for allowed in ALLOWED:
        line = re.sub(allowed, "", line)
    line = re.sub(rf"(?<![\d.])(?:{'|'.join(map(re.escape, sorted(own))) or 'none'}) mm", "", line)
    return re.search(r"\d mm\b(?![²³\]/])", line) is not None


@pytest.mark.parametrize(
    "job", [pytest.param(path, id=path.stem, marks=[] if path.stem in QUICK else pytest.mark.slow) for path in JOBS]
)
def test_no_paper_of_an_inch_job_is_in_mm_alone(job: Path) -> None:
    work = of_inches(job)
    own = {f"{part.thickness:g}" for piece in work.pieces if (part := piece.flat_part) is not None}
    assert [f"{name}: {line}" for name, line in lines_of(work) if alone(line, own)] == []


def test_what_would_be_told() -> None:
    assert alone("hole saw 60 mm (2 3/8 in), square", {"3"})
    assert alone("2.35 m of seam, throat 3.5 mm", {"3"})
    assert not alone('drawn 5.95" for 0.004" paper, 3 mm S235, 48.3 x 3.2 mm, 0.532" [13.5 mm]', {"3"})
