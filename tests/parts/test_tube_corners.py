"""Corners where only ends meet: who runs on, how far, and what is mitred; lengths worked out by hand."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.registry import all_rules, run_checks
from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.cuts import side_lengths
from fabgen.parts.tube.tube import pieces

PAST = 1.0
"""A cope reaches over the rounded corners of square tube by less, mm."""
SQUARE, ROUND = "40 x 40 x 3", "42.4 x 2.6"
CORNERS = [(x, y, z) for z in (0, 700) for x, y in ((0, 0), (800, 0), (800, 600), (0, 600))]
LOW, HIGH = [[*CORNERS[i : i + 4], CORNERS[i]] for i in (0, 4)]
EDGES = [*pairwise(LOW), *pairwise(HIGH), *zip(LOW[:4], HIGH[:4], strict=True)]


def made(*tubes: dict[str, Any], **tables: Any) -> dict[str, LengthPart]:
    found: dict[str, LengthPart] = {}
    for piece in pieces(definitions(tables.pop("job", None), tube=list(tubes), **tables)):
        assert piece.length_part is not None
        found[piece.mark] = piece.length_part
    return found


def box(section: str) -> list[dict[str, Any]]:
    return [tube(f"T{i}", *edge, section=section) for i, edge in enumerate(EDGES, 1)]


def said(*tubes: dict[str, Any], **tables: Any) -> dict[str, str]:
    """The looks and stops, by rule."""
    found = run_checks(checked(definitions(tables.pop("job", None), tube=list(tubes), **tables)))
    return {finding.rule: finding.text for finding in found if finding.level != "note"}


def ends(part: LengthPart) -> list[str]:
    return [f"{end.cut} {' '.join(joint.onto for joint in end.joints)}".strip() for end in part.ends]


# -- boxes from corner to corner ----------------------------------------------------------------
def test_a_box_of_square_tube_fits_at_once() -> None:
    """840 over all: the first tube of a corner runs on by half the others, the others begin at its face."""
    parts = made(*box(SQUARE))
    lengths = [round(part.length, 6) for part in parts.values()]
    #    the first runs on twice; the next two run on once; the last sits between two
    assert lengths[:4] == pytest.approx([840.0, 600.0, 800.0, 560.0], abs=2.0 * PAST)
    assert lengths[4:8] == pytest.approx([840.0, 600.0, 800.0, 560.0], abs=2.0 * PAST)
    assert lengths[8:] == pytest.approx([660.0] * 4, abs=2.0 * PAST)  # posts between the two rings
    assert said(*box(SQUARE)) == {}


@pytest.mark.parametrize("section", [SQUARE, ROUND])
def test_every_foot_of_a_box_has_its_whole_seat(section: str) -> None:
    for part in made(*box(section)).values():
        assert not any(end.line.misses for end in part.ends)
    assert said(*box(section)) == {}


def test_a_corner_as_drawn_still_hangs() -> None:
    assert set(said(*box(SQUARE), job={"corners": "as drawn"})) == {"foot-past-end"}


def test_the_widest_of_a_corner_runs_on_whatever_its_place_in_the_file() -> None:
    thin = tube("A", (0, 0, 0), (500, 0, 0), section="26.9 x 2.3")
    wide = tube("B", (0, 0, 0), (0, 0, 500), section="60.3 x 3.2")
    parts = made(thin, wide)
    assert ends(parts["A"]) == ["cope B", "plain"]
    # Half the thin one's diameter past the point.
    assert parts["B"].length == pytest.approx(500.0 + 26.9 / 2.0)


@pytest.mark.parametrize(("third", "mitred"), [("26.9 x 2.3", True), ("33.7 x 3.2", True), ("34.1 x 3.2", False)])
def test_a_kinked_pair_is_mitred_unless_a_wider_tube_meets_it(third: str, mitred: bool) -> None:
    """Two at 170 degrees: what is wider than they are would hang past both of them, so it carries them instead."""
    one = tube("A", (-500, 0, 0), (0, 0, 0), section="33.7 x 2.6")
    other = tube("B", (0, 0, 0), (500, 88, 0), section="33.7 x 2.6")
    parts = made(one, other, tube("C", (0, 0, 0), (0, 0, 500), section=third))
    assert [end.cut for end in (parts["A"].ends[1], parts["B"].ends[0])] == (["mitre"] * 2 if mitred else ["cope"] * 2)
    assert ends(parts["C"])[0] == ("cope A B" if mitred else "plain")


@pytest.mark.parametrize(("third", "mitred"), [("60 x 40 x 3", False), ("60 x 39 x 3", True), (SQUARE, True)])
def test_a_wider_tube_at_a_mitred_corner_carries_the_pair_where_its_faces_take_it(third: str, mitred: bool) -> None:
    """Sat on a mitred pair of 40 x 40 its 60 would hang past them; a face of 39 does not take 40."""
    one, other = tube("A", (0, 0, 0), (500, 0, 0), section=SQUARE), tube("B", (0, 0, 0), (0, 500, 0), section=SQUARE)
    parts = made(one, other, tube("C", (0, 0, 0), (0, 0, 500), section=third), job={"corners": "mitred"})
    assert [parts[mark].ends[0].cut for mark in "AB"] == (["mitre"] * 2 if mitred else ["cope"] * 2)
    if not mitred:
        wide = tube("C", (0, 0, 0), (0, 0, 500), section=third, turn=0)
        assert said(one, other, wide, job={"corners": "mitred"}) == {}


def test_a_named_tube_runs_on() -> None:
    one, other = tube("A", (0, 0, 0), (500, 0, 0), section=SQUARE), tube("B", (0, 0, 0), (0, 500, 0), section=SQUARE)
    assert ends(made(one, other)["B"])[0] == "cope A"
    parts = made(one, other, node=[{"at": [0, 0, 0], "runs": "B"}])
    assert ends(parts["A"])[0] == "cope B"
    assert (parts["A"].length, parts["B"].length) == pytest.approx((480.0, 520.0), abs=PAST)


def test_an_end_that_says_what_it_is_stays_so() -> None:
    plain = tube("A", (0, 0, 0), (500, 0, 0), section=SQUARE, start={"cut": "plain"})
    parts = made(plain, tube("B", (0, 0, 0), (0, 500, 0), section=SQUARE))
    assert parts["A"].length == pytest.approx(500.0)
    given = tube("A", (0, 0, 0), (500, 0, 0), section=SQUARE, start={"extend": 5})
    assert made(given, tube("B", (0, 0, 0), (0, 500, 0), section=SQUARE))["A"].length == pytest.approx(505.0)


# -- mitres -----------------------------------------------------------------------------------
def test_a_ridge_of_two_like_legs_is_mitred() -> None:
    """Legs at 50 degrees to one another: each is cut half of that from its own axis."""
    lean = 1000.0 * math.tan(math.radians(25.0))
    parts = made(tube("A", (-lean, 0, 0), (0, 0, 1000)), tube("B", (lean, 0, 0), (0, 0, 1000)))
    assert ends(parts["A"]) == ["plain", "mitre B"]
    assert ends(parts["B"]) == ["plain", "mitre A"]
    assert parts["A"].ends[1].joints[0].angle == pytest.approx(math.radians(25.0))


@pytest.mark.parametrize(("between", "mitred"), [(81.0, False), (99.0, True)])
def test_a_hoop_s_foot_is_mitred_with_its_sill_where_a_saw_swung_to_45_degrees_cuts_it(
    between: float, mitred: bool
) -> None:
    """A mitre of two tubes at so much to one another is cut at 90 degrees less half of that from square."""
    lean = math.radians(between)
    hoop = tube("H", (0, 0, 0), (1000 * math.cos(lean), 0, 1000 * math.sin(lean)))
    parts = made(hoop, tube("S", (0, 0, 0), (1500, 0, 0)))
    assert ends(parts["S"])[0] == ("mitre H" if mitred else "cope H")


@pytest.mark.parametrize(("off", "mitred"), [(0.99, True), (1.01, False)])
def test_a_nose_is_mitred_though_sharp_where_it_is_its_own_mirror_image(off: float, mitred: bool) -> None:
    """Arms at 50 degrees to one another, the whole turned about the nose."""
    arms = [math.radians(180.0 + side * 25.0 + off) for side in (-1, 1)]
    ways = [(800 * math.cos(way), 800 * math.sin(way), 0.0) for way in arms]
    parts = made(*(tube(mark, way, (0, 0, 0)) for mark, way in zip("AB", ways, strict=True)))
    assert ends(parts["B"])[1] == ("mitre A" if mitred else "cope A")


def test_two_that_lie_in_one_another_are_not_mitred() -> None:
    """They are no mirror images, and `check` speaks of it."""
    longer, shorter = tube("A", (0, 0, 0), (900, 0, 0)), tube("B", (0, 0, 0), (500, 0, 0))
    assert ends(made(longer, shorter)["B"])[0] != "mitre A"
    assert "tubes-cross" in said(longer, shorter)


def test_a_square_corner_is_mitred_where_the_job_asks_for_it_and_the_third_tube_sits_on_both() -> None:
    ring = [tube(f"T{i}", *edge, section=SQUARE) for i, edge in enumerate(EDGES[:4], 1)]
    post = tube("P", (0, 0, 0), (0, 0, 700), section=SQUARE)
    parts = made(*ring, post, job={"corners": "mitred"})
    assert ends(parts["T1"]) == ["mitre T4", "mitre T2"]
    assert sorted(ends(parts["P"])[0].split()) == ["T1", "T4", "cope"]
    # Outsides of a mitred ring meet at the corners: 840 along the outer face.
    assert float(side_lengths(parts["T1"]).max()) == pytest.approx(840.0)
    assert said(*ring, post, job={"corners": "mitred"}) == {}


def test_unlike_ends_are_never_mitred_by_themselves() -> None:
    lean = tube("B", (500, 0, 0), (0, 0, 1000), section="33.7 x 2.6")
    assert ends(made(tube("A", (-500, 0, 0), (0, 0, 1000)), lean)["B"])[1] == "cope A"


def test_rectangular_ends_that_are_turned_to_one_another_are_not_mitred() -> None:
    one = tube("A", (-500, 0, 0), (0, 0, 1000), section="60 x 40 x 3")
    for turn, cut in ((0, "mitre A"), (30, "cope A")):
        other = tube("B", (500, 0, 0), (0, 0, 1000), section="60 x 40 x 3", turn=turn)
        assert ends(made(one, other)["B"])[1] == cut


def test_two_ends_in_one_line_are_no_corner() -> None:
    parts = made(tube("A", (-500, 0, 0), (0, 0, 0)), tube("B", (0, 0, 0), (500, 0, 0)))
    assert [part.length for part in parts.values()] == pytest.approx([500.0, 500.0])
    assert ends(parts["A"]) == ["plain", "plain"]


# -- what an old hand would see -----------------------------------------------------------------
FLAT = tube("A", (0, 0, 0), (500, 0, 0))


@pytest.mark.parametrize(
    ("tubes", "rule"),
    [
        # far too flat: to carry this foot the first would have to run on by its own size three times
        ([FLAT, tube("B", (0, 0, 0), (-480, 160, 0), section="38 x 2.5")], "foot-past-end"),
        # the first is to stop where it is drawn
        ([{**FLAT, "start": {"cut": "plain"}}, tube("B", (0, 0, 0), (0, 300, 0))], "foot-past-end"),
        # an end that floats: 60 mm short of the corner
        ([FLAT, tube("B", (0, 60, 0), (0, 500, 0))], "short-end"),
        # through one another between their ends
        ([FLAT, tube("B", (250, -300, 0), (250, 300, 0))], "tubes-cross"),
        # a corner whose point was mistyped: past the end of the first by more than it would run on
        ([{**FLAT, "start": {"extend": -80}}, tube("B", (0, 0, 0), (0, 500, 0))], "past-main-end"),
    ],
)
def test_faults_that_are_seen_at_once(tubes: list[dict[str, Any]], rule: str) -> None:
    assert rule in said(*tubes)


@pytest.mark.parametrize(
    "tubes",
    [
        # a tee a little inside the end needs no more than is there
        [FLAT, tube("B", (24.2, 0, 0), (24.2, 300, 0))],
        # two on one end, from opposite sides
        [FLAT, tube("B", (0, 0, 0), (0, 300, 0)), tube("C", (0, 0, 0), (0, -300, 0))],
    ],
)
def test_what_only_looks_wrong(tubes: list[dict[str, Any]]) -> None:
    assert said(*tubes) == {}


def runs_on(*tubes: dict[str, Any]) -> dict[str, str]:
    of = checked(definitions(tube=list(tubes)))
    (rule,) = (rule for rule in all_rules() if rule.name == "runs-on")
    return {finding.marks[0]: finding.text for finding in findings(of, (rule,))}


def test_it_is_said_once_with_its_figure() -> None:
    assert set(runs_on(*box(SQUARE)).values()) == {
        "its finish runs on 20 mm past its point, flush with what lands on it there",
        "both its ends run on 20 mm past their points, flush with what lands on them there",
    }


def test_ends_that_run_on_unlike_far_are_said_in_one() -> None:
    main = tube("A", (0, 0, 0), (600, 0, 0), section=SQUARE)
    feet = [
        tube("B", (0, 0, 0), (0, 300, 0), section=SQUARE),
        tube("C", (600, 0, 0), (600, 300, 0), section="30 x 30 x 3"),
    ]
    assert runs_on(main, *feet) == {
        "A": "its start runs on 20 mm and its finish 15 mm past their points, flush with what lands on them there"
    }
