"""Holes for the plug welds of a sleeve inside a splice: drilled, of the size and at the place worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, findings, tube, tubes_text

from fabgen.job.reader import JobError, read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart
from fabgen.shop.section import Section
from fabgen.shop.sleeves import plug_hole

ROUND = "42.4 x 2.6"
SLEEVED = {"splice": "sleeved"}
PAIR = [
    tube("A", (0, 0, 0), (1000, 0, 0), section=ROUND, finish=SLEEVED),
    tube("B", (1000, 0, 0), (2000, 0, 0), section=ROUND),
]


def made(*tubes: dict[str, Any], **job: Any) -> dict[str, LengthPart]:
    pieces = all_pieces(read_text(tubes_text(*tubes, **job)).definitions)
    return {piece.mark: part for piece in pieces if (part := piece.length_part) is not None}


@pytest.mark.parametrize(
    ("section", "size"),
    [
        # the wall and 8 mm (5/16 in), up to a whole one: AWS D1.1, from memory
        (Section("round", 42.4, 42.4, 2.6), 11.0),
        (Section("round", 60.3, 60.3, 4.0), 12.0),
        # no more than half of a thin tube
        (Section("round", 21.3, 21.3, 2.6), 10.0),
        (Section("square", 50.0, 50.0, 3.0, 6.0), 11.0),
    ],
)
def test_their_size(section: Section, size: float) -> None:
    assert plug_hole(section) == size


def test_two_in_either_tube_opposite_one_another_halfway_along_the_sleeve() -> None:
    """The sleeve reaches 2 x 42.4 into either, so they are drilled 42.4 from the splice, at the sides."""
    parts = made(*PAIR)
    for mark, along in (("A", 1000.0 - 42.4), ("B", 42.4)):
        holes = parts[mark].drilled
        assert [hole.along for hole in holes] == pytest.approx([along, along])
        assert [hole.bore.width for hole in holes] == [11.0, 11.0]
        assert [hole.far for hole in holes] == [False, True]
        assert sorted(abs(float(hole.frame.x[1])) for hole in holes) == pytest.approx([1.0, 1.0])
        assert [abs(hole.station) for hole in holes] == pytest.approx([math.pi * 42.4 / 4.0] * 2)
    assert parts["A-SL1"].drilled == ()


@pytest.mark.parametrize("said", [[0], [1], [0, 1]])
def test_said_at_either_end_or_at_both_they_are_drilled_once(said: list[int]) -> None:
    tubes = [dict(each) for each in PAIR]
    tubes[0].pop("finish")
    for i in said:
        tubes[i]["finish" if i == 0 else "start"] = SLEEVED
    parts = made(*tubes)
    assert [len(parts[mark].drilled) for mark in ("A", "B")] == [2, 2]


def test_a_tube_cut_at_places_bent_and_rectangular() -> None:
    frame = tube(
        "A", (0, 0, 0), (0, 0, 1000), (0, 600, 1600), section="50 x 50 x 3", bend_radius=150, splices=[400],
        sleeve="43 x 43 x 3",
    )  # fmt: skip
    long = tube("C", (500, 0, 0), (500, 0, 9000), section="21.3 x 2.6", splices=[3000, 6000])
    parts = made(frame, long)
    assert [len(parts[mark].drilled) for mark in ("Aa", "Ab", "Ca", "Cb", "Cc")] == [2, 2, 2, 4, 2]
    # 50 from the splice in a square tube of 50.
    assert {round(hole.along, 6) for hole in parts["Ab"].drilled} == {50.0}
    assert [round(hole.along, 1) for hole in parts["Cb"].drilled] == [21.3, 21.3, 2978.7, 2978.7]
    found = findings(checked(tubes_text(frame, long)))
    assert {each.rule for each in found if each.level != "note"} == set()


def test_a_welded_splice_and_a_sleeve_of_one_s_own_have_none() -> None:
    assert made(PAIR[0] | {"finish": {"splice": "welded"}}, PAIR[1])["A"].drilled == ()
    own = tube("S", (915, 0, 0), (1085, 0, 0), section="37 x 2.6", sleeve_of=["A", "B"])
    assert made(*PAIR, own)["A"].drilled == ()


def test_holes_of_the_job_stay_and_come_first() -> None:
    drilled = PAIR[0] | {"holes": [{"at": 100, "side": "top", "diameter": 9}]}
    assert [round(hole.bore.width) for hole in made(drilled, PAIR[1])["A"].drilled] == [9, 11, 11]


def test_welded_shut_they_are_no_vents() -> None:
    drilled = made(*PAIR)["A"].drilled
    assert [hole.lets_through for hole in drilled] == [False, False]
    vented = PAIR[0] | {"holes": [{"at": 100, "side": "bottom", "diameter": 9}]}
    assert [hole.lets_through for hole in made(vented, PAIR[1])["A"].drilled] == [True, False, False]


def test_the_words_on_paper() -> None:
    (first, _) = made(*PAIR)["A"].drilled
    assert first.kind.words("mm") == "Ø 11 mm, to be plug-welded"


@pytest.mark.parametrize("key", [{"bolt": "M10"}, {"sleeve": "16 x 2", "diameter": 11}])
def test_what_stays_open_is_no_plug_weld(key: dict[str, Any]) -> None:
    hole = {"at": 100, "side": "top", "both_walls": True, "plug": True} | key
    text = tubes_text(tube("A", (0, 0, 0), (1000, 0, 0), section=ROUND, holes=[hole])).replace("True", "true")
    with pytest.raises(JobError, match="a hole that stays open"):
        read_text(text)


WIDE = {"at": 100, "side": "left", "diameter": 25, "plug": True}


# -- an old hand's eye ---------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("tubes", "rule"),
    [
        # a bolt's hole beside them
        ([PAIR[0] | {"holes": [{"at": 955, "side": "left", "bolt": "M10"}]}, PAIR[1]], "drill-apart"),
        # a rail lands on them
        ([*PAIR, tube("R", (945, 0, 0), (945, 600, 0), section="26.9 x 2.3")], "drill-under-joint"),
        # so short a piece that they are near its far end
        ([PAIR[0], tube("B", (1000, 0, 0), (1050, 0, 0), section=ROUND)], "drill-to-end"),
        # the second splice too near to the first
        (
            [
                PAIR[0],
                tube("B", (1000, 0, 0), (1095, 0, 0), section=ROUND, finish=SLEEVED),
                tube("C", (1095, 0, 0), (2000, 0, 0), section=ROUND),
            ],
            "drill-apart",
        ),
        # one wider than half its tube
        ([tube("A", (0, 0, 0), (1000, 0, 0), section=ROUND, holes=[WIDE])], "drill-wide"),
    ],
)
def test_faults_that_are_seen_at_once(tubes: list[dict[str, Any]], rule: str) -> None:
    text = tubes_text(*tubes).replace("True", "true")
    assert rule in {each.rule for each in findings(checked(text)) if each.level != "note"}


@pytest.mark.parametrize(
    "tubes",
    [
        [*PAIR, tube("R", (800, 0, 0), (800, 600, 0), section="26.9 x 2.3")],  # a rail clear of them
        [PAIR[0] | {"holes": [{"at": 955, "side": "top", "diameter": 9}]}, PAIR[1]],  # a hole a quarter round from them
    ],
)
def test_what_only_looks_wrong(tubes: list[dict[str, Any]]) -> None:
    said = {each.rule for each in findings(checked(tubes_text(*tubes))) if each.level != "note"}
    assert not any(rule.startswith("drill") for rule in said)
