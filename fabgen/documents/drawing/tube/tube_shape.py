"""A tube with its worked ends as a view shows it: silhouettes, cut edges seen and hidden, mains met.

Coordinates of the tube: s along it from the start's work point, up toward its top line, near
toward the viewer of the front view; alpha is the angle about the tube from the top line
toward the near side (clockwise for who looks along it from the start).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Frame
from fabgen.parts.piece import Joint, LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.bodies.length_body import top_frame
from fabgen.parts.shape.tubes import frame_near
from fabgen.shop.section import Section

Array = NDArray[np.float64]
Side = Literal["front", "top"]
END_ON = 0.05
"""A main whose direction's image is no longer than this points at the viewer."""
_HALF = np.linspace(0.0, math.pi, 91)


@dataclass(frozen=True, eq=False)
class CutEdges:
    """Chains of points (s, height) of one end's cut edge in one view."""

    solid: tuple[tuple[Xy, ...], ...]
    hidden: tuple[tuple[Xy, ...], ...]


@dataclass(frozen=True)
class Met:
    """A main in one view: a point of its axis and its direction there (s, height), half its width
    across that, the length of its direction's image (1: it lies in the view's plane; 0: it points at the viewer).
    `corners` of its section when it is rectangular and points at the viewer, mm from `at`."""

    mark: str
    at: Xy
    direction: Xy
    half: float
    flatness: float
    angle: float
    at_start: bool
    corners: tuple[Xy, ...] = ()


