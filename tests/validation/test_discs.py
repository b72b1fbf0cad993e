"""Discs as hubs: sizes worked out by hand, tubes and disc held against solids (manifold3d)."""

from __future__ import annotations

import itertools
import math

import manifold3d as m3
import numpy as np
import pytest
from jobs import checked
from random_seeds import first_seed, how_many
from shapely import MultiPoint
from shapely.geometry.base import BaseGeometry
from test_tubes_in_space import whole_tube

from fabgen.checks.registry import run_checks
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.piece import DrilledHole, FlatPart, LengthPart

NODE = '[[node]]\nat = [0, 0, 0]\ncorners = "disc"\n'
DISC = 'corners = "disc"'
SOLID = 40.0
"""Half the size of the block that stands for what a slit cuts out of its wall, square to the slit, mm."""


def fan(
    angles: list[float],
    section: str = "33.7 x 2.6",
    more: str = NODE,
    rise: float = 0.0,
    units: str = "mm",
    each: str = "",
) -> str:
    """Tubes of 1 m (40 in) from one point at these angles, degrees; they rise by `rise` toward their far ends."""
    far = 1000.0 if units == "mm" else 40.0
    lines = [f'[job]\ntitle = "t"\nnumber = "1"\nunits = "{units}"', more]
    for i, angle in enumerate(angles):
        a = math.radians(angle)
        route = [[0, 0, 0], [round(far * math.cos(a), 9), round(far * math.sin(a), 9), rise]]
        lines.append(f'[[tube]]\nmark = "T{i}"\nsection = "{section}"\nroute = {route}\n{each}')
    return "\n".join(lines)


def wheel(count: int) -> list[float]:
    return [360.0 * i / count for i in range(count)]


def tubes(text: str) -> dict[str, LengthPart]:
    return {p.mark: part for p in checked(text).pieces if (part := p.length_part) is not None}


def disc(text: str) -> FlatPart:
    return next(part for p in checked(text).pieces if (part := p.flat_part) is not None)


def width_of(part: FlatPart) -> float:
    low, _, high, _ = part.outline.bounds
    return high - low


def said(text: str) -> set[str]:
    return {f.rule for f in run_checks(checked(text)) if f.level != "note"}


def why(text: str) -> str:
    with pytest.raises(JobError) as caught:
        read_text(text)
    return str(caught.value)


# -- by hand --------------------------------------------------------------------------------------
def test_the_disc_of_six_spokes_by_hand() -> None:
    """Corners 16.85 beside their axes at 60 degrees keep 10 mm where 2 (s sin 30 - 16.85 cos 30) = 10: s = 39.2, so 40.

    1.3 x 33.7 = 43.81 further on, at the tubes' sides, the rim is hypot(83.81, 16.85) = 85.5: 180 across by tens. The
    plate is twice 2.6 thick at least, so 6, and the slits 6.5 wide.
    """
    text = fan(wheel(6))
    plate, parts = disc(text), tubes(text)
    assert (5.0 + 16.85 * math.cos(math.radians(30))) / math.sin(math.radians(30)) == pytest.approx(39.2, abs=0.02)
    assert width_of(plate) == pytest.approx(180.0)
    assert plate.thickness == 6.0
    for part in parts.values():
        assert part.length == pytest.approx(960.0)
        walls = [hole for hole in part.drilled if hole.slit is not None]
        assert [hole.far for hole in walls] == [False, True]
        assert {hole.width for hole in walls} == {6.5}
        # The wall's inside lies 14.25 beside the axis: the rim comes sqrt(90^2 - 14.25^2) - 40 = 48.86 in there.
        slit = walls[0].slit
        assert slit is not None
        assert 48.86 <= slit.takes <= 48.86 + 2.0
    assert said(text) == set()


