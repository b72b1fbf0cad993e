"""Straps: what is wrong is spoken of, what only looks so is not; limits one per cent inside and outside."""

from __future__ import annotations

import math

import pytest
from faulty_straps import BOLTED, FAULTY, RIGHT, TUBE, strap_job
from jobs import checked, findings

from fabgen.checks.sheet.straps import RULES


def told(keys: str, before: str = TUBE.format("S235")) -> list[tuple[str, str]]:
    return [(each.rule, str(each.level)) for each in findings(checked(strap_job(keys, before)), RULES)]


@pytest.mark.parametrize(("keys", "rule", "level", "before"), FAULTY)
def test_a_fault_is_spoken_of(keys: str, rule: str, level: str, before: str) -> None:
    assert told(keys, before) == [(rule, level)]


@pytest.mark.parametrize(("keys", "before"), RIGHT)
def test_what_only_looks_wrong_is_left_alone(keys: str, before: str) -> None:
    assert told(keys, before) == []


@pytest.mark.parametrize(
    ("key", "limit", "rest", "more"),
    [
        ("squeeze", 0.01 * 60.3 * math.pi, "", 1),
        ("squeeze", 0.35 * 3.0 * 2.0 * math.pi, "rubber = 3\n", -1),
        ("squeeze", 0.1 * 3.0 * 2.0 * math.pi, "rubber = 3\n", 1),
        # Two ears of 4, the gap of 3, two washers of 1.6, a lock nut of 9.5 at most, two threads of 1.25.
        ("bolt_length", None, "", 1),
    ],
)
def test_limits(key: str, limit: float | None, rest: str, more: int) -> None:
    if limit is None:
        from fabgen.shop.threaded.fasteners import nut_height
        from fabgen.shop.threads import parse_thread

        limit = 8.0 + 3.0 + 3.2 + nut_height(parse_thread("M8"), "lock") + 2.5
    assert told(f"{BOLTED}{rest}{key} = {limit * (1 + 0.01 * more)}") == []
    assert len(told(f"{BOLTED}{rest}{key} = {limit * (1 - 0.01 * more)}")) == 1


@pytest.mark.parametrize("thick", [3, 4, 6, 8])
def test_an_ear_that_is_left_out_draws_no_finding(thick: int) -> None:
    keys = f'round = 120\nwidth = 60\nthickness = {thick}\nbolt = "M8"'
    assert not [each.text for each in findings(checked(strap_job(keys, ""))) if each.marks == ("S1",)]
