"""Holes of a tube under plates and brackets that are placed on it: faults seen at once, and what only looks wrong."""

from __future__ import annotations

import pytest
from jobs import checked, findings, read

from fabgen.checks.bolt.bolt_lines import bolt_out_of_line
from fabgen.checks.bolt.bolt_ways import hole_covered
from fabgen.checks.bolt.bolts import bolt_hole
from fabgen.checks.tube.tube_holes import RULES

HEAD = '[job]\ntitle = "t"\nnumber = "n"\nunits = "mm"\nmaterial = "S235"\n'
TUBE = """[[tube]]
mark = "T1"
section = "60 x 40 x 3"
turn = 0
route = [[0, 0, 0], [800, 0, 0]]
holes = [{{ at = {at}, side = "{side}", diameter = 10 }}]
"""
PLATE = """[[plate]]
mark = "P1"
rectangle = [100, 40]
thickness = 5
place = {{ at = [400, 0, {z}], of = [50, 20], along = [1, 0, 0], up = [0, 0, 1] }}
{more}
"""
BRACKET = """[[bracket]]
mark = "B1"
shape = "angle"
thickness = 4
length = 60
legs = [40, 40]
place = {{ at = [380, 25, {z}], along = [1, 0, 0], up = [0, 0, 1] }}
"""
WELDED = '[[weld]]\nparts = ["P1", "T1"]\nthroat = 3\n'


def said(at: float, z: float = 30.0, side: str = "top", more: str = "", parts: str = PLATE) -> list[tuple[str, str]]:
    text = HEAD + TUBE.format(at=at, side=side) + parts.format(z=z, more=more)
    return [(each.level.value, each.text) for each in findings(checked(text), RULES)]


UNDER = ("stop", "hole 1 is under P1, which lies there: move P1, or cut the same hole in it")


@pytest.mark.parametrize(
    ("at", "z", "side"),
    [
        (400, 30, "top"),  # its middle
        (354, 30, "top"),  # half of it under the edge, 350
        (400, -35, "bottom"),  # laid below
        (400, 29.5, "top"),  # let in by a hair
    ],
)
def test_a_hole_under_a_plate_is_spoken_of(at: float, z: float, side: str) -> None:
    assert said(at, z, side) == [UNDER]


def test_a_hole_under_a_bracket_is_spoken_of() -> None:
    assert [level for level, text in said(400, parts=BRACKET) if "under B1" in text] == ["stop"]


@pytest.mark.parametrize(
    ("at", "z", "side", "more"),
    [
        (400, 30, "bottom", ""),  # in the wall away from it
        (400, 80, "top", ""),  # the plate is far above
        (400, 30, "top", "holes = [{ at = [50, 20], diameter = 11 }]"),  # the bolt goes through both
        (300, 30, "top", ""),  # beside it
    ],
)
def test_what_only_looks_wrong(at: float, z: float, side: str, more: str) -> None:
    assert said(at, z, side, more) == []


def test_limits_of_the_edge() -> None:
    """The plate ends at 350, the hole 5 mm from its middle; a hair of 1 % of that either side."""
    assert said(345 - 0.05) == []
    assert said(345 + 0.05) == [UNDER]


def test_limits_of_what_touches() -> None:
    assert said(400, 30 + 0.99) == [UNDER]
    assert said(400, 30 + 1.01) == []


def test_limits_of_the_weld() -> None:
    """Of a plate that the weld table puts on the tube the weld is as wide as the plate is thick: 5 mm."""
    told = said(340 + 0.05, more=WELDED)
    assert told == [("warn", "hole 1 is under the weld of P1: move it 5 mm away at least")]
    assert said(340 - 0.05, more=WELDED) == []
    assert said(340 + 0.05) == []


ROUND = TUBE.replace("60 x 40 x 3", "48.3 x 3.2").replace("turn = 0\n", "")
ON_EDGE = """[[plate]]
mark = "P1"
rectangle = [100, 60]
thickness = 5
{more}
place = {{ at = [400, {y}, {z}], of = [50, 0], along = [1, 0, 0], up = [0, -1, 0], lies = "middle" }}
"""
"""Its long side on the tube's top, its faces looking sideways."""
STRAP = """[[strap]]
mark = "P1"
shape = "{shape}"
width = 25
thickness = 3
round = {round}
rubber = {rubber}
bolt = "M6"
holes = {holes}
place = {{ at = [400, 0, 0], along = [0, 1, 0], up = [1, 0, 0] }}
"""


def told_of(tube: str, part: str) -> list[tuple[str, str]]:
    return [
        (each.level.value, each.text)
        for each in findings(checked(HEAD + tube + part), RULES)
        if "P1" in each.text or "hole" in each.text
    ]


