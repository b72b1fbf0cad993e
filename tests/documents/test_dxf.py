"""DXF files: what a cutting service needs of them, entity by entity."""

from __future__ import annotations

import hashlib
import io
import math
import os
import subprocess
import sys
from dataclasses import replace

import ezdxf
import ezdxf.bbox
import pytest
from coped_tubes import CASES, coped_tube, round_tube
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline
from shapely import LineString, Polygon

from fabgen.documents.dxf.flat_dxf import flat_dxf, flat_name, sheet_dxf, wrap_name
from fabgen.documents.wrap.wrap import unrolled
from fabgen.documents.wrap.wrap_sheet import wrap_outline, wrap_sheet
from fabgen.geometry.plane.outline import Circle, Corner, Outline
from fabgen.geometry.sheet.folds import Bend
from fabgen.parts.piece import FlatBend, FlatPart, Hole, LengthPart, Mark, Piece


def bracket(dx: float = 0.0, dy: float = 0.0) -> Piece:
    """A strip with rounded corners, a hole on its bend line, a slot, a disc cut-out and a mark."""
    corners = [Corner(0, 0, 5), Corner(120, 0, 5), Corner(120, 80, chamfer=10), Corner(0, 80)]
    bend = Bend(3.0, 3.0, math.pi / 2, 0.42)
    return Piece(
        "B1",
        "bracket",
        2,
        "S235",
        0.2,
        FlatPart(
            1.5,
            Outline.from_corners(corners).moved(dx, dy),
            (Hole(Circle(60.0 + dx, 40.0 + dy, 13.5)), Hole(Outline.stadium(30.0, 9.0).moved(95.0 + dx, 15.0 + dy))),
            (FlatBend((0.0 + dx, 40.0 + dy), (120.0 + dx, 40.0 + dy), bend, True),),
            (Mark((10.0 + dx, 10.0 + dy), "B1-X", 6.0), Mark(line=((5.0 + dx, 60.0 + dy), (50.0 + dx, 60.0 + dy)))),
        ),
    )


def read(data: bytes) -> Drawing:
    return ezdxf.read(io.StringIO(data.decode("ascii")))


def on_layer(document: Drawing, layer: str) -> list[ezdxf.entities.DXFGraphic]:
    return [entity for entity in document.modelspace() if entity.dxf.layer == layer]


def lines_of(document: Drawing, layer: str) -> list[LineString]:
    """The layer's entities as lines, closed ones closed."""
    found = []
    for entity in on_layer(document, layer):
        if isinstance(entity, LWPolyline):
            points = [(x, y) for x, y, *_ in entity.get_points()]
            found.append(LineString(points + points[:1] if entity.closed else points))
        else:
            found.append(LineString([entity.dxf.start.vec2, entity.dxf.end.vec2]))
    return found


# -- names -------------------------------------------------------------------------
def test_names_say_mark_material_thickness_and_quantity() -> None:
    assert flat_name(bracket()) == "B1_S235_1.5mm_x2.dxf"
    odd = replace(bracket(), mark="P_1.a", material="EN AW-5754 H111 / Zn", quantity=10)
    assert flat_name(odd) == "P_1.a_EN-AW-5754-H111-Zn_1.5mm_x10.dxf"
    tube = CASES["common"]
    assert isinstance(tube.shape, LengthPart)
    assert [wrap_name(tube, end) for end in tube.shape.ends] == ["T1-start.dxf", "T1-finish.dxf"]


def test_a_part_of_the_wrong_kind_is_refused() -> None:
    tube = CASES["common"]
    assert isinstance(tube.shape, LengthPart)
    with pytest.raises(TypeError, match="T1 has no flat pattern"):
        flat_dxf(tube)
    with pytest.raises(TypeError, match="B1 is no length of section"):
        wrap_sheet(bracket(), tube.shape.ends[0])


