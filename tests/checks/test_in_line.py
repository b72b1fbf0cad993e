"""Tubes that lie in one another along one line: their skins coincide, so they were silent."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from jobs import checked, findings, tube, tubes_text

from fabgen.checks.registry import run_checks
from fabgen.checks.tube.clashes import tubes_cross

SQUARE = "40 x 40 x 3"
MAIN = tube("A", (0, 0, 0), (1000, 0, 0), section=SQUARE)
BENT = tube("A", (0, 0, 0), (1000, 0, 0), (1000, 0, 500), section="40 x 2", bend_radius=100)


def stop(*tubes: dict[str, Any], **job: Any) -> str:
    said = findings(checked(tubes_text(*tubes, **job)), (tubes_cross,))
    assert len(said) <= 1
    assert all(finding.is_stop for finding in said)
    return said[0].text if said else ""


@pytest.mark.parametrize(
    ("one", "other", "over"),
    [
        (MAIN, tube("B", (900, 0, 0), (2000, 0, 0), section=SQUARE), "100 mm"),
        (MAIN, tube("B", (2000, 0, 0), (940, 0.4, 0), section=SQUARE), "60 mm"),  # drawn the other way, a little off
        (MAIN, tube("B", (0, 0, 0), (1000, 0, 0), section=SQUARE), "1000 mm"),  # pasted twice
        (MAIN, tube("B", (1000, 0, 0), (0, 0, 0), section=SQUARE), "1000 mm"),
        (MAIN, tube("B", (300, 0, 0), (700, 0, 0), section=SQUARE), "400 mm"),
        (MAIN, tube("B", (-300, 0, 0), (1300, 0, 0), section=SQUARE), "1000 mm"),
        (MAIN, tube("B", (900, 0, 0), (2000, 0, 0), section=SQUARE, turn=90), "100 mm"),
        (MAIN, tube("B", (900, 0, 0), (2000, 0, 0), section="30 x 30 x 2"), "100 mm"),
        (BENT, tube("B", (800, 0, 0), (200, 0, 0), section="40 x 2"), "600 mm"),
        (BENT, BENT | {"mark": "B"}, "900 mm"),
    ],
)
def test_it_speaks_of(one: dict[str, Any], other: dict[str, Any], over: str) -> None:
    assert f"lies in A over {over}, both in one line: " in stop(one, other)


@pytest.mark.parametrize(
    "other",
    [
        tube("B", (1000, 0, 0), (2000, 0, 0), section=SQUARE),  # end to end: a splice, told elsewhere
        tube("B", (1300, 0, 0), (2000, 0, 0), section=SQUARE),  # in line, apart
        tube("B", (900, 40, 0), (2000, 40, 0), section=SQUARE),  # lapped beside it
        tube("B", (900, 0, 0), (1100, 0, 0), section="33.7 x 2.6"),  # drawn below as a sleeve
    ],
)
def test_it_is_silent_on(other: dict[str, Any]) -> None:
    if other["section"] == "33.7 x 2.6":
        one = tube("A", (0, 0, 0), (1000, 0, 0), section="42.4 x 2.6", finish={"splice": "sleeved"})
        following = tube("C", (1000, 0, 0), (2000, 0, 0), section="42.4 x 2.6")
        assert stop(one, following, other | {"sleeve_of": ["A", "C"]}) == ""
    else:
        assert stop(MAIN, other) == ""


@pytest.mark.parametrize(("into", "speaks"), [(0.99, False), (1.01, True)])
def test_one_millimetre_is_the_limit(into: float, speaks: bool) -> None:
    assert bool(stop(MAIN, tube("B", (1000 - into, 0, 0), (2000, 0, 0), section=SQUARE))) is speaks


@pytest.mark.parametrize(("section", "how"), [("42.4 x 2.6", "sleeved"), (SQUARE, "welded"), ("30 solid", "welded")])
def test_what_it_says_to_write_clears_it(section: str, how: str) -> None:
    one, other = (
        tube("A", (0, 0, 0), (1000, 0, 0), section=section),
        tube("B", (900, 0, 0), (2000, 0, 0), section=section),
    )
    said = stop(one, other)
    point = re.search(r"the point of the start of B to (\[.*?\]), where A ends", said)
    assert point is not None, said
    assert said.endswith(f'add `finish = {{ splice = "{how}" }}` in the table of A'), said
    moved = other | {"route": [json.loads(point[1]), other["route"][1]]}
    after = run_checks(checked(tubes_text(one | {"finish": {"splice": how}}, moved)))
    assert not {finding.rule for finding in after} & {"tubes-cross", "splice"}


def test_one_that_lies_in_another_all_along_is_left_out_or_moved() -> None:
    said = stop(MAIN, tube("B", (0, 0, 0), (1000, 0, 0), section=SQUARE))
    assert "both are all of it, so leave B out, or `offset = [" in said
    offset = re.search(r"`offset = (\[.*?\])` in the table of B", said)
    assert offset is not None
    assert stop(MAIN, tube("B", (0, 0, 0), (1000, 0, 0), section=SQUARE, offset=json.loads(offset[1]))) == ""


def test_in_inches() -> None:
    said = stop(
        tube("A", (0, 0, 0), (40, 0, 0), section="1 x 1 x 1/8"),
        tube("B", (36, 0, 0), (80, 0, 0), section="1 x 1 x 1/8"),
        units="in",
    )
    assert '4" [101.6 mm], both in one line: set the point of the start of B to [40, 0, 0]' in said