def test_each_slit_is_welded_along_both_sides_of_both_walls() -> None:
    """At the outside, 16.85 from the axis, the rim is sqrt(90^2 - 16.85^2) - 40 = 48.41 in: four times that an end."""
    for part in tubes(fan(wheel(6))).values():
        (weld,) = part.welds
        assert weld.onto == "DISC"
        assert weld.length == pytest.approx(4.0 * 48.41, abs=0.1)
        assert math.degrees(weld.run.least) == pytest.approx(90.0)


def test_where_the_tubes_lie_is_etched_on_the_disc() -> None:
    """Both sides, the axis and the saw cut of each, from 40 mm out; a tube of 60 x 40 that lies flat is 60 wide."""
    lines = etched(disc(fan(wheel(6))))
    assert len(lines) == 6 * 4
    assert min(float(np.hypot(*point)) for line in lines for point in line) == pytest.approx(40.0)
    for turn, wide in ((90, 60.0), (0, 40.0)):
        first = etched(disc(fan([0, 90], section="60 x 40 x 3", each=f"turn = {turn}")))[:4]
        saw_cut = next(line for line in first if np.ptp(line[:, 0]) < 1e-6)
        assert np.ptp(saw_cut[:, 1]) == pytest.approx(wide)


def etched(part: FlatPart) -> list[np.ndarray]:
    """The lines on a disc, from its middle."""
    low, left, high, up = part.outline.bounds
    return [np.array(mark.line) - [(low + high) / 2.0, (left + up) / 2.0] for mark in part.marks if mark.line]


def test_a_disc_and_its_thickness_as_given() -> None:
    text = fan(wheel(6), more=NODE + "disc = 220\nthickness = 10")
    assert width_of(disc(text)) == pytest.approx(220.0)
    assert disc(text).thickness == 10.0
    assert said(text) == set()


def test_in_inches_places_and_sizes_are_by_sixteenths() -> None:
    """1 1/4 at 45 degrees: s = (0.197 + 0.625 cos 22.5) / sin 22.5 = 2.023, so 2 1/16; 1.3 x 1.25 further on
    hypot(3.6875, 0.625) = 3.740: 7 1/2 across. Twice 0.12 is 1/4 plate."""
    text = fan(wheel(8), section="1 1/4 x 0.12", more=DISC, units="in")
    assert width_of(disc(text)) / 25.4 == pytest.approx(7.5)
    assert disc(text).thickness / 25.4 == pytest.approx(0.25)
    assert [part.length / 25.4 for part in tubes(text).values()] == pytest.approx([40.0 - 2.0625] * 8)
    assert said(text) == set()


def test_the_whole_job_makes_discs_only_where_many_meet_in_a_plane() -> None:
    assert "DISC" in {p.mark for p in checked(fan(wheel(6), more=DISC)).pieces}
    assert {p.mark for p in checked(fan(wheel(5), more=DISC)).pieces} == {f"T{i}" for i in range(5)}
    assert "HUB" in {p.mark for p in checked(fan(wheel(6), more=DISC, rise=200.0)).pieces}
    assert "many-ends" not in said(fan(wheel(6), more=DISC))


# -- against solids -------------------------------------------------------------------------------
def cut_out(hole: DrilledHole) -> m3.Manifold:
    """A slit's block, from the saw cut to the hole at its bottom, through its own wall and on outward."""
    slit = hole.slit
    assert slit is not None
    inward = hole.skin.frame.x if slit.at == "start" else -hole.skin.frame.x
    out, across = hole.frame.x, np.cross(hole.skin.frame.x, hole.frame.x)
    block = m3.Manifold.cube((slit.centre + 1.0, SOLID, slit.width)).translate(
        (-slit.centre - 1.0, 0.0, -slit.width / 2.0)
    )
    drill = m3.Manifold.cylinder(SOLID, slit.hole / 2.0, circular_segments=96).rotate((-90.0, 0.0, 0.0))
    axes = np.column_stack((inward, out, np.cross(inward, out)))
    assert abs(axes[:, 2] @ across) == pytest.approx(1.0)
    return (block + drill).transform(np.column_stack((axes, hole.frame.origin)))


