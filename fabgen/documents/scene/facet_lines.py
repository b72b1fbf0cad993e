"""Pictures of a solid's facets: which edges, and which stretches of them, an eye sees.

Edges are the facets' real edges and the outlines where a smooth surface turns away; what lies before a
sample of one is found facet by facet.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fabgen.documents.render.picture import Picture, Stroke
from fabgen.documents.scene.hidden_lines import Array, Flags, visible_stretches
from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.space.frame import Frame

STEP = 0.6
"""Edges are tried so far apart, mm of paper."""


def visible_picture(facets: Sequence[Facet], view: Frame, scale: float) -> Picture:
    """The facets seen along -view.z, at `scale`, hidden stretches left out."""
    flat = [view.inside(facet.points) * scale for facet in facets]
    holes = [[view.inside(hole) * scale for hole in facet.holes] for facet in facets]
    normals = [_normal(points) for points in flat]
    seen = [normal[2] > 1e-6 for normal in normals]
    edges = _edges(facets, flat, holes, seen)
    if not edges:
        return Picture()

    def hidden(samples: Array) -> Flags:
        found = np.zeros(len(samples), dtype=bool)
        for points, rings, normal, front in zip(flat, holes, normals, seen, strict=True):
            if front:
                _hide(samples, found, points, rings, normal)
        return found

    starts, finishes = visible_stretches(np.array(edges), STEP, hidden)
    return Picture.of(Stroke((tuple(p), tuple(q))) for p, q in zip(starts.tolist(), finishes.tolist(), strict=True))


def _normal(points: Array) -> Array:
    """Newell's normal, not scaled to length 1."""
    after = np.roll(points, -1, axis=0)
    return np.asarray(np.cross(points, after).sum(axis=0))


Segment = tuple[Array, Array]


def _edges(
    facets: Sequence[Facet], flat: Sequence[Array], holes: Sequence[Sequence[Array]], seen: Sequence[bool]
) -> list[Segment]:
    """Real edges of the facets that face the eye, and smooth ones with such a facet on one side only."""
    real: dict[tuple[tuple[float, ...], ...], Segment] = {}
    smooth: dict[tuple[tuple[float, ...], ...], tuple[Segment, int]] = {}
    for facet, points, rings, front in zip(facets, flat, holes, seen, strict=True):
        if not front:
            continue
        count = len(points)
        for i in range(count):
            a, b = points[i], points[(i + 1) % count]
            key = _key(a, b)
            if facet.drawn[i]:
                real[key] = (a, b)
            else:
                smooth[key] = ((a, b), smooth.get(key, ((a, b), 0))[1] + 1)
        for ring in rings:
            for i in range(len(ring)):
                a, b = ring[i], ring[(i + 1) % len(ring)]
                real[_key(a, b)] = (a, b)
    return [*real.values(), *(segment for key, (segment, n) in smooth.items() if n == 1 and key not in real)]


def _key(a: Array, b: Array) -> tuple[tuple[float, ...], ...]:
    ends = [tuple(round(float(v), 3) + 0.0 for v in p) for p in (a, b)]
    return tuple(sorted(ends))


def _hide(samples: Array, hidden: Flags, points: Array, rings: Sequence[Array], normal: Array) -> None:
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    near = ~hidden & (samples[:, :2] > low).all(axis=1) & (samples[:, :2] < high).all(axis=1)
    index = np.nonzero(near)[0]
    if not len(index):
        return
    some = samples[index]
    height = (np.dot(points[0], normal) - some[:, 0] * normal[0] - some[:, 1] * normal[1]) / normal[2]
    index = index[height > some[:, 2] + 0.05]
    if not len(index):
        return
    some = samples[index]
    covered = _inside(some, points)
    for ring in rings:
        covered &= ~_inside(some, ring)
    hidden[index[covered]] = True


def _inside(samples: Array, ring: Array) -> Flags:
    """Even-odd test of many points against one polygon, in x and y."""
    x, y = samples[:, 0][:, None], samples[:, 1][:, None]
    x0, y0 = ring[:, 0], ring[:, 1]
    x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
    crosses = (y0 > y) != (y1 > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = x0 + (y - y0) * (x1 - x0) / (y1 - y0)
    return np.asarray((crosses & (x < at)).sum(axis=1) % 2 == 1)
