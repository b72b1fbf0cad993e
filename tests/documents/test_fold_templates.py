"""Templates of profiles' ends that fold over the heel: measured back from the page by PDFium and from the DXF by GDAL.

What an angle meets square on a round tube is known in closed form: the leg across the tube is cut along its circle, the
leg that lies along it straight.
"""

from __future__ import annotations

import ctypes
import math
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from dxf_layers import layers

from fabgen.documents.dxf.flat_dxf import sheet_dxf
from fabgen.documents.dxf.svg_file import sheet_svg
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import render
from fabgen.documents.render.picture import Text
from fabgen.documents.render.tiling import Joins
from fabgen.documents.templates.fold_template import FoldTemplate
from fabgen.documents.templates.template_book import Book
from fabgen.documents.templates.templates import template_pages
from fabgen.documents.wrap.fold_sheet import fold_sheet
from fabgen.documents.wrap.fold_wrap import FoldPaper, FoldWrap, fold_wraps
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.end_cut import SawnPlane, notched_end, sawn_end
from fabgen.geometry.profile.limbs import marked_limbs
from fabgen.geometry.profile.notch import notch_lines
from fabgen.geometry.profile.shapes import angle, channel, flat, tee
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import RoundBar, Slab, Solid
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import Header
from fabgen.parts.build import all_pieces

RADIUS, PAPER, PT = 30.0, 0.1, 25.4 / 72.0
TUBE = RoundBar(np.zeros(3), np.array([1.0, 0.0, 0.0]), RADIUS)
HALF = Slab(np.array([30.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]), 8.0)


def along_y(z: float = 0.0) -> Frame:
    """A profile along +y on a tube along x: its z is down, its y along the tube."""
    return Frame(np.array([0.0, 0.0, z]), np.array([0, 1.0, 0]), np.array([1.0, 0, 0]), np.array([0, 0, -1.0]))


def wraps(shape: CrossSection, z: float = 0.0, main: Solid = TUBE, thick: float = PAPER) -> tuple[FoldWrap, ...]:
    end = notched_end(notch_lines(marked_limbs(shape), along_y(z), [main]))
    return fold_wraps(end, shape, FoldPaper(thick))


def wanted(u: Array, z: float) -> Array:
    """The line of an angle 40 x 40 x 4 with toes of 3 mm radius: leg a from its toe, 40 mm below, to the heel; then
    leg b, whose metal lies from there 4 mm down and less at its toe; z above 4 mm."""
    past = np.clip(u - 77.0, 0.0, 3.0)
    deep = 4.0 - 3.0 + np.sqrt(9.0 - past**2)
    down = np.where(u < 40.0, 40.0 - u - z, z - deep)
    return np.sqrt(RADIUS**2 - down**2)


@pytest.mark.parametrize("z", [20.0, 12.0])
def test_the_dxf_measures_as_the_closed_form(z: float, tmp_path: Path) -> None:
    (wrap,) = wraps(angle(40, 40, 4, 6, 3), z, thick=0.0)
    assert wrap.width == pytest.approx(80.0)
    found = layers(sheet_dxf(fold_sheet("A1 start", wrap)), tmp_path)
    (cut,) = found["CUT"]
    points = np.array(cut.coords)
    line = points[points[:, 1] < wrap.height - 0.1]
    longest = float(wanted(np.array([0.0, 39.999, 80.0]), z).min())
    # At the toe's very edge its arc is square to the face.
    inner = line[(np.abs(line[:, 0] - 40.0) > 0.01) & (line[:, 0] < 79.8)]
    assert inner[:, 1] == pytest.approx(wanted(inner[:, 0], z) - longest, abs=0.02)
    assert len(inner) > 20
    folds = {round(float(x), 6) for fold in found["BEND"] for x in np.array(fold.coords)[:, 0]}
    assert folds == {40.0}
    assert set(found) == {"CUT", "BEND", "MARK"}


