"""Meshes as files for 3D printing: binary STL and 3MF, the same bytes for the same mesh.

3MF: 3MF Consortium, 3MF Core Specification, 1.2: an Open Packaging Conventions zip with the parts
[Content_Types].xml, _rels/.rels and 3D/3dmodel.model, the unit said in the model.  STL knows no
unit; every program takes its figures as millimetres.
"""

from __future__ import annotations

import io
import zipfile
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from fabgen.geometry.space.mesh import Mesh

_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])

_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_RELATIONSHIP = "application/vnd.openxmlformats-package.relationships+xml"
_MODEL = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
_START_PART = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"

_TYPES = f"""<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="{_PACKAGE}/content-types">
 <Default Extension="rels" ContentType="{_RELATIONSHIP}"/>
 <Default Extension="model" ContentType="{_MODEL}"/>
</Types>
"""
_RELATIONS = f"""<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="{_PACKAGE}/relationships">
 <Relationship Target="/3D/3dmodel.model" Id="rel0" Type="{_START_PART}"/>
</Relationships>
"""

_OLDEST = (1980, 1, 1, 0, 0, 0)
"""The first date a zip can hold; it stands for none."""


def stl(mesh: Mesh, name: str) -> bytes:
    """Binary STL: an 80 byte heading with `name`, then 50 bytes a triangle."""
    # A heading that begins with "solid" would pass for the text form of the format.
    heading = f"mesh in mm: {name}".encode("ascii", "replace")[:80].ljust(80)
    facets = np.zeros(len(mesh.triangles), dtype=_FACET)
    facets["normal"], facets["corners"] = mesh.normals, mesh.corners
    return heading + len(facets).to_bytes(4, "little") + facets.tobytes()


def three_mf(mesh: Mesh, name: str, title: str = "") -> bytes:
    """3MF with one object called `name`; the package's title is `title`, or the name."""
    parts = {
        "[Content_Types].xml": _TYPES,
        "_rels/.rels": _RELATIONS,
        "3D/3dmodel.model": "".join(_model(mesh, name, title or name)),
    }
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as package:
        for path, text in parts.items():
            entry = zipfile.ZipInfo(path, _OLDEST)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system, entry.external_attr = 3, 0o644 << 16
            package.writestr(entry, text.encode())
    return buffer.getvalue()


def _model(mesh: Mesh, name: str, title: str) -> list[str]:
    """The model part.  Coordinates to a hundredth of a micrometre."""
    return [
        '<?xml version="1.0" encoding="UTF-8"?>\n',
        f'<model unit="millimeter" xml:lang="en" xmlns="{_CORE}">\n',
        f' <metadata name="Title">{escape(_printable(title))}</metadata>\n',
        ' <metadata name="Application">fabgen</metadata>\n',
        f' <resources>\n  <object id="1" type="model" name={quoteattr(_printable(name))}>\n   <mesh>\n',
        "    <vertices>\n",
        *(f'     <vertex x="{x:.5f}" y="{y:.5f}" z="{z:.5f}"/>\n' for x, y, z in (mesh.vertices + 0.0).tolist()),
        "    </vertices>\n    <triangles>\n",
        *(f'     <triangle v1="{a}" v2="{b}" v3="{c}"/>\n' for a, b, c in mesh.triangles.tolist()),
        "    </triangles>\n   </mesh>\n  </object>\n </resources>\n",
        ' <build>\n  <item objectid="1"/>\n </build>\n</model>\n',
    ]


def _printable(text: str) -> str:
    """Without the control characters that no XML may hold."""
    return "".join(c if c.isprintable() else "?" for c in text)
