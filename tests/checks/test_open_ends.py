"""Tube ends that stay open: the note, and the plugs on the shopping list."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, findings, tube, tubes_text

from fabgen.checks.closed_members import SLOPE, closed_tube
from fabgen.checks.open_ends import open_top, open_tube_ends, rain_past_cap
from fabgen.checks.sheet.sheet_outline import drain
from fabgen.parts.shape.hollow.closed_members import closed_members
from fabgen.parts.shape.hollow.open_ends import open_ends
from fabgen.plan.buying.hardware import plug_purchases

POST = tube("A", (0, 0, 0), (0, 0, 900), section="40 x 40 x 3")
SILL = tube("S", (-300, 0, 900), (300, 0, 900), section="60 x 60 x 3")
FOOT = {"mark": "P", "thickness": 8, "rectangle": [100, 100], "place": {"at": [0, 0, 0], "of": [50, 50]}}
CAP = {"mark": "C", "thickness": 3, "rectangle": [40, 40]}


def count(*tubes: dict[str, Any], **tables: Any) -> dict[str, int]:
    job = checked(definitions(None, tube=list(tubes), **tables))
    return open_ends(job.job, job.pieces)


@pytest.mark.parametrize(
    ("tubes", "tables", "open_still"),
    [
        ([POST], {}, {"A": 2}),
        ([POST | {"quantity": 3}], {}, {"A": 6}),
        ([SILL, POST], {}, {"S": 2, "A": 1}),  # its head sits on the sill
        ([POST], {"plate": [FOOT]}, {"A": 1}),  # it stands on a plate
        ([POST], {"plate": [CAP], "weld": [{"parts": ["C", "A"], "all_round": True, "throat": 3}]}, {"A": 1}),
        # the weld of the plate it stands on closes no other end
        ([POST], {"plate": [FOOT], "weld": [{"parts": ["A", "P"], "all_round": True, "throat": 3}]}, {"A": 1}),
    ],
)
def test_so_many_stay_open(tubes: list[dict[str, Any]], tables: dict[str, Any], open_still: dict[str, int]) -> None:
    assert count(*tubes, **tables) == open_still


LET_IN = {"mark": "C", "shape": "cap", "thickness": 3, "rectangle": [34, 34]}
"""As large as the bore of the post; cut 1 mm smaller all round where it says nothing of a gap."""
CAPPED = {"weld": [{"parts": ["C", "A"], "all_round": True, "throat": 3}]}


@pytest.mark.parametrize(
    ("keys", "open_still", "closed"),
    [
        ({}, 1, False),  # its drain hole lets air through
        ({"drain": "none"}, 1, True),
        ({"drain": "none", "weld_gap": 1.01}, 2, False),  # falls in
        ({"drain": "none", "weld_gap": 0.99}, 1, True),
        ({"drain": "none", "holes": [{"at": [17, 17], "diameter": 20}]}, 2, False),
    ],
)
def test_a_cap_let_into_the_bore_closes_it(keys: dict[str, Any], open_still: int, closed: bool) -> None:
    foot = {"plate": [FOOT], "weld": [*CAPPED["weld"], {"parts": ["A", "P"], "all_round": True, "throat": 3}]}
    assert count(POST, cover=[LET_IN | keys], **CAPPED) == {"A": open_still}
    job = checked(definitions(None, tube=[POST], cover=[LET_IN | keys], **foot))
    assert [piece.mark for piece in closed_members(job.job, job.pieces)] == (["A"] if closed else [])


def test_solid_bar_has_none() -> None:
    assert count(POST | {"section": "40 solid"}) == {}


def test_two_that_butt_close_one_another() -> None:
    other = tube("B", (0, 0, 900), (0, 0, 1500), section="40 x 40 x 3", start={"cut": "plain"})
    assert count(POST | {"finish": {"cut": "plain"}}, other) == {"A": 1, "B": 1}


def test_one_note_a_job_and_a_plug_for_each() -> None:
    job = checked(definitions(None, tube=[SILL, POST]))
    (note,) = findings(job, [open_tube_ends])
    assert (note.level, note.marks) == ("note", ("S", "A"))
    assert note.text.startswith("3 tube ends stay open to water and dirt: plug them")
    bought = {line.spec: (line.item, line.quantity) for line in plug_purchases(job.job, job.pieces)}
    assert bought == {"for 60 x 60 x 3": ("tube plug", 2), "for 40 x 40 x 3": ("tube plug", 1)}


def test_in_inches_the_plug_is_named_in_both() -> None:
    job = checked(definitions({"units": "in"}, tube=[tube("A", (0, 0, 0), (0, 0, 30), section="2 x 2 x 0.12")]))
    (line,) = plug_purchases(job.job, job.pieces)
    assert '2 x 2 x 0.120"' in line.goods.words("in")


LEG = tube("L", (0, 0, 0), (0, 300, 900), section="40 x 40 x 3", start={"cut": "level"})
RAIL = tube("R", (-300, 300, 900), (300, 300, 900), section="60 x 60 x 3")


def leg_on(rise: float) -> dict[str, Any]:
    """A leg sawn level that leans so far from upright, degrees."""
    aside = 900 * math.tan(math.radians(rise))
    return LEG | {"route": [[0, 300 - aside, 0], [0, 300, 900]]}


@pytest.mark.parametrize("leg", [LEG, leg_on(4.95), leg_on(5.05)])
def test_a_leg_sawn_level_on_the_floor_stays_open(leg: dict[str, Any]) -> None:
    of = checked(definitions(None, tube=[RAIL, leg]))
    assert not findings(of, [closed_tube])
    assert any("L" in note.marks for note in findings(of, [open_tube_ends]))


@pytest.mark.parametrize(("lean", "plugs"), [(4.95, {"R": 2, "L": 1}), (5.05, {"R": 2})])
def test_a_plug_fits_an_end_up_to_five_degrees_from_square(lean: float, plugs: dict[str, int]) -> None:
    assert count(RAIL, leg_on(lean)) == plugs


def test_a_slanted_end_is_shown_by_itself_and_a_foot_closes_it() -> None:
    square, slanted = findings(checked(definitions(None, tube=[RAIL, LEG])), [open_tube_ends])
    assert (square.marks, slanted.marks) == (("R",), ("L",))
    assert slanted.text.startswith("one tube end sawn level stays open to water and dirt, and no plug fits")
    foot = {"foot": {"plate": [100, 100], "thickness": 5}}
    (rest,) = findings(checked(tubes_text(RAIL, LEG | {"start": foot})), [open_tube_ends])
    assert rest.marks == ("R",)


@pytest.mark.parametrize(
    "tables",
    [
        {"plate": [FOOT]},  # it stands on a plate
        {"plate": [CAP], "weld": [{"parts": ["C", "L"], "all_round": True, "throat": 3}]},
    ],
)
def test_a_plate_under_a_level_end_closes_it(tables: dict[str, Any]) -> None:
    of = checked(definitions(None, tube=[RAIL, LEG], **tables))
    assert [note.marks for note in findings(of, [open_tube_ends])] == [("R",)]
    assert [note.marks for note in findings(of, [closed_tube])] == [("L",)]


# -- rain ------------------------------------------------------------------------------------
UPRIGHT = tube("A", (0, 0, 0), (0, 0, 900), section="40 x 40 x 3")
BEAM = tube("S", (-300, 0, 0), (300, 0, 0), section="60 x 60 x 3")
HOLED = FOOT | {"holes": [{"at": [50, 50], "diameter": 12}]}
CAP_ON = CAPPED["weld"]


def slanted(rise: float) -> dict[str, Any]:
    """A tube of 900 from the beam, that rises by so much of its length."""
    return tube("A", (0, 0, 0), (0, 900 * math.sqrt(1.0 - rise**2), 900 * rise))


@pytest.mark.parametrize(
    ("tubes", "tables", "deep"),
    [
        ([UPRIGHT], {"plate": [FOOT]}, "892 mm"),
        ([BEAM, UPRIGHT], {}, "870 mm"),
        ([BEAM, tube("A", (0, 0, 900), (0, 0, 0))], {}, "870 mm"),  # drawn from its top
        ([BEAM, UPRIGHT | {"holes": [{"from": "finish", "at": 40, "side": "front", "diameter": 8}]}], {}, "870 mm"),
        ([BEAM, slanted(0.25)], {}, ""),
        # it runs out
        ([UPRIGHT], {}, None),
        ([UPRIGHT], {"plate": [HOLED]}, None),
        ([BEAM, UPRIGHT | {"start": {"opens": True}}], {}, None),
        ([BEAM, UPRIGHT | {"holes": [{"vent": True}]}], {}, None),
        # it does not get in
        ([BEAM, UPRIGHT, tube("T", (-300, 0, 900), (300, 0, 900), section="60 x 60 x 3")], {}, None),
        ([BEAM, UPRIGHT], {"plate": [CAP], "weld": [{"parts": ["C", "A"], "all_round": True, "throat": 3}]}, None),
        # it hangs down, or lies
        ([BEAM, tube("A", (0, 0, 0), (0, 0, -900))], {}, None),
        ([BEAM, tube("A", (0, 0, 0), (0, 900, 0))], {}, None),
    ],
)
def test_an_open_upright_on_a_closed_foot_holds_rain(
    tubes: list[dict[str, Any]], tables: dict[str, Any], deep: str | None
) -> None:
    told = [each.text for each in open_top(checked(definitions(None, tube=tubes, **tables)))]
    assert len(told) == (deep is not None)
    assert all(f"rain stands up to {deep}" in text for text in told)


@pytest.mark.parametrize(("share", "holds"), [(0.99, False), (1.01, True)])
def test_what_rises_by_less_than_a_fifth_of_its_length_holds_no_rain_to_speak_of(share: float, holds: bool) -> None:
    job = checked(definitions(None, tube=[BEAM, slanted(share * SLOPE)]))
    rise = next(p.length_part for p in job.pieces if p.mark == "A")
    assert rise is not None
    low, high = (float(end.frame.origin[2]) for end in rise.ends)
    assert ((high - low) / rise.axis > SLOPE) == holds
    assert bool(list(open_top(job))) == holds


@pytest.mark.parametrize(
    ("tops", "deep"),
    [((900, 900, 900), "up to 870 mm deep"), ((900, 800, 900), "in them (A0 870 mm, A1 770 mm, A2 870 mm deep)")],
)
def test_several_are_one_note(tops: tuple[int, ...], deep: str) -> None:
    places = zip((-200, 0, 200), tops, strict=True)
    posts = [UPRIGHT | {"mark": f"A{i}", "route": [[x, 0, 0], [x, 0, top]]} for i, (x, top) in enumerate(places)]
    (said,) = open_top(checked(definitions(None, tube=[BEAM, *posts])))
    assert said.marks == ("A0", "A1", "A2")
    assert f"rain stands {deep}, rusts" in said.text


def lid(disc: float = 48.3, up: float = 0.0, **keys: Any) -> dict[str, Any]:
    """A cap on the top of STAND, `up` over it."""
    place = {"at": [0, 0, 400 + up], "of": [0, 0], "up": "top", "along": "front"}
    return {"mark": "C", "shape": "cap", "thickness": 3, "disc": disc, "weld_gap": 0, "place": place} | keys


STAND = tube("A", (0, 0, 0), (0, 0, 400))
DRAINED = STAND | {"holes": [{"vent": True}]}


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        ({"tube": [BEAM, STAND], "cover": [lid()]}, "a drain hole on top lets rain in"),
        (
            {"tube": [BEAM, STAND], "cover": [lid(drain={"at": [10, 0], "diameter": 6})]},
            "a drain hole on top lets rain in",
        ),
        ({"tube": [STAND], "plate": [FOOT], "cover": [lid()]}, "(A under C, 392 mm deep)"),
        ({"tube": [BEAM, STAND], "cover": [lid(30, drain="none")]}, "rain gets in beside it"),
        ({"tube": [BEAM, STAND], "plate": [lid(30) | {"shape": None}]}, "rain gets in beside it"),
    ],
)
def test_a_cap_on_top_that_lets_rain_in(tables: dict[str, Any], said: str) -> None:
    tables = {name: [{k: v for k, v in each.items() if v is not None and not (name == "plate" and k == "weld_gap")}
                     for each in rows] for name, rows in tables.items()}  # fmt: skip
    told = [each.text for each in rain_past_cap(checked(definitions(None, **tables)))]
    assert len(told) == 1
    assert said in told[0]


@pytest.mark.parametrize(
    "tables",
    [
        {"tube": [BEAM, STAND], "cover": [lid(drain="none")]},
        {"tube": [BEAM, DRAINED], "cover": [lid()]},  # what gets in runs out by the foot
        {"tube": [STAND], "cover": [lid()]},
        {"tube": [BEAM, tube("A", (0, 0, 0), (0, 0, -400))], "cover": [lid(up=-800 - 3)]},  # it hangs: a drain is right
        {"tube": [BEAM, STAND], "cover": [lid(45, drain="none")]},  # let in, a weld's gap less than the tube
    ],
)
def test_a_cap_that_keeps_rain_out_or_drains(tables: dict[str, Any]) -> None:
    assert not list(rain_past_cap(checked(definitions(None, **tables))))


def test_a_cap_on_top_needs_no_drain_hole() -> None:
    of = checked(definitions(None, tube=[BEAM, DRAINED], cover=[lid(drain="none")]))
    assert not findings(of, [drain])
    hangs = checked(
        definitions(None, tube=[BEAM, tube("A", (0, 0, 0), (0, 0, -400))], cover=[lid(up=-803, drain="none")])
    )
    assert len(findings(hangs, [drain])) == 1


@pytest.mark.parametrize(("gap", "speaks"), [(0.99, False), (1.01, True)])
def test_the_limit_of_a_gap_that_lets_rain_in(gap: float, speaks: bool) -> None:
    """What is left beside a cap that is let in, past the millimetre that a weld fills all round."""
    bore = 48.3 - 2.0 * 3.2
    of = checked(definitions(None, tube=[BEAM, STAND], cover=[lid(bore - 2.0 * (1.0 + gap), drain="none")]))
    assert bool(list(rain_past_cap(of))) == speaks
