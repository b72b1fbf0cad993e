"""Straps: what is wrong is spoken of, what only looks so is not; limits one per cent inside and outside."""

from __future__ import annotations

import math

import pytest
from faulty_straps import BOLTED, FAULTY, RIGHT, SQUARE, TUBE, strap_job
from jobs import checked, findings

from fabgen.checks.sheet.straps import RULES
from fabgen.job.errors import JobError
from fabgen.shop.bending.bend_radii import least_radius


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


def placed(at: str, along: str = "[0, 1, 0]", up: str = "[1, 0, 0]") -> list[str]:
    place = f"place = {{ at = {at}, along = {along}, up = {up} }}"
    return [rule for rule, _ in told(f"{BOLTED}squeeze = 3\n{place}")]


@pytest.mark.parametrize(
    ("at", "along", "up"),
    [
        ("[450, 0, 400]", "[0, 1, 0]", "[1, 0, 0]"),  # in the air above it
        ("[450, 40, 0]", "[0, 1, 0]", "[1, 0, 0]"),  # beside it
        ("[450, 0, 0]", "[1, 0, 0]", "[0, 0, 1]"),  # across it
        ("[950, 0, 0]", "[0, 1, 0]", "[1, 0, 0]"),  # past its end
        ("[450, 0, 0]", "[0, 1, 0]", "[10, 0, 2]"),  # askew
    ],
)
def test_a_strap_that_does_not_stand_on_its_tube(at: str, along: str, up: str) -> None:
    assert placed(at, along, up) == ["strap-off"]


def test_a_strap_that_only_seems_to_stand_off_its_tube() -> None:
    assert placed("[450, 0, 0]", up="[-1, 0, 0]") == []  # seen from the other end
    assert placed("[450, 0, 0]", "[0, 0, -1]") == []  # its ears down
    assert told(f"{BOLTED}round = 60.3\nplace = {{ at = [450, 0, 400], along = [0, 1, 0], up = [1, 0, 0] }}") == []


def test_the_limits_of_a_strap_beside_its_tube() -> None:
    """Two millimetres and half of its gap of 3, and five degrees."""
    assert placed(f"[450, 0, {3.5 * 0.99}]") == []
    assert placed(f"[450, 0, {3.5 * 1.01}]") == ["strap-off"]
    for degrees, wanted in ((4.95, []), (5.05, ["strap-off"])):
        lean = math.tan(math.radians(degrees))
        assert placed("[450, 0, 0]", up=f"[1, 0, {lean}]") == wanted


def test_a_strap_on_a_bent_tube() -> None:
    bent = TUBE.format("S235").replace('route = ["A", "B"]', 'bend_radius = 150\nroute = ["A", "B", [900, 600, 0]]')
    for at, wanted in (("[900, 400, 0]", []), ("[880, 400, 0]", [("strap-off", "warn")])):
        place = f"place = {{ at = {at}, along = [0, 0, 1], up = [0, 1, 0] }}"
        assert told(f"{BOLTED}squeeze = 3\n{place}", bent) == wanted


def test_a_slot_shorter_than_its_hole_is_one_fault_at_its_key() -> None:
    with pytest.raises(JobError, match="key slot: the slot of 9 mm is no longer than its hole for M8 is wide"):
        checked(strap_job(f"{BOLTED}slot = 9")).pieces  # noqa: B018
    assert checked(strap_job(f"{BOLTED}slot = 9.1")).pieces


def test_the_limits_of_the_radius_a_strap_is_rolled_to() -> None:
    """Half of what it goes round is the arc's inside radius, held against the table of least bend radii."""
    least = least_radius(checked(strap_job("round = 60", "")).job.find_material("S235"), 6.0).value

    def rolled(radius: float) -> list[tuple[str, str]]:
        return told(f'round = {2 * radius}\nwidth = 40\nthickness = 6\nshape = "arc"\narc = 90\nends = "plain"', "")

    assert rolled(least * 1.01) == []
    assert rolled(least * 0.99) == [("strap-radius", "stop")]


def test_the_limit_of_rubber() -> None:
    assert told(f"{BOLTED}rubber = {12 * 0.99}") == []
    assert told(f"{BOLTED}rubber = {12 * 1.01}") == [("strap-thick-rubber", "warn")]


def test_the_limit_of_corners_that_hold_a_strap_off() -> None:
    """A corner rounder than that of the rubber, 3, by e stands e (1 - 1 / sqrt 2) off the faces: 2.5 mm."""
    limit = 3.0 + 2.5 / (1.0 - math.sqrt(0.5))
    keys = f"{BOLTED}round = [175, 190]\nrubber = 3\n"
    assert told(f"{keys}corner = {limit * 0.99}", "") == []
    assert told(f"{keys}corner = {limit * 1.01}", "") == [("strap-corners", "warn")]


def test_the_limits_of_rubber_round_a_battery() -> None:
    """A gap round a rectangle is taken up by 8 times what the rubber is squeezed: a tenth to 35 in a hundred."""
    for share, wanted in ((0.099, ["strap-rubber"]), (0.101, []), (0.346, []), (0.354, ["strap-rubber"])):
        keys = f"{BOLTED}round = [175, 190]\nrubber = 3\nsqueeze = {8 * share * 3}"
        assert [rule for rule, _ in told(keys, "")] == wanted


def test_the_limit_of_a_strap_turned_on_its_tube() -> None:
    for degrees, wanted in ((4.95, []), (5.05, [("strap-off", "warn")])):
        lean = math.tan(math.radians(degrees))
        assert told(f"{BOLTED}place = {{ at = [450, 0, 0], along = [0, 1, {lean}], up = [1, 0, 0] }}", SQUARE) == wanted


@pytest.mark.parametrize("before", [TUBE.format("S235"), SQUARE])
def test_the_tube_that_it_goes_round_does_not_run_through_it(before: str) -> None:
    told_all = findings(checked(strap_job(BOLTED + "at = 300", before)))
    assert not [
        each.text for each in told_all if each.rule in ("into-one-another", "tubes-cross") or "S1" in each.marks
    ]
