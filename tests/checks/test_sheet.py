"""Checks on sheet parts: every rule fires on one side of its limit and is silent on the other."""

import math
from typing import Any

import pytest

from fabgen.checks.finding import Finding
from fabgen.checks.sheet import RULES, check_flat
from fabgen.job.definitions import Definitions
from fabgen.parts import bracket, cover, plate
from fabgen.parts.piece import Piece

FAMILIES = {"plate": plate, "bracket": bracket, "cover": cover}


def piece(family: str, **keys: Any) -> Piece:
    table = {"mark": "X1", "thickness": 5} | keys
    job = {"job": {"title": "x", "number": "x", "units": "mm"}, family: [table]}
    (made,) = FAMILIES[family].pieces(Definitions.model_validate(job))  # type: ignore[attr-defined]
    return made


def found(rule: str, family: str, **keys: Any) -> list[Finding]:
    return [finding for finding in check_flat(piece(family, **keys)) if finding.rule == rule]


BLANK = {"rectangle": [200, 100]}
ANGLE = {"shape": "angle", "length": 100, "legs": [80, 80], "thickness": 3}


def hole(x: float, y: float, size: float, **keys: Any) -> dict[str, Any]:
    return {"at": [x, y], "diameter": size} | keys


def bolt(x: float, y: float, size: str, **keys: Any) -> dict[str, Any]:
    return {"at": [x, y], "bolt": size} | keys


@pytest.mark.parametrize(
    ("rule", "family", "bad", "good"),
    [
        ("hole-size", "plate", BLANK | {"holes": [hole(50, 50, 4.5)]}, BLANK | {"holes": [hole(50, 50, 5)]}),
        (
            "hole-size",
            "plate",
            BLANK | {"holes": [hole(50, 50, 4.5, length=30, turn=33)]},
            BLANK | {"holes": [hole(50, 50, 5.1, length=30, turn=33)]},
        ),
        ("hole-to-edge", "plate", BLANK | {"holes": [hole(9.5, 50, 10)]}, BLANK | {"holes": [hole(10, 50, 10)]}),
        (
            "hole-to-hole",
            "plate",
            BLANK | {"holes": [hole(50, 50, 10), hole(64, 50, 10)]},
            BLANK | {"holes": [hole(50, 50, 10), hole(65, 50, 10)]},
        ),
        # Bend of 3 mm sheet begins 6 mm from the outside corner: the hole's edge at 11.9 and at 12.1.
        (
            "hole-to-bend",
            "bracket",
            ANGLE | {"holes": [hole(50, 16.9, 10, face="b")]},
            ANGLE | {"holes": [hole(50, 17.1, 10, face="b")]},
        ),
        ("bolt-edge", "plate", BLANK | {"holes": [bolt(13, 50, "M10")]}, BLANK | {"holes": [bolt(13.2, 50, "M10")]}),
        ("bolt-edge", "plate", BLANK | {"holes": [bolt(13, 50, "M10")]}, BLANK | {"holes": [hole(13, 50, 11)]}),
        (
            "bolt-spacing",
            "plate",
            BLANK | {"holes": [bolt(50, 50, "M10"), bolt(74, 50, "M10")]},
            BLANK | {"holes": [bolt(50, 50, "M10"), bolt(74.2, 50, "M10")]},
        ),
        # Lower tool of 18 mm for 3 mm sheet: 12.73 mm of flange at 90 degrees.
        ("flange-length", "bracket", ANGLE | {"legs": [80, 12.6]}, ANGLE | {"legs": [80, 12.8]}),
        ("flange-length", "bracket", ANGLE | {"legs": [12.6, 80]}, ANGLE | {"legs": [12.8, 80]}),
        ("bend-radius", "bracket", ANGLE | {"radius": 2.3}, ANGLE | {"radius": 2.4}),
        ("bend-radius", "bracket", ANGLE | {"material": "6082-T6"}, ANGLE | {"material": "6082-T6", "radius": 9}),
        (
            "inside-corner",
            "plate",
            {"corners": [[0, 0], [90, 0], [90, 40], [40, 40], [40, 90], [0, 90]]},
            {"corners": [[0, 0], [90, 0], [90, 40], {"at": [40, 40], "radius": 5}, [40, 90], [0, 90]]},
        ),
        ("drain", "cover", {"shape": "cap", "drain": "none"} | BLANK, {"shape": "cap"} | BLANK),
        (
            "drain",
            "cover",
            {"shape": "cap", "drain": "none"} | BLANK,
            {"shape": "skirt", "diameter": 200, "height": 60, "thickness": 2},
        ),
        ("sheet-size", "plate", {"rectangle": [1600, 1550]}, {"rectangle": [1450, 2950]}),
        ("sheet-size", "plate", {"rectangle": [3100, 50]}, {"rectangle": [50, 2900]}),
    ],
)
def test_both_sides_of_every_rule(rule: str, family: str, bad: dict[str, Any], good: dict[str, Any]) -> None:
    (finding,) = found(rule, family, **bad)
    assert finding.mark == "X1"
    assert finding.level in ("warn", "note")
    assert finding.source
    assert finding.text
    assert "safe" not in finding.text
    assert found(rule, family, **good) == []


def test_a_sound_part_is_passed_in_silence() -> None:
    holes = [bolt(30, 30, "M10", grid={"columns": 2, "rows": 2, "pitch": [140, 40]})]
    assert check_flat(piece("plate", **BLANK, holes=holes)) == []
    channel = {"shape": "channel", "length": 100, "web": 80, "flanges": [50, 50], "thickness": 3}
    assert check_flat(piece("bracket", **channel, holes=[bolt(50, 30, "M8", face="left")])) == []
    assert check_flat(piece("cover", shape="cap", rectangle=[200, 100], thickness=2)) == []


def test_a_curved_cut_out_has_no_sharp_corners() -> None:
    keys = {"shape": "skirt", "diameter": 200, "height": 90, "cut_out": {"diameter": 90}, "thickness": 2}
    assert found("inside-corner", "cover", **keys) == []


def test_like_holes_make_one_finding() -> None:
    holes = [bolt(9, 12, "M8", row={"count": 4, "pitch": 25, "turn": 90}), bolt(190, 50, "M6")]
    (finding,) = found("hole-to-edge", "plate", **BLANK, holes=holes)
    assert "9 for M8" in finding.text
    assert "the worst of 4" in finding.text


def test_a_face_is_told_once() -> None:
    channel = {"shape": "channel", "length": 100, "web": 12.5, "flanges": [50, 50], "thickness": 3}
    assert len(found("flange-length", "bracket", **channel)) == 1


def test_every_rule_is_tried_above_and_other_pieces_are_left_alone() -> None:
    names = {rule.__name__.replace("_", "-") for rule in RULES}
    tried = {mark.args[1][i][0] for mark in test_both_sides_of_every_rule.pytestmark for i in range(len(mark.args[1]))}  # type: ignore[attr-defined]
    assert names == tried
    assert math.isclose(sum(1 for _ in RULES), len(names))
