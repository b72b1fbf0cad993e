"""Zed, hems, box, clevis and tabbed brackets: folded back by their flats alone, they come out as asked."""

import math
import re
from typing import Any

import numpy as np
import pytest
from folded_holes import hole_axes
from hypothesis import given, settings
from hypothesis import strategies as st
from one_part import OnePart
from refolding import refold
from worded import fact_texts

from fabgen.geometry.sheet.collisions import collisions
from fabgen.geometry.sheet.folded import extent
from fabgen.job.tables.bracket_tables import Bracket

T = st.sampled_from([1.0, 1.5, 2.0, 3.0, 5.0])


BRACKET = OnePart("bracket", mark="B1", thickness=3)
piece_of, made, faults = BRACKET.piece, BRACKET.flat, BRACKET.faults


def hole(face: str, u: float, v: float, size: float = 5.0) -> dict[str, Any]:
    return {"face": face, "at": [u, v], "diameter": size}


def in_line(one: tuple[np.ndarray, np.ndarray], other: tuple[np.ndarray, np.ndarray]) -> float:
    """How far the axis of one hole passes from the centre of the other, mm."""
    across = other[0] - one[0]
    assert abs(abs(one[1] @ other[1]) - 1.0) < 1e-9
    return float(np.linalg.norm(across - (across @ one[1]) * one[1]))


# -- zed ------------------------------------------------------------------------
@settings(max_examples=40)
@given(
    T, st.floats(0, 6), st.floats(40, 90), st.floats(30, 60), st.floats(30, 60), st.sampled_from(["outside", "inside"])
)
def test_zed_is_as_high_and_wide_as_asked(t: float, r: float, web: float, a: float, b: float, measured: str) -> None:
    keys = {"shape": "zed", "length": 70, "web": web, "legs": [a, b], "radius": r, "measured": measured}
    flat = made(thickness=t, **keys, holes=[hole("web", 35, web / 2)])
    more = 0.0 if measured == "outside" else t
    assert flat.tree is not None
    size = extent(flat.tree, t)
    # The web's two outsides are those of the legs; each leg stands out on its own side of the web.
    assert size[1] == pytest.approx(web + 2 * more)
    assert size[2] == pytest.approx(a + b + 2 * more - t)
    folded = refold(flat)
    for leg, wanted in (("a", a), ("b", b)):
        point, along = folded.mould(f"web / {leg}", measured == "outside")
        assert ((folded.joins[f"web / {leg}"][1].corners(0.0) - point) @ along).max() == pytest.approx(wanted)
    ups = {bend.name: bend.up for bend in flat.bends}
    assert ups == {"web / a": True, "web / b": False}


# -- hems -----------------------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "hems"),
    [
        ({"shape": "angle", "length": 60, "legs": [50, 40]}, 2),
        ({"shape": "channel", "length": 60, "web": 50, "flanges": [40, 40]}, 2),
        ({"shape": "zed", "length": 60, "web": 50, "legs": [40, 40]}, 2),
        ({"shape": "hat", "length": 60, "crown": 50, "sides": [40, 40], "brims": [30, 30]}, 2),
        ({"shape": "box", "base": [100, 80], "height": 40}, 4),
    ],
)
def test_hems_leave_the_outside_sizes_as_they_are(keys: dict[str, Any], hems: int) -> None:
    plain, hemmed = made(thickness=2, **keys), made(thickness=2, **keys, hem=10, hem_gap=1)
    assert sum(bend.bend.is_hem for bend in hemmed.bends) == hems
    assert plain.tree is not None
    assert hemmed.tree is not None
    # A leg ends at the outermost line of its hem; folded inward a hem adds nothing outside.
    assert extent(hemmed.tree, 2.0) == pytest.approx(extent(plain.tree, 2.0), abs=1e-6 if keys["shape"] != "hat" else 6)
    assert collisions(hemmed.tree, 2.0) == []
    facts = fact_texts(piece_of(thickness=2, **keys, hem=10, hem_gap=1).facts)
    assert f"{hems} x, open, 1 mm inside" in facts["hem"]


def test_a_closed_hem_says_what_it_takes() -> None:
    facts = fact_texts(piece_of(shape="angle", thickness=2, length=60, legs=[50, 40], hem=10).facts)
    assert "closed" in facts["hem"]
    assert "0.43 of the thickness" in facts["hem"]
    assert f"allowance {math.pi:.2f} mm" in facts["hem"]  # pi (0 + 0.5 x 2)


