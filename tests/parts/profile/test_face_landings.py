"""What lands on profiles, and profiles on tubes: where its edges are, against figures worked out by hand."""

import math

import pytest

from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.drawing.tables_of_a_part import face_landing_table
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Text
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FaceLanding, Piece, face_landings_on
from fabgen.plan.fit_order import profile_checks, profile_steps
from fabgen.wording.figures import Figures

HEAD = """[job]
title = "Bearers"
number = "B-1"
units = "{units}"
material = "S235"
"""
# Webs back to back outward, cross members nested between the toes: the back of each lies at the given x, its flanges
# run back from there (front is +x), so a UPN 80 of 45 mm takes 1155 to 1200.
CHANNELS = """
[[profile]]
mark = "S1"
section = "UPN 100"
route = [[0, 0, 0], [1800, 0, 0]]
back = "right"
[[profile]]
mark = "S2"
section = "UPN 100"
route = [[0, 1100, 0], [1800, 1100, 0]]
back = "left"
[[profile]]
mark = "M1"
section = "UPN 100"
route = [[500, 0, 0], [500, 1100, 0]]
back = "front"
[[profile]]
mark = "M2"
section = "UPN 80"
route = [[1200, 0, 0], [1200, 1100, 0]]
back = "front"
[[tube]]
mark = "POST"
section = "40 x 40 x 3"
turn = 0
route = [[820, 20, 50], [820, 20, 400]]
"""


def pieces(text: str, units: str = "mm") -> list[Piece]:
    return all_pieces(read_text(HEAD.format(units=units) + text).definitions)


def on(made: list[Piece], mark: str) -> dict[str, FaceLanding]:
    (main,) = (piece for piece in made if piece.mark == mark)
    return {landing.branch: landing for landing in face_landings_on(main)}


@pytest.fixture(scope="module")
def channels() -> list[Piece]:
    return pieces(CHANNELS)


@pytest.mark.parametrize(
    ("branch", "first", "last", "face", "low", "high", "datum"),
    [
        ("M1", 450.0, 500.0, "web inside", 0.0, 100.0, "flange a"),
        ("M2", 1155.0, 1200.0, "web inside", 10.0, 90.0, "flange a"),
        ("POST", 800.0, 840.0, "flange a outside", 0.0, 40.0, "the back"),
    ],
)
def test_edges_on_a_channel(
    channels: list[Piece], branch: str, first: float, last: float, face: str, low: float, high: float, datum: str
) -> None:
    landing = on(channels, "S1")[branch]
    assert (landing.first, landing.last) == pytest.approx((first, last), abs=0.05)
    assert landing.faces[0] == face
    assert landing.across is not None
    assert (landing.across.low, landing.across.high) == pytest.approx((low, high), abs=0.05)
    assert landing.across.datum == datum
    assert landing.angle == pytest.approx(math.pi / 2.0)


def test_places_count_from_the_saw_cut_of_a_main_drawn_the_other_way_round(channels: list[Piece]) -> None:
    turned = pieces(CHANNELS.replace("[[0, 0, 0], [1800, 0, 0]]", "[[1800, 0, 0], [0, 0, 0]]"))
    landing = on(turned, "S1")["M2"]
    assert (landing.first, landing.last) == pytest.approx((600.0, 645.0), abs=0.05)
    # Its back looks the same way still.
    assert landing.faces[0] == "web inside"


def test_a_sawn_back_start_counts_from_its_saw_cut() -> None:
    """20 mm taken off the start leave 20 mm less to measure."""
    text = CHANNELS.replace('back = "right"', 'back = "right"\nstart = { cut = "plain", extend = -20 }')
    assert on(pieces(text), "S1")["M2"].first == pytest.approx(1135.0, abs=0.05)


