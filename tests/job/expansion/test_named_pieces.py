"""What names a tube that was cut in pieces means the piece at that place."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import tube, tubes_text

from fabgen.job.reader import JobError, read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlatPart, LengthPart
from fabgen.parts.shape.welds.welded import WeldedPair, welded_pairs

ROUND = "40 x 3"
BAR = tube("B", (500, -300, 0), (500, 300, 0), section=ROUND)
CUT = tube("A", (0, 0, 0), (1000, 0, 0), section=ROUND, crossings="cut")
POSTS = [tube("C", (0, 0, 0), (0, 0, 500), section=ROUND), tube("D", (1000, 0, 0), (1000, 0, 500), section=ROUND)]


def made(*tubes: dict[str, Any], nodes: str = "") -> dict[str, LengthPart]:
    read = read_text(tubes_text(*tubes) + "\n" + nodes).definitions
    return {piece.mark: part for piece in all_pieces(read) if (part := piece.length_part) is not None}


def node(x: float, runs: str) -> str:
    return f'[[node]]\nat = [{x}, 0, 0]\nruns = "{runs}"\n'


def sits(part: LengthPart) -> list[list[str]]:
    return [[joint.onto for joint in end.joints] for end in part.ends]


# -- runs ---------------------------------------------------------------------------------------
@pytest.mark.parametrize(("x", "post", "piece"), [(0, "C", "Aa"), (1000, "D", "Ab")])
def test_the_piece_that_ends_there_runs_on(x: float, post: str, piece: str) -> None:
    """The posts are listed first, so without the node they would run on."""
    parts = made(*POSTS, BAR, CUT)
    assert sits(parts[piece])[0 if x == 0 else 1] == [post]
    parts = made(*POSTS, BAR, CUT, nodes=node(x, "A"))
    assert sits(parts[post])[0] == [piece]
    assert made(*POSTS, BAR, CUT, nodes=node(x, piece)).keys() == parts.keys()


def test_a_spliced_tube_and_the_side_of_a_frame_are_pieces_too() -> None:
    spliced = tube("A", (0, 0, 0), (1000, 0, 0), section=ROUND, splices=[400], sleeve="none")
    assert sits(made(*POSTS, spliced, nodes=node(1000, "A"))["D"])[0] == ["Ab"]
    ring = tube("R", (0, 0, 0), (1000, 0, 0), (1000, 800, 0), (0, 800, 0), (0, 0, 0), section="40 x 40 x 3")
    assert "Rd" in made(ring, nodes=node(0, "R"))


@pytest.mark.parametrize(
    ("x", "runs", "what", "near"),
    [
        (0, "B", "B has no end at this point", "tubes that end here: C, Aa"),
        (0, "Q", 'there is no tube "Q" to run on', "tubes that end here: C, Aa"),
        (0, "Ab", "Ab has no end at this point", "tubes that end here: C, Aa"),
        (1000, "C", "C has no end at this point", "tubes that end here: D, Ab"),
        (1000, "Ac", 'there is no tube "Ac" to run on', "tubes that end here: D, Ab"),
    ],
)
def test_what_does_not_end_there_is_refused_with_those_that_do(x: float, runs: str, what: str, near: str) -> None:
    with pytest.raises(JobError) as caught:
        made(*POSTS, BAR, CUT, nodes=node(x, runs))
    (problem,) = caught.value.problems
    assert problem.path == ("node", 0, "runs")
    assert problem.what == what
    assert problem.accepted == near


# -- through ------------------------------------------------------------------------------------
@pytest.mark.parametrize(("x", "piece"), [(200, "Aa"), (800, "Ab")])
def test_one_passes_through_the_piece_where_it_crosses(x: float, piece: str) -> None:
    passing = tube("P", (x, -300, 0), (x, 300, 0), section="20 x 2", through="A")
    parts = made(BAR, CUT, passing)
    assert parts["P"].through == (piece,)
    assert [hole.branch for hole in parts[piece].holes] == ["P", "P"]


def test_no_tube_is_cut_where_it_passes_through_another_or_that_through_it() -> None:
    for passing in (
        tube("P", (200, -300, 0), (200, 300, 0), section="20 x 2", through="A"),
        tube("P", (200, -300, 0), (200, 300, 0), section="20 x 2", through=["A"], crossings="cut"),
    ):
        assert set(made(BAR, CUT, passing)) == {"B", "Aa", "Ab", "P"}


def test_a_name_that_no_tube_has_is_refused() -> None:
    passing = tube("P", (200, -300, 0), (200, 300, 0), section="20 x 2", through="Z")
    with pytest.raises(JobError, match='there is no tube "Z" to pass through'):
        made(BAR, CUT, passing)


# -- sheet ---------------------------------------------------------------------------------------
EAR = """[[bracket]]
mark = "E"
shape = "ear"
thickness = 6
width = 30
height = 60
bolt = "M12"
sits = "{}"
place = {{ against = "A", at = {}, side = "left", stands_on = "foot" }}
[[plate]]
mark = "P"
thickness = 5
rectangle = [90, 90]
tubes = [{{ tube = "{}", at = [45, 45], lean = 0 }}]
"""


@pytest.mark.parametrize(("at", "piece"), [(200, "Aa"), (800, "Ab")])
def test_an_edge_that_sits_on_a_tube_that_was_cut_sits_on_its_piece_there(at: int, piece: str) -> None:
    def sheet(named: str) -> tuple[dict[str, FlatPart], list[WeldedPair]]:
        job = read_text(tubes_text(BAR, CUT) + "\n" + EAR.format(named, at, named)).definitions
        pieces = all_pieces(job)
        flats = {each.mark: part for each in pieces if (part := each.flat_part) is not None}
        return flats, welded_pairs(job, pieces)

    (one, pairs), (other, named_pairs) = sheet("A"), sheet(piece)
    for mark in ("E", "P"):
        assert one[mark].outline == other[mark].outline
        assert len(one[mark].marks) == len(other[mark].marks)
    (stands,), (likewise,) = one["E"].places, other["E"].places
    assert stands.frame.origin == pytest.approx(likewise.frame.origin)
    assert stands.frame.axes == pytest.approx(likewise.frame.axes)
    assert {(each.one, each.other) for each in named_pairs} <= {(each.one, each.other) for each in pairs}


def test_a_part_cut_to_a_tube_that_was_cut_says_so_where_it_would_lie_on_it() -> None:
    lying = EAR.format("A", 200, "A").replace(', stands_on = "foot"', "")
    with pytest.raises(JobError, match="it is cut to sit on Aa, and would lie on it with its back"):
        all_pieces(read_text(tubes_text(BAR, CUT) + "\n" + lying).definitions)


def test_what_names_no_tube_is_told_with_the_nearest() -> None:
    with pytest.raises(JobError) as told:
        read_text(tubes_text(BAR, CUT) + "\n" + EAR.format("Ac", 200, "A"))
    (fault,) = told.value.problems
    assert fault.nearest in ("Aa", "Ab")


# -- round tubes ---------------------------------------------------------------------------------
CLASPS = """[[bar]]
mark = "U"
shape = "U-bolt"
diameter = 10
around = "{tube}"
clamps = [6]
{at}
[[strap]]
mark = "S"
width = 40
thickness = 4
round = "{tube}"
bolt = "M8"
{at}
"""


@pytest.mark.parametrize(("at", "piece", "along"), [(200, "Aa", 200), (700, "Ab", 200), (500, "Aa", 500)])
def test_what_goes_round_a_tube_that_was_cut_goes_round_its_piece_there(at: int, piece: str, along: int) -> None:
    job = read_text(tubes_text(BAR, CUT) + "\n" + CLASPS.format(tube="A", at=f"at = {at}")).definitions
    (bar,), (strap,) = job.bar, job.strap
    assert (bar.around, bar.at) == (piece, pytest.approx(along))
    assert (strap.round, list(strap.at or ())) == (piece, [pytest.approx(along)])


BENT = tube("A", (0, 0, 0), (1000, 0, 0), (1000, 1000, 0), section=ROUND, bend_radius=200, splices=[500])
BEHIND = 800 + math.pi / 2 * 200 + 300
"""A bend of 200 mm takes a quarter of its round in place of 200 mm twice."""


@pytest.mark.parametrize(
    ("splice", "at", "piece", "along"),
    [(500, 200, "Aa", 200), (500, 700, "Ab", 200), (500, 1700, "Ab", 1200), (BEHIND, 1700, "Ab", 1700 - BEHIND)],
)
def test_of_a_bent_tube_the_place_counts_round_its_bend(splice: float, at: int, piece: str, along: float) -> None:
    bent = BENT | {"splices": [splice]}
    job = read_text(tubes_text(bent) + "\n" + CLASPS.format(tube="A", at=f"at = {at}")).definitions
    (bar,), (strap,) = job.bar, job.strap
    assert (bar.around, bar.at) == (piece, pytest.approx(along))
    assert (strap.round, list(strap.at or ())) == (piece, [pytest.approx(along)])


def test_what_says_not_where_has_the_section_of_the_tube() -> None:
    job = read_text(tubes_text(BAR, CUT) + "\n" + CLASPS.format(tube="A", at="")).definitions
    assert (job.bar[0].around, job.strap[0].round) == ("Aa", "Aa")


def test_one_strap_on_two_pieces_is_refused() -> None:
    strap = CLASPS[CLASPS.index("[[strap]]") :].format(tube="A", at="at = [200, 700]")
    with pytest.raises(JobError, match="A is cut in pieces, and these places are on Aa and Ab") as caught:
        read_text(tubes_text(BAR, CUT) + "\n" + strap)
    assert len(caught.value.problems) == 1
