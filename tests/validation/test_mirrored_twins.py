"""Mirrored parts against twins written by hand: every flat and every wrap is the same to the byte.

The twins are written by other rules than the program's: of a part on the left its y is negated, left and right are
exchanged, what is counted clockwise runs the other way, and what is measured along folds counts from the other end.
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable
from typing import Any

import pytest
from random_seeds import first_seed, how_many

from fabgen.app.hands import with_own_images
from fabgen.app.work import built
from fabgen.documents.dxf.flat_dxf import flat_dxf, flat_name
from fabgen.documents.dxf.machine_files import wrap_files
from fabgen.job.reader import read_text
from fabgen.parts.piece import Piece

HEAD = '[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n'
Keys = dict[str, Any]
OTHER = {"left": "right", "right": "left", "top": "top", "bottom": "bottom", "front": "front", "back": "back"}


def written(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {written(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(written, value)) + "]"
    return json.dumps(value)


def text_of(tables: list[tuple[str, Keys]]) -> str:
    lines = [HEAD]
    for table, keys in tables:
        lines += [f"[[{table}]]", *(f"{key} = {written(value)}" for key, value in keys.items())]
    return "\n".join(lines) + "\n"


def made(text: str) -> dict[str, Piece]:
    return {piece.mark: piece for piece in built(with_own_images(read_text(text)))}


def files(pieces: dict[str, Piece], marks: list[str]) -> dict[str, bytes]:
    those = [pieces[mark] for mark in marks]
    flats = {flat_name(piece): flat_dxf(piece) for piece in those if piece.flat_part is not None}
    return flats | wrap_files(those)


def held_to_twin(left: list[tuple[str, Keys]], right: list[tuple[str, Keys]]) -> None:
    """Mirrors the parts on the left, and compares with those on the right, made alone."""
    marks = [keys["mark"] for _, keys in left]
    by_mirror = made(text_of(left) + f"[[mirror]]\nparts = {written(marks)}\n")
    by_hand = made(text_of(right))
    images = [mark for mark in (f"{mark}-R" for mark in marks) if mark in by_mirror]
    assert images
    assert files(by_mirror, images) == files(by_hand, images)


def image_of(keys: Keys, **other: Any) -> Keys:
    return keys | {"mark": f"{keys['mark']}-R"} | other


# -- tubes and profiles ---------------------------------------------------------------------
def mirrored_point(point: list[float]) -> list[float]:
    return [point[0], -point[1], point[2]]


def random_hole(rng: random.Random, section: str) -> tuple[Keys, Keys]:
    hole: Keys = {"at": rng.uniform(60.0, 160.0), "diameter": rng.uniform(5.0, 9.0)}
    other = dict(hole)
    if rng.random() < 0.5:
        hole["length"] = other["length"] = 18.0
        turn = rng.uniform(-80.0, 80.0)
        hole["turn"], other["turn"] = turn, -turn
    if " x " in section and section.count("x") == 1 and rng.random() < 0.5:
        side = rng.uniform(5.0, 355.0)
        hole["side"], other["side"] = side, 360.0 - side
    else:
        hole["side"] = rng.choice(["left", "right"])
        other["side"] = OTHER[hole["side"]]
    return hole, other


def random_tubes(rng: random.Random) -> tuple[list[tuple[str, Keys]], list[tuple[str, Keys]]]:
    main_section = rng.choice(["60.3 x 3.2", "60 x 60 x 3", "80 x 60 x 4"])
    branch_section = rng.choice(["33.7 x 2.6", "42.4 x 3.2", "30 x 30 x 2"])
    y = rng.uniform(200.0, 500.0)
    main: Keys = {"mark": "M", "section": main_section, "route": [[0, y, 0], [rng.uniform(500, 700), y, 0]], "turn": 0}
    hole, other_hole = random_hole(rng, main_section)
    foot = [rng.uniform(200.0, 300.0), y, 0]
    head = [foot[0] + rng.uniform(-150, 150), y + rng.uniform(-120, 120), rng.uniform(250, 350)]
    branch: Keys = {"mark": "B", "section": branch_section, "route": [foot, head], "turn": 0}
    left = [("tube", main | {"holes": [hole]}), ("tube", branch)]
    right = []
    for _, keys in left:
        keys = image_of(keys, route=[mirrored_point(point) for point in keys["route"]])
        right.append(("tube", keys | ({"holes": [other_hole]} if "holes" in keys else {})))
    return left, right


def random_profiles(rng: random.Random) -> tuple[list[tuple[str, Keys]], list[tuple[str, Keys]]]:
    y = rng.uniform(200.0, 400.0)
    legs = rng.choice([["top", "left"], ["bottom", "right"], ["left", "top"]])
    rail: Keys = {"mark": "A", "section": "angle 50 x 30 x 4", "route": [[0, y, 0], [600, y, 0]], "legs": legs}
    end = [300 + rng.uniform(-80, 80), y, 300]
    cross: Keys = {
        "mark": "T",
        "section": "40 x 40 x 3",
        "route": [[300, y, 0], end],
        "start": {"plane": [[0, y - 30, 0], [600, y - 30, 0], [0, y + 30, rng.uniform(5, 30)]]},
    }
    left = [("profile", rail), ("tube", cross)]
    right = [
        (
            "profile",
            image_of(rail, route=[mirrored_point(p) for p in rail["route"]], legs=[OTHER[leg] for leg in legs]),
        ),
        (
            "tube",
            image_of(
                cross,
                route=[mirrored_point(p) for p in cross["route"]],
                start={"plane": [mirrored_point(p) for p in cross["start"]["plane"]]},
            ),
        ),
    ]
    return left, right


# -- sheet ------------------------------------------------------------------------------------
def random_strip(rng: random.Random) -> tuple[list[tuple[str, Keys]], list[tuple[str, Keys]]]:
    """Angle, channel, zed and hat: u counts along the folds, so from the other end in the twin."""
    long = rng.uniform(90.0, 150.0)
    shape = rng.choice(["angle", "channel", "zed", "hat"])
    sizes, faces = {
        "angle": ({"legs": [50, 60]}, ["a", "b"]),
        "channel": ({"web": 60, "flanges": [35, 45]}, ["web", "left", "right"]),
        "zed": ({"web": 60, "legs": [40, 50]}, ["web", "a", "b"]),
        "hat": ({"crown": 60, "sides": [40, 40], "brims": [30, 30]}, ["crown", "left brim"]),
    }[shape]
    keys: Keys = {"mark": "B", "shape": shape, "thickness": 3, "length": long, "corner_radius": 4} | sizes
    holes, others = [], []
    for face in faces:
        u, v = rng.uniform(15.0, 0.42 * long), rng.uniform(18.0, 22.0)
        hole: Keys = {"face": face, "diameter": rng.uniform(5.0, 8.0)}
        slot = rng.random() < 0.4
        turn = rng.uniform(-40, 40)
        holes.append({"at": [u, v]} | hole | ({"length": 12, "turn": turn} if slot else {}))
        others.append({"at": [long - u, v]} | hole | ({"length": 12, "turn": -turn} if slot else {}))
    place = {"at": [100, 300, 0]}
    return (
        [("bracket", keys | {"holes": holes, "place": place})],
        [("bracket", image_of(keys, holes=others, place={"at": [100, -300, 0]}))],
    )


def random_etched_plate(rng: random.Random) -> tuple[list[tuple[str, Keys]], list[tuple[str, Keys]]]:
    """A plate on which a tube is etched has two sides, so a hand."""
    corners = [
        [0, 0],
        [rng.uniform(110, 130), 0],
        [rng.uniform(80, 100), rng.uniform(70, 80)],
        [0, rng.uniform(50, 60)],
    ]
    hole, tube = [rng.uniform(15, 25), rng.uniform(12, 20)], [rng.uniform(55, 60), rng.uniform(30, 35)]
    turn = rng.uniform(-60, 60)
    keys: Keys = {"mark": "P", "thickness": 4, "corner_radius": 3}

    def over(at: list[float]) -> list[float]:
        return [-at[0], at[1]]

    left = keys | {
        "corners": corners,
        "holes": [{"at": hole, "diameter": 9}],
        "tubes": [{"tube": "30 x 20 x 2", "at": tube, "turn": turn}],
        "place": {"at": [0, 250, 0]},
    }
    round_again = [corners[i] for i in (1, 0, 3, 2)]
    right = image_of(
        keys,
        corners=[over(at) for at in round_again],
        holes=[{"at": over(hole), "diameter": 9}],
        tubes=[{"tube": "30 x 20 x 2", "at": over(tube), "turn": 180 - turn}],
    )
    return [("plate", left)], [("plate", right)]


def random_skirt(rng: random.Random) -> tuple[list[tuple[str, Keys]], list[tuple[str, Keys]]]:
    keys: Keys = {"mark": "C", "shape": "skirt", "thickness": 1.5, "diameter": 300, "height": 160, "arc": 180}
    long = 149.25 * math.pi  # on the middle of the sheet
    at, turn = [rng.uniform(60, 180), rng.uniform(40, 120)], rng.uniform(-70, 70)
    slot: Keys = {"diameter": 12, "length": 30}
    left = keys | {"holes": [slot | {"at": at, "turn": turn}], "place": {"at": [0, 400, 0]}}
    return [("cover", left)], [("cover", image_of(keys, holes=[slot | {"at": [long - at[0], at[1]], "turn": -turn}]))]


def random_base(rng: random.Random) -> tuple[list[tuple[str, Keys]], list[tuple[str, Keys]]]:
    """A base with a flange on its right and one on part of its upper edge."""
    w, h = rng.uniform(100, 140), rng.uniform(80, 100)
    start, end = rng.uniform(10, 20), rng.uniform(60, 75)
    keys: Keys = {"mark": "B", "thickness": 2, "base": [w, h]}
    side: Keys = {"height": rng.uniform(30, 40), "name": "side", "angle": rng.uniform(60, 100)}
    top: Keys = {"edge": 3, "height": rng.uniform(25, 30), "name": "top", "fold": rng.choice(["up", "down"])}
    at = [rng.uniform(20, 30), rng.uniform(25, 35)]
    hole: Keys = {"diameter": 8, "face": "base"}
    left = keys | {
        "flanges": [side | {"edge": 2}, top | {"from": start, "to": end}],
        "holes": [hole | {"at": at}],
        "place": {"at": [0, 300, 0]},
    }
    right = image_of(
        keys,
        flanges=[side | {"edge": 4}, top | {"from": w - end, "to": w - start}],
        holes=[hole | {"at": [w - at[0], at[1]]}],
    )
    return [("bracket", left)], [("bracket", right)]


def random_clevis(rng: random.Random) -> tuple[list[tuple[str, Keys]], list[tuple[str, Keys]]]:
    long = rng.uniform(60.0, 80.0)
    keys: Keys = {
        "mark": "B",
        "shape": "clevis",
        "thickness": 4,
        "gap": 30,
        "length": long,
        "height": 50,
        "bolt": "M10",
    }
    u = rng.uniform(10.0, 0.4 * long)
    hole: Keys = {"face": "base", "diameter": 6}
    return (
        [("bracket", keys | {"holes": [hole | {"at": [u, 20]}], "place": {"at": [0, 300, 0]}})],
        [("bracket", image_of(keys, holes=[hole | {"at": [long - u, 20]}]))],
    )


def random_strap(rng: random.Random) -> tuple[list[tuple[str, Keys]], list[tuple[str, Keys]]]:
    """An arc with a hole to one side of its middle line: the twin has it on the other side."""
    keys: Keys = {"mark": "S", "shape": "arc", "width": 50, "thickness": 4, "round": 120, "arc": 120, "bolt": "M8"}
    along, off = rng.uniform(-20.0, 20.0), rng.uniform(6.0, 10.0)
    return (
        [("strap", keys | {"holes": [{"at": [along, off], "diameter": 7}], "place": {"at": [0, 300, 0]}})],
        [("strap", image_of(keys, holes=[{"at": [along, -off], "diameter": 7}]))],
    )


FAMILIES: list[Callable[[random.Random], tuple[list[tuple[str, Keys]], list[tuple[str, Keys]]]]] = [
    random_tubes,
    random_profiles,
    random_strip,
    random_etched_plate,
    random_skirt,
    random_base,
    random_clevis,
    random_strap,
]


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.__name__.removeprefix("random_"))
def test_mirrored_parts_equal_their_twins_to_the_byte(family: Callable[[random.Random], Any]) -> None:
    for seed in range(first_seed(4100), first_seed(4100) + how_many(125, 2)):
        left, right = family(random.Random(seed))
        held_to_twin(left, right)
