"""Where a tape is held on what carries parts: by the name of its point, and at no saw cut where nothing is cut."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest

from fabgen.documents.everything import MakeOptions, job_files
from fabgen.documents.render.paper import A4
from fabgen.documents.render.set_out_words import held_at
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.survey.following import Survey
from fabgen.plan.job_plan import plan_job

HEAD = '[job]\ntitle = "Tape"\nnumber = "T-1"\nunits = "mm"\nmaterial = "S235"\n'
POINTS = "[points]\nD1 = [0, 0, 0]\nD2 = [600, 0, 0]\n"
STANDS = 'place = { against = "T1", at = 100, side = "top" }\n'
PLATE = f'[[plate]]\nmark = "P1"\nthickness = 5\nrectangle = [40, 40]\n{STANDS}'
THERE = 'state = "there already"\n'


def tube(route: str, more: str = "") -> str:
    return f'[[tube]]\nmark = "T1"\nsection = "40 x 40 x 3"\nroute = {route}\n{more}'


def heading(text: str) -> str:
    """That of the only part that carries others."""
    job = read_text(HEAD + text, Path("job.toml")).definitions
    pieces = all_pieces(job)
    survey = Survey(job, job) if job.points else None
    files = job_files(job.job, pieces, plan_job(job, pieces), [], MakeOptions(A4), survey=survey)
    pages = pypdf.PdfReader(io.BytesIO(files["set-out.pdf"])).pages
    words = " ".join(" ".join(page.extract_text() for page in pages).split())
    return words[words.index("On T1,") : words.index(" T1, TOP")]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (POINTS + tube('["D1", "D2"]'), "from the saw cut of the start, at D1"),
        (POINTS + tube('["D1", "D2"]', THERE), "from the start, at D1"),
    ],
)
def test_the_set_out_sheet_says_at_which_end_the_tape_is_held(text: str, expected: str) -> None:
    assert heading(text + PLATE) == f"On T1, 40 x 40 x 3: {expected}"


@pytest.mark.parametrize(
    ("finish", "more", "expected"),
    [
        ([600, 0, 0], "", "the saw cut of the start, its rear end"),
        ([-600, 0, 100], "", "the saw cut of the start, its front end"),
        ([0, 600, 0], THERE, "the start, its right end"),
        ([0, -600, 0], THERE, "the start, its left end"),
        ([0, 0, 600], "", "the saw cut of the start, its lower end"),
        ([100, 0, -600], "", "the saw cut of the start, its upper end"),
    ],
)
def test_a_start_without_a_name_is_told_by_where_it_looks(finish: list[int], more: str, expected: str) -> None:
    (piece,) = all_pieces(read_text(HEAD + tube(f"[[0, 0, 0], {finish}]", more), Path("job.toml")).definitions)
    assert held_at(piece, "") == expected
    assert held_at(piece, "D1").endswith("the start, at D1")