def test_hem_faults() -> None:
    (problem,) = faults(shape="angle", length=60, legs=[50, 40], hem=3)
    assert problem.path[-1] == "hem"
    assert "too short for its fold" in problem.what


# -- box --------------------------------------------------------------------------
@settings(max_examples=40)
@given(
    T,
    st.floats(0, 5),
    st.floats(90, 200),
    st.floats(80, 150),
    st.floats(30, 60),
    st.sampled_from(["open", "gap", "butt"]),
)
def test_box_holes_through_opposite_sides_are_in_line(
    t: float, r: float, width: float, depth: float, height: float, corner: str
) -> None:
    u, v = 0.4, 22.0
    holes = [
        *(hole(face, u * width, v) for face in ("front", "back")),
        *(hole(face, u * depth, v) for face in ("left", "right")),
    ]
    base = hole("base", width / 2, depth / 2)
    flat = made(
        shape="box", thickness=t, radius=r, base=[width, depth], height=height, corner=corner, holes=[base, *holes]
    )
    assert flat.tree is not None
    assert extent(flat.tree, t) == pytest.approx((width, depth, height))
    folded = refold(flat)
    centres = [folded.hole(flat, i) for i in range(1, 5)]  # front, right, back, left: as the base's edges run
    front, right, back, left = centres
    for one, other in ((front, back), (left, right)):
        assert in_line(one, other) < 1e-6
        assert in_line(other, one) < 1e-6
    origin = folded.hole(flat, 0)[0] - np.array([width / 2, depth / 2, t / 2])
    assert (front[0] - origin)[[0, 2]] == pytest.approx((u * width, v))
    assert (left[0] - origin)[[1, 2]] == pytest.approx((u * depth, v))


def test_box_measured_inside() -> None:
    flat = made(shape="box", base=[100, 80], height=40, measured="inside")
    assert flat.tree is not None
    assert extent(flat.tree, 3.0) == pytest.approx((106, 86, 43))
    sizes = dict(flat.sizes)
    assert (sizes["base along x, outside"], sizes["base along y, inside"]) == pytest.approx((106, 80))


def test_box_corner_notches() -> None:
    """Round: a quarter of a circle about the crossing of the tangent lines, a notch's width across."""
    none = made(shape="box", base=[100, 80], height=40, relief="none")
    cut = made(shape="box", base=[100, 80], height=40, relief="round", relief_width=4)
    arcs = [edge for edge in cut.outline.edges() if edge.is_arc]  # type: ignore[union-attr]
    assert [arc.radius for arc in arcs] == pytest.approx([2.0] * 4)
    assert [abs(arc.sweep) for arc in arcs] == pytest.approx([math.pi / 2] * 4)
    bend = none.bends[0].bend
    lost = 4 * math.pi * 2**2 / 4 + 8 * 2 * (bend.allowance + 40.0 - bend.setback)
    assert none.outline.area - cut.outline.area == pytest.approx(lost)


# -- clevis -----------------------------------------------------------------------
@settings(max_examples=40)
@given(
    T, st.floats(0.5, 6), st.floats(20, 80), st.floats(40, 90), st.floats(55, 90), st.sampled_from(["M8", "M10", "M12"])
)
def test_clevis_bolt_goes_straight_through(
    t: float, r: float, gap: float, length: float, height: float, bolt: str
) -> None:
    keys = {"shape": "clevis", "gap": gap, "length": length, "height": height, "bolt": bolt, "radius": r}
    flat = made(thickness=t, **keys, holes=[hole("base", length / 2, gap / 2 + t, 3)])
    folded = refold(flat)
    left, right = folded.hole(flat, 1), folded.hole(flat, 2)
    assert in_line(left, right) < 1e-6
    assert np.linalg.norm(left[0] - right[0]) == pytest.approx(gap + t)
    base = folded.hole(flat, 0)[0] - np.array([length / 2, gap / 2 + t, t / 2])
    assert (left[0] - base)[[0, 2]] == pytest.approx((length / 2, height))
    # Rounded about the bolt: nothing of an ear is nearer to its axis than the hole, or farther out than its end.
    arcs = [edge for edge in flat.outline.edges() if edge.is_arc]  # type: ignore[union-attr]
    d = {"M8": 8, "M10": 10, "M12": 12}[bolt]
    assert [arc.radius for arc in arcs] == pytest.approx([2 * d, 2 * d])
    centres = sorted(arc.centre for arc in arcs)
    holes = sorted((h.shape.x, h.shape.y) for h in flat.holes[1:])  # type: ignore[union-attr]
    assert np.array(centres) == pytest.approx(np.array(holes))


