"""Points: three lengths, names, and points so far from other points."""

import pytest

from fabgen.job.points.named_points import resolve_points
from fabgen.job.values.point import Point
from fabgen.job.values.quantity import Quantity

NAMES = {"track": Quantity(1480.0, length=1), "broken": None}


def test_points_in_any_order() -> None:
    points, problems = resolve_points(
        {
            "UP": {"from": "FL", "by": [0, 0, "50 mm"]},
            "FL": [0, "track / 2", "1 in"],
            "same": "UP",
            "far": {"from": [1, 2, 3], "by": [1, 1, 1]},
            "1": [0, 0, 0],
        },
        "mm",
        NAMES,
    )
    assert not problems
    assert points["FL"] == Point(0.0, 740.0, 25.4, "FL")
    assert points["UP"] == Point(0.0, 740.0, pytest.approx(75.4), "UP")
    assert points["same"] == Point(0.0, 740.0, pytest.approx(75.4), "same")
    assert points["far"] == Point(2.0, 3.0, 4.0, "far")
    assert points["FL"].xyz == (0.0, 740.0, 25.4)


def test_bare_coordinates_count_in_the_jobs_units() -> None:
    assert resolve_points({"A": [1, 0, "1"]}, "in", {})[0]["A"] == Point(25.4, 0.0, 25.4, "A")


def test_loops_and_what_hangs_on_them() -> None:
    points, problems = resolve_points(
        {"A": {"from": "B", "by": [0, 0, 0]}, "B": "C", "C": "A", "D": {"from": "A", "by": [0, 0, 1]}}, "mm", {}
    )
    assert [p.what for p in problems] == ["these points go round in a loop: A -> B -> C -> A"]
    assert points == {"A": None, "B": None, "C": None, "D": None}


def test_a_broken_dimension_is_not_told_again() -> None:
    points, problems = resolve_points({"A": [0, 0, "broken"]}, "mm", NAMES)
    assert points == {"A": None}
    assert problems == []


@pytest.mark.parametrize(
    ("written", "path", "part"),
    [
        ([0, 0], (), "three lengths"),
        (5, (), "cannot read 5 as a point"),
        ([0, "trak", "x"], (1,), "trak"),
        ({"from": "Q", "by": [0, 0, 0]}, ("from",), "no point"),
        ({"from": "B"}, (), "by is missing"),
        ({"from": "B", "bye": [0, 0, 0]}, ("bye",), "no key"),
        ({"from": "B", "by": [0, 0]}, ("by",), "cannot read"),
        ({"from": "B", "by": [0, 0, "x"]}, ("by", 2), "no dimension"),
        ("Bee", (), "nearest"),
    ],
)
def test_bad_points(written: object, path: tuple[object, ...], part: str) -> None:
    _, problems = resolve_points({"A": written, "B": [0, 0, 0]}, "mm", NAMES)
    first = problems[0]
    assert first.path == ("points", "A", *path)
    assert part in f"{first.what} {first.accepted} {'nearest' if first.nearest else ''}"


@pytest.mark.parametrize("name", ["in", "sqrt", "", "a b", "é", "-a", "a" * 25])
def test_names_that_will_not_do(name: str) -> None:
    points, problems = resolve_points({name: [0, 0, 0]}, "mm", {})
    assert points == {name: None}
    assert problems[0].path == ("points", name)