def on_edge(at: float, y: float = 0.0, z: float = 24.15, tube: str = ROUND, more: str = "") -> list[tuple[str, str]]:
    return told_of(tube.format(at=at, side="top"), ON_EDGE.format(y=y, z=z, more=more))


def strapped(
    at: float, side: str = "bottom", shape: str = "band", rubber: float = 0.0, holes: str = "[]"
) -> list[tuple[str, str]]:
    strap = STRAP.format(shape=shape, rubber=rubber, holes=holes, round='"T1"')
    return told_of(ROUND.format(at=at, side=side), strap)


def test_a_hole_under_a_plate_on_its_edge_is_spoken_of() -> None:
    assert on_edge(400) == [UNDER]
    assert on_edge(353) == [UNDER]  # half of it past the plate's end, 350
    assert on_edge(400, z=30, tube=TUBE, y=6) == [UNDER]  # on a flat face, beside the hole's middle


def test_a_hole_under_a_strap_is_spoken_of() -> None:
    assert strapped(400) == [UNDER]
    assert strapped(410, "left", rubber=2.0) == [UNDER]  # the strap is 12.5 mm wide either way
    assert strapped(400, shape="half band") == [UNDER]


def test_what_only_looks_to_lie_over_a_hole() -> None:
    assert on_edge(340) == []
    assert on_edge(400, z=30, tube=TUBE, y=8) == []  # 3 mm of air between the plate's side and the hole
    assert on_edge(400, z=26) == []  # stands off the tube
    assert strapped(420) == []
    assert strapped(400, "top", shape="half band") == []  # the half without metal
    assert strapped(400, holes="[{ at = [0, 0], diameter = 14 }]") == []  # a hole of its own there


def test_limits_of_a_plate_on_its_edge() -> None:
    """The plate's side is 2.5 mm from its middle, the hole's edge 5 mm from its own."""
    assert on_edge(400, z=30, tube=TUBE, y=7.5 - 0.05) == [UNDER]
    assert on_edge(400, z=30, tube=TUBE, y=7.5 + 0.05) == []


def test_limits_of_a_strap() -> None:
    assert strapped(400 + 17.5 - 0.1) == [UNDER]
    assert strapped(400 + 17.5 + 0.1) == []


BOLTED = """[[tube]]
mark = "T1"
section = "40 x 40 x 3"
turn = 0
route = [[0, 0, 0], [800, 0, 0]]
holes = [{{ at = 300, side = "left", bolt = "M10", both_walls = true, sleeve = "16 x 2.5" }}]
[[plate]]
mark = "P1"
rectangle = [60, 60]
thickness = 5
holes = [{{ at = [30, 30], bolt = "M10" }}]
place = {{ against = "T1", at = {at}, side = "left", hole = 1 }}
"""
BOLT = '[[bolt]]\nthread = "M10"\nthrough = ["P1", "T1"]\nnut = "lock"\n'


@pytest.mark.parametrize(
    ("at", "bolt", "rules"),
    [
        (300, BOLT, []),
        (306, BOLT, ["bolt-out-of-line"]),
        (322, BOLT, ["bolt-out-of-line"]),
        (306, "", ["drill-under-joint"]),  # no bolt says it
    ],
)
def test_a_hole_beside_that_of_the_plate_over_it_is_told_of_their_bolt_alone(
    at: int, bolt: str, rules: list[str]
) -> None:
    of = checked(read(HEAD + BOLTED.format(at=at) + bolt), planned=True)
    assert [each.rule for each in findings(of, (*RULES, bolt_out_of_line))] == rules


@pytest.mark.parametrize(
    ("change", "rules"),
    [
        ({}, []),
        ({"at": 500}, ["hole-covered"]),  # nothing is drilled there
        ({"at": 500, "holes": ""}, ["hole-covered"]),  # nor anywhere
        ({"holes": "", "plate": "[]"}, ["bolt-hole", "bolt-hole"]),  # of neither a hole is to be seen
    ],
)
def test_a_tube_without_a_hole_under_that_of_a_plate_is_told_once(change: dict[str, object], rules: list[str]) -> None:
    text = BOLTED.format(at=change.get("at", 300)).splitlines()
    if "holes" in change:
        text[5] = ""
    if "plate" in change:
        text[10:] = ["holes = []", 'place = { against = "T1", at = 300, side = "left" }']
    of = checked(read("\n".join([HEAD, *text, BOLT])), planned=True)
    assert [each.rule for each in findings(of, (bolt_hole, hole_covered))] == rules
