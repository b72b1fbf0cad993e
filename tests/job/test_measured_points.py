"""Points from how they were measured, worked out by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.job.points.named_points import resolve_points
from fabgen.job.values.point import Point, ReadingAccuracy
from fabgen.parts.survey.measured import distance_tolerance, place_tolerance

BASE = {"A": [0, 600, 0], "B": [0, -600, 0], "C": [1500, 600, 0], "D": [1500, -600, 200]}


def point(written: object, **others: object) -> Point:
    points, problems = resolve_points({**BASE, **others, "P": written}, "mm", {}, ReadingAccuracy(1.0, 1.0))
    assert not problems, problems
    found = points["P"]
    assert found is not None
    return found


def fault(written: object, **others: object) -> tuple[tuple[str | int, ...], str]:
    _, problems = resolve_points({**BASE, **others, "P": written}, "mm", {}, ReadingAccuracy(1.0, 1.0))
    assert len(problems) == 1, problems
    return problems[0].path, f"{problems[0].what}; {problems[0].accepted}"


def reach(at: tuple[float, float, float], name: str) -> float:
    return math.dist(at, BASE[name])


@given(x=st.floats(200, 1300), y=st.floats(-500, 500), z=st.floats(150, 900))
def test_three_readings_and_the_side_give_the_point(x: float, y: float, z: float) -> None:
    tape = {name: reach((x, y, z), name) for name in "ABC"}
    assert math.dist(point({"tape": tape, "side": "above"}).xyz, (x, y, z)) < 1e-5
    assert math.dist(point({"tape": tape, "side": "below"}).xyz, (x, y, -z)) < 1e-5


@given(x=st.floats(200, 1300), y=st.floats(-500, 500), z=st.floats(-900, 900))
def test_four_readings_well_spread_need_no_side(x: float, y: float, z: float) -> None:
    # Unless the point lies so near the plane of the places that both sides fit.
    tape = {name: reach((x, y, z), name) for name in "ABCD"}
    points, problems = resolve_points({**BASE, "P": {"tape": tape}}, "mm", {}, ReadingAccuracy(1.0, 1.0))
    if abs(z) > 150:
        assert not problems
        assert math.dist(points["P"].xyz, (x, y, z)) < 1e-4  # type: ignore[union-attr]


def test_a_known_coordinate_stands_for_a_reading() -> None:
    found = point({"tape": {"A": 1000}, "y": 600, "z": 0, "side": "ahead"})
    assert found.xyz == pytest.approx((1000, 600, 0))
    assert place_tolerance(found) == pytest.approx((1.0, 1.0, 1.0), rel=1e-4)


def test_offsets_are_plumb_and_level() -> None:
    assert point({"from": "A", "ahead": 300, "right": 20, "up": 45}).xyz == pytest.approx((300, 580, 45))
    assert point({"from": "B", "ahead": -30, "left": 20, "down": 5}).xyz == pytest.approx((-30, -580, -5))
    # Toward D from B: level, though D stands 200 higher; straight ahead here.
    assert point({"from": "B", "toward": "D", "along": 100, "left": 10}).xyz == pytest.approx((100, -590, 0))
    along = point({"from": "A", "toward": "D", "along": 100})
    assert math.dist(along.xyz, (0, 600, 0)) == pytest.approx(100)
    assert along.z == 0


def test_planes_axes_and_mirrors() -> None:
    assert point({"mirror": "A"}).xyz == pytest.approx((0, -600, 0))
    assert point({"mirror": "D", "plane": ["A", "B", "C"]}).xyz == pytest.approx((1500, -600, -200))
    assert point({"foot": "D", "plane": ["A", "B", "C"]}).xyz == pytest.approx((1500, -600, 0))
    assert point({"foot": "C", "axis": ["A", "B"]}).xyz == pytest.approx((0, 600, 0))
    assert point({"axis": ["A", "C"], "along": -60}).xyz == pytest.approx((-60, 600, 0))
    assert point({"middle": ["A", "D"]}).xyz == pytest.approx((750, 0, 100))


def test_a_fitted_plane_tells_how_far_its_points_are_off() -> None:
    found = point({"foot": "Q", "plane": ["A", "B", "C", "E"]}, Q=[700, 0, 300], E=[1500, -600, 4])
    assert found.record is not None
    # Four corners of a rectangle, one 4 mm high: the best plane leaves 1 mm at each.
    assert found.record.remarks[0].text.words().count(" 1") + found.record.remarks[0].text.words().count("-1") >= 4
    assert found.z == pytest.approx(1.0, abs=0.2)


def test_a_plumb_offset_has_the_error_of_its_reading_and_of_its_start() -> None:
    start = {"from": "A", "ahead": 100, "left": 0, "up": 0, "error": 3}
    found = point({"from": "S", "ahead": 100, "up": 10, "error": 4}, S=start)
    assert place_tolerance(found) == pytest.approx((5.0, 3.0, 5.0), rel=1e-4)


def test_a_shared_error_falls_out_of_the_length_between() -> None:
    start = {"from": "A", "ahead": 100, "left": 0, "up": 0, "error": 3}
    points, _ = resolve_points(
        {**BASE, "S": start, "P": {"from": "S", "by": [0, 50, 0]}, "Q": {"from": "S", "ahead": 40, "error": 1}},
        "mm",
        {},
        ReadingAccuracy(1.0, 1.0),
    )
    one, other, start_point = points["P"], points["Q"], points["S"]
    assert one is not None
    assert other is not None
    assert start_point is not None
    assert distance_tolerance(start_point, one) == 0.0
    assert distance_tolerance(start_point, other) == pytest.approx(1.0, rel=1e-4)


def test_a_reading_too_many_shows_its_misfit_and_the_bad_one_is_named() -> None:
    at = (700.0, 100.0, 400.0)
    more = {"E": [200, 100, 900], "F": [900, 700, -200]}
    tape = {name: math.dist(at, {**BASE, **more}[name]) for name in "ABCDEF"}
    tape["C"] += 100.0
    found = point({"tape": tape, "side": "above"}, **more)
    assert found.record is not None
    (remark,) = found.record.remarks
    assert remark.rule == "reading-misfit"
    assert "likeliest wrong is tape to C" in remark.text.words()
    assert "100 mm mark" in remark.text.words()
    assert "[700, 100, 400]" in remark.text.words()


def test_a_slip_of_one_inch_stops_the_job_and_widens_the_tolerance_to_hold_the_truth() -> None:
    # True place (820, 350, 600); the tape to C was held at its 1 in mark.
    places = {"A": [0, 0, 0], "B": [1800, 0, 0], "C": [900, 1100, 0], "D": [900, -800, 0], "E": [0, 900, 0]}

    def told(c: float) -> Point:
        tape = {"A": 1075, "B": 1201, "C": c, "D": 1300, "E": 1155}
        points, _ = resolve_points(
            {**places, "U": {"tape": tape, "side": "above"}}, "mm", {}, ReadingAccuracy(1.5, 1.5)
        )
        found = points["U"]
        assert found is not None
        assert found.record is not None
        return found

    good, slight, bad = told(963.0), told(968.5), told(989.0)
    assert good.record is not None
    assert not good.record.remarks
    assert good.record.widened == 1.0
    for found, level in ((slight, "warn"), (bad, "stop")):
        assert found.record is not None
        (remark,) = found.record.remarks
        assert remark.level == level
        assert "times chance" in remark.text.words()
    assert abs(bad.z - 600.0) > 10.0
    assert abs(bad.z - 600.0) < place_tolerance(bad)[2]
    assert place_tolerance(good)[2] < 2.0


@pytest.mark.parametrize(
    ("written", "key", "part"),
    [
        ({"tape": {"A": 700, "B": 700}, "side": "above"}, (), "1 too few"),
        ({"tape": {"A": 900, "B": 900, "Q": 900}}, ("tape", "Q"), "no point"),
        ({"tape": {"A": 900, "B": 900, "C": "x"}}, ("tape", "C"), "no dimension"),
        ({"tape": {"A": 300, "B": 300, "C": 300}, "side": "above"}, ("tape",), "do not meet"),
        ({"tape": {"A": 943, "B": 1269, "C": 861}}, ("tape",), 'side = "above" or "below"'),
        ({"tape": {"A": 943, "B": 1269, "C": 861}, "side": "left"}, ("side",), "clearly left"),
        ({"tape": {"A": 943, "B": 1269, "M": 861}, "side": "above"}, ("tape",), "in one line"),
        ({"from": "A", "left": 3, "right": 4}, ("right",), "only one of them"),
        ({"from": "A", "along": 3}, ("along",), "toward"),
        ({"from": "A", "toward": "U", "along": 3}, ("toward",), "plumb over"),
        ({"mirror": "A", "axis": ["A", "B"]}, ("axis",), "foot"),
        ({"foot": "A", "plane": ["A", "B", "M"]}, ("plane",), "one line"),
        ({"axis": ["A", "B"]}, (), "along"),
        ({"side": "above"}, (), "where the point is"),
        ({"tape": {"A": 900}, "mirror": "B"}, (), "only one of them"),
        ({"tape": {"A": 900, "B": 900, "C": 900}, "sid": "above"}, ("sid",), "there is no key"),
    ],
)
def test_faults_are_told_at_their_key(written: object, key: tuple[str, ...], part: str) -> None:
    path, text = fault(written, M=[0, 0, 0], U=[0, 600, 50])
    assert path == ("points", "P", *key)
    assert part in text


def test_a_loop_of_measured_points_is_told() -> None:
    _, problems = resolve_points({"A": {"mirror": "B"}, "B": {"mirror": "A"}}, "mm", {}, ReadingAccuracy(1.0, 1.0))
    assert "loop" in problems[0].what


def test_a_point_near_the_plane_of_its_places_is_said_to_be_hardly_held() -> None:
    tape = {name: reach((700.0, 100.0, 6.0), name) for name in "ABC"}
    found = point({"tape": tape, "side": "above"})
    assert found.record is not None
    assert any(
        remark.rule == "poorly-held" and "mostly along z" in remark.text.words() for remark in found.record.remarks
    )
