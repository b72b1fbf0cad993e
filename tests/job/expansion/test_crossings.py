"""Tubes that cross: cut in pieces, led through a hole, moved clear, or lapped."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import tube, tubes_text

from fabgen.checks.checked import Checked
from fabgen.checks.registry import run_checks
from fabgen.checks.rule import Finding
from fabgen.job.reader import JobError, read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart

ROUND, SQUARE = "33.7 x 2.6", "40 x 40 x 3"
FIRST = tube("A", (-500, 0, 0), (500, 0, 0), section="48.3 x 3.2")
HOOP = tube("H", (0, 500, 0), (0, 500, 1000), (0, -500, 1000), (0, -500, 0), section="48.3 x 3.2", bend_radius=150)
SIDE = math.sqrt((48.3 / 2.0) ** 2 - (28.5 / 2.0) ** 2)
"""How far from a leg's axis the wall of a tube of 33.7 x 2.6 that stands square on it is cut, at its inner edge."""
IN_BEND = 500 - 150 * (1 - math.sqrt(0.5))


def made(*tubes: dict[str, Any], **job: Any) -> tuple[dict[str, LengthPart], list[Finding]]:
    read = read_text(tubes_text(*tubes, **job)).definitions
    pieces = all_pieces(read)
    parts = {piece.mark: part for piece in pieces if (part := piece.length_part) is not None}
    return parts, run_checks(Checked(read, pieces))


def graver(found: list[Finding]) -> dict[str, str]:
    return {finding.rule: finding.text for finding in found if finding.level != "note"}


def ends(part: LengthPart) -> list[list[str]]:
    return [[joint.onto for joint in end.joints] for end in part.ends]


# -- cut in pieces -----------------------------------------------------------------------------
def test_a_tube_is_cut_in_two_that_sit_on_the_other() -> None:
    """Two halves of 500 mm, each shorter by what its cope takes at the side of a round tube of 48.3."""
    parts, found = made(FIRST, tube("B", (0, -500, 0), (0, 500, 0), section=ROUND, crossings="cut"))
    assert list(parts) == ["A", "Ba", "Bb"]
    assert ends(parts["Ba"]) == [[], ["A"]]
    assert ends(parts["Bb"]) == [["A"], []]
    side = math.sqrt((48.3 / 2.0) ** 2 - (33.7 / 2.0) ** 2)
    inner = math.sqrt((48.3 / 2.0) ** 2 - (28.5 / 2.0) ** 2)
    for half in ("Ba", "Bb"):
        assert 500.0 - inner - 0.1 <= parts[half].length <= 500.0 - side + 0.1
    assert graver(found) == {}


@pytest.mark.parametrize("bent", [False, True])
def test_tubes_whose_sections_are_of_named_lengths_are_cut_too(bent: bool) -> None:
    """Into the same pieces as those with figures."""
    main = HOOP if bent else FIRST
    crosses = tube("B", (-500, 0, 1000), (500, 0, 1000)) if bent else tube("B", (0, -500, 0), (0, 500, 0))
    figures = tubes_text(main, crosses | {"section": ROUND, "crossings": "cut"})
    named = (
        tubes_text(main | {"section": "across x 3.2"}, crosses | {"section": "less x thin", "crossings": "cut"})
        + '\n[dimensions]\nacross = "48.3 mm"\nless = "33.7 mm"\nthin = "2.6 mm"\n'
    )
    first, second = (all_pieces(read_text(text).definitions) for text in (figures, named))
    assert [piece.mark for piece in second] == [main["mark"], "Ba", "Bb"]
    assert [piece.length_part.length for piece in second if piece.length_part] == pytest.approx(
        [piece.length_part.length for piece in first if piece.length_part]
    )


