"""Printable marking sleeves of coped and mitred tube ends (`geometry/sleeve.py` says what one is)."""

from __future__ import annotations

import numpy as np

from fabgen.documents.dxf.flat_dxf import wrap_name
from fabgen.geometry.space.mesh import Mesh
from fabgen.geometry.tube.sleeve import DEFAULT, SleeveSizes, sleeve, standing
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.sections import end_profile

_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def has_sleeve(end: WorkedEnd) -> bool:
    """Whether there is a line to mark: a worked end that meets its mains somewhere, and that no straight saw cut
    makes."""
    return end.needs_template and not bool(np.isnan(end.line.x).all())


def sleeve_mesh(part: LengthPart, end: WorkedEnd, sizes: SleeveSizes = DEFAULT) -> Mesh:
    """The sleeve of one end in the coordinates of the end's frame.

    Raises ValueError where there is no line to mark (see `has_sleeve`).
    """
    if not has_sleeve(end):
        raise ValueError(f"the {end.at} has no cut line for a sleeve to mark")
    return sleeve(end_profile(part.section, end), end.line.x, end.top, sizes)


def sleeve_name(piece: Piece, end: WorkedEnd) -> str:
    """'sleeve/T1-start.stl'."""
    return f"sleeve/{wrap_name(piece, end).removesuffix('.dxf')}.stl"


def sleeve_stl(piece: Piece, end: WorkedEnd) -> bytes:
    """The sleeve as it is printed, as STL.  Raises TypeError when the piece is no length of section."""
    if not isinstance(piece.shape, LengthPart):
        raise TypeError(f"{piece.mark} is no length of section")
    name = f"{piece.mark} {end.at}, marking sleeve, {piece.shape.section}"
    return stl(standing(sleeve_mesh(piece.shape, end)), name)


def stl(mesh: Mesh, name: str) -> bytes:
    """A mesh as binary STL: an 80 byte heading with `name`, then 50 bytes a triangle; the same bytes for the same
    mesh.  STL knows no unit; every program takes its figures as millimetres."""
    # A heading that begins with "solid" would pass for the text form of the format.
    heading = f"mesh in mm: {name}".encode("ascii", "replace")[:80].ljust(80)
    facets = np.zeros(len(mesh.triangles), dtype=_FACET)
    facets["normal"], facets["corners"] = mesh.normals, mesh.corners
    return heading + len(facets).to_bytes(4, "little") + facets.tobytes()
