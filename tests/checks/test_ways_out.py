"""What a STOP for tubes that run into one another says to write clears it."""

import json
import re
from typing import Any

import pytest
from jobs import checked, findings, tube, tubes_text

from fabgen.checks.tube.clashes import tubes_cross

MAIN = tube("M", (0, 0, 0), (1000, 0, 0))
HOOP = tube("H", (0, 500, 0), (0, 500, 1000), (0, -500, 1000), (0, -500, 0), section="45 x 2.5", bend_radius=135)


def stop(*tubes: dict[str, Any]) -> str:
    said = [finding.text for finding in findings(checked(tubes_text(*tubes)), (tubes_cross,))]
    assert len(said) <= 1
    return said[0] if said else ""


def followed(text: str, table: dict[str, Any]) -> dict[str, Any]:
    """The table with what the finding says to write."""
    if (move := re.search(r"`offset = (\[.*?\])`", text)) is not None:
        return table | {"offset": json.loads(move[1])}
    if (onto := re.search(r'`(start|finish) = \{ onto = \["(\w+)"\] \}`', text)) is not None:
        return table | {onto[1]: {"onto": [onto[2]]}}
    point = re.search(r"the point of the (start|finish) of \w+ to (\[.*?\])", text)
    assert point is not None, text
    route = list(table["route"])
    route[0 if point[1] == "start" else -1] = json.loads(point[2])
    return table | {"route": route}


@pytest.mark.parametrize(
    ("main", "branch"),
    [
        (HOOP, tube("B", (-300, 0, 1000), (300, 0, 1000))),  # across the top of a hoop, on its axis
        (HOOP, tube("B", (-300, 0, 1020), (300, 0, 1020))),  # 20 off it
        (HOOP, tube("B", (-300, 460, 960), (300, 460, 960))),  # through the bend
        (HOOP, tube("B", (0, 570, 900), (0, -800, 900))),  # past a leg by 70
        (MAIN, tube("B", (500, -60, 0), (500, 500, 0))),  # past its main by 60, more than an end that reaches it
        (MAIN, tube("B", (200, 20, 10), (900, 20, 10))),  # side by side, 26 into one another
        (MAIN, tube("B", (500, 0, 0), (500, 500, 0), start={"cut": "plain", "extend": 10})),
    ],
)
def test_what_it_says_to_write_clears_it(main: dict[str, Any], branch: dict[str, Any]) -> None:
    said = stop(main, branch)
    assert "mm deep, and neither is coped onto the other there: " in said
    assert stop(main, followed(said, branch)) == ""


def test_many_crossings_are_one_finding_and_either_of_its_lines_clears_them() -> None:
    """Two rails through the tops of two hoops, at 5 over their axes; the rails are listed first."""
    hoops = [HOOP, HOOP | {"mark": "G", "route": [[600, y, z] for _, y, z in HOOP["route"]]}]
    rails = [
        tube(mark, (-300, y, 1005.05), (900, y, 1005.05), section="33.7 x 2.6") for mark, y in (("A", 200), ("B", -200))
    ]
    said = stop(*rails, *hoops)
    # Half of 33.7 and half of 45, of which they are 5.05 apart already.
    assert said.startswith(
        "4 crossings at which neither tube is coped onto the other (A through H 34.3 mm deep, A through G 34.3 mm deep"
    )
    assert '`crossings = "cut"` in the tables of A and B cuts them in pieces that sit on what they cross, or' in said
    assert '`offset = ["0 mm", "0 mm", "34.3 mm"]` in the tables of A and B moves them clear' in said
    assert stop(*(each | {"crossings": "cut"} for each in rails), *hoops) == ""
    assert stop(*(followed(said, each) for each in rails), *hoops) == ""


def test_a_rail_that_was_moved_already_is_moved_on() -> None:
    rail = tube("B", (-300, 0, 990.05), (300, 0, 990.05), offset=[0, 0, 20])
    said = stop(HOOP, rail)
    assert "36.6 mm deep" in said
    assert '`offset = ["0 mm", "0 mm", "56.6 mm"]` in the table of B' in said
    assert stop(HOOP, followed(said, rail)) == ""


def test_a_drilled_rail_is_not_advised_to_be_cut_nor_one_between_two_to_be_moved() -> None:
    drilled = tube("B", (-300, 0, 1000), (300, 0, 1000), holes=[{"at": 100, "diameter": 8, "side": "top"}])
    assert "crossings" not in stop(HOOP, drilled)
    assert "moves it clear" in stop(HOOP, drilled)
    between = [tube(mark, (x, -300, z), (x, 300, z)) for mark, x, z in (("A", 100, -0.2), ("C", 400, 0.2))]
    said = stop(*between, tube("B", (0, 0, 0), (600, 0, 0)))
    assert "crossings" in said
    assert "offset" not in said


@pytest.mark.parametrize(
    "branch",
    [
        tube("B", (500, 0, 0), (500, 500, 0)),  # on its main's axis: coped
        tube("B", (200, 48.3, 0), (900, 48.3, 0)),  # against it: a lap
    ],
)
def test_silent(branch: dict[str, Any]) -> None:
    assert stop(MAIN, branch) == ""


def test_an_end_that_is_written_plain_is_moved_onto_nothing() -> None:
    """The other tube's end is as near and may be."""
    past = tube("B", (500, -60, 0), (500, 500, 0), start={"cut": "plain"})
    said = stop(MAIN, past)
    assert "neither is coped onto the other there: " in said
    assert "point of the start of B" not in said
    assert stop(MAIN, followed(said, past)) == ""
    assert "point of the start of B" in stop(MAIN, past | {"start": {}})
