"""Welds of a job's tubes: which end has which run, and how the runs add up."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from coped_tubes import CASES

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import JointWeld, LengthPart, Piece
from fabgen.parts.shape.welds.weld_families import total_weld_length
from fabgen.parts.tube.joined import joined

ROUND = "48.3 x 3.2"


def tube(mark: str, *route: tuple[float, float, float], section: str = ROUND, **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def made(*tubes: dict[str, Any]) -> dict[str, Piece]:
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": list(tubes)})
    return {piece.mark: piece for piece in all_pieces(job)}


def part(piece: Piece) -> LengthPart:
    assert piece.length_part is not None
    return piece.length_part


def welds_of(piece: Piece) -> tuple[JointWeld, ...]:
    return part(piece).welds


MAIN = tube("T1", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2")


def test_both_ends_of_a_cross_member() -> None:
    job = made(
        MAIN, tube("T2", (-500, 700, 0), (500, 700, 0), section="60.3 x 3.2"), tube("T3", (0, 0, 0), (0, 700, 0))
    )
    welds = welds_of(job["T3"])
    assert [(weld.at, weld.onto, weld.shared) for weld in welds] == [("start", "T1", False), ("finish", "T2", False)]
    assert welds[0].length == pytest.approx(welds[1].length)
    assert welds_of(job["T1"]) == ()
    assert total_weld_length(list(job.values())) == pytest.approx(2.0 * welds[0].length)


def test_quantity_counts() -> None:
    job = made(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)))
    twice = [job["T1"], replace(job["T2"], quantity=2)]
    assert total_weld_length(twice) == pytest.approx(2.0 * total_weld_length(list(job.values())))


def test_fit_does_not_move_the_run() -> None:
    """The outsides meet where they meet, whatever part of the wall the cut clears."""
    clear, outside = (
        welds_of(job["T2"])[0]
        for fit in ("clear", "outside")
        if (job := made(MAIN, tube("T2", (0, 0, 0), (300, 500, 0), start={"fit": fit})))
    )
    assert clear.length == pytest.approx(outside.length)
    assert clear.run.least == pytest.approx(outside.run.least)


def test_a_node_shares_the_run_between_its_mains() -> None:
    """A brace into the corner of a post on a chord: the shares add up to the cut's own run."""
    job = made(
        MAIN,
        tube("T2", (0, 0, 0), (0, 700, 0)),
        tube("T3", (0, 0, 0), (500, 500, 0), start={"onto": ["T1", "T2"], "fit": "outside"}),
    )
    start = part(job["T3"]).ends[0]
    welds = welds_of(job["T3"])
    assert [weld.onto for weld in welds] == ["T1", "T2"]
    radius = 24.15
    ring = radius * (np.outer(np.cos(start.line.phi), start.frame.y) + np.outer(np.sin(start.line.phi), start.frame.z))
    points = ring + np.outer(start.line.x, start.frame.x)
    whole = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1).sum()
    assert sum(weld.length for weld in welds) == pytest.approx(whole, rel=1e-6)
    for weld in welds:
        assert math.degrees(weld.run.least) == pytest.approx(45.0, abs=2.0)


def test_a_mitre_is_one_run_for_two() -> None:
    job = made(
        tube("T1", (-400, 0, 0), (0, 0, 0), finish={"cut": "mitre"}),
        tube("T2", (0, 0, 0), (0, 400, 0), start={"cut": "mitre"}),
    )
    (one,), (other,) = (welds_of(job[mark]) for mark in ("T1", "T2"))
    assert (one.onto, other.onto) == ("T2", "T1")
    assert one.shared
    # The ellipse of half axes r and r sqrt(2): 4 sqrt(2) r E(1/2), E(1/2) = 1.35064388.
    assert one.length == pytest.approx(4.0 * math.sqrt(2.0) * 24.15 * 1.35064388, rel=3e-5)
    assert other.length == pytest.approx(one.length)
    assert math.degrees(one.run.least) == pytest.approx(90.0)
    assert math.degrees(one.run.greatest) == pytest.approx(270.0)
    assert one.share == pytest.approx(one.length / 2.0)
    assert total_weld_length(list(job.values())) == pytest.approx(one.length)


def test_mitred_tubes_of_two_sizes_have_a_length_but_no_angle() -> None:
    job = made(
        tube("T1", (-400, 0, 0), (0, 0, 0), finish={"cut": "mitre"}),
        tube("T2", (0, 0, 0), (0, 400, 0), section="42.4 x 2.6", start={"cut": "mitre"}),
    )
    (weld,) = welds_of(job["T2"])
    assert math.isnan(weld.run.least)
    assert weld.length > 0.0


def test_a_branch_half_off_its_main_is_welded_where_it_sits() -> None:
    job = made(MAIN, tube("T2", (0, 0, 22), (0, 700, 22)))
    (weld,) = welds_of(job["T2"])
    assert not weld.run.closed
    whole = welds_of(made(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)))["T2"])[0]
    assert 0.3 * whole.length < weld.length < whole.length


def test_mains_that_no_job_places_give_no_run() -> None:
    assert welds_of(joined([CASES["common"]])[0]) == ()


def test_a_tube_across_a_hoop_is_welded_where_each_end_sits() -> None:
    """Both its ends land on the one bent tube: the run at each is that of the like joint on a straight post."""
    hoop = tube("H", (0, 0, 0), (0, 0, 900), (0, 800, 900), (0, 800, 0), bend_radius=120)
    job = made(hoop, tube("X", (0, 0, 300), (0, 800, 300)))
    post = made(tube("H", (0, 0, 0), (0, 0, 900)), tube("X", (0, 0, 300), (0, 800, 300)))
    (alone,) = welds_of(post["X"])
    assert [(weld.at, weld.onto) for weld in welds_of(job["X"])] == [("start", "H"), ("finish", "H")]
    for weld in welds_of(job["X"]):
        assert weld.length == pytest.approx(alone.length)
        assert weld.run.least == pytest.approx(alone.run.least)
