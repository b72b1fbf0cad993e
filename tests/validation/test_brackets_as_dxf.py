"""Flats of every shape of bracket as independent readers see them: GDAL's DXF driver and ezdxf's audit.

GDAL/OGR vector driver 'AutoCAD DXF' (gdal.org): see test_gdal_reads_dxf.py.  Outlines are closed, and
circles and fillets are true arcs in the file, never strings of chords.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely
from dxf_layers import OPTIONS, layers
from ezdxf.entities import LWPolyline

from fabgen.documents.dxf import flat_dxf
from fabgen.geometry.outline import Circle, Outline
from fabgen.job.reader import read_job
from fabgen.parts import bracket
from fabgen.parts.piece import FlatPart, Piece
from fabgen.starters import starters

BRACKETS = {piece.mark: piece for piece in bracket.pieces(read_job(starters()["brackets"]).definitions)}


@pytest.fixture(autouse=True)
def _fine_arcs() -> Iterator[None]:
    pyogrio.set_gdal_config_options(OPTIONS)
    yield
    pyogrio.set_gdal_config_options(dict.fromkeys(OPTIONS))


def flat(piece: Piece) -> FlatPart:
    assert isinstance(piece.shape, FlatPart)
    return piece.shape


def test_every_shape_is_among_them() -> None:
    from fabgen.job.bracket_tables import SHAPES

    shapes = {each.shape or "" for each in read_job(starters()["brackets"]).definitions.bracket}
    assert shapes == set(SHAPES)


@pytest.mark.parametrize("mark", BRACKETS)
def test_gdal_reads_closed_outlines_with_their_areas(mark: str, tmp_path: Path) -> None:
    part = flat(BRACKETS[mark])
    found = layers(flat_dxf(BRACKETS[mark]), tmp_path)
    assert set(found) <= {"CUT", "HOLE", "BEND", "MARK"}
    assert [shape.geom_type for shape in found["CUT"]] == ["Polygon"]  # closed
    areas = [shapely.Polygon(shapely.get_coordinates(shape)).area for shape in found["CUT"]]
    assert areas == pytest.approx([part.outline.area], rel=1e-6)
    holes = [shapely.Polygon(shapely.get_coordinates(shape)).area for shape in found.get("HOLE", [])]
    assert holes == pytest.approx([hole.shape.area for hole in part.holes], rel=1e-6)
    assert len(found.get("BEND", [])) >= len(part.bends)
    outline = shapely.Polygon(shapely.get_coordinates(found["CUT"][0])).buffer(0.01)
    assert all(outline.covers(shape) for layer in ("BEND", "MARK") for shape in found.get(layer, []))


@pytest.mark.parametrize("mark", BRACKETS)
def test_ezdxf_finds_nothing_to_mend_and_arcs_are_arcs(mark: str) -> None:
    part = flat(BRACKETS[mark])
    document = ezdxf.read(io.StringIO(flat_dxf(BRACKETS[mark]).decode("ascii")))
    audit = document.audit()
    assert not audit.has_errors
    assert not audit.has_fixes
    space = document.modelspace()
    (cut,) = space.query('LWPOLYLINE[layer=="CUT"]')
    assert isinstance(cut, LWPolyline)
    assert cut.closed
    assert isinstance(part.outline, Outline)
    bulges = [point[4] for point in cut.get_points()]
    assert bulges == pytest.approx([vertex.bulge for vertex in part.outline.vertices], abs=1e-9)
    circles = [hole for hole in part.holes if isinstance(hole.shape, Circle)]
    assert len(space.query('CIRCLE[layer=="HOLE"]')) == len(circles)
    curves = [each for each in part.marks if isinstance(each.curve, Circle)]
    assert len(space.query('CIRCLE[layer=="MARK"]')) == len(curves)


@pytest.mark.parametrize("mark", BRACKETS)
def test_no_curve_is_a_string_of_chords(mark: str) -> None:
    """No run of three short straight edges that turn gently, as a circle made of chords has."""
    outline = flat(BRACKETS[mark]).outline
    assert isinstance(outline, Outline)
    edges = list(outline.edges())
    for a, b, c in zip(edges, [*edges[1:], edges[0]], [*edges[2:], *edges[:2]], strict=True):
        straight = not (a.is_arc or b.is_arc or c.is_arc) and max(a.length, b.length, c.length) < 5.0
        turns = abs(b.heading_in - a.heading_out) < 0.3 and abs(c.heading_in - b.heading_out) < 0.3
        assert not (straight and turns)
