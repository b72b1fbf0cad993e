"""Where tubes land on a main, against values worked out by hand from the job's points."""

import math
from pathlib import Path

import pytest
from jobs import definitions, tube

from fabgen.documents.drawing.tables_of_a_part import landing_table
from fabgen.job.reader import read_job, read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Landing
from fabgen.wording.figures import Figures

SAMPLE = Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml"
LEAN = math.degrees(math.atan2(98.0, 336.0))
"""Of the sample's turret posts from upright: 98 mm over 336."""


def on(job: str | Path, mark: str) -> dict[tuple[str, str], Landing]:
    read = read_job(job) if isinstance(job, Path) else read_text(job)
    pieces = all_pieces(read.definitions)
    main = next(piece for piece in pieces if piece.mark == mark)
    assert main.length_part is not None
    return {(each.branch, each.at): each for each in main.length_part.landings}


@pytest.fixture(scope="module")
def longitudinal() -> dict[tuple[str, str], Landing]:
    return on(SAMPLE, "T1")


@pytest.mark.parametrize(
    ("branch", "along", "turned"),
    [("T3", 60.0, 90.0), ("T4", 950.0 + 230.0, 90.0), ("T5", 950.0 + 520.0, 90.0), ("T6", 2000.0 - 60.0, 90.0),
     ("T14", 950.0 - 135.0, LEAN), ("T15", 950.0 + 135.0, LEAN)],
)  # fmt: skip
def test_square_branches_of_the_sample_s_left_longitudinal(
    longitudinal: dict[tuple[str, str], Landing], branch: str, along: float, turned: float
) -> None:
    """It runs forward from the rear left corner, its finish past the front by its extension: cross members
    come from its right, posts stand on its top and lean to its right."""
    each = longitudinal[branch, "start"]
    assert each.axes == pytest.approx(along)
    assert each.skin == pytest.approx(along)
    assert math.degrees(each.round or 0.0) == pytest.approx(turned)
    assert math.degrees(each.angle) == pytest.approx(90.0)


def test_an_oblique_branch_comes_through_the_skin_farther_on(longitudinal: dict[tuple[str, str], Landing]) -> None:
    """T7 from 460 mm on the axis to the middle of T4: 720 mm forward over half the frame's width; its axis
    leaves the main's skin when it has gone half the main's 60.3 mm sideways."""
    half = 43.25 * 25.4 / 2.0
    each = longitudinal["T7", "start"]
    assert each.axes == pytest.approx(460.0)
    assert each.skin == pytest.approx(460.0 + 720.0 * 30.15 / half)
    assert each.angle == pytest.approx(math.atan2(half, 720.0))


def test_the_right_hand_side_is_three_quarters_round() -> None:
    each = on(SAMPLE, "T2")["T3", "finish"]
    assert (each.axes, math.degrees(each.round or 0.0)) == pytest.approx((60.0, 270.0))


def test_a_start_that_is_extended_counts_from_its_cut() -> None:
    """The turret rail runs 40 mm past its posts at either end, and they come from below, out of its left."""
    found = on(SAMPLE, "T12")
    assert found["T14", "finish"].axes == pytest.approx(40.0)
    assert found["T15", "finish"].axes == pytest.approx(40.0 + 270.0)
    assert math.degrees(found["T14", "finish"].round or 0.0) == pytest.approx(180.0 + LEAN)


OFFSET = """
[job]
title = "landings"
number = "L-1"
units = "mm"
[points]
A = [0, 0, 0]
B = [1000, 0, 0]
C = [400, 0, 12]
D = [400, 300, 12]
[[tube]]
mark = "T1"
section = "60.3 x 3.2"
route = ["A", "B"]
[[tube]]
mark = "T2"
section = "33.7 x 2.6"
route = ["C", "D"]
start = { cut = "cope", onto = ["T1"] }
"""


def test_an_offset_branch_lands_off_the_side() -> None:
    """12 mm above the axis of a tube of radius 30.15: asin(12 / 30.15) above the left side, 270 degrees round."""
    each = on(OFFSET, "T1")["T2", "start"]
    assert each.skin == pytest.approx(400.0)
    assert math.degrees(each.round or 0.0) == pytest.approx(270.0 + math.degrees(math.asin(12.0 / 30.15)))


