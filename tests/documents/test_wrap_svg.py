"""SVG files of developed tube ends: true to size, and the same lines as the DXF files."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET

import ezdxf
import pytest
from coped_tubes import CASES
from ezdxf.entities import LWPolyline

from fabgen.documents.dxf.flat_dxf import sheet_dxf
from fabgen.documents.dxf.svg_file import sheet_svg
from fabgen.documents.wrap.wrap import unrolled
from fabgen.documents.wrap.wrap_sheet import wrap_sheet
from fabgen.parts.piece import LengthPart

SVG = "{http://www.w3.org/2000/svg}"
Line = list[tuple[float, float]]


def lines(root: ET.Element, group: str, height: float) -> list[Line]:
    """Every line of a group, its y turned upward as in the DXF."""
    found: list[Line] = []
    for path in root.findall(f".//*[@id='{group}']/{SVG}path"):
        for run in re.findall(r"M([^MZ]+)", path.get("d", "")):
            pairs = (pair.split() for pair in run.split("L"))
            found.append([(float(x), height - float(y)) for x, y in pairs])
    return found


def in_dxf(data: bytes, layer: str) -> list[Line]:
    document = ezdxf.read(io.StringIO(data.decode("ascii")))
    found: list[Line] = []
    for entity in document.modelspace():
        if entity.dxf.layer == layer:
            if isinstance(entity, LWPolyline):
                found.append([(x, y) for x, y, *_ in entity.get_points()])
            else:
                found.append([(p.x, p.y) for p in (entity.dxf.start, entity.dxf.end)])
    return found


@pytest.mark.parametrize("name", CASES)
def test_the_same_lines_as_the_dxf_at_true_size(name: str) -> None:
    piece = CASES[name]
    assert isinstance(piece.shape, LengthPart)
    end = piece.shape.ends[0]
    wrap = unrolled(piece.shape, end)
    root = ET.fromstring(sheet_svg(wrap_sheet(piece, end)))
    assert root.tag == f"{SVG}svg"
    width, height = (float(root.get(key, "").removesuffix("mm")) for key in ("width", "height"))
    # One user unit is a millimetre (SVG 2, 8.2: the viewBox maps to the width and height given).
    assert root.get("viewBox") == f"0 0 {root.get('width', '')[:-2]} {root.get('height', '')[:-2]}"
    assert (width, height) == (pytest.approx(wrap.width, abs=1e-3), pytest.approx(wrap.height, abs=1e-3))
    drawn = sheet_dxf(wrap_sheet(piece, end))
    for layer in ("CUT", "BEND", "MARK"):
        wanted = in_dxf(drawn, layer)
        found = lines(root, layer, height)
        assert len(found) == len(wanted), layer
        for one, other in zip(found, wanted, strict=True):
            assert one == [pytest.approx(point, abs=2e-3) for point in other]


def test_cut_lines_are_wide_closed_paths_and_marks_are_thin() -> None:
    piece = CASES["rectangular onto round"]
    assert isinstance(piece.shape, LengthPart)
    root = ET.fromstring(sheet_svg(wrap_sheet(piece, piece.shape.ends[0])))
    groups = {group.get("id"): group for group in root.findall(f"{SVG}g")}
    assert list(groups) == ["CUT", "BEND", "MARK"]
    widths = {name: float(group.get("stroke-width", "0")) for name, group in groups.items()}
    assert widths["CUT"] > 2.0 * widths["MARK"] == 2.0 * widths["BEND"]
    assert groups["BEND"].get("stroke-dasharray")
    assert all(group.get("fill") == "none" for group in groups.values())
    (cut,) = groups["CUT"]
    assert cut.get("d", "").endswith("Z")
    assert root.findtext(f"{SVG}title") == "T1 start"
    assert not root.findall(f".//{SVG}text")


def test_the_same_tube_gives_the_same_bytes() -> None:
    piece = CASES["common"]
    assert isinstance(piece.shape, LengthPart)
    assert len({sheet_svg(wrap_sheet(piece, piece.shape.ends[0])) for _ in range(2)}) == 1
