"""Folded sheet against solids: manifold3d (an independent library of exact mesh booleans).

Flats are folded back by their bend lines alone (`refolding`), their panels extruded, and asked what they
overlap and how far apart they are; tubes are the filled bars of `tube_meshes`.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st
from refolding import Folded, Motion, Panel, refold
from tube_meshes import straight_bar

from fabgen.geometry.plane.regions import region
from fabgen.geometry.sheet.collisions import collisions
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.section_text import parse_section
from fabgen.parts.bracket import bracket
from fabgen.parts.piece import FlatPart
from fabgen.shop.section import Section

X, Y, Z = np.eye(3)
QUICK = [Phase.explicit, Phase.generate]
"""Booleans are too slow for a failing case to be made smaller."""


def made(**keys: Any) -> FlatPart:
    table = {"mark": "B1", "thickness": 3} | keys
    job = {"job": {"title": "x", "number": "x", "units": "mm"}, "bracket": [table]}
    (piece,) = bracket.pieces(Definitions.model_validate(job))
    assert piece.flat_part is not None
    return piece.flat_part


def solid(panel: Panel, thickness: float) -> m3.Manifold:
    outline = np.array(panel.shape.exterior.coords)[:-1]
    plate = m3.CrossSection([outline if panel.shape.exterior.is_ccw else outline[::-1]]).extrude(thickness)
    return plate.transform(np.column_stack((panel.motion.turn, panel.motion.shift)))


def volume(body: m3.Manifold) -> float:
    return float(body.volume())


# -- corners ------------------------------------------------------------------
BOX = {"shape": "box", "base": [120, 80], "height": 35, "holes": [{"face": "base", "at": [60, 40], "diameter": 5}]}


def box_sides(folded: Folded) -> list[m3.Manifold]:
    names = ("front", "right", "back", "left")
    return [solid(folded.joins[f"base / {name}"][1], folded.thickness) for name in names]


@pytest.mark.parametrize("angle", [40, 70, 90, 105])
@pytest.mark.parametrize("radius", [0.0, 2.0, 5.0])
@pytest.mark.parametrize(("corner", "gap"), [("gap", 0.5), ("gap", 2.0), ("butt", 0.0), ("butt", 1.0)])
def test_sides_of_a_box_meet_as_asked(corner: str, gap: float, radius: float, angle: float) -> None:
    sides = box_sides(refold(made(**BOX, corner=corner, corner_gap=gap, radius=radius, bend_angle=angle)))
    for i in range(4):
        one, other = sides[i], sides[(i + 1) % 4]
        assert volume(one ^ other) < 1e-3
        apart = one.min_gap(other, 20.0)
        # A butted side stops short of the other's inner skin; where sides lean, that may end a little before.
        assert gap - 2e-3 < apart < (gap + 2e-3 if corner == "gap" or angle == 90 else 1.25 * gap + 2e-3)


@pytest.mark.parametrize("angle", [40, 90, 105, 120])
@pytest.mark.parametrize("radius", [0.0, 3.0])
def test_open_corners_stay_apart(radius: float, angle: float) -> None:
    flat = made(**BOX, corner="open", radius=radius, bend_angle=angle)
    sides = box_sides(refold(flat))
    assert all(volume(sides[i] ^ sides[(i + 1) % 4]) < 1e-3 for i in range(4))
    assert flat.tree is not None
    assert collisions(flat.tree, flat.thickness) == []


def test_butted_sides_end_flush() -> None:
    """The side that runs over ends in the plane of the other's outside: the box is as long as its base."""
    folded = refold(made(**BOX, corner="butt", radius=3.0))
    points = np.vstack([folded.joins[f"base / {name}"][1].corners(z) for name in ("front", "back") for z in (0.0, 3.0)])
    assert np.ptp(points, axis=0) == pytest.approx((120, 80, 29))  # 35 less the bend's 6


