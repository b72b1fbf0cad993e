"""Bolts that go along a tube's bore, and through bushes: the stack has their true faces."""

from __future__ import annotations

from typing import Any

import pytest
from faulty_bolt_lines import bolt
from jobs import checked, definitions, findings, pieces_of, tube

from fabgen.checks.bolt import bolt_lines, bolts, pivot_bores
from fabgen.checks.open_ends import open_tube_ends
from fabgen.parts.shape.bored.passages import passages
from fabgen.plan.plan import BoltStack

CLEVIS: dict[str, Any] = {
    "mark": "B", "shape": "clevis", "thickness": 4, "gap": 71, "length": 40, "height": 45, "bolt": "M16",
    "fit": "close", "material": "S235", "place": [{"at": [0, 0, 0]}],
}  # fmt: skip


def middle() -> tuple[float, float, float]:
    """The middle of the clevis's bolt."""

    (piece,) = pieces_of(definitions(bracket=[CLEVIS]))
    one, other = passages(piece)
    x, y, z = (one.centre + other.centre) / 2.0
    return float(x), float(y), float(z)


def pivot(long: float = 70.0, section: str = "tube 30 x 7", up: float = 0.0, **keys: Any) -> dict[str, Any]:
    x, y, z = middle()
    ends = {"start": {"cut": "plain"}, "finish": {"cut": "plain"}}
    return tube("E", (x, y - long / 2, z + up), (x, y + long / 2, z + up), section=section, **(ends | keys))


def stack(**tables: Any) -> BoltStack:
    (found,) = checked(definitions(**tables), planned=True).plan.bolts
    return found


def told(**tables: Any) -> list[str]:
    """What is said of the bolt."""
    of = checked(definitions(**tables), planned=True)
    rules = (*bolt_lines.RULES, *bolts.BOLT_RULES, *pivot_bores.RULES)
    return [f"{each.level}: {each.text}" for each in findings(of, rules) if "thread" not in each.text]


ALONG = {"bolt": [bolt("B", "E", "B", thread="M16", nut="lock", pivot=True)], "bracket": [CLEVIS]}


def test_a_pivot_tube_counts_with_its_length() -> None:
    found = stack(tube=[pivot()], **ALONG)
    assert [(layer.name, layer.thickness) for layer in found.layers] == [
        ("B", 4.0), ("E", 70.0), ("free in B", pytest.approx(1.0)), ("B", 4.0),
    ]  # fmt: skip
    (line,) = found.lines
    assert [(seat.begins, seat.ends) for seat in line.seats] == [
        pytest.approx((0.0, 4.0)), pytest.approx((4.5, 74.5)), pytest.approx((75.0, 79.0)),
    ]  # fmt: skip
    assert told(tube=[pivot()], **ALONG) == []


def test_beside_what_has_no_place_it_is_known_by_its_bore() -> None:
    """Inches: a tube of 1 1/4 x 3/8 in has a bore for a bolt of 1/2 in; one of 2 x 1/8 in has not."""
    for section, thick, along in (("1.25 x 0.375 in", 76.2, True), ("2 x 0.125 in", 50.8, False)):
        given = tube("E", (0, 0, 0), (3, 0, 0), section=section)
        found = stack(job={"units": "in"}, tube=[given], bolt=[bolt(0.25, "E", thread="1/2-13 UNC")])
        assert (found.layers[1].thickness, found.layers[1].along) == (pytest.approx(thick), along)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (pivot(section="tube 30 x 8"), "stop: E has no hole that lets M16 through: drill 17 mm"),
        (pivot(up=8.0), "stop: out of line, so it does not pass: "),
        (pivot(long=60.0), "warn: 11 mm of play in the gap of 71 mm in B"),
        (pivot(long=80.0), "stop: 80 mm does not go into the gap of 71 mm in B"),
        (
            tube("E", (-35, 0, 25), (35, 0, 25), section="tube 30 x 7"),
            "stop: has no axis: no hole of B looks the way of one of E",
        ),
    ],
)
def test_five_that_are_wrong(given: dict[str, Any], said: str) -> None:
    assert any(each.startswith(said) for each in told(tube=[given], **ALONG)), told(tube=[given], **ALONG)


@pytest.mark.parametrize(
    "given",
    [
        pivot(section="tube 30 x 6", long=70.5),  # two millimetres of room in the bore
        pivot(section="30 x 30 x 7"),
    ],
)
def test_two_that_only_look_wrong(given: dict[str, Any]) -> None:
    assert told(tube=[given], **ALONG) == []


@pytest.mark.parametrize(("share", "passes"), [(0.99, True), (1.01, False)])
def test_the_limit_is_the_room_in_the_bore_and_the_holes(share: float, passes: bool) -> None:
    """A bolt of 16, its shank 15.9, in a bore of 18 and holes of 17: 1.05 mm and 0.5 mm of room."""
    off = share * (1.05 + 0.5)
    (line,) = stack(tube=[pivot(section="tube 30 x 6", up=off)], **ALONG).lines
    assert line.in_line == passes


