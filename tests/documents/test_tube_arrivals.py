"""What lands on a tube as its drawing shows it: in the view where it stands out beside the tube, dimensioned from the
start's saw cut, and in the tables by the sides of a flat-sided tube.  Figures by trigonometry."""

import math

import pytest
from jobs import definitions, pieces_of, tube
from page.print_check import text_boxes

from fabgen.documents.data.piece_json import landing_data
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.drawing.sheet_content import sheet_content
from fabgen.documents.drawing.tables_of_a_part import arrived_table, drilled_table, landing_table
from fabgen.documents.drawing.tube.arrival_view import side_of
from fabgen.documents.drawing.tube.arrivals import arrivals
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import render
from fabgen.documents.render.picture import Text
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import LengthPart, Piece
from fabgen.wording.figures import Figures

RAIL = tube("R", (0, 0, 0), (1000, 0, 0), section="60.3 x 3.2")
BOX = tube("R", (0, 0, 0), (1000, 0, 0), section="60 x 40 x 3")
HEADER = Header(title="rails", number="R-1", units="mm")


def made(*tubes: dict[str, object], **tables: object) -> tuple[list[Piece], LengthPart]:
    pieces = list(pieces_of(definitions(tube=[*tubes], **tables)))
    part = pieces[0].length_part
    assert part is not None
    return pieces, part


def sheet_texts(pieces: list[Piece]) -> list[str]:
    """Of the first tube's sheets."""
    pages = drawing_pages(pieces, HEADER, paper.A4)
    own = [page for page in pages if "R" in page.marks]
    return [text for page in own for text in words(page.picture.items)]


def words(items: object) -> list[str]:
    return [item.text for item in items if isinstance(item, Text)]  # type: ignore[attr-defined]


def test_a_leaning_branch_is_dimensioned_where_its_axis_comes_through_the_skin() -> None:
    brace = tube("B", (300, 0, 0), (500, 0, 200 * math.tan(math.radians(60.0))), section="26.9 x 2.3")
    pieces, part = made(RAIL, brace)
    (found,) = arrivals(pieces[0], part, {piece.mark: piece for piece in pieces})
    assert found.places == pytest.approx((300.0 + 30.15 / math.tan(math.radians(60.0)),))
    assert found.heading == pytest.approx((0.5, 0.0, math.sin(math.radians(60.0))))
    assert side_of(found) == "front"
    said = sheet_texts(pieces)
    assert {"317.4", "B"} <= set(said)


def test_each_is_drawn_in_the_view_in_which_it_stands_out() -> None:
    up, left = (tube("U", (300, 0, 0), (300, 0, 400)), tube("L", (700, 0, 0), (700, 400, 0)))
    both, _ = made(RAIL, up, left)
    # Its sheet has the branches too, after it.
    assert [text for text in sheet_texts(both) if text[:2] in ("A:", "B:")][:2] == [
        "A: side at 90° from TOP, right in the job",
        "B: TOP side, top in the job",
    ]
    one, _ = made(RAIL, left)
    assert [text for text in sheet_texts(one) if text[:2] in ("A:", "B:")] == ["B: TOP side, top in the job"]
    none, _ = made(RAIL)
    assert "Side of the tube" in sheet_texts(none)


def test_no_view_of_a_post_is_called_its_front_from_the_front() -> None:
    post = tube("R", (0, 0, 0), (0, 0, 800), section="40 x 40 x 2")
    pieces, _ = made(post, tube("S", (0, 0, 500), (400, 0, 500)))
    said = sheet_texts(pieces)
    assert "B: TOP side, front in the job" in said
    assert not any(text.startswith(("From the front", "From above")) for text in said)


def test_flat_sides_are_named_and_the_place_is_given_from_their_middle() -> None:
    """Its first figure stands upright: the top is 40 wide, the left 60 high."""
    up = tube("U", (300, 8, 0), (300, 8, 400), section="20 x 20 x 2")
    left = tube("L", (700, 0, -12.5), (700, 400, -12.5), section="20 x 20 x 2")
    under = tube("D", (900, 0, 0), (900, 0, -400), section="20 x 20 x 2")
    _, part = made(BOX, up, left, under)
    table = landing_table(part, Figures())
    assert table is not None
    assert table.heads == ("mark (end)", "axes meet at", "centre on skin at", "side", "from its middle", "angle")
    assert [row[3:5] for row in table.rows] == [("top", "8 to the left"), ("left", "12.5 down"), ("bottom", "0")]


