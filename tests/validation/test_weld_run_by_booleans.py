"""Weld runs against solid booleans: manifold3d unites branch and main and says which body each
facet comes from; the run is the edges between the two, and the facets tell the angle."""

from __future__ import annotations

import math
from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from shapely import box

from fabgen.geometry.space.frame import Frame
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart
from fabgen.shop.section import Section

HALF = 600.0


def outline(section: Section) -> np.ndarray:
    """Across the tube, its first figure along the second axis, finely divided."""
    if section.is_round:
        turn = np.linspace(0.0, 2.0 * math.pi, 1440, endpoint=False)
        return np.column_stack((np.cos(turn), np.sin(turn))) * section.width / 2.0
    half = np.array([section.depth, section.width]) / 2.0
    shape = box(*-half, *half).buffer(-section.corner, join_style="mitre").buffer(section.corner, quad_segs=180)
    ring = np.array(shape.exterior.coords)[:-1]
    return ring if shape.exterior.is_ccw else ring[::-1]


def bar(section: Section, frame: Frame, start: float, finish: float) -> m3.Manifold:
    solid = m3.Manifold.extrude(m3.CrossSection([outline(section)]), finish - start)
    origin = frame.origin + start * frame.x
    return solid.transform(np.column_stack((frame.y, frame.z, frame.x, origin))).as_original()


def united(branch: m3.Manifold, main: m3.Manifold) -> tuple[float, np.ndarray]:
    """Length of the edges between the two bodies, and the angle (rad) at each."""
    mesh = (branch + main).to_mesh64()
    points = np.asarray(mesh.vert_properties)[:, :3]
    triangles = np.asarray(mesh.tri_verts).astype(int)
    starts = np.asarray(mesh.run_index) // 3
    body = np.zeros(len(triangles), dtype=int)
    for k, first in enumerate(starts[:-1]):
        body[first : starts[k + 1]] = mesh.run_original_id[k]
    normal = np.cross(
        points[triangles[:, 1]] - points[triangles[:, 0]], points[triangles[:, 2]] - points[triangles[:, 0]]
    )
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-30)[:, None]
    edges = np.concatenate([triangles[:, [i, (i + 1) % 3]] for i in range(3)])
    owner = np.tile(np.arange(len(triangles)), 3)
    count = len(points)
    forth, back = edges @ [count, 1], edges @ [1, count]
    order = np.argsort(back)
    facing = owner[order[np.searchsorted(back[order], forth)]]
    between = (body[owner] != body[facing]) & (edges[:, 0] < edges[:, 1])
    a, b = points[edges[between, 0]], points[edges[between, 1]]
    n, m = normal[owner[between]], normal[facing[between]]
    steps = np.linalg.norm(b - a, axis=1)
    angle = math.pi - np.arccos(np.clip((n * m).sum(axis=1), -1.0, 1.0))
    # Slivers at the corners of facets have no steady normal.
    return float(steps.sum()), angle[steps > 0.02]


def tube(mark: str, section: str, *route: tuple[float, float, float], **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


JOINTS = {
    "round on round": ("48.3 x 3.2", "60.3 x 3.2", 60.0, 0.0, {}),
    "round on round, offset": ("42.4 x 2.6", "76.1 x 3.2", 45.0, 11.0, {}),
    "thick wall, clear": ("40 x 8", "50 x 3", 70.0, 2.0, {}),
    "thin on thick": ("25 x 2", "114.3 x 5", 35.0, -20.0, {}),
    "rectangular on round": ("40 x 30 x 3", "76.1 x 3.2", 60.0, 0.0, {}),
    "rectangular on round, turned": ("40 x 30 x 3", "76.1 x 3.2", 50.0, 3.0, {"turn": 30.0}),
    "round on rectangular": ("48.3 x 3.2", "80 x 60 x 4", 55.0, 0.0, {}),
    "rectangular on rectangular": ("40 x 30 x 3", "80 x 60 x 4", 65.0, 0.0, {"turn": 20.0}),
}


@pytest.mark.parametrize("joint", JOINTS.values(), ids=JOINTS)
def test_run_and_angles(joint: tuple[str, str, float, float, dict[str, float]]) -> None:
    branch, main, degrees, offset, keys = joint
    angle = math.radians(degrees)
    end = (500.0 * math.cos(angle), offset, 500.0 * math.sin(angle))
    tubes = [
        tube("T1", main, (-HALF, 0.0, 0.0), (HALF, 0.0, 0.0)),
        tube("T2", branch, (0.0, offset, 0.0), end, **keys),
    ]
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes})
    made = {piece.mark: piece for piece in all_pieces(job)}
    frames = {mark: piece.shape for mark, piece in made.items() if isinstance(piece.shape, LengthPart)}
    assert frames["T1"].frame is not None
    assert frames["T2"].frame is not None
    length, angles = united(
        bar(frames["T2"].section, frames["T2"].frame, 0.0, 400.0),
        bar(frames["T1"].section, frames["T1"].frame, 0.0, 2.0 * HALF),
    )
    (weld,) = frames["T2"].welds
    assert weld.run.closed
    assert weld.length == pytest.approx(length, rel=3e-4)
    assert math.degrees(weld.run.least) == pytest.approx(math.degrees(angles.min()), abs=1.0)
    assert math.degrees(weld.run.greatest) == pytest.approx(math.degrees(angles.max()), abs=1.0)
