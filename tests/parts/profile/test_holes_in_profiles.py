"""Holes in legs from the job file: the keys, what is refused, and where they come to be."""

from __future__ import annotations

from typing import Any

import pytest
from one_part import OnePart

from fabgen.documents.data.piece_json import piece_data
from fabgen.documents.scene.bodies import body
from fabgen.parts.piece import LegHole

RAIL = OnePart(
    "profile", mark="A1", section="angle 40 x 40 x 4", route=[[0, 0, 0], [600, 0, 0]], legs=["top", "left"],
    material="S235",
)  # fmt: skip


def holes(*given: dict[str, Any], **keys: Any) -> tuple[LegHole, ...]:
    part = RAIL.piece(holes=list(given), **keys).profile_part
    assert part is not None
    return part.holes


def test_a_row_from_the_finish_is_numbered_on() -> None:
    made = holes(
        {"leg": "a", "at": 50, "bolt": "M10"},
        {"leg": "b", "at": 40, "from": "finish", "diameter": 9, "row": {"count": 3, "pitch": 100}},
    )
    assert [(hole.number, hole.leg, hole.along) for hole in made] == [
        (1, "a", 50.0),
        (2, "b", 560.0),
        (3, "b", 460.0),
        (4, "b", 360.0),
    ]
    assert made[0].width == 11.0
    assert [hole.gauge for hole in made] == [22.0] * 4


def test_near_a_point_and_along_a_mitred_end() -> None:
    """From the saw cut, the longest point, not from where the route begins."""
    lean = {"plane": {"at": [0, 0, 0], "normal": [1, 1, 0]}}
    (plain,) = holes({"leg": "a", "near": [200, 0, 0], "diameter": 9})
    (mitred,) = holes({"leg": "a", "near": [200, 0, 0], "diameter": 9}, start=lean)
    assert plain.along == pytest.approx(200.0)
    assert mitred.along == pytest.approx(240.0)


@pytest.mark.parametrize(
    ("given", "what", "accepted"),
    [
        ({"at": 50, "diameter": 9}, "which leg", "'a' or 'b'"),
        ({"at": 50, "diameter": 9, "leg": "web"}, "no leg called 'web'", "a, b"),
        ({"at": 700, "diameter": 9, "leg": "a"}, "off the profile", "between its ends"),
        ({"at": 50, "diameter": 9, "leg": "a", "gauge": 45}, "middle lies off the leg", "4 to 40 mm"),
        ({"at": 50, "diameter": 9, "leg": "a", "length": 8}, "no longer than it is wide", "above its diameter"),
        ({"at": 50, "bolt": "M11", "leg": "a"}, "M11", "M10"),
    ],
)
def test_what_is_refused(given: dict[str, Any], what: str, accepted: str) -> None:
    (fault,) = RAIL.faults(holes=[given])
    assert what in fault.what
    assert accepted in f"{fault.accepted} {fault.nearest}"
    assert fault.path[:4] == ("profile", 0, "holes", 0)


def test_legs_of_the_other_hand_are_drilled_as_they_lie() -> None:
    """Leg b to the right: the section lies flipped, the gauge is the heel's all the same."""
    (left,) = holes({"leg": "b", "at": 100, "diameter": 9, "gauge": 15})
    (right,) = holes({"leg": "b", "at": 100, "diameter": 9, "gauge": 15}, legs=["top", "right"])
    assert left.gauge == right.gauge
    assert {left.station, right.station} == {15.0, 25.0}


def test_in_data_and_in_mass() -> None:
    given = {"leg": "a", "at": 50, "bolt": "M10"}
    piece = RAIL.piece(holes=[given])
    (hole,) = piece_data(piece, "mm")["holes"]
    assert hole == {
        "number": 1,
        "face": "leg a outside",
        "bolt": "M10",
        "size_mm": [11.0],
        "from": "heel",
        "gauge_mm": 22.0,
        "along_mm": 50.0,
        "turn_deg": 0.0,
    }
    assert RAIL.piece().mass - piece.mass == pytest.approx(7850e-9 * 4 * 3.14159265 / 4 * 121, rel=1e-6)
    (fact,) = [fact for fact in piece.facts if fact.key == "drilled"]
    assert fact.text.words("mm") == (
        "Ø 11 mm for M10, leg a, 22 mm from the heel, the gauge line, 50.0 mm from the start's saw cut"
    )


@pytest.mark.parametrize(
    ("section", "keys", "given", "at"),
    [
        ("UPN 80", {"back": "right"}, {"leg": "flange a"}, [100, 25, 40]),
        ("UPN 80", {"back": "right"}, {"leg": "flange b"}, [100, 25, -40]),
        ("UPN 80", {"back": "right"}, {"leg": "web", "gauge": 15}, [100, 0, 15]),
        ("T 50 x 50 x 6", {"flange": "top"}, {"leg": "flange a"}, [100, -15, 0]),
        ("T 50 x 50 x 6", {"flange": "top"}, {"leg": "flange b"}, [100, 15, 0]),
        ("flat 40 x 5", {"width": "top"}, {"gauge": 12}, [100, 2.5, 12]),
        ("angle 60 x 40 x 5", {"legs": ["top", "right"]}, {"leg": "b", "gauge": 22}, [100, -22, 0]),
        ("angle 60 x 40 x 5", {"legs": ["right", "bottom"]}, {"leg": "a", "gauge": 35}, [100, -35, 0]),
    ],
)
def test_as_the_picture_of_keys_has_it(
    section: str, keys: dict[str, Any], given: dict[str, Any], at: list[float]
) -> None:
    """Along +x, seen from the start: left is +y, up is +z.  Where the hole comes to be on its outer face."""
    more = {"legs": None, **keys}
    drilled, plain = (
        body(RAIL.piece(section=section, holes=holes, **more)).vertices
        for holes in ([{"at": 100, "diameter": 8, **given}], [])
    )
    lids = drilled[len(plain) :]
    outer = lids[: len(lids) // 2]
    assert outer[-1] == pytest.approx(at, abs=0.2)
