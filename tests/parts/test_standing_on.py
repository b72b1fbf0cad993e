"""Tube ends on placed plates and brackets: what each is cut to, lengths worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, tube

from fabgen.checks.registry import run_checks
from fabgen.documents.render import paper
from fabgen.documents.render.words import end_text
from fabgen.documents.templates.templates import template_pages
from fabgen.parts.piece import LengthPart
from fabgen.plan.buying.seams import seams


def plate(at: tuple[float, float, float] = (0, 0, 0), hole: float | None = None) -> dict[str, Any]:
    """A foot plate of 100 x 100 x 8 whose middle lies under its point."""
    holes = [] if hole is None else [{"at": [50, 50], "diameter": hole}]
    return {
        "mark": "P", "thickness": 8, "rectangle": [100, 100], "holes": holes,
        "place": {"at": list(at), "of": [50, 50]},
    }  # fmt: skip


def leg(*route: tuple[float, float, float], section: str = "40 x 40 x 3", **keys: Any) -> dict[str, Any]:
    return tube("A", *(route or ((0, 0, 0), (0, 0, 1000))), section=section, **keys)


def made(one: dict[str, Any], *plates: dict[str, Any], **tables: Any) -> LengthPart:
    return checked(definitions(None, tube=[one], plate=list(plates), **tables)).tubes["A"]


def test_a_leg_drawn_to_the_floor_stands_on_its_plate() -> None:
    part = made(leg(), plate())
    assert part.length == pytest.approx(992.0)
    assert end_text(part.ends[0]) == "flat to P, 0° from square"


@pytest.mark.parametrize("z", [0.0, 4.0, 8.0, 8.9, -0.9])
def test_its_point_may_lie_anywhere_in_the_plate(z: float) -> None:
    assert made(leg((0, 0, z), (0, 0, 1000)), plate()).length == pytest.approx(992.0)


@pytest.mark.parametrize("section", ["40 x 40 x 3", "48.3 x 3.2"])
def test_a_leaning_leg_is_cut_to_the_plate(section: str) -> None:
    """It leans by atan 0.3: its axis is cut 8 mm up, and its long side is half its size times 0.3 longer."""
    size = 40.0 if section.startswith("40") else 48.3
    part = made(leg((0, 0, 0), (300, 0, 1000), section=section), plate())
    assert part.length == pytest.approx(math.hypot(300, 1000) * 0.992 + 0.3 * size / 2.0, abs=1e-3)
    assert part.ends[0].saw is not None
    assert part.ends[0].saw.from_square_deg == pytest.approx(math.degrees(math.atan(0.3)), abs=1e-3)


def test_the_finish_and_a_plate_on_top() -> None:
    part = made(leg(), plate((0, 0, 992)))
    assert [end.cut for end in part.ends] == ["plain", "plane"]
    assert part.length == pytest.approx(992.0)


def test_a_bracket_s_face() -> None:
    """A post under the first leg of an angle, which lies level, 5 mm thick, its back down."""
    angle = {
        "mark": "K", "shape": "angle", "thickness": 5, "legs": [80, 60], "length": 100,
        "place": {"at": [0, 0, 700], "of": [50, 50], "along": [1, 0, 0], "up": [0, 0, 1]},
    }  # fmt: skip
    part = made(leg((0, 0, 0), (0, 0, 702)), bracket=[angle])
    assert part.ends[1].stands_on == "K"
    assert part.length == pytest.approx(700.0)


def test_the_weld_goes_all_round_and_counts() -> None:
    job = checked(definitions(None, tube=[leg()], plate=[plate()]))
    part = job.tubes["A"]
    (weld,) = part.ends[0].welds
    corner = part.section.corner
    assert (weld.onto, weld.length) == ("P", pytest.approx(160.0 - (8.0 - 2.0 * math.pi) * corner, abs=0.1))
    assert weld.run.least == pytest.approx(math.pi / 2.0)
    found, unknown = seams(job.job, job.pieces)
    assert unknown == []
    (seam,) = (seam for seam in found if seam.mark == "A")
    assert (seam.length, seam.thickness) == (pytest.approx(weld.length), 3.0)


def test_a_square_cut_has_no_template_a_slanted_one_of_round_tube_has() -> None:
    square = checked(definitions(None, tube=[leg(section="48.3 x 3.2")], plate=[plate()]))
    assert template_pages(square.pieces, square.job.job, paper.A4) == []
    leaning = checked(definitions(None, tube=[leg((0, 0, 0), (300, 0, 1000), section="48.3 x 3.2")], plate=[plate()]))
    assert template_pages(leaning.pieces, leaning.job.job, paper.A4)


@pytest.mark.parametrize(
    ("one", "under"),
    [
        (leg(), plate((200, 0, 0))),  # it stands beside
        (leg(), plate(hole=60)),  # it passes through a hole
        (leg((0, 0, -20), (0, 0, 1000)), plate()),  # it goes on below the plate
        (leg((0, 0, 10), (0, 0, 1000)), plate()),  # it ends above it
        (leg(start={"cut": "plain"}), plate()),  # as the job says
        (leg(start={"extend": 5}), plate()),
        (leg((0, 0, 4), (900, 0, 4)), plate()),  # it lies along it
    ],
)
def test_what_is_left_alone(one: dict[str, Any], under: dict[str, Any]) -> None:
    assert made(one, under).ends[0].cut == "plain"


def test_a_vent_in_the_plate_is_no_matter() -> None:
    assert made(leg(), plate(hole=12)).ends[0].stands_on == "P"


def test_on_a_tube_and_a_plate_the_tube_comes_first() -> None:
    sill = tube("S", (-300, 0, 0), (300, 0, 0), section="60 x 60 x 3")
    job = checked(definitions(None, tube=[sill, leg()], plate=[plate((0, 0, -4))]))
    assert job.tubes["A"].ends[0].is_sawn_to_face


def test_it_draws_no_stop_and_no_look() -> None:
    job = checked(definitions(None, tube=[leg((0, 0, 0), (300, 0, 1000))], plate=[plate()]))
    assert [finding.text for finding in run_checks(job) if finding.level != "note"] == []


LEANING = ((0, 0, 0), (300, 0, 1000))


def test_an_end_to_be_sawn_level_stands_on_a_level_plate_all_the_same() -> None:
    """As the advice for a leaning foot has it, and the plate comes later: it goes no further than the plate."""
    level = made(leg(*LEANING, start={"cut": "level"}), plate())
    assert level.ends[0].stands_on == "P"
    assert level.length == pytest.approx(made(leg(*LEANING), plate()).length)


def test_a_level_head_stands_under_a_level_plate() -> None:
    head = made(leg(*LEANING, finish={"cut": "level"}), plate((300, 0, 992))).ends[1]
    assert head.stands_on == "P"
    assert head.frame.origin[2] == pytest.approx(992)


@pytest.mark.parametrize(
    "aside",
    [
        plate((200, 0, 0)),  # not under it
        plate((0, 0, -9.1)),  # 1.1 mm below its point
        plate() | {"place": {"at": [0, 0, 0], "of": [50, 50], "along": [1, 0, 0.1]}},  # not level
    ],
)
def test_a_level_end_stays_level_at_its_point_where_no_level_plate_is(aside: dict[str, Any]) -> None:
    end = made(leg(*LEANING, start={"cut": "level"}), aside).ends[0]
    assert (end.stands_on, end.is_level, end_text(end)) == ("", True, "level, 16.7° from square")
    assert end.frame.origin == pytest.approx([0, 0, 0])