def test_an_x_in_a_square_frame_with_one_word_for_the_job() -> None:
    corners = [(0, 0, 0), (1000, 0, 0), (1000, 0, 800), (0, 0, 800)]
    frame = [
        tube(f"F{i}", a, b, section=SQUARE)
        for i, (a, b) in enumerate(zip(corners, [*corners[1:], corners[0]], strict=True), 1)
    ]
    brace = [tube("X", corners[0], corners[2], section=ROUND), tube("Y", corners[1], corners[3], section=ROUND)]
    parts, found = made(*frame, *brace, crossings="cut")
    assert [mark for mark in parts if mark[0] in "XY"] == ["X", "Ya", "Yb"]
    assert parts["Ya"].length == pytest.approx(parts["Yb"].length, abs=1e-6)
    assert graver(found) == {}


@pytest.mark.parametrize("bent", [False, True])
@pytest.mark.parametrize(("beside", "cut"), [(0.0, True), (7.7, True), (7.9, False), (12.0, False)])
def test_one_word_for_the_job_leaves_what_would_land_in_part_to_the_stop(beside: float, cut: bool, bent: bool) -> None:
    """24.15 - 16.85 = 7.3 beside the axis, and half a millimetre to spare; a key of its own cuts it there too."""
    main = HOOP if bent else tube("H", (0, 500, 0), (0, 500, 1000), section="48.3 x 3.2")
    across = tube("B", (-700, 500 + beside, 600), (300, 500 + beside, 600), section=ROUND)
    parts, found = made(main, across, crossings="cut")
    assert list(parts) == (["H", "Ba", "Bb"] if cut else ["H", "B"])
    assert ("tubes-cross" in graver(found)) != cut
    assert list(made(main, across | {"crossings": "cut"})[0]) == ["H", "Ba", "Bb"]


def test_three_through_one_point() -> None:
    parts, found = made(
        FIRST | {"section": "76.1 x 3.2"},
        tube("B", (0, -500, 0), (0, 500, 0), section=ROUND),
        tube("C", (0, 0, -500), (0, 0, 500), section=ROUND),
        crossings="cut",
    )
    assert list(parts) == ["A", "Ba", "Bb", "Ca", "Cb"]
    assert graver(found) == {}


def test_a_rail_across_many_posts_keeps_its_ends_and_its_pieces_are_named_on() -> None:
    posts = [tube(f"P{i}", (200.0 * i, 0, 0), (200.0 * i, 0, 900), section=SQUARE) for i in range(1, 4)]
    rail = tube("R", (0, 0, 450), (800, 0, 450), section=ROUND, crossings="cut", finish={"extend": 30})
    sits = tube("S", (100, 0, 450), (100, 300, 450), section="26.9 x 2.3", start={"onto": "R"})
    parts, found = made(*posts, rail, sits)
    assert [mark for mark in parts if mark[0] == "R"] == ["Ra", "Rb", "Rc", "Rd"]
    assert parts["Rb"].length == pytest.approx(160.0, abs=2.0)
    assert parts["Rd"].ends[1].frame.origin[0] == pytest.approx(830.0)
    assert ends(parts["S"])[0] == ["Ra"]
    assert "tubes-cross" not in graver(found)


# -- the other two ways ---------------------------------------------------------------------
def test_a_hole_to_pass_through_has_its_edge_on_both_sides() -> None:
    """Half a millimetre of room all round; on a flat face the hole is a circle of the tube's own size and that."""
    wide = tube("A", (-500, 0, 0), (500, 0, 0), section="60 x 60 x 3")
    parts, found = made(wide, tube("B", (0, -500, 0), (0, 500, 0), section=ROUND, through="A"))
    holes = parts["A"].holes
    assert [(hole.at, hole.passes) for hole in holes] == [("start", True), ("finish", True)]
    for hole in holes:
        assert hole.edge.size == pytest.approx((34.7, 34.7), abs=0.02)
        assert hole.edge.centre[1] == pytest.approx(500.0, abs=1e-6)
    assert abs(holes[0].edge.centre[0] - holes[1].edge.centre[0]) == pytest.approx(wide_half_girth(), abs=1e-6)
    assert graver(found) == {}


def wide_half_girth() -> float:
    return (4.0 * 60.0 - (8.0 - 2.0 * math.pi) * 6.0) / 2.0


