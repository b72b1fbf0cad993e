"""What a cylinder takes out of a wall: nothing of the wall stays in the cutter, and the edge touches it."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fabgen.geometry.plane.outline import OutlineError
from fabgen.geometry.sheet.wall_cuts import BEYOND, Cutter, Wall, cut_loops


def clearance(wall: Wall, cutter: Cutter, x: float, along: float, depth: float) -> float:
    """Distance of a point of the wall from the cutter's surface, by plain geometry."""
    turn = x / wall.largest
    lean, upright = (wall.top - wall.bottom) / wall.slant, wall.height / wall.slant
    radius = wall.bottom + lean * along + upright * depth
    point = np.array([radius * math.cos(turn), radius * math.sin(turn), upright * along - lean * depth])
    c, s = math.cos(cutter.around), math.sin(cutter.around)
    axis = np.array([math.cos(cutter.tilt) * c, math.cos(cutter.tilt) * s, math.sin(cutter.tilt)])
    centre = np.array([-s * cutter.offset, c * cutter.offset, cutter.height])
    step = point - centre
    return float(np.linalg.norm(step - (step @ axis) * axis)) - cutter.radius


@settings(max_examples=40)
@given(
    st.floats(60, 200),
    st.floats(0.5, 1.5),
    st.floats(60, 200),
    st.floats(0.2, 0.8),
    st.floats(-0.3, 0.3),
    st.floats(-1.0, 1.0),
    st.floats(-0.5, 0.5),
    st.sampled_from([0.0, 1.5, 6.0]),
)
def test_nothing_of_the_wall_stays_in_the_cutter(
    bottom: float, taper: float, height: float, size: float, aside: float, around: float, tilt: float, thick: float
) -> None:
    wall = Wall(bottom, bottom * taper, height, thick)
    small = min(wall.bottom, wall.top)
    cutter = Cutter(size * small, 0.4 * height - small * math.tan(tilt), aside * small, around, tilt)
    try:
        loops = cut_loops(wall, cutter)
    except OutlineError:
        loops = []  # as wide as the wall
    assume(loops)
    depths = np.linspace(-thick / 2.0, thick / 2.0, 9)
    touching = 0
    for x, along in (p for loop in loops for p in loop[::7]):
        if not -BEYOND + 0.01 < along < wall.slant + BEYOND - 0.01:
            continue
        least = min(clearance(wall, cutter, x, along, float(depth)) for depth in depths)
        assert least > -1e-6
        touching += least < 0.05
    assert touching > 1 or all(abs(a) >= BEYOND - 0.01 or a > wall.slant for loop in loops for _, a in loop)


def test_chords_keep_within_the_sampled_tolerance() -> None:
    """The closed form of two cylinders crossing square (validation/test_cylinders_crossing.py) lies on the chords."""
    from shapely import LineString, Point

    wall, cutter = Wall(100.0, 100.0, 300.0), Cutter(90.0, 150.0)
    (loop,) = cut_loops(wall, cutter)
    ring = LineString([*loop, loop[0]])
    for a in np.linspace(0.0, 2.0 * math.pi, 1000):
        point = (100.0 * math.asin(0.9 * math.cos(a)), 150.0 + 90.0 * math.sin(a))
        assert ring.distance(Point(point)) < 0.0035
    assert len(loop) < 900


def test_cutter_as_wide_as_the_skirt() -> None:
    with pytest.raises(OutlineError, match=r"as wide as the skirt, whose inside there is 99\.0 mm"):
        cut_loops(Wall(100.0, 100.0, 120.0, 2.0), Cutter(90.0, 60.0, 20.0))


def test_a_cutter_that_misses_the_sheet_gives_no_loop() -> None:
    assert cut_loops(Wall(100.0, 100.0, 120.0, 2.0), Cutter(30.0, 400.0)) == []
