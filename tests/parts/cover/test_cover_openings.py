"""Caps and panels by tape, by stations and by points; vents, beads, twist and creases, as a job file gives them."""

import math
from typing import Any

import pytest
from one_part import OnePart
from shapely import LineString, Point, box
from worded import fact_texts

from fabgen.geometry.plane.lettering import text_box
from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.plane.regions import region
from fabgen.job.errors import JobError
from fabgen.job.reader import describe, read_text
from fabgen.parts.piece import Concern, Piece

COVER = OnePart("cover", mark="C1", thickness=2, shape="cap")
made, flat, faults = COVER.piece, COVER.flat, COVER.faults


def told(piece: Piece, rule: str) -> list[Concern]:
    return [concern for concern in piece.concerns if concern.rule == rule]


# -- taped ----------------------------------------------------------------------
RIGHT = {"sides": [400, 300, 400, 300], "diagonals": {"1-3": 500, "2-4": 500}}


def test_taped_rectangle_is_the_rectangle() -> None:
    taped, drawn = flat(**RIGHT, corner_radius=15), flat(rectangle=[400, 300], corner_radius=15)
    assert taped.outline.bounds == pytest.approx(drawn.outline.bounds, abs=1e-6)
    assert taped.outline.area == pytest.approx(drawn.outline.area)
    assert taped.closes
    assert told(made(**RIGHT), "taped") == []
    assert "1 more than needed" in fact_texts(made(**RIGHT).facts)["taped"]


def test_just_enough_is_a_note() -> None:
    (note,) = told(made(sides=[400, 300, 400, 300], diagonals={"3-1": 500}), "taped")
    assert note.level == "note"
    assert "a slip of the tape does not show" in note.text.words()


def test_a_slip_is_told_and_its_suspect_named() -> None:
    five = {
        "sides": [300.67, 197.23, 226.72, 233.45, 280.71],
        "diagonals": {"1-3": 427.2, "1-4": 406.08, "2-4": 355.66 + 12, "2-5": 410.37, "3-5": 401.62},
    }
    (concern,) = told(made(**five, tape=6), "taped")
    assert concern.level == "warn"
    assert "most suspect is diagonal 2-4: the others make it" in concern.text.words()
    assert "Baarda" in concern.source


def test_a_slip_of_many_times_the_tape_error_stops_the_part() -> None:
    # A diagonal taped 20 mm short: the sheet would be cut 5 mm off what was taped.
    slipped = {"sides": [412, 305, 398, 300], "diagonals": {"1-3": 506.5, "2-4": 525.5}}
    (concern,) = told(made(**slipped, tape=1), "taped")
    assert concern.level == "stop"
    assert "do not cut it before it is taped again" in concern.text.words()
    (slight,) = told(made(**slipped, tape=5), "taped")
    assert slight.level == "warn"
    assert told(made(**slipped, tape=10), "taped") == []


def test_a_warped_opening_is_offered_as_the_reason() -> None:
    (concern,) = told(made(sides=[400, 300, 400, 300], diagonals={"1-3": 496, "2-4": 495}), "taped")
    assert "these measures do not show which one is wrong" in concern.text.words()
    assert "mm out of the plane of the others would explain it as well" in concern.text.words()
    (other,) = told(made(sides=[400, 300, 400, 300], diagonals={"1-3": 505, "2-4": 506}), "taped")
    assert "not flat would not explain it" in other.text.words()
    assert told(made(sides=[400, 300, 400, 300], diagonals={"1-3": 505, "2-4": 506}, tape=10), "taped") == []


def test_bowed_sides_are_arcs() -> None:
    part = flat(**RIGHT, bows={"2-3": 20, "4-1": -10}, weld_gap=0)
    assert isinstance(part.outline, Outline)
    arcs = {round(edge.radius, 3): edge.bulge for edge in part.outline.edges() if edge.is_arc}
    radius = (150.0**2 + 20.0**2) / 40.0
    assert arcs[round(radius, 3)] > 0.0  # stands out
    assert arcs[round((150.0**2 + 10.0**2) / 20.0, 3)] < 0.0
    assert part.outline.bounds[2] == pytest.approx(420.0)