def test_the_stop_names_three_ways_and_each_of_them_clears_it() -> None:
    other = tube("B", (0, -500, 5), (0, 500, 5), section=ROUND)
    _, found = made(FIRST, other)
    said = graver(found)["tubes-cross"]
    assert "mm deep" in said
    assert '`crossings = "cut"`' in said
    assert '`through = "A"`' in said
    # 5 mm off already: 41 - 5 more, upward
    assert '`offset = ["0 mm", "0 mm", "36 mm"]`' in said
    for keys in ({"crossings": "cut"}, {"through": "A"}, {"offset": ["0 mm", "0 mm", "36 mm"]}):
        assert "tubes-cross" not in graver(made(FIRST, other | keys)[1]), keys


@pytest.mark.parametrize(("beside", "cut"), [(7.3, True), (7.7, True), (7.9, False), (20.0, False)])
@pytest.mark.parametrize("bent", [False, True])
def test_to_cut_is_named_where_all_of_the_tube_lands_on_the_other(beside: float, cut: bool, bent: bool) -> None:
    """24.15 - 16.85 = 7.3 beside the axis, and half a millimetre to spare."""
    main = HOOP if bent else tube("H", (0, 500, 0), (0, 500, 1000), section="48.3 x 3.2")
    across = tube("B", (-700, 500 + beside, 600), (300, 500 + beside, 600), section=ROUND)
    said = graver(made(main, across)[1])["tubes-cross"]
    assert ("crossings" in said) == cut
    assert "offset" in said
    if cut and beside < 7.5:
        assert graver(made(main, across | {"crossings": "cut"})[1]) == {}


