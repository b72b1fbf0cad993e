"""bolt-tool: a socket or an open spanner goes on to head and nut, and turns one of them."""

from __future__ import annotations

import math
from typing import Any

import pytest
from faulty_bolt_lines import ONE, TWO, UNREACHED, Tables, bolt, lid, plate, rail, wall
from jobs import checked, definitions, findings

from fabgen.checks.bolt.bolt_tools import RULES
from fabgen.contact.tools.tool_rooms import _jaws
from fabgen.shop.threaded.spanners import spanner

TOOL = spanner(16.0)
"""Of M10."""


def told(tables: Tables) -> list[str]:
    job = checked(definitions(**tables), planned=True)
    return [f"{each.level}: {each.text}" for each in findings(job, RULES)]


def near(*plates: dict[str, Any], **more: Any) -> Tables:
    return {"plate": [ONE, TWO, *plates], "bolt": [bolt("P2", "P1")]} | more


@pytest.mark.parametrize(("tables", "words"), UNREACHED)
def test_what_no_tool_turns_is_told(tables: Tables, words: str) -> None:
    (text,) = told(tables)
    assert text.startswith(words)


SILENT: dict[str, Tables] = {
    "in the open": near(),
    "a wall that a socket clears": near(wall(42, 12, 60)),
    "a wall 10 mm from its middle, a spanner from the open side": near(wall(40, 12, 60)),
    "a wall beside both, 15 mm from the middle of M10, no socket": near(
        wall(45, 12, 40), lid(40, "V"), wall(45, -28, 0, "YY"), lid(-33, "VV")
    ),
    "a lid over its head, the nut in the open and room for a spanner": near(lid(32)),
    "lids over both, room for spanners between": near(lid(40), lid(-40, "V")),
    "a wall at its head, a socket on the nut and a spanner beside the wall": near(wall(50, 12, 60), lid(75, "V")),
    "another bolt beside it, a socket apart": {
        "plate": [plate("P1", 0, (30.0, 30.0), (54.0, 30.0)), plate("P2", 6, (30.0, 30.0), (54.0, 30.0))],
        "bolt": [bolt("P2", "P1", quantity=2)],
    },
}


@pytest.mark.parametrize("name", SILENT)
def test_what_a_tool_turns_is_not_told(name: str) -> None:
    assert told(SILENT[name]) == []


@pytest.mark.slow
@pytest.mark.parametrize(("share", "speaks"), [(0.99, True), (1.01, False)])
def test_a_socket_s_outside_less_what_points_are_measured_to(share: float, speaks: bool) -> None:
    """Walls on both sides keep a spanner off; the limit is half a socket of 23 mm less 0.5."""
    assert TOOL is not None
    away = (TOOL.socket / 2.0 - 0.5) * share
    assert bool(told(near(wall(30 + away, 12, 60), wall(25 - away, 12, 60, "X")))) == speaks


@pytest.mark.slow
@pytest.mark.parametrize(("share", "speaks"), [(0.99, True), (1.01, False)])
def test_a_spanner_s_head_less_what_points_are_measured_to(share: float, speaks: bool) -> None:
    """Between walls, a lid keeps a socket off; the limit is half a head of 35 mm less 0.5."""
    assert TOOL is not None
    away = (TOOL.head / 2.0 - 0.5) * share
    assert bool(told(near(wall(30 + away, 12, 40), wall(25 - away, 12, 40, "X"), lid(40, "V")))) == speaks


def test_jaws_reach_as_far_past_the_middle_as_they_do() -> None:
    """By hand: a disc of 17 mm less what lies beyond x = -8: its tips at (-8, +-15)."""
    mesh = _jaws(17.0, 8.0, 6.0).mesh
    low, high = mesh.bounds
    assert low == pytest.approx([-8.0, -17.0, -3.0], abs=0.1)
    assert high == pytest.approx([17.0, 17.0, 3.0], abs=0.1)
    tips = mesh.vertices[mesh.vertices[:, 0] < -7.99]
    assert abs(tips[:, 1]).max() == pytest.approx(15.0)


@pytest.mark.slow
@pytest.mark.parametrize(("swing", "speaks"), [(29.7, True), (30.3, False)])
def test_a_spanner_swings_by_thirty_degrees(swing: float, speaks: bool) -> None:
    """Its handle, 0.8 of the head's 6.4 mm thick, between rails 18.5 mm off, against the ends of both: square to it the
    end of a rail lies 18.5 cos - before sin away."""
    half = math.radians(swing / 2.0)
    before = (18.5 * math.cos(half) - 0.8 * 6.4 / 2.0) / math.sin(half)
    at_head = [rail(48.5, 12, before=before), rail(11.5, 12, "Z", before), lid(40, "V")]
    at_nut = [rail(48.5, -28, "YY"), rail(11.5, -28, "ZZ"), lid(-33, "VV")]
    assert bool(told(near(*at_head, *at_nut))) == speaks


def test_sizes_go_up_with_the_hexagon() -> None:
    sizes = [spanner(across) for across in (7, 10, 13, 14.3, 16, 18, 24, 30, 46)]
    assert all(each is not None and each.socket < each.head < each.length for each in sizes)
    assert [each.socket for each in sizes if each] == sorted(each.socket for each in sizes if each)
    assert spanner(14.3) == spanner(16.0)
    assert spanner(46.1) is None
