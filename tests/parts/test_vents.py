"""Vents that find their own place: the checks of closed members are satisfied by them, or say what is short."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.closed_members import RULES, galvanizing_bath
from fabgen.checks.tube import tube_holes
from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import DrilledHole
from fabgen.shop.galvanizing import end_holes

SPEAK = [*(rule for rule in RULES if rule is not galvanizing_bath), *tube_holes.RULES]
VENT = {"vent": True}


def brace(*holes: dict[str, Any], section: str = "33.7 x 2.6", **keys: Any) -> list[dict[str, Any]]:
    """B, closed, from a low rail up to a high one; the rails are open."""
    rails = [
        tube(mark, (x, -400, z), (x, 400, z), section="48.3 x 3.2") for mark, x, z in (("L", 0, 0), ("H", 600, 500))
    ]
    return [*rails, tube("B", (0, 0, 0), (600, 0, 500), section=section, holes=list(holes), **keys)]


def said(tubes: list[dict[str, Any]], **job: Any) -> list[tuple[str, str]]:
    return [(each.rule, each.level) for each in findings(checked(definitions(job, tube=tubes)), SPEAK)]


def vents(tubes: list[dict[str, Any]], mark: str = "B", **job: Any) -> tuple[DrilledHole, ...]:
    piece = next(piece for piece in all_pieces(definitions(job, tube=tubes)) if piece.mark == mark)
    assert piece.length_part is not None
    return piece.length_part.drilled


def test_a_closed_brace_is_vented_by_one_word() -> None:
    assert said(brace()) == [("closed-tube", "note")]
    for tubes, job in ((brace(VENT), {}), (brace(), {"vents": True})):
        assert said(tubes, **job) == []
        (vent,) = vents(tubes, **job)
        assert vent.width == 3.0
        assert vent.frame.x[2] < -0.7  # underneath
        # Hard by the low end: the weld is as wide as the wall, a drill needs 2 mm more.
        assert vent.to_ends[0] == pytest.approx(2.6 + 2.0 + 1.5, abs=0.05)


def test_the_job_wide_word_leaves_open_tubes_and_vented_ones_alone() -> None:
    assert vents(brace(), "L", vents=True) == ()
    own = {"from": "start", "at": 30, "side": "bottom", "diameter": 4}
    assert [hole.vent for hole in vents(brace(own), vents=True)] == [False]


@pytest.mark.parametrize("section", ["33.7 x 2.6", "60 x 40 x 3", "219.1 x 6", "40 x 40 x 3"])
def test_galvanized_tubes_have_holes_of_the_table_at_both_ends(section: str) -> None:
    tubes = brace(section=section)
    tubes[0]["section"] = tubes[1]["section"] = "219.1 x 8"
    for one, x in ((tubes[0], 0), (tubes[1], 1200)):
        one["route"] = [[x, -800, one["route"][0][2]], [x, 800, one["route"][0][2]]]
    tubes[2]["route"] = [[0, 0, 0], [1200, 0, 500]]
    job = {"coating": "galvanized after"}
    assert [rule for rule, _ in said(tubes, **job)] == ["galvanizing-holes"]
    assert said(tubes, **job, vents=True) == []
    low, high = (each for each in vents(tubes, **job, vents=True) if not each.far)
    part = next(piece for piece in all_pieces(definitions(job, tube=tubes)) if piece.mark == "B").length_part
    assert part is not None
    assert low.width in [size for _, size in end_holes(part.section, part.length).sizes]
    assert low.frame.x[2] * high.frame.x[2] < 0  # opposite one another


def test_holes_too_small_for_the_bath_are_a_look() -> None:
    own = [{"from": at, "at": 40, "side": "bottom", "diameter": 5} for at in ("start", "finish")]
    assert said(brace(*own), coating="galvanized after") == [("galvanizing-holes", "warn")]


def test_a_hole_at_the_high_end_alone_lets_water_in_and_not_out() -> None:
    high = {"from": "finish", "at": 50, "side": "top", "diameter": 9}
    assert said(brace(high)) == [("holds-water", "warn")]
    assert said(brace(high, {"from": "start", "at": 33, "side": "bottom", "diameter": 4})) == []
    level = tube("C", (0, 200, 0), (600, 200, 500), section="33.7 x 2.6")
    assert said([*brace(VENT), level]) == [("closed-tube", "note")]


def test_an_upright_post_is_vented_where_the_other_tubes_are_not() -> None:
    tubes = [
        tube("L", (-400, 0, 0), (400, 0, 0), section="60 x 60 x 3"),
        tube("H", (-400, 0, 600), (400, 0, 600), section="60 x 60 x 3"),
        tube("P", (0, 0, 0), (0, 0, 600), section="40 x 40 x 3", holes=[VENT]),
        tube("D", (-300, 0, 0), (0, 0, 60), section="20 x 20 x 2", finish={"onto": ["P"]}),
    ]
    (vent,) = vents(tubes, "P")
    assert vent.to_ends[0] == pytest.approx(3 + 2 + 1.5, abs=0.05)
    assert [rule for rule, _ in said(tubes)] == ["closed-tube"]  # D alone


def test_solid_bar_has_nothing_to_vent() -> None:
    with pytest.raises(JobError, match="solid bar"):
        vents(brace(VENT, section="20 solid"))


def test_a_tube_too_short_for_a_vent_stops_only_a_job_that_asks_for_it_there() -> None:
    rails = [tube(mark, (x, -300, 0), (x, 300, 0), section="60 x 60 x 3") for mark, x in (("L", 0), ("R", 67))]
    short = tube("B", (0, 0, 0), (67, 0, 0), section="40 x 40 x 3")
    assert [rule for rule, _ in said([*rails, short], vents=True)] == ["closed-tube"]
    with pytest.raises(JobError, match="finds no room") as raised:
        vents([*rails, short | {"holes": [VENT]}])
    assert raised.value.problems[0].path == ("tube", 2, "holes")