class TubeShape:
    """The numbers behind the views of one length of tube."""

    def __init__(self, part: LengthPart) -> None:
        self.part = part
        self.section: Section = part.section
        start, finish = part.ends
        along = finish.frame.origin - start.frame.origin
        straight = float(np.dot(start.frame.x, finish.frame.x)) < -0.999
        self.span = float(np.dot(along, start.frame.x)) if straight else part.axis
        if part.path is not None:
            # A bent tube is drawn as it lies before it is bent.
            self.span = part.length + sum(end.line.longest for end in part.ends)
        self._curves = (self._curve(start, False), self._curve(finish, True))

    def _curve(self, end: WorkedEnd, finish: bool) -> tuple[Array, Array]:
        """(alpha ascending in [0, 2 pi), s) of a cut edge; places that miss their main are left out."""
        x = end.line.x
        hit = ~np.isnan(x)
        alpha = (end.line.phi - end.top) * (-1.0 if finish else 1.0)
        alpha, s = np.mod(alpha[hit], 2.0 * math.pi), (self.span - x if finish else x)[hit]
        order = np.argsort(alpha)
        if not len(order):
            return np.zeros(1), np.full(1, self.span if finish else 0.0)
        return alpha[order], s[order]

    def edge_at(self, finish: bool, alpha: Array) -> Array:
        """s of the start's or finish's cut edge at the angles."""
        known, s = self._curves[1 if finish else 0]
        return np.asarray(np.interp(alpha, known, s, period=2.0 * math.pi))

    def reach(self, alpha: Array) -> Array:
        """Distance of the skin from the axis at the angles, mm."""
        if self.section.is_round:
            return np.full(len(alpha), self.section.width / 2.0)
        a, b, r = self.section.width / 2.0, self.section.depth / 2.0, self.section.corner
        c, s = np.abs(np.cos(alpha)), np.abs(np.sin(alpha))
        with np.errstate(divide="ignore"):
            flat = np.minimum(a / np.maximum(c, 1e-12), b / np.maximum(s, 1e-12))
        corner = (flat * c > a - r) & (flat * s > b - r) & (r > 0.0)
        toward = c * (a - r) + s * (b - r)
        arc = toward + np.sqrt(np.maximum(0.0, toward**2 - (a - r) ** 2 - (b - r) ** 2 + r * r))
        return np.where(corner, arc, flat)

    @property
    def limits(self) -> tuple[float, float]:
        """First and last s that the tube reaches: the saw length lies between."""
        return float(self._curves[0][1].min()), float(self._curves[1][1].max())

    @property
    def end_depths(self) -> tuple[float, float]:
        """How far along the tube each end's cut edge runs, mm."""
        return float(np.ptp(self._curves[0][1])), float(np.ptp(self._curves[1][1]))

    def half_height(self, side: Side) -> float:
        if self.section.is_round or side == "front":
            return self.section.width / 2.0
        return self.section.depth / 2.0

    def extreme(self, finish: bool) -> Xy:
        """The longest point of an end seen from the front: (s, height)."""
        alpha, s = self._curves[1 if finish else 0]
        i = int(np.argmax(s) if finish else np.argmin(s))
        height = float(self._heights(alpha[i : i + 1], "front")[0])
        return float(s[i]), height

    def shortest_side(self) -> tuple[float, float, float]:
        """(alpha, s at the start, s at the finish) of the shortest line along the tube's outside."""
        alpha = np.union1d(*(known for known, _ in self._curves))
        first, last = self.edge_at(False, alpha), self.edge_at(True, alpha)
        i = int(np.argmin(np.round(last - first, 6)))  # of sides alike the first
        return float(alpha[i]), float(first[i]), float(last[i])

    def flat_edge(self, finish: bool, side: Side, up: float) -> tuple[float, float]:
        """s of a flat cut that a view shows edge on, at its upper silhouette (`up` 1) or its lower (-1) and at the
        other one."""
        upper = 0.0 if side == "front" else 1.5 * math.pi
        first = upper if up > 0.0 else upper + math.pi
        long, short = self.edge_at(finish, np.array([first, first + math.pi]))
        return float(long), float(short)

    def _heights(self, alpha: Array, side: Side) -> Array:
        r = self.reach(alpha)
        return np.asarray(r * np.cos(alpha) if side == "front" else -r * np.sin(alpha))

    def skin_point(self, alpha: float, side: Side) -> tuple[float, float]:
        """(height, depth toward the viewer) of the skin at one angle."""
        one = np.array([alpha])
        other: Side = "top" if side == "front" else "front"
        depth = float(self._heights(one, other)[0])
        return float(self._heights(one, side)[0]), -depth if side == "front" else depth

    def silhouettes(self, side: Side) -> tuple[tuple[Xy, Xy], tuple[Xy, Xy]]:
        """The two outermost lines of the tube, upper and lower."""
        upper = 0.0 if side == "front" else 1.5 * math.pi
        first, second = (self._along(alpha, self.skin_point(alpha, side)[0]) for alpha in (upper, upper + math.pi))
        return first, second

    def _along(self, alpha: float, height: float) -> tuple[Xy, Xy]:
        """The line along the skin at one angle, which the view shows at that height."""
        one = np.array([alpha])
        return (float(self.edge_at(False, one)[0]), height), (float(self.edge_at(True, one)[0]), height)

    def seen_edge(self, finish: bool, side: Side) -> CutEdges:
        """The cut edge in a view: the near half is seen; of the far half what juts out past the near one."""
        first = 0.0 if side == "front" else -0.5 * math.pi
        near, far = first + _HALF, first - _HALF
        s_near, s_far = self.edge_at(finish, near), self.edge_at(finish, far)
        heights = self._heights(near, side)
        beyond = s_far > s_near + 0.02 if finish else s_far < s_near - 0.02
        solid = [_chain(s_near, heights)]
        hidden: list[tuple[Xy, ...]] = []
        begin = 0
        for i in range(1, len(heights) + 1):
            if i == len(heights) or beyond[i] != beyond[begin]:
                stretch = slice(begin, min(i + 1, len(heights)))
                chain = _chain(s_far[stretch], heights[stretch])
                apart = float(np.abs(s_far[stretch] - s_near[stretch]).max())
                if len(chain) > 1 and beyond[begin]:
                    solid.append(chain)
                elif len(chain) > 1 and apart > 0.05:
                    hidden.append(chain)
                begin = i
        return CutEdges(tuple(solid), tuple(hidden))

    def corner_lines(self, side: Side) -> list[tuple[Xy, Xy]]:
        """Where the near face of a rectangular tube goes over into its rounded corners."""
        if self.section.is_round or self.section.corner <= 0.0:
            return []
        a, b, r = self.section.width / 2.0, self.section.depth / 2.0, self.section.corner
        lines = []
        for way in (1.0, -1.0):
            # Points (up, near) of the skin where the near face of this view ends.
            up, near = (way * (a - r), b) if side == "front" else (a, -way * (b - r))
            lines.append(self._along(math.atan2(near, up), up if side == "front" else -near))
        return lines

    # -- what it sits on ------------------------------------------------------
    def mains(self, known: Mapping[str, Piece], side: Side) -> list[Met]:
        """Every main that an end sits on, as the view shows it."""
        found: list[Met] = []
        for finish, end in enumerate(self.part.ends):
            own = top_frame(end)
            for index, joint in enumerate(end.seats):
                piece = known.get(joint.onto) if end.cut != "plane" else None
                main = piece.length_part if piece is not None else None
                if main is not None and main.frame is not None:
                    # A bent main is drawn as it runs where this end meets it.
                    main = replace(main, frame=frame_near(main, end.frame.origin, end.frame.x))
                if main is not None and main.frame is not None and self.part.frame is not None:
                    point, way = own.inside(main.frame.origin), own.axes @ main.frame.x
                elif index == 0:
                    point = own.inside(end.frame.origin + joint.offset * end.frame.z)
                    way = own.axes @ (math.cos(joint.angle) * end.frame.x + math.sin(joint.angle) * end.frame.y)
                else:
                    continue
                met = self._met(joint, (point, way), main, own, side, not finish)
                if met is not None:
                    found.append(met)
        return found

    def _met(
        self, joint: Joint, axis: tuple[Array, Array], main: LengthPart | None, own: Frame, side: Side, start: bool
    ) -> Met | None:
        """The main with that `axis`, a point and its direction in the tube's `own` frame."""
        point, way = axis
        # The point of the main's axis nearest to the tube's own axis, which is x.
        across = 1.0 - float(way[0]) ** 2
        if across < 1e-6:
            return None
        point = (
            point - way * float(np.dot(point - np.array([point[0], 0.0, 0.0]), way - np.array([way[0], 0, 0]))) / across
        )
        up = 2 if side == "front" else 1
        at = (float(point[0]) + (0.0 if start else self.span), float(point[up]))
        flat = (float(way[0]), float(way[up]))
        flatness = math.hypot(*flat)
        direction = (flat[0] / flatness, flat[1] / flatness) if flatness > END_ON else (1.0, 0.0)
        half = _half_across(main, own, direction, up)
        corners = _end_on(main, own, up) if flatness <= END_ON else ()
        return Met(joint.onto, at, direction, half, flatness, joint.angle, start, corners)


