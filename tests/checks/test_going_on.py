"""A foot past the end of what it sits on: the foot is moved, or, where little is missing, the main goes on."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, tube

from fabgen.checks.checked import Checked
from fabgen.checks.tube.clashes import foot_past_end
from fabgen.checks.tube.ends.missed_ends import past_main_end
from fabgen.checks.tube.going_on import FAR, may_go_on

THICK = "100 x 100 x 4"
POST = tube("S", (0, 0, 0), (0, 0, 900), section=THICK, finish={"cut": "plain"}, start={"cut": "plain"})


def told(job: Checked) -> list[str]:
    return [finding.text for each in (foot_past_end, past_main_end) for finding in each(job)]


def of(*tubes: dict[str, Any], **tables: Any) -> Checked:
    return checked(definitions(tube=list(tubes), **tables))


def brace(height: float, **keys: Any) -> dict[str, Any]:
    return tube("B", (0, 0, height), (700, 0, height + 300), section=THICK, **keys)


def test_a_post_does_not_go_on_far_for_a_brace_that_is_too_high() -> None:
    (text,) = told(of(POST, brace(930)))
    assert "move the foot" in text
    assert "go on" not in text


def test_a_post_does_not_go_on_into_the_floor() -> None:
    for text in told(of(POST, tube("B", (0, 0, 15), (700, 0, 200), section="48.3 x 3.2"))):
        assert "move the foot" in text
        assert "go on" not in text


def test_a_post_goes_on_at_its_top_where_little_is_missing() -> None:
    (text,) = told(of(POST, tube("B", (0, 0, 890), (700, 0, 890), section="48.3 x 3.2")))
    assert "let S go on there" in text
    assert 'extend = "14.2 mm"' in text


def test_a_beam_goes_on_though_it_is_the_lowest() -> None:
    beam = tube("S", (0, 0, 0), (900, 0, 0), section=THICK, finish={"cut": "plain"})
    (text,) = told(of(beam, tube("B", (890, 0, 0), (890, 700, 0), section="48.3 x 3.2")))
    assert "let S go on there" in text


@pytest.mark.parametrize(("past", "goes_on"), [(0.99 * FAR, True), (1.01 * FAR, False)])
def test_so_far_and_no_farther(past: float, goes_on: bool) -> None:
    assert may_go_on(of(POST, brace(500)), "S", "finish", past) == goes_on


@pytest.mark.parametrize(("height", "goes_on"), [(0.99, False), (1.01, True)])
def test_an_end_on_the_floor_is_the_lowest_of_the_job(height: float, goes_on: bool) -> None:
    low = tube("L", (300, 0, -height), (300, 0, 400), section="48.3 x 3.2")
    assert may_go_on(of(POST, brace(500), low), "S", "start", 10.0) == goes_on
