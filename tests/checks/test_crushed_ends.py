"""Ends of tubes squeezed flat: their sizes, each limit from both sides, faults and what only looks wrong."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from jobs import checked, definitions, findings, tube
from pydantic import ValidationError

from fabgen.checks import closed_members
from fabgen.checks.closed_members import closed_tube
from fabgen.checks.rule import Finding
from fabgen.checks.tube import crushed_ends, standing
from fabgen.documents.scene.bodies import body
from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlattenedEnd, Piece


def stay(section: str = "25 x 1.5", finish: dict[str, Any] | None = None, **keys: Any) -> dict[str, Any]:
    ends = {"start": {"crush": {"length": 40, "hole": 11} | (finish or {})}}
    return tube("T1", (0, 0, 0), (600, 0, 0), section=section, **ends | keys)


def found(*tubes: dict[str, Any]) -> list[Finding]:
    return findings(checked(definitions(tube=list(tubes))), crushed_ends.RULES)


def said(*args: Any, **keys: Any) -> list[str]:
    return [each.rule for each in found(stay(*args, **keys))]


def made(**keys: Any) -> tuple[Piece, FlattenedEnd]:
    piece = all_pieces(definitions(tube=[stay(**keys)]))[0]
    part = piece.length_part
    assert part is not None
    form = part.ends[0].form
    assert isinstance(form, FlattenedEnd)
    return piece, form


def test_sizes_of_the_flat() -> None:
    """The middle line of the wall keeps its length, folded to two walls."""
    piece, flat = made()
    whole = all_pieces(definitions(tube=[tube("T1", (0, 0, 0), (600, 0, 0), section="25 x 1.5")]))[0]
    assert flat.thickness == 3.0
    # Each wall of the flat is half the round along the middle of its wall, and half a wall more at either side.
    girth = math.pi * 23.5
    assert 2 * (flat.width - 1.5) == pytest.approx(girth)
    assert whole.mass - piece.mass == pytest.approx(math.pi / 4 * 11**2 * 3.0 * 7850e-9)
    assert piece.length_part is not None
    assert piece.length_part.length == pytest.approx(600)


@pytest.mark.parametrize(("turn", "axis"), [(0, 2), (90, 1)])
def test_where_the_flat_lies_in_space(turn: float, axis: int) -> None:
    piece, flat = made(finish={"turn": turn})
    points = body(piece).vertices
    end = points[points[:, 0] < 39.0]
    assert np.ptp(end[:, axis]) == pytest.approx(flat.width)
    assert np.ptp(end[:, 3 - axis]) == pytest.approx(3.0)
    assert points[:, 0].min() == pytest.approx(0.0, abs=1e-9)
    assert points[:, 0].max() == pytest.approx(600.0)


LIMITS = [
    # 1.2 x 11 = 13.2 to the end, and to the round tube
    ({"finish": {"hole_at": 13.2 * 1.01}}, {"finish": {"hole_at": 13.2 * 0.99}}, "crush-hole-edge"),
    ({"finish": {"hole_at": 40 - 13.2 * 1.01}}, {"finish": {"hole_at": 40 - 13.2 * 0.99}}, "crush-hole-edge"),
    # half of 38.4 to the side
    ({"finish": {"length": 60, "hole": 15.8}}, {"finish": {"length": 60, "hole": 16.2}}, "crush-hole-edge"),
    # a tenth of the diameter
    ({"section": "25 x 2.47"}, {"section": "25 x 2.53"}, "crush-wall"),
    # round again after 40 + 25: a hole of 5
    (
        {"holes": [{"at": 67.5 * 1.01, "side": "top", "diameter": 5}]},
        {"holes": [{"at": 67.5 * 0.99, "side": "top", "diameter": 5}]},
        "crush-in-way",
    ),
]


@pytest.mark.parametrize(("inside", "outside", "rule"), LIMITS)
def test_limits_from_both_sides(inside: dict[str, Any], outside: dict[str, Any], rule: str) -> None:
    assert said(**inside) == []
    assert said(**outside) == [rule]


def test_hard_metal_a_joint_and_a_bend_in_the_way() -> None:
    assert said(material="6082-T6") == ["crush-wall"]
    lands = tube("T2", (50, 0, 0), (50, 0, 300), section="20 x 1.5")
    assert [each.rule for each in found(stay(), lands)] == ["crush-in-way"]
    route = {"route": [[0, 0, 0], [130, 0, 0], [130, 0, 400]], "bend_radius": 75}
    assert said(**route) == ["crush-in-way"]


def test_two_crushed_ends_close_a_tube_and_one_does_not() -> None:
    both = stay() | {"finish": {"crush": {"length": 40, "hole": 11}}}
    for each, rules in ((both, ["closed-tube"]), (stay(), [])):
        assert [f.rule for f in findings(checked(definitions(tube=[each])), [closed_tube])] == rules


def test_what_only_looks_wrong() -> None:
    """Flats square to one another, and a flat wider than the tube without a hole, to be welded."""
    assert said() == []
    assert [each.rule for each in found(stay() | {"finish": {"crush": {"length": 40, "hole": 11, "turn": 90}}})] == []
    assert said(finish={"length": 20, "hole": 0}) == []


def test_ends_that_cannot_be_crushed() -> None:
    for section, more in (
        ("40 x 40 x 2", {}),
        ("20 solid", {}),
        ("25 x 1.5", {"hole": 39}),
        ("25 x 1.5", {"length": 590}),
    ):
        with pytest.raises(JobError):
            all_pieces(definitions(tube=[stay(section, more)]))
    with pytest.raises(ValidationError, match="has no meaning here"):
        definitions(tube=[tube("T1", (0, 0, 0), (600, 0, 0), start={"cut": "cope", "crush": {"length": 40}})])


def test_a_vent_that_finds_its_place_stays_out_of_the_crushed_length() -> None:
    both = stay(holes=[{"vent": True}]) | {"finish": {"crush": {"length": 40, "hole": 11}}}
    job = checked(definitions(tube=[both]))
    assert job.tubes["T1"].drilled
    assert [each.rule for each in findings(job, crushed_ends.RULES)] == []


def test_a_crushed_end_at_the_floor_is_no_foot_left_square() -> None:
    leaning = tube("T1", (0, 0, 0), (300, 0, 600), section="25 x 1.5", start={"crush": {"length": 40, "hole": 11}})
    assert [each.rule for each in findings(checked(definitions(tube=[leaning])), [standing.leaning_foot])] == []


def test_the_vent_of_a_crushed_stay_is_at_its_low_end() -> None:
    """Put in by itself it lies where the tube is round again, which is as low as there is room."""
    beam = tube("B", (0, 0, 500), (1000, 0, 500), section="60 x 40 x 3", turn=0)
    crush = {"cut": "plain", "crush": {"length": 45, "hole": 10.5}}
    stay = tube("S", (500, -300, 10), (500, 0, 470), section="25 x 2", start=crush)
    of = checked(definitions({"vents": True}, tube=[beam, stay]))
    assert not [each for each in findings(of, closed_members.RULES) if "S" in each.marks]