def _half_across(main: LengthPart | None, own: Frame, direction: Xy, up: int) -> float:
    """Half the main's width as the view shows it, mm; 0 when the main is not known."""
    if main is None:
        return 0.0
    if main.section.is_round or main.frame is None:
        return main.section.width / 2.0
    n = (-direction[1], direction[0])
    y, z = own.axes @ main.frame.y, own.axes @ main.frame.z
    along_z, along_y = main.section.width / 2.0, main.section.depth / 2.0
    return float(abs(n[0] * y[0] + n[1] * y[up]) * along_y + abs(n[0] * z[0] + n[1] * z[up]) * along_z)


def _end_on(main: LengthPart | None, own: Frame, up: int) -> tuple[Xy, ...]:
    """The corners of a rectangular main that points at the viewer, about its axis."""
    if main is None or main.frame is None or main.section.is_round:
        return ()
    y, z = own.axes @ main.frame.y, own.axes @ main.frame.z
    a, b = main.section.width / 2.0, main.section.depth / 2.0
    corners = [z * i * a + y * j * b for i, j in ((1, 1), (1, -1), (-1, -1), (-1, 1))]
    return tuple((float(c[0]), float(c[up])) for c in corners)


def _chain(s: Array, heights: Array) -> tuple[Xy, ...]:
    return tuple((float(a), float(b)) for a, b in zip(s, heights, strict=True))
