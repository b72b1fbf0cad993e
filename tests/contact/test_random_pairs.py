"""Random pairs of all kinds against solids that trimesh makes from the sizes alone, measured by manifold3d.

Of what is apart the distance is compared, of what lies in one another the volume that both share.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

import numpy as np
import pytest
import shapely
import trimesh
from jobs import definitions, pieces_of
from manifold3d import Manifold, Mesh64
from random_seeds import first_seed, how_many

from fabgen.contact.contacts import Contacts
from fabgen.contact.pair import gap, into_one_another
from fabgen.contact.solids import Solid

APART = 0.05
"""Distances differ by no more, mm."""
FAR = 60.0
"""Pairs that are farther apart are not asked, mm."""
COMPARED = 2_000
ROOM = 160.0
QUARTER = 60
"""Chords to a quarter of a circle: within 1 part in 11,000 of its radius."""


@dataclass(frozen=True, eq=False)
class Given:
    """A part's table, its family, and the independent solid of it in space."""

    table: str
    entry: dict[str, Any]
    solid: trimesh.Trimesh
    pins: list[dict[str, Any]] = field(default_factory=list)


def turned(rng: np.random.Generator) -> np.ndarray:
    """Any attitude as columns."""
    q, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return q * np.sign(np.linalg.det(q))


def standing(solid: trimesh.Trimesh, axes: np.ndarray, at: np.ndarray) -> trimesh.Trimesh:
    """A solid with its own x, y, z along three columns, its origin at a point."""
    matrix = np.eye(4)
    matrix[:3, :3], matrix[:3, 3] = axes, at
    return solid.copy().apply_transform(matrix)


def along_x(ring: shapely.Polygon, length: float) -> trimesh.Trimesh:
    """A section of (y, z) drawn out along x."""
    solid = trimesh.creation.extrude_polygon(ring, length)  # along z, section in (x, y)
    return solid.apply_transform(np.array([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1.0]]))


def disc(radius: float) -> shapely.Polygon:
    return shapely.Point(0.0, 0.0).buffer(radius, quad_segs=QUARTER)


def rounded(width: float, height: float, radius: float) -> shapely.Polygon:
    return shapely.box(-width / 2 + radius, -height / 2 + radius, width / 2 - radius, height / 2 - radius).buffer(
        radius, quad_segs=QUARTER
    )


def ends(at: np.ndarray, axes: np.ndarray, length: float) -> list[list[float]]:
    return [at.tolist(), (at + length * axes[:, 0]).tolist()]


def tube(kind: str, mark: str, axes: np.ndarray, at: np.ndarray, rng: np.random.Generator) -> Given:
    length = rng.uniform(100.0, 300.0)
    route = ends(at, axes, length)
    x = axes[:, 0]
    up = np.array([0.0, 0.0, 1.0]) - x[2] * x  # the tube's top, whichever way it was turned
    z = up / np.linalg.norm(up)
    own = np.column_stack((x, np.cross(z, x), z))
    if kind == "round":
        d, wall = rng.choice([26.9, 33.7, 48.3, 60.3]), rng.choice([2.6, 3.2])
        section, ring = f"{d} x {wall}", disc(d / 2) - disc(d / 2 - wall)
    elif kind == "bar":
        d = rng.choice([12.0, 20.0, 30.0])
        section, ring = f"{d} solid", disc(d / 2)
    else:
        section, ring = "60 x 40 x 3 r 6", rounded(40.0, 60.0, 6.0) - rounded(34.0, 54.0, 3.0)
    plain = {"cut": "plain"}
    entry = {"mark": mark, "section": section, "route": route, "start": plain, "finish": plain}
    return Given("tube", entry, standing(along_x(ring, length), own, at))


def place(axes: np.ndarray, at: np.ndarray) -> dict[str, Any]:
    return {"at": at.tolist(), "along": axes[:, 0].tolist(), "up": axes[:, 2].tolist()}


def plate(mark: str, axes: np.ndarray, at: np.ndarray, rng: np.random.Generator) -> Given:
    wide, high, thick = rng.uniform(40.0, 160.0), rng.uniform(40.0, 120.0), float(rng.choice([2.0, 5.0, 10.0]))
    hole = rng.uniform(8.0, 24.0)
    ring = shapely.box(0, 0, wide, high) - shapely.Point(wide / 2, high / 2).buffer(hole / 2, quad_segs=QUARTER)
    entry = {"mark": mark, "thickness": thick, "rectangle": [wide, high], "place": place(axes, at),
             "holes": [{"at": [wide / 2, high / 2], "diameter": hole}]}  # fmt: skip
    return Given("plate", entry, standing(trimesh.creation.extrude_polygon(ring, thick), axes, at))


def angle(mark: str, axes: np.ndarray, at: np.ndarray, rng: np.random.Generator) -> Given:
    """A folded angle: its first leg lies from the fold toward -y, its second stands on the fold."""
    t, r, long = 4.0, 6.0, rng.uniform(40.0, 120.0)
    a, b = rng.uniform(30.0, 80.0, 2)
    legs = shapely.box(-a, 0.0, -r - t, t) | shapely.box(-t, r + t, 0.0, b)
    corner = shapely.Point(-r - t, r + t)
    bend = corner.buffer(r + t, quad_segs=QUARTER) - corner.buffer(r, quad_segs=QUARTER)
    ring = (legs | (bend & shapely.box(-r - t, 0.0, 0.0, r + t))).buffer(1e-9, join_style="mitre")
    entry = {"mark": mark, "shape": "angle", "thickness": t, "radius": r, "legs": [a, b], "length": long,
             "place": place(axes, at)}  # fmt: skip
    return Given("bracket", entry, standing(along_x(ring, long), axes, at))


