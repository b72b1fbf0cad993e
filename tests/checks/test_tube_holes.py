"""Checks of holes in tubes: each limit from both sides, faults that an old hand sees at once, and two that look wrong.

Distances: EN 1993-1-8, table 3.3 (1.2 and 2.2 hole widths), from memory, check against your part.
"""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.rule import Finding
from fabgen.checks.tube import tube_holes
from fabgen.job.errors import JobError


def found(*tubes: dict[str, Any]) -> list[Finding]:
    return findings(checked(definitions(tube=list(tubes))), [*tube_holes.RULES, tube_holes.crushed_by_bolt])


def said(*holes: dict[str, Any], section: str = "60 x 40 x 3", **keys: Any) -> list[str]:
    return [each.rule for each in found(bar(*holes, section=section, **keys))]


def bar(*holes: dict[str, Any], section: str = "60 x 40 x 3", **keys: Any) -> dict[str, Any]:
    return tube("T1", (0, 0, 0), (800, 0, 0), section=section, holes=list(holes), **keys)


def hole(at: float, side: object = "top", **keys: Any) -> dict[str, Any]:
    return {"at": at, "side": side, "diameter": 10, **keys}


BENT = ((0, 0, 0), (400, 0, 0), (400, 0, 400))
LIMITS = [
    # the least distance to the end: 1.2 x 10 = 12
    ((hole(12 * 1.01),), (hole(12 * 0.99),), "drill-to-end"),
    ((hole(12 * 1.01, **{"from": "finish"}),), (hole(12 * 0.99, **{"from": "finish"}),), "drill-to-end"),
    # a slot counts from the middle of its round end
    ((hole(22 * 1.01, length=30),), (hole(22 * 0.99, length=30),), "drill-to-end"),
    # two holes: 2.2 x 10 = 22 from middle to middle
    ((hole(100), hole(100 + 22 * 1.01)), (hole(100), hole(100 + 22 * 0.99)), "drill-apart"),
    # half of the face, 20 of 40
    ((hole(100, diameter=19.8),), (hole(100, diameter=20.2),), "drill-wide"),
    # the flat of the 40 face: corners of 2 x 3 = 6 by EN 10219-2, so 14 from its middle
    ((hole(100, offset=8.9),), (hole(100, offset=9.2),), "drill-over-edge"),
]


@pytest.mark.parametrize(("inside", "outside", "rule"), LIMITS)
def test_limits_from_both_sides(inside: Any, outside: Any, rule: str) -> None:
    assert said(*inside) == []
    assert said(*outside) == [rule]


def test_a_drill_beside_the_middle_of_a_round_tube() -> None:
    """30 degrees from square: half of the radius beside the middle."""
    assert said(hole(100, diameter=6, offset=15 * 0.99), section="60 x 3") == []
    assert said(hole(100, diameter=6, offset=15 * 1.01), section="60 x 3") == ["drill-skids"]


def test_near_a_bend_and_into_it() -> None:
    def bent(at: float) -> list[str]:
        each = tube("B", *BENT, section="40 x 2", bend_radius=100, holes=[hole(at, "left")])
        return [finding.rule for finding in found(each)]

    assert bent(300 - 5 - 10.1) == []
    assert bent(300 - 5 - 9.9) == ["drill-near-bend"]
    assert bent(297) == ["drill-off-end"]


MAIN = {"section": "60.3 x 3.2"}


def landed(*holes: dict[str, Any], **branch: Any) -> list[Finding]:
    """T2, 33.7 x 2.6, stands on the top of T1 at 400."""
    other = tube("T2", (400, 0, 0), (400, 0, 500), **{"section": "33.7 x 2.6"} | branch)
    return found(bar(*holes, **MAIN), other)


def test_under_a_joint_and_in_its_weld() -> None:
    edge = 33.7 / 2
    assert [each.rule for each in landed(hole(400 + edge + 2.6 * 1.01 + 5))] == []
    weld = landed(hole(400 + edge + 2.6 * 0.99 + 5))
    assert [(each.rule, each.level) for each in weld] == [("drill-under-joint", "warn")]
    assert weld[0].text == "hole 1 is under the weld of T2, 2.6 mm from its wall: move it 2.6 mm away at least"
    under = landed(hole(400 + edge))
    assert [(each.rule, each.level) for each in under] == [("drill-under-joint", "stop")]
    assert under[0].text == "hole 1 is under T2, which sits there: move it"


def test_what_an_old_hand_sees_at_once() -> None:
    assert "drill-off-end" in said(hole(3))  # half of it is off the end
    assert "drill-apart" in said(hole(100), hole(104))  # one hole into another
    assert said(hole(100), hole(102, "bottom")) == ["drill-not-opposite"]  # the bolt does not pass
    assert [each.rule for each in landed({"at": 400, "side": "top", "bolt": "M8"})] == ["drill-under-joint"]
    crushed = found(bar({"at": 100, "side": "top", "bolt": "M8", "both_walls": True}))
    assert [(each.rule, each.level) for each in crushed] == [("crushed-by-bolt", "note")]


def test_what_only_looks_wrong() -> None:
    # A vent inside the bore of the tube that sits there lets the one breathe into the other.
    assert landed(hole(400)) == []
    # In the wall away from the joint, straight below it.
    assert landed(hole(400, "bottom")) == []
    # Two bolts from two sides at two places are no pair.
    assert said(hole(100), hole(140, "bottom"), hole(100, "left")) == []


