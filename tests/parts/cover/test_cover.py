"""Covers: caps, skirts and cones as a job file gives them; sizes by hand, cut-outs by the cutter itself."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from one_part import OnePart
from shapely import Point
from worded import fact_texts

from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.geometry.plane.regions import region
from fabgen.job.errors import JobError
from fabgen.parts.piece import FlatPart

SQUARE = {"shape": "cap", "rectangle": [200, 120]}


COVER = OnePart("cover", mark="C1", thickness=2)
made, flat, faults = COVER.piece, COVER.flat, COVER.faults


def flat_or_fault(**keys: Any) -> FlatPart | str:
    try:
        return flat(**keys)
    except JobError as error:
        return error.problems[0].what


def arcs(part: FlatPart) -> list[float]:
    assert isinstance(part.outline, Outline)
    return [edge.radius for edge in part.outline.edges() if edge.is_arc]


# -- cap ----------------------------------------------------------------------
def test_cap_is_the_opening_less_the_weld_gap() -> None:
    assert flat(**SQUARE).outline.bounds == pytest.approx((0, 0, 198, 118))  # the job's 1 mm
    assert flat(**SQUARE, weld_gap=2.5).outline.bounds == pytest.approx((0, 0, 195, 115))
    assert flat(**SQUARE, header={"weld_gap": 3}).outline.bounds == pytest.approx((0, 0, 194, 114))
    assert flat(**SQUARE, overlap=12).outline.bounds == pytest.approx((0, 0, 224, 144))
    assert flat(shape="cap", disc=150, weld_gap=2).outline == Circle(73, 73, 146)


def test_cap_keeps_its_fillets_as_arcs() -> None:
    corners = [[0, 0], [180, 0], [200, 90], [90, 150], [0, 120]]
    part = flat(shape="cap", corners=corners, corner_radius=15, weld_gap=1.5)
    assert arcs(part) == pytest.approx([13.5] * 5)
    assert part.sizes[0][0] == "opening, width"


def test_drain_sits_inside_the_lowest_edge() -> None:
    """15 mm in, clear of the weld and of what the cover sits on; less only where there is no room for that."""
    (hole,) = flat(**SQUARE).holes
    assert hole.label == "drain 8"
    assert hole.shape == Circle(99, pytest.approx(15.0, abs=0.02), 8)  # type: ignore[arg-type]
    (hole,) = flat(shape="cap", disc=150).holes
    assert (hole.shape.x, hole.shape.y) == pytest.approx((74, 15), abs=0.1)  # type: ignore[union-attr]
    (hole,) = flat(shape="cap", rectangle=[60, 26]).holes
    assert hole.shape.y == pytest.approx(8.0, abs=0.02)  # type: ignore[union-attr]
    # A point downward: the lowest room is over the point.
    (hole,) = flat(shape="cap", corners=[[0, 100], [80, 0], [160, 100]]).holes
    assert hole.shape.x == pytest.approx(79, abs=1.5)  # type: ignore[union-attr]


def test_drain_keeps_clear_of_other_holes() -> None:
    part = flat(**SQUARE, holes=[{"at": [100, 12], "diameter": 12}])
    drain, other = part.holes
    assert region(drain.shape).distance(region(other.shape)) >= 3.9


def test_a_drain_clears_the_lap_and_is_told_where_it_does_not() -> None:
    """Over an opening with a lap of 12 mm, 15 mm from the opening's edge is 27 mm from the cover's."""
    piece = made(**SQUARE, overlap=12)
    assert piece.flat_part is not None
    (hole,) = piece.flat_part.holes
    assert hole.shape.y == pytest.approx(27.0, abs=0.02)  # type: ignore[union-attr]
    assert piece.concerns == ()
    (concern,) = made(**SQUARE, overlap=12, drain={"at": [30, 2]}).concerns
    assert concern.text.words().startswith("the hole drain 8 lies on the lap of 12 mm")
    assert made(**SQUARE, overlap=12, drain={"at": [30, 5]}).concerns == ()


def test_drain_as_given_or_none() -> None:
    part = flat(**SQUARE, drain={"at": [30, 25], "diameter": 10})
    assert part.holes[0].shape == Circle(29, 24, 10)
    assert part.holes[0].label == "drain 10"
    piece = made(**SQUARE, drain="none")
    assert piece.flat_part is not None
    assert piece.flat_part.holes == ()
    assert "none" in fact_texts(piece.facts)["drain"]


@pytest.mark.parametrize(
    ("along", "up", "edge"),
    [
        ("front", "top", "right"),  # lies on the bench: its lower edge looks to the right of what it is for
        ("left", "top", "front"),
        ("front", "right", "lower"),
        ("rear", "right", "upper"),
    ],
)
def test_the_drain_of_a_cap_that_has_a_place_is_by_the_edge_that_is_there(along: str, up: str, edge: str) -> None:
    way = {"rear": [-1, 0, 0]}.get(along, along)
    piece = made(**SQUARE, vent={}, place={"at": [0, 0, 0], "along": way, "up": up})
    facts = fact_texts(piece.facts)
    other = {"right": "left", "front": "rear", "lower": "upper", "upper": "lower"}[edge]
    assert facts["drain"] == f"by its {edge} edge as it stands"
    assert facts["vent"] == f"by its {other} edge as it stands; leave it open while welding"
    assert [concern.rule for concern in piece.concerns] == (["drain"] if edge == "upper" else [])


# -- skirt --------------------------------------------------------------------
@pytest.mark.parametrize(("measured", "neutral"), [("outside", 158.0), ("inside", 162.0), ("middle", 160.0)])
def test_skirt_is_as_long_as_its_neutral_line(measured: str, neutral: float) -> None:
    part = flat(shape="skirt", diameter=160, height=90, measured=measured)
    assert part.outline.bounds == pytest.approx((0, 0, math.pi * neutral, 90))
    assert part.rolled is not None
    assert part.rolled.bottom == part.rolled.top == pytest.approx(neutral + 2)
    assert dict(part.sizes)["diameter, inside"] == pytest.approx(neutral - 2)


def test_part_of_a_round_and_a_lap() -> None:
    part = flat(shape="skirt", diameter=160, height=90, arc=180, seam=15)
    half = math.pi * 158 / 2
    assert part.outline.bounds == pytest.approx((0, 0, half + 15, 90))
    (line,) = [mark.line for mark in part.marks if mark.line]
    assert {round(x, 6) for x, _ in line} == {round(half, 6)}
    assert min(y for _, y in line) >= 0.99
    assert part.rolled is not None
    assert part.rolled.arc == pytest.approx(math.pi)


@settings(max_examples=40)
@given(
    st.floats(40, 130), st.floats(-30, 120), st.floats(-15, 15), st.floats(-90, 90), st.sampled_from([1.0, 2.0, 4.0])
)
def test_cut_out_clears_its_cylinder(diameter: float, height: float, offset: float, around: float, t: float) -> None:
    """Wrapped round again, no corner of the flat lies in the cutter at any depth of the wall."""
    cut = {"diameter": diameter, "height": height, "offset": offset, "around": around}
    keys = {"shape": "skirt", "thickness": t, "diameter": 200, "height": 90, "cut_out": cut}
    part = flat_or_fault(**keys)
    if isinstance(part, str):
        assert any(words in part for words in ("does not reach", "in two", "leaves the outline"))
        return
    middle, turn = 100 - t / 2, math.radians(around)
    loops = [part.outline, *(hole.shape for hole in part.holes)]
    touching = 0
    for x, z in np.vstack([loop.points(0.05) for loop in loops]):
        psi = x / middle - math.pi - turn
        if math.cos(psi) <= 0.0:
            continue  # the far side of the skirt, which the cutter does not enter
        clear = min(
            math.hypot(r * math.sin(psi) - offset, z - height) - diameter / 2 for r in np.linspace(100 - t, 100, 15)
        )
        assert clear > -0.015
        touching += clear < 0.02
    assert touching > 3


def test_window_is_a_hole_and_an_arch_is_not() -> None:
    window = flat(shape="skirt", diameter=200, height=120, cut_out={"diameter": 60, "height": 60})
    assert [hole.label for hole in window.holes] == ["cut-out"]
    assert len(window.outline.vertices) == 4  # type: ignore[union-attr]
    arch = flat(shape="skirt", diameter=200, height=120, cut_out={"diameter": 100})
    assert arch.holes == ()
    assert arch.outline.area < 0.97 * math.pi * 198 * 120


# -- cone ---------------------------------------------------------------------
@pytest.mark.parametrize("measured", ["outside", "inside", "middle"])
def test_cone_counts_its_thickness_square_to_the_wall(measured: str) -> None:
    part = flat(shape="cone", thickness=4, bottom=200, top=80, height=80, measured=measured)
    # Slope 60 in 80: the wall's normal is 0.8 outward, so skin and neutral line differ by 4 x 0.8 in diameter.
    shift = {"outside": -3.2, "inside": 3.2, "middle": 0.0}[measured]
    bottom, top, slant = 200 + shift, 80 + shift, 100.0
    assert sorted(set(np.round(arcs(part), 6))) == pytest.approx([slant * top / 120, slant * bottom / 120], abs=1e-5)
    assert part.outline.area == pytest.approx(math.pi * (bottom + top) / 2 * slant)
    assert part.rolled is not None
    assert (part.rolled.bottom, part.rolled.top) == pytest.approx((bottom + 3.2, top + 3.2))
    assert dict(part.sizes)[f"bottom, {'outside' if measured == 'middle' else measured}"] == pytest.approx(
        203.2 if measured == "middle" else 200
    )
    assert dict(part.sizes)["slant"] == pytest.approx(100)


def test_cone_upside_down_part_round_and_lapped() -> None:
    up = flat(shape="cone", bottom=200, top=80, height=80, arc=180, seam=10)
    down = flat(shape="cone", bottom=80, top=200, height=80, arc=180, seam=10)
    assert down.outline.area == pytest.approx(up.outline.area)
    assert down.outline.bounds == pytest.approx(up.outline.bounds)
    assert sum(bool(mark.line) for mark in up.marks) == 1
    sheet = region(down.outline)
    for mark in down.marks:
        assert all(sheet.contains(Point(p)) for p in mark.line)


def test_holes_of_a_cover_and_its_mass() -> None:
    piece = made(shape="skirt", diameter=160, height=90, material="5754", holes=[{"at": [100, 45], "bolt": "M6"}])
    assert piece.flat_part is not None
    assert piece.flat_part.holes[0].label == "6.6 for M6"
    assert piece.mass == pytest.approx((math.pi * 158 * 90 - math.pi * 3.3**2) * 2 * 2700e-9)
    assert "roll" in fact_texts(piece.facts)


def test_holes_of_a_cone_count_from_the_flat_s_lower_left_corner() -> None:
    part = flat(shape="cone", bottom=200, top=80, height=80, holes=[{"at": [180, 30], "diameter": 9}])
    assert part.holes[0].shape == Circle(180, 30, 9)


# -- faults -------------------------------------------------------------------
SKIRT = {"shape": "skirt", "diameter": 200, "height": 90}


@pytest.mark.parametrize(
    ("keys", "path", "words"),
    [
        (SQUARE | {"corner_radius": 3, "weld_gap": 4}, ("weld_gap",), "radius of 3 mm near"),
        (SQUARE | {"weld_gap": 61}, ("weld_gap",), "vanishes"),
        (SQUARE | {"corner_radius": 80}, ("corner_radius",), "of an edge"),
        ({"shape": "cap", "rectangle": [20, 12]}, ("drain",), "no room for a drain hole of 8 mm"),
        (SQUARE | {"drain": {"at": [3, 3]}}, ("drain",), "Ø8 drain at (3, 3) leaves the outline"),
        (SQUARE | {"holes": [{"at": [500, 5], "diameter": 9}]}, ("holes", 0), "leaves the outline"),
        (SKIRT | {"thickness": 110}, ("diameter",), "too small for the sheet"),
        (SKIRT | {"cut_out": {"diameter": 199}}, ("cut_out",), "whose inside there is 98.0 mm from its axis"),
        (SKIRT | {"cut_out": {"diameter": 150, "height": 45}}, ("cut_out",), "in two"),
        (SKIRT | {"cut_out": {"diameter": 60, "height": 300}}, ("cut_out",), "does not reach the sheet"),
        (
            SKIRT | {"cut_out": {"diameter": 40, "height": 45}, "holes": [{"at": [311, 45], "diameter": 9}]},
            ("holes", 0),
            "crosses the hole cut-out",
        ),
        ({"shape": "cone", "bottom": 90, "top": 90, "height": 50}, ("top",), "equal diameters make a cylinder"),
        ({"shape": "cone", "bottom": 90, "top": 3, "height": 5}, ("seam",), "lap"),
        ({"shape": "cone", "bottom": 90, "top": 3, "height": 90, "thickness": 3}, ("top",), "too small for the sheet"),
    ],
)
def test_faults_name_the_key(keys: dict[str, Any], path: tuple[str | int, ...], words: str) -> None:
    if path == ("seam",):
        keys = keys | {"seam": 30}
    (problem,) = faults(**keys)
    assert problem.path == ("cover", 0, *path)
    assert words in problem.what
    assert problem.accepted
    if "cylinder" in words:
        assert "skirt" in problem.accepted
