"""Templates of holes in mains: the patch on paper, its files, its pages, its figures."""

from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET
from collections import defaultdict
from dataclasses import replace
from itertools import pairwise
from typing import Any

import ezdxf
import numpy as np
import pytest
from ezdxf.entities import LWPolyline
from shapely import LineString, Point, Polygon, STRtree, box

from fabgen.documents.dxf.flat_dxf import hole_name, sheet_dxf
from fabgen.documents.dxf.svg_file import sheet_svg
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.picture import Stroke, Text
from fabgen.documents.render.sketch import text_box
from fabgen.documents.render.tiling import Joins
from fabgen.documents.render.true_size import MARGIN
from fabgen.documents.templates.hole_template import HoleTemplate
from fabgen.documents.templates.templates import template_pages
from fabgen.documents.wrap.hole_patch import Patch, patch
from fabgen.documents.wrap.wrap_sheet import hole_sheet
from fabgen.job.tables.definitions import Definitions, Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Opening, Piece

OPENS = {"opens": True}


def tube(mark: str, *route: tuple[float, float, float], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def built(*tubes: dict[str, Any]) -> list[Piece]:
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": list(tubes)})
    return all_pieces(job)


def main(section: str = "60.3 x 3.2") -> dict[str, Any]:
    return tube("T1", (-500, 0, 0), (500, 0, 0), section=section)


def header(units: str = "mm") -> Header:
    return Header.model_validate({"title": "Curlew trailer", "number": "CUR-01", "units": units})


JOBS = {
    "square, on top": built(main(), tube("T2", (0, 0, 0), (0, 0, 700), start=OPENS)),
    "square, to the left": built(main(), tube("T2", (0, 0, 0), (0, 700, 0), start=OPENS)),
    "oblique and offset": built(main(), tube("T2", (0, 0, 6), (300, -500, 106), section="33.7 x 2.6", start=OPENS)),
    "small": built(main("20 x 2"), tube("T2", (0, 0, 0), (0, 700, 0), section="12 x 1.5", start=OPENS)),
    "box in box": built(
        main("80 x 60 x 3 r 6"), tube("T2", (0, 0, 0), (0, 700, 0), section="40 x 20 x 2", start=OPENS)
    ),
    "round in a corner": built(
        main("40 x 40 x 3 r 10"), tube("T2", (0, 0, 0), (0, 400, 400), section="26.9 x 2.3", start=OPENS)
    ),
    "turned box in round": built(
        main(), tube("T2", (0, 0, 0), (200, 0, 700), section="40 x 20 x 2", turn=25, start=OPENS)
    ),
    "large and shallow": built(
        main("219.1 x 6"), tube("T2", (0, 0, 0), (400, 0, 300), section="193.7 x 5", start=OPENS)
    ),
}


def hole(name: str) -> Opening:
    part = JOBS[name][0].length_part
    assert part is not None
    (found,) = part.holes
    return found


def template(name: str, units: str = "mm") -> HoleTemplate:
    return HoleTemplate(JOBS[name][0], hole(name), units)


def words(page: Page) -> list[str]:
    return [item.text for item in page.picture.items if isinstance(item, Text)]


# -- the patch ---------------------------------------------------------------------
def test_on_paper_the_way_round_grows_by_the_papers_thickness() -> None:
    bare, papered = patch(hole("square, to the left")), patch(hole("square, to the left"), 0.1)
    wide = [p.hole[2] - p.hole[0] for p in (bare, papered)]
    assert wide[0] == pytest.approx(60.3 * math.asin(41.9 / 60.3), abs=1e-9)
    assert wide[1] / wide[0] == pytest.approx(60.4 / 60.3)
    assert bare.hole[3] - bare.hole[1] == papered.hole[3] - papered.hole[1] == pytest.approx(41.9)


def test_the_top_line_is_shown_where_it_is_near() -> None:
    assert patch(hole("square, on top")).top == pytest.approx(0.0, abs=1e-9)
    # A quarter round to the left of TOP: TOP is to the right.
    assert patch(hole("square, to the left")).top == pytest.approx(math.pi * 60.3 / 4.0)
    assert patch(hole("box in box")).top is None


def test_a_rectangular_mains_folds_and_faces() -> None:
    flat = patch(hole("round in a corner"))
    arc = 10.0 * math.pi / 2.0
    assert [b - a for a, b in pairwise(flat.folds)] == pytest.approx([20.0, arc, 20.0])
    assert -arc / 2.0 in [pytest.approx(u) for u in flat.folds]
    assert {name for name, *_ in flat.faces} == {"left", "top"}


@pytest.mark.parametrize("name", JOBS)
def test_the_patch_holds_its_hole_and_goes_round_the_main_less_than_once(name: str) -> None:
    flat: Patch = patch(hole(name), 0.1)
    x0, y0, x1, y1 = flat.box
    outline = Polygon(flat.edge)
    assert outline.is_valid
    assert box(x0 + 1.0, y0 + 10.0, x1 - 1.0, y1 - 10.0).contains(outline)
    assert outline.contains(Point(0.0, 0.0))
    assert flat.width < hole(name).onto.perimeter


# -- files ---------------------------------------------------------------------------
def test_file_names() -> None:
    assert hole_name(hole("square, on top")) == "T1-hole-T2.dxf"
    # Where both ends of a bent branch open into one main, the file says which.
    assert hole_name(replace(hole("square, on top"), only=False)) == "T1-hole-T2-start.dxf"


@pytest.mark.parametrize("name", JOBS)
def test_the_dxf_has_the_patch_on_cut_and_the_hole_on_hole(name: str) -> None:
    data = sheet_dxf(hole_sheet(hole(name)))
    document = ezdxf.read(io.StringIO(data.decode("ascii")))
    assert not document.audit().errors
    layers: dict[str, list[LWPolyline]] = defaultdict(list)
    for entity in document.modelspace():
        layers[entity.dxf.layer].append(entity)  # type: ignore[arg-type]
    (cut,), (edge,) = layers["CUT"], layers["HOLE"]
    assert cut.closed
    assert edge.closed
    outline, ring = (Polygon([(x, y) for x, y, *_ in line.get_points()]) for line in (cut, edge))
    assert outline.bounds[:2] == (0.0, 0.0)
    assert outline.contains(ring)
    assert ring.area == pytest.approx(Polygon(patch(hole(name)).edge).area, rel=1e-3)
    marks = [LineString([(x, y) for x, y, *_ in line.get_points()]) for line in layers["MARK"]]
    crossing = [mark for mark in marks if mark.crosses(ring.exterior)]
    assert not crossing
    assert all(outline.contains(mark) for mark in marks)
    # The cross stands in the hole's centre: where the branch's axis comes through.
    x0, y0, *_ = patch(hole(name)).box
    assert sum(mark.distance(Point(-x0, -y0)) < 1e-6 for mark in marks) == 2
    assert len(marks) > 10
    assert sheet_dxf(hole_sheet(hole(name))) == data


@pytest.mark.parametrize("name", JOBS)
def test_the_svg_is_the_same_at_true_size(name: str) -> None:
    sheet = hole_sheet(hole(name))
    root = ET.fromstring(sheet_svg(sheet))
    assert root.get("width") == f"{sheet.width:.3f}".rstrip("0").rstrip(".") + "mm"
    (ring,) = root.findall(".//*[@id='HOLE']/*")
    points = [tuple(float(n) for n in pair.split()) for pair in re.split("[MLZ]", ring.get("d", "")) if pair]
    flipped = [(x, sheet.height - y) for x, y in points]
    assert flipped == [pytest.approx(p, abs=1e-3) for p in sheet.holes[0]]


# -- pages ---------------------------------------------------------------------------
@pytest.mark.parametrize(("sheet", "units"), [(paper.A4, "mm"), (paper.LETTER, "in"), (paper.A3, "mm")])
@pytest.mark.parametrize("name", JOBS)
def test_no_text_lies_on_a_line_or_a_text_and_all_is_inside_the_margin(
    name: str, sheet: paper.Paper, units: str
) -> None:
    for page in template_pages(JOBS[name], header(units), sheet):
        texts = [item for item in page.picture.items if isinstance(item, Text)]
        boxes = [box(*text_box(item)) for item in texts]
        lines = [
            LineString([*item.points, item.points[0]] if item.closed else item.points)
            for item in page.picture.items
            if isinstance(item, Stroke)
        ]
        printable = box(MARGIN, MARGIN, page.width - MARGIN, page.height - MARGIN).buffer(0.3)
        assert all(printable.covers(thing) for thing in (*lines, *boxes))
        inner = [area.buffer(-0.1) for area in boxes]
        on_lines = STRtree(lines).query(inner, predicate="intersects")
        assert not on_lines.size, [texts[i].text for i, _ in on_lines.T]
        pairs = STRtree(inner).query(inner, predicate="intersects")
        assert all(i == k for i, k in pairs.T), [(texts[i].text, texts[k].text) for i, k in pairs.T if i < k]


def test_what_a_hole_says() -> None:
    (page, *_rest) = template_pages(JOBS["square, to the left"], header(), paper.A4, card=False)
    text = "\n".join(words(page))
    for wanted in (
        "T1 hole for T2",
        "60.3 x 3.2, S235",
        "bore 41.9 mm of T2 at its start, 90° to T1",
        "centre 500 mm from T1's start, the saw cut",
        "its centre line 47.4 mm round from TOP, to the left",
        "hole 41.9 mm along the tube, 46.3 mm round it",
        "cut along T2, not square to the skin",
        "hole saw 41 mm (1 5/8 in), square to the tube, along T2's axis, then 0.3 mm to dress all round",
        "500 mm",
        "from T1's start",
        "47.4 mm left of TOP",
        "TOP",
        "cut out",
        "to T1 finish",
    ):
        assert wanted in text, wanted


def test_an_inch_job_says_inches() -> None:
    (page, *_rest) = template_pages(JOBS["square, to the left"], header("in"), paper.LETTER, card=False)
    said = words(page)
    assert any('19.685"' in text for text in said)
    assert any(re.fullmatch(r"-?\d*\s?\d+/\d+", text) for text in said)


@pytest.mark.parametrize("name", JOBS)
def test_the_printed_hole_is_the_patchs(name: str) -> None:
    made = template(name)
    sketch = made.drawing(Joins(made.box))
    closed = [item for item in sketch.items if isinstance(item, Stroke) and item.closed and item.pen == "trim"]
    assert [len(item.points) for item in closed] == [4, len(made.patch.edge)]
    assert closed[1].points == made.patch.edge
    cut_out = [item for item in sketch.items if isinstance(item, Text) and item.text == "cut out"]
    ring = Polygon(made.patch.edge)
    assert all(ring.contains(box(*text_box(item))) for item in cut_out)


def test_ordinates_lie_on_the_hole() -> None:
    made = template("oblique and offset")
    rows: dict[float, list[tuple[float, str]]] = defaultdict(list)
    for item in made.table(200.0).picture.items:
        if isinstance(item, Text):
            rows[round(item.y, 3)].append((item.x, item.text))
    ring = LineString([*made.hole.edge.points, made.hole.edge.points[0]])
    seen = 0
    for row in rows.values():
        cells = [text for _, text in sorted(row)]
        if len(cells) % 3 == 0 and all(re.fullmatch(r"-?[\d.]+", cell) for cell in cells):
            for i in range(0, len(cells), 3):
                assert ring.distance(Point(float(cells[i + 1]), float(cells[i + 2]))) < 0.08
                seen += 1
    assert seen == 24


def test_a_rectangular_holes_table_has_its_corners() -> None:
    made = template("box in box")
    texts = [item.text for item in made.table(200.0).picture.items if isinstance(item, Text)]
    # 36 x 16 bore, corners of 4 - 2 = 2 mm: tangent points at (18, 6) and (16, 8).
    assert {"6.0", "18.0", "8.0", "16.0"} <= {text.lstrip("-") for text in texts}
    assert np.isfinite(made.hole.edge.points).all()


def test_holes_follow_their_mains_ends() -> None:
    pages = template_pages(JOBS["square, on top"], header(), paper.A4)
    heads = [text for page in pages for text in words(page) if text in ("T1 hole for T2", "T2 start")]
    assert heads.index("T1 hole for T2") < heads.index("T2 start")
