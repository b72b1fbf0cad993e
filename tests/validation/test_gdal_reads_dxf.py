"""DXF files as an independent reader sees them: GDAL's DXF driver, through pyogrio.

GDAL/OGR vector driver 'AutoCAD DXF' (gdal.org, vector drivers): reads LWPOLYLINE with bulges and
CIRCLE, and strokes arcs at OGR_ARC_STEPSIZE degrees, so an area it reports falls short of the
true one by a share of step^2 / 6 of the arc's own segment: under 1e-7 at 0.04 degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import pyogrio
import pytest
import shapely
from coped_tubes import CASES

from fabgen.documents.dxf.flat_dxf import flat_dxf, sheet_dxf
from fabgen.documents.wrap.wrap import unrolled
from fabgen.documents.wrap.wrap_sheet import wrap_outline, wrap_sheet
from fabgen.geometry.plane.outline import Circle, Corner, Loop, Outline
from fabgen.geometry.sheet.folds import Bend
from fabgen.parts.piece import FlatBend, FlatPart, Hole, LengthPart, Mark, Piece

OPTIONS = {"OGR_ARC_STEPSIZE": "0.04", "OGR_ARC_MAX_GAP": "0.001", "DXF_CLOSED_LINE_AS_POLYGON": "YES"}


@pytest.fixture(autouse=True)
def _fine_arcs() -> Iterator[None]:
    pyogrio.set_gdal_config_options(OPTIONS)
    yield
    pyogrio.set_gdal_config_options(dict.fromkeys(OPTIONS))


def layers(data: bytes, folder: Path) -> dict[str, list[shapely.Geometry]]:
    """Layer name to the shapes GDAL finds on it."""
    path = folder / "part.dxf"
    path.write_bytes(data)
    fields, _, shapes, columns = pyogrio.raw.read(path, columns=["Layer"])
    names = columns[list(fields["fields"]).index("Layer")]
    found: dict[str, list[shapely.Geometry]] = {}
    for name, shape in zip(names, shapely.from_wkb(shapes), strict=True):
        found.setdefault(str(name), []).append(shape)
    return found


def area(shape: shapely.Geometry) -> float:
    return shapely.Polygon(shapely.get_coordinates(shape)).area


BEND = Bend(3.0, 3.0, math.pi / 2.0, 0.42)
ROUNDED = [Corner(0, 0, 12), Corner(180, 0, 12), Corner(180, 70, chamfer=15), Corner(95, 120, 30), Corner(0, 90, 8)]
FLATS: dict[str, FlatPart] = {
    "plate": FlatPart(
        6.0,
        Outline.from_corners(ROUNDED),
        (Hole(Circle(40, 40, 13.5)), Hole(Outline.stadium(40.0, 11.0).turned(0.6).moved(110.0, 45.0))),
        marks=(Mark((20.0, 70.0), "P1", 6.0),),
    ),
    "bracket": FlatPart(
        3.0,
        Outline.rectangle(160.0, 60.0, 5.0),
        (Hole(Circle(25, 30, 9)), Hole(Circle(135, 30, 9)), Hole(Circle(80, 50, 6.6))),
        (FlatBend((55.0, 0.0), (55.0, 60.0), BEND, True), FlatBend((105.0, 0.0), (105.0, 60.0), BEND, True)),
    ),
    "disc": FlatPart(6.0, Circle(75.0, 75.0, 150.0), (Hole(Circle(75.0, 75.0, 42.0)),)),
    "slot": FlatPart(4.0, Outline.stadium(120.0, 40.0).moved(60.0, 20.0)),
}


@pytest.mark.parametrize("name", FLATS)
def test_flat_areas_agree(name: str, tmp_path: Path) -> None:
    part = FLATS[name]
    found = layers(flat_dxf(Piece("P1", "plate", 1, "S275", 1.0, part)), tmp_path)
    loops: dict[str, list[Loop]] = {"CUT": [part.outline], "HOLE": [hole.shape for hole in part.holes]}
    for layer, expected in loops.items():
        shapes = found.pop(layer, [])
        assert [area(s) for s in shapes] == pytest.approx([loop.area for loop in expected], rel=1e-6)
        lengths = [shapely.LineString(shapely.get_coordinates(s)).length for s in shapes]
        assert lengths == pytest.approx([loop.perimeter for loop in expected], rel=1e-6)
    assert len(found.pop("BEND", [])) == len(part.bends)
    assert bool(found.pop("MARK", [])) == bool(part.marks)
    assert not found


def test_bends_and_marks_are_lines_and_lie_on_the_part(tmp_path: Path) -> None:
    part = FLATS["bracket"]
    found = layers(flat_dxf(Piece("B1", "bracket", 1, "S235", 1.0, part)), tmp_path)
    outline = shapely.Polygon(shapely.get_coordinates(found["CUT"][0]))
    assert [s.geom_type for s in found["BEND"]] == ["LineString"] * 2
    assert sorted(s.bounds for s in found["BEND"]) == [(55.0, 0.0, 55.0, 60.0), (105.0, 0.0, 105.0, 60.0)]
    assert all(outline.covers(s) for s in found["BEND"])


@pytest.mark.parametrize("name", CASES)
def test_wrap_areas_agree(name: str, tmp_path: Path) -> None:
    piece = CASES[name]
    assert isinstance(piece.shape, LengthPart)
    end = piece.shape.ends[0]
    wrap = unrolled(piece.shape, end)
    found = layers(sheet_dxf(wrap_sheet(piece, end)), tmp_path)
    folded = set() if piece.shape.section.is_round else {"BEND"}
    assert set(found) == {"CUT", "MARK"} | folded
    (cut,) = found["CUT"]
    assert area(cut) == pytest.approx(shapely.Polygon(wrap_outline(wrap)).area, rel=1e-6)
    x0, y0, x1, y1 = cut.bounds
    assert (x0, y0) == (0.0, 0.0)
    assert x1 == pytest.approx(piece.shape.section.perimeter, abs=1e-5)
    assert y1 == pytest.approx(wrap.height, abs=1e-5)
    # The area below the straight edge is also the trapezoid sum over the line itself.
    heights = wrap.filled()
    assert area(cut) == pytest.approx(
        wrap.width * wrap.height - float(((heights[1:] + heights[:-1]) / 2.0 * (wrap.u[1:] - wrap.u[:-1])).sum()),
        rel=2e-3 if wrap.gaps() else 1e-4,
    )
