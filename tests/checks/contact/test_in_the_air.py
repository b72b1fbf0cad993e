"""sheet-in-air: what an old hand sees at once, what only looks wrong, and the limit from both sides."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, read, tube

from fabgen.checks.contact.in_the_air import sheet_in_air

MAIN = tube("T1", (0, 0, 0), (800, 0, 0), section="60 x 60 x 3")
"""Its top at 30."""


def plate(mark: str, x: float, y: float, z: float, **keys: Any) -> dict[str, Any]:
    """On z, its lower left corner at a point."""
    return {"mark": mark, "thickness": 6, "rectangle": [100, 60], "place": {"at": [x, y, z]}} | keys


def said(**tables: Any) -> list[str]:
    return [finding.text for finding in findings(checked(definitions(**tables)), (sheet_in_air,))]


@pytest.mark.parametrize(("gap", "speaks"), [(0.99, False), (1.01, True)])
def test_the_weld_gap_from_both_sides(gap: float, speaks: bool) -> None:
    assert bool(said(tube=[MAIN], plate=[plate("P1", 100, -30, 30.0 + gap)])) == speaks


@pytest.mark.parametrize(("gap", "speaks"), [(2.97, False), (3.03, True)])
def test_a_job_of_wider_gaps(gap: float, speaks: bool) -> None:
    assert bool(said(job={"weld_gap": 3.0}, tube=[MAIN], plate=[plate("P1", 100, -30, 30.0 + gap)])) == speaks


CLEVIS = {"mark": "B1", "shape": "clevis", "thickness": 4, "gap": 20, "length": 60, "height": 40, "bolt": "M12"}
FAULTS: dict[str, tuple[dict[str, Any], str]] = {
    "a plate over its tube": (
        {"tube": [MAIN], "plate": [plate("P1", 100, -30, 32)]},
        "touches nothing, 2 mm from the nearest, T1: nothing holds it there; is its place right?",
    ),
    "a plate past its tube's end": ({"tube": [MAIN], "plate": [plate("P1", 830, -30, -3)]}, "30 mm from"),
    "a bracket far off, a figure wrong": (
        {"tube": [MAIN], "bracket": [CLEVIS | {"place": {"at": [300, 0, 300]}}]},
        "touches nothing, 270 mm from the nearest, T1",
    ),
    "a plate within a tube that it does not fill": (
        {"tube": [MAIN], "plate": [plate("P1", 100, -20, -3, rectangle=[100, 40])]},
        "lies inside T1, 7 mm from its wall, and touches nothing: nothing holds it there, so move it out",
    ),
    "a bought plate, a figure wrong": (
        {"tube": [MAIN], "plate": [plate("P1", 100, -30, 130, state="bought")]},
        "touches nothing, 100 mm from the nearest, T1",
    ),
    "a bought plate off a tube that is there already": (
        {"tube": [MAIN | {"state": "there already"}], "plate": [plate("P1", 100, -30, 130, state="bought")]},
        "touches nothing, 100 mm from the nearest, T1",
    ),
    "one of four": (
        {"tube": [MAIN], "plate": [plate("P1", 0, 0, 0, quantity=4, place=[
            {"at": [150 * i, -30, 30 if i < 4 else 34]} for i in range(1, 5)])]},
        "touches nothing, 4 mm from",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_it_speaks(name: str) -> None:
    tables, words = FAULTS[name]
    (told,) = said(**tables)
    assert words in told


POST = tube("T2", (400, 0, 30), (400, 0, 330), section="40 x 40 x 3", finish={"cut": "plain"})


def over(gap: float, x: float = 350) -> dict[str, Any]:
    return {"tube": [MAIN, POST], "plate": [plate("P1", x, -30, 330.0 + gap)]}


@pytest.mark.parametrize("gap", [2, 4, 24.75])
def test_a_post_that_stops_short_is_told_in_place_of_its_plate(gap: float) -> None:
    (told,) = findings(checked(definitions(**over(gap))), (sheet_in_air,))
    assert told.marks == ("T2",)
    assert f"its finish stops {gap:.1f}".removesuffix(".0") in told.text
    assert f'extend = "{24.8 if gap > 24 else gap:g} mm"' in told.text


@pytest.mark.parametrize("of", [over(25.25), over(4, x=430)], ids=["too far off", "beside it"])
def test_what_is_no_post_of_a_plate_is_not_told(of: dict[str, Any]) -> None:
    (told,) = said(**of)
    assert told.startswith("touches nothing, ")


def test_several_are_one_finding() -> None:
    (told,) = said(tube=[MAIN], plate=[plate("P1", 100, -30, 32), plate("P2", 300, -30, 33)])
    assert told.startswith("2 places touch nothing (P1 2 mm from T1; P2 3 mm from T1): ")


LOOKS_WRONG: dict[str, dict[str, Any]] = {
    "a plate by its corner only": {"tube": [MAIN], "plate": [plate("P1", 100, 22, 30)]},
    "a plate on a plate": {"tube": [MAIN], "plate": [plate("P1", 100, -30, 30), plate("P2", 100, -30, 36)]},
    "a strap on rubber": {
        "tube": [MAIN],
        "strap": [{"mark": "S1", "width": 40, "thickness": 4, "round": "T1", "rubber": 3, "bolt": "M8", "ear": 40,
                   "at": 210}],
    },
    "the only thing that has a place": {"plate": [plate("P1", 0, 0, 0)]},
    "one that has no place": {"tube": [MAIN], "plate": [{"mark": "P1", "thickness": 6, "rectangle": [100, 60]}]},
}  # fmt: skip


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert said(**LOOKS_WRONG[name]) == []


# -- in the hollow of a tube ---------------------------------------------------------------------
CAP = '{ foot = { plate = ["40 mm", "40 mm"], thickness = "3 mm", lies = "square", point = "top" } }'
OPEN = '{ cut = "plain" }'


def box(finish: str = CAP, units: str = "mm") -> str:
    return f"""[job]
