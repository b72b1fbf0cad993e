"""The textbook development of a right cone: sector angle = 360 degrees x base radius / slant height.

Any textbook of sheet metal pattern drafting, e.g. N. D. Bhatt, Engineering Drawing, chapter on
development of surfaces (theta = 360 R / L; from memory, no page).  Checked on the piece that a
job makes, at neutral diameters.
"""

import math

import pytest

from fabgen.geometry.plane.outline import Outline
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.cover import cover


@pytest.mark.parametrize(("bottom", "top", "height"), [(300.0, 150.0, 100.0), (80.0, 60.0, 200.0), (500.0, 20.0, 30.0)])
def test_sector_of_a_frustum(bottom: float, top: float, height: float) -> None:
    job = Definitions.model_validate(
        {
            "job": {"title": "x", "number": "x", "units": "mm"},
            "cover": [
                {
                    "mark": "C1",
                    "shape": "cone",
                    "thickness": 2,
                    "measured": "middle",
                    "bottom": bottom,
                    "top": top,
                    "height": height,
                }
            ],
        }
    )
    (piece,) = cover.pieces(job)
    assert piece.flat_part is not None
    outline = piece.flat_part.outline
    assert isinstance(outline, Outline)
    # The whole cone, up to its apex, by similar triangles.
    whole = height * bottom / (bottom - top)
    slant = math.hypot(whole, bottom / 2)
    angle = math.radians(360.0 * (bottom / 2) / slant)
    arcs = [edge for edge in outline.edges() if edge.is_arc]
    large = [edge for edge in arcs if edge.radius == pytest.approx(slant)]
    small = [edge for edge in arcs if edge.radius == pytest.approx(slant * top / bottom)]
    assert len(large) + len(small) == len(arcs)
    assert sum(edge.sweep for edge in large) == pytest.approx(angle)
    assert sum(edge.sweep for edge in small) == pytest.approx(-angle)
    assert outline.area == pytest.approx(math.pi * (bottom + top) / 2 * math.hypot(height, (bottom - top) / 2))
