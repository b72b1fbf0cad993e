"""The faces of a cross-section lie where their names say."""

from __future__ import annotations

import pytest

from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.shapes import channel, tee


@pytest.mark.parametrize(
    ("shape", "name", "start", "end"),
    [
        (channel(84, 30, 5, 6, 6, 3), "toe a", (30.0, 39.0), (30.0, 42.0)),
        (channel(84, 30, 5, 6, 6, 3), "toe b", (30.0, -42.0), (30.0, -39.0)),
        (tee(50, 50, 6, 6, 6, 3), "flange inside a", (-22.0, -6.0), (-9.0, -6.0)),
        (tee(50, 50, 6, 6, 6, 3), "flange inside b", (9.0, -6.0), (22.0, -6.0)),
    ],
)
def test_of_two_faces_on_one_line_each_has_its_own_place(
    shape: CrossSection, name: str, start: tuple[float, float], end: tuple[float, float]
) -> None:
    face = shape.face(name)
    assert face.start == pytest.approx(start)
    assert face.end == pytest.approx(end)
