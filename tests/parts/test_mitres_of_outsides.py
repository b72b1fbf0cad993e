"""Unlike tubes whose points lie on their outsides, mitred: the given size holds, edge to edge; angles by hand."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
from jobs import checked, findings, tube, tubes_text

from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.over_all import over_all

WIDE, NARROW = "40 x 60 x 3", "40 x 40 x 3"
MITRE = {"cut": "mitre"}


def ring(corners: list[tuple[float, float, float]], **end: Any) -> list[dict[str, Any]]:
    """Sides from corner to corner, wide and narrow in turn, every corner mitred."""
    return [
        tube(f"T{i}", a, b, section=(WIDE, NARROW)[i % 2], turn=0, start=MITRE | end, finish=MITRE | end)
        for i, (a, b) in enumerate(pairwise([*corners, corners[0]]))
    ]


RECTANGLE = ring([(0, 0, 0), (1000, 0, 0), (1000, 600, 0), (0, 600, 0)])


def sizes(*tubes: dict[str, Any], **job: Any) -> tuple[float, float, float]:
    [whole] = over_all(checked(tubes_text(*tubes, **job)).pieces)
    return whole.size


def parts(*tubes: dict[str, Any], **job: Any) -> dict[str, LengthPart]:
    return dict(checked(tubes_text(*tubes, **job)).tubes)


def steps(*tubes: dict[str, Any], **job: Any) -> list[str]:
    return [each.text for each in findings(checked(tubes_text(*tubes, **job))) if each.rule == "mitre-step"]


def test_the_outside_size_is_the_given_one() -> None:
    assert sizes(*RECTANGLE, lies="outside") == pytest.approx((1000.0, 600.0, 40.0), abs=1e-6)
    # The seam of a wide side 60 across runs 40 along it, as the narrow one is wide: atan(60 / 40) to its axis.
    angles = {mark: part.ends[0].joints[0].angle for mark, part in parts(*RECTANGLE, lies="outside").items()}
    assert angles["T0"] == pytest.approx(math.atan(60.0 / 40.0))
    assert angles["T1"] == pytest.approx(math.atan(40.0 / 60.0))
    assert steps(*RECTANGLE, lies="outside") == []


def test_the_opening_is_the_given_one() -> None:
    assert sizes(*RECTANGLE, lies="inside") == pytest.approx((1080.0, 720.0, 40.0), abs=1e-6)


def test_a_skew_corner_keeps_its_point() -> None:
    """A trapezium: the outer corner of unlike sides at 60 degrees lies at the point that was drawn."""
    corners = [(0.0, 0.0, 0.0), (1000.0, 0.0, 0.0), (1000.0 - 500.0 / math.sqrt(3.0), 500.0, 0.0), (0.0, 500.0, 0.0)]
    assert sizes(*ring(corners), lies="outside") == pytest.approx((1000.0, 500.0, 40.0), abs=1e-6)


def test_what_the_job_says_of_the_seam_goes_before() -> None:
    """Halfway between the axes the wide sides stand 10 past either end, which is told with the step."""
    halved = [each | {at: MITRE | {"seam": "bisect"} for at in ("start", "finish")} for each in RECTANGLE]
    assert sizes(*halved, lies="outside") == pytest.approx((1020.0, 600.0, 40.0), abs=1e-6)
    assert len(steps(*halved, lies="outside")) == 1


def test_on_centre_lines_a_mitre_stays_halfway() -> None:
    made = parts(*RECTANGLE)
    assert made["T0"].ends[0].joints[0].angle == pytest.approx(math.radians(45.0))


def test_three_mitred_at_a_point_part_halfway() -> None:
    three = [
        tube("A", (0, 0, 0), (500, 0, 0), section=WIDE, turn=0, start=MITRE),
        tube("B", (0, 0, 0), (0, 500, 0), section=NARROW, start=MITRE),
        tube("C", (0, 0, 0), (0, 0, 500), section=NARROW, start=MITRE),
    ]
    made = parts(*three, lies="outside")
    assert [len(part.ends[0].joints) for part in made.values()] == [2, 2, 2]
    angles = [joint.angle for part in made.values() for joint in part.ends[0].joints]
    assert angles == pytest.approx([math.radians(45.0)] * 6)


def test_in_inches() -> None:
    sides = [(0, 0, 0), (40, 0, 0), (40, 24, 0), (0, 24, 0)]
    inch = [
        tube(f"T{i}", a, b, section=("1.5 x 2.5 x 1/8", "1.5 x 1.5 x 1/8")[i % 2], turn=0, start=MITRE, finish=MITRE)
        for i, (a, b) in enumerate(pairwise([*sides, sides[0]]))
    ]
    assert sizes(*inch, lies="outside", units="in") == pytest.approx((1016.0, 609.6, 38.1), abs=1e-6)
