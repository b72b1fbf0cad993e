"""Mitred frames of profiles from the job file, legs in and out, as solids by manifold3d: they fold up and fit.

Neighbours share their mitre's face and no volume, and together they weigh what one bar along the line of their
centroids weighs (Pappus and Guldin), so that no corner is open.
"""

from __future__ import annotations

import random
from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from jobs import definitions
from random_seeds import first_seed, how_many

from fabgen.documents.scene.bodies import body
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.plan.job_plan import plan_job

INWARD, OUTWARD = ("left", "back", "right", "front"), ("right", "front", "left", "back")
ANGLES = (
    "angle 40 x 40 x 4",
    "angle 60 x 40 x 5",
    "angle 40 x 60 x 5",
    "angle 30 x 30 x 3",
    "angle 40 x 40 x 3 folded",
)
CHANNELS = ("UPN 80", "UPE 80", "U 40 x 20")


def frame(dice: random.Random) -> list[dict[str, Any]]:
    """Four profiles round a rectangle, leg b or the channel's toes in or out, leg a up or down."""
    wide, deep = dice.uniform(300, 900), dice.uniform(300, 900)
    corners = [[0.0, 0.0, 0.0], [wide, 0.0, 0.0], [wide, deep, 0.0], [0.0, deep, 0.0]]
    inward = dice.random() < 0.5
    ways, other = (INWARD, OUTWARD) if inward else (OUTWARD, INWARD)
    angle, up = dice.random() < 0.7, dice.choice(("top", "bottom"))
    section = dice.choice(ANGLES if angle else CHANNELS)
    made = []
    for i in range(4):
        lies = {"legs": [up, ways[i]]} if angle else {"back": other[i]}
        route = [corners[i], corners[(i + 1) % 4]]
        made.append({"mark": f"F{i + 1}", "section": section, "route": route, **lies})
    return made


def solid(mesh: EdgedMesh) -> m3.Manifold:
    found = m3.Manifold(
        m3.Mesh(np.asarray(mesh.vertices, dtype=np.float32), np.asarray(mesh.triangles, dtype=np.uint32))
    )
    assert found.status() == m3.Error.NoError
    return found


def at_corner(pieces: list[Piece], number: int) -> tuple[Array, Array]:
    """The corners of the two cut faces at one mitre, (n, 3) each: those vertices of either that lie on its plane."""
    one, other = pieces[number], pieces[(number + 1) % 4]
    assert one.profile_part is not None
    end = one.profile_part.ends[1]
    normal = end.frame.outside(np.array(end.cut.sawn.normal)) - end.frame.origin
    point = end.frame.outside(np.array([end.cut.sawn.at, 0.0, 0.0]))
    found = []
    for piece in (one, other):
        vertices = body(piece).vertices
        found.append(vertices[np.abs((vertices - point) @ normal) < 0.01])
    return found[0], found[1]


def test_frames_fold_up_and_fit() -> None:
    for seed in range(first_seed(7600), first_seed(7600) + how_many(200, 8)):
        given = frame(random.Random(seed))
        pieces = all_pieces(definitions(profile=given))
        ends = [end.kind for piece in pieces if piece.profile_part for end in piece.profile_part.ends]
        assert ends == ["mitre"] * 8, given
        for number in range(4):
            here, there = at_corner(pieces, number)
            assert len(here) >= 6
            assert len(there) >= 6
            for points, others in ((here, there), (there, here)):
                gaps = np.linalg.norm(points[:, None] - others, axis=2).min(axis=1)
                assert gaps.max() < 0.02, (given, number)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_neighbours_share_no_volume(seed: int) -> None:
    pieces = all_pieces(definitions(profile=frame(random.Random(first_seed(7900) + seed))))
    solids = [solid(body(piece)) for piece in pieces]
    for number in range(4):
        shared = solids[number] ^ solids[(number + 1) % 4]
        assert abs(shared.volume()) < 1.0, "mm3, of single precision"


def test_bars_of_mixed_sections_are_planned_apart_and_proven() -> None:
    """Posts 4 of 1500, rails 6 of 880: 11 280 mm and ten cuts are two bars of 6 m at least; flat and T one each."""
    post, rail, odd = "angle 40 x 40 x 4", "T 40 x 40 x 5", "angle 40 x 40 x 5"
    text = "".join(
        f"[[profile]]\nmark = '{mark}'\nsection = '{section}'\nroute = [[0, {y}, 0], [{long}, {y}, 0]]\n"
        f"quantity = {count}\n{lies}\n"
        for mark, section, long, count, y, lies in (
            ("P", post, 1500, 4, 0, "legs = ['top', 'left']"),
            ("R", post, 880, 6, 90, "legs = ['top', 'left']"),
            ("S", rail, 384, 1, 180, "flange = 'top'"),
            ("L", "flat 40 x 5", 900, 3, 270, ""),
            ("A", odd, 900, 1, 360, "legs = ['top', 'left']"),
        )
    )
    tube = "[[tube]]\nmark = 'T'\nsection = '40 x 40 x 3'\nroute = [[0, 450, 0], [700, 450, 0]]\n"
    job = read_text(f"[job]\ntitle = 't'\nnumber = '1'\nunits = 'mm'\n{text}{tube}").definitions
    plan = plan_job(job, all_pieces(job))
    bought: dict[str, int] = {}
    marks: dict[str, set[str]] = {}
    for bar in plan.bars:
        name = bar.section.words("mm")
        bought[name] = bought.get(name, 0) + bar.count
        marks.setdefault(name, set()).update(cut.mark for cut in bar.cuts)
    assert all(bar.proven for bar in plan.bars)
    assert bought == {post: 2, rail: 1, "flat 40 x 5": 1, odd: 1, "40 x 40 x 3": 1}
    assert marks[post] == {"P", "R"}
