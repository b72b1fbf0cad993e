"""A tube end unrolled: what a paper wrapped round the outside carries.

How it lies.  Look square at the outside of the tube with +x, the way to the tube's other end,
upward.  At phi the outward normal is n = y cos(phi) + z sin(phi), so the view runs along -n, and
the right of it is (view) x (up) = -n x ex = ex x n = z cos(phi) - y sin(phi) = dn/dphi.  So phi,
which turns from +y toward +z about +x, grows to the RIGHT on a sheet whose printed side shows
outward; a seam at phi = 0 puts the heel at both edges and the toe in the middle.

Coordinates: u mm of paper to the right from the seam, v mm up the tube from its longest point,
which is where the saw cut of the straight-sawn tube lies.  Metal is kept above the line.

The sheet's thickness.  What keeps its length when paper is bent is its middle, half the paper's
thickness outside the tube: a round tube of outside diameter D needs pi (D + t), that is the
tube's own girth times (D + t) / D.  On a rectangular tube the faces stay as they are and each corner
arc of radius r becomes one of r + t / 2, pi t more over all four.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.plane.outline import Xy
from fabgen.parts.piece import Array, LengthPart, WorkedEnd
from fabgen.shop.section import Section
from fabgen.wording.inches import INCH

HEAD_ROOM = 33.0
"""Least paper above the highest point of the line, mm: the labels stand there."""
FULL_TURN = 2.0 * math.pi
_AT_SEAM = 0.05
"""A top line this near to the seam is the seam, mm."""
FACES = ("top", "right", "bottom", "left")
"""Faces of a rectangular tube as seen looking from its start to its finish."""


@dataclass(frozen=True, slots=True)
class WrapFace:
    """A flat face of a rectangular tube: its tangent points `start` and `finish`, mm round the
    tube from phi = 0, the second perhaps past a full turn; `size` is the face's full width."""

    name: str
    start: float
    finish: float
    size: float


@dataclass(frozen=True, eq=False)
class WrapHole:
    """A hole of the tube's own that lies wholly on the wrap: its name, and its edge, closed back to the first point."""

    name: str
    edge: tuple[Xy, ...]


@dataclass(frozen=True, eq=False)
class Wrap:
    """A tube end's outside, unrolled.  `u`, `v`: the line, shape (n + 1,), u from 0 to `width`,
    v nan where the end misses its main.  `phi` (rad) and `station` (mm round the tube itself)
    are those of the same points.

    `height` is the straight edge above the longest point.  `top` is
    the u of the top line, `top_phi` (rad) and `top_station` (mm) where that is round the tube.
    `heel`: whether phi = 0 is a heel; an end that stands square has none.
    """

    girth: Girth
    width: float
    height: float
    u: Array
    v: Array
    phi: Array
    station: Array
    top: float
    top_phi: float
    top_station: float
    heel: bool = True
    holes: tuple[WrapHole, ...] = ()

    @property
    def span(self) -> float:
        """Height of the highest point of the line above the lowest, mm."""
        return float(np.nanmax(self.v)) if np.isfinite(self.v).any() else 0.0

    def at(self, phi: float) -> float:
        """u of the angle phi (rad), 0 <= u < width."""
        return float(np.interp(phi % FULL_TURN, self.phi, self.u))

    @property
    def top_is_seam(self) -> bool:
        """Whether the top line lies so near the seam that the seam is drawn for it."""
        return min(self.top, self.width - self.top) <= _AT_SEAM

    def rise(self, station: Array) -> Array:
        """v at `station` mm round the tube (any turn); nan where there is no line."""
        return np.interp(np.mod(station, self.girth.length), self.station, self.v)

    def filled(self) -> Array:
        """v with 0, the saw cut, where the end misses its main: nothing is cut there."""
        return np.where(np.isnan(self.v), 0.0, self.v)

    def peaks(self) -> list[tuple[float, float]]:
        """(station, v), mm, of the points where the line turns from rising to falling or back, in order round;
        of a level stretch its middle."""
        v, station = self.v[:-1], self.station[:-1]
        if np.isnan(v).any() or float(np.ptp(v)) < 0.05:
            return []
        level = np.round(v, 1)  # less is no turn that a pencil could follow
        changes = np.flatnonzero(level != np.roll(level, 1))
        found = []
        for k, first in enumerate(changes):
            last = (int(changes[(k + 1) % len(changes)]) - 1) % len(v)
            before, after = level[first - 1], level[(last + 1) % len(v)]
            if (before - level[first]) * (after - level[first]) > 0.0:
                flat = v[np.arange(first, first + (last - first) % len(v) + 1) % len(v)]
                begin, end = float(station[first]), float(station[last])
                middle = begin + (end - begin) % self.girth.length / 2.0
                height = flat.max() if before < level[first] else flat.min()
                found.append((middle % self.girth.length, float(height)))
        return sorted(found)

    def gaps(self) -> list[tuple[float, float]]:
        """(u, u) ranges without contact, each from the last point of the line to the next."""
        last = len(self.u) - 1
        return [
            (float(self.u[max(run.start - 1, 0)]), float(self.u[min(run.stop, last)])) for run in runs(np.isnan(self.v))
        ]

    def cut_edge(self) -> list[Xy]:
        """The line as one chain of points from u = 0 to u = width; over a gap it runs along the saw cut."""
        points: list[Xy] = []
        missing = np.isnan(self.v)
        for index, (u, v) in enumerate(zip(self.u.tolist(), self.v.tolist(), strict=True)):
            if missing[index]:
                if index == 0 or index == len(missing) - 1:
                    points.append((u, 0.0))
                continue
            if index > 0 and missing[index - 1] and v > 0.0:
                points.append((u, 0.0))
            points.append((u, v))
            if index < len(missing) - 1 and missing[index + 1] and v > 0.0:
                points.append((u, 0.0))
        return points

    def faces(self) -> tuple[WrapFace, ...]:
        """The four faces, in the order of growing u from the top face; none for a round tube."""
        return self.girth.faces()