def flat_bar(mark: str, axes: np.ndarray, at: np.ndarray, rng: np.random.Generator) -> Given:
    length = rng.uniform(100.0, 300.0)
    entry = {"mark": mark, "section": "flat 40 x 6", "route": ends(at, axes, length), "width": axes[:, 1].tolist()}
    return Given("profile", entry, standing(along_x(shapely.box(-20, -3, 20, 3), length), axes, at))


def link(mark: str, axes: np.ndarray, at: np.ndarray, rng: np.random.Generator) -> Given:
    """An M12 rod end of the sizes that the job gives: the pin 38.5 from the tube's end, the bung's head 4 of that."""
    length = rng.uniform(180.0, 300.0)
    rod = {"thread": "M12", "shank": 54, "thread_length": 33, "bore": 12, "eye_width": 16}
    points = ends(at, axes, length)
    entry = {"mark": mark, "section": "25.4 x 4", "between": points, "rod_ends": [rod, rod | {"hand": "left"}]}
    half = [along_x(disc(12.7) - disc(8.7), length / 2 - 38.5).apply_translation([38.5, 0, 0])]
    half += [along_x(disc(d / 2), long).apply_translation([x, 0, 0])
             for d, x, long in ((25.4, 34.5, 4.0), (12.0, 9.6, 28.9), (18.0, 28.5, 6.0))]  # fmt: skip
    eye = trimesh.creation.extrude_polygon(disc(13.2) - disc(6.0), 16.0).apply_translation([0, 0, -8])
    half.append(eye)
    mirrored = [
        each.copy().apply_transform(np.diag([-1.0, 1, 1, 1])).apply_translation([length, 0, 0]) for each in half
    ]
    whole = trimesh.boolean.union([*half, *mirrored], engine="manifold")
    pins = [{"at": point, "axis": axes[:, 2].tolist()} for point in points]
    return Given("link", entry, standing(whole, axes, at), pins)


OTHERS = {"plate": plate, "angle": angle, "flat": flat_bar, "link": link}
KINDS = ("round", "plate", "box", "angle", "flat", "bar", "link")


def parts(count: int, seed: int) -> list[Given]:
    rng = np.random.default_rng(seed)
    found = []
    for number in range(count):
        kind, axes, at = KINDS[number % len(KINDS)], turned(rng), rng.uniform(-ROOM, ROOM, 3)
        mark = f"X{number}"
        found.append(OTHERS[kind](mark, axes, at, rng) if kind in OTHERS else tube(kind, mark, axes, at, rng))
    return found


def solids(given: Sequence[Given]) -> dict[str, Solid]:
    """The solids of each as a job of its own, so that no tube is cut to another."""
    jobs = (definitions(**{each.table: [each.entry]}, pin=each.pins) for each in given)
    return {solid.mark: solid for job in jobs for solid in Contacts(job, pieces_of(job)).solids}


def as_manifold(solid: trimesh.Trimesh) -> Manifold:
    return Manifold(Mesh64(np.asarray(solid.vertices, dtype=np.float64), solid.faces.astype(np.uint64)))


def worst(pairs: int, seed: int) -> tuple[float, float, int, int]:
    """The worst difference of a distance, mm, and of a shared volume as a share of it, and how many of both."""
    distance, volume, apart, within = 0.0, 0.0, 0, 0
    while apart + within < pairs:
        given = parts(16, seed)
        seed += 1
        own = solids(given)
        theirs = {each.entry["mark"]: as_manifold(each.solid) for each in given}
        for one, other in combinations(own.values(), 2):
            if not near(one, other) or apart + within >= pairs:
                continue
            own_gap = gap(one, other)[0]
            if own_gap > FAR:
                continue
            a, b = theirs[one.mark], theirs[other.mark]
            found = into_one_another(one, other)
            if found:
                within += 1
                shared = (a ^ b).volume()
                assert shared > 0.0, (one.mark, other.mark)
                volume = max(volume, abs(sum(each.volume for each in found) - shared) / shared)
            else:
                apart += 1
                # What is farther than asked is answered by what was asked; so little is soon found.
                distance = max(distance, abs(own_gap - a.min_gap(b, own_gap + 2.0 * APART)))
    return distance, volume, apart, within


def near(one: Solid, other: Solid) -> bool:
    return bool(np.linalg.norm(np.maximum(0.0, np.maximum(one.box[0] - other.box[1], other.box[0] - one.box[1]))) < FAR)


def test_some_pairs() -> None:
    distance, volume, apart, within = worst(14, first_seed(40_000))
    assert apart > 5
    assert within > 0
    assert distance < APART
    assert volume < 0.05


@pytest.mark.slow
def test_pairs_of_all_kinds() -> None:
    distance, volume, apart, within = worst(how_many(COMPARED, 40), first_seed(41_000))
    print(f"{apart} apart, worst {distance:.4f} mm; {within} in one another, worst {volume:.3%} of the volume")
    assert distance < APART
    assert math.isfinite(volume)
