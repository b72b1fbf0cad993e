"""A tube that goes on past another's end, however little, carries it; lengths worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.parts.piece import LengthPart

SQUARE = "40 x 40 x 3"
POST = tube("P", (100, 0, 0), (100, 0, 600), section=SQUARE)


def chord(begin: float, **keys: Any) -> dict[str, Any]:
    return tube("C", (begin, 0, 600), (1000, 0, 600), section=SQUARE, **keys)


def made(*tubes: dict[str, Any], **job: Any) -> dict[str, LengthPart]:
    return dict(checked(definitions(job, tube=list(tubes))).tubes)


def sits(part: LengthPart) -> list[list[str]]:
    return [[joint.onto for joint in end.joints] for end in part.ends]


def said(*tubes: dict[str, Any]) -> set[str]:
    found = findings(checked(definitions(tube=list(tubes))))
    return {each.rule for each in found if each.level != "note"}


@pytest.mark.parametrize("order", [1, -1])
@pytest.mark.parametrize("past", [2, 10, 20, 39, 60, 300])
def test_a_chord_that_goes_on_past_its_last_post_carries_it(past: float, order: int) -> None:
    tubes = [POST, chord(100 - past)]
    parts = made(*tubes[::order])
    assert sits(parts["P"]) == [[], ["C"]]
    assert sits(parts["C"]) == [[], []]
    assert parts["P"].length == pytest.approx(580.0)
    # Short of 20 it runs on so far that the post has its whole seat.
    assert parts["C"].length == pytest.approx(900.0 + max(past, 20.0))
    assert said(*tubes[::order]) == set()


@pytest.mark.parametrize("order", [1, -1])
def test_a_post_drawn_to_the_upper_side_beside_a_chord_drawn_to_its_face_carries_that(order: int) -> None:
    post = tube("P", (100, 0, 0), (100, 0, 620), section=SQUARE)
    parts = made(*[post, chord(120)][::order])
    assert sits(parts["C"]) == [["P"], []]
    assert (parts["P"].length, parts["C"].length) == pytest.approx((620.0, 880.0))


@pytest.mark.parametrize(("past", "carries"), [(0.99, "P"), (1.01, "C")])
def test_points_within_a_millimetre_are_one(past: float, carries: str) -> None:
    parts = made(POST, chord(100 - past))
    assert sits(parts["C" if carries == "P" else "P"]).count([carries]) == 1


def test_a_truss_s_end_with_post_and_diagonal() -> None:
    """The upper chord goes on 15 past its last post; diagonal and post land on it, whatever the order."""
    lower = tube("B", (0, 0, 0), (1000, 0, 0), section=SQUARE)
    upper = chord(85)
    post, diagonal = POST, tube("D", (100, 0, 600), (700, 0, 0), section=SQUARE)
    for tubes in ([lower, upper, post, diagonal], [diagonal, post, upper, lower]):
        parts = made(*tubes)
        assert sits(parts["C"]) == [[], []]
        assert "C" in sits(parts["P"])[1]
        assert "C" in sits(parts["D"])[0]


def test_what_the_job_says_of_an_end_goes_before() -> None:
    parts = made(POST, chord(80, start={"onto": ["P"]}))
    assert sits(parts["C"])[0] == ["P"]
    drawn = made(POST, chord(80), corners="as drawn")
    assert sits(drawn["C"])[0] == ["P"]
    plain = made(POST | {"finish": {"cut": "plain"}}, chord(80))
    assert sits(plain["C"]) == [[], []]
    assert plain["P"].length == pytest.approx(580.0)


@pytest.mark.parametrize(
    "tubes",
    [
        # both drawn past one another: the order of the file
        [tube("P", (100, 0, 0), (100, 0, 620), section=SQUARE), chord(80)],
        # a corner drawn to one point
        [POST, chord(100)],
    ],
)
def test_where_neither_or_both_go_on_the_first_carries(tubes: list[dict[str, Any]]) -> None:
    assert sits(made(*tubes)["C"])[0] == ["P"]


def test_a_ring_whose_corner_a_post_passes_is_carried_by_that() -> None:
    """Two rails drawn to the middle of a post that goes on 15 mm over them are not mitred with one another."""
    one, other = (
        tube(mark, (0, 0, 585), far, section=SQUARE) for mark, far in (("A", (900, 0, 585)), ("B", (0, 900, 585)))
    )
    post = tube("P", (0, 0, 0), (0, 0, 600), section=SQUARE)
    parts = made(one, other, post, corners="mitred")
    assert sits(parts["A"])[0] == ["P"]
    assert "P" in sits(parts["B"])[0]
    assert parts["P"].length >= 600.0


def test_bent_and_leaning_ends() -> None:
    hoop = tube("H", (0, 0, 0), (0, 0, 615), (900, 0, 615), section="42.4 x 2.6", bend_radius=120)
    lean = tube("L", (200, 0, 0), (100, 0, 600), section=SQUARE)
    assert sits(made(lean, chord(90))["L"]) == [[], ["C"]]
    stay = tube("S", (0, 400, 10), (0, 0, 10), section="33.7 x 2.6")
    assert sits(made(stay, hoop)["S"])[1] == ["H"]