def test_the_svg_is_as_large_as_the_faces() -> None:
    (wrap,) = wraps(angle(40, 40, 4, 6, 3), 20.0, thick=0.0)
    text = sheet_svg(fold_sheet("A1 start", wrap)).decode()
    assert f'width="80mm" height="{wrap.height:g}mm"' in text
    assert "<title>A1 start</title>" in text


def test_the_printed_line_folds_over_the_heel() -> None:
    """Leg a up to the fold, then leg b, moved on by what the paper's thickness takes in the corner: pi t / 4."""
    z = 20.0
    (wrap,) = wraps(angle(40, 40, 4, 6, 3), z)
    template = FoldTemplate("A1 start", "A1 start", "", "", wrap, "mm", ("angle 40 x 40 x 4",), "finish")
    book = Book(Header.model_validate({"title": "Rack", "number": "R-1", "units": "mm"}), paper.A4)
    book.add(template)
    (page,) = pdfium.PdfDocument(render(book.pages(), "templates"))
    curve = max(thick_paths(page), key=len)
    u, v = curve[:, 0] - curve[:, 0].min(), curve[:, 1]
    corner = math.pi * PAPER / 4.0
    assert np.ptp(u) == pytest.approx(80.0 + corner, abs=0.02)
    on_a, on_b = u < 39.99, u > 40.0 + corner + 0.01
    on_tube = np.where(on_a, u, u - corner)
    line = wanted(on_tube, z)
    both = on_a | (on_b & (on_tube < 79.8))
    assert v[both] - v.min() == pytest.approx(line[both] - line.min(), abs=0.02)


def thick_paths(page: pdfium.PdfPage) -> list[Array]:
    """Every path drawn as thick as what is cut out, (n, 2) mm."""
    found = []
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        width = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(thing, width)
        m, points = thing.get_matrix(), []
        for i in range(raw.FPDFPath_CountSegments(thing)):
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(thing, i), x, y)
            points.append((m.a * x.value + m.c * y.value + m.e, m.b * x.value + m.d * y.value + m.f))
        if width.value * PT > 0.45:
            found.append(np.array(points) * PT)
    return found


def test_at_the_finish_the_faces_lie_the_other_way_round() -> None:
    (start,) = wraps(angle(60, 40, 5, 6, 3), 20.0)
    (finish,) = wraps(angle(60, 40, 5, 6, 3).flipped(), 20.0)
    assert [(f.word, f.left, f.right) for f in start.faces] == [("leg a", "toe a", "heel"), ("leg b", "heel", "toe b")]
    assert [(f.word, f.left, f.right) for f in finish.faces] == [("leg b", "toe b", "heel"), ("leg a", "heel", "toe a")]
    assert [round(face.width) for face in finish.faces] == [40, 60]


def test_a_channel_folds_round_its_web() -> None:
    (wrap,) = wraps(channel(80, 45, 6, 8, 8, 4), 10.0)
    assert [face.word for face in wrap.faces] == ["flange a", "web", "flange b"]
    assert wrap.width == pytest.approx(170.0 + 2.0 * math.pi * PAPER / 4.0)
    assert len(wrap.folds) == 2


def test_a_folded_heel_has_its_bend_between_two_folds() -> None:
    """Outside radius 6 mm: on paper (6 + 0.05) pi / 2."""
    (wrap,) = wraps(angle(40, 40, 3, 3, 0, heel=6.0), 12.0)
    assert wrap.folds == pytest.approx((34.0, 34.0 + 6.05 * math.pi / 2.0))
    assert wrap.width == pytest.approx(68.0 + 6.05 * math.pi / 2.0)


def test_of_a_tee_only_what_is_notched_has_a_template() -> None:
    """A slab's half meets the stem alone."""
    shape = tee(50, 50, 6, 6, 6, 3)
    low = RoundBar(np.array([0.0, 0.0, -30.0]), np.array([1.0, 0.0, 0.0]), 12.0)
    frame = Frame(np.zeros(3), np.array([0, 1.0, 0]), np.array([-1.0, 0, 0]), np.array([0, 0, 1.0]))
    end = notched_end(notch_lines(marked_limbs(shape), frame, [low]))
    (wrap,) = fold_wraps(end, shape, FoldPaper(PAPER))
    assert [(face.word, face.left, face.right) for face in wrap.faces] == [("stem", "flange", "stem toe")]
    assert wrap.width == pytest.approx(44.0)


