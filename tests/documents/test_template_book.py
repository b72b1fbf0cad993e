"""How templates share pages: start and finish together, what all say said once, nothing on anything, all found."""

from __future__ import annotations

from itertools import pairwise

import pytest
from coped_tubes import CASES, coped_tube, round_tube
from jobs import definitions, tube
from shapely import LineString, STRtree, box

from fabgen.documents.render.paper import A3, A4, LETTER, Paper
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.picture import Picture, Stroke, Text
from fabgen.documents.render.sketch import Panel, text_box
from fabgen.documents.render.tiling import Joins
from fabgen.documents.render.true_size import MARGIN
from fabgen.documents.templates.template_blocks import NOTHING, PanelGroup, lone_block, said_above, stacked
from fabgen.documents.templates.template_book import Book
from fabgen.documents.templates.template_drawing import TAB, template_sketch
from fabgen.documents.templates.templates import template_pages
from fabgen.documents.wrap.wrap import unrolled
from fabgen.job.tables.definitions import Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece

HEADER = Header.model_validate({"title": "Curlew trailer", "number": "CUR-01", "units": "mm"})


def words(page: Page) -> list[str]:
    return [item.text for item in page.picture.items if isinstance(item, Text)]


def headed(pages: list[Page]) -> dict[str, int]:
    """The number of the page on which each heading stands first."""
    found: dict[str, int] = {}
    for number, page in enumerate(pages, 1):
        for item in page.picture.items:
            if isinstance(item, Text) and item.bold and item.size == 7.0:
                found.setdefault(item.text, number)
    return found


def strut(section: str = "33.7 x 2.6", angle: float = 60.0, mark: str = "T1") -> Piece:
    diameter, wall = (float(each) for each in section.split(" x "))
    return coped_tube(round_tube(diameter, wall), round_tube(60.3), angle, mark=mark)


# -- what shares a page --------------------------------------------------------------
@pytest.mark.parametrize("sheet", [A4, LETTER], ids=lambda sheet: sheet.name)
def test_start_and_finish_of_a_tube_share_a_page_and_say_once_what_holds_for_both(sheet: Paper) -> None:
    rails = [tube("L", (0, -300, 0), (0, 300, 0), section="60.3 x 3"), tube("R", (600, -300, 0), (600, 300, 0))]
    strut = tube("T1", (0, 0, 0), (600, 0, 0), section="33.7 x 2.6")
    pages = template_pages(all_pieces(definitions(tube=[*rails, strut])), HEADER, sheet)
    places = headed(pages)
    assert places["T1 start"] == places["T1 finish"]
    said = words(pages[places["T1 start"] - 1])
    assert "All of this page:" in said
    assert sum("TOP line common to both ends" in text for text in said) == 1
    assert sum("33.7 x 2.6" in text for text in said) == 1
    # What differs stands with each.
    assert sum("cope onto L at 90°" in text for text in said) == 1
    assert sum("cope onto R at 90°" in text for text in said) == 1


def test_one_template_alone_says_all_of_itself() -> None:
    (first, *_) = template_pages([CASES["common"]], HEADER, A4, card=False)
    assert "All of this page:" not in words(first)
    assert said_above([lone_block(lambda width: None)] * 2, 100.0) == (NOTHING, None)


@pytest.mark.parametrize("sheet", [A4, LETTER, A3], ids=lambda sheet: sheet.name)
def test_what_shares_a_page_lies_on_nothing(sheet: Paper) -> None:
    """All cases in one book: every text free, all inside the margin, check lines both ways on each page."""
    for page in template_pages(list(CASES.values()), HEADER, sheet):
        texts = [item for item in page.picture.items if isinstance(item, Text)]
        inner = [box(*text_box(item)).buffer(-0.1) for item in texts]
        lines = [LineString(item.points) for item in page.picture.items if isinstance(item, Stroke)]
        printable = box(MARGIN, MARGIN, page.width - MARGIN, page.height - MARGIN).buffer(0.3)
        assert all(printable.covers(thing) for thing in (*lines, *inner))
        on_lines = STRtree(lines).query(inner, predicate="intersects")
        assert not on_lines.size, [texts[i].text for i, _ in on_lines.T]
        pairs = STRtree(inner).query(inner, predicate="intersects")
        assert all(i == k for i, k in pairs.T), [(texts[i].text, texts[k].text) for i, k in pairs.T if i < k]
        assert sum("measure this line: 100 mm" in item.text for item in texts) == 2