def test_a_tube_that_is_drilled_across_for_it_is_passed_across() -> None:
    holes = [{"at": 35, "side": "top", "bolt": "M16", "both_walls": True}]
    found = stack(tube=[tube("E", (0, 0, 0), (70, 0, 0), section="tube 50 x 15", holes=holes)],
                  bolt=[bolt("E", thread="M16")])  # fmt: skip
    assert [(layer.thickness, layer.along) for layer in found.layers] == [(50.0, False)]


# -- room in a pivot's bore -------------------------------------------------------------------
# ISO 273: 18.5 mm is the coarse series for M16, 1 % inside and outside of it.
@pytest.mark.parametrize(
    ("wall", "size", "speaks"),
    [
        (5.5, 30.0, True),
        (5.0, 34.0, True),
        (4.0, 30.0, True),
        (3.0, 42.4, True),
        ((30 - 18.5 * 1.01) / 2, 30.0, True),
        ((30 - 18.5 * 0.99) / 2, 30.0, False),
        (6.5, 30.0, False),
    ],
)
def test_a_pivot_that_rattles_in_its_tube_is_told(wall: float, size: float, speaks: bool) -> None:
    said = told(tube=[pivot(section=f"tube {size} x {wall:.4f}", long=70.5)], **ALONG)
    assert [each for each in said if "give a [[bush]]" in each] == (said if speaks else [])
    assert bool(said) == speaks


@pytest.mark.parametrize(
    ("section", "speaks"), [("22 x 2.9", False), ("22 x 1", True), ("20 x 1.5", True), ("22.2 x 3", True)]
)
def test_a_bush_that_fills_the_bore_takes_the_play(section: str, speaks: bool) -> None:
    """A bore of 22 and a bolt of 16."""
    bush = {"mark": "U", "section": section, "length": 20, "quantity": 2}
    said = told(tube=[pivot(section="30 x 4", long=70.5)], bush=[bush], **ALONG)
    assert any("give a [[bush]]" in each for each in said) == speaks


def test_a_bolt_on_which_nothing_turns_may_have_room_in_a_tube() -> None:
    still = ALONG | {"bolt": [bolt("B", "E", "B", thread="M16", nut="lock")]}
    assert not any("give a [[bush]]" in each for each in told(tube=[pivot(section="30 x 4", long=70.5)], **still))


# -- bushes -----------------------------------------------------------------------------------
PLATE = {"mark": "P", "thickness": 10, "rectangle": [100, 60], "place": {"at": [0, 0, 0]}}
BUSH = {"mark": "U", "section": "30 x 6", "length": 40}


def test_a_bolt_through_a_bushed_hole_passes_the_bush() -> None:
    """A sheet of 10 whose bush stands 15 proud each side: head and nut press on the bush."""
    plate = PLATE | {"holes": [{"at": [50, 30], "bush": "U"}]}
    found = stack(plate=[plate], bush=[BUSH], bolt=[bolt("P", thread="M16")])
    assert [(layer.mark, layer.thickness) for layer in found.layers] == [("P", 40.0)]
    ear = {"mark": "Q", "thickness": 6, "rectangle": [100, 60], "place": {"at": [0, 0, 25]}}
    ear |= {"holes": [{"at": [50, 30], "bolt": "M16"}]}
    (line,) = stack(plate=[plate, ear], bush=[BUSH], bolt=[bolt("P", "Q", thread="M16")]).lines
    assert [(seat.begins, seat.ends) for seat in line.seats] == [
        pytest.approx((0.0, 40.0)), pytest.approx((40.0, 46.0)),
    ]  # fmt: skip


def test_a_bush_that_the_table_lists_itself_counts_once() -> None:
    plate = PLATE | {"holes": [{"at": [50, 30], "bush": "U"}]}
    found = stack(plate=[plate], bush=[BUSH], bolt=[bolt("U", 6, thread="M16")])
    assert [layer.thickness for layer in found.layers] == [40.0, 6.0]


def plugs(**tables: Any) -> dict[str, int]:
    """Plugs on the shopping list, by what they are for; the note counts as many."""
    of = checked(definitions(**tables), planned=True)
    bought = {str(line.spec): int(line.quantity) for line in of.plan.shopping if line.item == "tube plug"}
    notes = [each.text.split()[0] for each in findings(of, [open_tube_ends])]
    assert notes == ([str(sum(bought.values()))] if bought else [])
    return bought


def test_a_tube_along_which_a_bolt_goes_takes_no_plug() -> None:
    assert plugs(tube=[pivot()], **ALONG) == {}
    assert plugs(tube=[pivot()], bracket=[CLEVIS]) == {"for 30 x 7": 2}  # nothing goes through it
    across = pivot(section="tube 60 x 7", holes=[{"at": 35, "bolt": "M16", "side": "top", "both_walls": True}])
    crossed = [bolt("E", thread="M16", nut="lock")]
    assert plugs(tube=[across], bolt=crossed) == {"for 60 x 7": 2}  # it goes across
