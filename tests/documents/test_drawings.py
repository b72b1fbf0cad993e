"""drawings.pdf: a sheet a piece, the fields of ISO 7200, sizes true to scale, what the parts say on paper."""

import math
import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from conftest import make_plate, make_tube
from jobs import pieces_of, read
from page.print_check import text_boxes

from fabgen.app.starters import starters
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.drawing.flat.fold_profile import folded_profiles
from fabgen.documents.drawing.flat.view_arrows import draw_view_arrows
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import Page, render
from fabgen.documents.render.picture import Arc, Fill, Stroke, Text, loop_items
from fabgen.documents.render.sketch import Sketch
from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.geometry.sheet.folds import Bend
from fabgen.job.reader import read_job
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlatBend, FlatPart, Hardware, Hole, Piece
from fabgen.shop.goods import Threaded

MM = 25.4 / 72.0
JOB = """
[job]
title = "sheets"
number = "SH-7"
units = "mm"
[[bracket]]
mark = "B1"
shape = "channel"
thickness = 4
length = 90
web = 80
flanges = [50, 45]
holes = [{ face = "web", at = [30, 40], bolt = "M10" }]
[[cover]]
mark = "C1"
shape = "cone"
thickness = 1.5
bottom = 180
top = 90
height = 120
[[cover]]
mark = "C2"
shape = "skirt"
thickness = 1.5
diameter = 150
height = 120
arc = "240 deg"
[[link]]
mark = "L1"
section = "25.4 x 4"
length = 420
rod_ends = ["M12 right", "M12 left"]
"""


def header(**given: object) -> SimpleNamespace:
    fields = {
        "title": "Curlew trailer",
        "number": "CUR-01",
        "owner": "Curlew Works",
        "drawn_by": "R. Wader",
        "checked_by": "S. Plover",
        "revision": "B",
        "date": date(2026, 3, 14),
        "tolerance": "ISO 2768-m",
        "weld_tolerance": "B",
        "units": "mm",
    }
    return SimpleNamespace(**{**fields, **given})


def texts(page: Page) -> list[str]:
    return [item.text for item in page.picture.items if isinstance(item, Text)]


def plate(part: FlatPart, mark: str = "P1", **given: object) -> Piece:
    return Piece(mark, "plate", 1, "S355", 0.5, part, **given)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def made() -> dict[str, Piece]:
    return {piece.mark: piece for piece in pieces_of(read(JOB))}


def sheet(piece: Piece, **given: object) -> Page:
    (page,) = drawing_pages([piece], header(**given), paper.A4)
    return page


# -- sheets -------------------------------------------------------------------
def test_every_piece_once_each_sheet_in_the_order_of_its_first(made: dict[str, Piece]) -> None:
    pieces = [make_tube(), make_plate(), *made.values()]
    pages = drawing_pages(pieces, header(), paper.A4)
    order = [piece.mark for piece in pieces]
    assert sorted(mark for page in pages for mark in page.marks) == sorted(order)
    firsts = [order.index(page.marks[0]) for page in pages]
    assert firsts == sorted(firsts)
    for number, page in enumerate(pages, 1):
        assert f"CUR-01-{page.marks[0]}" in " ".join(texts(page))
        assert f"{number} of {len(pages)}" in texts(page)


def test_the_same_pieces_give_the_same_bytes(made: dict[str, Piece]) -> None:
    pieces = [make_tube(), make_plate(), *made.values()]
    first, second = (render(drawing_pages(pieces, header(), paper.A4), "x") for _ in range(2))
    assert first == second


def test_no_pieces_no_pages() -> None:
    assert drawing_pages([], header(), paper.A4) == []


@pytest.mark.parametrize("size", paper.SIZES, ids=lambda p: p.name)
def test_sheets_are_of_the_paper_asked_for(size: paper.Paper, made: dict[str, Piece]) -> None:
    for page in drawing_pages(list(made.values()), header(), size):
        assert sorted((page.width, page.height)) == sorted((size.width, size.height))
        assert size.name in texts(page)