def test_a_side_that_looks_no_way_of_the_job_is_given_by_the_clock() -> None:
    turned = {**BOX, "turn": 45}
    lean = tube("U", (300, 0, 0), (300, 300, 300), section="20 x 20 x 2")
    _, part = made(turned, lean)
    table = landing_table(part, Figures())
    assert table is not None
    assert table.rows[0][3].endswith("° from TOP")


def test_holes_of_flat_sides_too() -> None:
    rail = {
        **BOX,
        "holes": [{"at": 200, "side": "left", "offset": 5, "diameter": 9}, {"at": 400, "side": "top", "diameter": 9}],
    }
    _, part = made(rail)
    table = drilled_table(part, Figures())
    assert table is not None
    assert [row[3:] for row in table.rows] == [("left", "5 up"), ("top", "0")]


def test_a_placed_plate_has_both_its_edges_and_the_name_of_its_side() -> None:
    plate = {
        "mark": "P", "rectangle": [80, 50], "thickness": 5,
        "place": {"against": "R", "at": 400, "side": "left"},
    }  # fmt: skip
    pieces, part = made(BOX, plate=[plate])
    (found,) = arrivals(pieces[0], part, {piece.mark: piece for piece in pieces})
    assert found.places == pytest.approx((360.0, 440.0))
    assert side_of(found) == "top"
    assert {"360", "440", "P"} <= set(sheet_texts(pieces))
    table = arrived_table(pieces[0], part, pieces, Figures())
    assert table is not None
    assert dict(zip(table.heads, table.rows[0], strict=True))["side"] == "left"


def test_many_marks_stand_clear_of_one_another() -> None:
    """Twelve posts, two of them 30 mm apart, on a rail of 1 m: every mark is there, and no text lies on another."""
    posts = [tube(f"P{x}", (x, 0, 0), (x, 0, 300), section="26.9 x 2.3") for x in (*range(60, 900, 80), 930)]
    pieces, _ = made(RAIL, *posts)
    pages = [page for page in drawing_pages(pieces, HEADER, paper.A4) if "R" in page.marks]
    said = [text for page in pages for text in words(page.picture.items)]
    assert all(any(post["mark"] in text for text in said) for post in posts)
    boxes = [each.box for each in text_boxes(render(pages[:1], "t"))]
    for i, one in enumerate(boxes):
        for other in boxes[i + 1 :]:
            assert not all(one[k] + 0.1 < other[k + 2] and other[k] + 0.1 < one[k + 2] for k in (0, 1))


def test_a_tube_with_landings_keeps_its_tables_on_its_sheet() -> None:
    up, left = (tube("U", (300, 0, 0), (300, 0, 400)), tube("L", (700, 0, 0), (700, 400, 0)))
    pieces, _ = made(RAIL, up, left)
    content = sheet_content(pieces[0], {piece.mark: piece for piece in pieces}, Figures(), "first")
    assert content.main.view.slim > 0.0
    pages = drawing_pages(pieces, HEADER, paper.A4)
    assert sum("R" in page.marks for page in pages) == 1


def test_job_json_has_the_side_and_how_far_from_its_middle() -> None:
    """Clockwise seen from the start, so what is 8 mm to the left on the top is 8 mm the other way."""
    up = tube("U", (300, 8, 0), (300, 8, 400), section="20 x 20 x 2")
    _, part = made(BOX, up)
    (landing,) = part.landings
    found = landing_data(part, landing)
    assert (found["branch"], found["side"], found["along_mm"]) == ("U", "top", 300.0)
    assert found["from_middle_mm"] == pytest.approx(-8.0)
    _, part = made(RAIL, tube("U", (300, 0, 0), (300, 0, 400)))
    assert "side" not in landing_data(part, part.landings[0])