def test_a_brace_s_edges_on_a_leg_lie_as_far_apart_as_its_slope_makes_them() -> None:
    """A flat bar 40 wide on edge at 45 degrees shows 40 / sin 45 on the leg that it is sawn to."""
    text = """
[[profile]]
mark = "A"
section = "angle 60 x 60 x 6"
route = [[0, 0, 0], [1000, 0, 0]]
legs = ["top", "left"]
[[profile]]
mark = "F"
section = "flat 40 x 5"
route = [[400, 30, 6], [700, 30, 306]]
width = "back"
start = { cut = "notch", onto = "A" }
"""
    landing = on(pieces(text), "A")["F"]
    assert landing.faces == ("leg b inside",)
    assert landing.last - landing.first == pytest.approx(40.0 * math.sqrt(2.0), abs=0.1)
    assert (landing.first + landing.last) / 2.0 == pytest.approx(400.0, abs=0.1)
    assert landing.across is not None
    assert (landing.across.low, landing.across.high) == pytest.approx((27.5, 32.5), abs=0.05)
    assert landing.angle == pytest.approx(math.pi / 4.0)


def test_a_profile_on_tubes() -> None:
    """On the side of a rectangular tube, and round a round one, in degrees from its top line."""
    text = """
[[tube]]
mark = "R"
section = "60 x 40 x 3"
turn = 0
route = [[0, 0, 0], [800, 0, 0]]
[[tube]]
mark = "O"
section = "60.3 x 3.2"
route = [[0, 500, 0], [800, 500, 0]]
[[profile]]
mark = "A1"
section = "flat 30 x 5"
route = [[200, 0, 0], [200, 500, 0]]
width = "front"
"""
    made = pieces(text)
    square, round_ = on(made, "R")["A1"], on(made, "O")["A1"]
    assert (square.first, square.last) == pytest.approx((185.0, 215.0), abs=0.05)
    assert (square.faces, square.round) == (("left",), None)
    assert (round_.first, round_.last) == pytest.approx((185.0, 215.0), abs=0.05)
    # From the start of the tube, which runs along +x, y is its left: the bar comes from its right, a quarter round.
    assert round_.round == pytest.approx(math.pi / 2.0, abs=0.02)


def test_mitred_ends_and_ends_in_the_air_land_nowhere() -> None:
    text = """
[points]
A = [0, 0, 0]
B = [600, 0, 0]
C = [600, 400, 0]
[[profile]]
mark = "A1"
section = "angle 40 x 40 x 4"
route = ["A", "B"]
legs = ["top", "left"]
[[profile]]
mark = "A2"
section = "angle 40 x 40 x 4"
route = ["B", "C"]
legs = ["top", "back"]
[[profile]]
mark = "A3"
section = "flat 30 x 5"
route = [[300, 60, 2], [300, 300, 2]]
"""
    assert not any(face_landings_on(piece) for piece in pieces(text))


def test_the_table_of_a_channel_s_drawing(channels: list[Piece]) -> None:
    (main,) = (piece for piece in channels if piece.mark == "S1")
    table = face_landing_table(face_landings_on(main), Figures())
    assert table is not None
    assert [row[:5] for row in table.rows] == [
        ("M1 (start)", "web inside and toe a", "450", "500", "0 to 100 from flange a"),
        ("POST (start)", "flange a outside", "800", "840", "0 to 40 from the back"),
        ("M2 (start)", "web inside", "1155", "1200", "10 to 90 from flange a"),
    ]


def test_the_job_map_reads_the_near_edges(channels: list[Piece]) -> None:
    last = profile_steps(channels)[-1]
    assert [piece.mark for piece in last] == ["M1", "M2"]
    checks = list(profile_checks(last, channels))
    assert [check.what for check in checks] == [f"{mark}'s start to the near edge of" for mark in ("S1", "S2")]
    for check in checks:
        assert check.to == ("M1", "M2")
        assert check.lengths == pytest.approx((450.0, 1155.0), abs=0.05)


def test_a_short_channel_s_drawing_shows_what_lands_on_it() -> None:
    """At the back of its web and on a flange, with the nearer edge's place."""
    short = CHANNELS.replace("1800", "420").replace("[500,", "[120,").replace("[1200,", "[300,").replace("820", "220")
    made = [piece for piece in pieces(short) if piece.mark == "S1"]
    header = Header.model_validate({"title": "Bearers", "number": "B-1", "units": "mm"})
    page = drawing_pages(made, header, paper.A4)[0]
    said = {each.text for each in page.picture.items if isinstance(each, Text)}
    assert {"M1 behind", "M2 behind", "POST", "70", "255", "200"} <= said
