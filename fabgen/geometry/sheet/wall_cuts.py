"""What a cylinder takes out of the wall of another cylinder, or of a cone: a wheel and its clearance through a skirt.

The wall is followed along its straight lines.  In the plane that holds such a line and the
wall's normal the cutter is an ellipse, so that what it takes of the line, at any depth of the
sheet, is one stretch, whose ends are the roots of a quadratic.  A sheet is cut square to its
surface: the stretch kept clear is the widest at any depth.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from fabgen.geometry.plane.outline import OutlineError, Xy
from fabgen.geometry.sheet.developments import sampled

Xyz = tuple[float, float, float]

SAMPLED = 0.003
"""Greatest distance between a cut's edge and the chords it is first sampled with, mm."""
BEYOND = 2.0
"""How far past the sheet's edges a cut is followed, mm."""
_STEP = math.radians(0.5)


@dataclass(frozen=True, slots=True)
class Wall:
    """A rolled sheet's neutral surface: radius at the lower edge and the upper one, upright height, mm."""

    bottom: float
    top: float
    height: float
    thickness: float = 0.0

    @property
    def slant(self) -> float:
        """Length up the wall from edge to edge, mm."""
        return math.hypot(self.height, self.top - self.bottom)

    @property
    def largest(self) -> float:
        """The greater of the two radii, mm."""
        return max(self.bottom, self.top)

    def inside(self, along: float) -> float:
        """Radius of the sheet's inside, mm.

        Args:
            along: up the slant from the lower edge, mm.
        """
        share = along / self.slant
        return self.bottom + (self.top - self.bottom) * share - self.thickness / 2.0 * self.height / self.slant


@dataclass(frozen=True, slots=True)
class Cutter:
    """A cylinder of `radius` mm whose axis passes the wall's.

    Seen from outside, looking at the wall `around` rad to the right of its middle: the axis runs
    toward the viewer, `offset` mm to the right of the wall's axis, and where it is nearest to
    that axis it is `height` mm over the lower edge; it rises outward by `tilt` rad.
    """

    radius: float
    height: float
    offset: float = 0.0
    around: float = 0.0
    tilt: float = 0.0


def cut_loops(wall: Wall, cutter: Cutter) -> list[list[Xy]]:
    """Closed loops round what a cutter takes of the wall, on the half of it that faces `around`.

    Args:
        wall: the rolled sheet's neutral surface.
        cutter: the cylinder that passes through it.
    Returns: loops of points (angle from the wall's middle to the right times the wall's largest radius, slant
        from the lower edge), mm; they run on past the sheet's edges by up to `BEYOND`.
    Raises:
        OutlineError: the cutter takes the wall right up to where it turns away from the viewer, or is too small
            beside it to be laid out.
    """
    line = _Line(wall, cutter)
    turns = [_STEP * i for i in range(-math.floor(math.pi / 2.0 / _STEP), math.floor(math.pi / 2.0 / _STEP) + 1)]
    cut = [line.stretch(turn) is not None for turn in turns]
    if cut[0] or cut[-1]:
        raise OutlineError(f"the cut-out is as wide as the skirt, whose inside there is {_side(wall, line, cut[0])}")
    loops = []
    for first, last in _runs(cut):
        low = _edge(line, turns[first - 1], turns[first])
        high = _edge(line, turns[last + 1], turns[last])
        loops.append(_loop(line, low, high))
    return loops


def _side(wall: Wall, line: _Line, left: bool) -> str:
    ends = line.stretch(-math.pi / 2.0 if left else math.pi / 2.0) or (0.0, 0.0)
    along = min(max((ends[0] + ends[1]) / 2.0, 0.0), wall.slant)
    return f"{wall.inside(along):.1f} mm from its axis"


def _runs(flags: list[bool]) -> Iterator[tuple[int, int]]:
    """First and last index of every run of True."""
    start: int | None = None
    for i, flag in enumerate([*flags, False]):
        if flag and start is None:
            start = i
        elif not flag and start is not None:
            yield start, i - 1
            start = None


def _edge(line: _Line, off: float, on: float) -> float:
    """The direction nearest to `off` in which the cutter still meets the wall, by halving."""
    for _ in range(60):
        middle = (off + on) / 2.0
        if line.stretch(middle) is None:
            off = middle
        else:
            on = middle
    return on


