"""Sleeves as 3MF, held against the 3MF Consortium's 3MF Core Specification, version 1.2.

Section 2.1 (package: content types, relationships, start part), 3 (model, unit), 4.1 (mesh:
positions used, edges between exactly two triangles of one orientation, positive volume) and
Ecma-376 part 2 (Open Packaging Conventions) for the package's parts; the section numbers are from memory.
"""

import io
import zipfile
from collections import Counter
from xml.etree import ElementTree

import numpy as np
import pytest
from coped_tubes import CASES

from fabgen.documents.dxf.mesh_files import three_mf
from fabgen.documents.dxf.sleeves import has_sleeve, sleeve_3mf, sleeve_stl
from fabgen.geometry.space.mesh import Mesh
from fabgen.parts.piece import Piece

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
TYPES = "{http://schemas.openxmlformats.org/package/2006/content-types}"
LINKS = "{http://schemas.openxmlformats.org/package/2006/relationships}"


def package(piece: Piece) -> zipfile.ZipFile:
    part = piece.length_part
    assert part is not None
    end = next(end for end in part.ends if has_sleeve(end))
    return zipfile.ZipFile(io.BytesIO(sleeve_3mf(piece, end)))


def model(archive: zipfile.ZipFile) -> ElementTree.Element:
    return ElementTree.fromstring(archive.read("3D/3dmodel.model"))


def test_package_parts() -> None:
    archive = package(CASES["common"])
    assert archive.testzip() is None
    assert archive.namelist() == ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
    assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    types = ElementTree.fromstring(archive.read("[Content_Types].xml"))
    assert types.tag == f"{TYPES}Types"
    assert {(t.get("Extension"), t.get("ContentType")) for t in types} == {
        ("rels", "application/vnd.openxmlformats-package.relationships+xml"),
        ("model", "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"),
    }
    (link,) = ElementTree.fromstring(archive.read("_rels/.rels"))
    assert link.tag == f"{LINKS}Relationship"
    assert link.get("Type") == "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
    assert link.get("Target") == "/3D/3dmodel.model"


@pytest.mark.parametrize("piece", CASES.values(), ids=CASES)
def test_model(piece: Piece) -> None:
    root = model(package(piece))
    assert root.tag == f"{CORE}model"
    assert root.get("unit") == "millimeter"
    assert [child.tag.removeprefix(CORE) for child in root] == ["metadata", "metadata", "resources", "build"]
    (thing,) = root.findall(f"{CORE}resources/{CORE}object")
    (item,) = root.findall(f"{CORE}build/{CORE}item")
    assert item.get("objectid") == thing.get("id") == "1"
    vertices = [tuple(float(v.attrib[axis]) for axis in "xyz") for v in thing.iter(f"{CORE}vertex")]
    triangles = [tuple(int(t.attrib[v]) for v in ("v1", "v2", "v3")) for t in thing.iter(f"{CORE}triangle")]
    assert len(set(vertices)) == len(vertices)
    assert min(min(v) for v in vertices) == 0.0  # in the octant that is printed
    assert {i for t in triangles for i in t} == set(range(len(vertices)))
    edges = Counter((t[i], t[(i + 1) % 3]) for t in triangles for i in range(3))
    assert all(a != b and n == 1 and edges[b, a] == 1 for (a, b), n in edges.items())
    points = np.array(vertices)[np.array(triangles)]
    volume = float((points[:, 0] * np.cross(points[:, 1], points[:, 2])).sum() / 6.0)
    facets = np.frombuffer(sleeve_stl(piece, piece.shape.ends[0])[84:], dtype=np.uint8).reshape(-1, 50)
    corners = facets[:, 12:48].copy().view("<f4").reshape(-1, 3, 3).astype(float)
    assert volume > 0.0
    assert volume == pytest.approx((corners[:, 0] * np.cross(corners[:, 1], corners[:, 2])).sum() / 6.0, rel=1e-5)


def test_names_are_escaped() -> None:
    mesh = Mesh(np.eye(4, 3), np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]))
    archive = zipfile.ZipFile(io.BytesIO(three_mf(mesh, 'T<1> & "2"\x07', "a < b")))
    root = model(archive)
    (thing,) = root.findall(f"{CORE}resources/{CORE}object")
    assert thing.get("name") == 'T<1> & "2"?'
    assert root.findtext(f"{CORE}metadata[@name='Title']") == "a < b"
