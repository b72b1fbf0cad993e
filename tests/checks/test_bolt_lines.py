"""Bolts where they stand: on the axis of the holes that they go through."""

from __future__ import annotations

from typing import Any

import pytest
from faulty_bolt_lines import ALONE, ALONE_AND_CLEAR, HERE, ONE, SILENT, SPEAKS, TWO, Tables, bolt, plate
from jobs import checked, definitions, findings, tube

from fabgen.checks.bolt import bolt_rooms
from fabgen.checks.bolt.bolt_lines import RULES
from fabgen.checks.bolt.bolts import bolt_hole
from fabgen.plan.plan import BoltStack


def stack(**tables: Any) -> BoltStack:
    (found,) = checked(definitions(**tables), planned=True).plan.bolts
    return found


def told(**tables: Any) -> list[str]:
    """What the rules of this module say of a job."""
    return [f"{each.level}: {each.text}" for each in findings(checked(definitions(**tables), planned=True), RULES)]


# -- the axis --------------------------------------------------------------------------------
def test_a_bolt_stands_on_the_axis_of_its_holes() -> None:
    """Through two plates that lie on one another, from the upper side of the upper one down."""
    (line,) = stack(plate=[ONE, TWO], bolt=[bolt("P2", "P1")]).lines
    assert line.in_line
    assert line.at == pytest.approx([30.0, 30.0, 12.0], abs=0.005)
    assert line.axis == pytest.approx([0.0, 0.0, -1.0])
    assert [(seat.begins, seat.ends) for seat in line.seats] == [pytest.approx((0.0, 6.0)), pytest.approx((6.0, 12.0))]


def test_a_tube_is_passed_through_both_its_walls() -> None:
    """A tube of 40 with a plate on it: 46 mm from head to nut, and no more."""
    post = tube("T", (-100, 30, -20), (200, 30, -20), section="40 x 40 x 3", turn=0, holes=[
        {"at": 130, "side": "top", "bolt": "M10", "both_walls": True}
    ])  # fmt: skip
    found = stack(tube=[post], plate=[ONE], bolt=[bolt("P1", "T")])
    (line,) = found.lines
    assert line.in_line
    assert [(seat.begins, seat.ends) for seat in line.seats] == [pytest.approx((0, 6)), pytest.approx((6, 46))]
    assert found.free == () or abs(found.free[0].free) < 1e-6


@pytest.mark.parametrize("apart", [-240, 240])
def test_of_like_clevises_in_a_row_each_bolt_takes_the_two_ears_of_one(apart: int) -> None:
    """All holes are on one axis: the bolt goes through the near ear, not through that of the next bracket."""
    clevis = {
        "mark": "B", "shape": "clevis", "thickness": 4, "gap": 71, "length": 40, "height": 45, "bolt": "M16",
        "quantity": 2, "material": "S235",
        "place": [{"at": [0.125, 300.1, 300]}, {"at": [0.125, 300.1 + apart, 300]}],
    }  # fmt: skip
    lines = stack(bracket=[clevis], bolt=[bolt("B", "71 mm", "B", thread="M16", quantity=2)]).lines
    assert [[seat.begins for seat in line.seats] for line in lines] == [[0.0, pytest.approx(75.0, abs=1e-6)]] * 2


def test_a_link_between_ears_has_the_axis_of_their_holes() -> None:
    """A rod end between two plates: its ball's middle lies on the axis, its width between them."""
    ears = [
        {
            "mark": mark, "thickness": 6, "rectangle": [60, 60], "holes": [{"at": [30, 30], "bolt": "M12"}],
            "place": {"at": [0, y, 0], "of": [30, 30], "along": [1, 0, 0], "up": [0, 1, 0], "lies": "middle"},
        }
        for mark, y in (("E1", -11.0), ("E2", 11.0))
    ]  # fmt: skip
    link = {"mark": "L", "section": "25.4 x 4", "between": [[0, 0, 0], [400, 0, 0]]}
    link |= {"rod_ends": ["M12 right", "M12 left"]}
    found = stack(plate=ears, link=[link], bolt=[{"thread": "M12", "through": ["E1", "L", "E2"]}])
    (line,) = found.lines
    assert line.in_line
    assert abs(line.axis) == pytest.approx([0.0, 1.0, 0.0])
    moved = link | {"between": [[2, 0, 0], [400, 0, 0]]}
    assert told(plate=ears, link=[moved], bolt=[{"thread": "M12", "through": ["E1", "L", "E2"]}]) == [
        "stop: out of line, so it does not pass: L from the others by 2 mm: move one of them"
    ]


