"""Plates: outlines, holes and their faults, as a job file gives them."""

import math
from typing import Any

import pytest
from one_part import OnePart
from worded import fact_texts

from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.job.errors import JobError
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import FlatPart
from fabgen.parts.sheet import plate

PLATE = OnePart("plate", mark="P1", thickness=6)
made, flat, faults = PLATE.piece, PLATE.flat, PLATE.faults


def centres(part: FlatPart) -> list[tuple[float, float]]:
    boxes = [hole.shape.bounds for hole in part.holes]
    return [((x0 + x1) / 2, (y0 + y1) / 2) for x0, y0, x1, y1 in boxes]


# -- outlines -----------------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "area", "size"),
    [
        ({"rectangle": [100, 60]}, 6000.0, (100, 60)),
        ({"rectangle": [100, 60], "corner_radius": 10}, 6000 - (4 - math.pi) * 100, (100, 60)),
        ({"rectangle": [100, 60], "corner_chamfer": 10}, 6000 - 4 * 50, (100, 60)),
        ({"disc": 80}, math.pi * 1600, (80, 80)),
        ({"stadium": [100, 40]}, 60 * 40 + math.pi * 400, (100, 40)),
        ({"corners": [[10, 20], [110, 20], [10, 80]]}, 3000.0, (100, 60)),
    ],
)
def test_outlines(keys: dict[str, Any], area: float, size: tuple[float, float]) -> None:
    part = flat(**keys)
    assert part.outline.area == pytest.approx(area)
    assert part.outline.bounds == pytest.approx((0, 0, *size))


def test_a_corner_of_its_own_wins_even_when_sharp() -> None:
    corners = [[0, 0], {"at": [100, 0], "radius": 0}, {"at": [100, 60], "chamfer": 12}, [0, 60]]
    outline = flat(corners=corners, corner_radius=8).outline
    assert isinstance(outline, Outline)
    assert [round(edge.radius, 6) for edge in outline.edges() if edge.is_arc] == [8.0, 8.0]
    assert outline.area == pytest.approx(6000 - 2 * (1 - math.pi / 4) * 64 - 72)


def test_mass_is_net_of_holes_and_by_density() -> None:
    piece = made(rectangle=[100, 60], holes=[{"at": [50, 30], "diameter": 20}], material="304")
    assert piece.mass == pytest.approx((6000 - math.pi * 100) * 6 * 7900e-9)
    assert piece.material == "304"
    assert made(rectangle=[100, 60]).material == "S235"


# -- holes --------------------------------------------------------------------
def test_bolt_holes_take_the_job_s_fit_unless_they_say() -> None:
    part = flat(
        rectangle=[200, 60], holes=[{"at": [30, 30], "bolt": "M10"}, {"at": [90, 30], "bolt": "M10", "fit": "close"}]
    )
    assert [hole.shape.diameter for hole in part.holes if isinstance(hole.shape, Circle)] == [11.0, 10.5]
    assert [(hole.label, hole.bolt) for hole in part.holes] == [("11 for M10", "M10"), ("10.5 for M10", "M10")]


def test_slot() -> None:
    part = flat(rectangle=[200, 100], holes=[{"at": [60, 50], "bolt": "M8", "length": 30, "turn": 90}])
    assert part.holes[0].shape.bounds == pytest.approx((55.5, 35, 64.5, 65))
    assert part.holes[0].shape.area == pytest.approx(21 * 9 + math.pi * 4.5**2)
    assert part.holes[0].label == "slot 30 x 9 for M8"


def test_row_grid_and_circle() -> None:
    row = flat(
        rectangle=[200, 100], holes=[{"at": [20, 20], "diameter": 8, "row": {"count": 3, "pitch": 30, "turn": 90}}]
    )
    assert centres(row) == [pytest.approx((20, 20 + 30 * i)) for i in range(3)]
    grid = {"columns": 3, "rows": 2, "pitch": [50, 40]}
    part = flat(rectangle=[200, 100], holes=[{"at": [20, 20], "diameter": 8, "grid": grid}])
    assert centres(part) == [pytest.approx((20 + 50 * i, 20 + 40 * j)) for j in range(2) for i in range(3)]
    circle = {"count": 4, "diameter": 60, "start": 45}
    part = flat(disc=100, holes=[{"at": [0, 0], "diameter": 8, "circle": circle}])
    reach = 30 / math.sqrt(2)
    assert centres(part) == [
        pytest.approx((50 + sx * reach, 50 + sy * reach)) for sx, sy in ((1, 1), (-1, 1), (-1, -1), (1, -1))
    ]


def test_holes_move_with_the_outline_to_the_origin() -> None:
    part = flat(corners=[[-50, -20], [50, -20], [50, 40], [-50, 40]], holes=[{"at": [0, 0], "diameter": 10}])
    assert centres(part) == [pytest.approx((50, 20))]


