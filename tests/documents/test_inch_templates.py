"""What templates say in an inch job: every size is in inches."""

import re

import pytest
from jobs import pieces_of, read

from fabgen.documents.render.paper import A4
from fabgen.documents.render.picture import Text
from fabgen.documents.templates.patterns import pattern_pages
from fabgen.documents.templates.templates import template_pages

JOB = """
[job]
title = "t"
number = "1"
units = "in"

[[tube]]
mark = "T1"
section = "2 x 0.083"
route = [[0, 0, 0], [30, 0, 0]]
holes = [{ at = 3, side = "top", diameter = 0.5 }, { at = 5, side = "top", diameter = 0.5, length = 1.2 }]

[[tube]]
mark = "T2"
section = "1.5 x 0.083"
route = [[12, 0.1, 15], [10, 0.1, 0]]

[[tube]]
mark = "T3"
section = "2 x 1 x 0.083"
turn = 0
route = [[20, 0, 0], [20, 20, 3]]

[[plate]]
mark = "P1"
thickness = 0.125
rectangle = [4, 3]
holes = [{ at = [1, 1], diameter = 0.5 }]
"""
PRINTED = "measure this line"
BARE = re.compile(r"\d mm(?!\]| paper|$|[ ,]*\()")
"""A size in mm alone; a hole saw has both its names, and paper is bought by its thickness."""


@pytest.mark.parametrize("every_end", [False, True])
def test_every_size_is_in_inches(every_end: bool) -> None:
    job = read(JOB)
    pieces = pieces_of(job)
    pages = [
        *template_pages(pieces, job.job, A4, every_end=every_end),
        *pattern_pages(pieces, job.job, A4),
    ]
    said = [item.text for page in pages for item in page.picture.items if isinstance(item, Text)]
    assert any('2 x 1 x 0.083"' in text for text in said)
    assert any('1/8"' in text for text in said)
    assert [text for text in said if BARE.search(text) and PRINTED not in text] == []