def test_of_two_pairs_on_one_axis_each_has_a_bolt_of_its_own() -> None:
    """Hangers left and right of a vehicle: the holes of a pair may be a hair more out of line than those far apart."""

    def ear(y: float, x: float = 0.0) -> dict[str, Any]:
        return {"at": [x, y, 0], "of": [30, 30], "along": [1, 0, 0], "up": [0, 1, 0], "lies": "middle"}

    one = {"mark": "E1", "thickness": 6, "rectangle": [60, 60], "holes": [{"at": [30, 30], "bolt": "M12"}]}
    one |= {"quantity": 4, "place": [ear(-421.0), ear(-400.0, 0.002), ear(400.0), ear(421.0, 0.002)]}
    found = stack(plate=[one], bolt=[{"thread": "M12", "through": ["E1", "15 mm", "E1"], "quantity": 2}])
    assert [round(line.seats[-1].ends, 3) for line in found.lines] == [27.0, 27.0]


# -- five that speak, and two that only look wrong -----------------------------------------------
@pytest.mark.parametrize(("tables", "said"), SPEAKS)
def test_what_is_wrong_is_told(tables: Tables, said: str) -> None:
    assert [each.replace("warn:", "look:") for each in told(**tables)] == [said]


def test_one_drilled_wall_is_told() -> None:
    """The drill stopped in the tube: the bolt goes no farther."""
    post = tube("T", (-100, 30, -20), (200, 30, -20), section="40 x 40 x 3", turn=0)
    post |= {"holes": [{"at": 130, "side": "top", "bolt": "M10"}]}
    assert told(tube=[post], plate=[ONE], bolt=[bolt("P1", "T")]) == [
        "stop: passes T, which is drilled through one wall only: `both_walls = true` at its hole"
    ]


@pytest.mark.parametrize("tables", SILENT)
def test_what_only_looks_wrong_is_not(tables: Tables) -> None:
    assert told(**tables) == []


@pytest.mark.parametrize(("off", "speaks"), [(1.98, False), (2.02, True)])
def test_the_limit_is_the_clearance_of_both_holes(off: float, speaks: bool) -> None:
    """M10 in holes of 11 (ISO 273, medium): 1 mm in each, 2 mm together; 1 % inside and outside of that."""
    found = told(plate=[ONE, plate("P2", 6, (30.0 + off / 2.0 * 1.0, 30.0))], bolt=[bolt("P2", "P1")])
    assert bool(found) == speaks


def test_of_four_bolts_the_one_out_of_line_is_told() -> None:
    """Three holes of a pattern match."""
    holes = [(20.0, 15.0), (80.0, 15.0), (20.0, 45.0), (80.0, 45.0)]
    moved = [*holes[:3], (80.0, 49.0)]
    found = told(plate=[plate("P1", 0, *holes), plate("P2", 6, *moved)], bolt=[bolt("P2", "P1", quantity=4)])
    assert found == ["stop: out of line, so it does not pass: P1 from P2 by 4 mm: move one of them"]


# -- the stack ---------------------------------------------------------------------------------
def test_the_length_reaches_over_what_is_free() -> None:
    """Parts 8 mm apart: the same bolt as with a spacer of 8 between them."""
    apart = plate("P2", 14, HERE)
    free, filled, close = (
        stack(plate=[ONE, each], bolt=[bolt(*through)]).choice
        for each, through in ((apart, ("P2", "P1")), (apart, ("P2", 8, "P1")), (TWO, ("P2", "P1")))
    )
    assert (free.length, free.grip) == (filled.length, filled.grip) == (40.0, 20.0)
    assert (close.length, close.grip) == (30.0, 12.0)


