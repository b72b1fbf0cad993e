"""The order pack, its overview, SVG beside DXF, files with the kerf allowed for, and paper patterns."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
from conftest import make_plate
from coped_tubes import coped_tube, round_tube
from ezdxf.entities import Circle as CircleEntity
from ezdxf.entities import LWPolyline
from jobs import findings, made_by_hand
from page.print_check import outside, overlaps, struck
from shapely import LineString, Point, Polygon

from fabgen.app.starters import starters
from fabgen.checks.sheet import sheet_outline
from fabgen.documents.dxf.flat_dxf import flat_dxf, flat_name, hole_name, wrap_name
from fabgen.documents.dxf.machine_files import kerf_files, kerf_name
from fabgen.documents.dxf.nest_dxf import nest_names
from fabgen.documents.dxf.svg_file import flat_svg, svg_name
from fabgen.documents.lists.order_pack import order_faults, order_pack, orders, parts_csv, zipped
from fabgen.documents.lists.overview import overview_pages
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import Page, render
from fabgen.documents.render.picture import Arc, Stroke, Text
from fabgen.documents.templates.patterns import pattern_pages
from fabgen.geometry.plane.outline import Circle, Corner, Outline
from fabgen.geometry.tube.penetration import Penetration
from fabgen.job.reader import read_job
from fabgen.job.tables.definitions import Definitions, Header
from fabgen.parts.bracket import bracket
from fabgen.parts.cover import cover
from fabgen.parts.piece import FlatPart, Hole, Opening, Piece
from fabgen.parts.shape.kerf import with_kerf
from fabgen.plan.plan import SheetPlan

HEADER = Header.model_validate({"title": "Curlew trailer", "number": "CUR-01", "units": "mm"})


@pytest.fixture(scope="module")
def covers() -> list[Piece]:
    """All shapes of covers: the starter's."""
    return cover.pieces(read_job(starters()["covers"]).definitions)


def flat(piece: Piece) -> FlatPart:
    assert isinstance(piece.shape, FlatPart)
    return piece.shape


# -- order pack -------------------------------------------------------------------
def test_one_folder_and_one_zip_a_material_and_thickness(covers: list[Piece]) -> None:
    pieces = [*covers, make_plate("P1"), replace(make_plate("P2"), finish="zinc plated")]
    pack = order_pack(HEADER, pieces, paper.A4)
    assert [order.name for order in orders(pieces)] == ["2mm_DC01", "1.5mm_DC01", "1.2mm_DC01", "6mm_S275"]
    assert {name.split("/")[1] for name in pack if name.count("/") == 2} == {
        "2mm_DC01",
        "1.5mm_DC01",
        "1.2mm_DC01",
        "6mm_S275",
    }
    assert pack["order/6mm_S275/P1_S275_6mm_x1.dxf"] == flat_dxf(pieces[-2])
    with zipfile.ZipFile(io.BytesIO(pack["order/6mm_S275.zip"])) as archive:
        assert archive.testzip() is None
        for name in archive.namelist():
            assert archive.read(name) == pack[f"order/{name}"]
        assert len(archive.namelist()) == 4
    assert order_pack(HEADER, pieces, paper.A4) == pack


def sheets_of(*kinds: tuple[str, float]) -> list[Piece]:
    """A plate for each material and thickness, two of each."""
    plates = [make_plate(f"P{i}", quantity=2) for i, _ in enumerate(kinds)]
    return [
        replace(plate, material=material, shape=replace(flat(plate), thickness=thickness))
        for plate, (material, thickness) in zip(plates, kinds, strict=True)
    ]


LOOK_ALIKE = {
    "thickness": [("S235", 1.52), ("S235", 1.524)],
    "accents": [("acier é", 3.0), ("acier e", 3.0), ("ACIER E", 3.0)],
    "no ascii": [("鋼", 3.0), ("鉄", 3.0)],
    "number": [("S", 1.0), ("s", 1.0), ("S-2", 1.0)],
}


