"""Routes that lie on faces of their tubes: which way is out, sides, faults, and what else stands at the points."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, tube, tubes_text
from lying_jobs import ROUND, SQUARE, Corner, ends, made, table

from fabgen.checks.checked import Checked
from fabgen.job.reader import JobError
from fabgen.parts.piece import LengthPart
from fabgen.parts.survey.check_distances import places


# -- which way is out ------------------------------------------------------------------------
def test_a_bar_within_ends_on_the_centre_lines_of_what_it_meets() -> None:
    parts, _ = made(*table(), tube("M", (0, 300, 700), (800, 300, 700), section=SQUARE), lies="outside")
    assert ends(parts["M"]) == [(20, 300, 680), (780, 300, 680)]


def test_two_frames_in_one_job_each_have_an_outside() -> None:
    other = [each | {"mark": "B" + each["mark"]} for each in table()]
    for each in other:
        each["route"] = [[x + 800, y, z] for x, y, z in each["route"]]
        each["route"] = [[x + 500, y, z] for x, y, z in each["route"]]
    parts, _ = made(*table(), *other, lies="outside")
    assert ends(parts["P2"])[0] == (780, 20, 0)
    assert ends(parts["BP1"])[0] == (1320, 20, 0)


# -- by the tube ------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("side", "moved"),
    [("top", (0, 0, -30)), ("bottom", (0, 0, 30)), ("left", (0, -20, 0)), ("right", (0, 20, 0)),
     (["top", "left"], (0, -20, -30)), ("middle", (0, 0, 0))],
)  # fmt: skip
def test_sides(side: str | list[str], moved: Corner) -> None:
    parts, _ = made(tube("A", (0, 0, 0), (1000, 0, 0), section="60 x 40 x 3") | {"lies": side})
    assert ends(parts["A"])[0] == moved


def test_front_and_back_of_a_post() -> None:
    for side, x in (("front", -30), ("back", 30)):
        parts, _ = made(tube("A", (0, 0, 0), (0, 0, 1000), section="60 x 40 x 3") | {"lies": side})
        assert ends(parts["A"])[0] == (x, 0, 0)


def test_what_a_tube_says_goes_before_the_job_and_a_frame_has_sizes_of_its_own() -> None:
    lone = tube("X", (0, 0, -500), (0, 800, -500), section=ROUND, lies="middle")
    assert ends(made(*table(), lone, lies="outside")[0]["X"])[0] == (0, 0, -500)
    frame = '[[frame]]\nmark = "F"\nshape = "box"\nsection = "40 x 40 x 2"\nsize = [900, 500, 700]\nat = [0, 0, 0]\n'
    plain, told = (made(more=frame, **job)[0] for job in ({}, {"lies": "outside"}))
    assert len(plain) == 12
    assert {mark: ends(part) for mark, part in plain.items()} == {mark: ends(part) for mark, part in told.items()}


@pytest.mark.parametrize(
    ("entry", "job", "words"),
    [
        ({}, {"lies": "outside"}, "not clear where outside is"),
        ({"lies": "inside"}, {}, "not clear where inside is"),
        ({"lies": "front"}, {}, "this tube has no front: it runs that way"),
        ({"lies": ["top", "bottom"]}, {}, "top and bottom do not go together"),
        ({"lies": ["outside", "inside"]}, {}, "do not go together"),
        ({"lies": ["middle", "top"]}, {}, "do not go together"),
        ({"lies": "above"}, {}, '"above" is none of the choices'),
        ({}, {"lies": "top"}, '"top" is none of the choices'),
    ],
)
def test_faults(entry: dict[str, Any], job: dict[str, Any], words: str) -> None:
    with pytest.raises(JobError, match=words) as told:
        made(tube("A", (0, 0, 0), (1000, 0, 0), section=SQUARE) | entry, **job)
    assert len(told.value.problems) == 1


# -- what else stands at the points --------------------------------------------------------------
NAMED = """
[points]
A = [0, 0, 0]
B = [1000, 0, 0]
C = [1000, 800, 0]
D = [0, 800, 0]
"""


def named(lies: str = "outside") -> Checked:
    pairs = ("AB", "BC", "CD", "DA")
    tubes = "\n".join(f'[[tube]]\nmark = "T{p}"\nsection = "{SQUARE}"\nroute = ["{p[0]}", "{p[1]}"]' for p in pairs)
    return checked(f"{tubes_text(lies=lies)}\n{NAMED}\n{tubes}")


def test_points_keep_their_names_and_places_on_the_jig() -> None:
    assert {(p.name, p.xyz) for p in places(named().job)} == {(p.name, p.xyz) for p in places(named("middle").job)}
    assert {p.name for p in places(named().job)} == set("ABCD")


def test_a_node_is_named_by_the_point_given() -> None:
    node = '[[node]]\nat = [0, 0, 700]\nruns = "R1"\n'
    parts, _ = made(*table(ROUND, ROUND), more=node, lies="outside")
    assert [joint.onto for joint in parts["R1"].ends[0].joints] == []


def test_stacked_tubes_do_not_meet_where_their_points_do() -> None:
    """A rail on another, both drawn along the line between them: neither is cut for the other."""
    parts, found = made(
        tube("A", (0, 0, 0), (1000, 0, 0), section=SQUARE, lies="top"),
        tube("B", (0, 0, 0), (1000, 0, 0), section=SQUARE, lies="bottom"),
        tube("C", (0, 0, 0), (0, 800, 0), section=SQUARE, lies="bottom"),
    )
    assert ends(parts["A"])[0] == (0, 0, -20)
    assert [parts[mark].length for mark in "AB"] == pytest.approx([1000.0, 1020.0])
    assert [joint.onto for end in parts["C"].ends for joint in end.joints] == ["B"]
    assert not {"stop", "tubes-cross"} & set(found)


# -- made again -------------------------------------------------------------------------------
def repeated(side: str, angle: float, lying: bool = True) -> dict[str, LengthPart]:
    entry = tube("A", (200, 0, 0), (1000, 0, 0), section="60 x 40 x 3") | ({"lies": side} if lying else {})
    again = f'[[repeat]]\nparts = ["A"]\nabout = [[0, 0, 0], [0, 0, 1]]\ncount = 2\nangle = {angle}\n'
    return {p.mark: part for p in checked(tubes_text(entry) + "\n" + again).pieces if (part := p.length_part)}


def test_a_side_turns_with_a_copy() -> None:
    """On its left, 20 mm to +y; turned by 90 degrees to its back."""
    parts = repeated("left", 90)
    assert ends(parts["A"])[0] == (200, -20, 0)
    assert ends(parts["A-2"])[0] == (20, 200, 0)
    assert ends(repeated("top", 60)["A-2"])[0][2] == -30


def test_a_side_that_turns_to_none_is_told() -> None:
    with pytest.raises(JobError, match="is turned, and then lies on no one side"):
        repeated("left", 60)
