"""Linkages whose mobility or positions are known, shared by the tests of movement."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.mechanics.constraints import FRAME, ConstraintRow, ball, fixed, hinge, rod, slider
from fabgen.geometry.mechanics.mechanism import Mechanism

Array = NDArray[np.float64]
X, Y, Z = np.eye(3)


def at(*xyz: float) -> Array:
    return np.array(xyz, dtype=float)


def loop(points: list[Array], axes: list[Array]) -> Mechanism:
    """A closed ring of hinges: body k lies between hinges k and k + 1; the last link is the frame."""
    count = len(points)
    rows: list[ConstraintRow] = []
    for k in range(count):
        one, other = (k - 1 if k else FRAME), (k if k < count - 1 else FRAME)
        rows += hinge(f"hinge {k + 1}", one, other, points[k], axes[k])
    return Mechanism(tuple(f"link {k + 1}" for k in range(count - 1)), tuple(rows))


def four_bar() -> Mechanism:
    """Planar four-bar, crank 100, coupler 300, rocker 250, ground 280, all hinges along z."""
    b, c = at(60.0, 80.0, 0.0), circles(at(60.0, 80.0, 0.0), 300.0, at(280.0, 0.0, 0.0), 250.0)
    return loop([at(0.0, 0.0, 0.0), b, c, at(280.0, 0.0, 0.0)], [Z] * 4)


def circles(a: Array, r: float, b: Array, s: float) -> Array:
    """The upper of the two points in the xy plane r from a and s from b."""
    d = float(np.linalg.norm(b - a))
    x = (d * d + r * r - s * s) / (2.0 * d)
    e = (b - a) / d
    up = np.cross(Z, e)
    return a + x * e + math.sqrt(r * r - x * x) * up


def spherical_four_bar() -> Mechanism:
    """Four hinges whose axes meet in one point."""
    points = [at(300.0, 0.0, 0.0), at(250.0, 150.0, 60.0), at(120.0, 240.0, 150.0), at(0.0, 280.0, 0.0)]
    return loop(points, [p / np.linalg.norm(p) for p in points])


def bennett() -> Mechanism:
    """Bennett's linkage: a skew quadrilateral of equal opposite sides, each hinge square to its two sides."""
    corners = [at(200.0, 30.0, 60.0), at(-40.0, 150.0, -60.0), at(-200.0, -30.0, 60.0), at(40.0, -150.0, -60.0)]
    axes = [np.cross(corners[k - 1] - corners[k], corners[(k + 1) % 4] - corners[k]) for k in range(4)]
    return loop(corners, axes)


def sarrus() -> Mechanism:
    """Sarrus's linkage: two pairs of leaves, hinge axes along x in one and along y in the other."""
    one = [at(0.0, -200.0, 0.0), at(0.0, -280.0, 90.0), at(0.0, -200.0, 180.0)]
    two = [at(-200.0, 0.0, 0.0), at(-280.0, 0.0, 90.0), at(-200.0, 0.0, 180.0)]
    return loop([*one, *reversed(two)], [X, X, X, Y, Y, Y])


def slider_crank(angle: float = 0.8, crank: float = 80.0, length: float = 240.0, offset: float = 20.0) -> Mechanism:
    """Crank about the origin, rod and a slider along x at y = offset."""
    pin = at(crank * math.cos(angle), crank * math.sin(angle), 0.0)
    end = at(pin[0] + math.sqrt(length**2 - (pin[1] - offset) ** 2), offset, 0.0)
    rows = hinge("main", FRAME, 0, at(0, 0, 0), Z) + hinge("pin", 0, 1, pin, Z) + hinge("gudgeon", 1, 2, end, Z)
    return Mechanism(("crank", "rod", "slide"), tuple(rows + slider("guide", FRAME, 2, end, X)))


def rssr(coupler: str = "rod") -> Mechanism:
    """Two cranks on skew axes joined by a coupler with a ball at both ends."""
    a, b = at(100.0, 0.0, 0.0), at(300.0, 40.0, 150.0)
    rows = hinge("input", FRAME, 0, at(0.0, 0.0, 0.0), Z) + hinge(
        "output", FRAME, 1, at(300.0, 40.0, 0.0), at(0.3, 1.0, 0.2)
    )
    if coupler == "rod":
        return Mechanism(("crank", "rocker"), (*rows, rod("coupler", 0, 1, a, b)))
    rows += ball("ball 1", 0, 2, a) + ball("ball 2", 1, 2, b)
    return Mechanism(("crank", "rocker", "coupler"), tuple(rows))


