"""Random nodes of two to eight ends, as the corners' own rules join them, against solids (manifold3d), and their seats
against the mains' surfaces, written out here from their sections alone."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import manifold3d as m3
import numpy as np
import pytest
from jobs import findings
from random_seeds import first_seed, how_many
from test_tubes_in_space import whole_tube
from tube_meshes import Array

from fabgen.checks.checked import Checked
from fabgen.checks.tube.clashes import foot_past_end
from fabgen.checks.tube.seats import seat, seated_share
from fabgen.checks.tube.tube_bodies import bodies_of
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.sections import end_profile
from fabgen.parts.tube.tube import pieces

APART = math.radians(40.0)
SIZES = ("26.9 x 2.3", "33.7 x 2.6", "42.4 x 2.6", "40 x 40 x 3", "50 x 30 x 3", "60.3 x 3.2")


def ways(random: np.random.Generator, count: int) -> list[Array]:
    """Directions well apart from one another, and no two in one line."""
    found: list[Array] = []
    while len(found) < count:
        way = random.normal(size=3)
        way /= np.linalg.norm(way)
        if all(APART <= math.acos(float(np.clip(way @ other, -1, 1))) <= math.radians(172.0) for other in found):
            found.append(way)
    return found


def node(seed: int) -> list[Piece]:
    random = np.random.default_rng((41, seed))
    count = 2 + seed % 7
    tubes = [
        {
            "mark": f"T{i}",
            "section": str(random.choice(SIZES)),
            "route": [(500.0 * way).tolist(), [0, 0, 0]],
            "turn": 0.0,
            # Said outright: an end wholly on a flat face is sawn straight else, which the meshes are not.
            "finish": {"fit": "clear"},
        }
        for i, way in enumerate(ways(random, count))
    ]
    return pieces(Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes}))


def clear(seed: int) -> None:
    """No tube of the node stands in another by more than the facets of the meshes."""
    found = {piece.mark: part for piece in node(seed) if (part := piece.length_part) is not None}
    sound = {mark: part for mark, part in found.items() if not np.isnan(part.ends[1].line.x).any()}
    meshes = {mark: whole_tube(part) for mark, part in sound.items()}
    for one, other in itertools.combinations(sound, 2):
        end = sound[one].ends[1]
        if end.cut == "mitre" and any(joint.onto == other for joint in end.joints):
            continue  # sawn flat, where the mesh is cut square through the wall
        edge = min(sound[mark].section.perimeter * sound[mark].section.wall for mark in (one, other))
        assert (meshes[one] ^ meshes[other]).volume() / edge < 0.02, (seed, one, other)


@pytest.mark.parametrize("seed", range(14))
def test_no_tube_of_a_node_stands_in_another(seed: int) -> None:
    clear(seed)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(4))
def test_no_tube_of_very_many_nodes_stands_in_another(block: int) -> None:
    """500 with --full."""
    count = how_many(125, 5)
    for seed in range(count):
        clear(first_seed(14) + 125 * block + seed)


# -- the gap at seated lines ----------------------------------------------------------------------
WALL = np.linspace(0.0, 1.0, 33)
"""Places across the thickness of a wall."""


def off_main(main: LengthPart, points: Array) -> Array:
    """How far points (n, 3) lie outside a straight main that runs on past its ends, mm; minus inside.

    A rectangle with round corners is one less its corner radius, grown by that.
    """
    assert main.frame is not None
    away = points - main.frame.origin
    y, z = away @ main.frame.y, away @ main.frame.z
    if main.section.is_round:
        return np.asarray(np.hypot(y, z) - main.section.width / 2.0)
    r = main.section.corner
    over = np.abs(np.column_stack((y, z))) - [main.section.depth / 2.0 - r, main.section.width / 2.0 - r]
    return np.asarray(np.linalg.norm(np.maximum(over, 0.0), axis=1) + np.minimum(over.max(axis=1), 0.0) - r)


def gaps(part: LengthPart, end: WorkedEnd, mains: list[LengthPart]) -> Array:
    """What is left open, mm, between a main and the nearest of the wall's edge, at each phi that has a cut there."""
    walls = end_profile(part.section, end).walls(end.frame)
    x = end.line.x[:, None] * end.frame.x
    edges = [walls.skin + x + share * walls.depth[:, None] * walls.inward for share in WALL]
    nearest = np.min([off_main(main, edge) for main in mains for edge in edges], axis=0)
    return np.asarray(nearest[np.isfinite(end.line.x)])


def seated(seed: int) -> None:
    """The line of every coped end of the node comes up to its mains; how far these themselves go on is not held."""
    parts = {piece.mark: part for piece in node(seed) if (part := piece.length_part) is not None}
    for mark, part in parts.items():
        for end in part.ends:
            if end.cut == "cope" and np.isfinite(end.line.x).any():
                open_by = gaps(part, end, [parts[joint.onto] for joint in end.joints])
                assert open_by.max() <= 0.05, (seed, mark)


