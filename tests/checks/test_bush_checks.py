"""Bushes: what is wrong is spoken of, what only looks so is not; limits one per cent inside and outside."""

from __future__ import annotations

import pytest
from faulty_bushes import BOLTED, FAULTY, PLAIN, PLATE, RIGHT, bush_job, holed
from jobs import checked, findings

from fabgen.checks.bushes import RULES


def told(keys: str, parts: str) -> list[tuple[str, str]]:
    return [(each.rule, str(each.level)) for each in findings(checked(bush_job(keys, parts)), RULES)]


@pytest.mark.parametrize(("keys", "parts", "rule", "level"), FAULTY)
def test_a_fault_is_spoken_of(keys: str, parts: str, rule: str, level: str) -> None:
    assert told(keys, parts) == [(rule, level)]


@pytest.mark.parametrize(("keys", "parts"), RIGHT)
def test_what_only_looks_wrong_is_left_alone(keys: str, parts: str) -> None:
    assert told(keys, parts) == []


@pytest.mark.parametrize(
    ("inside", "outside", "fit"),
    [
        (30.0 + 0.99, 30.0 + 1.01, "weld"),
        (30.0 - 0.0495, 30.0 - 0.0505, "press"),
        (30.0 + 0.0495, 30.0 + 0.0505, "press"),
        (30.0 + 0.495, 30.0 + 0.505, "slip"),
        (0.8888 * 30.0, 0.8712 * 30.0, "rubber"),
    ],
)
def test_the_limits_of_a_hole(inside: float, outside: float, fit: str) -> None:
    assert told(f'fit = "{fit}"', holed(inside)) == []
    assert [rule for rule, _ in told(f'fit = "{fit}"', holed(outside))] == ["bush-hole"]


@pytest.mark.parametrize(("inside", "outside"), [(40.099, 40.101), (39.505, 39.495)])
def test_the_limits_of_a_crush_tube(inside: float, outside: float) -> None:
    assert told(f'length = {inside}\nbetween = "C1"', BOLTED) == []
    assert told(f'length = {outside}\nbetween = "C1"', BOLTED) == [("bush-length", "stop")]


def test_the_limits_of_a_pressed_seat_and_of_what_stands_out() -> None:
    assert told('fit = "press"', PLATE.format(7.575, "")) == []
    assert told('fit = "press"', PLATE.format(7.425, "")) == [("bush-seat", "warn")]
    assert told("proud = 29.7", PLATE.format(10, "")) == []
    assert told("proud = 30.3", PLATE.format(10, "")) == [("bush-length", "warn")]


def test_a_finding_gives_both_figures_and_what_to_do() -> None:
    (each,) = findings(checked(bush_job("", holed(29.5))), RULES)
    assert each.text == "the hole in P1 is 29.5 mm and the bush 30 mm: it does not go in: a hole of 30.3 mm"


def test_the_limits_of_a_bore() -> None:
    """M16: 16 mm goes through a bore of 16.16, not of 15.84; ISO 273 coarse is 18.5, so 18.68 rattles."""

    def bored(bore: float) -> list[tuple[str, str]]:
        return told(f'section = "30 x {(30 - bore) / 2:.4f}"\nbolt = "M16"', PLAIN)

    assert bored(16 * 1.01) == []
    assert bored(16 * 0.99) == [("bush-bore", "stop")]
    assert bored(18.5 * 0.99) == []
    assert bored(18.5 * 1.01) == [("bush-bore", "warn")]