def plate_body(part: FlatPart) -> m3.Manifold:
    frame = part.places[0].frame
    radius = width_of(part) / 2.0
    low, left, _, _ = part.outline.bounds
    body = m3.Manifold.cylinder(part.thickness, radius, circular_segments=180)
    body = body.translate((low + radius, left + radius, 0.0))
    return body.transform(np.column_stack((frame.axes.T, frame.origin)))


def seen_on(part: FlatPart, body: m3.Manifold) -> BaseGeometry:
    """The outline of a body without hollows, looking square on the disc."""
    frame = part.places[0].frame
    points = np.asarray(body.to_mesh().vert_properties)[:, :3] - frame.origin
    return MultiPoint(np.column_stack((points @ frame.x, points @ frame.y))).convex_hull


def fits(text: str) -> None:
    """What of the tubes lies in the disc is cut out by their slits, and they keep 10 mm from one another."""
    plate, parts = disc(text), tubes(text)
    body, outlines = plate_body(plate), []
    for mark, part in parts.items():
        tube = whole_tube(part)
        lap = tube ^ body
        assert lap.volume() > 4.0 * part.section.wall * part.section.width  # it lies in the disc with both walls
        for hole in part.drilled:
            lap -= cut_out(hole)
        assert lap.volume() < 1e-3, mark
        outlines.append(seen_on(plate, tube))
    for one, other in itertools.combinations(outlines, 2):
        assert one.distance(other) >= 10.0 - 0.05


@pytest.mark.parametrize(
    "text",
    [
        fan(wheel(6)),
        fan([0, 30, 75, 200], section="60 x 40 x 3", each="turn = 90"),
        fan([0, 50, 180], section="40 x 40 x 3", more=NODE + "thickness = 10"),
        fan(wheel(7), rise=6.0),
    ],
)
def test_tubes_straddle_their_disc_and_touch_nothing(text: str) -> None:
    fits(text)


def random_fan(seed: int) -> str:
    """Two to eight round and rectangular tubes in a plane that stands anyhow, ends at either end of their routes."""
    random = np.random.default_rng((77, seed))
    angles = np.cumsum(random.uniform(32.0, 44.0, int(random.integers(2, 9))))
    square, flat = np.linalg.qr(random.normal(size=(3, 3)))[0][:, 0], random.normal(size=3)
    one = np.cross(square, flat)
    one /= np.linalg.norm(one)
    lines = ['[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"', NODE, f"hub_along = {square.tolist()}"]
    for i, angle in enumerate(np.radians(angles)):
        far = (800.0 * (math.cos(angle) * one + math.sin(angle) * np.cross(square, one))).round(9).tolist()
        section = str(random.choice(["26.9 x 2.3", "33.7 x 2.6", "42.4 x 3.2"]))
        route = [[0, 0, 0], far] if random.random() < 0.5 else [far, [0, 0, 0]]
        lines.append(f'[[tube]]\nmark = "T{i}"\nsection = "{section}"\nroute = {route}')
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(2))
def test_random_fans_fit_their_disc(seed: int) -> None:
    fits(random_fan(first_seed(900) + seed))
    assert said(random_fan(first_seed(900) + seed)) == set()


@pytest.mark.slow
def test_many_random_fans_fit_their_disc() -> None:
    """200 with --full."""
    for seed in range(how_many(200, 12)):
        fits(random_fan(first_seed(950) + seed))
        assert said(random_fan(first_seed(950) + seed)) == set()


# -- limits, from both sides ----------------------------------------------------------------------
def test_how_far_a_tube_may_lean() -> None:
    """0.5 mm over its lap of 43.81 mm: 0.654 degrees; all rise alike, so the disc stays level."""
    most = 1000.0 * math.tan(math.asin(0.5 / 43.81))
    assert said(fan(wheel(6), rise=0.99 * most)) == set()
    assert "degrees out of the disc's plane, 0.65 at most" in why(fan(wheel(6), rise=1.01 * most))