def test_a_tall_part_stands_and_a_wide_one_lies() -> None:
    tall = sheet(plate(FlatPart(3.0, Outline.rectangle(80.0, 200.0))))
    wide = sheet(plate(FlatPart(3.0, Outline.rectangle(200.0, 80.0))))
    assert tall.height > tall.width
    assert wide.width > wide.height


def test_title_block_has_the_fields_of_iso_7200(made: dict[str, Piece]) -> None:
    """ISO 7200:2004, table 1 (mandatory: legal owner, identification number, date of issue, segment or sheet
    number) and table 2, table 3 (title; approval person, creator, document type)."""
    said = texts(sheet(made["B1"]))
    for label, value in {
        "Legal owner": "Curlew Works",
        "Identification number": "CUR-01-B1",
        "Date of issue": "2026-03-14",
        "Sheet": "1 of 1",
        "Title": "B1 bracket",
        "Approved by": "S. Plover",
        "Created by": "R. Wader",
        "Document type": "detail drawing",
        "Rev.": "B",
        "General tolerances": "ISO 2768-m",
        "Material": "S235",
        "Stock": "sheet 4 mm",
    }.items():
        assert label in said
        assert value in said


def test_a_header_that_says_little_still_gives_a_sheet() -> None:
    page = sheet(plate(FlatPart(3.0, Circle(20.0, 20.0, 40.0))), owner="", drawn_by="", checked_by="", date=None)
    assert "Legal owner" in texts(page)


@pytest.mark.parametrize(("projection", "circles_right"), [("first", True), ("third", False)])
def test_projection_symbol(projection: str, circles_right: bool, made: dict[str, Piece]) -> None:
    """ISO 5456-2:1996, figures 3 and 6: the circles stand right of the frustum for first angle, left for third."""
    (page,) = drawing_pages([made["C1"]], header(), paper.A4, projection)  # type: ignore[arg-type]
    assert f"{projection} angle" in texts(page)
    circles = [item for item in page.picture.items if isinstance(item, Arc) and item.radius == 1.7]
    cones = [
        item
        for item in page.picture.items
        if isinstance(item, Stroke) and len(item.points) == 4 and item.closed and _width(item) == pytest.approx(3.6)
    ]
    assert (circles[-1].x > max(x for x, _ in cones[-1].points)) is circles_right


def _width(stroke: Stroke) -> float:
    xs = [x for x, _ in stroke.points]
    return max(xs) - min(xs)


# -- true to scale ------------------------------------------------------------
@pytest.mark.parametrize(("width", "height", "scale"), [(150.0, 80.0, 1.0), (420.0, 200.0, 0.5), (18.0, 9.0, 5.0)])
def test_views_are_true_to_scale_in_the_pdf(width: float, height: float, scale: float) -> None:
    """PDFium measures the drawn edges: 0.35 mm wide lines as long as the part times the scale."""
    page = sheet(plate(FlatPart(3.0, Outline.rectangle(width, height))))
    name = f"{scale:.0f}:1" if scale >= 1.0 else f"1:{1.0 / scale:.0f}"
    assert name in texts(page)
    document = pdfium.PdfDocument(render([page], "x"))
    lengths = []
    for item in document[0].get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        left, bottom, right, top = item.get_bounds()
        lengths.append((round((right - left) * MM, 2), round((top - bottom) * MM, 2)))
    pen = 0.35
    assert any(abs(w - width * scale - pen) < 0.06 and h < 0.5 for w, h in lengths)
    assert any(abs(h - height * scale - pen) < 0.06 and w < 0.5 for w, h in lengths)


# -- flat parts ---------------------------------------------------------------
def test_a_plate_is_dimensioned_completely() -> None:
    holes = tuple(Hole(Circle(x, 25.0, 13.5), "13.5 for M12", "M12") for x in (25.0, 135.0))
    said = texts(sheet(plate(FlatPart(6.0, Outline.rectangle(160.0, 110.0, 10.0), holes))))
    for wanted in ("160", "110", "25", "135", "2 x Ø13.5 for M12", "4 x R10"):
        assert wanted in said


