"""Every DXF file of every sample and starter as independent readers see it: GDAL's DXF driver and ezdxf's audit.

GDAL/OGR vector driver 'AutoCAD DXF' (gdal.org): see test_gdal_reads_dxf.py.  Outlines are closed,
circles and fillets are true arcs in the file and never strings of chords, nothing is doubled, and bends and marks
lie on the part and on no layer that is cut.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely
from dxf_layers import OPTIONS, layers
from ezdxf.entities import Circle as CircleEntity
from ezdxf.entities import LWPolyline

from fabgen.app.starters import starters
from fabgen.documents.dxf.flat_dxf import flat_dxf
from fabgen.documents.dxf.machine_files import kerf_files, wrap_files
from fabgen.documents.render.paper import A4
from fabgen.documents.without_job.bend_coupon import coupon_files, read_coupon
from fabgen.geometry.plane.outline import Circle, Loop, Outline, Vertex
from fabgen.job.reader import read_job
from fabgen.job.tables.bracket_tables import SHAPES
from fabgen.job.tables.cover_tables import COVER_SIZES
from fabgen.job.tables.flat_tables import OUTLINES
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlatPart, Piece

SAMPLES = Path(__file__).parents[2] / "sample_parts"
JOBS = {path.stem: path for path in [*sorted(SAMPLES.rglob("*.toml")), *starters().values()] if path.stem != "rack"}


@cache
def pieces(job: str) -> dict[str, Piece]:
    return {piece.mark: piece for piece in all_pieces(read_job(JOBS[job]).definitions)}


def flats(job: str) -> Iterator[tuple[Piece, FlatPart]]:
    """The parts of sheet of a job; what is found wrong with one is said of it."""
    for mark, piece in pieces(job).items():
        if (part := piece.flat_part) is not None:
            print(f"{job}, {mark}")  # shown where a test fails, the one at fault last
            yield piece, part


@pytest.fixture(autouse=True)
def _fine_arcs() -> Iterator[None]:
    pyogrio.set_gdal_config_options(OPTIONS)
    yield
    pyogrio.set_gdal_config_options(dict.fromkeys(OPTIONS))


def flat(piece: Piece) -> FlatPart:
    assert isinstance(piece.shape, FlatPart)
    return piece.shape


def area(shape: shapely.Geometry) -> float:
    return shapely.Polygon(shapely.get_coordinates(shape)).area


def closed(shape: shapely.Geometry) -> bool:
    """GDAL gives a closed polyline as a polygon, a circle as a line that ends where it begins."""
    return bool(shape.geom_type == "Polygon" or shapely.is_closed(shape))


def test_every_family_and_shape_is_among_them() -> None:
    jobs = [read_job(path).definitions for path in JOBS.values()]
    assert {each.shape or "" for job in jobs for each in job.bracket} == set(SHAPES)
    assert {each.shape for job in jobs for each in job.cover} == set(COVER_SIZES)
    given = [each.model_fields_set for job in jobs for each in (*job.plate, *job.cover)]
    assert {way for way in (*OUTLINES, "sides", "baseline", "points") if any(way in keys for keys in given)} >= {
        "disc", "stadium", "rectangle", "corners", "sides", "baseline", "points",
    }  # fmt: skip
    assert sum(1 for name in JOBS for _ in flats(name)) > 40


@pytest.mark.parametrize("job", JOBS)
def test_gdal_reads_closed_outlines_with_their_areas(job: str, tmp_path: Path) -> None:
    for piece, part in flats(job):
        found = layers(flat_dxf(piece), tmp_path)
        assert set(found) <= {"CUT", "HOLE", "BEND", "MARK"}
        assert [closed(shape) for shape in found["CUT"]] == [True]
        assert all(map(closed, found.get("HOLE", [])))
        assert [area(shape) for shape in found["CUT"]] == pytest.approx([part.outline.area], rel=1e-6)
        holes = found.get("HOLE", [])
        assert [area(shape) for shape in holes] == pytest.approx([hole.shape.area for hole in part.holes], rel=1e-6)
        assert len(found.get("BEND", [])) >= len(part.bends)
        outline = shapely.Polygon(shapely.get_coordinates(found["CUT"][0]))
        assert outline.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-3)
        near = outline.buffer(0.01)
        assert all(near.covers(shape) for layer in ("BEND", "MARK") for shape in found.get(layer, []))
        cut = shapely.MultiPolygon([shapely.Polygon(shapely.get_coordinates(hole)) for hole in holes])
        assert outline.contains_properly(cut) or not holes
        assert cut.is_valid  # apart, and none twice


def lowest_first(vertex: Vertex) -> tuple[float, float]:
    return round(vertex.y, 4), round(vertex.x, 4)


def by_half_turns(bulge: float) -> list[float]:
    """GDAL takes an arc past a half turn for its chord, so that such an arc stands in the file as two."""
    return [bulge] if abs(bulge) <= 1.0 else [math.tan(math.atan(bulge) / 2.0)] * 2


@pytest.mark.parametrize("job", JOBS)
def test_ezdxf_finds_nothing_to_mend_and_arcs_are_arcs(job: str) -> None:
    for piece, part in flats(job):
        document = ezdxf.read(io.StringIO(flat_dxf(piece).decode("ascii")))
        audit = document.audit()
        assert not audit.has_errors
        assert not audit.has_fixes
        assert document.header["$INSUNITS"] == 4
        assert len(document.modelspace().query('*[layer=="CUT"]')) == 1
        drawn = document.modelspace().query('*[layer=="CUT" | layer=="HOLE"]')
        loops: list[Loop] = [part.outline, *(hole.shape for hole in part.holes)]
        for entity, loop in zip(drawn, loops, strict=True):
            if isinstance(loop, Circle):
                assert isinstance(entity, CircleEntity)
                assert 2.0 * entity.dxf.radius == pytest.approx(loop.diameter)
            else:
                assert isinstance(entity, LWPolyline)
                assert entity.closed
                # It begins at its lowest corner, wherever the part's own outline does.
                first = min(range(len(loop.vertices)), key=lambda i: lowest_first(loop.vertices[i]))
                corners = loop.vertices[first:] + loop.vertices[:first]
                expected = [bulge for v in corners for bulge in by_half_turns(v.bulge)]
                assert [point[4] for point in entity] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("job", JOBS)
def test_no_curve_is_a_string_of_chords(job: str) -> None:
    """No run of three short straight edges that turn gently, as a circle or a fillet made of chords has."""
    for loop in (loop for _, part in flats(job) for loop in (part.outline, *(hole.shape for hole in part.holes))):
        if not isinstance(loop, Outline):
            continue
        edges = list(loop.edges())
        for a, b, c in zip(edges, [*edges[1:], edges[0]], [*edges[2:], *edges[:2]], strict=True):
            straight = not (a.is_arc or b.is_arc or c.is_arc) and max(a.length, b.length, c.length) < 5.0
            turns = [math.remainder(q.heading_in - p.heading_out, 2.0 * math.pi) for p, q in pairwise((a, b, c))]
            assert not (straight and max(map(abs, turns)) < 0.3)


@pytest.mark.parametrize("job", JOBS)
def test_developed_tube_ends_and_holes(job: str, tmp_path: Path) -> None:
    """wrap/*.dxf: closed outlines of the developed tube, nothing for an audit to mend."""
    made = list(pieces(job).values())
    files = wrap_files(made)
    for name, data in files.items():
        if name.endswith(".dxf"):
            audit = ezdxf.read(io.StringIO(data.decode("ascii"))).audit()
            assert not audit.has_errors
            assert not audit.has_fixes
            found = layers(data, tmp_path)
            assert set(found) <= {"CUT", "HOLE", "BEND", "MARK"}
            assert all(map(closed, (*found["CUT"], *found.get("HOLE", ()))))


# -- covers: developed edges, kerf, test strip ----------------------------------------
@pytest.mark.parametrize("mark", ["C3", "C5", "C6", "C7"])
def test_developed_edges_are_few_and_run_into_one_another(mark: str) -> None:
    """No string of little chords: arcs, each tangent to the next but at the outline's own corners."""
    part = flat(pieces("covers")[mark])
    assert isinstance(part.outline, Outline)
    edges = list(part.outline.edges())
    assert len(edges) < 50
    kinks = [
        abs(math.degrees(math.remainder(b.heading_in - a.heading_out, 2.0 * math.pi)))
        for a, b in pairwise([*edges, edges[0]])
        if a.is_arc and b.is_arc
    ]
    assert len(kinks) >= 3
    assert sum(kink > 1.5 for kink in kinks) <= 2


def test_files_with_kerf_and_the_test_strip(tmp_path: Path) -> None:
    parts = [piece for job in ("plates", "covers") for piece, _ in flats(job)]
    files = kerf_files(parts, 1.5)
    assert len(files) == len(parts)
    files |= {
        name: data for name, data in coupon_files(read_coupon("2", "2", "DC01"), A4).items() if name.endswith(".dxf")
    }
    for data in files.values():
        document = ezdxf.read(io.StringIO(data.decode("ascii")))
        assert not document.audit().has_errors
        assert len(layers(data, tmp_path)["CUT"]) == 1
