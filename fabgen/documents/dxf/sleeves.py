"""Printable marking sleeves of coped and mitred tube ends (`geometry/sleeve.py` says what one is)."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from fabgen.documents.dxf.flat_dxf import wrap_name
from fabgen.documents.dxf.mesh_files import stl, three_mf
from fabgen.geometry.space.mesh import Mesh
from fabgen.geometry.tube.sleeve import DEFAULT, SleeveSizes, sleeve, standing
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.tube.cope import section_profile

Form = Literal["stl", "3mf"]

HOW_TO_USE = (
    "Saw the tube square to its saw length. Slip the sleeve on with its longest point level with the saw cut and its "
    "notch on the tube's top line; scribe along its edge. Metal under the sleeve stays."
)


def has_sleeve(end: WorkedEnd) -> bool:
    """Whether there is a line to mark: a worked end that meets its mains somewhere."""
    return end.cut != "plain" and not bool(np.isnan(end.line.x).all())


def sleeve_mesh(part: LengthPart, end: WorkedEnd, sizes: SleeveSizes = DEFAULT) -> Mesh:
    """The sleeve of one end in the coordinates of the end's frame.

    Raises ValueError where there is no line to mark (see `has_sleeve`).
    """
    if not has_sleeve(end):
        raise ValueError(f"the {end.at} has no cut line for a sleeve to mark")
    profile, line = section_profile(part.section, end.top), end.line
    if np.array_equal(profile.phi, line.phi):
        x = line.x
    else:
        x = np.interp(profile.phi, line.phi, line.x, period=2.0 * math.pi)
    return sleeve(profile, x, end.top, sizes)


def sleeve_name(piece: Piece, end: WorkedEnd, form: Form = "stl") -> str:
    """'sleeve/T1-start.stl'."""
    return f"sleeve/{wrap_name(piece, end).removesuffix('.dxf')}.{form}"


def sleeve_stl(piece: Piece, end: WorkedEnd, sizes: SleeveSizes = DEFAULT) -> bytes:
    """The sleeve as it is printed, as STL.  Raises TypeError when the piece is no length of section."""
    return stl(_printed(piece, end, sizes), _title(piece, end))


def sleeve_3mf(piece: Piece, end: WorkedEnd, sizes: SleeveSizes = DEFAULT) -> bytes:
    """The same as 3MF."""
    return three_mf(_printed(piece, end, sizes), f"{piece.mark} {end.at}", _title(piece, end))


def _printed(piece: Piece, end: WorkedEnd, sizes: SleeveSizes) -> Mesh:
    if not isinstance(piece.shape, LengthPart):
        raise TypeError(f"{piece.mark} is no length of section")
    return standing(sleeve_mesh(piece.shape, end, sizes))


def _title(piece: Piece, end: WorkedEnd) -> str:
    """'T1 start, marking sleeve, 48.3 x 3.2'."""
    assert isinstance(piece.shape, LengthPart)
    return f"{piece.mark} {end.at}, marking sleeve, {piece.shape.section}"