@pytest.mark.parametrize(
    ("keys", "path", "words"),
    [
        ({"gap": 40, "length": 60, "height": 25, "bolt": "M12"}, ("height",), "reaches into the bend"),
        ({"gap": 0.5, "length": 60, "height": 60, "bolt": "M12", "radius": 3}, ("gap",), "too short for its bends"),
        ({"gap": 40, "length": 60, "height": 60, "bolt": "M13"}, ("bolt",), "no bolt size"),
        ({"gap": 40, "length": 60, "height": 60, "diameter": 20, "end_radius": 9}, ("end_radius",), "leaves no metal"),
    ],
)
def test_clevis_faults(keys: dict[str, Any], path: tuple[str, ...], words: str) -> None:
    found = faults(shape="clevis", **keys)
    assert found[0].path == ("bracket", 0, *path)
    assert words in found[0].what
    assert found[0].accepted


# -- tabbed -------------------------------------------------------------------------
@settings(max_examples=30)
@given(T, st.floats(0, 1.9), st.sampled_from([("M8", 13.0), ("M10", 16.0), ("M12", 18.0)]), st.floats(0.2, 1.0))
def test_tabs_stand_either_side_of_the_head(t: float, r: float, bolt: tuple[str, float], play: float) -> None:
    flat = made(shape="tabbed", thickness=t, radius=r, base=[60, 100], bolt=bolt[0], clearance=play, drilled=False)
    folded = refold(flat)
    bolt_at = folded.hole(flat, 0)[0]
    room = []
    for name in ("left tab", "right tab"):
        tab = folded.joins[f"base / {name}"][1]
        # The tabs fold up: their inner skin is the flat's upper one.
        inner = tab.corners(t)
        room.append(abs(inner[:, 0] - bolt_at[0]).min())
        assert np.ptp(inner[:, 0]) < 1e-9
        assert inner[:, 1].mean() == pytest.approx(bolt_at[1])
        assert np.ptp(inner[:, 1]) == pytest.approx(bolt[1])
    assert room == pytest.approx([(bolt[1] + play) / 2] * 2)


def test_a_boxed_head_turns_no_farther_than_told() -> None:
    """A hexagon between two faces: a corner of it, turned about, touches a face at the angle that is told."""
    facts = fact_texts(piece_of(shape="tabbed", thickness=3, radius=1, base=[60, 100], bolt="M10", clearance=0.4).facts)
    told = float(facts["boxed bolt"].split("turns ")[1].split("°")[0])
    corner = 16 / math.sqrt(3)
    reach = max(corner * math.cos(math.radians(k * 60 + 30 - told)) for k in range(6))
    assert reach == pytest.approx(16.4 / 2, abs=0.01)


@pytest.mark.parametrize(
    ("keys", "path", "words"),
    [
        ({"base": [20, 90], "bolt": "M10"}, ("base",), "outside the base"),
        ({"base": [60, 12], "bolt": "M10"}, ("tab_length",), "leave the base"),
        ({"base": [60, 90], "bolt": "M10", "tab_height": 2}, ("tab_height",), "too short for its bend"),
        ({"base": [60, 90], "bolt": "M10", "radius": 3}, ("radius",), "reach into the bolt's hole"),
        ({"base": [200, 200], "bolt": "M64"}, ("bolt",), "in no table"),
    ],
)
def test_tabbed_faults(keys: dict[str, Any], path: tuple[str, ...], words: str) -> None:
    found = faults(shape="tabbed", **keys)
    assert found[0].path == ("bracket", 0, *path)
    assert words in found[0].what
    assert found[0].accepted