# -- every file ----------------------------------------------------------------------
def every_file() -> dict[str, bytes]:
    files = {
        "bracket": flat_dxf(bracket()),
        "disc": flat_dxf(replace(bracket(), shape=FlatPart(6.0, Circle(9, 9, 150)))),
    }
    for name, tube in CASES.items():
        assert isinstance(tube.shape, LengthPart)
        files |= {f"{name} {end.at}": sheet_dxf(wrap_sheet(tube, end)) for end in tube.shape.ends if end.cut != "plain"}
    return files


FILES = every_file()


@pytest.mark.parametrize("name", FILES)
def test_audit_units_and_extents(name: str) -> None:
    document = read(FILES[name])
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.dxfversion == "AC1015"
    assert (document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == (4, 1)
    box = ezdxf.bbox.extents(document.modelspace(), fast=False)
    assert document.header["$EXTMIN"] == pytest.approx((0.0, 0.0, 0.0))
    assert document.header["$EXTMAX"] == pytest.approx(tuple(box.extmax), abs=1e-3)
    assert tuple(box.extmin) == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
    handles = [entity.dxf.handle for entity in document.modelspace()]
    assert len(set(handles)) == len(handles)
    assert all(int(handle, 16) < int(document.header["$HANDSEED"], 16) for handle in handles)


@pytest.mark.parametrize("name", FILES)
def test_layers_hold_what_they_say(name: str) -> None:
    document = read(FILES[name])
    assert {entity.dxf.layer for entity in document.modelspace()} <= {"CUT", "HOLE", "BEND", "MARK"}
    assert len(on_layer(document, "CUT")) == 1
    for entity in [*on_layer(document, "CUT"), *on_layer(document, "HOLE")]:
        assert entity.dxftype() == "CIRCLE" or (isinstance(entity, LWPolyline) and entity.closed)
    for entity in on_layer(document, "MARK"):
        assert isinstance(entity, LWPolyline)
        assert not entity.closed
    # The look comes from the layer alone, and bends are told by a line type, not by colour.
    for entity in document.modelspace():
        assert (entity.dxf.color, entity.dxf.linetype) == (256, "BYLAYER")
    layers = document.layers
    assert [layers.get(layer).dxf.linetype for layer in ("CUT", "HOLE", "MARK")] == ["Continuous"] * 3
    pattern = document.linetypes.get(layers.get("BEND").dxf.linetype).pattern_tags
    dashes = [tag.value for tag in pattern.tags if tag.code == 49]
    # ISO 128-2:2020, line type 05: one long dash and two dots to a period.
    assert [value > 1.0 for value in dashes if value > 0.0] == [True, False, False]


def test_the_same_part_gives_the_same_bytes_in_any_order_and_run() -> None:
    for name, tube in reversed(CASES.items()):
        assert isinstance(tube.shape, LengthPart)
        assert sheet_dxf(wrap_sheet(tube, tube.shape.ends[0])) == FILES[f"{name} start"]
    assert flat_dxf(bracket()) == FILES["bracket"]
    code = "import hashlib, test_dxf; print(hashlib.sha256(b''.join(test_dxf.FILES.values())).hexdigest())"
    environment = {"PYTHONPATH": os.pathsep.join(sys.path), "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    elsewhere = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, check=True, text=True
    )
    assert elsewhere.stdout.strip() == hashlib.sha256(b"".join(FILES.values())).hexdigest()


def test_the_library_is_left_as_it_was() -> None:
    assert not ezdxf.options.write_fixed_meta_data_for_testing


# -- flats -----------------------------------------------------------------------------
def test_a_flat_keeps_its_arcs_and_circles() -> None:
    document = read(flat_dxf(bracket()))
    (outline,) = on_layer(document, "CUT")
    assert isinstance(outline, LWPolyline)
    bulges = [bulge for *_, bulge in outline.get_points() if bulge]
    assert bulges == pytest.approx([math.tan(math.pi / 8.0)] * 2)
    circle, slot = on_layer(document, "HOLE")
    assert circle.dxf.radius == pytest.approx(6.75)
    assert (circle.dxf.center.x, circle.dxf.center.y) == (60.0, 40.0)
    assert isinstance(slot, LWPolyline)
    assert [bulge for *_, bulge in slot.get_points() if bulge] == [1.0, 1.0]


def test_a_bend_line_stops_at_a_hole() -> None:
    document = read(flat_dxf(bracket()))
    ends = [(e.dxf.start.x, e.dxf.start.y, e.dxf.end.x, e.dxf.end.y) for e in on_layer(document, "BEND")]
    assert sorted(ends) == [
        pytest.approx((0.0, 40.0, 53.25, 40.0), abs=0.01),
        pytest.approx((66.75, 40.0, 120.0, 40.0), abs=0.01),
    ]


def test_a_flat_away_from_the_origin_is_moved_to_it() -> None:
    assert flat_dxf(bracket(250.0, -31.0)) == flat_dxf(bracket())


def test_text_is_single_strokes_of_its_height() -> None:
    document = read(flat_dxf(bracket()))
    lines = lines_of(document, "MARK")
    letters = [line for line in lines if line.bounds[3] < 30.0]
    assert max(line.bounds[3] for line in letters) - min(line.bounds[1] for line in letters) == pytest.approx(6.0)
    assert min(line.bounds[0] for line in letters) == pytest.approx(10.0, abs=0.5)
    assert LineString([(5.0, 60.0), (50.0, 60.0)]) in lines


# -- wraps -----------------------------------------------------------------------------
@pytest.mark.parametrize("name", CASES)
def test_a_wrap_is_closed_and_its_marks_keep_off_the_cut(name: str) -> None:
    tube = CASES[name]
    assert isinstance(tube.shape, LengthPart)
    for end in tube.shape.ends:
        if end.cut == "plain":
            continue
        wrap = unrolled(tube.shape, end)
        document = read(sheet_dxf(wrap_sheet(tube, end)))
        (edge,) = lines_of(document, "CUT")
        outline = Polygon(edge)
        assert outline.is_valid
        assert outline.bounds == pytest.approx((0.0, 0.0, tube.shape.section.perimeter, wrap.height), abs=1e-6)
        marks = lines_of(document, "MARK")
        assert len(marks) > 10
        for mark in marks:
            assert outline.contains(mark)
            assert outline.exterior.distance(mark) > 0.4


def test_a_wrap_follows_the_line_within_a_hundredth() -> None:
    tube = CASES["common"]
    assert isinstance(tube.shape, LengthPart)
    end = tube.shape.ends[0]
    wrap = unrolled(tube.shape, end)
    edge = LineString(wrap_outline(wrap))
    x = end.line.x - end.line.x.min()
    for station, height in zip(end.line.station, x, strict=True):
        assert edge.distance(LineString([(station, height), (station, height)])) <= 0.005 + 1e-9


def test_a_line_with_a_gap_is_closed_along_the_saw_cut() -> None:
    tube = CASES["larger than its main"]
    assert isinstance(tube.shape, LengthPart)
    wrap = unrolled(tube.shape, tube.shape.ends[0])
    gaps = wrap.gaps()
    assert len(gaps) == 2
    outline = Polygon(wrap_outline(wrap))
    for start, finish in gaps:
        middle = (start + finish) / 2.0
        assert outline.exterior.distance(LineString([(start + 1.0, 0.0), (finish - 1.0, 0.0)])) == 0.0
        assert outline.covers(LineString([(middle, 0.1), (middle, wrap.height)]))
    # Its letters: more strokes than the same tube has without a gap.
    whole = coped_tube(tube.shape.section, round_tube(76.1), 60.0)
    assert isinstance(whole.shape, LengthPart)
    strokes = [len(on_layer(read(sheet_dxf(wrap_sheet(t, t.shape.ends[0]))), "MARK")) for t in (tube, whole)]  # type: ignore[union-attr]
    assert strokes[0] >= strokes[1] + 2 * len("NOCONTACT")
