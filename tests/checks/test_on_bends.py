"""Straps and brackets where the tube that carries them bends."""

from __future__ import annotations

import math

import pytest
from jobs import checked, findings

from fabgen.checks.rule import Finding
from fabgen.checks.sheet.on_bends import seat_on_bend, strap_bend

RADIUS, WIDTH = 150.0, 48.3
SECTION = f'section = "{WIDTH} x 3.2"\n'
BENT = (
    '[job]\ntitle = "t"\nnumber = "n"\nunits = "mm"\nmaterial = "S235"\n[[tube]]\nmark = "T1"\n'
    f"{SECTION}route = [[0, 0, 0], [600, 0, 0], [600, 0, 600]]\nbend_radius = {RADIUS}\n"
)
BEGINS, LONG = 600.0 - RADIUS, RADIUS * math.pi / 2.0
"""Where the bend begins along the middle, and how long it is."""
MIDDLE = BEGINS + LONG / 2.0


def strap(at: float, keys: str = "", job: str = BENT) -> list[Finding]:
    size = "" if "width =" in keys else "width = 40\n"
    tables = (
        f'{job}[[strap]]\nmark = "S1"\nround = "T1"\nthickness = 3\nbolt = "M8"\near = 40\nat = {at}\n{size}{keys}\n'
    )
    return findings(checked(tables), (strap_bend,))


def seated(
    place: str, rest: str = 'legs = [40, 40]\nlength = 100\nshape = "angle"', table: str = "bracket"
) -> list[Finding]:
    tables = f'{BENT}[[{table}]]\nmark = "B1"\nthickness = 4\n{rest}\nplace = {{ against = "T1", {place} }}\n'
    return findings(checked(tables), (seat_on_bend,))


OUTSIDE = "toward = [900, 0, -300]"
LYING = "rectangle = [100, 40]"


@pytest.mark.parametrize(
    ("told", "levels"),
    [
        (lambda: strap(MIDDLE, "ears_to = 'left'"), ["stop"]),
        (lambda: strap(BEGINS + 5.0), ["stop"]),  # partly in it
        (lambda: strap(MIDDLE, "shape = 'saddle'\nears_to = 'left'"), ["warn"]),
        (lambda: seated(f"at = {MIDDLE}, {OUTSIDE}"), ["warn"]),
        (lambda: seated(f"at = {MIDDLE}, {OUTSIDE}", LYING, "plate"), ["warn"]),
        (lambda: seated(f'at = {MIDDLE}, {OUTSIDE}, stands_on = "bottom"', LYING, "plate"), ["warn"]),
        (lambda: seated(f'at = {BEGINS + 30}, side = "bottom"', LYING, "plate"), ["warn"]),  # partly in it
    ],
)
def test_what_is_straight_does_not_follow_a_bend(told, levels) -> None:  # type: ignore[no-untyped-def]
    assert [str(each.level) for each in told()] == levels


@pytest.mark.parametrize(
    "told",
    [
        lambda: strap(300.0),
        lambda: strap(MIDDLE, "width = 10\nears_to = 'left'"),  # narrow
        lambda: strap(MIDDLE, "rubber = 5\nsqueeze = 6\nears_to = 'left'"),  # its rubber takes it
        lambda: seated('at = 200, side = "bottom"'),
        lambda: seated(f"at = {MIDDLE}, {OUTSIDE}, turn = 90", LYING.replace("40", "25"), "plate"),  # across the tube
        lambda: seated(f'at = {MIDDLE}, {OUTSIDE}, stands_on = "bottom", turn = 90', LYING, "plate"),
        lambda: seated(f'at = {BEGINS - 10}, side = "bottom"', LYING, "plate"),  # most of it on the straight
        lambda: seated(f'at = {MIDDLE}, side = "left"', "rectangle = [30, 30]", "plate"),  # the bend's flat side
    ],
)
def test_what_only_looks_bent(told) -> None:  # type: ignore[no-untyped-def]
    assert told() == []


def test_the_limit_of_a_band_is_one_per_cent_of_the_tube() -> None:
    """An arc of 150 mm radius leaves its tangent by r - sqrt(r2 - (b / 2)2) within a width of b, here along the arc."""
    half = RADIUS * math.acos(1.0 - 0.01 * WIDTH / RADIUS)
    for share, wanted in ((0.99, 0), (1.01, 1)):
        keys = f"width = {2.0 * half * math.sqrt(share)}\nears_to = 'left'"
        assert len(strap(MIDDLE, keys)) == wanted


def test_a_band_is_told_where_it_clears_the_bend() -> None:
    (told,) = strap(MIDDLE, "ears_to = 'left'")
    low, high = BEGINS - 20.0, BEGINS + LONG + 20.0
    assert f"{math.floor(low * 10) / 10:g} mm or less, or {math.ceil(high * 10) / 10:g} mm or more" in told.text
    for at, wanted in ((low - 0.1, []), (high + 0.1, [])):
        assert strap(at, "ears_to = 'left'") == wanted


def test_how_far_a_bracket_stands_off_at_its_ends() -> None:
    """Its ends, 50 mm to either side, are sqrt(R2 - 502) from where the skin's circle of R has its top."""
    outer = RADIUS + WIDTH / 2.0
    off = outer - math.sqrt(outer**2 - 50.0**2)
    touching = 2.0 * math.sqrt(outer**2 - (outer - 1.0) ** 2)
    (told,) = seated(f"at = {MIDDLE}, {OUTSIDE}")
    assert f"only {touching:.0f} mm of its 100 mm along T1 touch" in told.text
    assert f"{off:.1f} mm off at its ends" in told.text


def test_the_limit_of_a_seat_on_a_bend() -> None:
    """Half of it touches, within a weld's gap of 1 mm."""
    outer = RADIUS + WIDTH / 2.0
    limit = 4.0 * math.sqrt(outer**2 - (outer - 1.0) ** 2)
    for share, wanted in ((0.98, 0), (1.02, 1)):
        told = seated(f"at = {MIDDLE}, {OUTSIDE}", f"rectangle = [{limit * share}, 40]", "plate")
        assert len(told) == wanted