def _loop(line: _Line, low: float, high: float) -> list[Xy]:
    """Along the upper edge from left to right and back along the lower one.

    Followed by tau with turn = middle + half sin(tau), which is smooth where the edge stands upright.
    """
    middle, half = (low + high) / 2.0, (high - low) / 2.0

    def edge(upper: bool, tau: float) -> Xy:
        turn = middle + half * math.sin(tau)
        ends = line.stretch(min(max(turn, low), high))
        if ends is None:  # some millionths of the wall: rounding tears it
            across = f"{2.0 * line.cutter.radius:.4g} mm beside a wall of {2.0 * line.wall.largest:.4g} mm"
            raise OutlineError(f"the cut-out is too small to be laid out: {across}")
        return (turn + line.cutter.around) * line.wall.largest, ends[1 if upper else 0]

    quarter = math.pi / 2.0
    upper = sampled(lambda tau: edge(True, tau), -quarter, quarter, SAMPLED)
    lower = sampled(lambda tau: edge(False, tau), quarter, -quarter, SAMPLED)
    loop = upper + lower
    return [p for i, p in enumerate(loop) if math.dist(p, loop[i - 1]) > 1e-6]


class _Line:
    """The wall's straight lines one by one, and what the cutter takes of each.

    Plain figures instead of arrays: thousands of lines are needed, one at a time.
    """

    def __init__(self, wall: Wall, cutter: Cutter) -> None:
        self.wall, self.cutter = wall, cutter
        slant = wall.slant
        self._lean = (wall.top - wall.bottom) / slant
        self._upright = wall.height / slant
        # x toward the viewer, y to the viewer's right, z up.
        self._axis = (math.cos(cutter.tilt), 0.0, math.sin(cutter.tilt))

    def stretch(self, turn: float) -> tuple[float, float] | None:
        """What is taken of the line `turn` rad to the right of the cutter: from and to, mm up the slant.

        None where the cutter misses the line between BEYOND below the sheet and BEYOND above it.
        """
        c, s = math.cos(turn), math.sin(turn)
        along = (self._lean * c, self._lean * s, self._upright)
        normal = (self._upright * c, self._upright * s, -self._lean)
        bottom = self.wall.bottom
        start = (bottom * c, bottom * s - self.cutter.offset, -self.cutter.height)
        ends = self._reach(start, along, normal)
        if ends is None:
            return None
        low, high = max(ends[0], -BEYOND), min(ends[1], self.wall.slant + BEYOND)
        return (low, high) if high > low else None

    def _across(self, a: Xyz, b: Xyz) -> float:
        """Product of two vectors' parts square to the cutter's axis."""
        x, _, z = self._axis
        return a[0] * b[0] + a[1] * b[1] + a[2] * b[2] - (a[0] * x + a[2] * z) * (b[0] * x + b[2] * z)

    def _reach(self, p: Xyz, q: Xyz, m: Xyz) -> tuple[float, float] | None:
        """Least and greatest v with p + v q + w m in the cutter for a depth w of the sheet; None without any."""
        square, half = self.cutter.radius**2, self.wall.thickness / 2.0
        pp, qq, mm = self._across(p, p) - square, self._across(q, q), self._across(m, m)
        pq, pm, qm = self._across(p, q), self._across(p, m), self._across(q, m)
        found: list[float] = []
        if mm > 1e-12 and half > 0.0:
            # The ellipse's own ends, where w = -(p m + v q m) / m m, as far as they lie in the sheet.
            ends = _roots(qq - qm * qm / mm, pq - pm * qm / mm, pp - pm * pm / mm) or ()
            found += [v for v in ends if math.isfinite(v) and abs(pm + v * qm) <= half * mm]
        for w in (-half, half) if half > 0.0 else (0.0,):
            found += _roots(qq, pq + w * qm, pp + 2.0 * w * pm + w * w * mm) or ()
        return (min(found), max(found)) if found else None


def _roots(a: float, b: float, c: float) -> tuple[float, float] | None:
    """Where a v v + 2 b v + c = 0, the lesser v first; None where it is more everywhere."""
    if a < 1e-12:
        return (-math.inf, math.inf) if c <= 0.0 else None
    under = b * b - a * c
    if under < 0.0:
        return None
    root = math.sqrt(under)
    return (-b - root) / a, (-b + root) / a
