"""Jobs of profiles with a fault that a rule speaks of."""

from __future__ import annotations

HEAD = """
[job]
title = "Rack"
number = "AR-1"
units = "mm"
"""
ANGLE = "angle 40 x 40 x 4"


def profile(mark: str, route: str, section: str = ANGLE, more: str = 'legs = ["top", "left"]') -> str:
    """The table of a profile, a 40 x 40 x 4 angle with leg a up and leg b to the left where nothing else is said."""
    return f'[[profile]]\nmark = "{mark}"\nsection = "{section}"\nroute = {route}\n{more}\n'


def tube(mark: str, route: str, section: str = "48.3 x 3.2") -> str:
    """The table of a tube."""
    return f'[[tube]]\nmark = "{mark}"\nsection = "{section}"\nroute = {route}\n'


def over_a_bar(left: float) -> str:
    """A flat 40 x 5 on edge that is let down over a solid bar to reach an angle behind it, so much of it left, mm."""
    return (
        profile("L1", "[[0, 0, -30], [600, 0, -30]]", "angle 60 x 60 x 4", 'legs = ["top", "right"]')
        + tube("T", f"[[0, 30, {-left}], [600, 30, {-left}]]", "40 x 60 solid")
        + profile("R", "[[300, 0, 0], [300, 400, 0]]", "flat 40 x 5", "")
    )


def hanging(leg: str) -> str:
    """Two angles whose legs hang down and in from a corner at 0, mitred, and the route of a leg that ends there."""
    return (
        profile("L1", "[[0, 0, 0], [600, 0, 0]]", more='legs = ["bottom", "left"]')
        + profile("L2", "[[0, 400, 0], [0, 0, 0]]", more='legs = ["bottom", "front"]')
        + profile("F", leg, more='legs = ["front", "left"]')
    )


def tray(
    front: str = '["top", "left"]', right: str = '["top", "back"]', back: str = '["top", "right"]',
    left: str = '["top", "front"]', more: str = "",
) -> str:  # fmt: skip
    """A frame of four angles, 600 by 400, their legs up and in where they are not given otherwise."""
    corners = "[0, 0, 0]", "[600, 0, 0]", "[600, 400, 0]", "[0, 400, 0]"
    return "".join(
        profile(f"F{i + 1}", f"[{corners[i]}, {corners[(i + 1) % 4]}]", more=f"legs = {legs}{more}")
        for i, legs in enumerate((front, right, back, left))
    )


FAULTY: dict[str, str] = {
    "tube-on-edge": HEAD + profile("L1", "[[0, 0, 0], [900, 0, 0]]") + tube("T1", "[[400, 40, 2], [400, 400, 2]]"),
    "profile-on-edge": HEAD + hanging("[[0, 0, -500], [0, 0, 0]]"),
    "profile-drawn-through": HEAD
    + profile("H", "[[0, 600, 0], [600, 600, 0]]")
    + profile("G", "[[400, 300, 15], [400, 640, 15]]", "flat 50 x 6", ""),
    "frame-side": HEAD + tray(back='["top", "left"]'),
    "profile-mitre": HEAD
    + profile("L1", "[[0, 0, 0], [600, 0, 0]]", more='legs = ["top", "left"]\nfinish = { cut = "mitre" }')
    + profile("L2", "[[600, 0, 0], [600, 400, 0]]", more='legs = ["top", "front"]'),
    "profile-clash": HEAD
    + profile("L1", "[[0, 0, 0], [600, 0, 0]]")
    + profile("L2", "[[300, -200, 20], [300, 200, 20]]", more='legs = ["top", "front"]'),
    "profile-notch": HEAD + over_a_bar(6.0),
    "profile-corner": HEAD
    + profile("L1", "[[0, 0, 0], [600, 0, 0]]")
    + profile(
        "R", "[[300, 0, 0], [300, 400, 0]]", "angle 30 x 30 x 3", 'legs = ["top", "front"]\nstart = { corner_hole = 0 }'
    ),
    "profile-hand": HEAD
    + profile("L1", "[[0, 0, 0], [600, 0, 0]]")
    + profile("R", "[[300, 0, 0], [300, 400, 0]]", "angle 50 x 30 x 3", 'legs = ["top", "front"]\nquantity = 2'),
    "profile-misses": HEAD
    + profile("L1", "[[0, 0, 0], [600, 0, 0]]")
    + profile("R", "[[300, 50, 0], [300, 400, 0]]", more='legs = ["top", "front"]'),
}