WISHBONE = {
    "lower front": at(150.0, 300.0, -100.0),
    "lower rear": at(-150.0, 310.0, -90.0),
    "lower ball": at(5.0, 650.0, -110.0),
    "upper front": at(120.0, 350.0, 120.0),
    "upper rear": at(-130.0, 360.0, 100.0),
    "upper ball": at(-10.0, 620.0, 110.0),
    "rack": at(-120.0, 290.0, -60.0),
    "steering arm": at(-140.0, 630.0, -70.0),
    "wheel": at(0.0, 720.0, 0.0),
}


def double_wishbone() -> Mechanism:
    """Two wishbones, a hub on two balls and a track rod whose inner end stands still."""
    p = WISHBONE
    rows = hinge("lower pivot", FRAME, 0, p["lower front"], p["lower rear"] - p["lower front"])
    rows += hinge("upper pivot", FRAME, 1, p["upper front"], p["upper rear"] - p["upper front"])
    rows += ball("lower ball", 0, 2, p["lower ball"]) + ball("upper ball", 1, 2, p["upper ball"])
    rows += [rod("track rod", FRAME, 2, p["rack"], p["steering arm"])]
    return Mechanism(("lower arm", "upper arm", "hub"), tuple(rows))


def five_link() -> Mechanism:
    """A hub on five rods."""
    frame = [(200, 300, 120), (-180, 320, 130), (220, 280, -100), (-200, 300, -110), (-120, 290, -30)]
    hub = [(20, 620, 140), (-40, 615, 150), (30, 650, -120), (-50, 655, -115), (-140, 640, -20)]
    return Mechanism(
        ("hub",),
        tuple(rod(f"L{i + 1}", FRAME, 0, at(*f), at(*h)) for i, (f, h) in enumerate(zip(frame, hub, strict=True))),
    )


def parallel_cranks() -> Mechanism:
    """A bar on three equal parallel cranks: one crank more than it needs."""
    rows: list[ConstraintRow] = []
    for k, x in enumerate((0.0, 200.0, 500.0)):
        rows += hinge(f"foot {k + 1}", FRAME, k, at(x, 0.0, 0.0), Z)
        rows += hinge(f"head {k + 1}", k, 3, at(x + 60.0, 80.0, 0.0), Z)
    return Mechanism(("crank 1", "crank 2", "crank 3", "bar"), tuple(rows))


def platform(legs: int) -> Mechanism:
    """A plate on so many rods."""
    rows = []
    for k in range(legs):
        turn, other = 2.0 * math.pi * k / 6.0, 2.0 * math.pi * ((k + k % 2) / 6.0 + 0.03)
        foot = at(300.0 * math.cos(turn), 300.0 * math.sin(turn), 0.0)
        head = at(160.0 * math.cos(other), 160.0 * math.sin(other), 250.0 + 5.0 * k)
        rows.append(rod(f"leg {k + 1}", FRAME, 0, foot, head))
    return Mechanism(("plate",), tuple(rows))


def door() -> Mechanism:
    """A door on two hinges in line."""
    return Mechanism(
        ("door",), tuple(hinge("lower", FRAME, 0, at(0, 0, 0), Z) + hinge("upper", FRAME, 0, at(0, 0, 900), Z))
    )


def crooked_door() -> Mechanism:
    """A door whose hinges are 4 mm out of line: it cannot move."""
    return Mechanism(
        ("door",), tuple(hinge("lower", FRAME, 0, at(0, 0, 0), Z) + hinge("upper", FRAME, 0, at(4, 0, 900), Z))
    )


def welded() -> Mechanism:
    return Mechanism(("plate",), tuple(fixed("weld", FRAME, 0, at(100, 50, 20))))


def pendulum() -> Mechanism:
    return Mechanism(("bob",), tuple(ball("pivot", FRAME, 0, at(0, 0, 0)) + ball("pivot", FRAME, 0, at(0, 0, 0))[:0]))
