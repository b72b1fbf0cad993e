"""Foot plates that hang in the air: what lands on the leg beside them reaches lower."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.tube.standing import foot_in_air
from fabgen.job.expansion.written_keys import WrittenKeys
from fabgen.job.reader import read_text

SQUARE, ROUND = "40 x 40 x 3", "42.4 x 2.6"
PLATE = {"plate": [100, 100], "thickness": 6}


def leg(low: float = 0.0, section: str = SQUARE, **foot: Any) -> dict[str, Any]:
    return tube("L", (0, 0, low), (0, 0, 700), section=section, start={"foot": PLATE | foot})


def rail(z: float, section: str = SQUARE, far: float = 0.0) -> dict[str, Any]:
    return tube("R", (0, 0, z), (700, 0, z + far), section=section)


def said(*tubes: dict[str, Any]) -> list[str]:
    return [each.text for each in findings(checked(definitions(tube=list(tubes))), [foot_in_air])]


@pytest.mark.parametrize(
    ("tubes", "by"),
    [
        ([leg(20), rail(20)], "20 mm"),  # drawn from the middle of the rail
        ([leg(20, point="top"), rail(20)], "14 mm"),  # the plate is under it, as thick as 6
        ([leg(20, point="middle"), rail(20)], "17 mm"),
        ([leg(100), rail(110)], "10 mm"),
        ([leg(20, section=ROUND), rail(20, section=ROUND)], "21.2 mm"),
        ([leg(20, section=ROUND, disc=90, plate=None), rail(18, section=ROUND)], "23.2 mm"),
    ],
)
def test_it_speaks_of(tubes: list[dict[str, Any]], by: str) -> None:
    (text,) = said(*tubes)
    assert text.startswith(f"1 foot plate hangs in the air (L start {by} above the underside of R): ")


@pytest.mark.parametrize(
    "tubes",
    [
        [leg(), rail(26)],  # rails at the floor lie on the plate
        [leg(), rail(150)],
        [leg(200), tube("R", (0, 0, 600), (700, 0, 0), section=SQUARE)],  # a stay that goes down elsewhere
        [tube("L", (0, 0, 700), (0, 0, 0), section=SQUARE, start={"foot": PLATE}), rail(680)],  # a head plate
    ],
)
def test_it_is_silent_on(tubes: list[dict[str, Any]]) -> None:
    assert said(*tubes) == []


@pytest.mark.parametrize(("by", "speaks"), [(1.98, False), (2.02, True)])
def test_two_millimetres_are_the_limit(by: float, speaks: bool) -> None:
    assert bool(said(leg(by), rail(20))) is speaks


def test_a_frame_s_legs_are_one_finding_with_its_own_key() -> None:
    foot = "{ start = { foot = { plate = [100, 100], thickness = 6 } } }"
    text = """
[job]
title = "t"
number = "1"
units = "mm"
[[frame]]
mark = "F"
shape = "box"
section = "40 x 40 x 3"
size = [800, 600, 700]
at = [0, 0, 0]
"""
    change = "change = { " + ", ".join(f"P{i} = {foot}" for i in range(1, 5)) + " }\n"
    job = read_text(text + change)
    (found,) = findings(replace(checked(job.definitions), written=WrittenKeys.of(job)), [foot_in_air])
    assert found.text.startswith("4 foot plates hang in the air (F-P1 start 20 mm above the underside of F-B")
    assert found.text.endswith("of a frame's legs by `foot` in the frame's own table")
    assert findings(checked(text + "foot = { plate = [100, 100], thickness = 6 }\n"), [foot_in_air]) == []
