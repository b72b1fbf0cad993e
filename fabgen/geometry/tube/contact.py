"""First contact: where the wall of a tube, followed back from its free end, meets a solid.

One general mechanism serves every cope.  The wall of the branch at one place round its
outside is a flat *strip*: it starts on the outside skin line, goes square inward through the
wall, and runs along the tube.  A point of it is

    P(s, x) = skin + s * inward + x * along,        0 <= s <= depth,

with s the depth below the skin and x the position along the tube, mm.  The cut at that place
is the *greatest* x at which some point of the strip lies in the solid: metal on the
greater-x side is clear of it.  With depth 0 this is the outside skin line alone.

A solid is a union of pieces (`solids.py`).  Greatest over a union is the greatest of the pieces,
so one piece is all there is to solve: for a bent tube's curved one see `elbow.py`; for a straight
tube without ends, as most mains are, `prism_contact.py`.  Any other piece is convex, the common part of
half-spaces and of at most one round bar (an infinite cylinder), and has a closed form too.  In
the strip's plane each half-space n . P <= c is a line

    (n . inward) s + (n . along) x + (n . skin - c) <= 0,

the edges of the wall are the lines s = 0 and s = depth, and the bar (a point q of its axis,
unit direction a, radius R) is an ellipse: with v' for v less its part along a,

    | (skin - q)' + s inward' + x along' |^2 - R^2 <= 0.

The piece's part of the strip is convex, so its point of greatest x is one of these, and the
greatest of those that lie in all the others is the answer:

* the ellipse's own top, where the derivative along s is nought.  With m the unit vector
  a x inward (square to the axis and to the wall), the curve there has m . P' = +-R, so
  x = (R / |m . along|) - (m . (skin - q)) / (m . along);
* a line's crossing with the ellipse: a quadratic in the position along that line;
* two lines' crossing.

For a round branch (radius r, angle alpha, offset e, place phi) on a round main of radius R
the crossing with s = 0 reads x = (r cos phi cos alpha + sqrt(R^2 - (r sin phi - e)^2)) / sin
alpha, and the top lies where u = r' sin phi - e satisfies u / sqrt(R^2 - u^2) = cos phi cos
alpha / sin phi for some radius r' in the wall: the well-known intersection of two cylinders
(e.g. any text on descriptive geometry; derived anew and tested against bisection and solid
booleans in tests/validation).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.elbow import Curved
from fabgen.geometry.tube.prism_contact import greatest_on
from fabgen.geometry.tube.solids import TOUCH, Convex, RoundBar, RoundedPrism, Solid, Trimmed, Union, Walls


def greatest(solid: Solid, walls: Walls) -> Array:
    """Greatest x at which each strip of wall has a point in the solid.

    Args:
        solid: a union of pieces.
        walls: n strips.
    Returns: (n,), mm; nan where a strip has no point in it.
    Raises:
        ValueError: the solid has no end in that direction.
    """
    if (quick := _quick(solid, walls)) is not None:
        return quick
    return greatest_by_pieces(solid, walls)


def _quick(solid: Solid, walls: Walls) -> Array | None:
    """The same for straight tubes and unions of them, by the closed form; None where that does not serve.

    A tube that is cut back has no more than the whole one: where the point found on that lies in what
    is left, it stands, and only the other strips are worked out anew.
    """
    if isinstance(solid, RoundBar | RoundedPrism):
        return greatest_on(solid, walls)
    if isinstance(solid, Union):
        return union([greatest(part, walls) for part in solid.parts])
    if not isinstance(solid, Trimmed) or not isinstance(solid.solid, RoundBar | RoundedPrism):
        return None
    found = greatest_on(solid.solid, walls)
    if found is None:
        return None
    # With all of the wall's depth tried, the place in the wall is not known: it may be anywhere in it.
    begin = walls.skin + found[:, None] * walls.along
    end = begin + walls.depth[:, None] * walls.inward
    cut = np.any([(plane.distance(at) > 0.0) for plane in solid.by for at in (begin, end)], axis=0)
    if cut.any():
        some = Walls(walls.skin[cut], walls.inward[cut], walls.depth[cut], walls.along)
        found[cut] = greatest_by_pieces(solid, some)
    return found


def greatest_by_pieces(solid: Solid, walls: Walls) -> Array:
    """The same as `greatest` by the pieces of the solid, of any kind.

    Args:
        solid: a union of pieces.
        walls: n strips.
    Returns: (n,), mm; nan where a strip has no point in it.
    Raises:
        ValueError: the solid has no end in that direction.
    """
    alike: dict[bytes, list[Convex]] = {}
    found: list[Array] = []
    for piece in solid.pieces():
        if isinstance(piece, Convex):
            alike.setdefault(piece.cast, []).append(piece)
        else:
            assert isinstance(piece, Curved)
            found.append(piece.greatest(walls))
    return union([*found, *(_greatest(group, walls) for group in alike.values())])


def least(solid: Solid, walls: Walls) -> Array:
    """Least x at which each strip of wall has a point in the solid.

    Args:
        solid: a union of pieces.
        walls: n strips.
    Returns: (n,), mm; nan where a strip misses.
    Raises:
        ValueError: the solid has no end in that direction.
    """
    return -greatest(solid, Walls(walls.skin, walls.inward, walls.depth, -walls.along))


def union(lines: Sequence[Array]) -> Array:
    """The greatest of several lines place by place, nan counting as a miss.

    Args:
        lines: one or more, each (n,), mm.
    """
    return np.asarray(np.fmax.reduce(lines))


# -- convex pieces --------------------------------------------------------------
def _greatest(alike: Sequence[Convex], walls: Walls) -> Array:
    """Greatest x over convex pieces of one cast, all worked at once: k pieces are k n strips."""
    k, n = len(alike), len(walls.depth)
    lines = _lines(alike, walls)
    bars = [piece.bar for piece in alike if piece.bar is not None]
    if not bars and not (lines[1] > 1e-9).any():
        raise ValueError("the solid has no end in the direction of the lines")
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        candidates = _line_crossings(lines)
        if bars:
            ellipse = _Ellipse.of(bars, walls)
            candidates += [ellipse.crossings(lines), ellipse.top()]
        s = np.concatenate([c[0] for c in candidates])
        x = np.concatenate([c[1] for c in candidates])
        good = np.isfinite(x) & np.isfinite(s)
        for a, b, c in zip(*lines, strict=True):
            good &= a * s + b * x + c <= TOUCH
        if bars:
            good &= ellipse.value(s, x) <= 2.0 * ellipse.radius * TOUCH
        found = np.where(good, x, -np.inf).reshape(-1, k, n).max(axis=(0, 1))
    return np.where(np.isneginf(found), np.nan, found)


Lines = tuple[Array, Array, Array]
"""Coefficients a, b, c of lines a s + b x + c <= 0, each (lines, k n)."""


def _lines(alike: Sequence[Convex], walls: Walls) -> Lines:
    """The wall's two edges, then the planes."""
    k, n = len(alike), len(walls.depth)
    one, nought = np.ones(k * n), np.zeros(k * n)
    a, b, c = [-one, one], [nought, nought], [nought, -np.tile(walls.depth, k)]
    for planes in zip(*(piece.planes for piece in alike), strict=True):
        normal = planes[0].normal
        a.append(np.tile(walls.inward @ normal, k))
        b.append(np.full(k * n, walls.along @ normal))
        skin = walls.skin @ normal
        c.append(np.concatenate([skin - plane.level for plane in planes]))
    return np.array(a), np.array(b), np.array(c)