@pytest.mark.parametrize("seed", range(14))
def test_the_lines_of_a_node_come_up_to_their_mains(seed: int) -> None:
    seated(seed)


def test_a_line_drawn_back_leaves_the_gap_it_is_drawn_back_by() -> None:
    """The measure itself: a square end is drawn back from a flat face by 0.3 mm."""
    keys = {"section": "40 x 40 x 3", "finish": {"fit": "clear"}}
    tubes = [
        {"mark": "M", "section": "60 x 60 x 3", "route": [[-300, 0, 0], [300, 0, 0]]},
        {"mark": "B", "route": [[0, 0, 500], [0, 0, 0]], **keys},
    ]
    header = {"title": "t", "number": "1", "units": "mm"}
    made = pieces(Definitions.model_validate({"job": header, "tube": tubes}))
    main, branch = (part for piece in made if (part := piece.length_part) is not None)
    end = branch.ends[1]
    assert gaps(branch, end, [main]).max() == pytest.approx(0.0, abs=1e-6)
    back = replace(end, line=replace(end.line, x=end.line.x + 0.3))
    assert gaps(branch, back, [main]).max() == pytest.approx(0.3, abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(4))
def test_the_lines_of_very_many_nodes_come_up_to_their_mains(block: int) -> None:
    """500 with --full."""
    for seed in range(how_many(125, 5)):
        seated(first_seed(14) + 125 * block + seed)


# -- how much of an end is seated -----------------------------------------------------------------
PROBES = 40
"""Places round an end at which a sliver of wall is carried on by half a millimetre into what it sits on."""


def probed(part: LengthPart, end: WorkedEnd, mains: list[m3.Manifold]) -> float:
    """The share of an end's round below which there is metal of its mains, by solids."""
    walls = end_profile(part.section, end).walls(end.frame)
    along, x, count = end.frame.x, end.line.x, len(end.line.x)
    on = []
    for i in range(0, count, count // PROBES):
        corners = [
            edge + (x[k] + on_from) * along
            for k in (i, (i + 1) % count)
            for edge in (walls.skin[k], walls.skin[k] + walls.depth[k] * walls.inward[k])
            for on_from in (-0.5, 0.0)
        ]
        sliver = m3.Manifold.hull_points(np.array(corners))
        on.append(any((sliver ^ main).volume() > 1e-4 for main in mains))
    return float(np.mean(on))


def held_against_solids(seed: int) -> None:
    """The share that each coped end of a node is said to be seated on, and which of them the finding names."""
    made = node(seed)
    parts = {piece.mark: part for piece in made if (part := piece.length_part) is not None}
    bodies = bodies_of(parts)
    # One that misses its main in part has no whole line to make a body of; that is told by `end-misses`.
    meshes = {mark: whole_tube(part) for mark, part in parts.items() if not any(e.line.misses for e in part.ends)}
    for body in bodies.values():
        end = body.finish
        mains = [meshes[joint.onto] for joint in end.joints if joint.onto in meshes]
        if end.cut == "cope" and not end.line.misses and len(mains) == len(end.joints):
            share = seated_share(body, end, bodies)
            by_solids = probed(body.part, end, mains)
            assert share == pytest.approx(by_solids, abs=0.045), (seed, body.mark)


def test_seated_shares_of_a_node_agree_with_solids() -> None:
    held_against_solids(3)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(2))
def test_seated_shares_of_more_nodes_agree_with_solids(block: int) -> None:
    for seed in range(how_many(30, 3)):
        held_against_solids(first_seed(14) + 30 * block + seed)


@pytest.mark.parametrize("seed", [3, 9])
def test_every_end_with_less_than_95_percent_is_spoken_of(seed: int) -> None:
    """Those that hang past the end of what they sit on by `foot-past-end`, the others with their shares in one,
    those that weld fills in another."""
    made = node(seed)
    job = Checked(Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}}), made)
    bodies = bodies_of(job.tubes)
    short = {
        body.mark: share
        for body in bodies.values()
        if body.finish.cut == "cope"
        and not body.finish.line.misses
        and (share := seated_share(body, body.finish, bodies)) < 0.95
    }
    hang = {mark for finding in findings(job, (foot_past_end,)) for mark in finding.marks}
    said = findings(job, (seat,))
    assert len(said) == len({finding.level for finding in said})
    shares = dict(pair for finding in said for pair in re.findall(r"(\w+) finish (\d+) %", finding.text))
    assert {mark: int(share) for mark, share in shares.items()} == {
        mark: int(100.0 * share) for mark, share in short.items() if mark not in hang
    }
