"""Both readings of a mirrored pair carry the same ±."""

from __future__ import annotations

import pytest
from jobs import checked, read

from fabgen.parts.survey.measured import distance_tolerance

JOB = """
[job]
title = "t"
number = "1"
units = "mm"
[points]
A = [0, 100, 0]
B = [400, 100, 0]
C = [0, 100, 300]
P = { tape = { A = "250 mm", B = "300 mm", C = "320 mm" }, side = "left" }
[[tube]]
mark = "E-L"
section = "25 x 2"
route = [{ from = "P", by = [-30, 0, 0] }, { from = "P", by = [30, 0, 0] }]
[[tube]]
mark = "G-L"
section = "25 x 2"
route = ["B", "P"]
[[mirror]]
parts = ["E-L", "G-L"]
"""


def test_points_off_a_taped_one_are_known_as_well_on_both_hands() -> None:
    job = checked(read(JOB)).job
    tubes = {tube.mark: tube for tube in job.tube}
    left, right = (distance_tolerance(tubes[f"E-{hand}"].route[0], tubes[f"G-{hand}"].route[0]) for hand in ("L", "R"))
    assert left > 0.5
    assert right == pytest.approx(left)
