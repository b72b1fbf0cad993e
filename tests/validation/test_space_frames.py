"""Space frames drawn point to point: whatever the nodes are, nothing stops, and no tube stands in another."""

from __future__ import annotations

import itertools
import json
import math
from collections.abc import Sequence
from typing import Any

import pytest
from jobs import checked, definitions, tube
from test_tubes_in_space import whole_tube

from fabgen.checks.registry import run_checks
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart

# The 25-bar tower of structural optimisation, nodes in inches and members as commonly printed (first by Venkayya,
# Khot and Reddy, 1968); from memory.
NODES = {
    1: (-37.5, 0, 200),
    2: (37.5, 0, 200),
    3: (-37.5, 37.5, 100),
    4: (37.5, 37.5, 100),
    5: (37.5, -37.5, 100),
    6: (-37.5, -37.5, 100),
    7: (-100, 100, 0),
    8: (100, 100, 0),
    9: (100, -100, 0),
    10: (-100, -100, 0),
}
BARS = (
    *((1, 2), (1, 4), (2, 3), (1, 5), (2, 6), (2, 4), (2, 5), (1, 3), (1, 6), (3, 6), (4, 5), (3, 4), (5, 6)),
    *((3, 10), (6, 7), (4, 9), (5, 8), (4, 7), (3, 8), (5, 10), (6, 9), (6, 10), (3, 7), (4, 8), (5, 9)),
)
ROOM = {"shallow-cope", "weld-access"}
"""Flat angles, and too little room to weld."""


def tower(more: str = "") -> str:
    lines = [f'[job]\ntitle = "tower"\nnumber = "1"\nunits = "in"\ncrossings = "cut"\n{more}\n[points]']
    lines += [f"N{name} = {list(place)}" for name, place in NODES.items()]
    for number, (one, other) in enumerate(BARS, 1):
        lines.append(f'[[tube]]\nmark = "M{number}"\nsection = "2 x 0.12"\nroute = ["N{one}", "N{other}"]')
    return "\n".join(lines)


def test_the_25_bar_tower_has_no_stop_and_looks_for_room_alone() -> None:
    job = read_text(tower()).definitions
    assert len(job.tube) == 31  # six pairs of diagonals cross
    graver = [finding for finding in run_checks(checked(job)) if finding.level != "note"]
    assert {finding.rule for finding in graver} <= {*ROOM, "many-ends"}  # seven bars meet at nodes 3 to 6
    assert not any(finding.is_stop for finding in graver)


@pytest.mark.slow
def test_on_hubs_the_tower_has_nothing_to_look_at_but_flat_angles() -> None:
    job = checked(tower('corners = "hub"'))
    assert sum(piece.title == "hub" for piece in job.pieces) == 4  # where seven bars meet
    assert {finding.rule for finding in run_checks(job) if finding.level != "note"} <= ROOM


def test_no_bar_of_a_quarter_of_the_tower_stands_in_another() -> None:
    """All bars that end at nodes 1, 4 or 8: every kind of node there is, by symmetry."""
    parts = [
        piece.length_part
        for piece in all_pieces(read_text(tower()).definitions)
        if piece.mark in ("M1", "M2", "M3b", "M4", "M6", "M8", "M11", "M12", "M16", "M18", "M24", "M19b", "M17b")
    ]
    meshes = [(part, whole_tube(part)) for part in parts if part is not None]
    assert len(meshes) == len(parts)
    for (one, a), (other, b) in itertools.combinations(meshes, 2):
        if mitred(one) & mitred(other):
            continue  # sawn flat, where the mesh is cut square through the wall
        edge = min(part.section.perimeter * part.section.wall for part in (one, other))
        assert (a ^ b).volume() / edge < 0.02


def mitred(part: LengthPart) -> set[tuple[float, ...]]:
    """The points of a tube's mitred ends."""
    return {tuple(end.frame.origin.round(3).tolist()) for end in part.ends if end.cut == "mitre"}


# -- a panel of bars, a rail across posts -------------------------------------------------------
def graver(*tubes: dict[str, Any], **job: Any) -> set[str]:
    return {f.rule for f in run_checks(checked(definitions(job, tube=list(tubes)))) if f.level != "note"}


def test_a_ladder_drawn_point_to_point() -> None:
    rails = [tube(m, (0, y, 0), (0, y, 2400), section="33.7 x 2.6") for m, y in (("R1", 0), ("R2", 400))]
    rungs = [tube(f"S{i}", (0, 0, 300.0 * i), (0, 400, 300.0 * i), section="26.9 x 2.3") for i in range(9)]
    assert graver(*rails, *rungs) == set()


def test_a_handrail_from_point_to_point() -> None:
    posts = [tube(f"P{i}", (800.0 * i, 0, 0), (800.0 * i, 0, 1000), section="42.4 x 2.6") for i in range(4)]
    top = tube("T", (0, 0, 1000), (2400, 0, 1000), section="42.4 x 2.6")
    assert graver(*posts, top) == set()
    assert graver(top, *posts) == set()


def test_a_sawhorse_of_four_legs_at_a_ridge() -> None:
    lean = 1000.0 * math.tan(math.radians(20.0))
    ridge = tube("R", (0, 0, 1000), (1200, 0, 1000), section="48.3 x 3.2")
    legs = [
        tube(f"L{i}", (x, side * lean, 0), (x, 0, 1000), section="33.7 x 2.6", start={"cut": "level"})
        for i, (x, side) in enumerate(itertools.product((100, 1100), (-1, 1)))
    ]
    assert graver(ridge, *legs) <= {"weld-access"}