def test_many_holes_get_letters_and_a_table() -> None:
    spots = [(20.0, 15.0), (33.0, 61.0), (57.0, 22.0), (78.0, 71.0), (101.0, 18.0), (120.0, 55.0), (141.0, 36.0)]
    holes = tuple(Hole(Circle(x, y, 6.6), "", "M6") for x, y in spots)
    said = texts(sheet(plate(FlatPart(6.0, Outline.rectangle(160.0, 90.0), holes))))
    assert "Holes, from the lower left corner" in said
    for i, (x, y) in enumerate(spots, 1):
        assert said.count(f"A{i}") >= 2  # beside the hole and in the table
        assert f"{x:g}" in said
        assert f"{y:g}" in said


def test_a_table_too_long_for_the_sheet_goes_on_on_the_next() -> None:
    holes = tuple(Hole(Circle(7.0 + 11.3 * (i % 17) + i * 0.1, 9.0 + 17.0 * (i // 17), 4.0)) for i in range(170))
    pages = drawing_pages([plate(FlatPart(3.0, Outline.rectangle(230.0, 190.0), holes))], header(), paper.A4)
    assert len(pages) > 1
    said = [text for page in pages for text in texts(page)]
    assert "A170" in said
    assert f"2 of {len(pages)}" in said


def test_inch_jobs_are_dimensioned_in_inches() -> None:
    said = texts(sheet(plate(FlatPart(3.0, Outline.rectangle(101.6, 50.8))), units="in"))
    assert '4"' in said
    assert '2"' in said
    assert "in" in said  # the units, in the title block


def test_bends_are_labelled_and_tabled(made: dict[str, Piece]) -> None:
    piece = made["B1"]
    part = piece.flat_part
    assert part is not None
    said = texts(sheet(piece))
    assert any(text.startswith("Bends, from flat, up = towards you") for text in said)
    assert any(text.startswith("A: folded, from the end 1:") for text in said)
    assert "Isometric" in said
    for number, fold in enumerate(part.bends, 1):
        assert f"{number} up 90° R6" in said
        assert f"deduction {fold.bend.deduction:.2f}".rstrip("0") in " ".join(said)
        assert f"allowance {fold.bend.allowance:.2f}".rstrip("0") in " ".join(said)
    for outside in ("80", "50", "45"):
        assert outside in said


def test_a_bend_down_says_down() -> None:
    fold = FlatBend((0.0, 40.0), (120.0, 40.0), Bend(3.0, 2.0, 1.0471975512, 0.4), False)
    said = texts(sheet(plate(FlatPart(3.0, Outline.rectangle(120.0, 90.0), bends=(fold,)))))
    assert "1 down 60° R2" in said
    assert "120°" in said  # the angle between the faces, on the folded view


def test_a_cone_has_its_sector_set_out(made: dict[str, Piece]) -> None:
    """Textbook development: slant s = sqrt(120^2 + 45^2), radii in the ratio of the neutral diameters."""
    said = texts(sheet(made["C1"]))
    assert "Setting out the sector" in said
    slant = (120.0**2 + 45.0**2) ** 0.5
    # In brackets on the view: the table has them.
    radii = [float(text[2:-1]) for text in said if text.startswith("(R")]
    assert max(radii) - min(radii) == pytest.approx(slant, abs=0.02)
    assert "Ø180" in said
    assert "Ø90" in said


def test_a_skirt_shows_its_arc_and_diameter(made: dict[str, Piece]) -> None:
    said = texts(sheet(made["C2"]))
    assert "Ø150" in said
    assert "240°" in said


# -- lengths ------------------------------------------------------------------
def test_a_tube_says_where_it_is_sawn_and_what_it_sits_on() -> None:
    said = texts(sheet(make_tube()))
    assert "saw length 812" in said
    assert "work point to work point 812" in said
    assert any(text.startswith("short side ") for text in said)
    assert "T9" in said
    assert "60°" in said
    assert "top line" in said
    assert "Ø48.3 x 3.2" in said


def test_a_link_is_drawn_assembled(made: dict[str, Piece]) -> None:
    piece = made["L1"]
    said = texts(sheet(piece))
    assert any(text.startswith("pin to pin 420, adjusts ") for text in said)
    assert any(text.startswith("tube, saw length ") for text in said)
    for number in range(1, len(piece.hardware) + 2):
        assert said.count(str(number)) >= 2  # its balloon and its row in the parts list
    assert "rod end" in said
    assert "jam nut" in said


def test_bought_parts_of_any_length_are_listed() -> None:
    piece = replace(make_tube(), hardware=(Hardware("rod end", Threaded("M12 x 1.75 right", "M12 x 1.75 right"), 1),))
    assert "M12 x 1.75 right" in texts(sheet(piece))


# -- cautions -----------------------------------------------------------------
def test_links_and_brackets_carry_the_caution_and_nothing_claims_to_be_safe(made: dict[str, Piece]) -> None:
    for mark in ("B1", "L1"):
        said = " ".join(texts(sheet(made[mark])))
        assert "have someone qualified judge them (cut-list.pdf, Cautions)" in said
        assert "safe" not in said.lower()


def test_every_text_is_really_printed(made: dict[str, Piece]) -> None:
    """PDFium reads back what the picture says: no glyph is missing from the face."""
    page = sheet(made["B1"], owner="Ångström & Søn – Größe ½", title="Ø × ° →")
    printed = "".join(sorted("".join(text.text for text in text_boxes(render([page], "x")))))
    wanted = "".join(sorted("".join(texts(page)).replace(" ", "")))
    assert printed.replace(" ", "") == wanted


# -- what a shop asks of a sheet ---------------------------------------------------
def test_a_bracket_says_how_high_its_holes_stand_and_which_way_is_up() -> None:
    job = """
[job]
title = "hanger"
number = "H-1"
units = "mm"
[[bracket]]
mark = "B1"
shape = "channel"
thickness = 6
radius = 8
web = 54
flanges = [101, 101]
length = 90
holes = [{ face = "left", at = [45, 66], bolt = "M14" }, { face = "right", at = [45, 66], bolt = "M14" }]
"""
    (piece,) = pieces_of(read(job))
    said = texts(sheet(piece))
    assert said.count("66") == 2
    assert any("holes: from the outside corner" in text for text in said)
    assert "up = towards you, flat as drawn, seen from inside" in " ".join(said)


def test_a_skirt_s_cut_out_has_its_width_height_and_place() -> None:
    """A cylinder of 100 cut square through one of neutral diameter 150 - 1.5, its axis at the lower edge: it
    takes 2 asin(50 / r) of the sheet, on the skin that it cuts deepest."""
    job = """
[job]
title = "skirt"
number = "S-1"
units = "mm"
[[cover]]
mark = "C1"
shape = "skirt"
thickness = 1.5
diameter = 150
height = 120
arc = "240 deg"
cut_out = { diameter = 100, height = 0 }
"""
    (piece,) = pieces_of(read(job))
    said = texts(sheet(piece))
    neutral, inner = 148.5 / 2.0, 147.0 / 2.0
    width = 2.0 * neutral * math.asin(50.0 / inner)
    begins = (neutral * math.radians(240.0) - width) / 2.0
    for size in (width, begins, 50.0):
        assert any(abs(float(text) - size) < 0.06 for text in said if re.fullmatch(r"[0-9.]+", text)), size
    assert not any(re.fullmatch(r"(\d+ x )?R[0-9.]+", text) for text in said)


def test_a_main_s_sheet_tells_what_lands_on_it() -> None:
    job = """
[job]
title = "frame"
number = "F-1"
units = "mm"
[points]
A = [0, 0, 0]
B = [1000, 0, 0]
C = [300, 0, 0]
D = [300, 0, 400]
[[tube]]
mark = "T1"
section = "60.3 x 3.2"
route = ["A", "B"]
[[tube]]
mark = "T2"
section = "33.7 x 2.6"
route = ["C", "D"]
"""
    main, branch = pieces_of(read(job))
    pages = drawing_pages([main, branch], header(), paper.A4)[-2:]  # the assembly first
    said = [text for page in pages for text in texts(page)]
    at = said.index("T2 (start)")
    assert said[at : at + 4] == ["T2 (start)", "300", "0° = 0", "90°"]
    assert not any("heel" in text for text in said)


def test_a_link_with_a_load_says_what_of_its_strength_was_calculated() -> None:
    """Margins do not stand above a line that says no strength was checked; its two masses are told apart."""

    def words(load: str) -> str:
        job = read(JOB.replace("length = 420", f"length = 420{load}"))
        (piece,) = [each for each in pieces_of(job) if each.mark == "L1"]
        return " ".join(texts(sheet(piece)))

    plain, loaded = words(""), words('\nload = "4 kN"')
    assert "Strength and welds not checked" in plain
    assert "Strength and welds not checked" not in loaded
    assert "not calculated: bending, blows, fatigue, its welds, its pins and what it is bolted to" in loaded
    assert "A margin is no approval" in loaded
    (mass,) = re.findall(r"tube as sawn ([\d.]+) kg; with bungs", loaded)
    assert f"tube {mass} kg" in loaded


def test_sight_holes_of_a_link_are_dimensioned() -> None:
    """One at each end, from the tube's end."""
    loaded = read_job(starters()["link-rod"]).definitions
    (piece,) = [each for each in all_pieces(loaded) if each.kind == "link"]
    said = texts(sheet(piece))
    assert "2 x Ø3 sight" in said
    assert said.count("8") == 2


def test_a_placed_plates_weld_stands_in_words() -> None:
    loaded = read_job(Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml").definitions
    (piece,) = [each for each in all_pieces(loaded) if each.mark == "P3"]
    said = texts(sheet(piece))
    assert "Welds" not in said
    assert any(text.startswith("Weld on T1: fillet") for text in said)


def test_the_edge_of_an_ear_says_on_what_it_lies() -> None:
    loaded = read_job(Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml").definitions
    (piece,) = [each for each in all_pieces(loaded) if each.mark == "B6"]
    assert "on T6" in texts(sheet(piece))


def test_an_arrow_at_the_flat_says_from_which_end_a_folded_view_is_seen() -> None:
    """With the flat's right on the right of the view, from under the flat as drawn; with its top there, from its
    right."""
    for corners, start, end, way in (((60.0, 40.0), (20.0, 0.0), (20.0, 40.0), (0.0, 1.0)),
                                     ((40.0, 60.0), (0.0, 20.0), (40.0, 20.0), (-1.0, 0.0))):  # fmt: skip
        bend = FlatBend(start, end, Bend(2.0, 2.0, math.pi / 2.0, 0.42), True, "a / b")
        (profile,) = folded_profiles(FlatPart(2.0, Outline.rectangle(*corners), bends=(bend,)))
        sketch = Sketch()
        sketch.draw(*loop_items(Outline.rectangle(*corners)))
        draw_view_arrows(sketch, [profile], (0.0, 0.0, *corners))
        (head,) = [item for item in sketch.items if isinstance(item, Fill)]
        tip, back = head.points[0], [(a + b) / 2.0 for a, b in zip(*head.points[1:3], strict=True)]
        length = math.dist(tip, back)
        assert [(t - b) / length for t, b in zip(tip, back, strict=True)] == pytest.approx(way, abs=1e-9)
        assert [item.text for item in sketch.items if isinstance(item, Text)] == ["A"]