@pytest.mark.parametrize(
    ("keys", "path", "words", "accepted"),
    [
        ({"sides": [400, 300, 400, 300]}, ("sides",), "1 too few", '"1-3" or "2-4"'),
        (
            {"sides": [400, 300, 400, 300], "diagonals": {"1-3": 800}},
            ("diagonals",),
            "1-3 of 800 mm is longer than",
            "tape these three again",
        ),
        (
            {"sides": [300, 100, 180, 150, 120, 250], "diagonals": {"1-3": 316.23, "1-4": 156.2, "1-5": 277.31}},
            ("diagonals",),
            "points inward at corner 4",
            "inward =",
        ),
        (RIGHT | {"bows": {"1-2": 300}}, ("bows", "1-2"), "more than half", "the middle of the side"),
        (RIGHT | {"bows": {"1-2": 20}, "corner_chamfer": 5}, ("corner_chamfer",), "no chamfer", "corner_radius"),
        (RIGHT | {"bows": {"1-2": 20}, "corner_radius": 190}, ("corner_radius",), "too short for radii", "smaller"),
        (RIGHT | {"corner_radius": 200}, ("corner_radius",), "of an edge", "smaller"),
    ],
)
def test_taped_faults(keys: dict[str, Any], path: tuple[str, ...], words: str, accepted: str) -> None:
    (problem,) = faults(**keys)
    assert problem.path == ("cover", 0, *path)
    assert words in problem.what
    assert accepted in problem.accepted


def told_of(text: str) -> str:
    header = '[job]\ntitle = "x"\nnumber = "x"\nunits = "mm"\n[[cover]]\nmark = "C1"\nthickness = 2\n'
    with pytest.raises(JobError) as caught:
        read_text(header + text)
    return "\n".join(describe(problem) for problem in caught.value.problems)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('shape = "cap"\nsides = [4, 3, 4, 3]\ndiagonals = { "1-2" = 5 }', '"1-2" is a side'),
        ('shape = "cap"\nsides = [4, 3, 4, 3]\ndiagonals = { "1-9" = 5 }', "corners 1 to 4"),
        ('shape = "cap"\nsides = [4, 3, 4, 3]\ndiagonals = { ac = 5 }', 'e.g. "1-3"'),
        ('shape = "cap"\nsides = [4, 3, 4, 3]\ndiagonals = { "1-3" = 5, "3-1" = 5 }', "given already"),
        ('shape = "cap"\nsides = [4, 3, 4, 3]\nbows = { "1-3" = 1 }', '"1-3" is no side'),
        ('shape = "cap"\nsides = [4, 3, 4, 3]\nrectangle = [4, 3]', "rectangle and sides"),
        ('shape = "cap"\nrectangle = [4, 3]\ndiagonals = { "1-3" = 5 }', "diagonals goes with sides"),
        ('shape = "cap"\nsides = [4, 3, 4]\ninward = [5]', "there is no corner 5"),
        ('shape = "skirt"\ndiameter = 9\nheight = 9\nvent = {}', "vent has no meaning here"),
        ('shape = "cap"\nrectangle = [400, 300]\nbeads = [{ line = [[1, 1]] }]', "the list has 1 item"),
        ('shape = "panel"\nbaseline = { length = 9, stations = [[0, 1], [9, 1]], between = "arc" }', "three points"),
        ('shape = "cone"\nbottom = { disc = 9 }\ntop = 5\nheight = 4', "a cone has diameters"),
        ('shape = "transition"\nbottom = 9\ntop = 5\nheight = 4\narc = 90', "arc has no meaning here"),
        ('shape = "cap"\nrectangle = [4, 3]\ncreases = ["1-3"]', "creases has no meaning here"),
        ('shape = "skirt"\ndiameter = 9\nheight = 9\nseam = 1\nseam_gap = 1', "seam and seam_gap"),
        ('shape = "skirt"\ndiameter = 9\nheight = 9\ncut_out = [{ diamter = 3 }]', "nearest: diameter"),
    ],
)
def test_reading_faults(text: str, words: str) -> None:
    assert words in told_of(text)


