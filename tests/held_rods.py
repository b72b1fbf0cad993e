"""A tube with a pair of ears, rods, and plates that lie on one another: who holds what."""

from __future__ import annotations

import math

TUBE = """[job]
title = "Frame"
number = "F-1"
units = "mm"
[[tube]]
mark = "S1"
section = "40 x 40 x 3"
turn = 0
route = [[0, 0, 300], [600, 0, 300]]
"""
EARS = (
    TUBE
    + """[[bracket]]
mark = "E1"
shape = "ear"
thickness = 6
width = 40
height = 65
bolt = "M12"
fit = "close"
sits = {{ onto = "S1", turn = 90 }}
quantity = {quantity}
place = [
  {{ against = "S1", at = 186, side = "left", stands_on = "foot", turn = 90 }},
  {{ against = "S1", at = 214, side = "left", stands_on = "foot", turn = 90 }},
]
"""
)
ROD = """[[link]]
mark = "{mark}"
section = "25 x 4"
between = [[{at}, 65, 300], [{at}, 400, 300]]
rod_ends = ["M12 right", "M12 left"]
"""
PLATES = """[[plate]]
mark = "{mark}"
thickness = 6
rectangle = [200, 60]
holes = {holes}
place = {{ at = [0, 0, {z}] }}
"""


def bolt(*through: str) -> str:
    return f'[[bolt]]\nthread = "M12"\nthrough = {list(through)}\n'


def rods(*at: float, quantity: int = 2) -> str:
    return EARS.format(quantity=quantity) + "".join(ROD.format(mark=f"L{i}", at=x) for i, x in enumerate(at, 1))


def leaning(by: float, *through: str) -> str:
    """A rod on one ear, which leans so far along its bolt, degrees."""
    to = f"[{200 + 335 * math.tan(math.radians(by)):.3f}, 400, 300]"
    return rods(200).replace("[200, 400, 300]", to) + bolt(*through)


def flats(*holes: int) -> str:
    """Two plates that lie on one another, with a hole at each of these, mm."""
    given = "[" + ", ".join(f'{{ at = [{x}, 30], bolt = "M12" }}' for x in holes) + "]"
    return TUBE + "".join(PLATES.format(mark=f"P{i}", z=6 * i, holes=given) for i in (1, 2))


def between(rod: str) -> str:
    return bolt("E1", "3 mm", rod, "3 mm", "E1")
