"""The drawing of a profile, measured back from the page by PDFium, and what it says."""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from hand_profiles import profile_part, profile_piece
from jobs import definitions, pieces_of

from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import render
from fabgen.documents.render.picture import Text
from fabgen.geometry.profile.end_cut import SawnPlane
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.solids import RoundBar
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import ProfilePart
from fabgen.parts.shape.profiles import drilled_body, profile_volume
from fabgen.shop.profiles import standard_sizes
from fabgen.shop.profiles.profile_section import ProfileSection

ANGLE = standard_sizes.angle(60, 40, 5)
PT = 25.4 / 72.0
HOLES = (
    {"at": 50, "leg": "a", "bolt": "M10"},
    {"at": 90, "leg": "b", "diameter": 9, "length": 30, "row": {"count": 3, "pitch": 60}, "from": "finish"},
)
CROSSWISE = RoundBar(np.zeros(3), np.array([1.0, 0.0, 0.0]), 40.0)


def page(part: ProfilePart, units: str = "mm") -> pdfium.PdfPage:
    header = Header.model_validate({"title": "Rack", "number": "R-1", "units": units})
    pages = drawing_pages([profile_piece(part)], header, paper.A3)
    return pdfium.PdfDocument(render(pages[-1:], "drawing"))[0]


def texts(on: pdfium.PdfPage) -> str:
    return on.get_textpage().get_text_bounded()  # type: ignore[no-any-return]


def paths(on: pdfium.PdfPage) -> Iterator[Array]:
    for thing in on.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        m, points = thing.get_matrix(), []
        for i in range(raw.FPDFPath_CountSegments(thing)):
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(thing, i), x, y)
            points.append((m.a * x.value + m.c * y.value + m.e, m.b * x.value + m.d * y.value + m.f))
        yield np.array(points) * PT


def middle(ring: Array) -> float:
    return float(ring[:, 0].min() + ring[:, 0].max()) / 2.0


def test_holes_measured_back() -> None:
    """At whatever scale, which is that of hole 1, 11 mm wide: the slots' sizes, pitch and distance from it."""
    part = profile_part(ANGLE, 300.0, holes=HOLES)
    on = page(part)
    rings = [path for path in paths(on) if len(path) > 20 and np.ptp(path, axis=0).min() > 1.0]
    round_ = min(rings, key=lambda ring: abs(float(np.ptp(ring[:, 0]) / np.ptp(ring[:, 1])) - 1.0))
    scale = float(np.ptp(round_[:, 0])) / 11.0
    slots = [ring for ring in rings if abs(float(np.ptp(ring[:, 0])) / scale - 30.0) < 0.3]
    assert len(slots) == 3
    assert {round(float(np.ptp(ring[:, 1])) / scale, 1) for ring in slots} == {9.0}
    middles = sorted(middle(ring) / scale for ring in slots)
    assert np.diff(middles) == pytest.approx([60.0, 60.0], abs=0.2)
    # The last is 90 mm from the finish of 300 mm, hole 1 50 mm from the start.
    assert middles[-1] - middle(round_) / scale == pytest.approx(300.0 - 90.0 - 50.0, abs=0.4)


@pytest.mark.parametrize(("units", "said"), [("mm", "saw length 300"), ("in", 'saw length 11.811"')])
def test_what_it_says(units: str, said: str) -> None:
    shown = texts(page(profile_part(ANGLE, 300.0, holes=HOLES), units))
    assert said in shown
    for each in ("Leg a, from outside", "Leg b, from outside", "Section, from the start", "Isometric"):
        assert each in shown
    assert ("3 x slot 30 x 9" if units == "mm" else "3 x slot") in shown
    assert "Ø11 for M10" in shown or units == "in"


def test_a_mitred_end_has_its_angle_and_short_side() -> None:
    """Leg b is 40 mm longer at its toe."""
    lean = SawnPlane(0.0, (math.sqrt(0.5), math.sqrt(0.5), 0.0))
    shown = texts(page(profile_part(ANGLE, 500.0, start=lean)))
    assert "45° from square" in shown
    assert "saw length 540" in shown
    assert "\n500\r" in shown
    assert "swing 45°" in shown


