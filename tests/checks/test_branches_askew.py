"""Rectangular branches that lie askew on their mains: the turn that lays them square, at start and finish alike."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from jobs import checked, findings, tube, tubes_text

from fabgen.checks.rule import Finding
from fabgen.checks.tube.ends.cope_sizes import branch_wider

SQUARE = "40 x 40 x 3"


def said(*tubes: dict[str, Any]) -> list[Finding]:
    return findings(checked(tubes_text(*tubes)), [branch_wider])


def posts(first: float, second: float, section: str = SQUARE) -> list[dict[str, Any]]:
    """Two posts 400 apart along y that lean along x by so many degrees."""
    return [
        tube(mark, (0, y, 0), (1000 * math.tan(math.radians(lean)), y, 1000), section=section)
        for mark, y, lean in (("U", 0, first), ("V", 400, second))
    ]


def bar(lean: float, section: str = SQUARE, **keys: Any) -> dict[str, Any]:
    x = 500 * math.tan(math.radians(lean))
    return tube("T", (x, 0, 500), (x, 400, 500), section=section, **keys)


@pytest.mark.parametrize("lean", [7.0, -7.0, 20.0, -20.0])
@pytest.mark.parametrize("back", [False, True])
def test_the_turn_it_gives_lays_a_bar_square_at_both_ends(lean: float, back: bool) -> None:
    cross = bar(lean)
    if back:
        cross["route"] = cross["route"][::-1]
    (finding,) = said(*posts(lean, lean), cross)
    assert finding.text.startswith("2 ends are wider than what they sit on (T start ")
    assert finding.text.endswith("in the table of T turns them to lie square on what carries them")
    turn = re.search(r"`turn = (-?\d+)`", finding.text)
    assert turn is not None, finding.text
    assert abs(float(turn[1])) == abs(lean)
    assert said(*posts(lean, lean), cross | {"turn": float(turn[1])}) == []


def test_an_oblong_bar_on_its_edge_is_laid_flat_and_square_in_one() -> None:
    """40 x 60 on a post of 40 that leans by 10 degrees: its 40 is laid across the post."""
    cross = bar(10.0, "40 x 60 x 3")
    (finding,) = said(*posts(10.0, 10.0), cross)
    turn = re.search(r"`turn = (-?\d+)`", finding.text)
    assert turn is not None, finding.text
    assert said(*posts(10.0, 10.0), cross | {"turn": float(turn[1])}) == []


def test_posts_that_lean_apart_get_no_turn_as_one_end_would_stay_askew() -> None:
    (finding,) = said(*posts(10.0, -10.0), tube("T", (0, 0, 0), (0, 400, 0), section=SQUARE))
    assert "turn =" not in finding.text
    found = re.search(r"its two ends need unlike turns \(T start (-?10)°, T finish (-?10)°\)", finding.text)
    assert found is not None, finding.text
    assert float(found[1]) == -float(found[2])
    assert finding.text.endswith(
        "no one `turn` suits both: turn one of the mains, or take branches no wider than their mains"
    )


def test_where_no_turn_suits_one_end_the_other_has_none_either() -> None:
    """Its finish sits on a pipe of 30."""
    mains = [posts(10.0, 0.0)[0], tube("V", (0, 400, 0), (0, 400, 1000), section="30 x 3")]
    (finding,) = said(*mains, tube("T", (0, 0, 0), (0, 400, 0), section=SQUARE))
    assert "unlike turns" not in finding.text


def test_too_wide_however_it_is_turned() -> None:
    (finding,) = said(*posts(7.0, 7.0), bar(7.0, "50 x 50 x 3"))
    assert "turn =" not in finding.text
    assert finding.text.endswith("take branches no wider than their mains, or wider mains")


@pytest.mark.parametrize(
    "tubes",
    [
        [*posts(7.0, 7.0), bar(7.0, "33.7 x 2.6")],  # a round one has no sides
        [*posts(7.0, 7.0, "60 x 60 x 3"), bar(7.0)],  # askew, and all of it on the face
    ],
)
def test_silent(tubes: list[dict[str, Any]]) -> None:
    assert said(*tubes) == []
