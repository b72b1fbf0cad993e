"""What the view of a flat leaves to the DXF file, and says so: notches, cut-outs, developed curves; nothing else."""

from __future__ import annotations

from functools import cache

import pytest

from fabgen.app.starters import starters
from fabgen.documents.drawing.flat.flat_view import FlatDrawing, draw_flat
from fabgen.documents.render.picture import Text
from fabgen.job.reader import read_job
from fabgen.parts.bracket import bracket
from fabgen.parts.cover import cover
from fabgen.parts.piece import Piece
from fabgen.wording.figures import Figures


@cache
def pieces() -> dict[str, Piece]:
    made = [*cover.pieces(read_job(starters()["covers"]).definitions)]
    made += bracket.pieces(read_job(starters()["brackets"]).definitions)
    return {piece.mark: piece for piece in made}


def drawn(mark: str, scale: float) -> FlatDrawing:
    part = pieces()[mark].flat_part
    assert part is not None
    return draw_flat(part, scale, Figures(), (250.0, 250.0), lambda *_: None)


@pytest.mark.parametrize(
    ("mark", "left_out"),
    [
        ("C1", []),  # a cap
        ("C7", ["curved edges: by the DXF file"]),  # square to round
        ("C8", []),  # square to square: its corners are in the bend table
        ("B1", []),
        ("B5", ["notches beside the bends: by the DXF file"]),  # a box
    ],
)
def test_left_to_the_file(mark: str, left_out: list[str]) -> None:
    assert drawn(mark, 0.2).left_out == left_out


def test_a_shallow_arc_has_its_radius_on_a_leader() -> None:
    """The lower edge of the wing panel, an arc through three stations: 450 mm either way, 50 mm deep."""
    drawing = drawn("C3", 0.2)
    radius = (450.0**2 + 50.0**2) / (2.0 * 50.0)
    assert drawing.left_out == []
    assert f"R{radius:g}" in {item.text for item in drawing.sketch.panel().picture.items if isinstance(item, Text)}
