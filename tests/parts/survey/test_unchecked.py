"""Points that no reading checks, and the reading that would."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fabgen.geometry.survey.trilateration import check_share
from fabgen.job.points.named_points import resolve_points
from fabgen.job.reader import read_text
from fabgen.job.values.point import Point, ReadingAccuracy
from fabgen.parts.survey.unchecked import Unchecked, there_already, unchecked

BASE = {"A": (0, 600, 0), "B": (0, -600, 0), "C": (1500, 600, 0), "D": (1500, -600, 200)}
H, K = (700.0, 100.0, 500.0), (900.0, -50.0, 300.0)


def tape(at: tuple[float, float, float], names: str) -> dict[str, float]:
    return {name: math.dist(at, BASE[name]) for name in names}


def alone(**written: object) -> list[Unchecked]:
    given = {name: list(at) for name, at in BASE.items()} | written
    points, problems = resolve_points(given, "mm", {}, ReadingAccuracy(2.0, 2.0))
    assert not problems, problems
    taken = {name: point for name, point in points.items() if isinstance(point, Point)}
    return unchecked(taken, there={name: point for name, point in taken.items() if name in (*BASE, "E")})


def test_three_tape_readings() -> None:
    (found,) = alone(H={"tape": tape(H, "ABC"), "side": "above"})
    assert (found.name, found.few) == ("H", True)
    assert found.check is not None
    assert found.check.to == "D"  # the only other place, and off the plane of the three
    assert found.check.length == pytest.approx(math.dist(H, BASE["D"]), abs=1e-4)
    assert found.check.other == pytest.approx(math.dist((700.0, 100.0, -500.0), BASE["D"]), abs=1e-4)


def test_two_tape_readings_and_a_known_height() -> None:
    (found,) = alone(H={"tape": tape(H, "AB"), "z": 500, "side": "ahead"})
    assert found.few
    assert found.check is not None
    assert found.check.to in ("C", "D")


def test_a_point_that_hangs_on_an_unchecked_one() -> None:
    from_h = {"tape": {**tape(K, "BC"), "H": math.dist(H, K)}, "side": "below"}
    found = alone(H={"tape": tape(H, "ABC"), "side": "above"}, K=from_h)
    assert [each.name for each in found] == ["H", "K"]
    assert found[0].check is not None
    assert found[0].check.to == "D"  # not K, which comes from it


def test_a_fourth_reading_in_the_same_plane_leaves_the_side_to_a_word() -> None:
    flat = {**tape(H, "ABC"), "E": math.dist(H, (1500, -600, 0))}
    (found,) = alone(E=[1500, -600, 0], H={"tape": flat, "side": "above"})
    assert not found.few
    assert found.check is not None
    assert found.check.to == "D"
    assert found.check.other is not None
    assert abs(found.check.other - found.check.length) > 50.0


def test_no_other_place_leaves_a_height() -> None:
    points = {"A": [0, 600, 0], "B": [0, -600, 0], "C": [1500, 600, 0]}
    taken, _ = resolve_points({**points, "H": {"tape": tape(H, "ABC"), "side": "above"}}, "mm", {})
    (found,) = unchecked({name: point for name, point in taken.items() if point is not None})
    assert found.check is not None
    assert (found.check.to, found.check.is_tape) == ("z", False)
    assert found.check.length == pytest.approx(500.0, abs=1e-4)


def test_silent_where_a_fourth_reading_off_the_plane_checks() -> None:
    assert not alone(H={"tape": tape(H, "ABCD")})


def test_silent_where_a_point_with_a_reading_to_spare_was_measured_from_it() -> None:
    """A slip at H shows as a misfit of K."""
    more = {**tape(K, "ABC"), "H": math.dist(H, K)}
    assert not alone(H={"tape": tape(H, "ABC"), "side": "above"}, K={"tape": more})


def test_points_on_tubes_come_from_the_points_of_their_routes() -> None:
    """H is taped from a place on the tube from A to C; K, with a reading to spare, from one that hangs on H."""
    tubes = '[[tube]]\nmark = "T1"\nsection = "30 x 2"\nroute = ["A", "C"]\n'
    tubes += '[[tube]]\nmark = "T2"\nsection = "30 x 2"\nroute = ["H", "D"]\n'
    points = "\n".join(f"{name} = {list(at)}" for name, at in BASE.items())
    taped = 'H = { tape = { A = 943.4, B = 1268.9, P = 789.3 }, side = "above" }\n'
    head = f'[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n[points]\n{points}\nP = {{ on = "T1", along = 300 }}\n'
    hangs = 'Q = { on = "T2", along = 300 }\n'
    (found,) = unchecked(
        read_text(head + taped + hangs + tubes).definitions.points,
        there={name: Point(*at, name) for name, at in BASE.items()},
    )
    assert found.name == "H"
    assert found.check is not None
    assert found.check.to in ("C", "D")
    q = read_text(head + taped + hangs + tubes).definitions.points["Q"]
    tape = ", ".join(f"{name} = {math.dist(K, at):.1f}" for name, at in BASE.items())
    more = f"{hangs}K = {{ tape = {{ {tape}, Q = {math.dist(K, q.xyz):.1f} }} }}\n"
    assert not unchecked(read_text(head + taped + more + tubes).definitions.points)


AIR = """
[job]
title = "t"
number = "1"
units = "mm"
[points]
A = [0, 600, 0]
B = [0, -600, 0]
C = [1500, 600, 0]
H = { tape = { A = 995.0, B = 1110.0, C = 1060.0 }, side = "above" }
X = [1500, -600, 200]
[[tube]]
mark = "OLD"
section = "60 x 60 x 3"
turn = 0
route = [[1500, -800, 170], [1500, 800, 170]]
"""


def first(text: str) -> Unchecked:
    job = read_text(text).definitions
    return unchecked(job.points, there_already(job))[0]


@pytest.mark.parametrize(
    "x",
    [
        "[1500, -600, 200]",  # a bare corner of what is still to be cut
        '{ from = "H", by = [600, -600, -300] }',  # hangs on H itself
        '{ middle = ["A", "B"] }',  # between punch marks: in the air
        '{ mirror = "H" }',
        "[1500, -600, 170]",  # inside the tube
    ],
)
def test_nothing_is_taped_to_what_is_not_there_yet(x: str) -> None:
    """No tube is there already, or the point is not on its outside."""
    text = AIR.replace("[1500, -600, 200]", x, 1)
    if x.endswith("170]"):
        text += 'state = "there already"\n'
    check = first(text).check
    assert check is not None
    assert (check.to, check.is_tape) == (("OLD start", True) if "there already" in text else ("z", False))


def test_a_mark_on_what_is_there_already_and_a_measured_point_are_taped_to() -> None:
    (on_it, measured) = (
        AIR + 'state = "there already"\n',
        AIR.replace("X = [1500, -600, 200]", 'X = { tape = { A = 1926.0, B = 1513.3, C = 1216.6 }, side = "above" }'),
    )
    for text in (on_it, measured):
        check = first(text).check
        assert check is not None
        assert check.to == "X"


def test_a_point_that_another_was_measured_from_is_taped_to() -> None:
    more = AIR.replace("X = ", 'K = { tape = { A = 700.0, B = 700.0, X = 1750.0 }, side = "below" }\nX = ')
    check = first(more).check
    assert check is not None
    assert check.to == "X"


def test_the_shares_of_like_readings() -> None:
    """Four readings at the corners of a regular tetrahedron share the one to spare alike, 1/4 each (by symmetry)."""
    corners = np.array([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]]) / math.sqrt(3.0)
    assert check_share(corners[:3], corners[3:], np.ones(4)) == pytest.approx(0.25)
    assert check_share(corners[:3], np.zeros((0, 3)), np.ones(3)) == pytest.approx(0.0, abs=1e-12)
