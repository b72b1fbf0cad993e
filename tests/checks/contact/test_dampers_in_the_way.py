"""Springs and dampers as metal: what runs through them, what their eyes do not go into, and what only looks wrong."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.contact.into_one_another import into_one_another

TOP, FOOT = [0.0, 0.0, 400.0], [0.0, 0.0, 0.0]
DAMPER = {"name": "D1", "between": [FOOT, TOP]}
THICK = DAMPER | {"diameter": 60}
EYES = THICK | {"eye_diameter": 30, "eye_width": 20}
CLEVIS = {"mark": "B1", "shape": "clevis", "thickness": 4, "gap": 20.5, "length": 60, "height": 50, "bolt": "M12"}
ON_PIN = {"at": [0, 0, -50], "of": [30, 14.25], "along": [1, 0, 0], "up": [0, 0, 1]}
"""The clevis stands on z below the foot, its pin along y through it."""


def plate(mark: str, z: float, **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "thickness": 6, "rectangle": [100, 60], "place": {"at": [-50, -30, z]}} | keys


def said(**tables: Any) -> list[str]:
    return [finding.text for finding in findings(checked(definitions(**tables), planned=True), (into_one_another,))]


SHORT = {
    "name": "D1",
    "between": [[0.0, 0.0, 0.0], [0.0, 0.0, 55.0]],
    "diameter": 30,
    "eye_diameter": 30,
    "eye_width": 20,
}
"""Its two eyes touch one another."""


FAULTS: dict[str, tuple[dict[str, Any], str]] = {
    "through a plate": ({"damper": [DAMPER], "plate": [plate("P1", 200)]}, "D1 runs right through P1 over 6 mm, "),
    "through a tube": (
        {"damper": [DAMPER], "tube": [tube("T1", (-200, 0, 200), (200, 0, 200))]},
        "D1 runs right through T1 over 48.3 mm, 200 mm from T1's start: ",
    ),
    "its body into a tube beside it": (
        {"damper": [THICK], "tube": [tube("T1", (-200, 50, 200), (200, 50, 200))]},
        "D1 reaches 4.5 mm into the hollow of T1, ",
    ),
    "all eyes, with a plate where its body would be": (
        {"damper": [SHORT], "plate": [plate("P1", 24)]},
        "D1 runs right through P1 over 6 mm, ",
    ),
    "two that cross": (
        {"damper": [THICK, {"name": "D2", "between": [[-200, 20, 200], [200, 20, 200]]}]},
        "D2 runs right through D1 over ",
    ),
    "an eye wider than its clevis": (
        {"damper": [EYES | {"eye_width": 24}], "bracket": [CLEVIS | {"place": ON_PIN}]},
        "D1 lies in B1, ",
    ),
    "through a link": (
        {"damper": [DAMPER], "link": [{"mark": "L1", "section": "25.4 x 4", "between": [[-200, 0, 200], [200, 0, 200]],
                                       "rod_ends": ["M12 right", "M12 left"]}]},
        "move its points, or what is in its way",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_it_speaks(name: str) -> None:
    tables, words = FAULTS[name]
    (told,) = said(**tables)
    assert words in told, told


LOOKS_WRONG: dict[str, dict[str, Any]] = {
    "between the ears of its clevis, bolted": {
        "damper": [EYES], "bracket": [CLEVIS | {"place": ON_PIN}],
        "bolt": [{"thread": "M12", "through": ["B1", 20.5]}],
    },
    "through a hole": {"damper": [DAMPER], "plate": [plate("P1", 200, holes=[{"at": [50, 30], "diameter": 20}])]},
    "past a tube of which its size is not given": {
        "damper": [DAMPER], "tube": [tube("T1", (-200, 35, 200), (200, 35, 200))],
    },
    # What holds it is told of its length.
    "all eyes, in its clevis": {"damper": [SHORT], "bracket": [CLEVIS | {"place": ON_PIN}]},
}  # fmt: skip


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert said(**LOOKS_WRONG[name]) == []


@pytest.mark.parametrize(("deep", "speaks"), [(0.495, False), (0.505, True)])
def test_half_a_millimetre_from_both_sides(deep: float, speaks: bool) -> None:
    """The damper's body, 60 thick, stands beside a flat face."""
    square = tube("T1", (-200, 50 - deep, 200), (200, 50 - deep, 200), section="40 x 40 x 3")
    assert bool(said(damper=[THICK], tube=[square])) == speaks


def test_nothing_is_held_by_a_damper() -> None:
    """A plate that touches a damper alone hangs in the air."""
    from fabgen.checks.contact.in_the_air import sheet_in_air

    beside = plate("P1", 200, place={"at": [-50, 30, 200]})
    job = checked(definitions(damper=[THICK], plate=[beside], tube=[tube("T1", (300, 0, 0), (800, 0, 0))]))
    assert [finding.mark for finding in findings(job, (sheet_in_air,))] == ["P1"]