# -- proof by the tree as well --------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "faces"),
    [
        ({"shape": "channel", "length": 80, "web": 60, "flanges": [45, 45]}, ("left", "right")),
        ({"shape": "box", "base": [80, 60], "height": 45}, ("front", "back")),
        (
            {"base": [80, 60], "flanges": [{"edge": 2, "height": 45}, {"edge": 4, "height": 45}]},
            ("flange 1", "flange 2"),
        ),
    ],
)
def test_holes_in_line_in_the_tree_too(keys: dict[str, Any], faces: tuple[str, str]) -> None:
    flat = made(**keys, holes=[hole(face, 33, 26, 8) for face in faces])
    assert flat.tree is not None
    one, other = hole_axes(flat.tree, 3.0)
    assert in_line((one.centre, one.direction), (other.centre, other.direction)) < 0.01


# -- measured inside ------------------------------------------------------------------
FREE = [{"edge": 1, "height": 40, "flanges": [{"edge": "far", "height": 25}]}, {"edge": 2, "height": 30}]
GROWS: list[tuple[str, str, dict[str, Any], dict[str, int]]] = [
    ("angle", "legs + t", {"legs": [50, 40]}, {"leg a": 1, "leg b": 1}),
    ("channel", "web + 2 t, flanges + t", {"web": 60, "flanges": [40, 30]}, {"web": 2, "left": 1, "right": 1}),
    ("zed", "web + 2 t, legs + t", {"web": 60, "legs": [40, 30]}, {"web": 2, "a": 1, "b": 1}),
    (
        "hat", "crown + 2 t, sides + 2 t, brims + t", {"crown": 60, "sides": [40, 40], "brims": [25, 25]},
        {"crown": 2, "left side": 2, "right side": 2, "left brim": 1, "right brim": 1},
    ),
    (
        "box", "base + 2 t both ways, height + t", {"base": [100, 80], "height": 40},
        {"base along x": 2, "base along y": 2, "front": 1, "left": 1},
    ),
    ("saddle", "web + 2 t", {"web": 60, "height": 50, "sits": "48.3 x 3.2"}, {"web": 2}),
    ("gusset", "lip + t", {"legs": [90, 80], "lip": 25}, {"lip": 1}),
    (
        "free", "base + t for each edge with a flange, flanges + t, or + 2 t", {"base": [100, 80], "flanges": FREE},
        {"base along x": 1, "base along y": 1, "flange 1": 2, "flange 2": 1},
    ),
]  # fmt: skip


@pytest.mark.parametrize(("shape", "line", "keys", "grows"), GROWS, ids=[shape for shape, *_ in GROWS])
def test_inside_sizes_grow_as_the_manual_says(
    shape: str, line: str, keys: dict[str, Any], grows: dict[str, int]
) -> None:
    """By one thickness of 3 mm for each right-angled bend that ends them, and `keys bracket` says so in one line."""
    assert re.search(rf"^ +{shape} +{re.escape(line)}", Bracket.__doc__ or "", re.MULTILINE)
    kind = {} if shape == "free" else {"shape": shape}
    long = {"length": 80} if shape in ("angle", "channel", "zed", "hat", "saddle") else {}
    outside, inside = (dict(made(measured=way, **kind, **long, **keys).sizes) for way in ("outside", "inside"))
    for name, times in grows.items():
        size = next(each for each in outside if each == f"{name}, outside" or each == name)
        assert inside[size] - outside[size] == pytest.approx(3.0 * times), size


@pytest.mark.parametrize(
    "keys", [{"shape": "box", "height": 40}, {"flanges": [{"edge": 1, "height": 40}, {"edge": 4, "height": 40}]}]
)
def test_holes_of_a_base_measured_inside_run_from_its_inside_corners(keys: dict[str, Any]) -> None:
    """A hole [20, 15] from the corners is 3 mm, the thickness, farther from the outsides of the folds."""
    for way, off in (("outside", 0.0), ("inside", 3.0)):
        flat = made(base=[100, 80], measured=way, holes=[hole("base", 20, 15)], **keys)
        first, allowance = flat.bends[0].bend, 40.0 + (3.0 if way == "inside" else 0.0)
        x, y = flat.holes[0].shape.x, flat.holes[0].shape.y  # type: ignore[union-attr]
        grown = allowance - 2.0 * first.setback + first.allowance
        assert (x, y) == pytest.approx((grown + 20 + off, grown + 15 + off))