def _line_crossings(lines: Lines) -> list[tuple[Array, Array]]:
    """(s, x), each (pairs, k n), of lines' crossings.  One of two lines that cross at a point
    of greatest x bounds x from above (b > 0); b is the same for all strips."""
    a, b, c = lines
    upper = [i for i in range(len(b)) if b[i, 0] > 0.0]
    pairs = [(i, j) for i in upper for j in range(len(b)) if j not in upper or j > i]
    if not pairs:
        return []
    i, j = np.array(pairs).T
    det = a[i] * b[j] - a[j] * b[i]
    return [((b[i] * c[j] - b[j] * c[i]) / det, (c[i] * a[j] - c[j] * a[i]) / det)]


@dataclass(frozen=True, eq=False)
class _Ellipse:
    """Bars alike, cut by the strips: xx x^2 + 2 sx s x + ss s^2 + 2 x1 x + 2 s1 s + c <= 0.

    `start` + `speed` x is the distance from the bar's axis, measured square to it and to the
    wall, of the places at x; at the ellipse's top it is the radius, one way or the other.
    """

    radius: float
    xx: float
    sx: Array
    ss: Array
    x1: Array
    s1: Array
    c: Array
    start: Array
    speed: Array

    @staticmethod
    def of(bars: Sequence[RoundBar], walls: Walls) -> _Ellipse:
        axis, k = bars[0].axis, len(bars)
        along = walls.along - (walls.along @ axis) * axis
        inward = walls.inward - (walls.inward @ axis)[:, None] * axis
        skin = np.concatenate([walls.skin - bar.origin for bar in bars])
        skin = skin - (skin @ axis)[:, None] * axis
        ss = (inward * inward).sum(axis=1)
        turn = np.array([[0.0, axis[2], -axis[1]], [-axis[2], 0.0, axis[0]], [axis[1], -axis[0], 0.0]])
        across = walls.inward @ turn / np.sqrt(ss)[:, None]  # axis x inward
        inward, every = np.tile(inward, (k, 1)), np.tile(across, (k, 1))
        return _Ellipse(
            radius=bars[0].radius,
            xx=float(along @ along),
            sx=inward @ along,
            ss=np.tile(ss, k),
            x1=skin @ along,
            s1=(skin * inward).sum(axis=1),
            c=(skin * skin).sum(axis=1) - bars[0].radius ** 2,
            start=(skin * every).sum(axis=1),
            speed=every @ walls.along,
        )

    def value(self, s: Array, x: Array) -> Array:
        """The left side of the inequality at places (..., k n)."""
        return np.asarray(
            (self.xx * x + 2.0 * (self.sx * s + self.x1)) * x + (self.ss * s + 2.0 * self.s1) * s + self.c
        )

    def top(self) -> tuple[Array, Array]:
        """(s, x) of the ellipse's point of greatest x, each (1, k n); nan where it has none."""
        x = self.radius / np.abs(self.speed) - self.start / self.speed
        s = -(self.s1 + self.sx * x) / self.ss
        return s[None, :], x[None, :]

    def crossings(self, lines: Lines) -> tuple[Array, Array]:
        """(s, x), each (lines, k n), of the point of greater x where each line meets the ellipse."""
        a, b, c = lines
        norm = np.hypot(a, b)
        # From the line's point nearest (0, 0), unit steps t along it.
        s0, x0 = -c * a / norm**2, -c * b / norm**2
        ds, dx = -b / norm, a / norm
        t2 = self.xx * dx * dx + 2.0 * self.sx * ds * dx + self.ss * ds * ds
        t1 = self.xx * x0 * dx + self.sx * (s0 * dx + x0 * ds) + self.ss * s0 * ds + self.x1 * dx + self.s1 * ds
        inside = t1 * t1 - t2 * self.value(s0, x0)
        # A line that just grazes the bar counts as touching it: equal tubes at 90 degrees do.
        grazing = (inside < 0.0) & (inside > -2.0 * self.radius * TOUCH * t2)
        root = np.sqrt(np.where(grazing, 0.0, inside))
        t = (np.copysign(root, dx) - t1) / t2
        return s0 + t * ds, x0 + t * dx
