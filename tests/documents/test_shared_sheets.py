"""Parts that share a sheet lose nothing by it: each text of a part's own sheet stands on the shared one too."""

from __future__ import annotations

from collections import Counter

import pytest

from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.render.paper import find
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.picture import Text
from fabgen.documents.render.sketch import text_box
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece

HEAD = '[job]\ntitle = "Small plates"\nnumber = "X-1"\nunits = "mm"\ndate = 2026-03-14\n'
PLATE = """
[[plate]]
mark = "{mark}"
thickness = {thickness}
rectangle = [{width}, {height}]
holes = [{{ at = [20, 20], diameter = 11 }}, {{ at = [{right}, 20], diameter = 9 }}]
"""
SIZES = [(80, 50), (90, 60), (70, 62), (60, 45), (300, 200), (120, 45)]


def plates(*sizes: tuple[int, int]) -> list[Piece]:
    parts = [
        PLATE.format(mark=f"P{n}", thickness=n + 2, width=w, height=h, right=w - 17)
        for n, (w, h) in enumerate(sizes, 1)
    ]
    return list(all_pieces(read_text(HEAD + "".join(parts)).definitions))


def drawn(pieces: list[Piece], paper: str = "A4") -> list[Page]:
    header = read_text(HEAD + PLATE.format(mark="X", thickness=3, width=50, height=50, right=30)).definitions.job
    return drawing_pages(pieces, header, find(paper))


def words(page: Page) -> Counter[str]:
    return Counter(item.text for item in page.picture.items if isinstance(item, Text))


def figures(page: Page) -> Counter[str]:
    """The sizes that the views of a page bear, diameters and radii among them."""
    return Counter({each: n for each, n in words(page).items() if each.strip("Ø0123456789.") == ""})


def test_small_plates_share_a_sheet_and_a_large_one_has_its_own() -> None:
    pages = drawn(plates(*SIZES))
    assert sorted(mark for page in pages for mark in page.marks) == [f"P{n}" for n in range(1, 7)]
    assert len(pages) <= 3
    assert max(len(page.marks) for page in pages) >= 4


@pytest.mark.parametrize("paper", ["A4", "Letter", "A3"])
def test_each_figure_of_a_parts_own_sheet_stands_on_the_shared_one(paper: str) -> None:
    """One by one, but for mere counts of the title block."""
    pieces = plates(*SIZES)
    shared = sum((figures(page) for page in drawn(pieces, paper)), Counter[str]())
    alone = sum((figures(page) for piece in pieces for page in drawn([piece], paper)), Counter[str]())
    counted = {str(n) for n in range(1, 10)}
    assert {each: n for each, n in (alone - shared).items() if each not in counted} == {}


def test_a_part_of_a_shared_sheet_has_its_number_stock_and_scale_at_its_head() -> None:
    page = next(page for page in drawn(plates(*SIZES)) if len(page.marks) > 1)
    told = " ".join(words(page))
    for mark in page.marks:
        thickness = int(mark[1:]) + 2
        assert f"X-1-{mark} · make 1 · sheet {thickness} mm" in told


def test_no_text_of_a_shared_sheet_lies_on_another_and_none_outside_the_frame() -> None:
    for page in drawn(plates(*SIZES)):
        boxes = [text_box(item) for item in page.picture.items if isinstance(item, Text)]
        assert all(x0 > 5 and x1 < page.width - 5 and y0 > 5 and y1 < page.height - 5 for x0, y0, x1, y1 in boxes)
        for i, a in enumerate(boxes):
            for b in boxes[i + 1 :]:
                across, up = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
                assert across < 0.3 or up < 0.5, (page.marks, a, b)


def test_a_part_alone_keeps_its_sheet() -> None:
    (page,) = drawn(plates((80, 50)))
    assert page.marks == ("P1",)
    assert "see each part" not in words(page)
