"""Marking sleeves as files, read back and tried on the tube by independent programs.

trimesh reads the STL, manifold3d does the solid booleans.
"""

import io
import math

import manifold3d
import numpy as np
import pytest
import trimesh
from coped_tubes import CASES, coped_tube, round_tube
from shapely import box

from fabgen.documents.dxf.machine_files import sleeve_files
from fabgen.documents.dxf.sleeves import has_sleeve, sleeve_mesh, sleeve_name, sleeve_stl
from fabgen.geometry.tube.sleeve import SleeveSizes, standing
from fabgen.parts.piece import CutLine, LengthPart, Piece, WorkedEnd
from fabgen.parts.single_cope import simple_cope
from fabgen.shop.section import Section


def shape(piece: Piece) -> LengthPart:
    assert isinstance(piece.shape, LengthPart)
    return piece.shape


def ends(piece: Piece) -> list[WorkedEnd]:
    return [end for end in shape(piece).ends if has_sleeve(end)]


def read(piece: Piece, end: WorkedEnd) -> trimesh.Trimesh:
    mesh = trimesh.load(io.BytesIO(sleeve_stl(piece, end)), file_type="stl")
    assert isinstance(mesh, trimesh.Trimesh)
    return mesh


def solid(mesh: trimesh.Trimesh) -> manifold3d.Manifold:
    return manifold3d.Manifold(
        manifold3d.Mesh(np.asarray(mesh.vertices, dtype=np.float32), np.asarray(mesh.faces, dtype=np.uint32))
    )


def bar(section: Section, grown: float, length: float) -> manifold3d.Manifold:
    """The tube filled up along z, its first figure along x, `grown` mm larger on each side."""
    if section.is_round:
        outline = np.array(manifold3d.CrossSection.circle(1.0, 720).to_polygons()[0])
        outline = outline * (section.width / 2.0 + grown) / math.cos(math.pi / 720)
    else:
        inner = box(-section.width / 2, -section.depth / 2, section.width / 2, section.depth / 2).buffer(
            -section.corner, join_style="mitre"
        )
        outline = np.array(inner.buffer(section.corner + grown, quad_segs=64).exterior.coords)[:-1][::-1]
    return manifold3d.Manifold.extrude(manifold3d.CrossSection([outline.tolist()]), length)


@pytest.mark.parametrize("piece", CASES.values(), ids=CASES)
def test_read_back_closed_and_whole(piece: Piece) -> None:
    for end in ends(piece):
        mesh = read(piece, end)
        ours = standing(sleeve_mesh(shape(piece), end))
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert len(mesh.faces) == len(ours.triangles)
        assert mesh.volume > 0.0
        body = solid(mesh)
        assert body.status() == manifold3d.Error.NoError
        assert body.genus() == 1  # a ring
        assert body.volume() == pytest.approx(mesh.volume, rel=1e-6)
        assert mesh.bounds[0] == pytest.approx(np.zeros(3), abs=1e-6)


@pytest.mark.parametrize("piece", CASES.values(), ids=CASES)
def test_slips_over_the_tube(piece: Piece) -> None:
    """No overlap with the tube, none with one 0.24 mm larger, but with one 0.27 mm larger."""
    section = shape(piece).section
    for end in ends(piece):
        mesh = read(piece, end)
        # The printed sleeve's axis is the middle of its box; x of the end lies down, y along printed x.
        middle = mesh.bounds.mean(axis=0) * [1.0, 1.0, 0.0]
        mesh.apply_translation(-middle)
        body = solid(mesh)
        turned = math.degrees(math.atan2(math.sin(-end.top), math.cos(end.top))) if not section.is_round else 0.0
        shared = {}
        for grown in (0.0, 0.24, 0.27):
            tube = bar(section, grown, float(mesh.extents[2]) + 2.0).translate([0.0, 0.0, -1.0]).rotate([0, 0, turned])
            shared[grown] = (body ^ tube).volume()
        assert shared[0.0] == pytest.approx(0.0, abs=1e-6)
        assert shared[0.24] == pytest.approx(0.0, abs=1e-3)
        assert shared[0.27] > 1.0


