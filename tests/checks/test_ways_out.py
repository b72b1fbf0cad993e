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


@pytest.mark.parametrize(
    "branch",
    [
        tube("B", (500, 0, 0), (500, 500, 0)),  # on its main's axis: coped
        tube("B", (200, 48.3, 0), (900, 48.3, 0)),  # against it: a lap
    ],
)
def test_silent(branch: dict[str, Any]) -> None:
    assert stop(MAIN, branch) == ""