@pytest.mark.parametrize("kinds", LOOK_ALIKE.values(), ids=LOOK_ALIKE.keys())
def test_every_part_is_in_one_order_though_names_look_alike(kinds: list[tuple[str, float]]) -> None:
    pieces = sheets_of(*kinds)
    pack = order_pack(HEADER, pieces, paper.A4)
    zips = [name for name in pack if name.endswith(".zip")]
    assert len({name.casefold() for name in zips}) == len(zips) == len(kinds)
    rows = [
        row
        for path, data in pack.items()
        if path.endswith(".csv")
        for row in csv.DictReader(io.StringIO(data.decode()))
    ]
    assert sorted((row["mark"], row["material"], float(row["thickness_mm"]), row["quantity"]) for row in rows) == [
        (piece.mark, *kind, "2") for piece, kind in zip(pieces, kinds, strict=True)
    ]
    sheets = [SheetPlan(material, thickness, (1.0, 1.0), (), 0.0, False) for material, thickness in kinds]
    assert len({name.casefold() for name in nest_names(sheets)}) == len(kinds)


def test_what_was_ordered_is_held_against_what_is_needed() -> None:
    pieces = sheets_of(("S235", 3.0), ("S235", 4.0))
    pack = order_pack(HEADER, pieces, paper.A4)
    assert order_faults(pack, pieces) == []
    without = {name: data for name, data in pack.items() if name != "order/4mm_S235.zip"}
    assert order_faults(without, pieces) == ["P1 is in 0 orders, 1 needed"]
    twice = pack | {
        "order/x.zip": zipped({f"x/{n}": pack[f"order/3mm_S235/{n}"] for n in ("parts.csv", "P0_S235_3mm_x2.dxf")})
    }
    assert order_faults(twice, pieces) == ["P0 is in 2 orders, 1 needed"]
    more = [replace(pieces[0], quantity=3), replace(pieces[1], material="S275")]
    assert order_faults(pack, more) == ["2 of P0 ordered, 3 needed", "P1 ordered in 4 mm S235, 4 mm S275 needed"]
    assert order_faults(pack, pieces[:1]) == ["P1 is ordered and not needed"]


def test_flats_and_wraps_have_names_of_their_own() -> None:
    """Marks and materials that hold the very letters which part them in a name."""
    plate = make_plate()
    doubtful = [("P", "S_235"), ("P_S", "235"), ("P", "S")]
    assert len({flat_name(replace(plate, mark=mark, material=metal)) for mark, metal in doubtful}) == 3
    tube = coped_tube(round_tube(40.0), round_tube(60.0))
    part = tube.length_part
    assert part is not None
    none, bore = np.zeros(0), part.section
    nowhere = Penetration(none, none, none, none, (0.0, 0.0))
    both = Opening("T1", "T2", "start", bore, bore, nowhere, 1.0, 0.0, True, only=False)
    names = [hole_name(both), hole_name(replace(both, branch="T2-start", only=True))]
    names += [wrap_name(replace(tube, mark=mark), part.ends[0]) for mark in ("T1-hole-T2", "T1")]
    assert len(set(names)) == 4
    assert {"T1-hole-T2-start.dxf", "T1-start.dxf"} <= set(names)


def test_files_made_already_are_taken(covers: list[Piece]) -> None:
    name = flat_name(covers[0])
    pack = order_pack(HEADER, covers, paper.A4, {name: b"as drawn"})
    assert pack[f"order/2mm_DC01/{name}"] == b"as drawn"


def test_csv_says_what_the_outline_does_not(covers: list[Piece]) -> None:
    plate = replace(make_plate("P1", quantity=3), finish="zinc plated", title="=1+1")
    rows = list(csv.DictReader(io.StringIO(parts_csv(orders([plate])[0]))))
    assert rows[0]["file"] == "P1_S275_6mm_x3.dxf"
    assert (rows[0]["material"], rows[0]["thickness_mm"], rows[0]["quantity"]) == ("S275", "6", "3")
    assert (rows[0]["finish"], rows[0]["bends"], rows[0]["rolled"]) == ("zinc plated", "no", "no")
    assert rows[0]["title"] == "'=1+1"
    by_mark = {row["mark"]: row for order in orders(covers) for row in csv.DictReader(io.StringIO(parts_csv(order)))}
    assert by_mark["C8"]["bends"] == "yes"
    assert by_mark["C6"]["rolled"] == "yes"
    assert float(by_mark["C1"]["cut_length_mm"]) == pytest.approx(flat(covers[0]).cut_length, abs=0.06)


