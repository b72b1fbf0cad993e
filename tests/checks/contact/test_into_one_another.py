"""into-one-another: what an old hand sees at once, what only looks wrong, and the limit from both sides."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, read, tube

from fabgen.checks.contact.into_one_another import into_one_another

UP = {"up": [0, 0, 1], "along": [1, 0, 0]}
MAIN = tube("T1", (0, 0, 0), (800, 0, 0))
"""48.3 outside: its skin at 24.15."""
SKIN = 24.15


def plate(mark: str, place: dict[str, Any] | list[dict[str, Any]], **keys: Any) -> dict[str, Any]:
    given = {"mark": mark, "thickness": 6, "rectangle": [100, 60], "place": place}
    return given | {"quantity": len(place) if isinstance(place, list) else 1} | keys


def upright(x: float, y: float, z: float, **keys: Any) -> dict[str, Any]:
    """A place across the tube's axis: the sheet stands square to x, its back at x."""
    return {"at": [x, y, z], "along": [0, 1, 0], "up": [1, 0, 0], **keys}


def flat(x: float, y: float, z: float) -> dict[str, Any]:
    """A place on z, the lower left corner at a point."""
    return {"at": [x, y, z], **UP}


def link(mark: str, *ends: list[float], **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": "25.4 x 4", "between": list(ends), "rod_ends": ["M12 right", "M12 left"], **keys}


CHANNEL = {"mark": "B1", "shape": "channel", "thickness": 4, "web": 60, "flanges": [40, 40], "length": 100}
CLEVIS = {"mark": "B1", "shape": "clevis", "thickness": 4, "gap": 20, "length": 60, "height": 40, "bolt": "M12"}
STRAP = {"mark": "S1", "width": 40, "thickness": 4, "round": "T1", "bolt": "M8", "ear": 40, "at": 210}


def said(**tables: Any) -> list[str]:
    return [finding.text for finding in findings(checked(definitions(**tables)), (into_one_another,))]


@pytest.mark.parametrize(("deep", "speaks"), [(0.495, False), (0.505, True)])
def test_half_a_millimetre_from_both_sides(deep: float, speaks: bool) -> None:
    other = plate("P2", flat(50, 20, 6.0 - deep))
    assert bool(said(plate=[plate("P1", flat(0, 0, 0)), other])) == speaks


FAULTS: dict[str, tuple[dict[str, Any], str]] = {
    "a bracket inside its tube": (
        {"tube": [tube("T1", (0, 0, 0), (800, 0, 0), section="100 x 100 x 4")],
         "bracket": [CHANNEL | {"place": flat(300, -30, 40)}]},
        "B1 reaches 10 mm into the hollow of T1, ",
    ),
    "a link through a tube": (
        {"tube": [MAIN], "link": [link("L1", [400, -300, 0], [400, 300, 0])]},
        "L1 runs right through T1 over 48.3 mm, 400 mm from",
    ),
    "a rod end in a tube": (
        {"tube": [MAIN], "link": [link("L1", [400, 20, 0], [400, 400, 0])]},
        "L1 reaches 12.1 mm into the hollow of T1, ",
    ),
    "two rods that run through one another": (
        {"link": [link("L1", [0, 0, 0], [400, 0, 0]), link("L2", [200, -200, 0], [200, 200, 8])]},
        "side by side on the bolt",
    ),
    "a plate through a plate": (
        {"plate": [plate("P1", flat(0, 0, 0)), plate("P2", upright(50, 0, -30))]},
        "P1 runs right through P2, ",
    ),
    "one plate twice in one place": (
        {"plate": [plate("P1", [flat(0, 0, 0), flat(10, 10, 2)])]},
        "move one of its places",
    ),
    "a rod through a plate": (
        {"plate": [plate("P1", upright(200, -50, -30))], "link": [link("L1", [0, 0, 0], [400, 0, 0])]},
        "L1 runs right through P1 over 6 mm",
    ),
    "a strap in the metal of a profile": (
        {"tube": [MAIN], "strap": [STRAP],
         "profile": [{"mark": "A1", "section": "angle 40 x 40 x 4", "route": [[200, 0, 10], [200, 500, 10]],
                      "legs": ["top", "front"]}]},
        "A1 runs right through S1 over ",
    ),
    "a bent bar through a plate": (
        {"tube": [MAIN], "plate": [plate("P1", flat(200, -50, -40))],
         "bar": [{"mark": "U1", "shape": "U-bolt", "diameter": 12, "around": "T1", "at": 240, "legs_to": "bottom",
                  "clamps": ["P1"]}]},
        "pairs of parts lie in one another|U1 runs right through P1",
    ),
    "a cover into its tube": (
        {"tube": [tube("T1", (0, 0, 0), (800, 0, 0), section="60 x 60 x 3")],
         "cover": [{"mark": "C1", "shape": "panel", "thickness": 1.5, "rectangle": [300, 120],
                    "place": flat(100, -60, 28.0)}]},
        "T1 lies in C1, 2 mm deep over 300 mm",
    ),
    "a profile through a plate": (
        {"plate": [plate("P1", flat(-30, -30, 100), thickness=8)],
         "profile": [{"mark": "L1", "section": "angle 40 x 40 x 5", "route": [[0, 0, 0], [0, 0, 300]],
                      "legs": ["front", "left"]}]},
        "L1 runs right through P1 over 8 mm, 104 mm from L1's start",
    ),
    "a gusset laid past the cope into the tube": (
        {"tube": [MAIN, tube("T2", (400, 0, 0), (400, 400, 0))], "plate": [plate("P1", flat(410, 10, -3))]},
        "pairs of parts lie in one another (P1 ",
    ),
    "a plate over a tube that stands on it by its end": (
        {"plate": [plate("P1", flat(-50, -30, 0)), plate("P2", flat(-50, -30, 200))],
         "tube": [tube("T1", (0, 0, 6), (0, 0, 400))]},
        "T1 runs right through P2 over 6 mm, 197 mm from T1's start",
    ),
    "a bent tube into its main beside the cope": (
        {"tube": [MAIN, tube("T2", (100, 0, 0), (100, 0, 300), (500, 0, 300), (500, 0, -200), section="33.7 x 2.6",
                             bend_radius=80, finish={"cut": "plain"})]},
        "T2 runs right through T1, 500 mm from",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_it_speaks(name: str) -> None:
    tables, words = FAULTS[name]
    (told,) = said(**tables)
    assert any(word in told for word in words.split("|")), told


LOOKS_WRONG: dict[str, dict[str, Any]] = {
    "a plate on a tube": {
        "tube": [tube("T1", (0, 0, 0), (800, 0, 0), section="60 x 60 x 3")],
        "plate": [plate("P1", flat(100, -30, 30.0))],
    },
    "plates edge to edge and corner to corner": {
        "plate": [plate("P1", flat(0, 0, 0)), plate("P2", flat(100, 0, 0)), plate("P3", flat(100, 60, 6))],
    },
    "a coped node with a gusset beside it": {
        "tube": [MAIN, tube("T2", (400, 0, 0), (400, 400, 0))],
        "plate": [plate("P1", flat(400 + SKIN, SKIN, -3))],
    },
    "a tube slit over its tab": {
        "plate": [plate("P1", flat(-50, -30, 0), rectangle=[200, 60])],
        "tube": [
            tube("T1", (30, 0, 3), (500, 0, 3), start={"slit": {"width": 6.5, "depth": 125, "side": "left",
                                                               "both_walls": True, "tab": "P1"}})
        ],
    },
    "a rod end between the ears of its clevis": {
        "bracket": [CLEVIS | {"place": {"at": [0, 0, 40], "of": [30, 14], "along": [0, -1, 0], "up": [0, 0, -1]}}],
        "link": [link("L1", [0, 0, 0], [0, 0, -400])],
        "pin": [{"at": [0, 0, 0], "axis": [1, 0, 0]}],
    },
    "a rod through a hole": {
        "plate": [plate("P1", upright(200, -50, -30), holes=[{"at": [50, 30], "diameter": 28}])],
        "link": [link("L1", [0, 0, 0], [400, 0, 0])],
    },
    "two rod ends side by side": {
        "link": [link("L1", [0, 0, 0], [400, 0, 0]), link("L2", [0, 17, 0], [200, 17, 350])],
        "pin": [{"at": [0, 0, 0], "axis": [0, 1, 0]}, {"at": [0, 17, 0], "axis": [0, 1, 0]}],
    },
    "tubes that lean on plates at both ends": {
        "plate": [plate("P1", flat(-100, -50, 0), rectangle=[200, 100]),
                  plate("P2", flat(200, -50, 306), rectangle=[200, 100])],
        "tube": [tube("T1", (0, 0, 6), (300, 0, 306)),
                 tube("T2", (0, 300, 6), (0, 300, 206), section="60 x 60 x 4")],
    },
    "a bent tube coped at both its ends": {
        "tube": [MAIN, tube("T2", (100, 0, 0), (100, 0, 300), (500, 0, 300), (500, 0, 0), section="33.7 x 2.6",
                            bend_radius=80)],
    },
    "a bent tube coped by its outside": {
        "job": {"fit": "outside"},
        "tube": [MAIN, tube("T2", (100, 0, 0), (100, 0, 300), (500, 0, 300), (500, 0, 0), section="48.3 x 2.6",
                            bend_radius=80)],
    },
    "a sleeve in its holes": {
        "tube": [MAIN | {"holes": [{"at": 300, "from": "start", "side": "top", "bolt": "M10", "both_walls": True,
                                    "sleeve": "16 x 2.5"}]}],
    },
    "a bush pressed into its plate": {
        "plate": [plate("P1", flat(0, 0, 0), thickness=10, holes=[{"at": [50, 30], "bush": "B1"}])],
        "bush": [{"mark": "B1", "section": "30 x 4", "fit": "press"}],
    },
    "a link's eye": {
        "link": [{"mark": "L1", "section": "25.4 x 4", "between": [[0, 0, 0], [300, 0, 0]],
                  "rod_ends": ["M12 right", {"eye": "40 x 4", "width": 45}]}],
    },
    "a strap round its tube": {"tube": [MAIN], "strap": [STRAP]},
}  # fmt: skip


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert said(**LOOKS_WRONG[name]) == []


def test_like_cases_are_one_finding() -> None:
    across = [plate(f"P{i}", upright(100 * i, -50, -30)) for i in range(1, 5)]
    (told,) = said(plate=across, link=[link("L1", [0, 0, 0], [600, 0, 0])])
    assert told.startswith("4 pairs of parts lie in one another (L1 right through P1 over 6 mm, at 103, 0, 0; ")


def test_in_inches() -> None:
    text = """[job]
title = "t"
number = "1"
units = "in"
[[plate]]
mark = "P1"
thickness = 0.25
rectangle = [4, 3]
place = { at = [0, 0, 0] }
[[plate]]
mark = "P2"
thickness = 0.25
rectangle = [4, 3]
place = { at = [2, 0, -1], along = [0, 1, 0], up = [1, 0, 0] }
"""
    (found,) = findings(checked(read(text)), (into_one_another,))
    assert found.said.words("in").startswith("P1 runs right through P2, at 2.125, 1.5, 0.125: ")


def test_every_place_of_one_pair_is_named() -> None:
    """A sheet across both legs of a hoop; the two walls of one leg are one place."""
    hoop = tube("T1", (0, 0, 0), (0, 0, 400), (500, 0, 400), (500, 0, 0), bend_radius=120)
    (both,) = said(tube=[hoop], plate=[plate("P1", flat(-50, -40, 100), rectangle=[600, 80])])
    assert "at 0, 0, 103 and at 500, 0, 103: " in both
    (one,) = said(tube=[hoop], plate=[plate("P1", flat(-50, -40, 100), rectangle=[100, 80])])
    assert "at 0, 0, 103: " in one
    (edges,) = said(tube=[hoop], plate=[plate("P1", flat(-50, -15, 100), rectangle=[100, 30])])  # it cuts two walls
    assert " and " not in edges


CAPPED = {
    "tube": [tube("T1", (0, 0, 0), (0, 0, 400), section="60 x 60 x 3")],
    "cover": [{"mark": "C1", "shape": "cap", "thickness": 2, "rectangle": [60, 60], "weld_gap": 0}],
}


@pytest.mark.parametrize(
    ("height", "up", "speaks"),
    [(400, "bottom", True), (400, "top", False), (0, "top", True), (0, "bottom", False)],
)
def test_a_cap_that_looks_into_the_tube_is_told_to_be_turned_about(height: float, up: str, speaks: bool) -> None:
    place = {"at": [0, 0, height], "of": [30, 30], "along": "front", "up": up}
    cap = CAPPED["cover"][0] | {"place": place}
    turn = "C1 looks into T1's end: turn `up` of its `place` about"
    assert [turn in text for text in said(**CAPPED | {"cover": [cap]})] == ([True] if speaks else [])
