"""Halves of a cut tube and sides of a ring that are one and the same piece stand on one line of the cut list."""

from __future__ import annotations

from typing import Any

import pypdfium2 as pdfium
import pytest
from jobs import tube, tubes_text

from fabgen.app.work import built, planned
from fabgen.documents.lists.cut_list import cut_list_pdf
from fabgen.documents.render.paper import A4
from fabgen.job.reader import read_text
from fabgen.parts.shape.alike import alike_cuts

ROUND, SQUARE = "42.4 x 2.6", "40 x 40 x 3"
MAIN = tube("M", (0, 0, 0), (1000, 0, 0), section=ROUND)
RING = [(0, 0, 0), (1000, 0, 0), (1000, 800, 0), (0, 800, 0), (0, 0, 0)]


def rows(*tubes: dict[str, Any], **job: Any) -> list[str]:
    """The marks of each line of the list, those that lie the other way round with a star."""
    pieces = built(read_text(tubes_text(*tubes, **job)))
    return [" ".join(piece.mark + "*" * turned for piece, turned in row) for row in alike_cuts(pieces)]


def cut(*ends: tuple[float, float, float], mark: str = "N", section: str = ROUND, **keys: Any) -> dict[str, Any]:
    return tube(mark, *ends, section=section, crossings="cut", **keys)


@pytest.mark.parametrize(
    ("tubes", "expected"),
    [
        # halves of 500: the second begins where the first ends
        ([MAIN, cut((500, -500, 0), (500, 500, 0))], ["M", "Na Nb*"]),
        ([MAIN, cut((400, -500, -300), (600, 500, 300))], ["M", "Na Nb*"]),
        # beside the middle of its main and askew: half a turn about what is square to both brings one on the other
        ([MAIN, cut((400, -500, 8), (600, 500, 8), section="33.7 x 2.6")], ["M", "Na Nb*"]),
        # lengths and widths of a mitred ring
        ([tube("R", *RING, section=SQUARE)], ["Ra Rc", "Rb Rd"]),
        ([tube("R", *RING, section="60 x 40 x 3")], ["Ra Rc", "Rb Rd"]),
        # three pieces between two mains: the outer ones are alike
        (
            [MAIN, MAIN | {"mark": "L", "route": [[0, 300, 0], [1000, 300, 0]]}, cut((500, -200, 0), (500, 500, 0))],
            ["M", "L", "Na Nc*", "Nb"],
        ),
        # spliced in the middle
        ([tube("S", (0, 0, 0), (1000, 0, 0), section=SQUARE, splices=[500], sleeve="none")], ["Sa Sb"]),
    ],
)
def test_like_pieces_stand_on_one_line(tubes: list[dict[str, Any]], expected: list[str]) -> None:
    assert rows(*tubes) == expected


@pytest.mark.parametrize(
    ("tubes", "expected"),
    [
        # one 1 mm longer than the other
        ([MAIN, cut((500, -500, 0), (500, 501, 0))], ["M", "Na", "Nb"]),
        # one of them drilled through for the sleeve, the other at its other end: their holes are measured apart
        ([tube("S", (0, 0, 0), (1000, 0, 0), section="48.3 x 3.2", splices=[500])], ["Sa", "Sb", "Sa-SL1"]),
        # two tubes of the job, however like they are
        ([MAIN, MAIN | {"mark": "L", "route": [[0, 300, 0], [1000, 300, 0]]}], ["M", "L"]),
        # a trapezium's legs lean either way, and its corners are turned the other way round: left and right
        ([tube("R", (0, 0, 0), (1000, 0, 0), (900, 500, 0), (0, 500, 0), (0, 0, 0), section="60 x 40 x 3")],
         ["Ra", "Rb", "Rc", "Rd"]),
    ],
)  # fmt: skip
def test_what_is_another_piece_has_its_own(tubes: list[dict[str, Any]], expected: list[str]) -> None:
    assert rows(*tubes) == expected


@pytest.mark.parametrize(("longer", "alike"), [(0.0099, True), (0.0101, False)])
def test_a_hundredth_is_the_limit(longer: float, alike: bool) -> None:
    assert (len(rows(MAIN, cut((500, -500, 0), (500, 500 + longer, 0)))) == 2) is alike


def test_the_list_counts_them_together_and_names_both() -> None:
    job = read_text(tubes_text(MAIN, cut((500, -500, 0), (500, 500, 0))))
    work = planned(job, built(job), None)
    pdf = pdfium.PdfDocument(cut_list_pdf(job.definitions.job, work.pieces, work.plan, work.findings, {}, A4))
    text = "".join(page.get_textpage().get_text_range() for page in pdf).replace("\r\n", "\n")
    # Each by its own ends where these are not said alike; one row where they are.
    assert "Tubes to saw, square" in text
    assert all(mark in text for mark in ("Na", "Nb"))