# -- stations -------------------------------------------------------------------
LINE = {"length": 900, "stations": [[0, 120], [200, 190], [500, 230], [900, 150]]}


def test_stations_on_the_left_with_the_baseline_as_the_other_edge() -> None:
    part = flat(shape="panel", baseline=LINE)
    area = (120 + 190) / 2 * 200 + (190 + 230) / 2 * 300 + (230 + 150) / 2 * 400
    assert part.outline.area == pytest.approx(area)
    assert part.outline.bounds == pytest.approx((0, 0, 900, 230))
    assert not part.closes
    assert part.holes == ()


def test_both_sides_splined_and_in_arcs() -> None:
    line = LINE | {"between": "spline", "right": [[0, 40], [450, 90], [900, 40]], "right_between": "arc"}
    piece = made(shape="panel", baseline=line)
    part = piece.flat_part
    assert part is not None
    edge = LineString(part.outline.points(0.005))
    ring = LineString([*edge.coords, edge.coords[0]])
    low = min(-40, -90)
    for x, y in [(x, y) for x, y in LINE["stations"]] + [(0, -40), (450, -90), (900, -40)]:  # type: ignore[misc]
        assert ring.distance(Point(x, y - low)) < 0.05
    assert isinstance(part.outline, Outline)
    assert len(part.outline.vertices) < 25
    assert "a batten's curve" in fact_texts(piece.facts)["stations"]


@pytest.mark.parametrize(
    ("line", "path", "words"),
    [
        (LINE | {"stations": [[0, 1], [950, 1]]}, ("stations", 1), "lies off the baseline"),
        (LINE | {"stations": [[0, 1], [500, 9], [400, 9]]}, ("stations", 2), "does not lie beyond the one before"),
        (
            LINE | {"stations": [[0, 50], [500, 50], [500, 80]], "between": "spline"},
            ("stations", 2),
            "does not lie beyond",
        ),
        (LINE | {"stations": [[0, 50], [500, -50], [900, 50]]}, (), "crosses or touches itself"),
        (LINE | {"stations": [[0, 50], [0, 50], [900, 50]]}, ("stations",), "the same point"),
    ],
)
def test_station_faults(line: dict[str, Any], path: tuple[Any, ...], words: str) -> None:
    (problem,) = faults(shape="panel", baseline=line)
    assert problem.path == ("cover", 0, "baseline", *path)
    assert words in problem.what


# -- points in space ------------------------------------------------------------
def quad(height: float) -> list[list[float]]:
    return [[0, 0, 0], [400, 0, 0], [400, 300, height], [0, 300, 0]]


def test_a_flat_panel_by_points() -> None:
    piece = made(shape="panel", points=quad(0.0))
    assert piece.concerns == ()
    assert piece.flat_part is not None
    assert piece.flat_part.outline.bounds == pytest.approx((0, 0, 400, 300))


def test_a_twisted_panel_says_so_and_by_how_much() -> None:
    piece = made(shape="panel", points=quad(40.0))
    (concern,) = told(piece, "twist")
    assert concern.level == "warn"
    # Corner 4 over the plane of the other three: the plane rises 40 in 300, the height off it is 40 cos of that.
    assert f"corner 4 stands {40 * math.cos(math.atan(40 / 300)):.1f} mm out of the plane" in concern.text.words()
    assert 'creases = ["1-3"] or ["2-4"]' in concern.text.words()
    assert "not flat" in fact_texts(piece.facts)["twist"]


def test_a_creased_panel_is_flat_in_its_parts() -> None:
    piece = made(shape="panel", points=quad(40.0), creases=["2-4"], overlap=10, thickness=1.5)
    assert piece.concerns == ()
    part = piece.flat_part
    assert part is not None
    (bend,) = part.bends
    assert bend.up
    assert math.degrees(bend.bend.angle) == pytest.approx(math.degrees(math.atan(40 / 240)), abs=0.05)
    metal = region(part.outline)
    for end in (bend.start, bend.end):
        assert metal.exterior.distance(Point(end)) < 0.1  # the line runs from edge to edge of the larger sheet
    assert part.surface
    assert {"folds", "tool", "force", "spring back"} <= set(fact_texts(piece.facts))