@pytest.mark.parametrize("sheet", [paper.A4, paper.LETTER])
def test_overview_has_every_outline_to_one_scale(covers: list[Piece], sheet: paper.Paper) -> None:
    (page,) = overview_pages(covers, "CUR-01  all covers", sheet)
    pdf = render([page], "overview")
    assert overlaps(pdf) == []
    assert outside(pdf, 5.0) == []
    texts = [item.text for item in page.picture.items if isinstance(item, Text)]
    for piece in covers:
        assert f"{piece.mark}   qty 1" in texts
    assert any("cut what is on the layers CUT and HOLE, etch MARK, do not cut BEND" in text for text in texts)
    ratio = re.search(r"scale 1:([\d.]+)", " ".join(texts))
    assert ratio is not None
    scale = 1.0 / float(ratio[1])
    widths = [round(flat(p).outline.bounds[2] * scale, 1) for p in covers]
    drawn = {round(w, 1) for w in _loop_widths(page)}
    assert set(widths) <= drawn
    assert _largest(page) <= max(sheet.width, sheet.height) - 20.0


def _loop_widths(page: Page) -> list[float]:
    """Widths of the closed chains of outline edges on a page."""
    from shapely import box, unary_union

    from fabgen.documents.render.sketch import arc_points

    lines = []
    for item in page.picture.items:
        if isinstance(item, Stroke) and item.pen == "visible":
            lines.append(LineString(item.points))
        elif isinstance(item, Arc) and item.pen == "visible":
            lines.append(LineString(arc_points(item)))
    merged = unary_union([line.buffer(0.02) for line in lines])
    parts = list(getattr(merged, "geoms", [merged]))
    assert all(box(0, 0, page.width, page.height).contains(part) for part in parts)
    return [part.bounds[2] - part.bounds[0] - 0.04 for part in parts]


def _largest(page: Page) -> float:
    return max(_loop_widths(page))


def test_very_many_parts_still_make_a_page() -> None:
    pieces = [make_plate(f"P{i}", 40.0 + i % 7 * 30.0, 30.0 + i % 5 * 20.0) for i in range(120)]
    (page,) = overview_pages(pieces, "many", paper.A4)
    pdf = render([page], "many")
    assert overlaps(pdf) == []
    assert outside(pdf, 5.0) == []


# -- SVG --------------------------------------------------------------------------
def test_svg_is_true_to_size_and_closed(covers: list[Piece]) -> None:
    for piece in [*covers, make_plate()]:
        root = ElementTree.fromstring(flat_svg(piece))
        x0, _, x1, _ = flat(piece).outline.bounds
        assert root.attrib["width"].endswith("mm")
        assert float(root.attrib["width"][:-2]) == pytest.approx(x1 - x0, abs=1e-3)
        assert root.attrib["viewBox"].split()[2:] == [root.attrib["width"][:-2], root.attrib["height"][:-2]]
        groups = {group.attrib["id"]: group for group in root}
        assert [path.attrib["d"][-1] for path in groups["CUT"]] == ["Z"]
        assert len(groups.get("HOLE", ())) == len(flat(piece).holes)
        assert len(groups.get("BEND", ())) == len(flat(piece).bends)
    assert svg_name(make_plate()) == "P1_S275_6mm_x1.svg"