def test_how_far_a_tube_may_lean_on_a_wider_disc() -> None:
    """0.75 mm over the 110 mm from where the tubes end to the rim: 0.39 degrees."""
    most, wide = 1000.0 * math.tan(math.asin(0.75 / 110.0)), NODE + "disc = 300"
    assert said(fan(wheel(6), more=wide, rise=0.99 * most)) == set()
    assert "0.39 at most on a disc so wide" in why(fan(wheel(6), more=wide, rise=1.01 * most))


def test_how_small_a_disc_may_be_given() -> None:
    """Its own 33.7 of lap at its sides: 2 hypot(40 + 33.7, 16.85) = 151.2."""
    least = 2.0 * math.hypot(73.7, 16.85)
    read_text(fan(wheel(6), more=f"{NODE}disc = {1.001 * least}"))
    # 1 % less of lap, not of disc
    text = why(fan(wheel(6), more=f"{NODE}disc = {2.0 * math.hypot(40 + 0.99 * 33.7, 16.85)}"))
    assert "laps 33.4 mm over this disc, 33.7 mm needed" in text
    assert "a disc of 160 mm" in text


def test_how_near_to_one_another_tubes_may_lie() -> None:
    """They end at most 10 x 33.7 = 337 mm out: (5 + 16.85 cos a) / sin a = 337, 2 a = 7.42 degrees."""
    low, high = 0.0, math.pi / 4.0
    while high - low > 1e-12:
        middle = (low + high) / 2.0
        low, high = (low, middle) if (5.0 + 16.85 * math.cos(middle)) / math.sin(middle) <= 337.0 else (middle, high)
    closest = math.degrees(2.0 * high)
    read_text(fan([0, 1.01 * closest, 180]))
    assert "T0 and T1 lie 7.3 degrees apart" in why(fan([0, 0.99 * closest, 180]))


def test_how_thick_a_disc_may_be_given() -> None:
    """28.5 between the walls, less half a millimetre of room."""
    checked(fan(wheel(6), more=f"{NODE}thickness = {0.99 * 28.0}"))
    text = why(fan(wheel(6), more=f"{NODE}thickness = {1.01 * 28.0}"))
    assert "the slit for a disc of 28.3 mm takes T0 from wall to wall" in text
    assert "a thickness under 28 mm" in text


def test_how_askew_a_rectangular_tube_may_lie() -> None:
    read_text(fan(wheel(4), section="40 x 40 x 3", each="turn = 0.99"))
    text = why(fan(wheel(4), section="40 x 40 x 3", each="turn = 1.01"))
    assert "T0 is turned 1 degrees to the disc" in text
    assert "turn = 0 at T0" in text


# -- what an old hand sees at once, and what only looks wrong -----------------------------------------
@pytest.mark.parametrize(
    ("text", "what"),
    [
        (fan([0, 180]), "lie in one line"),
        (fan(wheel(6), more=NODE + "hub_along = [1, 0, 0]"), "leans 90 degrees out of the disc's plane"),
        (fan(wheel(6), section="40 x 40 x 3", each="turn = 45"), "turned 45 degrees to the disc"),
        (fan(wheel(6), section="bar 25"), "T0 is solid bar, which has no wall to slit"),
        (fan(wheel(6), more=NODE + "thickness = 30"), "from wall to wall"),
        (fan(wheel(6), more=NODE + 'hub = "114.3 x 5"'), "hub has no meaning here"),
        (fan(wheel(6), more='[[node]]\nat = [0, 0, 0]\ncorners = "hub"\ndisc = 200'), "disc has no meaning here"),
        (fan(wheel(3), more=NODE.replace("[0, 0, 0]", "[500, 0, 0]")), "no tube's end lies here for a disc"),
    ],
)
def test_a_disc_that_cannot_be(text: str, what: str) -> None:
    with pytest.raises(JobError, match=what):
        checked(text)


def test_two_in_line_with_a_plane_given_and_one_tube_alone_on_its_side_only_look_wrong() -> None:
    assert said(fan([0, 180], more=NODE + "hub_along = [0, 0, 1]")) == set()
    assert said(fan([0, 40, 80])) == set()
