"""A tube that stands square over a face's rounded corners is sawn square: no template of zeros."""

import io

import pypdf
import pytest

from fabgen.documents.render import paper
from fabgen.documents.render.pdf import render
from fabgen.documents.render.words import end_text
from fabgen.documents.templates.templates import template_pages
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.parts.shape.cuts import side_lengths

JOB = """[job]
title = "Foot"
number = "F-1"
units = "in"
material = "A36"
[[tube]]
mark = "BEAM"
section = "3 x 2 x 3/16"
turn = 0
route = [[0, 0, 18], [48, 0, 18]]
[[tube]]
mark = "POST"
section = "{section}"
route = [[20, {aside}, 19.5], [20, {aside}, 36]]
"""


def made(section: str, aside: float = 0.0) -> tuple[list[Piece], str]:
    job = read_text(JOB.format(section=section, aside=aside)).definitions
    pieces = all_pieces(job)
    pages = template_pages(pieces, job.job, paper.A4)
    if not pages:
        return pieces, ""
    reader = pypdf.PdfReader(io.BytesIO(render(pages, "templates", "")))
    return pieces, " ".join(page.extract_text() for page in reader.pages)


@pytest.mark.parametrize(("section", "aside"), [("1 1/2 x 0.120", 0.0), ("1 x 0.065", 0.0)])
def test_no_template_of_zeros(section: str, aside: float) -> None:
    """Even where it reaches over the rounded corners, as 1 1/2 in on a face that is flat for 1 1/4 in does."""
    pieces, said = made(section, aside)
    post = next(piece for piece in pieces if piece.mark == "POST").length_part
    assert post is not None
    assert float(side_lengths(post).max() - side_lengths(post).min()) < 0.05
    assert "POST start" not in said
    assert end_text(post.ends[0]) == "sawn square, onto BEAM at 90°"


def test_one_that_reaches_well_past_the_corner_has_its_line() -> None:
    """Half an inch aside it hangs over: its line dips beside the face."""
    pieces, said = made("1 1/2 x 0.120", 0.5)
    assert "POST start" in said
    post = next(piece for piece in pieces if piece.mark == "POST").length_part
    assert post is not None
    assert end_text(post.ends[0]).startswith("cope onto BEAM")
