"""Marks etched on sheet parts: which way bends fold, where tubes stand, the number at its own place."""

import math
from typing import Any

import numpy as np
import pytest
import shapely
from one_part import OnePart

from fabgen.geometry.plane.lettering import strokes
from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.geometry.plane.regions import cut_region
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.section_text import parse_section
from fabgen.parts.piece import FlatPart, Mark
from fabgen.parts.sheet.plate import pieces

TUBE = parse_section("48.3 x 3.2", "mm")


made = OnePart("bracket", mark="B1", thickness=3).flat
plate = OnePart("plate", mark="B1", thickness=3).flat


def drawn(mark: Mark) -> shapely.Geometry:
    """All that is etched of a mark."""
    if mark.text:
        lines = [[(x + mark.at[0], y + mark.at[1]) for x, y in line] for line in strokes(mark.text, mark.height)]
        return shapely.MultiLineString(lines)
    return shapely.LineString(mark.line or np.array(mark.curve.points(0.01)))  # type: ignore[union-attr]


CHANNEL = {"shape": "channel", "length": 120, "web": 80, "flanges": [50, 50]}
SHAPES: dict[str, dict[str, Any]] = {
    "channel": CHANNEL,
    "zed": {"shape": "zed", "length": 90, "web": 60, "legs": [40, 40]},
    "box": {"shape": "box", "base": [120, 90], "height": 40},
    "clevis": {"shape": "clevis", "gap": 40, "length": 70, "height": 60, "bolt": "M10"},
    "gusset": {"shape": "gusset", "legs": [120, 90], "lip": 20},
    "five sides": {
        "base": [[0, 0], [120, 0], [150, 60], [60, 110], [0, 70]],
        "flanges": [{"edge": i, "height": 30} for i in range(1, 6)],
    },
}


@pytest.mark.parametrize("name", SHAPES)
def test_marks_lie_on_flat_metal(name: str) -> None:
    """Clear of edges and holes, texts clear of bends and of one another."""
    flat = made(**SHAPES[name])
    metal = cut_region(flat.outline, (hole.shape for hole in flat.holes))
    zones = [shapely.LineString([b.start, b.end]).buffer(b.bend.allowance / 2, cap_style="flat") for b in flat.bends]
    texts = [mark for mark in flat.marks if mark.text]
    assert len(texts) == 1 + len(flat.bends)
    for mark in flat.marks:
        assert metal.buffer(1e-6).contains(drawn(mark))
    for i, mark in enumerate(texts):
        assert not any(drawn(mark).intersects(zone) for zone in zones)
        assert not any(drawn(mark).intersects(drawn(other)) for other in texts[:i])


def test_folds_say_which_way() -> None:
    zed = made(**SHAPES["zed"], bend_angle=60)
    assert sorted(mark.text for mark in zed.marks if mark.text) == ["B1", "DOWN 60", "UP 60"]
    hem = made(shape="angle", length=90, legs=[60, 50], thickness=2, hem=12)
    assert sum(mark.text == "HEM UP" for mark in hem.marks) == 2


def test_ticks_stand_on_bends_that_fold_toward_the_marks_alone() -> None:
    zed = made(**SHAPES["zed"])
    up = next(bend for bend in zed.bends if bend.up)
    ticks = [mark.line for mark in zed.marks if mark.line]
    assert len(ticks) == 2
    ends = sorted(point for line in ticks for point in line)
    assert (ends[0], ends[-1]) == (pytest.approx(min(up.start, up.end)), pytest.approx(max(up.start, up.end)))


def test_fold_marks_can_be_left_out() -> None:
    assert [mark.text for mark in made(**CHANNEL, fold_marks=False).marks] == ["B1"]
    assert made(**CHANNEL, fold_marks=False, mark_text="").marks == ()


def test_the_number_at_its_own_place() -> None:
    flat = made(**CHANNEL, mark_at=[7, 9], fold_marks=False)
    (mark,) = flat.marks
    assert (mark.at, mark.text) == ((7, 9), "B1")


# -- tubes ------------------------------------------------------------------------
def tube_on(**keys: Any) -> FlatPart:
    return plate(rectangle=[150, 120], mark_text="", tubes=[{"tube": TUBE, "at": [70, 60]} | keys])