@pytest.mark.parametrize("normal", [(1.0, 0.0, 0.0), (math.sqrt(0.5), math.sqrt(0.5), 0.0)])
def test_a_sawn_end_needs_no_template(normal: tuple[float, float, float]) -> None:
    for shape in (angle(40, 40, 4, 6, 3), channel(80, 45, 6, 8, 8, 4), flat(40, 5)):
        assert fold_wraps(sawn_end(marked_limbs(shape), SawnPlane(3.0, normal)), shape, FoldPaper(PAPER)) == ()


def test_a_square_face_needs_none_either() -> None:
    assert wraps(angle(40, 40, 4, 6, 3), 0.0, HALF) == ()


@pytest.mark.parametrize(("units", "edge"), [("mm", 5.0), ("in", 6.35)])
def test_the_straight_edge_stands_at_a_round_figure(units: str, edge: float) -> None:
    shape = angle(40, 40, 4, 6, 3)
    end = notched_end(notch_lines(marked_limbs(shape), along_y(20.0), [TUBE]))
    (wrap,) = fold_wraps(end, shape, FoldPaper(PAPER, units))
    assert wrap.height / edge == pytest.approx(round(wrap.height / edge))
    assert wrap.height > wrap.span + 30.0


def template(wrap: FoldWrap) -> FoldTemplate:
    return FoldTemplate("A1 start", "A1 start", "", "", wrap, "mm", (), "finish")


def words(template_: FoldTemplate) -> list[str]:
    return [item.text for item in template_.drawing(Joins(template_.box)).items if isinstance(item, Text)]


def test_folds_and_bends_are_named() -> None:
    (sharp,), (folded,) = wraps(angle(40, 40, 4, 6, 3), 20.0), wraps(angle(40, 40, 3, 3, 0, heel=6.0), 12.0)
    assert "fold: heel" in words(template(sharp))
    assert "bend" in words(template(folded))
    assert not any(text.startswith("fold") for text in words(template(folded)))
    for text in ("toe a", "toe b", "leg a", "leg b", "A1 start", "keep", "waste", "to finish"):
        assert text in words(template(sharp))


def test_ordinates_are_measured_from_the_heel() -> None:
    """Both legs; none is '-0.0', as the rounding of 1.41 in would have it."""
    (wrap,) = wraps(angle(1.41 * 25.4, 1.41 * 25.4, 4, 6, 3), 20.0)
    rows = [item.text for item in template(wrap).table(150.0).picture.items if isinstance(item, Text)]
    assert sum("from the heel" in text for text in rows) == 2
    assert "-0.0" not in rows
    assert rows.count("35.8") == 2


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("sheet", [paper.A4, paper.LETTER])
def test_a_template_that_a_sheet_takes_is_on_one(units: str, sheet: paper.Paper) -> None:
    """A UPN 100 notched at both ends: 200 mm across, each with its table beside it or after it, none in parts."""
    member = '[[profile]]\nmark = "{}"\nsection = "UPN 100"\nroute = [{}]\nback = "{}"\n'
    text = f'[job]\ntitle = "Bearers"\nnumber = "B-1"\nunits = "{units}"\nmaterial = "S235"\n'
    text += member.format("S1", '[0, 0, 0], ["1800 mm", 0, 0]', "right")
    text += member.format("S2", '[0, "1100 mm", 0], ["1800 mm", "1100 mm", 0]', "left")
    text += member.format("M1", '["500 mm", 0, 0], ["500 mm", "1100 mm", 0]', "front")
    job = read_text(text).definitions
    made = template_pages(all_pieces(job), job.job, sheet)
    said = [{each.text for each in page.picture.items if isinstance(each, Text)} for page in made]
    assert not any("part 1 of" in text for page in said for text in page)
    assert len(made) == 2