@pytest.mark.parametrize(("angle", "offset"), [(90.0, 0.0), (60.0, 0.0), (45.0, 5.5), (75.0, -4.0)])
def test_both_lips_are_the_line_of_two_cylinders(angle: float, offset: float) -> None:
    """The file cut by planes through its axis, against the closed form of two crossing cylinders."""
    alpha = math.radians(angle)
    cope = simple_cope(round_tube(48.3), round_tube(60.3), alpha, offset, "outside")
    piece = coped_tube(round_tube(48.3), round_tube(60.3), angle, offset)
    start = shape(piece).ends[0]
    end = WorkedEnd("start", "cope", cope.line, start.frame, math.radians(70.0), start.joints, "outside")
    mesh = read(piece, end)
    middle = mesh.bounds.mean(axis=0)
    height = float(mesh.extents[2])
    longest = float(cope.line.x.min())
    for degrees in np.arange(0.5, 360.0, 7.0):
        phi = math.radians(degrees)
        r, big = 24.15, 30.15
        wanted = (r * math.cos(phi) * math.cos(alpha) + math.sqrt(big**2 - (r * math.sin(phi) - offset) ** 2)) / (
            math.sin(alpha)
        )
        # Printed: up is against the tube's x, printed x is the end's y and printed y its -z.
        way = np.array([math.cos(phi), -math.sin(phi), 0.0])
        across = np.array([way[1], -way[0], 0.0])
        cuts = trimesh.intersections.mesh_plane(mesh, across, [middle[0], middle[1], 0.0])
        points = np.asarray(cuts).reshape(-1, 3) - [middle[0], middle[1], 0.0]
        points = points[points @ way > 0.0]
        out = points @ way
        for near in (out < r + 1.25, out > r + 1.25):
            assert longest + height - points[near, 2].max() == pytest.approx(wanted, abs=0.02)


def test_seen_from_above_phi_runs_clockwise_from_the_notch() -> None:
    """A mirrored sleeve would mark a mirrored cut: printed heights against the line, both ways round."""
    piece = coped_tube(round_tube(48.3), round_tube(60.3), 60.0, 5.0, top=30.0)
    start = shape(piece).ends[0]
    mesh = read(piece, start)
    points = np.asarray(mesh.vertices) - mesh.bounds.mean(axis=0) * [1.0, 1.0, 0.0]
    azimuth = np.degrees(np.arctan2(points[:, 1], points[:, 0]))
    upper = points[:, 2] > 10.0
    low = points[:, 2].min()
    slit = np.flatnonzero(~upper & (points[:, 2] > low + 3.9))
    notch = float(azimuth[slit].mean())
    heights = points[upper, 2]

    def misfit(way: float) -> float:
        phi = np.radians(30.0 + way * (azimuth[upper] - notch))
        line = np.interp(phi, start.line.phi, start.line.x, period=2.0 * math.pi)
        return float(np.abs(heights - (mesh.extents[2] + start.line.x.min() - line)).max())

    assert misfit(-1.0) < 0.02
    assert misfit(1.0) > 3.0


def test_same_bytes_each_time_and_no_date() -> None:
    piece = CASES["rectangular onto round"]
    start = shape(piece).ends[0]
    assert sleeve_stl(piece, start) == sleeve_stl(piece, start)
    heading = sleeve_stl(piece, start)[:80]
    assert heading.rstrip() == b"mesh in mm: T1 start, marking sleeve, 60 x 40 x 3"
    assert not heading.startswith(b"solid")


def test_names() -> None:
    piece = coped_tube(round_tube(20.0), round_tube(25.0), 90.0, mark="T 1/ä", both=True)
    assert [sleeve_name(piece, end) for end in shape(piece).ends] == [
        "sleeve/T-1-a-start.stl",
        "sleeve/T-1-a-finish.stl",
    ]


def test_how_to_use_them_goes_with_them() -> None:
    files = sleeve_files([CASES["large"]])
    assert sorted(files) == ["sleeve/T1-start.stl", "sleeve/how-to-use.txt"]
    assert "longest point level with the saw cut" in files["sleeve/how-to-use.txt"].decode()
    assert sleeve_files([]) == {}


def test_plain_ends_and_ends_in_the_air_have_none() -> None:
    part = shape(CASES["large"])
    assert [has_sleeve(end) for end in part.ends] == [True, False]
    start = part.ends[0]
    nowhere = CutLine(start.line.phi, start.line.station, np.full(360, np.nan))
    lost = WorkedEnd("start", "cope", nowhere, start.frame, start.top, start.joints)
    assert not has_sleeve(lost)
    with pytest.raises(ValueError, match="no cut line"):
        sleeve_mesh(part, lost)


def test_own_sizes() -> None:
    piece = CASES["common"]
    part = shape(piece)
    mesh = sleeve_mesh(part, part.ends[0], SleeveSizes(clearance=0.4, wall=1.2, grip=20.0))
    radius = np.hypot(mesh.vertices[:, 1], mesh.vertices[:, 2])
    assert radius.min() == pytest.approx(24.15 + 0.4)
    assert radius.max() == pytest.approx(24.15 + 1.6)