@pytest.mark.parametrize("sheet", [A4, A3], ids=lambda sheet: sheet.name)
def test_no_two_pages_of_the_book_would_go_on_one(sheet: Paper) -> None:
    """Blocks of random heights: what one page takes is not left on two."""
    heights = [90, 60, 140, 30, 100, 120, 45, 70, 160, 20, 85, 55]
    book = Book(HEADER, sheet)
    room = 297.0 - 37.0 if sheet is A4 else 420.0 - 37.0
    for height in heights:
        book.add_panel(Panel(Picture.of([Text(0.0, -5.0, str(height), 3.0)]), (0.0, -float(height), 180.0, 0.0)))
    pages = book.pages()
    assert sum(len([text for text in words(page) if text in map(str, heights)]) for page in pages) == len(heights)
    used = [sum(int(text) for text in words(page) if text in map(str, heights)) for page in pages]
    # At the book's end only the last page is tried.
    assert all(a + b > room * (1.0 if sheet is A4 else 0.45) for a, b in pairwise(used))


def test_panels_are_stacked_from_the_top() -> None:
    first, second = (PanelGroup.of(Panel(Picture(), (0.0, 0.0, 50.0, height))) for height in (10.0, 20.0))
    both = stacked([first, second], 60.0, 3.0)
    assert (both.width, both.height) == (60.0, 33.0)
    assert [y for _, _, y in both.placed] == [23.0, 0.0]


# -- which edge meets which ----------------------------------------------------------
@pytest.mark.parametrize("name", CASES)
def test_both_edges_that_meet_bear_one_letter_at_one_height(name: str) -> None:
    piece = CASES[name]
    part = piece.length_part
    assert part is not None
    for end in part.ends:
        wrap = unrolled(part, end, 0.1)
        whole = Joins((-0.5, -8.5, wrap.width + TAB + 0.5, wrap.height + 0.5))
        items = template_sketch(piece.mark, end, wrap, "mm", whole).items
        left, right = sorted((item for item in items if isinstance(item, Text) and item.text == "S"), key=lambda s: s.x)
        assert right.x - left.x == pytest.approx(wrap.width)
        assert left.y == right.y
        assert 0.0 < left.x < 3.0


# -- found again -----------------------------------------------------------------------
TITLE = "Where each template is: page"


def tubes_of_all_lengths() -> list[Piece]:
    """Tall templates between low ones: the low ones fill the tall ones' pages."""
    kinds = [("76.1 x 3", 35.0), ("21.3 x 2", 80.0), ("70 x 3", 33.0), ("26.9 x 2", 75.0), ("65 x 3", 30.0)]
    return [strut(section, angle, f"T{i}") for i, (section, angle) in enumerate(kinds, 1)]


def test_the_index_has_the_page_of_each_end() -> None:
    pieces = tubes_of_all_lengths()
    pages = template_pages(pieces, HEADER, A4)
    numbers = [headed(pages)[f"{piece.mark} start"] for piece in pieces]
    assert numbers != sorted(numbers)
    (index,) = (page for page in pages if TITLE in words(page))
    texts = [item for item in index.picture.items if isinstance(item, Text) and item.size == 2.8]
    for piece in pieces:
        (entry,) = (item for item in texts if item.text == f"{piece.mark} start")
        right = min((text for text in texts if text.y == entry.y and text.x > entry.x), key=lambda text: text.x)
        said = words(pages[int(right.text) - 1])
        assert entry.text in said or any(text.startswith(f"{entry.text}, part 1 of ") for text in said)


def test_a_book_in_the_lists_order_needs_no_index() -> None:
    assert not any(TITLE in words(page) for page in template_pages([strut()], HEADER, A4))
