"""Holes that a job gives its tubes: where their edges lie on the skin, held against plain geometry of a cylinder."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from jobs import definitions, tube
from random_seeds import first_seed, how_many

from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import DrilledHole, Piece


def drilled(*holes: dict[str, Any], section: str = "48.3 x 3.2", **keys: Any) -> tuple[DrilledHole, ...]:
    return of(all_pieces(definitions(tube=[bar(*holes, section=section, **keys)]))[0])


def bar(*holes: dict[str, Any], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return tube("T1", (0, 0, 0), (800, 0, 0), section=section, holes=list(holes), **keys)


def of(piece: Piece) -> tuple[DrilledHole, ...]:
    part = piece.length_part
    assert part is not None
    return part.drilled


def why(*holes: dict[str, Any], section: str = "48.3 x 3.2", **keys: Any) -> str:
    with pytest.raises(JobError) as raised:
        drilled(*holes, section=section, **keys)
    return "; ".join(problem.what for problem in raised.value.problems)


@pytest.mark.parametrize("seed", range(first_seed(1313), first_seed(1313) + how_many(400, 20)))
def test_edge_on_a_round_tube_is_where_two_cylinders_cross(seed: int) -> None:
    """A drill of radius r, b beside the middle of a tube of radius R, t round its own circle: across the tube the point
    is b + r sin t, so its angle on the tube is asin((b + r sin t) / R) and its place along r cos t."""
    random = np.random.default_rng(seed)
    outside, size = random.uniform(25, 120), random.uniform(3, 12)
    reach = outside / 2.0 - size / 2.0 - 0.5
    beside, around = random.uniform(-reach, reach), random.uniform(0, 360)
    at = random.uniform(50, 700)
    near, far = drilled(
        {"at": at, "side": around, "diameter": size, "offset": beside, "both_walls": True}, section=f"{outside} x 2"
    )
    for hole, first, sign in ((near, around, 1.0), (far, around + 180.0, -1.0)):
        t = np.arcsin(np.clip((hole.edge.along - at) / (size / 2.0), -1, 1))
        middle = math.radians(first) * outside / 2.0
        girth = math.pi * outside
        round_ = np.mod(hole.edge.station - middle + girth / 2.0, girth) - girth / 2.0
        over = np.sin(round_ / (outside / 2.0)) * outside / 2.0 - sign * beside
        assert np.hypot(over, hole.edge.along - at) == pytest.approx(size / 2.0, abs=2e-6)
        assert t.min() < -1.5 < 1.5 < t.max()


SIDES = [("top", 0.0), ("right", 90.0), ("bottom", 180.0), ("left", 270.0), (35, 35.0), ("-20 deg", 340.0)]


@pytest.mark.parametrize(("side", "degrees"), SIDES)
def test_sides_are_counted_clockwise_from_top(side: object, degrees: float) -> None:
    (hole,) = drilled({"at": 120, "side": side, "diameter": 9})
    assert hole.station % (math.pi * 48.3) == pytest.approx(degrees / 360.0 * math.pi * 48.3, abs=1e-6)
    assert hole.along == pytest.approx(120)


def test_front_of_an_upright_tube_is_toward_plus_x() -> None:
    job = definitions(tube=[tube("T1", (0, 0, 0), (0, 0, 500), holes=[{"at": 100, "side": "front", "diameter": 9}])])
    (hole,) = of(all_pieces(job)[0])
    assert hole.frame.x == pytest.approx([1, 0, 0])
    assert "looks along this tube" in why({"at": 100, "side": "front", "diameter": 9})


@pytest.mark.parametrize("side", ["top", "right", "bottom", "left"])
def test_flat_faces_are_drilled_square_and_true(side: str) -> None:
    near, far = drilled(
        {"at": 100, "side": side, "diameter": 10, "offset": 6, "both_walls": True}, section="60 x 40 x 3"
    )
    for hole in (near, far):
        assert np.hypot(*hole.edge.points.T) == pytest.approx(5.0, abs=1e-6)
    apart = near.frame.inside(near.skin.at(np.array([far.station]), np.array([far.along])))[0]
    assert apart == pytest.approx([-(30 if side in ("top", "bottom") else 20), 0, 0], abs=1e-6)


def test_slot_is_as_long_and_wide_as_given_and_lies_along_the_tube() -> None:
    (hole,) = drilled({"at": 100, "side": "top", "diameter": 9, "length": 30}, section="60 x 60 x 3")
    assert hole.edge.size == pytest.approx((9, 30), abs=1e-6)
    (turned,) = drilled({"at": 100, "side": "left", "diameter": 9, "length": 30, "turn": 90}, section="60 x 60 x 3")
    assert turned.edge.size == pytest.approx((30, 9), abs=1e-6)
    (askew,) = drilled({"at": 100, "side": "top", "diameter": 8, "length": 28, "turn": 30}, section="80 x 80 x 3")
    # Seen from outside with the finish up, clockwise: the upper end leans to the right, which is where station grows.
    right, up = askew.edge.points[np.argmax(askew.edge.along)]
    assert right > 0
    assert up == pytest.approx(10 * math.cos(math.radians(30)) + 4, abs=0.01)


def test_rows_run_away_from_the_end_they_are_measured_from() -> None:
    row = {"row": {"count": 3, "pitch": 50}, "side": "top", "diameter": 9}
    assert [hole.along for hole in drilled({"at": 60, **row})] == pytest.approx([60, 110, 160])
    assert [hole.along for hole in drilled({"at": 60, "from": "finish", **row})] == pytest.approx([740, 690, 640])


def test_at_counts_from_the_saw_cut_of_a_coped_tube() -> None:
    job = definitions(
        tube=[
            tube("M", (0, -300, 0), (0, 300, 0)),
            bar(
                {"at": 100, "side": "top", "diameter": 9}, {"near": [400, 30, 0], "toward": [400, 900, 0], "bolt": "M8"}
            ),
        ]
    )
    piece = all_pieces(job)[1]
    part = piece.length_part
    assert part is not None
    one, two = part.drilled
    assert one.along == pytest.approx(100)
    assert 400 - two.along == pytest.approx(800 - part.length)  # its finish is sawn at its point
    assert (two.bolt, two.width) == ("M8", 9.0)  # ISO 273 medium: 9
    assert two.frame.x == pytest.approx([0, 1, 0])


def test_bent_tube_is_drilled_on_its_straights_only() -> None:
    route = {"section": "40 x 2", "bend_radius": 100}
    points = ((0, 0, 0), (400, 0, 0), (400, 0, 400))
    job = definitions(
        tube=[tube("B", *points, **route, holes=[{"at": 600, "side": "left", "diameter": 9, "both_walls": True}])]
    )
    near, far = of(all_pieces(job)[0])
    # 300 straight, a quarter of 100 radius, then up.
    high = 600 - 300 - 100 * math.pi / 2 + 100
    assert near.skin.at(np.array([near.station]), np.array([near.along]))[0] == pytest.approx([400, 20, high])
    assert far.frame.x == pytest.approx([0, -1, 0])
    with pytest.raises(JobError, match="lies in a bend") as raised:
        all_pieces(definitions(tube=[tube("B", *points, **route, holes=[{"at": 350, "side": "left", "diameter": 9}])]))
    assert raised.value.problems[0].accepted == "a place on a straight: 0 to 300, 457.1 to 757.1 mm"


def test_mass_is_less_by_what_is_drilled_out() -> None:
    plain, bored = (
        all_pieces(definitions(tube=[bar(*holes, section="60 x 60 x 3")]))[0]
        for holes in ((), ({"at": 100, "side": "top", "diameter": 20, "both_walls": True},))
    )
    assert plain.mass - bored.mass == pytest.approx(2 * math.pi * 100 * 3 * 7850e-9)


def test_what_cannot_be_drilled_is_refused_with_a_reason() -> None:
    assert "off the tube" in why({"at": 900, "side": "top", "diameter": 9})
    assert "hole 3 lies off" in why({"at": 700, "side": "top", "diameter": 9, "row": {"count": 3, "pitch": 50}})
    assert "as wide as T1" in why({"at": 300, "side": "top", "diameter": 60})
    assert "corner between two faces" in why({"at": 300, "side": 45, "diameter": 9}, section="60 x 60 x 3")
    assert "no longer than" in why({"at": 300, "side": "top", "diameter": 9, "length": 8})