def test_the_angle_of_a_steep_mitre_stands_by_its_corner() -> None:
    """61.4 degrees from square, as in a frame of three channels: the figure lies under the saw length, within the arc's
    reach of the corner."""
    lean = math.radians(61.4)
    cut = SawnPlane(0.0, (math.cos(lean), math.sin(lean), 0.0))
    header = Header.model_validate({"title": "Rack", "number": "R-1", "units": "mm"})
    piece = profile_piece(profile_part(standard_sizes.angle(60, 40, 5), 900.0, start=cut))
    items = [each for each in drawing_pages([piece], header, paper.A4)[-1].picture.items if isinstance(each, Text)]
    (angle,) = (each for each in items if each.text == "61.4°")
    (start, *_) = sorted((each for each in items if each.text == "start"), key=lambda each: abs(each.y - angle.y))
    assert abs(angle.x - start.x) < 45.0
    assert abs(angle.y - start.y) < 35.0


def test_a_notch_has_its_depth_and_its_corner() -> None:
    """Leg b, flat on the tube's side, meets it straight; leg a along the circle has no figures but on its template."""
    shown = texts(page(profile_part(ANGLE, 400.0, start=CROSSWISE)))
    assert "notched onto A2" in shown
    assert "Notches: by their templates" in shown


@pytest.mark.parametrize("flipped", [False, True])
@pytest.mark.parametrize(
    ("section", "given", "at"),
    [
        (ANGLE, {"leg": "a", "gauge": 35}, (0.0, 35.0)),
        (ANGLE, {"leg": "b"}, (22.0, 0.0)),
        (standard_sizes.channel_named("UPN 80"), {"leg": "web", "gauge": 15}, (0.0, 15.0)),
        (standard_sizes.channel_named("UPN 80"), {"leg": "flange b"}, (25.0, -40.0)),
        (standard_sizes.tee(50, 50, 6, 6), {"leg": "flange a"}, (-15.0, 0.0)),
        (standard_sizes.tee(50, 50, 6, 6), {"leg": "stem", "gauge": 30}, (-3.0, -30.0)),
        (ProfileSection("flat", (40, 5)), {"gauge": -8}, (2.5, -8.0)),
    ],
)
def test_in_space_a_hole_is_where_its_gauge_says(
    section: ProfileSection, given: dict[str, Any], at: tuple[float, float], flipped: bool
) -> None:
    """The middle of its lid, in (y, z) of the trade's datum; a profile that lies flipped has it on the other side."""
    part = profile_part(section, holes=[{"at": 100, "diameter": 8, **given}], flipped=flipped)
    bare, drilled = drilled_body(profile_part(section, flipped=flipped)), drilled_body(part)
    lids = drilled.vertices[len(bare.vertices) :]
    outer = lids[: len(lids) // 2]
    x, y, z = outer[-1]
    assert x == pytest.approx(100.0)
    assert (-y if flipped else y, z) == pytest.approx(at, abs=0.4)
    assert np.linalg.norm(outer[:-1] - outer[-1], axis=1) == pytest.approx(4.0, abs=0.05)


def test_holes_come_off_its_volume() -> None:
    plain, drilled = profile_part(ANGLE), profile_part(ANGLE, holes=HOLES)
    round_, slot = math.pi / 4 * 11**2, math.pi / 4 * 81 + 21 * 9
    assert profile_volume(plain) - profile_volume(drilled) == pytest.approx(5.0 * (round_ + 3 * slot))


def items(*tables: tuple[str, dict[str, Any]]) -> list[Text]:
    """The texts of the first profile's sheet in a job of those tables."""
    job: dict[str, list[dict[str, Any]]] = {}
    for kind, table in tables:
        job.setdefault(kind, []).append(table)
    header = Header.model_validate({"title": "Rack", "number": "R-1", "units": "mm"})
    pages = drawing_pages(list(pieces_of(definitions(**job))), header, paper.A4)
    own = [page for page in pages if "A" in page.marks]
    return [each for page in own for each in page.picture.items if isinstance(each, Text)]


RAIL = {"mark": "A", "section": "angle 40 x 40 x 4", "route": [[0, 0, 0], [900, 0, 0]], "legs": ["top", "left"]}


def test_what_stands_on_a_toe_has_both_its_edges_and_its_mark() -> None:
    """Posts of flat bar, 30 wide, on the toe of leg a: their edges 15 mm to either side of their middles."""
    post = {"mark": "P", "section": "flat 30 x 4", "route": [[300, 2, 40], [300, 2, 400]]}
    said = {each.text for each in items(("profile", RAIL), ("profile", post))}
    assert {"P", "285", "315"} <= said


def test_a_plate_on_a_leg_is_drawn_there() -> None:
    plate = {
        "mark": "W", "rectangle": [60, 30], "thickness": 3,
        "place": {"against": "A", "at": 450, "side": "leg b outside"},
    }  # fmt: skip
    said = [each.text for each in items(("profile", RAIL), ("plate", plate))]
    at = said.index("420")
    assert said[at : at + 3] == ["420", "W", "480"]
