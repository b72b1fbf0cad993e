"""Stick-on templates of drilled holes, measured back: from the DXF by ezdxf, from the page by PDFium, from job.json."""

from __future__ import annotations

import ctypes
import io
import math
from collections.abc import Iterator
from typing import Any

import ezdxf
import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from jobs import definitions, tube
from shapely import Polygon

from fabgen.documents.data.piece_json import drilled_data
from fabgen.documents.dxf.machine_files import wrap_files
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import render
from fabgen.documents.templates.templates import template_pages
from fabgen.documents.wrap.wrap import unrolled
from fabgen.documents.wrap.wrap_sheet import wrap_sheet
from fabgen.job.tables.definitions import Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece

HOLES = [
    {"at": 120, "side": "top", "bolt": "M10", "both_walls": True},
    {"at": 300, "side": "left", "diameter": 9, "length": 30, "row": {"count": 3, "pitch": 60}},
]
PT = 25.4 / 72.0


def built(section: str, *holes: dict[str, Any]) -> list[Piece]:
    return all_pieces(definitions(tube=[tube("T1", (0, 0, 0), (800, 0, 0), section=section, holes=list(holes))]))


@pytest.mark.parametrize("section", ["48.3 x 3.2", "60 x 40 x 3"])
def test_files_one_for_holes_alike_and_true_in_size(section: str) -> None:
    files = {name: data for name, data in wrap_files(built(section, *HOLES)).items() if name.endswith("dxf")}
    assert list(files) == ["wrap/T1-drill-1.dxf", "wrap/T1-drill-1-far.dxf", "wrap/T1-drill-2.dxf"]
    radius = 48.3 / 2 if section == "48.3 x 3.2" else math.inf
    for name, across, along in (("1", 11, 11), ("1-far", 11, 11), ("2", 9, 30)):
        drawing = ezdxf.read(io.StringIO(files[f"wrap/T1-drill-{name}.dxf"].decode()))
        (edge,) = drawing.modelspace().query("LWPOLYLINE[layer=='HOLE']")
        points = np.array([point[:2] for point in edge.get_points()])  # type: ignore[attr-defined]
        wide = across if math.isinf(radius) else 2 * radius * math.asin(across / 2 / radius)
        assert np.ptp(points, axis=0) == pytest.approx((wide, along), abs=0.02)


def outlines(page: pdfium.PdfPage) -> Iterator[tuple[float, float]]:
    """Width and height of every path of the page with as many points as a hole's edge has, mm."""
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        count = raw.FPDFPath_CountSegments(thing)
        if count < 30:
            continue
        points = []
        for i in range(count):
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(thing, i), x, y)
            points.append((x.value, y.value))
        wide, tall = np.ptp(np.array(points), axis=0) * PT
        yield float(wide), float(tall)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("section", ["48.3 x 3.2", "60 x 40 x 3"])
def test_page_shows_each_hole_at_true_size(section: str, units: str) -> None:
    header = Header.model_validate({"title": "Rack", "number": "R-1", "units": units})
    pages = template_pages(built(section, *HOLES), header, paper.A4)
    document = pdfium.PdfDocument(render(pages, "templates"))
    sizes = [size for page in document for size in outlines(page)]
    across = [2 * 24.15 * math.asin(size / 48.3) if section == "48.3 x 3.2" else size for size in (11, 11, 9)]
    # Round the tube the paper is longer by its own thickness, as its middle keeps its length.
    more = 48.4 / 48.3 if section == "48.3 x 3.2" else 1.0
    assert np.array(sizes) == pytest.approx(np.column_stack((np.array(across) * more, [11, 11, 30])), abs=0.02)
    text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    assert "T1 hole 1, far wall" in text
    assert "make 3" in text
    assert "goes on through the opposite wall" in text


def test_json_has_each_wall_and_the_file_they_share() -> None:
    (piece,) = built("48.3 x 3.2", *HOLES)
    part = piece.length_part
    assert part is not None
    slots = part.drilled[2:]
    data = [drilled_data(hole, slots[0]) for hole in slots]
    assert [each["centre_mm"][1] for each in data] == [300, 360, 420]
    assert {each["dxf"] for each in data} == {"wrap/T1-drill-2.dxf"}
    assert data[0]["size_mm"] == [30, 9]
    flat = Polygon(data[0]["edge"])
    straight = 21 * 9 + math.pi / 4 * 81
    assert flat.area == pytest.approx(straight, rel=0.01)


@pytest.mark.parametrize("section", ["33.7 x 2.6", "40 x 30 x 2"])
@pytest.mark.parametrize("at", ["start", "finish"])
def test_the_wrap_of_a_coped_end_shows_the_holes_on_it(section: str, at: str) -> None:
    """Where they lie to the top line and to the saw cut: right of TOP as seen from the start is left of it on the wrap
    of the finish, as that is seen the other way up."""
    rails = [tube(mark, (x, -300, 0), (x, 300, 0), section="60 x 3") for mark, x in (("L", 0), ("R", 600))]
    hole = {"from": at, "at": 25, "side": 90, "diameter": 8}
    job = definitions(tube=[*rails, tube("T1", (0, 0, 0), (600, 0, 0), section=section, holes=[hole])])
    piece = all_pieces(job)[2]
    part = piece.length_part
    assert part is not None
    wraps = {end.at: unrolled(part, end) for end in part.ends}
    (shown,) = wraps[at].holes  # type: ignore[index]
    assert not wraps["finish" if at == "start" else "start"].holes
    middle = np.mean(shown.edge, axis=0)
    quarter = part.section.perimeter / 4.0
    right = quarter if at == "start" else -quarter
    assert (middle[0] - wraps[at].top) % part.section.perimeter == pytest.approx(  # type: ignore[index]
        right % part.section.perimeter, abs=0.02
    )
    assert middle[1] == pytest.approx(25, abs=0.02)
    sheet = wrap_sheet(piece, part.ends[0 if at == "start" else 1])
    assert any(list(mark) == [*shown.edge, shown.edge[0]] for mark in sheet.marks)  # type: ignore[arg-type]
