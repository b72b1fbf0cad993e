"""Over-all sizes of frames, against sums by hand and support functions of the sections."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs import definitions, pieces_of, read, tube

from fabgen.parts.shape.over_all import over_all

TABLE = """
[job]
title = "t"
number = "1"
units = "{units}"
[[frame]]
mark = "A"
shape = "box"
size = {size}
at = [0, 0, 0]
section = "{section}"
"""


@pytest.mark.parametrize(
    ("units", "section", "size", "expected"),
    [
        ("mm", "40 x 40 x 2", [800, 600, 700], (800, 600, 700)),
        ("mm", "33.7 x 2.6", [800, 600, 700], (800, 600, 700)),
        ("in", "1 1/2 x 1 1/2 x 1/8", [32, 24, 28], (812.8, 609.6, 711.2)),
    ],
)
def test_a_box_measures_what_it_was_drawn_to(
    units: str, section: str, size: list[int], expected: tuple[float, float, float]
) -> None:
    [frame] = over_all(pieces_of(read(TABLE.format(units=units, section=section, size=size))))
    assert len(frame.marks) == 12
    assert frame.size == pytest.approx(expected, abs=1e-6)


def test_a_hoop_and_the_stay_that_leans_on_it() -> None:
    hoop = tube("H", (0, 0, 0), (0, 0, 500), (0, 400, 500), (0, 400, 0), bend_radius=120)
    stay = tube("L", (0, 200, 500), (300, 0, 0), section="42.4 x 2.6", finish={"cut": "level"})
    [frame] = over_all(pieces_of(definitions(tube=[hoop, stay])))
    # Half a tube beyond the hoop's line left, right, above and behind; in front the stay's foot, an ellipse that
    # reaches r sqrt(1 + (dx / dz)^2) forward of its middle.
    foot = 300 + 21.2 * math.sqrt(1 + (300 / 500) ** 2)
    assert frame.size == pytest.approx((24.15 + foot, 400 + 48.3, 500 + 24.15), abs=0.003)
    assert frame.low == pytest.approx((-24.15, -24.15, 0), abs=0.003)


def test_the_top_of_a_leaning_arch_lies_in_its_bend() -> None:
    """No end and no straight reaches there: the arch is bent from post to post, its top at 100 + R + half a tube."""
    arch = tube("H", (0, 0, 0), (0, 0, 400), (600, 0, 400), (600, 0, 0), bend_radius=300)
    [frame] = over_all(pieces_of(definitions(tube=[arch])))
    assert frame.size == pytest.approx((648.3, 48.3, 424.15), abs=0.003)


@given(
    st.tuples(*(st.floats(-1.0, 1.0) for _ in range(3))).filter(
        lambda d: math.hypot(*d) > 0.3 and math.hypot(*d[:2]) > 0.1
    ),
    st.sampled_from(["48.3 x 3.2", "60 x 30 x 3", "80 x 80 x 5"]),
)
def test_square_cut_tubes_at_any_lean(toward: tuple[float, float, float], section: str) -> None:
    """Two like tubes end to end, one long tube in all: its ends are discs or rounded rectangles square to it."""
    d = np.array(toward) / math.hypot(*toward)
    middle, far = (tuple(float(v) for v in d * s) for s in (400, 800))
    parts = pieces_of(
        definitions(tube=[tube("A", (0, 0, 0), middle, section=section), tube("B", middle, far, section=section)])
    )
    [frame] = over_all(parts)
    shape = parts[0].shape
    width, depth, corner = shape.section.width, shape.section.depth, shape.section.corner
    up = np.array([0, 0, 1]) - d[2] * d
    up /= np.linalg.norm(up)
    side = np.cross(up, d)
    if shape.section.is_round:
        half = width / 2 * np.sqrt(1 - d**2)
    else:
        half = (width / 2 - corner) * abs(up) + (depth / 2 - corner) * abs(side) + corner * np.sqrt(1 - d**2)

    assert frame.size == pytest.approx(tuple(800 * abs(d) + 2 * half), abs=0.003)


def test_tubes_that_are_not_joined_are_frames_of_their_own_and_one_alone_is_none() -> None:
    ring = [tube("A", (0, 0, 0), (500, 0, 0)), tube("B", (250, 0, 0), (250, 300, 0))]
    away = [
        tube("C", (0, 2000, 0), (500, 2000, 0)),
        tube("D", (250, 2000, 0), (250, 2300, 0)),
        tube("E", (0, 0, 900), (0, 9, 999)),
    ]
    assert [frame.marks for frame in over_all(pieces_of(definitions(tube=[*ring, *away])))] == [("A", "B"), ("C", "D")]


FOOT = """
[job]
title = "t"
number = "1"
units = "mm"
[[tube]]
mark = "P"
section = "40 x 40 x 2"
route = [[0, 0, 0], [0, 0, 500]]
start = { foot = { plate = [120, 80], thickness = 6 } }
[[tube]]
mark = "R"
section = "40 x 40 x 2"
route = [[0, 0, 250], [300, 0, 250]]
"""


def test_a_plate_under_a_foot_counts() -> None:
    [frame] = over_all(pieces_of(read(FOOT)))
    assert frame.size == pytest.approx((60 + 300, 80, 500))


@pytest.mark.parametrize("state", ["there already", "bought"])
def test_what_is_not_made_here_is_no_frame_of_its_own(state: str) -> None:
    tubes = [
        tube("D1", (0, 900, 0), (600, 900, 0), section="40 x 40 x 2", state=state),
        tube("D2", (600, 900, 0), (600, 1500, 0), section="40 x 40 x 2", state=state),
        tube("T1", (0, 0, 0), (600, 0, 0), section="40 x 40 x 2"),
        tube("T2", (600, 0, 0), (600, 500, 0), section="40 x 40 x 2"),
    ]
    assert [frame.marks for frame in over_all(pieces_of(definitions(tube=tubes)))] == [("T1", "T2")]


def test_what_is_there_counts_in_the_frame_that_is_tied_to_it() -> None:
    there = tube("D1", (0, 0, 0), (0, 1000, 0), section="40 x 40 x 2", state="there already")
    stub = tube("T1", (0, 500, 0), (400, 500, 0), section="40 x 40 x 2")
    [frame] = over_all(pieces_of(definitions(tube=[there, stub])))
    assert frame.marks == ("D1", "T1")
    assert frame.size == pytest.approx((420, 1000, 40), abs=1e-6)


def test_a_bent_tube_there_already_alone_is_no_frame() -> None:
    hoop = tube("H", (0, 0, 0), (0, 0, 500), (0, 400, 500), (0, 400, 0), bend_radius=120, state="there already")
    assert not over_all(pieces_of(definitions(tube=[hoop])))
