"""Straight cuts and ends cut far from their own points: what is spoken of, and what only looks wrong."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.rule import Finding
from fabgen.checks.tube.ends.far_ends import end_far_from_point
from fabgen.checks.tube.ends.straight_cuts import coped_round_corner, open_at_corners, sawn_on_round

SQUARE = tube("A", (-500, 0, 0), (500, 0, 0), section="60 x 60 x 3")
PIPE = tube("A", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2")
PLAIN = {"cut": "plain"}


def said(*tubes: dict[str, Any], rule: Any) -> list[Finding]:
    return findings(checked(definitions(None, tube=list(tubes))), [rule])


# -- as wide as the main ---------------------------------------------------------------------------
def test_ends_as_wide_as_their_main_are_sawn_and_one_note() -> None:
    """The corner's radius, 6, outside; 3 in from there 6 - sqrt(6 x 6 - 3 x 3) = 0.80."""
    posts = [tube(f"B{i}", (100 * i, 0, 0), (100 * i, 0, 400), section="60 x 60 x 3") for i in range(3)]
    (note,) = said(SQUARE, *posts, rule=open_at_corners)
    assert note.marks == ("B0", "B1", "B2")
    assert note.level == "note"
    assert "3 ends as wide as the tubes they sit on are sawn straight to the face, open up to 6 mm" in note.text
    assert f"{6.0 - math.sqrt(27.0):.1f} mm at the wall's inner edge" in note.text
    assert '`cut = "cope"` at the end' in note.text
    assert said(SQUARE, *posts, rule=coped_round_corner) == []


@pytest.mark.parametrize("section", ["54 x 54 x 3", "60 x 40 x 3"])
@pytest.mark.parametrize("far", [(0, 0, 400), (200, 0, 400)])
def test_it_speaks_of_each_that_is_wider_than_the_flat(section: str, far: tuple[float, float, float]) -> None:
    assert said(SQUARE, tube("B", (0, 0, 0), far, section=section, turn=90), rule=open_at_corners)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_half_a_millimetre_beside_a_corner_any_weld_fills(share: float) -> None:
    """The flat of 60 x 60 x 3 is 48 wide; d beyond it on either side a corner of radius 6 is open by
    6 - sqrt(36 - d x d)."""
    beyond = math.sqrt(36.0 - (6.0 - 0.5 * share) ** 2)
    size = 48.0 + 2.0 * beyond
    post = tube("B", (0, 0, 0), (0, 0, 400), section=f"{size:.5f} x {size:.5f} x 3")
    assert bool(said(SQUARE, post, rule=open_at_corners)) == (share > 1.0)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_a_root_open_by_2_mm_is_the_limit_of_sawing(share: float) -> None:
    """A wall of t on a corner of radius 6 is open by 6 - sqrt(36 - (6 - t)^2) at its inner edge."""
    wall = 6.0 - math.sqrt(36.0 - (6.0 - 2.0 * share) ** 2)
    post = tube("B", (0, 0, 0), (0, 0, 400), section=f"60 x 60 x {wall:.5f}")
    sawn, coped = (said(SQUARE, post, rule=rule) for rule in (open_at_corners, coped_round_corner))
    assert (bool(sawn), bool(coped)) == (share < 1.0, share > 1.0)


def test_thick_walls_on_a_large_radius_are_coped_and_one_note() -> None:
    """Of 100 x 100 x 8 the corner's radius is 20: 20 - sqrt(20 x 20 - 12 x 12) = 4 at the root."""
    main = tube("A", (-500, 0, 0), (500, 0, 0), section="100 x 100 x 8")
    posts = [tube(f"B{i}", (200 * i, 0, 0), (200 * i, 0, 400), section="100 x 100 x 8") for i in range(2)]
    (note,) = said(main, *posts, rule=coped_round_corner)
    assert "2 ends are wider" in note.text
    assert '`start = { cut = "plain" }` in the tables of B0 and B1 saws them straight to the face' in note.text
    assert "open up to 20 mm outside" in note.text


@pytest.mark.parametrize(
    "branch",
    [
        tube("B", (0, 0, 0), (0, 0, 400), section="48 x 48 x 3"),  # on the flat
        tube("B", (0, 0, 0), (0, 0, 400), section="60 x 60 x 3", start={"cut": "cope"}),  # chosen
        tube("B", (0, 0, 0), (0, 300, 300), section="40 x 40 x 3"),  # over the main's edge: no face to saw it to
        tube("B", (0, 0, 0), (0, 0, 400), section="48.3 x 3.2"),
    ],
)
@pytest.mark.parametrize("rule", [open_at_corners, coped_round_corner])
def test_they_are_silent_where_there_is_no_choice(branch: dict[str, Any], rule: Any) -> None:
    assert said(SQUARE, branch, rule=rule) == []