def test_svg_arcs_bulge_the_right_way() -> None:
    """A stadium and a circle: path points by the SVG rules lie where the outline's do."""
    outline = Outline.stadium(60.0, 20.0).moved(30.0, 10.0)
    piece = replace(make_plate(), shape=FlatPart(3.0, outline, (Hole(Circle(30.0, 10.0, 8.0)),)))
    text = flat_svg(piece).decode()
    # From (50, 0) round the right-hand end to (50, 20): upside down in SVG, and counter-clockwise there.
    assert "M10 20L50 20A10 10 0 0 0 50 0L10 0A10 10 0 0 0 10 20Z" in text
    assert "M26 10A4 4 0 0 0 34 10A4 4 0 0 0 26 10Z" in text


# -- kerf -------------------------------------------------------------------------
def test_kerf_moves_outlines_out_and_holes_in_arcs_kept() -> None:
    cut = with_kerf(flat(make_plate()), 1.5)
    part = cut.part
    assert (cut.drilled, cut.short) == ((), ())
    assert part.outline.bounds == pytest.approx((-0.75, -0.75, 120.75, 80.75))
    assert isinstance(part.outline, Outline)
    assert [edge.radius for edge in part.outline.edges() if edge.is_arc] == pytest.approx([8.75] * 4)
    assert part.holes[0].shape == Circle(30.0, 30.0, 9.5)
    slot = part.holes[1].shape
    assert isinstance(slot, Outline)
    assert [edge.radius for edge in slot.edges() if edge.is_arc] == pytest.approx([3.75] * 2)


def test_what_is_left_after_the_cut_is_the_part(covers: list[Piece]) -> None:
    """The kerf's own width taken off the file's outline leaves the part, to a hundredth."""
    for piece in covers:
        made = with_kerf(flat(piece), 1.2).part
        left = Polygon(made.outline.points(0.001)).buffer(-0.6, join_style="mitre", quad_segs=64)
        want = Polygon(flat(piece).outline.points(0.001))
        assert left.symmetric_difference(want).area < 0.02 * want.length


def test_kerf_files_are_named_so_and_lie_apart(covers: list[Piece]) -> None:
    files = kerf_files([make_plate(), *covers], 1.5)
    assert len(files) == 1 + len(covers)
    assert kerf_name(make_plate(), 1.5) == "own-cut/P1_S275_6mm_x1_kerf1.5mm.dxf"
    assert all(name.startswith("own-cut/") and "_kerf1.5mm" in name for name in files)
    document = ezdxf.read(io.StringIO(files[kerf_name(make_plate(), 1.5)].decode()))
    assert not document.audit().has_errors
    (circle,) = document.modelspace().query("CIRCLE")
    assert isinstance(circle, CircleEntity)
    assert circle.dxf.radius == pytest.approx(4.75)
    (cut,) = document.modelspace().query('LWPOLYLINE[layer=="CUT"]')
    assert isinstance(cut, LWPolyline)
    assert sum(abs(point[4]) > 1e-9 for point in cut) == 4


NOTCHED = [(0, 0, 0), (60, 0, 0), (60, 40, 0), (35, 40, 0), (30, 20, 0), (25, 40, 0), (0, 40, 0)]
"""A plate with a V 10 mm wide and 20 mm deep in its upper edge."""


def notched(radius: float) -> Piece:
    corners = [Corner(x, y, radius if y == 20 else r) for x, y, r in NOTCHED]
    return replace(make_plate("P2"), shape=FlatPart(6.0, Outline.from_corners(corners)))


def of_kerf(piece: Piece, kerf: float) -> list[str]:
    return [finding.text for finding in findings(made_by_hand(piece, kerf_offset=kerf), [sheet_outline.kerf])]


def test_holes_too_small_for_the_kerf_are_marked_and_told() -> None:
    small = replace(make_plate(), shape=FlatPart(6.0, Outline.rectangle(80, 60), (Hole(Circle(20, 20, 3.0)),)))
    document = ezdxf.read(io.StringIO(kerf_files([small], 2.0)[kerf_name(small, 2.0)].decode()))
    assert len(document.modelspace().query('*[layer=="HOLE"]')) == 0
    assert len(document.modelspace().query('*[layer=="MARK"]')) == 2
    (text,) = of_kerf(small, 2.0)
    assert text.startswith("one hole is too small or too tightly rounded for a kerf of 2 mm, hole Ø3 (20 mm from the")
    assert of_kerf(small, 1.4) == []


