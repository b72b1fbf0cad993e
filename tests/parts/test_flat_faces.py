"""Ends sawn straight up to the face of a rectangular tube; lengths worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, tube

from fabgen.documents.render import paper
from fabgen.documents.render.words import end_text
from fabgen.documents.templates.templates import template_pages
from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.cuts import side_range

CHORD = tube("A", (-500, 0, 0), (500, 0, 0), section="60 x 60 x 3")


def post(section: str = "40 x 40 x 3", foot: tuple[float, float, float] = (0, 0, 0), **keys: Any) -> dict[str, Any]:
    return tube("B", foot, (foot[0], foot[1], 400), section=section, **keys)


def made(*tubes: dict[str, Any], job: dict[str, Any] | None = None) -> dict[str, LengthPart]:
    return dict(checked(definitions(job, tube=list(tubes))).tubes)


def test_a_narrower_post_is_sawn_square_at_the_face() -> None:
    part = made(CHORD, post())["B"]
    end = part.ends[0]
    assert part.length == pytest.approx(400.0 - 30.0, abs=1e-6)
    assert end.is_sawn_to_face
    assert end.saw is not None
    assert (end.saw.method, end.saw.from_square_deg) == ("straight saw cut", 0.0)
    assert end_text(end) == "sawn straight to A, 0° from square"


def test_a_leaning_one_is_sawn_at_its_angle_and_both_sides_of_the_wall_seat() -> None:
    """At 45° from the face the axis is 30 sqrt(2) shorter and the long side reaches half the size past that."""
    part = made(CHORD, tube("B", (0, 0, 0), (400, 0, 400), section="40 x 30 x 3"))["B"]
    axis = math.hypot(400.0, 400.0)
    assert part.length == pytest.approx(axis - 30.0 * math.sqrt(2.0) + 20.0, abs=1e-3)
    assert part.ends[0].saw is not None
    assert part.ends[0].saw.tilt_deg == pytest.approx(45.0)
    assert part.ends[0].fit == "outside"


def test_it_has_no_template_and_its_landing_and_weld_stay() -> None:
    job = checked(definitions(None, tube=[CHORD, post()]))
    assert template_pages(job.pieces, job.job.job, paper.A4) == []
    assert [landing.branch for landing in job.tubes["A"].landings] == ["B"]
    (weld,) = job.tubes["B"].ends[0].welds
    around = 4.0 * 40.0 - (8.0 - 2.0 * math.pi) * job.tubes["B"].section.corner
    assert weld.length == pytest.approx(around, abs=0.1)


@pytest.mark.parametrize(
    ("section", "aside", "open_by"),
    [
        ("48 x 48 x 3", 0, 0.0),
        ("60 x 60 x 3", 0, 6.0),
        ("40 x 40 x 3", 4, 0.0),
        ("40 x 40 x 3", 10, 6.0),
        ("54 x 54 x 3", 0, 6.0 - math.sqrt(27.0)),
    ],
)
def test_up_to_its_main_s_own_width_it_is_sawn(section: str, aside: float, open_by: float) -> None:
    """60 x 60 x 3 has a flat of 48 and corners of radius 6: what stands over these is open by the arc's rise."""
    part = made(CHORD, post(section, (0, aside, 0)))["B"]
    assert part.ends[0].is_sawn_to_face
    assert part.ends[0].left_open == pytest.approx(open_by, abs=1e-3)
    assert part.length == pytest.approx(370.0, abs=1e-6)


def test_wider_than_its_main_or_past_its_side_it_is_coped() -> None:
    assert not made(CHORD, post("62 x 62 x 3"))["B"].ends[0].is_sawn_to_face
    assert not made(CHORD, post("40 x 40 x 3", (0, 12, 0)))["B"].ends[0].is_sawn_to_face


def test_equal_square_tube_at_45_degrees_is_sawn() -> None:
    """The axis is 30 sqrt(2) shorter, the long side reaches half the size past that; as a cope it is shorter by what
    the wall's inner edge keeps off."""
    part = made(CHORD, tube("B", (0, 0, 0), (400, 0, 400), section="60 x 60 x 3"))["B"]
    assert part.ends[0].is_sawn_to_face
    assert part.length == pytest.approx(math.hypot(400.0, 400.0) - 30.0 * math.sqrt(2.0) + 30.0, abs=1e-3)


@pytest.mark.parametrize("start", [{"cut": "cope"}, {"fit": "clear"}, {"fit": "outside"}])
def test_a_cope_that_is_asked_for_stays_one(start: dict[str, Any]) -> None:
    end = made(CHORD, post(start=start))["B"].ends[0]
    assert end.cut == "cope"
    assert not end.is_sawn_to_face


def test_named_with_onto_it_is_sawn_straight_and_the_gap_counts() -> None:
    part = made(CHORD, post(start={"onto": ["A"], "gap": 1.5}))["B"]
    assert part.ends[0].is_sawn_to_face
    assert part.length == pytest.approx(400.0 - 31.5, abs=1e-6)


def test_two_faces_at_once_make_a_cope() -> None:
    other = tube("C", (0, -500, 10), (0, 500, 10), section="60 x 60 x 3", start={"extend": 0.001})
    ends = made(CHORD, other, tube("B", (0, 0, 5), (300, 300, 300), section="40 x 40 x 3"))["B"].ends
    assert not ends[0].is_sawn_to_face