def test_one_finding_a_job_for_crushed_tubes() -> None:
    holes = [{"at": at, "side": "top", "bolt": "M8", "both_walls": True} for at in (100, 200)]
    other = tube("T2", (0, 500, 0), (800, 500, 0), section="60 x 40 x 3", holes=holes)
    (one,) = found(bar(*holes), other)
    assert one.marks == ("T1", "T2")


def sleeved(at: float, side: str, **keys: Any) -> dict[str, Any]:
    return {"at": at, "side": side, "bolt": "M8", "both_walls": True, "sleeve": "16 x 2", **keys}


BOLTED = {"at": 100, "side": "left", "bolt": "M8", "both_walls": True}


@pytest.mark.parametrize(
    ("one", "other", "needed"),
    [
        (sleeved(100, "left"), sleeved(100, "top"), 16.0),
        (BOLTED, sleeved(100, "top"), 12.0),
        (BOLTED, BOLTED | {"side": "top"}, 8.0),
    ],
)
def test_sleeves_and_bolts_that_meet_inside_a_tube(one: dict[str, Any], other: dict[str, Any], needed: float) -> None:
    """Half of each of what goes through, from middle to middle; on the centreline and square to one another."""
    assert "drill-crosses" not in said(one, other | {"at": 100 + needed * 1.01})
    assert "drill-crosses" in said(one, other | {"at": 100 + needed * 0.99})


def test_sleeves_that_meet_in_inch_tube() -> None:
    holes = [{"at": at, "side": side, "diameter": 0.3, "both_walls": True, "sleeve": "5/8 x 0.083"}
             for at, side in ((4, "left"), (4.5, "top"))]  # fmt: skip
    along = {"mark": "T1", "section": "2 x 2 x 0.12", "route": [[0, 0, 0], [32, 0, 0]], "holes": holes}
    (one,) = findings(checked(definitions(tube=[along], job={"units": "in"})), tube_holes.RULES)
    assert one.rule == "drill-crosses"


def test_a_sleeve_in_solid_bar_is_refused() -> None:
    with pytest.raises(JobError, match="key sleeve: T1 is solid"):
        said(sleeved(100, "left"), section="40 solid")


def test_drills_that_only_seem_to_meet() -> None:
    # The one goes through one wall only; and two from one side have metal between them.
    assert said({"at": 100, "side": "left", "bolt": "M8"}, sleeved(101, "top")) == []
    assert said(sleeved(100, "left"), sleeved(140, "left")) == []
    # Beside one another in a wide tube: the one runs 25 above the other.
    wide = [sleeved(100, "left", offset=25), sleeved(150, "left", offset=-25), sleeved(125, "top")]
    assert "drill-crosses" not in said(*wide, section="100 x 100 x 4")


def test_two_drills_side_by_side_are_one_finding() -> None:
    assert said(sleeved(100, "left"), sleeved(118, "left")) == ["drill-apart"]


def test_a_drill_that_comes_out_beside_where_it_went_in_is_moved_to_the_middle() -> None:
    (one,) = [each for each in found(bar(sleeved(100, "left", offset=12, sleeve="20 x 3"), section="48.3 x 3.2"))
              if each.rule == "drill-apart"]  # fmt: skip
    assert one.text.endswith("needed: make it smaller, or move it to the middle")


@pytest.mark.parametrize(
    ("holes", "rule", "words"),
    [
        # one drill's way through both walls
        (
            [hole(6, diameter=8, both_walls=True)],
            "drill-to-end",
            "6 mm from the middle of hole 1 to the start's cut; 9.6 mm needed",
        ),
        # in two walls, alike
        (
            [hole(8, diameter=8), hole(8, "left", diameter=8)],
            "drill-to-end",
            "8 mm from the middle of hole 1 and hole 2 to the start's cut; 9.6 mm needed: move them in",
        ),
        (
            [hole(100, row={"count": 6, "pitch": 15})],
            "drill-apart",
            "5 mm of metal between holes 1 to 6; 12 mm needed each: move them apart",
        ),
        (
            [hole(100, row={"count": 3, "pitch": 15}, both_walls=True)],
            "drill-apart",
            "5 mm of metal between hole 1, hole 2 and hole 3; 12 mm needed each: move them apart",
        ),
        ([hole(100, row={"count": 3, "pitch": 8})], "drill-apart", "hole 1, hole 2 and hole 3 run into one another"),
        (
            [hole(100, diameter=22, row={"count": 3, "pitch": 100})],
            "drill-wide",
            "22 mm of the tube's 40 mm are taken by hole 1, hole 2 and hole 3: keep to half",
        ),
        (
            [hole(100, offset=10, row={"count": 2, "pitch": 100})],
            "drill-over-edge",
            "hole 1 and hole 2 run 1 mm into the corner of the face",
        ),
    ],
)
def test_one_fault_is_one_finding(holes: list[dict[str, Any]], rule: str, words: str) -> None:
    told = [each for each in found(bar(*holes)) if each.rule == rule]
    assert [each.text.startswith(words) for each in told] == [True], [each.text for each in told]


def test_two_rows_are_two_findings() -> None:
    rows = [hole(at, row={"count": 3, "pitch": 15}) for at in (100, 500)]
    assert said(*rows) == ["drill-apart", "drill-apart"]