# -- no hole at all ------------------------------------------------------------------------------
def test_a_tube_or_profile_that_nobody_drilled_is_told() -> None:
    """As of a plate; a hole with a sleeve counts with the sleeve's bore, a crushed end with its hole."""
    hole = {"at": 130, "side": "top", "diameter": 11, "both_walls": True, "sleeve": "16 x 2"}
    post = tube("T", (-100, 30, -20), (200, 30, -20), section="40 x 40 x 3", turn=0)
    angle = {"mark": "A", "section": "angle 40 x 40 x 4", "route": [[0, 0, 0], [300, 0, 0]], "legs": ["top", "left"]}
    for thread, holes, said in (
        ("M10", [], ["T has no hole that lets M10 through: drill 11 mm"]),
        ("M14", [hole], [narrow("M14", "12 mm", "15.5 mm")]),
        ("M10", [hole], []),
    ):
        job = checked(definitions(tube=[post | {"holes": holes}], bolt=[bolt("T", thread=thread)]), planned=True)
        assert [each.text for each in findings(job, [bolt_hole])] == said
    for hole, said in ((9.0, [narrow("M10", "9 mm", "11 mm")]), (10.0, []), (11.0, [])):
        flat = post | {"section": "26.9 x 2.3", "start": {"crush": {"length": 45, "hole": hole, "hole_at": 20}}}
        job = checked(definitions(tube=[flat], bolt=[bolt("T")]), planned=True)
        assert [each.text for each in findings(job, [bolt_hole])] == said
    job = checked(definitions(profile=[angle], bolt=[bolt("A")]), planned=True)
    assert [each.text for each in findings(job, [bolt_hole])] == ["A has no hole that lets M10 through: drill 11 mm"]


def narrow(bolt: str, hole: str, drill: str) -> str:
    return f"{bolt} does not go through T, whose widest hole is {hole}: drill {drill}, or take a thinner bolt"


def test_a_bolt_too_thick_for_the_holes_of_sheet_is_a_stop() -> None:
    """Two plates drilled for M10, M12 named through them: each is told, with both sizes."""
    job = checked(definitions(plate=[ONE, TWO], bolt=[bolt("P2", "P1", thread="M12")]), planned=True)
    cases = findings(job, [bolt_hole])
    assert [each.level for each in cases] == ["stop", "stop"]
    assert "M12 does not go through P2, whose widest hole is 11 mm: drill 13.5 mm" in cases[0].text


# -- one part alone ----------------------------------------------------------------------------
@pytest.mark.parametrize(("tables", "said"), ALONE)
def test_a_bolt_of_one_placed_part_stands_in_its_holes_or_nowhere(tables: Tables, said: str) -> None:
    job = checked(definitions(**tables), planned=True)
    assert [each.text for each in findings(job, (*RULES, *bolt_rooms.RULES))][:1] == [said]


@pytest.mark.parametrize("tables", ALONE_AND_CLEAR)
def test_one_that_is_clear_is_not_told(tables: Tables) -> None:
    job = checked(definitions(**tables), planned=True)
    assert findings(job, (*RULES, *bolt_rooms.RULES)) == []
    lines = job.plan.bolts[0].lines
    assert len(lines) == job.plan.bolts[0].quantity
    assert all(line.alone for line in lines)


def slotted(mark: str, z: float, x: float, turn: float = 0.0) -> dict[str, Any]:
    """A plate with a slot of 11 mm, 30 long along x where it is not turned, its middle at x."""
    return plate(mark, z) | {"holes": [{"at": [x, 30.0], "bolt": "M10", "length": 30, "turn": turn}]}


@pytest.mark.parametrize(("x", "turn", "speaks"), [(39.0, 0.0, False), (43.0, 0.0, True), (39.0, 90.0, True)])
def test_a_slot_takes_the_bolt_as_far_as_it_is_long(x: float, turn: float, speaks: bool) -> None:
    """By hand: from its middle the bolt has half of 30 less 10 along the slot, and 1 mm in the other hole."""
    assert bool(told(plate=[ONE, slotted("P2", 6, x, turn)], bolt=[bolt("P2", "P1")])) == speaks