def test_of_a_wide_and_a_narrow_tube_the_narrow_one_is_to_be_cut_whichever_is_listed_first() -> None:
    wide = tube("W", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2")
    narrow = tube("N", (0, -500, 0), (0, 500, 0), section=ROUND)
    for tubes in ((wide, narrow), (narrow, wide)):
        said = graver(made(*tubes)[1])["tubes-cross"]
        assert '`crossings = "cut"` in the table of N cuts it in two that sit on W' in said
    assert graver(made(narrow | {"crossings": "cut"}, wide)[1]) == {}


# -- at bent tubes ------------------------------------------------------------------------------


def rail(*route: tuple[float, float, float], **keys: Any) -> dict[str, Any]:
    return tube("B", *route, section=ROUND, crossings="cut", **keys)


@pytest.mark.parametrize("first", [True, False])
def test_a_rail_is_cut_where_it_runs_through_a_hoops_leg_whichever_is_listed_first(first: bool) -> None:
    across = rail((-700, 500, 600), (300, 500, 600))
    parts, found = made(*((across, HOOP) if first else (HOOP, across)))
    assert parts["Ba"].length == pytest.approx(700.0 - SIDE, abs=0.02)
    assert parts["Bb"].length == pytest.approx(300.0 - SIDE, abs=0.02)
    assert graver(found) == {}


def test_a_rail_in_the_plane_of_a_hoop_is_cut_at_both_legs() -> None:
    parts, found = made(HOOP, rail((0, 900, 400), (0, -800, 400)))
    assert {mark: round(part.length, 1) for mark, part in parts.items() if mark != "H"} == {
        "Ba": round(400 - SIDE, 1), "Bb": round(1000 - 2 * SIDE, 1), "Bc": round(300 - SIDE, 1),
    }  # fmt: skip
    assert graver(found) == {}


def test_a_rail_is_cut_at_a_bend() -> None:
    """Across the middle of the bend, on its centre line, the same as on a straight post."""
    parts, found = made(HOOP, rail((-400, IN_BEND, IN_BEND + 500), (400, IN_BEND, IN_BEND + 500)))
    assert parts["Ba"].length == parts["Bb"].length == pytest.approx(400 - SIDE, abs=0.02)
    assert graver(found) == {}


def test_a_bar_across_a_ring_is_cut_at_both_sides() -> None:
    corners = [(500, 500, 0), (-500, 500, 0), (-500, -500, 0), (500, -500, 0), (500, 500, 0)]
    ring = tube("H", *corners, section="48.3 x 3.2", bend_radius=500)
    parts, found = made(ring, rail((-700, 0, 0), (700, 0, 0)))
    assert [mark for mark in parts if mark[0] == "B"] == ["Ba", "Bb", "Bc"]
    assert 1000 - 2 * SIDE - 0.5 < parts["Bb"].length < 1000 - 2 * SIDE
    assert graver(found) == {}


@pytest.mark.parametrize(("beside", "pieces"), [(39.9, 2), (41.5, 1)])
def test_a_rail_that_only_touches_a_hoop_is_not_cut(beside: float, pieces: int) -> None:
    """The two axes are 24.15 + 16.85 = 41 apart where they touch, and less than 0.5 mm counts as touching."""
    parts, _ = made(HOOP, rail((-700, 500 + beside, 600), (300, 500 + beside, 600)))
    assert len(parts) == 1 + pieces


@pytest.mark.parametrize(
    "whole",
    [
        rail((0, 500, 600), (700, 500, 600)),  # it ends on the leg
        rail((-400, 500, -60), (400, 500, -60)),  # it passes below the hoop's foot
        rail((-700, 500, 600), (300, 500, 600), through="H"),  # through a hole
    ],
)
def test_rails_that_stay_whole_at_a_hoop(whole: dict[str, Any]) -> None:
    parts, _ = made(HOOP, whole)
    assert list(parts) == ["H", "B"]


# -- laps --------------------------------------------------------------------------------------
@pytest.mark.parametrize("apart", [-0.4, 0.0, 0.4])
def test_tubes_that_only_touch_are_laps(apart: float) -> None:
    over = tube("B", (0, -500, 40 + apart), (0, 500, 40 + apart), section=SQUARE)
    flat = tube("A", (-500, 0, 0), (500, 0, 0), section=SQUARE)
    beside = tube("C", (-500, 40 + apart, 0), (500, 40 + apart, 0), section=SQUARE)
    assert graver(made(flat, over)[1]) == {}
    laps = [finding.text for finding in made(flat, over)[1] if finding.rule == "tube-lap"]
    assert laps == ["lies against A, a lap: weld lines 2 x 40 mm, one along either side of it"]
    laps = [finding.text for finding in made(flat, beside)[1] if finding.rule == "tube-lap"]
    assert laps == ["lies against A, a lap: weld lines 2 x 1000 mm, one along either side of it"]


@pytest.mark.parametrize(("apart", "rule"), [(-0.6, "tubes-cross"), (0.6, None)])
def test_more_than_touching_is_a_stop_and_less_is_nothing(apart: float, rule: str | None) -> None:
    over = tube("B", (0, -500, 40 + apart), (0, 500, 40 + apart), section=SQUARE)
    found = made(tube("A", (-500, 0, 0), (500, 0, 0), section=SQUARE), over)[1]
    assert {finding.rule for finding in found} & {"tubes-cross", "tube-lap"} == ({rule} if rule else set())
    if rule:
        assert "0.6 mm deep" in graver(found)[rule]


# -- faults ------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"through": "Q"}, 'no tube "Q"'),
        ({"through": "B"}, "itself"),
        ({"crossings": "both"}, "none of the choices"),
        ({"offset": [0, 1]}, "three lengths"),
    ],
)
def test_faults(keys: dict[str, Any], words: str) -> None:
    with pytest.raises(JobError) as caught:
        made(FIRST, tube("B", (0, -500, 0), (0, 500, 0), section=ROUND, **keys))
    assert any(words in problem.what for problem in caught.value.problems), caught.value.problems


@pytest.mark.parametrize(
    ("keys", "section", "words"),
    [
        ({"through": "A"}, "60.3 x 3.2", "is wider than A"),
        ({"through": "A"}, "48.3 x 3.2", "is wider than A"),
    ],
)
def test_what_cannot_pass_is_a_stop(keys: dict[str, Any], section: str, words: str) -> None:
    said = graver(made(FIRST, tube("B", (0, -500, 0), (0, 500, 0), section=section, **keys))[1])
    assert words in said["no-hole"]