def read_graver(tubes: Sequence[dict[str, Any]], more: str = "") -> set[str]:
    """Of a job file whose tubes are cut where they cross; `more` are further lines of its header."""
    lines = [f'[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\ncrossings = "cut"\n{more}']
    for each in tubes:
        lines += ["[[tube]]", *(f"{key} = {json.dumps(value)}" for key, value in each.items())]
    return {f.rule for f in run_checks(checked(read_text("\n".join(lines)).definitions)) if f.level != "note"}


# -- a box, a gate and a lattice ---------------------------------------------------------------------
BOX = tuple(itertools.product((0, 800), (0, 600), (0, 700)))
"""The corners of a box, mm along, across and up."""


def box(sections: Sequence[str]) -> list[dict[str, Any]]:
    """Its twelve edges from corner to corner, those along, across and up each of a section."""
    edges = [
        (axis, one, other)
        for one, other in itertools.combinations(BOX, 2)
        for axis in range(3)
        if all((one[k] == other[k]) != (k == axis) for k in range(3))
    ]
    return [tube(f"B{i}", one, other, section=sections[axis]) for i, (axis, one, other) in enumerate(edges)]


@pytest.mark.parametrize(
    "sections",
    [
        ("42.4 x 2.6",) * 3,
        ("40 x 40 x 3",) * 3,
        ("40 x 40 x 3", "30 x 30 x 2", "40 x 40 x 3"),
        ("60 x 40 x 3", "40 x 40 x 3", "40 x 40 x 3"),
        ("42.4 x 2.6", "33.7 x 2.6", "48.3 x 3.2"),
    ],
)
def test_a_box_of_twelve_tubes_from_corner_to_corner(sections: Sequence[str]) -> None:
    made = box(sections)
    assert len(made) == 12
    assert graver(*made) <= ROOM


@pytest.mark.parametrize("section", ["33.7 x 2.6", "40 x 40 x 3"])
def test_a_gate_with_a_brace_both_ways(section: str) -> None:
    corners = [(0, 0, 0), (1200, 0, 0), (1200, 0, 1100), (0, 0, 1100)]
    sides = [tube(f"G{i}", corners[i - 1], corners[i], section=section) for i in range(4)]
    braces = [tube(f"X{i}", corners[i], corners[i + 2], section="26.9 x 2.3") for i in range(2)]
    assert read_graver([*sides, *braces]) <= ROOM


def test_a_lattice_of_bars_both_ways() -> None:
    uprights = [tube(f"U{i}", (250.0 * i, 0, 0), (250.0 * i, 0, 1000), section="33.7 x 2.6") for i in range(5)]
    levels = [tube(f"L{i}", (0, 0, 250.0 * i), (1000, 0, 250.0 * i), section="33.7 x 2.6") for i in range(5)]
    assert read_graver([*uprights, *levels]) <= ROOM
    assert read_graver([*levels, *uprights]) <= ROOM


# -- a rail across posts, a trestle ----------------------------------------------------------------------
def posts_and_rails(section: str) -> list[dict[str, Any]]:
    posts = [tube(f"P{i}", (800.0 * i, 0, 0), (800.0 * i, 0, 1000), section=section) for i in range(4)]
    return [*posts, *(tube(f"R{z}", (0, 0, z), (2400, 0, z), section=section) for z in (1000, 500))]


def trestle(section: str) -> list[dict[str, Any]]:
    """Four legs that lean out to both sides, at the ends of their ridge, and a tie across each pair."""
    ties = [tube(f"T{x}", (x, -150, 400), (x, 150, 400), section=section) for x in (0, 1000)]
    legs = [
        tube(f"L{i}", (x, side * 300, 0), (x, 0, 800), section=section, start={"cut": "level"})
        for i, (x, side) in enumerate(itertools.product((0, 1000), (-1, 1)))
    ]
    return [tube("R", (0, 0, 800), (1000, 0, 800), section=section), *legs, *ties]


@pytest.mark.parametrize("section", ["42.4 x 2.6", "40 x 40 x 3"])
def test_a_knee_rail_across_its_posts(section: str) -> None:
    made = posts_and_rails(section)
    assert read_graver(made) == set()
    assert read_graver(made[::-1]) == set()


@pytest.mark.parametrize("section", ["42.4 x 2.6", "40 x 40 x 3"])
def test_a_trestle_from_point_to_point(section: str) -> None:
    assert graver(*trestle(section)) <= ROOM


@pytest.mark.slow
@pytest.mark.parametrize("style", ["mitred", "hub", "disc"])
@pytest.mark.parametrize("section", ["33.7 x 2.6", "40 x 40 x 3"])
def test_frames_by_the_other_choices_for_a_whole_job(section: str, style: str) -> None:
    more = f'corners = "{style}"'
    corners = [(0, 0, 0), (1200, 0, 0), (1200, 0, 1100), (0, 0, 1100)]
    gate = [tube(f"G{i}", corners[i - 1], corners[i], section=section) for i in range(4)]
    gate += [tube(f"X{i}", corners[i], corners[i + 2], section="26.9 x 2.3") for i in range(2)]
    for made in (gate, posts_and_rails(section), box((section,) * 3)):
        assert read_graver(made, more) <= ROOM
