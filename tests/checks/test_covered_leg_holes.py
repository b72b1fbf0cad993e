"""Plates that are placed over the bolt holes of a profile."""

from __future__ import annotations

import pytest
from jobs import checked, findings

from fabgen.checks.bolt.bolt_ways import RULES

JOB = """[job]
title = "t"
number = "n"
units = "mm"
material = "S235"
[[profile]]
mark = "A1"
section = "angle 60 x 60 x 6"
route = [[0, 0, 0], [400, 0, 0]]
legs = ["top", "left"]
holes = [{{ leg = "b", at = 100, gauge = 35, bolt = "M12" }}]
[[plate]]
mark = "P1"
thickness = 6
rectangle = [80, 40]
place = {{ against = "A1", side = "leg b {face}", at = {at} }}
"""


@pytest.mark.parametrize(
    ("face", "at", "rules"),
    [
        ("inside", 100, ["hole-covered"]),
        ("outside", 100, ["hole-covered"]),
        ("inside", 65, ["hole-covered"]),  # its edge 5 mm past the hole's middle
        ("inside", 200, []),
        ("inside", 48, []),  # ends 5 mm short of the hole
    ],
)
def test_a_bolt_hole_under_a_plate(face: str, at: int, rules: list[str]) -> None:
    found = findings(checked(JOB.format(face=face, at=at)), RULES)
    assert [each.rule for each in found] == rules