@pytest.mark.parametrize(
    ("keys", "path", "words"),
    [
        ({"points": [[0, 0, 0], [1, 0, 0], [2, 0, 0]]}, ("points",), "in one line"),
        ({"points": quad(40), "creases": ["1-2"]}, ("creases", 0), "lies on an edge"),
        ({"points": quad(40), "creases": ["1-7"]}, ("creases", 0), "not there"),
        ({"points": quad(40), "creases": ["1-3", "2-4"]}, ("creases", 1), "crosses another"),
        (
            {"points": [[0, 0, 0], [300, 0, 40], [420, 180, 0], [250, 330, 60], [-20, 250, 0]], "creases": ["1-3"]},
            ("creases",),
            "is not flat, by",
        ),
    ],
)
def test_space_faults(keys: dict[str, Any], path: tuple[Any, ...], words: str) -> None:
    (problem,) = faults(shape="panel", **keys)
    assert problem.path == ("cover", 0, *path)
    assert words in problem.what


# -- vents and beads ------------------------------------------------------------
def test_vent_sits_at_the_highest_edge() -> None:
    drain, vent = flat(rectangle=[200, 120], vent={}).holes
    assert (drain.label, vent.label) == ("drain 8", "vent 6")
    assert vent.shape.bounds[3] == pytest.approx(118.0 - 15.0 + 3.0, abs=0.02)
    (only,) = flat(shape="panel", rectangle=[200, 120], vent={"at": [20, 30], "diameter": 10}).holes
    assert only.label == "vent 10"
    (problem,) = faults(rectangle=[30, 30], vent={"diameter": 40})
    assert problem.path == ("cover", 0, "vent")


def test_drain_keeps_clear_of_creases() -> None:
    part = flat(shape="panel", points=[[0, 0, 0], [400, 0, 40], [400, 300, 0], [0, 300, 0]], creases=["1-3"], drain={})
    (hole,), (bend,) = part.holes, part.bends
    assert hole.shape.bounds[1] == pytest.approx(11.0, abs=0.1)
    assert LineString([bend.start, bend.end]).distance(region(hole.shape)) > 4.0


def test_beads_are_etched_and_told() -> None:
    piece = made(rectangle=[400, 300], beads=[{"line": [[60, 60], [340, 240]]}])
    assert piece.flat_part is not None
    lines = [mark.line for mark in piece.flat_part.marks if mark.line]
    assert lines == [((59.0, 59.0), (339.0, 239.0))]  # less the weld gap
    assert "10 mm wide" in fact_texts(piece.facts)["beads"]
    assert told(piece, "bead") == []


def test_the_mark_is_etched_beside_a_bead_not_on_it() -> None:
    """On the bead's width it would be rolled away."""
    flat = made(rectangle=[400, 300], beads=[{"line": [[60, 75], [340, 75]], "width": 30}]).flat_part
    assert flat is not None
    (mark,) = (mark for mark in flat.marks if mark.text)
    x0, y0, x1, y1 = text_box(mark.text, mark.height)
    letters = box(mark.at[0] + x0, mark.at[1] + y0, mark.at[0] + x1, mark.at[1] + y1)
    assert letters.distance(LineString([(59, 74), (339, 74)])) > 15.0


def test_beads_too_near_and_beads_off_the_metal() -> None:
    near = made(rectangle=[400, 300], beads=[{"line": [[6, 60], [6, 240]]}, {"line": [[60, 60], [200, 60]]}])
    (concern,) = told(near, "bead")
    assert concern.text.words().startswith("bead 1 comes within twice the thickness of an edge")
    crossing = made(rectangle=[400, 300], beads=[{"line": [[60, 60], [200, 200]]}, {"line": [[60, 200], [200, 60]]}])
    assert "another bead" in told(crossing, "bead")[0].text.words()
    (problem,) = faults(rectangle=[400, 300], beads=[{"line": [[60, 60], [500, 60]]}])
    assert problem.path == ("cover", 0, "beads", 0)
    assert "leaves the outline" in problem.what
