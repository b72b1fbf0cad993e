"""Directions of mirrored and repeated parts: a side of the job by its name and the same in numbers make one image, and
that is the reflection."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from jobs import HEADER, toml

from fabgen.app.hands import with_own_images
from fabgen.app.work import built
from fabgen.job.reader import Job, read_text
from fabgen.job.tables.movement_tables import AxisDirection
from fabgen.job.tables.tube_hole_tables import JOB_SIDES
from fabgen.parts.shape.bored.hole_ways import hole_ways
from fabgen.parts.shape.sheet_body import sheet_body

PLANES = {
    "left and right": [[0, -900, 0], [500, -900, 0], [0, -900, 500]],
    "front and back": [[900, 0, 0], [900, 500, 0], [900, 0, 500]],
    "top and bottom": [[0, 0, 900], [500, 0, 900], [0, 500, 900]],
    "aslant": [[900, 0, 0], [0, 900, 0], [900, 0, 500]],
}
ROUTE = [[0, 300, 0], [400, 300, 0]]
RAIL = {"mark": "S", "section": "40 x 40 x 3", "route": ROUTE, "turn": 0}
BODY = {"name": "B", "points": ["M"]}
ACROSS_OF = {"top": "front", "bottom": "left", "left": "top", "right": "back", "front": "right", "back": "bottom"}
"""By a side one that is square to it."""


def reflection(plane: str) -> Callable[[np.ndarray], np.ndarray]:
    at = np.array(PLANES[plane], dtype=float)
    normal = np.cross(at[1] - at[0], at[2] - at[0])
    normal /= np.linalg.norm(normal)
    return lambda points: points - 2.0 * np.outer((points - at[0]) @ normal, normal).reshape(points.shape)


def job_of(tables: dict[str, list[dict[str, Any]]], plane: str) -> str:
    lines = ["[job]", *(f"{key} = {toml(value)}" for key, value in HEADER.items()), "[points]"]
    lines += [f"Q{i} = {at}" for i, at in enumerate(PLANES[plane], 1)] + ["N = [0, 300, 0]", "M = [200, 250, 80]"]
    for table, listed in tables.items():
        for entry in listed:
            lines += [f"[[{table}]]", *(f"{key} = {toml(value)}" for key, value in entry.items())]
    names = [each for table, listed in tables.items() for each in map(name_of, listed) if table not in ("pin", "node")]
    return "\n".join([*lines, "[[mirror]]", f"parts = {toml(names)}", 'plane = ["Q1", "Q2", "Q3"]', ""])


def name_of(entry: dict[str, Any]) -> str:
    return str(entry.get("mark") or entry.get("name"))


def placed(place: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    corners = [[0, 0], [60, 0], [40, 50], [0, 40]]
    return {"plate": [{"mark": "P", "thickness": 4, "corners": corners, "place": {"at": [50, 300, 40], **place}}]}


def of_profile(section: str, key: str) -> Callable[[Any], dict[str, list[dict[str, Any]]]]:
    def tables(way: Any) -> dict[str, list[dict[str, Any]]]:
        route = [[0, 300, 0], [0, 300, 300]] if way in ("front", "back") or (way[0] in (1.0, -1.0)) else ROUTE
        return {"profile": [{"mark": "P", "section": section, "route": route, key: way}]}

    return tables


def moving(table: str, **keys: Any) -> Callable[[Any], dict[str, list[dict[str, Any]]]]:
    return lambda way: {"tube": [RAIL], "body": [BODY], table: [{"name": "J", **keys, "axis": way}]}


def with_link(way: Any) -> dict[str, list[dict[str, Any]]]:
    link = {"mark": "L", "section": "25 x 4", "between": ["N", "M"], "rod_ends": ["M12 right", "M12 left"]}
    return {"link": [link], "pin": [{"at": "N", "axis": way}]}


def at_corner(way: Any) -> dict[str, list[dict[str, Any]]]:
    ends = ([400, 700, 400], [-400, -100, 400], [400, -100, -400])
    tubes = [{"mark": f"T{i}", "section": "30 x 2", "route": ["N", end]} for i, end in enumerate(ends)]
    return {"tube": tubes, "node": [{"at": "N", "corners": "hub", "hub_along": way}]}


Read = Callable[[Any], AxisDirection]
WAYS: dict[str, tuple[Callable[[Any], dict[str, list[dict[str, Any]]]], str, Read]] = {
    "place up": (lambda way: placed({"up": way, "along": across(way)}), "plate", lambda part: part.place[0].up),
    "place along": (lambda way: placed({"along": way}), "plate", lambda part: part.place[0].along),
    "channel": (of_profile("channel 50 x 38 x 5", "back"), "profile", lambda part: part.back),
    "T": (of_profile("T 40 x 40 x 5", "flange"), "profile", lambda part: part.flange),
    "flat bar": (of_profile("flat 40 x 8", "width"), "profile", lambda part: part.width),
    "joint": (moving("joint", kind="hinge", at="M", between=["frame", "B"]), "joint", lambda part: part.axis),
    "wheel": (moving("wheel", on="B", centre="M", diameter=400), "wheel", lambda part: part.axis),
    "disc": (
        moving("envelope", on="B", at="M", shape="disc", diameter=200, width=20),
        "envelope",
        lambda part: part.axis,
    ),
    "pin": (with_link, "pin", lambda part: part.axis),
    "hub": (at_corner, "node", lambda part: part.hub_along),
}
"""By what it is: tables for a way, which of them holds it, and where it is in the image's table."""


