"""A strip rolled to an arc as a body: its flat cut into narrow strips across, each carried along the path."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely

from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import Band, FlatPart

WIDEST = math.radians(5.0)


def on_band(part: FlatPart, band: Band, flat: Array, height: float) -> Array:
    """Where points of the flat lie in the made strap, (n, 3) mm.

    Args:
        part: the strap.
        band: how it runs.
        flat: (n, 2), mm.
        height: from mid-thickness toward the inside of the arc, mm.
    """
    stations, which = np.unique(np.interp(flat[:, 0], band.flat, band.along), return_inverse=True)
    frames = [band.path.frame_at(float(s)) for s in stations]  # many points lie at one station
    middle = part.size[1] / 2.0
    origins, across, inward = (
        np.array([getattr(frame, key) for frame in frames]).reshape(-1, 3)[which.reshape(-1)]
        for key in ("origin", "y", "z")
    )
    return np.asarray(origins + (flat[:, 1] - middle)[:, None] * across + height * inward)


def band_facets(part: FlatPart, band: Band, tolerance: float) -> list[Facet]:
    """Its whole surface.

    Args:
        part: the strap.
        band: how it runs.
        tolerance: greatest distance of chords from arcs, mm.
    """
    return list(_facets(part, band, tolerance))


def _facets(part: FlatPart, band: Band, tolerance: float) -> Iterator[Facet]:
    flat = shapely.Polygon(part.outline.points(tolerance), [hole.shape.points(tolerance) for hole in part.holes])
    high, half = part.size[1], part.thickness / 2.0
    strips: list[list[Array]] = []
    for x0, x1 in pairwise(_cuts(band, tolerance)):
        cut = flat.intersection(shapely.box(x0, -1.0, x1, high + 1.0))
        for each in getattr(cut, "geoms", [cut]):
            if isinstance(each, shapely.Polygon) and each.area >= 1e-9:
                whole = shapely.geometry.polygon.orient(each)
                strips.append([shapely.get_coordinates(ring)[:-1] for ring in (whole.exterior, *whole.interiors)])
    # All in one go: most of their points lie at few stations.
    every = np.vstack([ring for rings in strips for ring in rings])
    ends = np.cumsum([len(ring) for rings in strips for ring in rings])[:-1]
    made = iter(zip(*(np.split(on_band(part, band, every, h), ends) for h in (half, -half)), strict=True))
    rim = iter(np.split(_on_rim(flat, strips), ends))
    for rings in strips:
        upper, lower = zip(*(next(made) for _ in rings), strict=True)
        rims = [next(rim) for _ in rings]
        drawn = tuple(bool(each) for each in rims[0])
        yield Facet("top", "", upper[0], drawn, tuple(upper[1:]))
        back = (*drawn[-2::-1], drawn[-1])
        yield Facet("bottom", "", lower[0][::-1], back, tuple(ring[::-1] for ring in lower[1:]))
        for top, bottom, on_rim in zip(upper, lower, rims, strict=True):
            for i in np.flatnonzero(on_rim).tolist():
                j = (i + 1) % len(top)
                yield Facet("wall", "", np.array([bottom[i], bottom[j], top[j], top[i]]), (True, False, True, False))


def _cuts(band: Band, tolerance: float) -> list[float]:
    """Where the flat is cut across: at the ends of its bends, and within them so that chords stay near."""
    found = [band.flat[0]]
    for (x0, x1), (s0, s1) in zip(pairwise(band.flat), pairwise(band.along), strict=True):
        if x1 - x0 < 1e-9:
            continue
        turned = math.acos(
            min(1.0, max(-1.0, float(band.path.frame_at(s0 + 1e-6).x @ band.path.frame_at((s0 + s1) / 2.0).x)))
        )
        radius = (s1 - s0) / (2.0 * turned) if turned > 1e-6 else 0.0
        step = min(WIDEST, 2.0 * math.acos(max(0.0, 1.0 - tolerance / radius))) if radius > tolerance else 1.0
        count = max(1, math.ceil(2.0 * turned / step)) if turned > 1e-6 else 1
        found += [x0 + (x1 - x0) * (i + 1) / count for i in range(count)]
    return found


def _on_rim(flat: shapely.Polygon, strips: Sequence[Sequence[Array]]) -> Array:
    """Whether each side of each ring of the strips lies on the flat's own edge."""
    boundary = flat.boundary
    shapely.prepare(boundary)
    middles = np.vstack([(ring + np.roll(ring, -1, axis=0)) / 2.0 for rings in strips for ring in rings])
    return np.asarray(shapely.distance(boundary, shapely.points(middles)) < 1e-6)