HOOP = """
[job]
title = "hoop"
number = "H-1"
units = "mm"
[[tube]]
mark = "H"
section = "44.5 x 2.6"
route = [[0, 500, 0], [0, 500, 1000], [0, -500, 1000], [0, -500, 0]]
bend_radius = 150
[[tube]]
mark = "S"
section = "38 x 2.5"
route = [[-600, {y}, {z}], [0, {y}, {z}]]
"""


@pytest.mark.parametrize("into", [20.0, 45.0, 70.0])
def test_in_a_bend(into: float) -> None:
    """Up 850 to the first bend, then so many degrees about (y 350, z 850).  The hoop's top line is its front, as a
    tube that stands upright has it, and stays so: the bend lies in the plane square to it.  A branch from behind
    lands opposite."""
    turn = math.radians(into)
    y, z = 350.0 + 150.0 * math.cos(turn), 850.0 + 150.0 * math.sin(turn)
    found = on(HOOP.format(y=y, z=z), "H")
    each = found["S", "finish"]
    assert each.bend is not None
    assert (each.bend.number, math.degrees(each.bend.into)) == pytest.approx((1, into))
    assert each.axes == pytest.approx(850.0 + 150.0 * turn)
    assert each.skin == pytest.approx(850.0 + 150.0 * turn)
    assert math.degrees(each.round or 0.0) == pytest.approx(180.0)
    assert math.degrees(each.angle) == pytest.approx(90.0)


def test_in_the_second_bend_and_above_its_axis() -> None:
    """Its axis 10 mm farther out than the hoop's, whose radius is 22.25: asin(10 / 22.25) round from opposite TOP
    to the outside, which is on the right looking up the first leg with TOP ahead, at 90."""
    turn = math.radians(30.0)
    y, z = -350.0 - 160.0 * math.sin(turn), 850.0 + 160.0 * math.cos(turn)
    each = on(HOOP.format(y=y, z=z), "H")["S", "finish"]
    assert each.bend is not None
    assert (each.bend.number, math.degrees(each.bend.into)) == pytest.approx((2, 30.0))
    assert each.axes == pytest.approx(850.0 + 150.0 * math.pi / 2.0 + 700.0 + 150.0 * turn)
    assert math.degrees(each.round or 0.0) == pytest.approx(180.0 - math.degrees(math.asin(10.0 / 22.25)))


def test_the_table_says_how_far_into_the_bend() -> None:
    turn = math.radians(45.0)
    y, z = 350.0 + 150.0 * math.cos(turn), 850.0 + 150.0 * math.sin(turn)
    pieces = all_pieces(read_text(HOOP.format(y=y, z=z)).definitions)
    assert pieces[0].length_part is not None
    table = landing_table(pieces[0].length_part, Figures())
    assert table is not None
    assert ("S (finish)", "967.8", "45° into bend 1", "180°", "69.9", "90°") in table.rows
    assert table.title.endswith("in a bend: along the centreline")


def test_what_nothing_sits_on_has_no_landings() -> None:
    assert on(OFFSET, "T2") == {}


def test_holes_stand_among_the_ends_in_the_order_along_the_tube() -> None:
    """Marked once, from one end to the other; slits and the far walls of holes are not marked along it."""
    rail = {
        **tube("R", (0, 0, 0), (600, 0, 0)),
        "holes": [
            {"at": 400, "side": "left", "bolt": "M10", "both_walls": True},
            {"at": 50, "side": "top", "diameter": 8},
        ],
        "start": {"slit": {"width": 3, "depth": 20, "side": "top"}},
    }
    posts = [tube(f"P{x}", (x, 0, 300), (x, 0, 0), section="33.7 x 2.6") for x in (500, 200)]
    (main, *_) = all_pieces(definitions(tube=[rail, *posts]))
    assert main.length_part is not None
    table = landing_table(main.length_part, Figures())
    assert table is not None
    assert [row[0] for row in table.rows] == ["hole 2, Ø8", "P200 (finish)", "hole 1, Ø11 for M10", "P500 (finish)"]
    assert [row[2] for row in table.rows][::2] == ["50", "400"]
    assert table.rows[2][3] == "270°"
    assert table.title.startswith("Ends that sit here and holes")