def across(way: Any) -> Any:
    side = way if isinstance(way, str) else next(name for name, each in JOB_SIDES.items() if list(each) == way)
    return ACROSS_OF[side] if isinstance(way, str) else list(JOB_SIDES[ACROSS_OF[side]])


def last(job: Job, table: str) -> Any:
    return getattr(job.definitions, table)[-1]


@pytest.mark.parametrize("plane", PLANES)
@pytest.mark.parametrize("kind", WAYS)
def test_a_way_by_name_and_in_numbers_is_reflected_alike(kind: str, plane: str) -> None:
    tables, table, way_of = WAYS[kind]
    mirrored = reflection(plane)
    origin = mirrored(np.zeros(3))
    for side, looks in JOB_SIDES.items():
        wanted = mirrored(np.array(looks)) - origin
        for way in (side, list(looks)):
            made = way_of(last(read_text(job_of(tables(way), plane)), table))
            assert made is not None
            assert made.direction is not None
            assert np.allclose(made.direction, wanted, atol=1e-9), (side, way)


@pytest.mark.parametrize("plane", PLANES)
def test_the_legs_of_an_angle_and_the_upright_of_a_frame_are_reflected(plane: str) -> None:
    mirrored = reflection(plane)
    origin = mirrored(np.zeros(3))
    for legs in (["top", "left"], ["bottom", "right"], [[0, 0, 1], "right"]):
        angle = {"mark": "A", "section": "angle 50 x 30 x 4", "route": ROUTE, "legs": legs}
        image = last(read_text(job_of({"profile": [angle]}, plane)), "profile")
        for leg, made in zip(legs, image.legs, strict=True):
            wanted = mirrored(np.array(JOB_SIDES[leg] if isinstance(leg, str) else leg)) - origin
            assert np.allclose(made.direction, wanted, atol=1e-9)
    for up in ("front", [1.0, 0.0, 0.0]):
        frame = {"mark": "F", "shape": "ladder", "section": "30 x 30 x 2", "size": [400, 200], "bars": 2, "at": "M"}
        job = read_text(job_of({"frame": [frame | {"along": "left", "up": up}]}, plane))
        own = {tube.mark: tube for tube in job.definitions.tube}
        for image, first in job.expanded.images.items():
            route = np.array([point.xyz for point in own[first].route])
            assert np.allclose([point.xyz for point in own[image].route], mirrored(route), atol=1e-9)


@pytest.mark.parametrize("plane", PLANES)
def test_a_wheel_whose_axis_is_left_out_stays_square_to_its_image_s_spindle(plane: str) -> None:
    wheel = {"name": "W", "on": "B", "centre": "M", "diameter": 400}
    tables = {"tube": [RAIL], "body": [BODY], "wheel": [wheel]}
    axis = last(read_text(job_of(tables, plane)), "wheel").axis.direction
    mirrored = reflection(plane)
    wanted = mirrored(np.array([0.0, 1.0, 0.0])) - mirrored(np.zeros(3))
    assert np.linalg.norm(np.cross(axis, wanted)) < 1e-9


@pytest.mark.parametrize("plane", [name for name in PLANES if name != "aslant"])
def test_what_goes_round_a_tube_and_faces_that_routes_lie_on_look_the_other_way(plane: str) -> None:
    mirrored = reflection(plane)
    origin = mirrored(np.zeros(3))
    upright = {"mark": "S", "section": "48.3 x 3.2", "route": [[0, 300, 0], [0, 300, 400]]}
    for side in JOB_SIDES:
        tube = upright if side in ("front", "back") else RAIL | {"section": "48.3 x 3.2"}
        bar = {"mark": "U", "shape": "U-bolt", "diameter": 10, "around": "S", "at": 200, "legs_to": side}
        strap = {"mark": "V", "width": 30, "thickness": 3, "shape": "half band", "round": "S", "at": 100}
        tables = {"tube": [tube], "bar": [bar], "strap": [strap | {"bolt": "M8", "ears_to": side}]}
        job = read_text(job_of(tables, plane))
        for looks in (last(job, "bar").legs_to, last(job, "strap").ears_to):
            assert np.allclose(JOB_SIDES[looks], mirrored(np.array(JOB_SIDES[side])) - origin)
        lying = read_text(job_of({"tube": [(upright if tube is upright else RAIL) | {"lies": side}]}, plane))
        first, image = (np.array([point.xyz for point in each.route]) for each in lying.definitions.tube)
        assert np.allclose(mirrored(first), image)