@pytest.mark.parametrize("kerf", [0.3, 1.5, 3.0])
@pytest.mark.parametrize(
    "keys",
    [
        {"shape": "box", "base": [120, 80], "height": 40, "corner": "gap"},
        {"base": [100, 80], "flanges": [{"edge": 1, "height": 40, "from": 20, "to": 70}]},
        {"base": [100, 80], "flanges": [{"edge": 1, "height": 40, "from": 20, "to": 70}], "relief": "rectangular"},
        {"shape": "tabbed", "base": [60, 100], "bolt": "M10"},
    ],
)
def test_notches_are_as_wide_as_the_job_s_kerf_needs(keys: dict[str, Any], kerf: float) -> None:
    header = {"title": "x", "number": "x", "units": "mm", "kerf_offset": kerf}
    table = {"mark": "B1", "thickness": 1.5} | keys
    (piece,) = bracket.pieces(Definitions.model_validate({"job": header, "bracket": [table]}))
    assert len(kerf_files([piece], kerf)) == 1
    assert [text for text in of_kerf(piece, kerf) if text.startswith("no file")] == []


def test_a_part_without_a_file_for_this_kerf_is_told() -> None:
    assert kerf_files([notched(0.4)], 2.0) == {}
    (text,) = of_kerf(notched(0.4), 2.0)
    assert text.startswith("no file in own-cut/ for a kerf of 2 mm: the radius of 0.4 mm near")
    assert len(kerf_files([notched(2.0)], 2.0)) == 1
    assert of_kerf(notched(2.0), 2.0) == []


def test_an_inside_corner_that_the_kerf_stays_short_of_is_told() -> None:
    """By how much: from the solid that a round cutter of the kerf's width leaves, as shapely makes it."""
    sharp, kerf = notched(0.0), 2.0
    path = Polygon(with_kerf(flat(sharp), kerf).part.outline.points(0.001))
    left = path.difference(path.exterior.buffer(kerf / 2.0, quad_segs=256))
    short = left.distance(Point(30.0, 20.0)) if not left.covers(Point(30.0, 20.0)) else 0.0
    standing = left.intersection(LineString([(30.0, 20.0), (30.0, 40.0)])).length
    assert short == 0.0
    (text,) = of_kerf(sharp, kerf)
    assert f"stays {standing:.1f} mm short of the inside corner (30 mm from the left, 20 mm from below)" in text
    assert standing > 3.0
    assert of_kerf(sharp, 0.5) == []


# -- patterns -----------------------------------------------------------------------
@pytest.mark.parametrize("sheet", [paper.A4, paper.LETTER])
def test_patterns_print_clean_and_at_true_size(covers: list[Piece], sheet: paper.Paper) -> None:
    pages = pattern_pages([make_plate(), *covers[:3], *covers[-2:]], HEADER, sheet)
    pdf = render(pages, "patterns")
    assert overlaps(pdf) == []
    assert outside(pdf, 5.0) == []
    first = pages[0].picture
    trim = [item for item in first.items if isinstance(item, Stroke) and item.pen == "trim"]
    xs, ys = [p[0] for p in trim[0].points], [p[1] for p in trim[0].points]
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((120.0, 80.0))
    assert any("sheet patterns, true size" in item.text for item in first.items if isinstance(item, Text))
    for page in pages:
        assert struck(page.picture) == []


def test_hole_centres_are_crosses_to_punch() -> None:
    (page,) = pattern_pages([make_plate()], HEADER, paper.A4)
    trim = next(item for item in page.picture.items if isinstance(item, Stroke) and item.pen == "trim")
    left, low = min(p[0] for p in trim.points), min(p[1] for p in trim.points)
    thin = [LineString(i.points) for i in page.picture.items if isinstance(i, Stroke) and i.pen == "thin"]
    for x, y in ((30.0, 30.0), (80.0, 40.0)):
        centre = Point(left + x, low + y)
        assert sum(line.distance(centre) < 1e-6 for line in thin) == 2
