"""Chords drawn bay by bay: at a joint with a post the post runs through and the chords sit on it; lengths by hand."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.parts.piece import LengthPart

SQUARE = "40 x 40 x 3"


def chords(section: str = SQUARE) -> list[dict[str, Any]]:
    return [
        tube("C1", (0, 0, 0), (1000, 0, 0), section=section),
        tube("C2", (1000, 0, 0), (2000, 0, 0), section=section),
    ]


def post(section: str = SQUARE, lean: float = 0.0, **keys: Any) -> dict[str, Any]:
    return tube("P", (1000, 0, 0), (1000 + lean, 0, 600), section=section, **keys)


def made(*tubes: dict[str, Any], **tables: Any) -> dict[str, LengthPart]:
    return dict(checked(definitions(tables.pop("job", None), tube=list(tubes), **tables)).tubes)


def said(*tubes: dict[str, Any], **tables: Any) -> set[str]:
    found = findings(checked(definitions(tables.pop("job", None), tube=list(tubes), **tables)))
    return {each.rule for each in found if each.level != "note"}


def sits(part: LengthPart) -> list[list[str]]:
    return [[joint.onto for joint in end.joints] for end in part.ends]


@pytest.mark.parametrize("style", ["run on", "mitred"])
@pytest.mark.parametrize("order", [1, -1])
def test_the_post_runs_through(order: int, style: str) -> None:
    """Chords of 1000 begin at the post's faces, 20 from its middle; it runs on by half a chord."""
    tubes = [*chords(), post()][::order]
    parts = made(*tubes, job={"corners": style})
    assert sits(parts["C1"]) == [[], ["P"]]
    assert sits(parts["C2"]) == [["P"], []]
    assert sits(parts["P"]) == [[], []]
    assert [parts[mark].length for mark in ("C1", "C2", "P")] == pytest.approx([980.0, 980.0, 620.0])
    assert said(*tubes, job={"corners": style}) == set()


def test_a_truss_drawn_bay_by_bay_needs_no_word() -> None:
    """Three bays of 600 with diagonals of a lighter tube; the outer corners are plain ones."""
    low = [(x, 0.0, 0.0) for x in (0.0, 600.0, 1200.0, 1800.0)]
    high = [(x, 0.0, 500.0) for x, _, _ in low]
    tubes = [tube(f"B{i}", a, b, section=SQUARE) for i, (a, b) in enumerate(pairwise(low), 1)]
    tubes += [tube(f"T{i}", a, b, section=SQUARE) for i, (a, b) in enumerate(pairwise(high), 1)]
    tubes += [tube(f"P{i}", a, b, section=SQUARE) for i, (a, b) in enumerate(zip(low, high, strict=True), 1)]
    tubes += [tube(f"D{i}", low[i - 1], high[i], section="30 x 30 x 3") for i in range(1, 4)]
    assert said(*tubes) <= {"shallow-cope", "weld-access"}
    parts = made(*tubes)
    assert parts["P2"].length == parts["P3"].length == pytest.approx(540.0)
    assert parts["B2"].length == parts["T2"].length == pytest.approx(560.0)


@pytest.mark.parametrize(
    ("tubes", "tables"),
    [
        # a post narrower than the chords is no seat for them
        ([*chords(), post("30 x 30 x 3")], {}),
        ([*chords("48.3 x 3.2"), post("33.7 x 2.6")], {}),
        # a flat diagonal parts none
        ([*chords(), post(lean=620.0)], {}),
        # a cross of four in two straight lines: no post
        ([*chords(), post(), tube("Q", (1000, 0, 0), (1000, 0, -600), section=SQUARE)], {}),
        # the job names a chord to run on
        ([*chords(), post()], {"node": [{"at": [1000, 0, 0], "runs": "C1"}]}),
        # drawn as it is to be
        ([*chords(), post()], {"job": {"corners": "as drawn"}}),
    ],
)
def test_where_nothing_can_run_through_it_is_asked(tubes: list[dict[str, Any]], tables: dict[str, Any]) -> None:
    assert "splice" in said(*tubes, **tables)


def test_a_post_named_to_run_on_is_one_however_narrow() -> None:
    parts = made(*chords(), post("30 x 30 x 3"), node=[{"at": [1000, 0, 0], "runs": "P"}])
    assert sits(parts["C1"])[1] == sits(parts["C2"])[0] == ["P"]


@pytest.mark.parametrize(
    "tubes",
    [
        # a splice that the job confirms carries the post
        [chords()[0] | {"finish": {"splice": "welded"}}, chords()[1], post()],
        # a wider post, two of them from either side of the chords' plane
        [*chords(), post("60 x 60 x 3")],
    ],
)
def test_what_only_looks_wrong(tubes: list[dict[str, Any]]) -> None:
    assert "splice" not in said(*tubes)


@pytest.mark.parametrize(("degrees", "through"), [(45.45, True), (44.55, False)])
def test_a_post_at_less_than_45_degrees_does_not_part_chords(degrees: float, through: bool) -> None:
    lean = 600.0 / math.tan(math.radians(degrees))
    assert (sits(made(*chords(), post(lean=lean))["C1"])[1] == ["P"]) is through


@pytest.mark.parametrize(("size", "through"), [(39.6, False), (40.0, True), (40.4, True)])
def test_a_post_as_wide_as_the_chords(size: float, through: bool) -> None:
    assert (sits(made(*chords(), post(f"{size} x {size} x 3"))["C1"])[1] == ["P"]) is through
