"""Transitions: lines of the convex hull, lengths on the flat those in space, folds, laps and creases."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from fabgen.geometry.plane.outline import Circle, Corner, Loop, Outline, OutlineError
from fabgen.geometry.sheet.band_flat import BandFlat, band_flat
from fabgen.geometry.sheet.outline_rings import Ring, ring_of
from fabgen.geometry.sheet.transition import Band, _least_bent, band
from fabgen.geometry.sheet.unfolding import folds_of, unfold
from fabgen.geometry.space.frame import Frame


def plane(height: float, x: float = 0.0, y: float = 0.0, tilt: float = 0.0) -> Frame:
    c, s = math.cos(tilt), math.sin(tilt)
    return Frame(np.array([x, y, height]), np.array([c, 0.0, s]), np.array([0.0, 1.0, 0.0]), np.array([-s, 0.0, c]))


def rectangle(width: float, height: float, radius: float = 0.0) -> Outline:
    return Outline.rectangle(width, height, radius).moved(-width / 2.0, -height / 2.0)


def made(bottom: Loop, top: Loop, upper: Frame, seam: tuple[float, float] = (0.0, -1e3), chord: float = 0.002) -> Band:
    return band(ring_of(bottom, plane(0.0), chord), ring_of(top, upper, chord), seam)


def flat_of(given: Band, **keys: float) -> BandFlat:
    return band_flat(given, 6, lambda angle: 0.0, **keys)


SHAPES: list[Loop] = [
    Circle(0.0, 0.0, 180.0),
    rectangle(200.0, 140.0),
    rectangle(200.0, 140.0, 30.0),
    Outline.stadium(220.0, 90.0),
    Outline.polygon([(-90.0, -70.0), (110.0, -60.0), (30.0, 95.0)]),
]
ELL = Outline.from_corners(
    [Corner(x, y, 8) for x, y in [(-100, -100), (100, -100), (100, 0), (0, 0), (0, 100), (-100, 100)]]
)


@settings(max_examples=60)
@given(
    st.sampled_from(SHAPES),
    st.sampled_from(SHAPES),
    st.floats(0.4, 1.4),
    st.floats(40, 300),
    st.floats(-60, 60),
    st.floats(-0.2, 0.2),
    st.floats(-math.pi, math.pi),
)
def test_convex_outlines_make_their_convex_hull(
    bottom: Loop, top: Loop, size: float, height: float, aside: float, tilt: float, seam: float
) -> None:
    upper = _scaled(top, size)
    given = made(bottom, upper, plane(height + 40.0, aside, 0.0, tilt), (300 * math.cos(seam), 300 * math.sin(seam)))
    points = given.points
    centre = points.mean(axis=0)
    # No point lies in front of any triangle: the triangles are facets of the hull.
    for a, b, c in given.triangles[::11]:
        n = np.cross(points[b] - points[a], points[c] - points[a])
        n /= np.linalg.norm(n)
        assert ((points - points[a]) @ n).max() < 1e-4
        assert (centre - points[a]) @ n < 0.0
    assert given.rulings[0] == (0, 0)
    assert given.rulings[-1] == (len(given.bottom.flat), len(given.top.flat))


def _scaled(loop: Loop, by: float) -> Loop:
    if isinstance(loop, Circle):
        return Circle(loop.x * by, loop.y * by, loop.diameter * by)
    from fabgen.geometry.plane.outline import Vertex

    return Outline(tuple(Vertex(v.x * by, v.y * by, v.bulge) for v in loop.vertices))


@settings(max_examples=15)
@given(st.sampled_from(SHAPES), st.sampled_from(SHAPES), st.floats(60, 300), st.floats(-0.15, 0.15))
def test_every_length_on_the_flat_is_that_in_space(bottom: Loop, top: Loop, height: float, tilt: float) -> None:
    _lengths_are_kept(bottom, top, height, tilt)


def test_lengths_are_kept_where_an_outline_turns_inward() -> None:
    _lengths_are_kept(ELL, SHAPES[0], 150.0, 0.1)


def _lengths_are_kept(bottom: Loop, top: Loop, height: float, tilt: float) -> None:
    given = made(bottom, top, plane(height + 30.0, 10.0, -5.0, tilt)).middle(-1.0)
    points, triangles = given.points, given.triangles
    laid = unfold(points, triangles)
    for triangle, flat in zip(triangles, laid.corners, strict=True):
        for i, j in ((0, 1), (1, 2), (2, 0)):
            true = float(np.linalg.norm(points[triangle[i]] - points[triangle[j]]))
            assert math.dist(flat[i], flat[j]) == pytest.approx(true, abs=1e-6)
    flat_part = flat_of(given)
    for edge, ring in ((flat_part.bottom, given.bottom), (flat_part.top, given.top)):
        true = sum(math.dist(p, q) for p, q in pairwise([*ring.points.tolist(), ring.points[0].tolist()]))
        assert edge == pytest.approx(true, abs=1e-6)
    # And so are the outline's own edges, arcs fitted, to a hundredth of a millimetre.
    around = flat_part.bottom + flat_part.top + 2.0 * flat_part.seam
    assert flat_part.outline.perimeter == pytest.approx(around, abs=0.01)
    area = sum(
        float(np.linalg.norm(np.cross(points[b] - points[a], points[c] - points[a]))) / 2.0 for a, b, c in triangles
    )
    assert flat_part.outline.area == pytest.approx(area, rel=2e-5, abs=0.5)


def test_two_circles_make_the_cone() -> None:
    """The same sector as the cone's own development, for a seam anywhere; sheet on the middle as the cone's is."""
    from fabgen.geometry.sheet.developments import cone_flat

    upright = 150.0 / math.hypot(150.0, 40.0)
    given = made(Circle(0, 0, 200), Circle(0, 0, 120), plane(150.0), (50.0, 20.0)).middle(-1.0)
    flat = flat_of(given)
    cone = cone_flat(200.0 - 2.0 * upright, 120.0 - 2.0 * upright, 150.0)
    assert flat.seam == pytest.approx(cone.slant, abs=1e-3)
    assert flat.bottom == pytest.approx(cone.outer * cone.sweep, abs=0.01)
    assert flat.top == pytest.approx(cone.inner * cone.sweep, abs=0.01)
    assert flat.outline.area == pytest.approx(cone.sweep / 2.0 * (cone.outer**2 - cone.inner**2), rel=1e-4)
    radii = [edge.radius for edge in flat.outline.edges() if edge.is_arc]
    assert {round(r) for r in radii} == {round(cone.outer), round(cone.inner)}
    assert len(radii) < 12


def test_square_to_round_has_four_rounded_parts_and_no_crease() -> None:
    flat = flat_of(made(rectangle(200, 200), Circle(0, 0, 120), plane(150.0)))
    assert not any(bend.crease for bend in flat.bends)
    assert [bend.part for bend in flat.bends] == [part for part in (1, 2, 3, 4) for _ in range(6)]
    assert len({round(bend.angle, 6) for bend in flat.bends}) == 1
    assert all(bend.angle > 0.0 for bend in flat.bends)
    # All six bends of a part begin in the square's corner.
    for part in (1, 2, 3, 4):
        starts = [bend.start for bend in flat.bends if bend.part == part]
        assert max(math.dist(starts[0], p) for p in starts) < 1e-6
    # The whole turn of the sheet: the folds between neighbouring facets of the hull, seam included.
    given = made(rectangle(200, 200), Circle(0, 0, 120), plane(150.0))
    assert sum(f.angle for f in folds_of(given.points, given.triangles)) == pytest.approx(
        sum(b.angle for b in flat.bends), abs=1e-9
    )


def test_hopper_has_creases_and_is_shorter_by_what_they_save() -> None:
    given = made(rectangle(200, 160), rectangle(100, 80), plane(150.0, 10.0, 0.0))
    plain = flat_of(given)
    assert [bend.crease for bend in plain.bends] == [True] * 4
    saved = band_flat(given, 6, lambda angle: 2.0)
    assert saved.bottom < plain.bottom - 7.0
    assert saved.top < plain.top - 7.0
    assert len(saved.outline.vertices) == len(plain.outline.vertices)
    # Each crease stands square to what is taken out: the sheet loses 2 mm along the whole crease.
    lost = plain.outline.area - saved.outline.area
    creases = sum(math.dist(bend.start, bend.end) for bend in plain.bends)
    assert lost == pytest.approx(2.0 * creases, rel=0.02)


def test_least_bent_sheet_of_convex_outlines_is_the_hull() -> None:
    """The search that serves outlines which turn inward finds the hull where there is one."""
    given = made(rectangle(200, 140, 20), Circle(0, 0, 120), plane(150.0))
    coarse = [_thinned(ring) for ring in (given.bottom, given.top)]
    sheet = band(coarse[0], coarse[1], (0.0, -1e3))
    searched = Band(sheet.bottom, sheet.top, tuple(_least_bent(sheet.bottom, sheet.top)))

    def work(made_: Band) -> float:
        points = made_.points
        return sum(
            abs(f.angle) * float(np.linalg.norm(points[f.side[0]] - points[f.side[1]]))
            for f in folds_of(points, made_.triangles)
        )

    assert work(searched) <= work(sheet) + 1e-6
    assert work(searched) == pytest.approx(work(sheet), rel=0.01)


def _thinned(ring: Ring) -> Ring:
    kept = [i for i in range(len(ring.flat)) if ring.ends[i] or i % 7 == 0]
    return Ring(ring.flat[kept], tuple(ring.ends[i] for i in kept), tuple(ring.arcs[i] for i in kept), ring.frame)


def test_an_outline_that_turns_inward_has_a_valley_there_and_nothing_wild() -> None:
    flat = flat_of(made(ELL, Circle(-20.0, -20.0, 90.0), plane(160.0), chord=0.02))
    up = [bend for bend in flat.bends if bend.angle < 0.0]
    assert up
    assert len({bend.part for bend in up}) == 1
    assert max(abs(bend.angle) for bend in flat.bends) < math.radians(20.0)


def test_lap_lies_on_the_other_end() -> None:
    """The lap, turned back by the whole sheet, covers what begins at the left-hand end, cut alike."""
    given = made(rectangle(200, 160), Circle(10.0, 0, 120), plane(150.0), (30.0, -80.0))
    plain, lapped = flat_of(given), flat_of(given, lap=15.0)
    more = lapped.outline.area - plain.outline.area
    assert more == pytest.approx(15.0 * plain.seam, rel=0.08)
    assert lapped.lap_line is not None
    assert math.dist(*lapped.lap_line) == pytest.approx(plain.seam, abs=1e-6)
    gapped = flat_of(given, gap=3.0)
    assert plain.outline.area - gapped.outline.area == pytest.approx(3.0 * plain.seam, rel=0.05)
    assert Polygon(gapped.outline.points(0.05)).is_valid


def test_seam_in_a_side_and_at_a_corner() -> None:
    square = rectangle(200, 160)
    side = made(square, Circle(0, 0, 120), plane(150.0), (30.0, -80.0))
    assert side.bottom.flat[0] == pytest.approx((30.0, -80.0))
    corner = made(square, Circle(0, 0, 120), plane(150.0), (100.0, -80.0))
    assert corner.bottom.flat[0] == pytest.approx((100.0, -80.0))
    assert len(corner.bottom.flat) == 4
    # Parallel sides: the seam goes square across.
    hopper = made(square, rectangle(100, 80), plane(150.0), (20.0, -80.0))
    assert hopper.top.flat[0] == pytest.approx((20.0, -40.0))


def test_tops_below_the_bottom_and_laps_wider_than_the_sheet() -> None:
    with pytest.raises(OutlineError, match=r"below the bottom's plane"):
        made(rectangle(200, 160), Circle(0, 0, 120), plane(20.0, 0.0, 0.0, 0.8))
    with pytest.raises(OutlineError, match="wider than the sheet"):
        flat_of(made(rectangle(20, 16), Circle(0, 0, 12), plane(30.0)), lap=300.0)
