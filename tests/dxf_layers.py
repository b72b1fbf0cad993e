"""DXF files as GDAL reads them: layer by layer, arcs stroked finely."""

from __future__ import annotations

from pathlib import Path

import pyogrio
import shapely

OPTIONS = {"OGR_ARC_STEPSIZE": "0.04", "OGR_ARC_MAX_GAP": "0.001", "DXF_CLOSED_LINE_AS_POLYGON": "YES"}


def layers(data: bytes, folder: Path) -> dict[str, list[shapely.Geometry]]:
    """Layer name to the shapes GDAL finds on it."""
    path = folder / "part.dxf"
    path.write_bytes(data)
    fields, _, shapes, columns = pyogrio.raw.read(path, columns=["Layer"])
    names = columns[list(fields["fields"]).index("Layer")]
    found: dict[str, list[shapely.Geometry]] = {}
    for name, shape in zip(names, shapely.from_wkb(shapes), strict=True):
        found.setdefault(str(name), []).append(shape)
    return found
