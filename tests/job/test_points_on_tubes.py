"""Points on tubes, held against closed forms: a quarter bend, and skew lines (the common perpendicular)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fabgen.job.reader import JobError, read_text
from fabgen.job.tables.definitions import Definitions

HEAD = '[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n[points]\nA = [0, 0, 0]\nB = [1000, 0, 0]\n'
TUBES = """
[[tube]]
mark = "T1"
section = "33.7 x 2.6"
route = ["A", "B"]
[[tube]]
mark = "H"
section = "33.7 x 2.6"
bend_radius = 100
route = [[0, 500, 0], [400, 500, 0], [400, 500, 300]]
[[tube]]
mark = "C"
section = "33.7 x 2.6"
route = ["P", [600, 0, 400]]
"""


def read(point: str, more: str = "") -> Definitions:
    return read_text(f"{HEAD}P = {point}\n{TUBES}{more}").definitions


def place(point: str, more: str = "") -> tuple[float, float, float]:
    return read(point, more).points["P"].xyz


def test_so_far_along_a_straight_tube() -> None:
    job = read('{ on = "T1", along = 250 }')
    assert job.points["P"].xyz == pytest.approx((250.0, 0.0, 0.0))
    assert job.tube[2].route[0].name == "P"  # and a tube can begin there


def test_so_far_along_a_bent_tube() -> None:
    """300 mm of straight, then the quarter bend of radius 100 about (300, 500, 100)."""
    half = 300.0 + 100.0 * math.pi / 4.0
    s = math.sqrt(0.5)
    assert place(f'{{ on = "H", along = {half} }}') == pytest.approx((300 + 100 * s, 500, 100 - 100 * s))
    assert place(f'{{ on = "H", along = {300 + 50 * math.pi + 80} }}') == pytest.approx((400, 500, 180))


def test_nearest_to_a_point() -> None:
    assert place('{ on = "T1", near = "Q" }\nQ = [430, 70, -20]') == pytest.approx((430, 0, 0))
    assert place('{ on = "T1", near = "Q" }\nQ = [1430, 70, -20]') == pytest.approx((1000, 0, 0))


unit_ways = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda v: math.hypot(*v) > 0.2)


@given(way=unit_ways, through=st.tuples(st.floats(200, 800), st.floats(-80, 80), st.floats(-80, 80)))
def test_where_another_tube_passes_by_the_common_perpendicular(
    way: tuple[float, float, float], through: tuple[float, float, float]
) -> None:
    v = np.array(way) / np.linalg.norm(way)
    assume(abs(v[0]) < 0.8)
    ends = [np.array(through) + k * v for k in (-900.0, 900.0)]
    # Any text on lines in space: the nearest places of p + s u and q + t v.
    u, p, q = np.array([1.0, 0.0, 0.0]), np.zeros(3), ends[0]
    b, d, e = float(u @ v), float(u @ (p - q)), float(v @ (p - q))
    s = (b * e - d) / (1.0 - b * b)
    assume(50.0 < s < 950.0)
    more = f'[[tube]]\nmark = "X"\nsection = "33.7 x 2.6"\nroute = [{ends[0].tolist()}, {ends[1].tolist()}]\n'
    job = read('{ on = "T1", cross = "X" }', more)
    assert job.points["P"].xyz == pytest.approx((s, 0.0, 0.0), abs=1e-5)


def test_tubes_that_pass_one_another_are_told_apart_from_tubes_that_cross() -> None:
    crossing = '[[tube]]\nmark = "X"\nsection = "33.7 x 2.6"\nroute = [[500, -100, {z}], [500, 100, {z}]]\n'
    for z, remarks in ((0.5, 0), (7, 1)):
        record = read('{ on = "T1", cross = "X" }', crossing.format(z=z)).points["P"].record
        assert record is not None
        assert len(record.remarks) == remarks
        assert all("by 7 mm" in remark.text.words("mm") for remark in record.remarks)


def test_a_point_on_a_tube_of_a_frame() -> None:
    frame = '[[frame]]\nmark = "F"\nshape = "ladder"\nsection = "40 x 40 x 3"\nsize = [1000, 500]\nat = "A"\nbars = 3\n'
    assert place('{ on = "F-R2", along = 200 }', frame) == pytest.approx((200, 480, 20))


def test_the_tolerance_of_its_tube_is_its_own() -> None:
    """A quarter of the way along, three quarters of A's error and a quarter of B's (linear propagation)."""
    measured = HEAD.replace("B = [1000, 0, 0]", 'B = { from = "A", ahead = 1000, error = 4 }')
    job = read_text(f'{measured}P = {{ on = "T1", along = 250 }}\nM = {{ middle = ["A", "B"] }}\n{TUBES}').definitions
    assert sum(abs(e[0]) for e in job.points["P"].scatter.values()) == pytest.approx(0.0, abs=1e-6)
    up = HEAD.replace("B = [1000, 0, 0]", 'B = { from = "A", ahead = 1000, up = 0, error = 4 }')
    job = read_text(f'{up}P = {{ on = "T1", along = 250 }}\n{TUBES}').definitions
    (b_up,) = [e for key, e in job.points["B"].scatter.items() if "up" in key]
    (p_up,) = [e for key, e in job.points["P"].scatter.items() if "up" in key]
    assert p_up[2] == pytest.approx(b_up[2] / 4.0, rel=1e-4)


@pytest.mark.parametrize(
    ("point", "words"),
    [
        ('{ on = "T9", along = 5 }', 'no tube "T9"'),
        ('{ on = "T1", along = 1005 }', "past the end of T1"),
        ('{ on = "T1" }', "along, near, cross"),
        ('{ on = "T1", along = 5, near = "A" }', "only one"),
        ('{ on = "C", along = 5 }', "loop"),
        ('{ on = "T1", near = "Z" }', 'no point "Z"'),
        ('{ on = "T1", up = 3 }', "up has no meaning"),
    ],
)
def test_faults(point: str, words: str) -> None:
    with pytest.raises(JobError) as caught:
        read(point)
    assert any(words in f"{p.what}; {p.accepted}" and p.line == 8 for p in caught.value.problems), caught.value.problems
