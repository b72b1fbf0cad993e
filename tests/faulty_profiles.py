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


FAULTY: dict[str, str] = {
    "profile-mitre": HEAD
    + profile("L1", "[[0, 0, 0], [600, 0, 0]]", more='legs = ["top", "left"]\nfinish = { cut = "mitre" }')
    + profile("L2", "[[600, 0, 0], [600, 400, 0]]", more='legs = ["top", "front"]'),
    "profile-clash": HEAD
    + profile("L1", "[[0, 0, 0], [600, 0, 0]]")
    + profile("L2", "[[300, -200, 20], [300, 200, 20]]", more='legs = ["top", "front"]'),
}
