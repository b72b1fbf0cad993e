"""Bodies of notched profiles, as the 3D view and what is held against others have them, against solids by manifold3d
and, line by line along the profile, against the figures of their ends."""

from __future__ import annotations

from dataclasses import replace

import manifold3d as m3
import numpy as np
import pytest
from random_seeds import first_seed, how_many
from test_notched_profiles import OWN, REACH, as_solids, branch_body, random_joint

from fabgen.geometry.plane.regions import region
from fabgen.geometry.profile.corners import with_sharp_roots, with_sharp_toes
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.cut_body import cut_body
from fabgen.geometry.profile.end_cut import EndCut, SawnPlane, notched_end, sawn_end
from fabgen.geometry.profile.limbs import marked_limbs
from fabgen.geometry.profile.notch import notch_lines
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import EdgedMesh

ASIDE = 0.02
"""A line along the profile may be met by a cut so far beside it: where the cut is steep that is much along it, mm."""
HALF_ROUND = np.array([[-1.0, 0, 0, REACH], [0, -1.0, 0, 0], [0, 0, 1.0, 0]])


def drawn(section: CrossSection) -> CrossSection:
    """With sharp toes and empty roots."""
    return replace(section, outline=with_sharp_roots(with_sharp_toes(section)))


def solid(mesh: EdgedMesh) -> m3.Manifold:
    body = m3.Manifold(m3.Mesh64(np.ascontiguousarray(mesh.vertices), mesh.triangles.astype(np.uint64)))
    assert body.status() == m3.Error.NoError
    return body


def first_met(mesh: EdgedMesh, places: Array) -> Array:
    """x of the first triangle on lines along x at places (n, 2) in (y, z); inf where none is."""
    a, b, c = np.moveaxis(mesh.corners, 1, 0)
    first, second = (b - a)[:, 1:], (c - a)[:, 1:]
    det = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    kept = np.abs(det) > 1e-9
    a, b, c, first, second, det = (each[kept] for each in (a, b, c, first, second, det))
    away = places[:, None] - a[None, :, 1:]
    u = (away[..., 0] * second[:, 1] - away[..., 1] * second[:, 0]) / det
    v = (first[:, 0] * away[..., 1] - first[:, 1] * away[..., 0]) / det
    x = a[:, 0] + u * (b - a)[:, 0] + v * (c - a)[:, 0]
    return np.where((u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9), x, np.inf).min(axis=1)


def said(end: EndCut, places: Array) -> Array:
    """x of an end at places of its section: its saw's plane, and the edge of each limb that has metal there."""
    x = end.sawn.x(places)
    for edge in end.edges:
        station, depth = edge.limb.place(places)
        there = (station >= 0) & (station <= edge.limb.width) & (depth >= 0) & (depth <= edge.limb.thickest)
        low, high = (np.interp(station + off, edge.station, edge.x) for off in (-1e-5, 1e-5))
        x = np.where(there, np.maximum(x, np.maximum(low, high)), x)
    return x


def worst_along(mesh: EdgedMesh, end: EndCut, section: CrossSection, rng: np.random.Generator) -> float:
    """The most by which the body begins before or after its end's figures, on 400 lines along it, mm."""
    inner = region(section.outline).buffer(-2.0 * ASIDE)
    low, high = np.array(inner.bounds).reshape(2, 2)
    import shapely

    places = low + rng.random((4000, 2)) * (high - low)
    places = places[shapely.contains_xy(inner, *places.T)][:400]
    beside = [said(end, places + ASIDE * np.array(way)) for way in ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1))]
    met = first_met(mesh, places)
    return float(np.maximum(np.min(beside, axis=0) - met, met - np.max(beside, axis=0)).max())


def off_by(seed: int) -> tuple[float, float]:
    """Volume in one of both solids alone over the section's area, and the worst distance along the profile, mm."""
    branch, frame, main, main_frame, _ = random_joint(seed)
    lines = notch_lines(marked_limbs(branch), frame, [as_solids(main, main_frame)[0]])
    if not any(line.is_cut for line in lines):
        return 0.0, 0.0
    end, square = notched_end(lines), SawnPlane(0.0)
    if seed % 2:
        mesh = cut_body(branch, end, sawn_end(marked_limbs(branch.flipped()), square), REACH)
    else:  # the same end as the finish of the profile seen from its other end
        mesh = cut_body(branch.flipped(), sawn_end(marked_limbs(branch.flipped()), square), end, REACH)
        points = np.column_stack((mesh.vertices, np.ones(len(mesh.vertices)))) @ HALF_ROUND.T
        mesh = replace(mesh, vertices=points)
    sharp = drawn(branch)
    made, known = solid(mesh), branch_body(sharp, end, (), OWN)
    apart = ((made - known).volume() + (known - made).volume()) / branch.area
    return apart, worst_along(mesh, end, sharp, np.random.default_rng(seed))


def test_notched_bodies_are_the_solids_that_their_ends_say() -> None:
    first = first_seed(1300)
    both = np.array([off_by(first + i) for i in range(how_many(300, 30))])
    print(f"volume worst {both[:, 0].max():.5f} mm; distance worst {both[:, 1].max():.5f} mm")
    assert both[:, 0].max() < 0.005
    assert both[:, 1].max() < 0.01


@pytest.mark.parametrize("places", [[[0.5, 0.25]]])
def test_lines_are_met_where_a_plane_is(places: list[list[float]]) -> None:
    """Worked by hand: the plane x = y + 2 z over a square."""
    corners = np.array([[0.0, 0, 0], [1, 1, 0], [3, 1, 1], [2, 0, 1]])
    plane = EdgedMesh(corners, np.array([[0, 1, 2], [0, 2, 3]]), np.zeros((0, 2), dtype=np.int64))
    assert first_met(plane, np.array(places)) == pytest.approx([1.0])
