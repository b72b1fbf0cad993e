"""Feet and other sheet that lie in one another because their tubes do: said once, of the tubes."""

from __future__ import annotations

import pytest
from jobs import checked, findings, read

from fabgen.checks.contact.into_one_another import into_one_another
from fabgen.checks.tube.clashes import tubes_cross

TUBE = """[[tube]]
mark = "{mark}"
section = "40 x 40 x 3"
turn = 0
route = [[0, {y}, 300], [600, {y}, 300]]
start = {{ foot = {{ plate = {plate}, thickness = 3, lies = "square", point = "top" }} }}
finish = {{ foot = {{ plate = {plate}, thickness = 3, lies = "square", point = "top" }} }}
"""
HEAD = '[job]\ntitle = "t"\nnumber = "n"\nunits = "mm"\nmaterial = "S355"\nvents = true\n'


def said(apart: float, plate: int = 40, more: str = "") -> list[str]:
    text = HEAD + "".join(TUBE.format(mark=f"S{i}", y=y, plate=[plate, plate]) for i, y in ((1, 0.0), (2, apart)))
    return [each.rule for each in findings(checked(read(text + more), planned=True), (tubes_cross, into_one_another))]


LOOSE = """[[plate]]
mark = "{mark}"
thickness = 5
rectangle = [60, 60]
place = {{ at = [{x}, {y}, 320] }}
"""


@pytest.mark.parametrize(
    ("apart", "plate", "more", "rules"),
    [
        (60.0, 40, "", []),
        (30.0, 40, "", ["tubes-cross"]),
        (30.0, 60, "", ["tubes-cross"]),
        (50.0, 60, "", ["into-one-another"]),  # the feet alone
        # Plates that lie in one another on one of the two tubes are no matter of the other.
        (
            35.0, 40, LOOSE.format(mark="P1", x=200, y=-45) + LOOSE.format(mark="P2", x=230, y=-45),
            ["tubes-cross", "into-one-another"],
        ),
    ],
)  # fmt: skip
def test_sheet_in_sheet_of_tubes_in_one_another_is_told_of_the_tubes(
    apart: float, plate: int, more: str, rules: list[str]
) -> None:
    assert said(apart, plate, more) == rules
