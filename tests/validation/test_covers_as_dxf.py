"""Flats of every shape of cover as independent readers see them: GDAL's DXF driver and ezdxf's audit.

GDAL/OGR vector driver 'AutoCAD DXF' (gdal.org): see test_gdal_reads_dxf.py.  Arcs in the file are
true arcs: no circle and no fillet is a polyline, and developed edges are arcs that run into one another.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely
from ezdxf.entities import LWPolyline

from fabgen.documents.bend_coupon import coupon_files, read_coupon
from fabgen.documents.dxf import flat_dxf
from fabgen.documents.kerf_files import kerf_files
from fabgen.documents.paper import A4
from fabgen.geometry.outline import Circle, Outline
from fabgen.job.reader import read_job
from fabgen.parts import cover
from fabgen.parts.piece import FlatPart, Piece
from fabgen.starters import starters

OPTIONS = {"OGR_ARC_STEPSIZE": "0.04", "OGR_ARC_MAX_GAP": "0.001", "DXF_CLOSED_LINE_AS_POLYGON": "YES"}
COVERS = {piece.mark: piece for piece in cover.pieces(read_job(starters()["covers"]).definitions)}


@pytest.fixture(autouse=True)
def _fine_arcs() -> Iterator[None]:
    pyogrio.set_gdal_config_options(OPTIONS)
    yield
    pyogrio.set_gdal_config_options(dict.fromkeys(OPTIONS))


def layers(data: bytes, folder: Path) -> dict[str, list[shapely.Geometry]]:
    path = folder / "part.dxf"
    path.write_bytes(data)
    fields, _, shapes, columns = pyogrio.raw.read(path, columns=["Layer"])
    names = columns[list(fields["fields"]).index("Layer")]
    found: dict[str, list[shapely.Geometry]] = {}
    for name, shape in zip(names, shapely.from_wkb(shapes), strict=True):
        found.setdefault(str(name), []).append(shape)
    return found


def flat(piece: Piece) -> FlatPart:
    assert isinstance(piece.shape, FlatPart)
    return piece.shape


@pytest.mark.parametrize("mark", COVERS)
def test_gdal_reads_the_areas(mark: str, tmp_path: Path) -> None:
    part = flat(COVERS[mark])
    found = layers(flat_dxf(COVERS[mark]), tmp_path)
    areas = [shapely.Polygon(shapely.get_coordinates(shape)).area for shape in found["CUT"]]
    assert areas == pytest.approx([part.outline.area], rel=1e-6)
    holes = [shapely.Polygon(shapely.get_coordinates(shape)).area for shape in found.get("HOLE", [])]
    assert holes == pytest.approx([hole.shape.area for hole in part.holes], rel=1e-6)
    assert len(found.get("BEND", [])) == len(part.bends)
    assert set(found) <= {"CUT", "HOLE", "BEND", "MARK"}
    outline = shapely.Polygon(shapely.get_coordinates(found["CUT"][0])).buffer(0.01)
    assert all(outline.covers(shape) for layer in ("BEND", "MARK") for shape in found.get(layer, []))


@pytest.mark.parametrize("mark", COVERS)
def test_ezdxf_finds_no_fault_and_arcs_are_arcs(mark: str) -> None:
    part = flat(COVERS[mark])
    document = ezdxf.read(io.StringIO(flat_dxf(COVERS[mark]).decode("ascii")))
    audit = document.audit()
    assert not audit.has_errors
    assert not audit.has_fixes
    (cut,) = document.modelspace().query('*[layer=="CUT"]')
    assert isinstance(cut, LWPolyline)
    assert cut.closed
    assert isinstance(part.outline, Outline)
    assert sum(abs(point[4]) > 1e-9 for point in cut) == sum(edge.is_arc for edge in part.outline.edges())
    circles = [hole for hole in part.holes if isinstance(hole.shape, Circle)]
    assert len(document.modelspace().query("CIRCLE")) == len(circles)


@pytest.mark.parametrize("mark", ["C3", "C5", "C6", "C7"])
def test_developed_edges_are_few_and_run_into_one_another(mark: str) -> None:
    """No string of little chords: arcs, each tangent to the next but at the outline's own corners."""
    part = flat(COVERS[mark])
    assert isinstance(part.outline, Outline)
    edges = list(part.outline.edges())
    assert len(edges) < 50
    kinks = [
        abs(math.degrees(math.remainder(b.heading_in - a.heading_out, 2.0 * math.pi)))
        for a, b in pairwise([*edges, edges[0]])
        if a.is_arc and b.is_arc
    ]
    assert sorted(kinks)[-3:] != []
    assert sum(kink > 1.5 for kink in kinks) <= 2


def test_files_with_kerf_and_the_test_strip(tmp_path: Path) -> None:
    files = kerf_files(COVERS.values(), 1.5)
    assert len(files) == len(COVERS)
    files |= {
        name: data for name, data in coupon_files(read_coupon("2", "2", "DC01"), A4).items() if name.endswith(".dxf")
    }
    for data in files.values():
        document = ezdxf.read(io.StringIO(data.decode("ascii")))
        assert not document.audit().has_errors
        assert len(layers(data, tmp_path)["CUT"]) == 1
