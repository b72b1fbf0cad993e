"""Ends that meet a tube and a plate: cut by first contact with either.

Held against the two bodies themselves: a round post about z, its radius given, and the plate's upper side, a level
plane; signed distances by hand.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from faulty_profiles import HEAD, profile
from faulty_profiles import tube as tube_table
from jobs import checked, definitions, findings, tube, tubes_text

from fabgen.documents.render.words import tube_end_text
from fabgen.geometry.space.frame import Array
from fabgen.job.reader import read_text
from fabgen.parts.piece import LengthPart, WorkedEnd
from fabgen.parts.shape.sections import end_profile

POST, TOP = 50.0, 8.0
"""mm: the post's diameter, and how high the plate's upper side lies."""


def post(size: float = 200.0, section: str = f"{POST} x 3") -> dict[str, Any]:
    return tube(
        "P", (0, 0, 0), (0, 0, 1000), section=section, start={"foot": {"plate": [size, size], "thickness": TOP}}
    )


def brace(z: float, rise: float = 700.0, y: float = 0.0, section: str = "40 x 3", **keys: Any) -> dict[str, Any]:
    return tube("B", (0, y, z), (700, y, z + rise), section=section, **keys)


def of(*tubes: dict[str, Any], **job: Any) -> dict[str, LengthPart]:
    """The tubes, read as from a file, so that their feet are plates."""
    return dict(checked(text(*tubes, **job)).tubes)


def text(*tubes: dict[str, Any], **job: Any) -> str:

    return tubes_text(*tubes, **job)


def seats(end: WorkedEnd) -> list[str]:
    return [seat.onto for seat in end.seats]


def walls(part: LengthPart, end: WorkedEnd) -> Array:
    """Points (n, 9, 3) of the cut edge, through the thickness of the wall."""
    along = end_profile(part.section, end).walls(end.frame)
    edge = along.skin + end.line.x[:, None] * end.frame.x
    shares = np.linspace(0.0, 1.0, 9)
    return np.asarray(edge[:, None, :] + shares[None, :, None] * (along.depth[:, None] * along.inward)[:, None, :])


@pytest.mark.parametrize("gap", [0.0, 1.5])
@pytest.mark.parametrize("z", [-10.0, 0.0])
@pytest.mark.parametrize("y", [0.0, 6.0])
@pytest.mark.parametrize("rise", [400.0, 1000.0])
def test_a_brace_in_the_corner_touches_both_and_runs_into_neither(rise: float, y: float, z: float, gap: float) -> None:
    end = of(post(), brace(z, rise, y), root_gap=gap)["B"].ends[0]
    part = of(post(), brace(z, rise, y), root_gap=gap)["B"]
    assert seats(end) == ["P", "FOOT"]
    points = walls(part, end)
    off = np.minimum(np.hypot(points[..., 0], points[..., 1]) - POST / 2.0, points[..., 2] - TOP) - gap
    assert float(off.min()) > -1e-3
    assert float(np.abs(off.min(axis=1)).max()) < 0.02
    # Both are met.
    on_plate = np.abs(points[..., 2] - TOP - gap).min(axis=1) < 0.02
    assert 0.02 < float(np.mean(on_plate)) < 0.98


def test_the_weld_runs_on_both_and_its_length_is_that_of_the_edge() -> None:
    end = of(post(), brace(0.0))["B"].ends[0]
    assert [weld.onto for weld in end.welds] == ["P", "FOOT"]
    plate = end.welds[1].run
    assert np.nanmax(np.abs(plate.points[:, 2] - TOP)) < 1e-6
    # The part of the ellipse of a tube of 40 at 45 degrees that lies beyond where it leaves the post.
    outer = end_profile(of(post(), brace(0.0))["B"].section, end).walls(end.frame).skin
    x = TOP * math.sqrt(2.0) - outer[:, 2] * math.sqrt(2.0)
    edge = outer + x[:, None] * end.frame.x
    beyond = np.hypot(edge[:, 0], edge[:, 1]) > POST / 2.0
    steps = np.linalg.norm(np.roll(edge, -1, axis=0) - edge, axis=1)
    assert end.welds[1].length == pytest.approx(float(steps[beyond].sum()), abs=1.5)


@pytest.mark.parametrize("section", ["40 x 40 x 3", "60 x 40 x 3"])
def test_square_tube_on_square_tube_and_plate(section: str) -> None:
    parts = of(post(section="50 x 50 x 3"), brace(0.0, section=section))
    end = parts["B"].ends[0]
    assert seats(end) == ["P", "FOOT"]
    points = walls(parts["B"], end)
    assert float(points[..., 2].min()) == pytest.approx(TOP, abs=0.01)
    inside = (points[..., 0] < 25.0 - 0.02) & (np.abs(points[..., 1]) < 19.0)
    assert not inside.any()


@pytest.mark.parametrize(
    "tubes",
    [
        [post(), brace(40.0)],  # clear over the plate
        [post(), brace(8.0 + 20.0, 0.0)],  # a level rail that lies on it
        [tube("P", (0, 0, 0), (0, 0, 1000), section="50 x 3"), brace(0.0)],  # no plate
        [post(size=52.0), brace(0.0)],  # hardly wider than the post
        [post(), brace(0.0, start={"cut": "plain"})],
    ],
)
def test_where_the_tube_alone_is_met(tubes: list[dict[str, Any]]) -> None:
    assert seats(of(*tubes)["B"].ends[0]) in (["P"], [])


@pytest.mark.parametrize(("deep", "cut"), [(0.495, False), (0.505, True)])
def test_half_a_millimetre_is_the_limit(deep: float, cut: bool) -> None:
    """The lowest of a cut at 45 degrees on a flat face lies lower than its axis there by half of 40 times root two."""
    lowest = 25.0 - 20.0 * math.sqrt(2.0)
    end = of(post(section="50 x 50 x 3"), brace(TOP - lowest - deep, section="40 x 40 x 3"))["B"].ends[0]
    assert ("FOOT" in seats(end)) is cut


def test_it_is_named_on_the_papers_words() -> None:

    end = of(post(), brace(0.0))["B"].ends[0]
    assert tube_end_text(end) == "cope onto P at 45° and FOOT at 45°"
    assert end.saw is not None
    assert "the end sits on P and FOOT: no single saw cut makes it" in end.saw.advice.words("mm")


def test_a_deck_that_a_tube_passes_through_far_from_its_end_is_no_seat() -> None:
    plate = {"mark": "D", "thickness": 6, "rectangle": [300, 300], "place": {"at": [0, 0, 200], "of": [150, 150]}}
    tubes = [
        tube("M", (-500, 0, 0), (500, 0, 0), section="60 x 3"),
        tube("B", (0, 0, 0), (0, 0, 700), section="40 x 3"),
    ]
    end = checked(definitions(tube=tubes, plate=[plate])).tubes["B"].ends[0]
    assert seats(end) == ["M"]


def test_a_doubler_on_its_main_is_what_it_sits_on() -> None:
    """A 4 mm plate on the flat of a square rail: the post ends on that, 4 mm shorter."""
    plate = {"mark": "D", "thickness": 4, "rectangle": [120, 60], "place": {"at": [0, 0, 30], "of": [60, 30]}}
    tubes = [tube("M", (-500, 0, 0), (500, 0, 0), section="60 x 60 x 3")]
    tubes += [tube("B", (0, 0, 0), (0, 0, 700), section="40 x 40 x 3")]
    part = checked(definitions(tube=tubes, plate=[plate])).tubes["B"]
    assert part.length == pytest.approx(700.0 - 34.0)


# -- past the plate's edge ------------------------------------------------------------------------
def off(*tubes: dict[str, Any]) -> list[str]:
    return [each.text for each in findings(checked(text(*tubes))) if each.rule == "off-plate"]


def leg(at: float, turn: float = 0.0, **foot: Any) -> dict[str, Any]:
    return tube(
        "L", (at, 0, 0), (at, 0, 700), section="40 x 40 x 3", turn=turn, start={"foot": foot | {"thickness": 6}}
    )


@pytest.mark.parametrize(
    "tubes",
    [
        [post(size=70.0), brace(0.0)],
        [post(size=90.0), brace(-15.0)],
        [leg(0.0, plate=[30, 60])],
        [leg(0.0, disc=45)],
        [leg(0.0, plate=[60, 36])],
        [post(), brace(0.0), leg(400.0, plate=[30, 30])],
    ],
)
def test_it_speaks_of_what_stands_past_its_plate(tubes: list[dict[str, Any]]) -> None:
    (said,) = off(*tubes)
    assert "1 end stands in part on nothing (" in said


@pytest.mark.parametrize("tubes", [[post(), brace(0.0)], [leg(0.0, plate=[40, 40])], [leg(0.0, disc=57)]])
def test_it_is_silent_where_the_plate_carries_all(tubes: list[dict[str, Any]]) -> None:
    assert off(*tubes) == []


def test_what_stands_on_its_own_plate_carries_a_wider_brace() -> None:
    parts = of(post(section="40 x 40 x 3"), brace(0.0, section="60 x 40 x 3"))
    assert seats(parts["P"].ends[0]) == ["FOOT"]
    assert seats(parts["B"].ends[0]) == ["P", "FOOT"]


@pytest.mark.parametrize(
    ("section", "way", "post_at", "do"),
    [
        ("UPN 100", 'back = "right"', (35.0, 50.0), "take a wider channel, set a cap plate between, or move it"),
        ("angle 60 x 60 x 6", 'legs = ["bottom", "left"]', (20.0, 0.0), "take an angle with a wider leg"),
        ("T 60 x 60 x 7", 'flange = "top"', (30.0, 0.0), "take a wider T"),
        ("flat 60 x 10", 'width = "left"', (25.0, 5.0), "take a wider flat, or move it"),
    ],
)
def test_what_is_wider_is_said_by_what_the_end_stands_on(
    section: str, way: str, post_at: tuple[float, float], do: str
) -> None:
    y, z = post_at
    text = (
        HEAD
        + profile("S", "[[-500, 0, 0], [500, 0, 0]]", section, way)
        + tube_table("P", f"[[0, {y}, {z}], [0, {y}, {z + 400}]]", "50 x 50 x 3")
    )
    (said,) = [each.text for each in findings(checked(read_text(text).definitions)) if each.rule == "off-plate"]
    assert "past the edge of S" in said
    assert do in said
