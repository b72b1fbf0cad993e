"""A flat pattern folded back by its bend lines alone, for tests: it knows nothing of the tree it came from.

The flat is cut apart along its bend zones and each piece is carried into space, bend by bend, from the
piece that holds the first hole.  So it proves flat pattern, bend lines and fold-up at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from fabgen.geometry.plane.regions import region
from fabgen.parts.piece import FlatBend, FlatPart

Array = np.ndarray
NEAR = 0.02


@dataclass(frozen=True)
class Motion:
    """Carries flat points (x, y, z), z over the bottom skin, into space."""

    turn: Array
    shift: Array

    def __call__(self, points: Array) -> Array:
        return np.asarray(points) @ self.turn.T + self.shift


@dataclass(frozen=True)
class Panel:
    """A flat piece between bends: its outline on the flat and where it goes."""

    shape: shapely.Polygon
    motion: Motion

    def corners(self, height: float) -> Array:
        flat = np.array(self.shape.exterior.coords)[:-1]
        return self.motion(np.column_stack((flat, np.full(len(flat), height))))

    def at(self, point: tuple[float, float], height: float) -> Array:
        return self.motion(np.array([*point, height]))

    @property
    def normal(self) -> Array:
        """From the bottom skin to the top skin."""
        return self.motion.turn @ np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Folded:
    """The panels, and for each bend the two that it joins: the one nearer the root first."""

    panels: list[Panel]
    joins: dict[str, tuple[Panel, Panel]]
    bends: dict[str, FlatBend]
    thickness: float

    def mould(self, name: str, outside: bool) -> tuple[Array, Array]:
        """A point of the line in which the outer (or inner) skins either side of a bend would meet, and the
        direction in which the far panel runs away from it."""
        near, far = self.joins[name]
        bend = self.bends[name]
        height = (0.0 if outside else self.thickness) if bend.up else (self.thickness if outside else 0.0)
        across = _across(bend, near.shape)
        middle = np.array([*_middle(bend), height])
        half = bend.bend.allowance / 2.0
        a = near.motion(middle - half * across)
        b = far.motion(middle + half * across)
        u, v = near.motion.turn @ across, far.motion.turn @ across
        share = np.linalg.lstsq(np.column_stack((u, -v)), b - a, rcond=None)[0]
        assert np.linalg.norm(a + share[0] * u - b - share[1] * v) < 1e-7
        return a + share[0] * u, v

    def hole(self, flat: FlatPart, index: int) -> tuple[Array, Array]:
        """Centre of a hole in mid-sheet, and its axis."""
        x0, y0, x1, y1 = flat.holes[index].shape.bounds
        at = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
        panel = next(p for p in self.panels if p.shape.buffer(1e-3).contains(shapely.Point(at)))
        return panel.at(at, self.thickness / 2.0), panel.normal

    def size(self) -> Array:
        """Over all of the panels' corners (bends left out), shape (3,), mm."""
        points = np.vstack([p.corners(z) for p in self.panels for z in (0.0, self.thickness)])
        return points.max(axis=0) - points.min(axis=0)


def refold(flat: FlatPart) -> Folded:
    """Fold the flat up from the panel that holds its first hole."""
    pieces = _pieces(flat)
    x0, y0, x1, y1 = flat.holes[0].shape.bounds
    root = next(i for i, p in enumerate(pieces) if p.contains(shapely.Point((x0 + x1) / 2.0, (y0 + y1) / 2.0)))
    placed = {root: Panel(pieces[root], Motion(np.eye(3), np.zeros(3)))}
    bends = {bend.name: bend for bend in flat.bends}
    assert len(bends) == len(flat.bends)
    joins: dict[str, tuple[Panel, Panel]] = {}
    waiting = dict(bends)
    while waiting:
        before = len(waiting)
        for name, bend in list(waiting.items()):
            for near in list(placed):
                far = _beyond(bend, pieces, near)
                if far is None:
                    continue
                placed[far] = Panel(pieces[far], _turned(bend, pieces[near], placed[near].motion, flat.thickness))
                joins[name] = (placed[near], placed[far])
                del waiting[name]
                break
        assert len(waiting) < before, f"bends join no panel: {list(waiting)}"
    assert len(placed) == len(pieces), "a panel hangs on no bend"
    return Folded(list(placed.values()), joins, bends, flat.thickness)


def _pieces(flat: FlatPart) -> list[shapely.Polygon]:
    """The flat less its bend zones."""
    metal = region(flat.outline, 0.001)
    for bend in flat.bends:
        line = shapely.LineString([bend.start, bend.end])
        zone = line.buffer(bend.bend.allowance / 2.0, cap_style="flat")
        metal = metal.difference(zone.buffer(1e-7, join_style="mitre"))
    return [piece for piece in getattr(metal, "geoms", [metal]) if piece.area > 1e-3]


def _middle(bend: FlatBend) -> Array:
    return (np.array(bend.start) + np.array(bend.end)) / 2.0


def _normal(bend: FlatBend) -> Array:
    (x0, y0), (x1, y1) = bend.start, bend.end
    length = math.dist(bend.start, bend.end)
    return np.array([-(y1 - y0) / length, (x1 - x0) / length, 0.0])


def _across(bend: FlatBend, near: shapely.Polygon) -> Array:
    """The direction square to the bend on the flat, away from the near panel."""
    normal, half = _normal(bend), bend.bend.allowance / 2.0
    spot = shapely.Point(_middle(bend) - (half + NEAR) * normal[:2])
    return normal if near.contains(spot) else -normal


def _beyond(bend: FlatBend, pieces: list[shapely.Polygon], near: int) -> int | None:
    """The panel on the far side of the bend, where the near one lies on one of its sides."""
    normal, half, middle = _normal(bend)[:2], bend.bend.allowance / 2.0, _middle(bend)
    for way in (1.0, -1.0):
        here, there = (shapely.Point(middle + w * (half + NEAR) * normal) for w in (way, -way))
        if pieces[near].contains(here):
            found = [i for i, piece in enumerate(pieces) if piece.contains(there)]
            assert len(found) == 1, f"nothing hangs on bend {bend.name}"
            return found[0]
    return None


def _turned(bend: FlatBend, near: shapely.Polygon, motion: Motion, thickness: float) -> Motion:
    """The motion of the panel beyond a bend: turned about the bend's centre, its zone rolled up."""
    n, z = _across(bend, near), np.array([0.0, 0.0, 1.0])
    along = np.cross(n, z)
    angle = bend.bend.angle if bend.up else -bend.bend.angle
    c, s = math.cos(angle), math.sin(angle)
    turned_n, turned_z = c * n + s * z, c * z - s * n
    turn = np.outer(along, along) + np.outer(turned_n, n) + np.outer(turned_z, z)
    half = bend.bend.allowance / 2.0
    middle = np.array([*_middle(bend), 0.0])
    centre = thickness + bend.bend.radius if bend.up else -bend.bend.radius
    start = middle - half * n + centre * z
    # A point of the far tangent line, bottom skin, goes to the centre less its height turned.
    shift = start - centre * turned_z - turn @ (middle + half * n)
    return Motion(motion.turn @ turn, motion.turn @ shift + motion.shift)
