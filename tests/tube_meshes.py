"""Tubes as meshes of manifold3d, made from the job's own figures and from cut lines, and from
nothing of the code that works out where they meet."""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.profile import Profile
from fabgen.shop.section import Section

Array = NDArray[np.float64]
FAR = 2000.0
AROUND = 720
"""Corners of a whole circle."""
BENT_AROUND = 240
"""Of the section of a bend, whose mesh would grow too large otherwise."""


# -- mains: filled up -----------------------------------------------------------------
def outline(section: Section, around: int = AROUND) -> Array:
    """The outside, (n, 2): first figure along y, second along x, counter-clockwise."""
    if section.is_round:
        t = np.arange(around) * 2.0 * math.pi / around
        return section.width / 2.0 * np.column_stack((np.cos(t), np.sin(t)))
    a, b, r = section.depth / 2.0, section.width / 2.0, section.corner
    points = []
    for k, (i, j) in enumerate(((1, 1), (-1, 1), (-1, -1), (1, -1))):
        t = (k + np.linspace(0.0, 1.0, around // 4 + 1)) * math.pi / 2.0
        points.append(np.column_stack((i * (a - r) + r * np.cos(t), j * (b - r) + r * np.sin(t))))
    return np.vstack(points)


def placed(solid: m3.Manifold, origin: Array, x: Array, y: Array, z: Array) -> m3.Manifold:
    """Moved so that its x, y, z lie along the three unit vectors, from `origin`."""
    return solid.transform(np.column_stack((x, y, z, origin)))


def straight_bar(
    section: Section, origin: Array, along: Array, top: Array, length: float = 2400.0, around: int = AROUND
) -> m3.Manifold:
    """A filled tube about `origin`, its first figure along `top`."""
    bar = m3.CrossSection([outline(section, around)]).extrude(length).translate((0.0, 0.0, -length / 2.0))
    # Extruded along z, the outline in x, y: the first figure lies along the mesh's y.
    return placed(bar, origin, np.cross(top, along), top, along)


def bent_bar(
    section: Section, centre: Array, out: Array, ahead: Array, radius: float, angle: float, arms: float
) -> list[m3.Manifold]:
    """A filled bend that begins at `centre` + radius `out` and sets off `ahead`, and its straight
    arms of `arms` mm; the first figure lies along `out`."""
    axis = np.cross(out, ahead)
    # Revolved about the mesh's z; the outline's y is the section's first figure, which lies along `out`.
    ring = [(x + radius, y) for y, x in outline(section, BENT_AROUND)][::-1]
    turn = m3.CrossSection([np.array(ring)]).revolve(AROUND, math.degrees(angle))
    turn = placed(turn, centre, out, ahead, axis)
    last_out = math.cos(angle) * out + math.sin(angle) * ahead
    last_ahead = math.cos(angle) * ahead - math.sin(angle) * out
    one = straight_bar(section, centre + radius * out - arms / 2 * ahead, ahead, out, arms, BENT_AROUND)
    other = straight_bar(
        section, centre + radius * last_out + arms / 2 * last_ahead, last_ahead, last_out, arms, BENT_AROUND
    )
    return [turn, one, other]


def seen_in(solid: m3.Manifold, frame: Frame) -> m3.Manifold:
    """The solid in a frame's coordinates: booleans are fast where a main lies along an axis."""
    return solid.transform(np.column_stack((frame.axes, -frame.axes @ frame.origin)))


def half_space(point: Array, normal: Array) -> m3.Manifold:
    """All behind a plane, as a large block."""
    z = normal / np.linalg.norm(normal)
    x = np.cross(z, np.eye(3)[np.abs(z).argmin()])
    x /= np.linalg.norm(x)
    block = m3.Manifold.cube((2 * FAR, 2 * FAR, FAR), True).translate((0.0, 0.0, -FAR / 2.0))
    return placed(block, point, x, np.cross(z, x), z)


# -- branches: tubes from their cut line ----------------------------------------------------
def cut_tube(profile: Profile, x: Array, frame: Frame, push: float = 0.0) -> m3.Manifold:
    """A tube along frame.x from its cut line to a little past the line's end, cut square through
    the wall at each place, moved by `push` mm against frame.x."""
    inner = profile.skin + np.minimum(profile.depth, np.linalg.norm(profile.skin, axis=1) - 0.02)[:, None] * (
        profile.inward
    )
    near, away = x - push, np.full(len(x), x.max() + 1.0)
    rings = [(near, profile.skin), (away, profile.skin), (away, inner), (near, inner)]
    return shell([frame.outside(np.column_stack((s, side))) for s, side in rings])


def shell(rings: list[Array]) -> m3.Manifold:
    """A closed ring of a wall: each list of points (n, 3) joined to the next, the last to the first."""
    n = len(rings[0])
    here, there = np.arange(n), (np.arange(n) + 1) % n
    triangles = []
    for k in range(len(rings)):
        a, b = k * n, (k + 1) % len(rings) * n
        triangles += [
            np.column_stack((a + here, a + there, b + here)),
            np.column_stack((a + there, b + there, b + here)),
        ]
    mesh = m3.Mesh64(np.vstack(rings), np.vstack(triangles).astype(np.uint64))
    mesh.merge()
    solid = m3.Manifold(mesh)
    assert solid.status() == m3.Error.NoError, solid.status()
    assert solid.volume() > 0.0
    return solid


def widest_gap(touching: list[m3.Manifold], profile: Profile, frame: Frame) -> float:
    """The longest way round the branch's outside, mm, on which the meshes have nothing in the wall
    below; all the way round for none at all."""
    touched = np.any([_touched(mesh, profile, frame) for mesh in touching], axis=0)
    if not touched.any():
        return profile.perimeter
    at = profile.station[touched]
    return float(np.diff(np.append(at, at[0] + profile.perimeter)).max())


def _touched(touching: m3.Manifold, profile: Profile, frame: Frame) -> NDArray[np.bool_]:
    """Which places have something of the mesh below; a triangle counts from corner to corner."""
    mesh, n = touching.to_mesh64(), len(profile.phi)
    points, triangles = np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts).astype(int)
    if not len(points):
        return np.zeros(n, dtype=bool)
    parts = np.array_split(frame.inside(points)[:, 1:], len(points) // 500 + 1)
    corners = np.concatenate([_nearest_place(part, profile) for part in parts])[triangles]
    first = corners[:, :1]
    around = np.remainder(corners - first + n // 2, n) - n // 2
    low, high = first[:, 0] + around.min(axis=1), first[:, 0] + around.max(axis=1)
    steps = np.zeros(3 * n + 1, dtype=int)
    np.add.at(steps, low + n, 1)
    np.add.at(steps, high + n + 1, -1)
    return np.asarray((np.cumsum(steps)[:-1].reshape(3, n) > 0).any(axis=0))


def _nearest_place(across: Array, profile: Profile) -> NDArray[np.int64]:
    """The place whose strip of wall is nearest, for (y, z) across the tube."""
    away = across[:, None] - profile.skin
    depth = np.clip((away * profile.inward).sum(axis=2), 0.0, profile.depth)
    return np.asarray(np.linalg.norm(away - depth[..., None] * profile.inward, axis=2).argmin(axis=1))
