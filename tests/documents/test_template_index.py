"""The page that tells which template serves which end, of a job with many ends alike."""

from coped_tubes import coped_tube, round_tube
from shapely import STRtree, box

from fabgen.documents.render.paper import A4
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.picture import Text
from fabgen.documents.render.sketch import text_box
from fabgen.documents.render.true_size import MARGIN
from fabgen.documents.templates.templates import template_pages
from fabgen.job.tables.definitions import Header

HEADER = Header.model_validate({"title": "t", "number": "1", "units": "mm"})


def pages(count: int) -> list[Page]:
    made = [coped_tube(round_tube(33.7), round_tube(60.3), 60.0, mark=f"BRACE-{i}") for i in range(count)]
    return [
        page
        for page in template_pages(made, HEADER, A4)
        if any(isinstance(item, Text) and item.text == "Ends alike" for item in page.picture.items)
    ]


def test_few_are_named_on_the_template_itself() -> None:
    assert pages(6) == []


def test_every_end_is_named() -> None:
    found = pages(900)
    assert len(found) > 1
    said = " ".join(item.text for page in found for item in page.picture.items if isinstance(item, Text))
    assert "BRACE-0 start is the template for" in said
    assert all(f"BRACE-{i} " in said for i in range(900))


def test_it_prints_clean() -> None:
    for page in pages(900):
        boxes = [box(*text_box(item)).buffer(-0.1) for item in page.picture.items if isinstance(item, Text)]
        inside = box(MARGIN, MARGIN, page.width - MARGIN, page.height - MARGIN).buffer(0.3)
        assert all(inside.covers(each) for each in boxes)
        found = STRtree(boxes).query(boxes, predicate="intersects")
        assert (found[0] == found[1]).all()