# -- copes that one straight cut makes -----------------------------------------------------------
@pytest.mark.parametrize(
    ("section", "size", "start"),
    [
        ("40 x 40 x 3", 40.0, {}),
        ("40 x 40 x 3", 40.0, {"cut": "cope"}),
        ("40 x 40 x 3", 40.0, {"fit": "outside"}),
        ("33.7 x 2.6", 33.7, {}),
        ("33.7 x 2.6", 33.7, {"onto": ["A"]}),
        ("33.7 x 2.6", 33.7, {"cut": "cope", "onto": ["A"]}),
    ],
)
def test_a_saw_set_by_the_sheet_leaves_both_sides_on_the_face(section: str, size: float, start: dict[str, Any]) -> None:
    """At 45° on a face 30 above the axis, 353.55 from point to point: the axis is 30 sqrt(2) shorter, the long side
    half the size longer than that and the short side half the size shorter, whatever the wall."""
    part = made(CHORD, tube("B", (0, 0, 0), (250, 0, 250), section=section, start=start))["B"]
    end, axis = part.ends[0], math.hypot(250.0, 250.0) - 30.0 * math.sqrt(2.0)
    assert end.saw is not None
    assert (end.saw.method, end.saw.from_square_deg) == ("straight saw cut", pytest.approx(45.0, abs=1e-3))
    assert part.length == pytest.approx(axis + size / 2.0, abs=1e-3)
    assert part.length - size * math.tan(math.radians(45.0)) == pytest.approx(side_range(part)[0], abs=1e-3)


@pytest.mark.parametrize("section", ["40 x 40 x 3", "33.7 x 2.6"])
def test_a_cope_asked_for_as_clear_is_cut_by_the_template(section: str) -> None:
    """A saw at its length would leave the heel a wall short; square to the face the two are the same cut."""
    leaning = made(CHORD, tube("B", (0, 0, 0), (250, 0, 250), section=section, start={"fit": "clear"}))["B"].ends[0]
    assert leaning.saw is not None
    assert (leaning.fit, leaning.saw.method) == ("clear", "template")
    assert 'fit = "outside" is sawn straight, 45.0° from square' in leaning.saw.advice.words()
    square = made(CHORD, post(section, start={"fit": "clear"}))["B"].ends[0]
    assert square.saw is not None
    assert square.saw.method == "straight saw cut"


def test_a_round_tube_that_runs_onto_the_corners_stays_clear_of_them() -> None:
    assert made(CHORD, tube("B", (0, 0, 0), (250, 0, 250), section="60.3 x 3.2"))["B"].ends[0].fit == "clear"


# -- plain: up to the face ---------------------------------------------------------------------
def test_plain_stops_at_the_face() -> None:
    part = made(CHORD, post("60 x 60 x 3", start={"cut": "plain"}))["B"]
    assert part.length == pytest.approx(370.0, abs=1e-6)
    assert part.ends[0].left_open == pytest.approx(6.0, abs=1e-3)  # the corner's radius, at its outside


def test_plain_at_an_angle_is_sawn_at_that_angle() -> None:
    part = made(CHORD, tube("B", (0, 0, 0), (300, 0, 400), section="60 x 60 x 3", start={"cut": "plain"}))["B"]
    assert part.ends[0].flats[0].from_square == pytest.approx(math.atan2(3.0, 4.0))


def test_plain_on_a_round_tube_touches_it() -> None:
    part = made(tube("A", (-500, 0, 0), (500, 0, 0)), post("40 x 40 x 3", start={"cut": "plain"}))["B"]
    assert part.length == pytest.approx(400.0 - 24.15, abs=1e-3)


def test_plain_stops_at_a_tube_that_runs_through_whichever_comes_first() -> None:
    part = made(post(start={"cut": "plain"}), CHORD)["B"]
    assert part.length == pytest.approx(370.0, abs=1e-6)


def test_a_figure_of_how_far_stays() -> None:
    part = made(CHORD, post(start={"cut": "plain", "extend": -35}))["B"]
    assert part.length == pytest.approx(365.0)
    assert part.ends[0].cut == "plain"


def test_a_plain_end_on_which_another_sits_goes_to_its_point() -> None:
    first = tube("A", (0, 0, 0), (500, 0, 0), section="60 x 60 x 3", finish={"cut": "plain"})
    parts = made(first, tube("B", (500, 0, 0), (500, 0, 400), section="40 x 40 x 3"))
    assert parts["A"].length == pytest.approx(500.0)
    assert parts["B"].ends[0].is_sawn_to_face


def test_two_plain_ends_at_a_corner_the_later_butts_onto_the_first() -> None:
    first = tube("A", (0, 0, 0), (500, 0, 0), section="60 x 60 x 3", finish={"cut": "plain"})
    parts = made(first, tube("B", (500, 0, 0), (500, 0, 400), section="40 x 40 x 3", start={"cut": "plain"}))
    assert [end.cut for end in parts["A"].ends] == ["plain", "plain"]
    assert parts["B"].length == pytest.approx(370.0)
