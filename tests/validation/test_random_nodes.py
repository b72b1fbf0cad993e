"""Random nodes of two to eight ends, as the corners' own rules join them, against solids (manifold3d)."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from random_seeds import first_seed, how_many
from test_tubes_in_space import whole_tube
from tube_meshes import Array

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Piece
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
