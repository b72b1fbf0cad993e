"""Bent round bar: shapes, ends, what it goes round, where it stands."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.app.work import work_on
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.bar.bent_bar import BarShape, stands_off
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlattenedEnd, LengthPart, Piece, ThreadedEnd
from fabgen.shop.section import Section
from fabgen.shop.threaded.fasteners import nut_height, washer_thickness
from fabgen.shop.threads import parse_thread

HEADER = '[job]\ntitle = "t"\nnumber = "n"\nunits = "mm"\n'
TUBE = '[points]\nA = [0, 0, 0]\nB = [900, 0, 0]\n[[tube]]\nmark = "T1"\nsection = "{}"\nroute = ["A", "B"]\n'


def made(keys: str, before: str = "", units: str = "mm") -> Piece:
    text = HEADER.replace('"mm"', f'"{units}"') + before + f'[[bar]]\nmark = "U1"\n{keys}\n'
    return next(piece for piece in all_pieces(read_text(text).definitions) if piece.mark == "U1")


def part(keys: str, before: str = "", units: str = "mm") -> LengthPart:
    shape = made(keys, before, units).length_part
    assert shape is not None
    return shape


def refused(keys: str, before: str = "") -> str:
    with pytest.raises(JobError) as caught:
        made(keys, before)
    return "; ".join(problem.what for problem in caught.value.problems)


# -- shapes -------------------------------------------------------------------------------------
def test_a_job_of_it_alone_is_a_job() -> None:
    bar = made("diameter = 10\nlegs = [200]")
    assert (bar.kind, bar.title) == ("bar", "tie bar")
    assert bar.mass == pytest.approx(7850.0 * math.pi / 4.0 * 0.01**2 * 0.2)


@given(
    legs=st.lists(st.floats(20.0, 300.0), min_size=2, max_size=5),
    angles=st.lists(st.floats(10.0, 170.0), min_size=4, max_size=4),
    radius=st.floats(5.0, 60.0),
    diameter=st.floats(4.0, 30.0),
)
def test_the_middle_line_is_as_long_as_straights_and_arcs(
    legs: list[float], angles: list[float], radius: float, diameter: float
) -> None:
    bends = [math.radians(angle) * (-1.0) ** i for i, angle in enumerate(angles[: len(legs) - 1])]
    from fabgen.geometry.space.frame import Frame

    page = Frame(np.zeros(3), *np.eye(3))
    shape = BarShape(tuple(legs), tuple(bends), (radius,) * len(bends))
    path = shape.path(diameter, page)
    whole = sum(legs) + sum(abs(bend) * (radius + diameter / 2.0) for bend in bends)
    assert path.length == pytest.approx(whole)
    places = np.array([path.frame_at(s).origin for s in np.linspace(0.0, path.length, 4000)])
    assert np.linalg.norm(np.diff(places, axis=0), axis=1).sum() == pytest.approx(whole, rel=1e-4)
    turned = math.atan2(path.finish.x[1], path.finish.x[0])
    assert math.remainder(turned - sum(bends), 2.0 * math.pi) == pytest.approx(0.0, abs=1e-9)
    assert np.ptp(places[:, 2]) == pytest.approx(0.0, abs=1e-9)


def test_sizes_over_all() -> None:
    """A square U: 60 wide and 80 high over its outside."""
    shape = BarShape((65.0, 30.0, 65.0), (math.pi / 2.0,) * 2, (5.0,) * 2, heading=-math.pi / 2.0)
    assert shape.overall(10.0) == pytest.approx((60.0, 80.0), abs=0.01)


def test_bends_are_marked_from_the_saw_cut() -> None:
    bar = part("diameter = 10\nlegs = [40, 20, 40]\nbends = [90, 90]\nradius = 15\ntrim = 20")
    arc = math.pi / 2.0 * 20.0
    assert [bend.mark for bend in bar.bends] == pytest.approx([60.0, 80.0 + arc])
    assert bar.straights == pytest.approx((60.0, 20.0, 60.0))
    assert bar.length == pytest.approx(140.0 + 2.0 * arc)
    assert bar.axis == pytest.approx(100.0 + 2.0 * arc)  # without what is cut off


def test_a_former_has_its_springback_and_neutral_line() -> None:
    former = '[[former]]\nname = "pin 30"\ntube = 10\nradius = 20\nspringback = "2 deg"\nneutral_shift = 1\n'
    (bend,) = part("diameter = 10\nlegs = [60, 60]\nbends = [90]\nradius = 15", former).bends
    assert math.degrees(bend.set_angle) == pytest.approx(92.0)
    assert bend.length == pytest.approx(19.0 * math.pi / 2.0)


def test_j_bolt() -> None:
    bar = part('shape = "J-bolt"\ndiameter = 8\ninside = 30\nheight = 180\nshort_leg = 25')
    assert bar.straights == pytest.approx((165.0, 25.0))
    assert bar.bends[0].radius == pytest.approx(19.0)


# -- ends ---------------------------------------------------------------------------------------
def test_nuts_and_washers_of_both_ends() -> None:
    bar = made('diameter = 16\nlegs = [620]\nends = { thread = "M16" }')
    assert [(each.item, each.goods.words(), each.quantity) for each in bar.hardware] == [
        ("nut", "M16, class 8", 4),
        ("washer", "M16, 200 HV", 2),
    ]
    form = bar.length_part.ends[0].form if bar.length_part else None
    assert isinstance(form, ThreadedEnd)
    thread = parse_thread("M16")
    takes = 2.0 * nut_height(thread, "plain") + washer_thickness(thread) + 2.0 * thread.pitch
    assert form.takes == pytest.approx(takes)
    assert form.length == math.ceil((takes + 16.0) / 5.0) * 5.0


def test_left_hand_nuts_are_told_apart() -> None:
    ends = 'start = { thread = "M16", nuts = 1 }\nfinish = { thread = "M16", hand = "left", nuts = 1 }'
    specs = [each.goods.words() for each in made(f"diameter = 16\nlegs = [620]\n{ends}").hardware if each.item == "nut"]
    assert specs == ["M16, class 8", "M16 left, class 8"]


def test_beaten_flat_keeps_its_metal() -> None:
    form = part("diameter = 12\nlegs = [200]\nstart = { thickness = 5, length = 30, hole = 9 }").ends[0].form
    assert isinstance(form, FlattenedEnd)
    assert form.width * 5.0 == pytest.approx(math.pi / 4.0 * 144.0)
    assert form.at == 15.0


# -- U-bolts ------------------------------------------------------------------------------------
def test_round_a_tube() -> None:
    bar = part('shape = "U-bolt"\ndiameter = 12\naround = "60.3 x 3.2"\nclamps = [8]')
    assert bar.clasp is not None
    assert bar.clasp.inside == pytest.approx(61.3)
    assert bar.bends[0].radius == pytest.approx(30.65 + 6.0)
    thread = parse_thread("M12")
    takes = 2.0 * nut_height(thread, "plain") + washer_thickness(thread) + 2.0 * thread.pitch
    assert bar.clasp.depth == math.ceil((60.3 + 8.0 + takes) / 5.0) * 5.0
    form = bar.ends[0].form
    assert isinstance(form, ThreadedEnd)
    assert form.length == math.floor(bar.clasp.depth - 60.3)  # down to the tube


def test_round_a_rectangular_tube() -> None:
    bar = part('shape = "U-bolt"\ndiameter = 10\naround = "60 x 40 x 3"\nclamps = [6]')
    assert [round(math.degrees(bend.angle)) for bend in bar.bends] == [90, 90]
    assert bar.straights[1] == pytest.approx(41.0 - 20.0)


def test_a_bow_bears_on_corners() -> None:
    """The corner's arc touches the bend's from inside: the distance of their middles is the difference of radii."""
    tube = Section("rectangular", 60.0, 40.0, 3.0, 6.0)
    off = stands_off(tube, 40.0, 41.0, 10.0)
    bend = np.array([41.0 / 2.0 - 10.0, -30.0 - off + 10.0])
    corner = np.array([40.0 / 2.0 - 6.0, -30.0 + 6.0])
    assert np.linalg.norm(corner - bend) == pytest.approx(10.0 - 6.0)
    assert stands_off(tube, 40.0, 41.0, 6.0) == 0.0
    assert stands_off(Section("round", 60.3, 60.3, 3.2), 60.3, 61.3, 30.65) == 0.0


@pytest.mark.parametrize(("side", "way"), [("bottom", (0, 0, -1)), ("top", (0, 0, 1)), ("left", (0, 1, 0))])
def test_where_it_stands(side: str, way: tuple[int, int, int]) -> None:
    keys = f'shape = "U-bolt"\ndiameter = 12\naround = "T1"\nclamps = [8]\nat = 240\nlegs_to = "{side}"'
    piece = made(keys, TUBE.format("60.3 x 3.2"))
    bar = piece.length_part
    assert bar is not None
    assert piece.is_placed
    assert bar.path is not None
    assert -bar.path.start.x == pytest.approx(way)
    places = np.array([bar.path.frame_at(s).origin for s in np.linspace(0.0, bar.path.length, 500)])
    assert places[:, 0] == pytest.approx(240.0)
    # Its bow clears the tube, and touches it at one place.
    gaps = np.hypot(places[:, 1], places[:, 2]) - 6.0 - 60.3 / 2.0
    assert gaps.min() == pytest.approx(0.0, abs=0.01)


def test_a_tube_on_its_side_is_as_wide_as_it_lies() -> None:
    tube = TUBE.format("60 x 40 x 3")
    keys = 'shape = "U-bolt"\ndiameter = 10\naround = "T1"\nclamps = [6]\nat = 100\nlegs_to = "{}"'
    upright, flat = (part(keys.format(side), tube).clasp for side in ("bottom", "left"))
    assert upright is not None
    assert flat is not None
    assert (upright.across, upright.along) == (40.0, 60.0)
    assert (flat.across, flat.along) == (60.0, 40.0)


def test_inch_jobs_round_up_by_quarters() -> None:
    bar = part(
        'shape = "U-bolt"\ndiameter = "1/2"\naround = "2 3/8 x 0.154"\nends = { thread = "1/2-13 UNC" }', "", "in"
    )
    assert bar.clasp is not None
    assert (bar.clasp.depth / 6.35) == pytest.approx(round(bar.clasp.depth / 6.35))


def test_what_moves_keeps_clear_of_it(tmp_path: Path) -> None:
    """A shaft of 20 mm at z = 55 over a bow whose skin is at 60.3 / 2 + 12 = 42.15 mm: 2.85 mm are left."""
    shaft = (
        '[[envelope]]\nname = "shaft"\nshape = "capsule"\nbetween = [[240, -200, 55], [240, 200, 55]]\ndiameter = 20\n'
    )
    keys = 'mark = "U1"\nshape = "U-bolt"\ndiameter = 12\naround = "T1"\nclamps = [8]\nat = 240\n'
    path = tmp_path / "job.toml"
    path.write_text(f"{HEADER}{TUBE.format('60.3 x 3.2')}[[bar]]\n{keys}{shaft}")
    (found,) = (each for each in work_on(path).findings if each.rule == "clearance")
    assert "2.9 mm of U1" in found.said.words("mm")


@pytest.mark.parametrize(
    ("keys", "what"),
    [
        ("diameter = 10", "needs its legs"),
        ("diameter = 10\nlegs = [50]\nbends = [90]\nradius = 10", "1 leg and 1 bend are given"),
        ("diameter = 10\nlegs = [50, 50]", "2 legs and no bends are given"),
        ('shape = "U-bolt"\ndiameter = 10\nlegs = [50]\ninside = 40\nheight = 60', "legs has no meaning beside shape"),
        (
            'diameter = 10\nlegs = [90]\nends = { thread = "M10" }\nstart = { thread = "M10" }',
            "start has no meaning beside ends",
        ),
        ("diameter = 10\nlegs = [50, 50]\nbends = [90]", "no radius"),
        ("diameter = 10\nlegs = [50, 50]\nbends = [0]\nradius = 10", "a bend of 0 degrees"),
        ('shape = "U-bolt"\ndiameter = 10', "needs its width"),
        ('shape = "U-bolt"\ndiameter = 10\ninside = 40', "a U-bolt needs its height"),
        ('shape = "U-bolt"\ndiameter = 13\ninside = 40\nheight = 60', "no thread is of the bar's own 13 mm"),
        ('shape = "U-bolt"\ndiameter = 10\ninside = 40\nheight = 15', "the bow alone"),
        ('shape = "U-bolt"\ndiameter = 10\naround = "U1"', "the mark of no tube"),
        ('shape = "J-bolt"\ndiameter = 10\ninside = 40', "needs height"),
        ("diameter = 10\nlegs = [90]\nstart = { thickness = 12, length = 20 }", "not thinner than the bar"),
        ("diameter = 10\nlegs = [90]\nstart = { thickness = 5, length = 20, hole = 30 }", "is not in a flat"),
        ('diameter = 10\nlegs = [90]\nstart = { thread = "M99" }', "M99"),
    ],
)
def test_what_cannot_be_made_is_refused(keys: str, what: str) -> None:
    assert what in refused(keys)


def test_a_place_off_the_tube_is_refused() -> None:
    keys = 'shape = "U-bolt"\ndiameter = 12\naround = "T1"\nclamps = [8]\nat = {}\nlegs_to = "{}"'
    tube = TUBE.format("60.3 x 3.2")
    assert "its tube is 900.0 mm long" in refused(keys.format(1200, "bottom"), tube)
    assert "the tube runs toward front" in refused(keys.format(200, "front"), tube)
    upright = tube.replace("[900, 0, 0]", "[0, 0, 900]")
    assert "the tube runs toward bottom there" in refused(keys.split("\nlegs_to")[0].format(200), upright)
