"""How views, side views and tables share a sheet."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.documents.drawing.sheet.views import (
    SCALES,
    Content,
    DrawnView,
    TableText,
    View,
    arrange,
    further_pages,
    scale_name,
)
from fabgen.documents.render.picture import Picture, rectangle
from fabgen.documents.render.sketch import Panel

ROOMS = [(26.0, 50.0, 281.0, 194.0), (26.0, 60.0, 194.0, 281.0)]


def box_view(width: float, height: float, title: str = "", largest: float = 10.0) -> View:
    """A view that is a bare box, `width` x `height` mm of the part, with 10 mm for dimensions."""

    def draw(scale: float, room: tuple[float, float]) -> Panel:
        w, h = width * scale + 10.0, height * scale + 10.0
        return Panel(Picture((rectangle(0, 0, w, h),)), (0.0, 0.0, w, h))

    return View(title, lambda scale: (width * scale + 10.0, height * scale + 10.0), draw, largest=largest)


def table(rows: int) -> TableText:
    return TableText("Holes", ("hole", "x", "y"), tuple((f"A{i}", f"{i * 10.5}", "20") for i in range(rows)))


def test_scales_are_those_of_iso_5455() -> None:
    """ISO 5455:1979, table: enlargements 2:1, 5:1, 10:1; reductions 1:2, 1:5, 1:10, 1:20, 1:50, 1:100 and on."""
    names = [scale_name(scale) for scale in SCALES]
    assert names == ["10:1", "5:1", "2:1", "1:1", "1:2", "1:5", "1:10", "1:20", "1:50", "1:100", "1:200", "1:500"]


@pytest.mark.parametrize(
    ("size", "scale"),
    [(8.0, 10.0), (18.0, 5.0), (35.0, 2.0), (120.0, 1.0), (260.0, 0.5), (900.0, 0.2), (3000.0, 1 / 15)],
)
def test_the_largest_scale_that_fits(size: float, scale: float) -> None:
    assert arrange(Content(DrawnView(box_view(size, size / 4.0))), ROOMS)[1].scale == pytest.approx(scale)


@settings(max_examples=40)
@given(
    st.floats(5.0, 4000.0),
    st.floats(5.0, 4000.0),
    st.lists(st.tuples(st.floats(5.0, 1500.0), st.floats(5.0, 1500.0)), max_size=3),
    st.lists(st.integers(1, 60), max_size=2),
)
def test_nothing_lies_on_anything_or_off_the_sheet(
    width: float, height: float, sides: list[tuple[float, float]], rows: list[int]
) -> None:
    content = Content(
        DrawnView(box_view(width, height, "Main")),
        tuple(box_view(w, h, "Side", 1.0) for w, h in sides),
        tuple(table(n) for n in rows),
    )
    index, made = arrange(content, ROOMS)
    pages = [made.panels, *further_pages(made.left_over, ROOMS[index])]
    room = ROOMS[index]
    for panels in pages:
        for i, a in enumerate(panels):
            assert a.box[0] >= room[0] - 1e-6
            assert a.box[1] >= room[1] - 1e-6
            assert a.box[2] <= room[2] + 1e-6
            assert a.box[3] <= room[3] + 1e-6
            for b in panels[i + 1 :]:
                apart = a.box[2] < b.box[0] or b.box[2] < a.box[0] or a.box[3] < b.box[1] or b.box[3] < a.box[1]
                assert apart, (a.box, b.box)


def test_a_long_table_goes_on_on_further_sheets_with_every_row() -> None:
    content = Content(DrawnView(box_view(100.0, 50.0)), (), (table(300),))
    index, made = arrange(content, ROOMS)
    assert made.left_over
    pages = further_pages(made.left_over, ROOMS[index])
    printed = [item.text for page in pages for panel in page for item in panel.picture.items if hasattr(item, "text")]
    assert {f"A{i}" for i in range(300)} <= set(printed)


def test_side_views_too_small_to_read_are_left_for_a_second_sheet() -> None:
    """Three tall ones beside a large main view: none is drawn at a scale at which it says nothing."""
    views = tuple(replace(box_view(100.0, 100.0, f"end {i}"), readable=2.0) for i in range(3))
    content = Content(DrawnView(box_view(150.0, 120.0)), views, (table(3),))
    _, made = arrange(content, ROOMS)
    assert made.left_views == views
    assert made.left_over == []
    assert len(made.panels) == 2
    _, small = arrange(replace(content, sides=tuple(replace(view, readable=0.2) for view in views)), ROOMS)
    assert small.left_views == ()


def test_tables_are_tucked_under_the_views_where_there_is_room() -> None:
    content = Content(DrawnView(box_view(150.0, 60.0)), (box_view(30.0, 30.0), box_view(30.0, 30.0)), (table(4),))
    index, made = arrange(content, ROOMS)
    assert made.left_over == []
    assert len(made.panels) == 4
    room = ROOMS[index]
    for panel in made.panels:
        assert min(panel.box[i] - room[i] for i in (0, 1)) > -1e-6
        assert max(panel.box[i] - room[i] for i in (2, 3)) < 1e-6


def strip_view(length: float, high: float) -> View:
    """A tube's view with dimensions and a table of its ends, which take room whatever its scale."""

    def draw(scale: float, room: tuple[float, float]) -> Panel:
        w, h = length * scale + 134.0, high * scale + 70.0
        return Panel(Picture((rectangle(0, 0, w, h),)), (0.0, 0.0, w, h))

    return View("", lambda scale: (length * scale + 134.0, high * scale + 70.0), draw)


def wide_table(rows: int) -> TableText:
    return TableText("Holes", ("hole", "x" * 45, "y"), tuple((f"A{i}", f"{i * 10.5}", "20") for i in range(rows)))


@pytest.mark.parametrize("rows", range(1, 17))
def test_tables_go_to_a_further_sheet_rather_than_make_a_blot_of_the_view(rows: int) -> None:
    """A tube that is drawn large alone is not drawn 2 mm high so that its tables go under it."""
    content = Content(DrawnView(strip_view(80.0, 80.0)), (), (wide_table(rows), wide_table(2), wide_table(1)))
    made = arrange(content, ROOMS[:1])[1]
    assert 80.0 * made.scale >= 7.99
    assert bool(made.left_over) == (rows > 11)


def test_tables_stay_where_a_further_sheet_would_not_make_the_view_larger() -> None:
    """Two that only look so: a long part is thin at any scale, and a view that is large enough keeps its tables."""
    thin = arrange(Content(DrawnView(strip_view(2400.0, 20.0)), (), (table(6),)), ROOMS[:1])[1]
    assert not thin.left_over
    large = arrange(Content(DrawnView(strip_view(60.0, 40.0)), (), (table(6),)), ROOMS[:1])[1]
    assert not large.left_over