# -- faces that run into one another ----------------------------------------------
@settings(max_examples=60, phases=QUICK)
@given(st.floats(30, 120), st.floats(30, 90), st.floats(30, 90), st.floats(80, 150), st.floats(0, 5))
def test_collisions_are_what_booleans_find(web: float, left: float, right: float, angle: float, radius: float) -> None:
    """Channels that lean inward: reported where their panels share metal, silent where they stand apart."""
    holes = [{"face": "web", "at": [40, web / 2 + 30], "diameter": 4}]
    lengths = {"web": web + 60, "flanges": [left + 40, right + 40], "length": 80}
    flat = made(shape="channel", **lengths, bend_angle=angle, radius=radius, holes=holes)
    panels = [solid(panel, flat.thickness) for panel in refold(flat).panels]
    shared = max(volume(a ^ b) for a, b in combinations(panels, 2))
    apart = min(a.min_gap(b, 10.0) for a, b in ((panels[1], panels[2]),))
    assert flat.tree is not None
    found = collisions(flat.tree, flat.thickness)
    if shared > 50.0:
        assert found
    elif shared == 0.0 and apart > 1.0 and angle < 100.0:
        assert not found
    else:
        assume(False)


def test_a_flange_through_a_flange_is_found() -> None:
    """A lip that folds back through the flange beside it."""
    flanges = [
        {"edge": 1, "height": 40, "flanges": [{"height": 60}]},
        {"edge": 3, "height": 60},
    ]
    flat = made(base=[100, 40], flanges=flanges)
    assert flat.tree is not None
    assert ("flange 1.1", "flange 2") in collisions(flat.tree, 3.0)
    apart = made(base=[100, 80], flanges=flanges)
    assert apart.tree is not None
    assert collisions(apart.tree, 3.0) == []


# -- edges on tubes -----------------------------------------------------------------
SECTIONS = ("48.3 x 3.2", "60.3 x 3.2", "60 x 40 x 3", "60 x 40 x 3 r 6", "50 x 50 x 3 r 5")


def tube(section: Section, turn: float, slope: float, offset: float, roll: float) -> m3.Manifold:
    """Under an edge along x with y up: the words of `tube_under`, done again."""
    along, aside = math.cos(turn) * X + math.sin(turn) * Z, math.cos(turn) * Z - math.sin(turn) * X
    axis = math.cos(slope) * along + math.sin(slope) * Y
    up = Y - (Y @ axis) * axis
    up /= np.linalg.norm(up)
    top = math.cos(roll) * up + math.sin(roll) * np.cross(up, axis)
    return straight_bar(section, offset * aside, axis, top)


def fits(plate: m3.Manifold, bar: m3.Manifold, down: np.ndarray) -> None:
    """No metal of the plate lies in the tube, it touches, and a hair lower it would cut in."""
    assert volume(plate ^ bar) < 0.5  # mm3: chords of bar and edge
    assert plate.min_gap(bar, 5.0) < 0.02
    assert volume(plate.translate(0.1 * down) ^ bar) > 0.02


@settings(max_examples=40, phases=QUICK)
@given(
    st.sampled_from(SECTIONS),
    st.sampled_from([2.0, 4.0, 8.0]),
    st.one_of(st.sampled_from([0.0, 90.0]), st.floats(-180, 180)),
    st.one_of(st.just(0.0), st.floats(-40, 40)),
    st.one_of(st.just(0.0), st.floats(-6, 6)),
    st.one_of(st.just(0.0), st.floats(0, 90)),
)
def test_ears_sit_on_tubes(name: str, t: float, turn: float, slope: float, offset: float, roll: float) -> None:
    section = parse_section(name, "mm")
    seat = {"onto": section, "turn": turn, "slope": slope, "offset": offset, "roll": roll}
    flat = made(shape="ear", thickness=t, width=24, height=90, bolt="M10", sits=seat)
    x0, y0, x1, y1 = flat.holes[0].shape.bounds
    # The hole stands over the middle of the edge, its height over the tube's axis.
    shift = np.array([-(x0 + x1) / 2, 90 - (y0 + y1) / 2, -t / 2])
    plate = solid(Panel(region(flat.outline, 0.001), Motion(np.eye(3), shift)), t)
    angles = (math.radians(each) for each in (turn, slope))
    fits(plate, tube(section, *angles, offset, math.radians(roll)), -Y)


