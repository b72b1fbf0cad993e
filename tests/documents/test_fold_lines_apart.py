"""What folds up and what folds down look different wherever a flat is drawn: paper pattern and overview of an order."""

from __future__ import annotations

from collections.abc import Iterable

from jobs import checked, definitions

from fabgen.documents.dxf.flat_dxf import bend_lines
from fabgen.documents.lists.overview import overview_pages
from fabgen.documents.render.paper import A4
from fabgen.documents.render.picture import PENS, Item, Stroke
from fabgen.documents.templates.patterns import pattern_pages

ZED = {"mark": "B1", "shape": "zed", "thickness": 3, "legs": [40, 40], "web": 60, "length": 100}


def pens(items: Iterable[Item]) -> set[str]:
    return {each.pen for each in items if isinstance(each, Stroke) and each.pen.startswith("bend")}


def test_both_pens_are_drawn() -> None:
    job = checked(definitions(bracket=[ZED]))
    for pages in (pattern_pages(job.pieces, job.job.job, A4), overview_pages(job.pieces, "3 mm", A4)):
        assert set().union(*(pens(page.picture.items) for page in pages)) == {"bend", "bend down"}
    assert PENS["bend"].dash != PENS["bend down"].dash


def test_of_a_zed_one_line_folds_up_and_one_down() -> None:
    (piece,) = checked(definitions(bracket=[ZED])).pieces
    assert piece.flat_part is not None
    up, down, every = (list(bend_lines(piece.flat_part, way)) for way in (True, False, None))
    assert (len(up), len(down)) == (1, 1)
    assert sorted(up + down) == sorted(every)
