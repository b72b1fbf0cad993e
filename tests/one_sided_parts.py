"""Jobs in which a part on a mirrored tube is not mirrored, and those in which that is meant so."""

from __future__ import annotations

RAIL = """[job]
title = "t"
number = "1"
units = "mm"
[[tube]]
mark = "S1"
section = "40 x 40 x 3"
turn = 0
route = [[0, 300, 300], [600, 300, 300]]
"""
CROSS = """[[tube]]
mark = "S2"
section = "40 x 40 x 3"
turn = 0
route = [[0, 20, 300], [0, 280, 300]]
"""
PLATE = """[[plate]]
mark = "{mark}"
thickness = 4
rectangle = [{long}, 30]
place = {{ against = "{on}", at = 300, side = "{side}", turn = {turn} }}
"""


def bracket(mark: str = "B3", on: str = "S1", side: str = "left", at: str = "300") -> str:
    places = ", ".join(f'{{ against = "{on}", at = {each}, side = "{side}" }}' for each in at.split())
    return (
        f'[[bracket]]\nmark = "{mark}"\nshape = "clevis"\nthickness = 4\ngap = 41\nlength = 40\nheight = 45\n'
        f'bolt = "M12"\nquantity = {len(at.split())}\nplace = [{places}]\n'
    )


def plate(mark: str = "P3", on: str = "S1", long: int = 60, turn: int = 0, side: str = "left") -> str:
    return PLATE.format(mark=mark, on=on, long=long, turn=turn, side=side)


def mirror(*parts: str, one_sided: str = "") -> str:
    meant = f'one_sided = "{one_sided}"\n' if one_sided else ""
    return f"[[mirror]]\nparts = {list(parts)}\n{meant}"


FAULTS = [
    (RAIL + bracket() + mirror("S1"), 'S1 is mirrored to S1-R, B3 on it is not: add "B3" to `parts` of the [[mirror]]'),
    (RAIL + bracket(at="200 400") + mirror("S1"), "B3 on it is not"),
    (RAIL + plate() + bracket() + mirror("S1"), 'P3 and B3 on it are not: add "P3", "B3" to'),
    (
        RAIL + CROSS + bracket(on="S2", side="front", at="100") + bracket("B4") + mirror("S1", "S2", "B4"),
        "S2 is mirrored to S2-R, B3",
    ),
    (RAIL + plate(long=500, turn=90, side="top") + mirror("S1"), "P3 on it is not"),  # ends 50 mm before the plane
]
ONLY_LOOKS_SO = [
    RAIL + bracket() + mirror("S1", one_sided="B3"),
    RAIL + bracket() + mirror("S1", "B3"),
    RAIL + plate(long=620, turn=90, side="top") + mirror("S1"),  # lies across the plane
    RAIL + bracket() + bracket("B4", "S1-R", "right") + mirror("S1"),  # written by hand
]