def test_like_holes_are_counted_in_words() -> None:
    holes = [{"at": [20, 20], "bolt": "M8", "row": {"count": 2, "pitch": 40}}, {"at": [80, 50], "diameter": 30}]
    assert fact_texts(made(rectangle=[120, 80], holes=holes).facts)["holes"] == "2 x Ø9 for M8, Ø30"


# -- the mark -----------------------------------------------------------------
def test_mark_lies_on_the_metal() -> None:
    from shapely import LineString

    from fabgen.geometry.plane.lettering import strokes
    from fabgen.geometry.plane.regions import cut_region

    part = flat(disc=140, holes=[{"at": [0, 0], "diameter": 70}])
    (mark,) = part.marks
    assert mark.text == "P1"
    assert 3.0 <= mark.height <= 8.0
    metal = cut_region(part.outline, [hole.shape for hole in part.holes]).buffer(-1.9)
    for stroke in strokes(mark.text, mark.height):
        assert metal.contains(LineString([(x + mark.at[0], y + mark.at[1]) for x, y in stroke]))


def test_own_text_none_and_no_room() -> None:
    assert flat(rectangle=[100, 60], mark_text="LEFT UP").marks[0].text == "LEFT UP"
    assert flat(rectangle=[100, 60], mark_text="").marks == ()
    tiny = made(rectangle=[10, 6])
    assert tiny.flat_part is not None
    assert tiny.flat_part.marks == ()
    assert "no room" in fact_texts(tiny.facts)["etched mark"]


# -- faults -------------------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "path", "words"),
    [
        ({"rectangle": [100, 60], "corner_radius": 40}, ("corner_radius",), "80.00 mm of an edge 60.00"),
        ({"rectangle": [100, 60], "corner_chamfer": 40}, ("corner_chamfer",), "80.00 mm of an edge 60.00"),
        ({"disc": 100, "corner_radius": 5}, ("corner_radius",), "a disc has no corners"),
        ({"stadium": [40, 60]}, ("stadium",), "longer than it is wide"),
        ({"corners": [[0, 0], [100, 60], [100, 0], [0, 60]]}, ("corners",), "crosses or touches itself near (50, 30)"),
        ({"corners": [[0, 0], [50, 0], {"at": [50, 4], "radius": 9}, [0, 4]]}, ("corners", 1), "of an edge 4.00"),
        (
            {"rectangle": [100, 60], "holes": [{"at": [4, 30], "bolt": "M8"}]},
            ("holes", 0),
            "9 for M8 at (4, 30) leaves",
        ),
        (
            {"rectangle": [100, 60], "holes": [{"at": [4, 30], "bolt": "M99"}]},
            ("holes", 0, "bolt"),
            '"M99" is no bolt size',
        ),
        (
            {"rectangle": [100, 60], "holes": [{"at": [30, 30], "diameter": 20}, {"at": [45, 30], "bolt": "M12"}]},
            ("holes", 1),
            "Ø13.5 for M12 at (45, 30) crosses the hole Ø20 at (30, 30)",
        ),
        (
            {"rectangle": [100, 60], "holes": [{"at": [50, 30], "diameter": 9, "length": 9}]},
            ("holes", 0, "length"),
            "no longer than it is wide",
        ),
        (
            {"disc": 100, "holes": [{"at": [0, 0], "diameter": 20, "circle": {"count": 12, "diameter": 60}}]},
            ("holes", 0),
            "crosses the hole",
        ),
    ],
)
def test_faults_name_the_key(keys: dict[str, Any], path: tuple[str | int, ...], words: str) -> None:
    (problem,) = faults(**keys)
    assert problem.path == ("plate", 0, *path)
    assert words in problem.what
    assert problem.accepted


def test_all_faults_at_once() -> None:
    header = {"title": "x", "number": "x", "units": "mm"}
    plates = [
        {"mark": "P1", "thickness": 5, "stadium": [40, 60]},
        {"mark": "P2", "thickness": 5, "disc": 60},
        {
            "mark": "P3",
            "thickness": 5,
            "disc": 60,
            "holes": [{"at": [0, 0], "bolt": "M7.5"}, {"at": [30, 0], "diameter": 5}],
        },
    ]
    with pytest.raises(JobError) as caught:
        plate.pieces(Definitions.model_validate({"job": header, "plate": plates}))
    assert [problem.path[:4] for problem in caught.value.problems] == [
        ("plate", 0, "stadium"),
        ("plate", 2, "holes", 0),
        ("plate", 2, "holes", 1),
    ]
    assert caught.value.problems[1].nearest == "M7 or M8"