# -- sawn straight on a round tube ----------------------------------------------------------------
def half_width(open_by: float) -> float:
    """Half of a tube that, square on a 60.3 mm pipe, is open by so much at its sides."""
    return math.sqrt(30.15**2 - (30.15 - open_by) ** 2)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_a_root_of_2_mm_is_the_limit(share: float) -> None:
    size = 2.0 * half_width(2.0 * share)
    there = said(
        PIPE, tube("B", (0, 0, 0), (0, 0, 400), section=f"40 x {size:.4f} x 2", start=PLAIN), rule=sawn_on_round
    )
    assert bool(there) == (share > 1.0)


@pytest.mark.parametrize("section", ["48.3 x 3.2", "60.3 x 3.2", "40 x 40 x 3", "60 x 60 x 3", "33.7 x 2.6"])
def test_a_square_end_on_a_pipe_is_spoken_of(section: str) -> None:
    (look,) = said(PIPE, tube("B", (0, 0, 0), (0, 0, 400), section=section, start=PLAIN), rule=sawn_on_round)
    assert look.level == "warn"
    assert "at the sides of A" in look.text


@pytest.mark.parametrize("main", [SQUARE, PIPE])
def test_on_a_face_or_coped_it_is_silent(main: dict[str, Any]) -> None:
    start = PLAIN if main is SQUARE else {}
    assert said(main, tube("B", (0, 0, 0), (0, 0, 400), section="60 x 60 x 3", start=start), rule=sawn_on_round) == []


# -- ends far from home --------------------------------------------------------------------------------
BRACE = tube("X1", (0, 0, 0), (800, 0, 600), section="50 x 50 x 3")


def test_a_brace_cut_at_the_other_says_that_half_of_it_would_go() -> None:
    """The braces cross at their middles, 500 along; X2 begins at its half width beyond."""
    other = tube("X2", (0, 0, 600), (800, 0, 0), section="30 x 30 x 3", start={"onto": ["X1"]})
    (stop,) = said(BRACE, other, rule=end_far_from_point)
    assert stop.is_stop
    assert stop.marks == ("X2",)
    lost = 500.0 + 25.0 / 0.96 - 15.0 * 0.28 / 0.96  # they cross at an angle of sine 0.96 and cosine 0.28
    assert f"is cut {lost:.1f} mm from its own point, at X1: so much of the tube would go" in stop.text


@pytest.mark.parametrize(
    ("start", "finish", "onto"),
    [
        ((0, -300, 0), (0, 400, 0), "finish"),  # across: the far half is named
        ((0, -300, 0), (0, 400, 0), "start"),
        ((0, 130, 0), (0, 400, 0), "start"),  # short of it: it would grow
        ((0, -100, 0), (300, 400, 0), "start"),
        ((-200, -200, 0), (300, 300, 0), "start"),
    ],
)
def test_it_speaks_of(start: tuple[float, float, float], finish: tuple[float, float, float], onto: str) -> None:
    (stop,) = said(PIPE, tube("B", start, finish, **{onto: {"onto": ["A"]}}), rule=end_far_from_point)
    assert f"its {onto} is cut" in stop.text


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_the_size_of_what_it_meets_is_the_limit(share: float) -> None:
    """Its longest side lies at most as far from its point as the square tube is thick."""
    point = 30.0 - 60.0 * share
    branch = tube("B", (0, 0, point), (0, 0, 400), section="40 x 40 x 3", start={"onto": ["A"]})
    assert bool(said(SQUARE, branch, rule=end_far_from_point)) == (share > 1.0)
    point = 30.0 + 60.0 * share
    branch = tube("B", (0, 0, point), (0, 0, 400), section="40 x 40 x 3", start={"onto": ["A"]})
    assert bool(said(SQUARE, branch, rule=end_far_from_point)) == (share > 1.0)


@pytest.mark.parametrize(
    "branch",
    [
        tube("B", (0, 0, 0), (900, 0, 120), section="40 x 40 x 3"),  # at 8 degrees the cut is long
        tube("B", (0, 0, -30), (0, 0, 400), section="40 x 40 x 3"),  # points on the far skin
        tube("B", (0, 0, 30), (0, 0, 400), section="40 x 40 x 3"),
    ],
)
def test_it_is_silent_on_ends_at_home(branch: dict[str, Any]) -> None:
    assert said(SQUARE, branch, rule=end_far_from_point) == []
