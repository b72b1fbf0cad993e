"""A nest's DXF as GDAL reads it (through pyogrio): parts on the sheet, apart, on their layers, in cutting order."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely
from random_sheets import parts_of, random_pieces
from shapely import Polygon

from fabgen.documents.dxf.nest_dxf import cutting_order, nest_dxf, nest_names
from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.geometry.sheet.folds import Bend
from fabgen.parts.piece import FlatBend, FlatPart, Hole, Mark
from fabgen.plan.plan import PlacedPart, SheetPlan
from fabgen.plan.sheets.blanks import blanks_of
from fabgen.plan.sheets.sheet_stock import Spacing
from fabgen.plan.sheets.sheets import Effort, SheetStock, plan_sheets

OPTIONS = {"OGR_ARC_STEPSIZE": "0.5", "DXF_CLOSED_LINE_AS_POLYGON": "YES"}
GAP, MARGIN = 5.0, 10.0
CORNERS = [(0.0, 0.0), (900.0, 0.0), (800.0, 400.0), (300.0, 700.0), (0.0, 650.0)]


@pytest.fixture(autouse=True)
def _fine_arcs() -> Iterator[None]:
    pyogrio.set_gdal_config_options(OPTIONS)
    yield
    pyogrio.set_gdal_config_options(dict.fromkeys(OPTIONS))


def layers(data: bytes, folder: Path) -> dict[str, list[shapely.Geometry]]:
    path = folder / "sheet.dxf"
    path.write_bytes(data)
    fields, _, shapes, columns = pyogrio.raw.read(path, columns=["Layer"])
    names = columns[list(fields["fields"]).index("Layer")]
    found: dict[str, list[shapely.Geometry]] = {}
    for name, shape in zip(names, shapely.from_wkb(shapes), strict=True):
        found.setdefault(str(name), []).append(shape)
    return found


def plane(shape: shapely.Geometry) -> Polygon:
    return Polygon(shapely.get_coordinates(shape))


@pytest.fixture(scope="module")
def nested() -> tuple[list[SheetPlan], dict[str, FlatPart]]:
    pieces = random_pieces(21, 9)
    stocks = [
        SheetStock((1000.0, 500.0)),
        SheetStock((900.0, 700.0), on_hand=1, outline=Outline.polygon(CORNERS)),
    ]
    sheets, _ = plan_sheets(("S235", 3.0), blanks_of(pieces)["S235", 3.0], stocks, Spacing(GAP, MARGIN), Effort.NORMAL)
    assert len(sheets) > 1
    return sheets, parts_of(pieces)


def test_what_is_read_is_what_was_planned(nested: tuple[list[SheetPlan], dict[str, FlatPart]], tmp_path: Path) -> None:
    sheets, parts = nested
    for sheet in sheets:
        found = layers(nest_dxf(sheet, parts), tmp_path)
        cut = [plane(shape) for shape in found["CUT"]]
        assert len(cut) == len(sheet.placed)
        areas = sorted(parts[place.mark].outline.area for place in sheet.placed)
        assert sorted(shape.area for shape in cut) == pytest.approx(areas, rel=5e-5)
        (edge,) = found["SHEET"]
        whole = plane(edge)
        assert whole.bounds == pytest.approx((0.0, 0.0, *sheet.size))
        holes = [plane(shape) for shape in found.get("HOLE", [])]
        metal = []
        for shape in cut:
            assert whole.contains(shape)
            assert whole.exterior.distance(shape) > MARGIN - 1e-3
            own = [hole for hole in holes if shape.contains(hole)]
            metal.append(shape.difference(shapely.union_all(own)))
        tree = shapely.STRtree(metal)
        assert all(i == j for i, j in tree.query(metal, predicate="dwithin", distance=GAP - 0.01).T)


def test_marks_and_bends_turn_with_their_part(tmp_path: Path) -> None:
    bend = FlatBend((0.0, 30.0), (80.0, 30.0), Bend(3.0, 3.0, math.pi / 2.0, 0.42), True)
    part = FlatPart(3.0, Outline.rectangle(80.0, 50.0), bends=(bend,), marks=(Mark((10.0, 8.0), "B1", 6.0),))
    sheet = SheetPlan("S235", 3.0, (300.0, 200.0), (PlacedPart("B1", 100.0, 20.0, 90.0),), 0.1, False)
    found = layers(nest_dxf(sheet, {"B1": part}), tmp_path)
    (line,) = found["BEND"]
    assert sorted(map(tuple, shapely.get_coordinates(line).round(6).tolist())) == [(70.0, 20.0), (70.0, 100.0)]
    strokes = shapely.union_all(found["MARK"])
    x0, y0, x1, _ = strokes.bounds
    # Turned a quarter left the text runs upward, its foot to the right.
    assert (y0, x1) == pytest.approx((30.0, 92.0), abs=1.5)
    assert x1 - x0 == pytest.approx(6.0, abs=0.5)


def test_parts_in_holes_are_cut_first_and_marks_before_all(tmp_path: Path) -> None:
    ring = FlatPart(3.0, Circle(100.0, 100.0, 200.0), (Hole(Circle(100.0, 100.0, 150.0)),))
    inner = FlatPart(
        3.0, Circle(50.0, 50.0, 100.0), (Hole(Circle(50.0, 50.0, 60.0)),), marks=(Mark((2.0, 50.0), "B", 3.0),)
    )
    core = FlatPart(3.0, Circle(20.0, 20.0, 40.0))
    parts = {"A": ring, "B": inner, "C": core, "D": FlatPart(3.0, Outline.rectangle(30.0, 30.0))}
    placed = (
        PlacedPart("A", 10.0, 10.0, 0.0),
        PlacedPart("D", 300.0, 10.0, 0.0),
        PlacedPart("B", 60.0, 60.0, 0.0),
        PlacedPart("C", 90.0, 90.0, 0.0),
    )
    assert [place.mark for place in cutting_order(placed, parts)] == ["C", "B", "A", "D"]
    path = tmp_path / "order.dxf"
    path.write_bytes(nest_dxf(SheetPlan("S235", 3.0, (400.0, 300.0), placed, 0.5, False), parts))
    order = [entity.dxf.layer for entity in ezdxf.readfile(path).modelspace()]
    assert order[0] == "SHEET"
    steps = [layer for layer in order if layer in ("CUT", "HOLE")]
    assert steps == ["CUT", "HOLE", "CUT", "HOLE", "CUT", "CUT"]
    assert max(i for i, layer in enumerate(order) if layer == "MARK") < order.index("CUT")


def test_the_file_is_sound_and_repeatable(nested: tuple[list[SheetPlan], dict[str, FlatPart]], tmp_path: Path) -> None:
    sheets, parts = nested
    data = nest_dxf(sheets[0], parts)
    assert nest_dxf(sheets[0], parts) == data
    path = tmp_path / "sheet.dxf"
    path.write_bytes(data)
    document = ezdxf.readfile(path)
    assert document.units == 4
    assert not document.audit().errors
    assert {layer.dxf.name for layer in document.layers} >= {"CUT", "HOLE", "BEND", "MARK", "SHEET"}
    assert tuple(document.header["$EXTMAX"])[:2] == pytest.approx(sheets[0].size)


def test_names() -> None:
    kinds = [(3.0, "S235"), (3.0, "S235"), (1.5, "EN AW-5754"), (3.0, "304")]
    sheets = [SheetPlan(material, thickness, (1.0, 1.0), (), 0.0, False) for thickness, material in kinds]
    assert nest_names(sheets) == ["3mm_S235_1.dxf", "3mm_S235_2.dxf", "1.5mm_EN-AW-5754_1.dxf", "3mm_304_1.dxf"]