def test_a_tube_that_stands_square_is_a_true_circle() -> None:
    flat = tube_on()
    (curve,) = [mark.curve for mark in flat.marks if mark.curve is not None]
    assert curve == Circle(70, 60, 48.3)
    cross = [mark.line for mark in flat.marks if mark.line]
    assert sorted(cross) == [((65, 60), (75, 60)), ((70, 55), (70, 65))]


@pytest.mark.parametrize("lean", [30.0, 45.0, 60.0])
def test_a_tube_that_leans_is_an_ellipse_of_arcs(lean: float) -> None:
    """Semi-axes R / sin(lean) and R (any text on conic sections): every point of the arcs lies on it."""
    flat = tube_on(lean=lean, turn=20)
    (curve,) = [mark.curve for mark in flat.marks if mark.curve is not None]
    assert isinstance(curve, Outline)
    assert all(edge.is_arc for edge in curve.edges())
    points = np.array(curve.turned(0.0).moved(-70, -60).turned(-math.radians(20)).points(0.001))
    a, b = 24.15 / math.sin(math.radians(lean)), 24.15
    off = np.hypot(points[:, 0] / a, points[:, 1] / b) - 1.0
    assert np.abs(off).max() * b < 0.01
    assert curve.area == pytest.approx(math.pi * a * b, rel=1e-3)


def test_a_tube_that_lies_along_the_sheet_is_its_sides_and_its_axis() -> None:
    flat = tube_on(lean=0, turn=90)
    xs = sorted(mark.line[0][0] for mark in flat.marks)
    assert xs == pytest.approx([70 - 24.15, 70, 70 + 24.15])


def test_a_rectangular_tube_leans_along_its_first_figure() -> None:
    section = parse_section("60 x 40 x 3 r 5", "mm")
    flat = plate(rectangle=[200, 120], tubes=[{"tube": section, "at": [90, 60], "lean": 30}])
    (curve,) = [mark.curve for mark in flat.marks if mark.curve is not None]
    x0, y0, x1, y1 = curve.bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((120, 40), abs=0.01)


def test_a_tube_that_hangs_over_the_edge_is_etched_where_there_is_metal() -> None:
    flat = tube_on(at=[140, 60])
    assert not any(mark.curve for mark in flat.marks)
    metal = cut_region(flat.outline, ())
    assert all(metal.contains(drawn(mark)) for mark in flat.marks)


def test_a_tube_on_a_flange_is_carried_to_the_flat() -> None:
    flat = made(
        **CHANNEL | {"flanges": [90, 90]}, tubes=[{"tube": TUBE, "at": [60, 50], "face": "right"}], mark_text=""
    )
    (curve,) = [mark.curve for mark in flat.marks if mark.curve is not None]
    again = made(**CHANNEL | {"flanges": [90, 90]}, holes=[{"face": "right", "at": [60, 50], "diameter": 48.3}])
    assert isinstance(curve, Circle)
    assert curve.bounds == pytest.approx(again.holes[0].shape.bounds)


def test_a_text_that_was_asked_for_is_not_left_off_unsaid() -> None:
    def asked(size: list[float], **keys: Any) -> Any:
        part = {"mark": "P1", "thickness": 3, "rectangle": size, **keys}
        job = {"job": {"title": "x", "number": "x", "units": "mm"}, "plate": [part]}
        return pieces(Definitions.model_validate(job))[0]

    long = "VERY LONG TEXT FOR THIS PART"
    piece = asked([60, 40], mark_text=long)
    assert not piece.flat_part.marks
    (concern,) = piece.concerns
    assert concern.level == "warn"
    assert long in concern.text.words()
    fits = int(concern.text.words().split("its first ")[1].split()[0])
    # What is said to fit does, and one letter more does not.
    assert asked([60, 40], mark_text=long[:fits]).flat_part.marks
    assert not asked([60, 40], mark_text=long[: fits + 1]).flat_part.marks
    assert not asked([80, 40], mark_text=long).concerns
    # The part's own number is told of in its facts only.
    assert not asked([8, 4]).concerns
    assert not asked([60, 40], mark_text="").concerns