@settings(max_examples=12, phases=QUICK)
@given(
    st.sampled_from(SECTIONS),
    st.sampled_from([2.0, 4.0]),
    st.one_of(st.just(90.0), st.floats(40, 140)),
    st.one_of(st.just(0.0), st.floats(-15, 15)),
    st.one_of(st.just(90.0), st.floats(70, 100)),
    st.floats(30, 110),
)
def test_saddles_sit_on_tubes(name: str, t: float, turn: float, slope: float, bend: float, length: float) -> None:
    section = parse_section(name, "mm")
    seat = {"onto": section, "turn": turn, "slope": slope}
    holes = [{"face": "web", "at": [length / 2, 35], "diameter": 3}]
    keys = {"web": 70, "height": 75, "bend_angle": bend, "sits": seat, "holes": holes}
    flat = made(shape="saddle", thickness=t, length=length, **keys)
    folded = refold(flat)
    middle = folded.hole(flat, 0)[0] - np.array([0.0, 0.0, t / 2.0])
    # The web lies over the tube, its outside down in the flat: turned about so that y is up.
    bar = tube(section, math.radians(turn), math.radians(slope), 0.0, 0.0)
    bar = bar.transform(np.column_stack((X, -Z, Y, middle + 75 * Z)))
    for side in ("left", "right"):
        fits(solid(folded.joins[f"web / {side}"][1], t), bar, Z)


@settings(max_examples=30, phases=QUICK)
@given(
    st.tuples(st.sampled_from(SECTIONS), st.sampled_from(SECTIONS)),
    st.sampled_from([3.0, 6.0]),
    st.floats(50, 130),
    st.tuples(st.floats(-8, 8), st.floats(-8, 8)),
    st.tuples(st.one_of(st.just(0.0), st.floats(-12, 12)), st.one_of(st.just(0.0), st.floats(-12, 12))),
)
def test_gussets_sit_between_members(
    names: tuple[str, str], t: float, angle: float, offsets: tuple[float, float], slopes: tuple[float, float]
) -> None:
    """Put where it says its inner corner is, the plate touches both members all along."""
    holes = [{"at": [20, 6], "diameter": 3}]
    sections = [parse_section(name, "mm") for name in names]
    seats = [{"onto": s, "offset": o, "slope": e} for s, o, e in zip(sections, offsets, slopes, strict=True)]
    flat = made(shape="gusset", thickness=t, legs=[80, 60], angle=angle, sits=seats, holes=holes)
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    sides = (np.eye(3), np.column_stack((-c * X - s * Y, s * X - c * Y, Z)))
    bars = [
        tube(section, 0.0, math.radians(slope), offset, 0.0).transform(np.column_stack((axes, np.zeros(3))))
        for section, offset, slope, axes in zip(sections, offsets, slopes, sides, strict=True)
    ]
    x, y = (flat_size for what, flat_size in flat.sizes if what.startswith("inner corner"))
    x0, y0, x1, y1 = flat.holes[0].shape.bounds
    place = np.array([x + 20 - (x0 + x1) / 2, y + 6 - (y0 + y1) / 2, -t / 2])
    plate = m3.CrossSection([flat.outline.points(0.001)]).extrude(t)
    for bar, axes, leg in zip(bars, sides, (80, 60), strict=True):
        assert volume(plate.translate(place) ^ bar) < 2.0
        assert plate.translate(place).min_gap(bar, 5.0) < 0.01
        assert volume(plate.translate(place - 0.2 * axes[:, 1]) ^ bar) > 0.02 * t * leg