def test_bars_are_turned_over_and_repeats_turn_sides() -> None:
    bar = {"mark": "K", "diameter": 10, "legs": [60, 40], "bends": [90], "radius": 15}
    place = {"at": [100, 330, 20], "along": "front", "up": "left"}
    first, image = last(read_text(job_of({"bar": [bar | {"place": place}]}, "left and right")), "bar").place
    assert np.allclose(first.up.direction, image.up.direction)
    turned = placed({"up": "left", "along": "front"})["plate"][0]
    text = job_of({"plate": [turned]}, "left and right").split("[[mirror]]")[0]
    repeat = '[[repeat]]\nparts = ["P"]\ncount = 3\nabout = [[0, 0, 0], [0, 0, 1]]\nangle = 45\n'
    ups = [place.up.direction for place in last(read_text(text + repeat), "plate").place]
    assert np.allclose(ups, [[0, 1, 0], [-(0.5**0.5), 0.5**0.5, 0], [-1, 0, 0]])


def test_a_point_that_is_called_like_a_side_is_the_point() -> None:
    text = job_of(placed({"along": "left"}), "left and right").replace("[points]", "[points]\nleft = [50, 340, 90]")
    made = last(read_text(text), "plate").place[0].along
    assert made.toward.xyz == pytest.approx((50.0, -2140.0, 90.0))


# -- as built -------------------------------------------------------------------------------
HANDED = {
    "mark": "K",
    "shape": "angle",
    "thickness": 3,
    "length": 80,
    "legs": [40, 30],
    "holes": [{"at": [20, 20], "face": "a", "bolt": "M8"}],
}
CLEVIS = {"mark": "K", "shape": "clevis", "thickness": 4, "gap": 22, "length": 40, "height": 45, "bolt": "M12"}
LUG = {"mark": "K", "thickness": 8, "corners": [[0, 0], [60, 0], [40, 60], [0, 40]]}
BUILT = {
    "clevis on a side": ("bracket", CLEVIS, {"at": [100, 320, 0], "of": [20, 15], "along": "bottom", "up": "left"}),
    "angle on a side": ("bracket", HANDED, {"at": [200, 325, 20], "along": "front", "up": "left", "face": "a"}),
    "lug": ("plate", LUG, {"at": [60, 330, 20], "along": "front", "up": "right"}),
    "lug toward a point": ("plate", LUG, {"at": "M", "along": {"from": "M", "by": [0, 0, 90]}}),
    "lug between points": ("plate", LUG, {"between": ["M", {"from": "M", "by": [0, 0, 90]}]}),
    "angle, `along` alone": ("bracket", HANDED, {"at": [200, 325, 20], "along": "top"}),
    "lug on an edge": ("plate", LUG, {"against": "S", "at": 150, "side": "left", "stands_on": "left", "turn": 30}),
    "lug along a side": ("plate", LUG, {"against": "S", "at": 150, "side": "top", "along": "left"}),
    "angle on a face": ("bracket", HANDED, {"against": "S", "at": 150, "side": "left", "face": "b", "along": "top"}),
    "angle by degrees": ("bracket", HANDED, {"against": "S", "at": 150, "side": 270, "turn": 90}),
    "strap": (
        "strap",
        {"mark": "K", "shape": "arc", "width": 50, "thickness": 4, "round": 120, "arc": 120, "bolt": "M8"},
        {"at": [100, 330, 20], "along": "front", "up": "left"},
    ),
}


def body(part: Any, place: int) -> np.ndarray:
    return np.asarray(part.places[place].frame.outside(sheet_body(part, 0.01).vertices))


@pytest.mark.parametrize("plane", PLANES)
@pytest.mark.parametrize("kind", BUILT)
def test_what_is_placed_by_sides_stands_where_its_reflection_does(kind: str, plane: str) -> None:
    table, keys, place = BUILT[kind]
    loaded = with_own_images(read_text(job_of({"tube": [RAIL], table: [keys | {"place": place}]}, plane)))
    parts = [part for piece in built(loaded) if (part := piece.flat_part) is not None]
    bodies = [body(part, place) for part in parts for place in range(len(part.places))]
    assert len(bodies) == 2
    far = np.linalg.norm(reflection(plane)(bodies[0])[:, None] - bodies[1][None], axis=2)
    assert max(far.min(axis=0).max(), far.min(axis=1).max()) < 0.05


@pytest.mark.parametrize("plane", PLANES)
@pytest.mark.parametrize("side", ["left", "top", 60])
@pytest.mark.parametrize("section", ["40 x 40 x 3", "48.3 x 3.2"])
def test_holes_on_sides_of_tubes_are_where_their_reflection_is(side: object, section: str, plane: str) -> None:
    tube = RAIL | {"section": section, "holes": [{"at": 90, "diameter": 9, "side": side}]}
    if section != RAIL["section"]:
        del tube["turn"]
    first, image = built(read_text(job_of({"tube": [tube]}, plane)))
    (one,), (other,) = hole_ways(first), hole_ways(image)
    assert np.allclose(reflection(plane)(one.edge).mean(axis=0), other.edge.mean(axis=0), atol=1e-3)