title = "t"
number = "1"
units = "{units}"
[[tube]]
mark = "S1"
section = "{"40 x 40 x 3" if units == "mm" else "1.5 x 1.5 x 0.12"}"
turn = 0
route = [["0 mm", 0, 0], ["600 mm", 0, 0]]
start = {CAP if finish == CAP else OPEN}
finish = {finish}
"""


def within(width: float, z: float = -1.5, mark: str = "P1", x: float = 270) -> str:
    return f"""[[plate]]
mark = "{mark}"
thickness = "3 mm"
rectangle = ["60 mm", "{width} mm"]
place = {{ at = ["{x} mm", "{-width / 2.0} mm", "{z} mm"] }}
"""


def levels(*tables: str) -> list[str]:
    found = findings(checked(read("".join(tables))), (sheet_in_air,))
    return [f"{each.level}: {each.text}" for each in found]


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        (
            (box(), within(20)),
            "stop: lies inside S1, 7 mm from its wall, and touches nothing: it cannot be put into a c",
        ),
        ((box(), within(31.98)), "stop: lies inside S1, 1 mm from its wall"),
        ((box(OPEN), within(20)), "warn: lies inside S1, 7 mm from its wall, and touches nothing: nothing holds it"),
        ((box(units="in"), within(20)), 'stop: lies inside S1, 0.236" [6 mm] from its wall'),
        (
            (box(), within(20), within(24, mark="P2", x=100)),
            "stop: 2 places lie inside tubes and touch nothing (P1 in S1, 7 mm from its wall; P2 in S1, 5 mm from",
        ),
        # Beside it, not within
        ((box(), within(20, 25)), "warn: touches nothing, 5 mm from the nearest, S1: "),
    ],
)
def test_in_the_hollow(tables: tuple[str, ...], words: str) -> None:
    (told,) = levels(*tables)
    assert told.startswith(words)


@pytest.mark.parametrize("width", [32.02, 34])
def test_what_is_held_by_the_bore_is_not_told(width: float) -> None:
    assert levels(box(), within(width)) == []


# -- caps smaller than the bore -------------------------------------------------------------------
def lid(y: float, z: float, x: float = 600.0, **keys: Any) -> dict[str, Any]:
    """A plate square across the end of a tube along x, its middle on the tube's axis."""
    place = {"at": [x, 0, 0], "of": [y / 2, z / 2], "along": "right", "up": "front"}
    return {"mark": "P1", "thickness": 3, "rectangle": [y, z], "place": place} | keys


UPRIGHT = tube("S1", (0, 0, 0), (600, 0, 0), section="60 x 40 x 3")
PIPE = tube("S1", (0, 0, 0), (600, 0, 0))
DISC = {
    "mark": "P1",
    "thickness": 3,
    "disc": 38,
    "place": {"at": [600, 0, 0], "of": [0, 0], "up": "front", "along": "left"},
}


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        ({"tube": [UPRIGHT], "plate": [lid(30, 50)]}, "P1 50 mm x 30 mm, the bore of S1 54 mm x 34 mm, the outside 60"),
        ({"tube": [UPRIGHT], "plate": [lid(30, 50, 596)]}, "so it falls in (P1 50 mm x 30 mm, "),
        ({"tube": [UPRIGHT], "plate": [lid(30, 50, 604)]}, "so it falls in (P1 50 mm x 30 mm, "),
        ({"tube": [UPRIGHT], "plate": [lid(30, 50, -3)]}, "so it falls in (P1 50 mm x 30 mm, "),
        ({"tube": [PIPE], "plate": [DISC]}, "P1 38 mm across, the bore of S1 41.9 mm across, the outside 48.3 mm acr"),
    ],
)
def test_a_cap_that_falls_in(tables: dict[str, Any], words: str) -> None:
    (told,) = said(**tables)
    assert told.startswith("smaller than the bore that it is to close, so it falls in (")
    assert words in told


@pytest.mark.parametrize(
    ("plate", "words"),
    [
        (lid(30, 50, 620), "its finish stops 20 mm short"),  # far before the end
        (lid(10, 10), "touches nothing, "),  # no cap
        (lid(50, 70, 604), "its finish stops 4 mm short"),  # larger than the bore
        (lid(30, 50, 300), "lies inside S1, 1.6 mm from its wall"),
    ],
)
def test_what_is_no_cap_is_told_as_before(plate: dict[str, Any], words: str) -> None:
    (told,) = said(tube=[UPRIGHT], plate=[plate])
    assert told.startswith(words)


def test_a_cap_that_fills_the_bore_or_lies_on_the_end_is_silent() -> None:
    for plate in (lid(34, 54, 597), lid(40, 60), lid(36, 56)):
        assert said(tube=[UPRIGHT], plate=[plate]) == []
