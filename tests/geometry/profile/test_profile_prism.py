"""Profiles as solids: their parts are the whole, their toes are exact, their roots are filled to the chord."""

from __future__ import annotations

import numpy as np
import pytest

from fabgen.geometry.plane.outline import Outline, Xy
from fabgen.geometry.profile.corners import with_sharp_toes
from fabgen.geometry.profile.prism import ProfilePrism, convex_parts
from fabgen.geometry.profile.shapes import angle, channel, flat, tee
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.solids import distance

SHAPES = [angle(40, 40, 4, 6, 3), angle(60, 40, 5), channel(80, 45, 6, 8, 8, 4), tee(50, 50, 6, 6, 6, 3), flat(40, 5)]


def area(corners: tuple[Xy, ...]) -> float:
    return Outline.polygon(corners).signed_area


@pytest.mark.parametrize("shape", SHAPES, ids=["equal angle", "sharp angle", "channel", "tee", "flat"])
def test_the_parts_are_convex_and_are_the_whole(shape) -> None:  # type: ignore[no-untyped-def]
    parts = convex_parts(shape.outline)
    chords = Outline.polygon([(v.x, v.y) for v in shape.outline.vertices])
    assert sum(area(part) for part in parts) == pytest.approx(chords.area)
    for part in parts:
        p = np.array(part)
        way = np.roll(p, -1, axis=0) - p
        after = np.roll(way, -1, axis=0)
        assert (way[:, 0] * after[:, 1] - way[:, 1] * after[:, 0] >= -1e-9).all()


def test_toes_are_round_and_roots_filled_to_the_chord() -> None:
    shape = angle(40, 40, 4, 6, 3)
    solid = ProfilePrism(Frame(np.zeros(3), *np.eye(3)), shape.outline)
    across = 3.0 * (1.0 - np.sqrt(0.5))
    points = {
        (39.9, 3.9): False,  # beyond the toe's arc
        (40.0 - across - 0.01, 4.0 - across - 0.01): True,  # just within it
        (6.9, 6.9): True,  # within the chord of the root
        (7.1, 7.1): False,
        (20.0, 4.01): False,
        (20.0, 3.99): True,
    }
    for (y, z), inside in points.items():
        assert bool(distance(solid, np.array([5.0, y, z])) < 0.0) is inside, (y, z)


@pytest.mark.parametrize(
    ("shape", "added"), [(SHAPES[0], 2 * 9.0), (SHAPES[2], 2 * 16.0), (SHAPES[3], 2 * 9.0), (SHAPES[1], 0.0)]
)
def test_sharp_toes_add_the_corners(shape, added: float) -> None:  # type: ignore[no-untyped-def]
    sharp = with_sharp_toes(shape)
    assert sharp.area - shape.outline.area == pytest.approx(added * (1.0 - np.pi / 4.0))
    assert sharp.bounds == pytest.approx(shape.outline.bounds)
