"""What closes tubes by lying over their ends and holes: closed-tube, galvanizing-holes, open-ends and open-top."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.closed_members import RULES
from fabgen.checks.open_ends import open_top, open_tube_ends
from fabgen.parts.build import all_pieces

Tables = dict[str, Any]
POST = tube("A", (0, 0, 0), (0, 0, 400), section="50 x 50 x 3", start={"cut": "plain"}, finish={"cut": "plain"})


def lid(mark: str, z: float, **keys: Any) -> Tables:
    """A plate of 80 x 80 x 6 with its back at z, its middle over that of the post."""
    return {"mark": mark, "thickness": 6, "rectangle": [80, 80], "place": {"at": [-40, -40, z]}, **keys}


def holed(diameter: float, at: float = 40.0) -> Tables:
    return {"holes": [{"at": [at, at], "diameter": diameter}]}


BOTH = [lid("P1", -6), lid("P2", 400)]
CROSS = {"from": "start", "at": 200, "side": "front", "diameter": 12, "both_walls": True}
"""A hole through both of its walls, along x."""


def disc(mark: str, x: float, **keys: Any) -> Tables:
    """A disc of 40 over the hole, its back at x."""
    place = {"at": [x, 0, 200], "of": [0, 0], "along": [0, 1, 0], "up": [1, 0, 0]}
    return {"mark": mark, "thickness": 5, "disc": 40, "place": place, **keys}


def boss(**keys: Any) -> list[Tables]:
    return [disc("D1", 25, **keys), disc("D2", -30, **keys)]


def closed(job: Tables | None = None, **tables: Any) -> list[str]:
    found = findings(checked(definitions(job, **tables)), RULES)
    return [each.text for each in found if each.rule in ("closed-tube", "galvanizing-holes")]


def post(**keys: Any) -> Tables:
    return POST | keys


BEAMS = [tube(f"M{i}", (-300, 0, z), (300, 0, z), section="60 x 60 x 3") for i, z in ((1, 0), (2, 600))]
COPED = tube("A", (0, 0, 0), (0, 0, 600), section="50 x 50 x 3")
STUB = tube("B", (0, 0, 300), (300, 0, 300), section="33.7 x 2.6")
PLUG = tube("S", (0, 0, -10), (0, 0, 15), section="44 x 44 solid", turn=0)
CHANNEL = {"mark": "B1", "shape": "channel", "thickness": 4, "web": 90, "flanges": [40, 40], "length": 80}

FAULTS: dict[str, tuple[Tables, str]] = {
    "a plate over either end": ({"tube": [POST], "plate": BOTH}, "with P1, P2 over openings: gas in it"),
    "a channel's web over its head, a plate under its foot": (
        {"tube": [POST], "plate": [lid("P1", -6)], "bracket": [CHANNEL | {"place": {"at": [-40, -41, 400]}}]},
        "with P1, B1 over openings",
    ),
    "discs on both sides of its only hole": (
        {"tube": [*BEAMS, COPED | {"holes": [CROSS | {"at": 170}]}], "plate": boss()},
        "with D1, D2 over openings",
    ),
    "a cap let in at its head": (
        {"tube": [POST],
         "plate": [BOTH[0], lid("C", 395, rectangle=[43, 43], place={"at": [-21.5, -21.5, 395]})]},
        "with P1, C over openings",
    ),
    "a plate over the hole of the one on it": (
        {"tube": [POST], "plate": [lid("P1", -6), lid("P2", 400, **holed(20)), lid("P3", 406)]},
        "with P1, P2, P3 over openings",
    ),
    "a plug of solid bar in its foot": ({"tube": [POST, PLUG], "plate": [lid("P2", 400)]}, "with S, P2 over openings"),
    "a branch over its only hole": (
        {"tube": [*BEAMS, COPED | {"holes": [CROSS | {"at": 270, "both_walls": False}]}, STUB],
         "plate": [lid("P", 0, place={"at": [300, -40, 260], "along": [0, 1, 0], "up": [1, 0, 0]})]},
        "closed all round by welds: gas in it",
    ),
    "two in line that butt, a plate over either far end": (
        {"tube": [POST, tube("A2", (0, 0, 400), (0, 0, 700), section="50 x 50 x 3", start={"cut": "plain"})],
         "plate": [lid("P1", -6), lid("P2", 700)]},
        "with P1 over an opening",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_closed_by_what_lies_there(name: str) -> None:
    tables, words = FAULTS[name]
    (text,) = closed(**tables)
    assert words in text


SILENT: dict[str, Tables] = {
    "a plate over one end": {"tube": [POST], "plate": [lid("P1", -6)]},
    "over half of one": {"tube": [POST], "plate": [BOTH[0], lid("P2", 400, place={"at": [0, -40, 400]})]},
    "a hole in the middle of one": {"tube": [POST], "plate": [BOTH[0], lid("P2", 400, **holed(12))]},
    "the plate that it stands on has one": {
        "tube": [tube("A", (0, 0, 0), (0, 0, 400), section="50 x 50 x 3")],
        "plate": [lid("P1", -6, **holed(12)), lid("P2", 400)],
    },
    "a hole in both plates at its head": {
        "tube": [POST],
        "plate": [BOTH[0], lid("P2", 400, **holed(12)), lid("P3", 406, **holed(14))],
    },
    "discs with a hole over its hole": {
        "tube": [*BEAMS, COPED | {"holes": [CROSS | {"at": 170}]}],
        "plate": boss(holes=[{"at": [0, 0], "diameter": 13}]),
    },
    "a disc over one of two": {"tube": [*BEAMS, COPED | {"holes": [CROSS | {"at": 170}]}], "plate": [disc("D1", 25)]},
    "a tube that passes through another, whose wall is near its ends": {
        "tube": [POST, tube("S", (-40, 0, 200), (40, 0, 200), section="16 x 2.5", through=["A"])],
    },
    "a plate beside its end": {"tube": [POST], "plate": [BOTH[0], lid("P2", 400, place={"at": [30, -40, 400]})]},
}  # fmt: skip


@pytest.mark.parametrize("name", SILENT)
def test_what_leaves_a_way_out_is_not_told(name: str) -> None:
    assert closed(**SILENT[name]) == []


def test_bolt_holes_beside_the_bore_do_not_open_it() -> None:
    assert closed(tube=[POST], plate=[BOTH[0], lid("P2", 400, **holed(9, at=8.0))])


@pytest.mark.parametrize(("share", "is_closed"), [(0.99, True), (1.01, False)])
def test_a_hole_of_3_mm_is_a_vent(share: float, is_closed: bool) -> None:
    assert bool(closed(tube=[POST], plate=[BOTH[0], lid("P2", 400, **holed(3 * share))])) == is_closed


@pytest.mark.parametrize(("share", "is_closed"), [(0.99, True), (1.01, False)])
@pytest.mark.parametrize("weld_gap", [1.0, 1.5])
def test_what_is_nearer_than_the_weld_gap_closes(share: float, weld_gap: float, is_closed: bool) -> None:
    plates = [BOTH[0], lid("P2", 400 + weld_gap * share)]
    assert bool(closed({"weld_gap": weld_gap}, tube=[POST], plate=plates)) == is_closed


def test_galvanized_it_is_a_stop_and_vents_mend_it() -> None:
    zinc = {"coating": "galvanized after"}
    job = definitions(zinc, tube=[POST], plate=BOTH)
    (stop,) = findings(checked(job), RULES)
    assert (stop.level, stop.marks) == ("stop", ("A",))
    assert stop.text.startswith("closed, with P1, P2 over openings, and galvanized: steam in it bursts it in the bath")
    assert closed(zinc | {"vents": True}, tube=[POST], plate=BOTH) == []


def test_a_vent_keeps_clear_of_what_lies_on_the_tube() -> None:
    """Underneath at the foot lies a plate on either wall; the vent takes the wall beside."""
    walls = [
        lid("W1", 0, place={"at": [25, -40, 0], "along": [0, 1, 0], "up": [1, 0, 0]}),
        lid("W2", 0, place={"at": [-31, -40, 0], "along": [0, 1, 0], "up": [1, 0, 0]}),
    ]
    pieces = all_pieces(definitions({"vents": True}, tube=[POST], plate=[*BOTH, *walls]))
    (part,) = [piece.length_part for piece in pieces if piece.mark == "A"]
    assert part is not None
    (vent,) = part.drilled
    assert abs(float(vent.frame.x[1])) == pytest.approx(1.0)


def test_a_covered_end_needs_no_plug_and_a_covered_top_holds_no_rain() -> None:
    job = checked(definitions(tube=[POST], plate=BOTH))
    assert findings(job, [open_tube_ends, open_top]) == []
    (rain,) = open_top(checked(definitions(tube=[POST], plate=[BOTH[0]])))
    assert rain.marks == ("A",)
    drained = [lid("P1", -6, **holed(12))]
    assert not list(open_top(checked(definitions(tube=[POST], plate=drained))))