def runs(wanted: NDArray[np.bool_]) -> list[slice]:
    """Ranges of places for which `wanted` holds."""
    flags = np.concatenate(([False], wanted, [False]))
    steps = np.flatnonzero(flags[1:] != flags[:-1])
    return [slice(int(a), int(b)) for a, b in zip(steps[::2], steps[1::2], strict=True)]


def unrolled(part: LengthPart, end: WorkedEnd, paper_thickness: float = 0.0, units: str = "mm") -> Wrap:
    """The end's line on paper (or film) of the given thickness, mm; 0 gives the tube's own outside."""
    line = end.line
    phi = np.append(line.phi, FULL_TURN)
    station = np.append(line.station, part.section.perimeter)
    top = float(np.interp(end.top % FULL_TURN, phi, station))
    girth = Girth(part.section, top, end.at == "start", paper_thickness)
    v = np.append(line.x, line.x[:1]) - line.longest
    u = girth.on_paper(station)
    span = 0.0 if np.isnan(v).all() else float(np.nanmax(v))
    height = straight_edge(span, units)
    return Wrap(
        girth=girth,
        width=girth.width,
        height=height,
        u=u,
        v=v,
        phi=phi,
        station=station,
        top=float(np.interp(top, station, u)),
        top_phi=end.top % FULL_TURN,
        top_station=top,
        heel=end.has_heel,
        holes=tuple(_holes(part, end, girth, height)),
    )


def straight_edge(span: float, units: str) -> float:
    """Height of the straight edge above the longest point, mm: a round figure in the job's units, 'mm' or 'in'.

    Args:
        span: height of the line's highest point above the longest, mm.
    """
    step = 5.0 if units == "mm" else INCH / 4.0
    return math.ceil((span + HEAD_ROOM) / step - 1e-9) * step


def _holes(part: LengthPart, end: WorkedEnd, girth: Girth, height: float) -> Iterator[WrapHole]:
    """The tube's own holes that lie wholly on the wrap, off its seam; the others have templates of their own alone."""
    start = end.at == "start"
    for hole in part.drilled:
        v = hole.edge.along if start else part.length - hole.edge.along
        if v.min() <= 0.0 or v.max() >= height:
            continue
        around = hole.edge.station if start else -hole.edge.station
        middle = girth.top + (hole.station if start else -hole.station)
        station = around + girth.top - math.floor(middle / girth.length) * girth.length
        if station.min() > 0.0 and station.max() < girth.length:
            yield WrapHole(hole.name, tuple(zip(girth.on_paper(station).tolist(), v.tolist(), strict=True)))


@dataclass(frozen=True)
class Girth:
    """The way round a section from phi = 0: mm round the tube to mm of paper.

    `top` is the middle of the section's top, mm round the tube.  `forward`: True at the tube's
    start, where phi turns from the top to the right; it decides which face comes after the top.
    """

    section: Section
    top: float
    forward: bool
    paper: float = 0.0

    @property
    def length(self) -> float:
        """Once round the tube, mm."""
        return self.section.perimeter

    @property
    def width(self) -> float:
        """Once round on paper, mm."""
        return self.section.perimeter + math.pi * self.paper

    def on_paper(self, station: Array) -> Array:
        """mm of paper for mm round the tube; both 0 at phi = 0 and a full turn apart at the end."""
        if self.section.is_round:
            return station * (self.width / self.length)
        tube, paper = self._tangents()
        # One turn more on either side, so that a way that starts in a face runs past the top unbroken.
        tube = np.concatenate([tube[:-1] - self.length, tube, tube[1:] + self.length]) + self.top
        paper = np.concatenate([paper[:-1] - self.width, paper, paper[1:] + self.width])
        return np.interp(station, tube, paper) - float(np.interp(0.0, tube, paper))

    def faces(self) -> tuple[WrapFace, ...]:
        if self.section.is_round:
            return ()
        tube = self._tangents()[0] + self.top
        # From the top's middle the tangent points are: 1 the top's end, 2 and 3 the next face, 4 and 5,
        # 6 and 7, and 8 the top's start a turn later.
        pairs = [(tube[8] - self.length, tube[1]), *((tube[i], tube[i + 1]) for i in (2, 4, 6))]
        sizes = (self.section.depth, self.section.width) * 2
        names = FACES if self.forward else (FACES[0], *FACES[:0:-1])
        return tuple(
            WrapFace(name, float(start % self.length), float(start % self.length + finish - start), size)
            for name, size, (start, finish) in zip(names, sizes, pairs, strict=True)
        )

    def _tangents(self) -> tuple[Array, Array]:
        """Tangent points once round from the top's middle: mm round the tube, mm of paper, shapes (10,)."""
        r = self.section.corner
        across, up, arc = self.section.depth / 2.0 - r, self.section.width - 2.0 * r, r * math.pi / 2.0
        runs = np.array([across, arc, up, arc, 2.0 * across, arc, up, arc, across])
        corners = np.arange(9) % 2 == 1
        # A sharp corner has no length on the tube but some on the paper: a hair's keeps the map a function.
        tube = np.where(corners, np.maximum(runs, 1e-9), runs)
        paper = np.where(corners, runs + math.pi * self.paper / 4.0, runs)
        return np.concatenate(([0.0], np.cumsum(tube))), np.concatenate(([0.0], np.cumsum(paper)))
