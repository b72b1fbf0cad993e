"""Jobs in which one drawing makes both hands of a part, and some that only look so."""

from __future__ import annotations

HEAD = '[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n'
ANGLE = """[[bracket]]
mark = "G"
shape = "angle"
thickness = 3
length = 80
legs = [40, 30]
quantity = {quantity}
holes = [{{ at = [{hole}, 20], face = "a", bolt = "M8" }}]
place = [{place}]
"""
LEFT = "{ at = [300, 400, 0], along = [1, 0, 0], up = [0, 0, 1] }"


def angle(*places: str, hole: float = 20) -> str:
    return HEAD + ANGLE.format(quantity=len(places), hole=hole, place=", ".join(places))


def tube(finish: str, y: float = 300) -> str:
    return (
        HEAD
        + f'[[tube]]\nmark = "M"\nsection = "60.3 x 3.2"\nroute = [[0, {y}, 0], [900, {y}, 0]]\n[[tube]]\nmark = "T"\n'
        f'section = "40 x 40 x 3"\nquantity = 2\nroute = [[400, {y}, 0], {finish}\n'
    )


def unplaced(quantity: int = 2, hole: float = 20, mirrored: bool = True) -> str:
    """Angles without a place beside a tube that is mirrored, or not."""
    loose = ANGLE.format(quantity=quantity, hole=hole, place="").replace("place = []\n", "")
    carrier = '[[tube]]\nmark = "M"\nsection = "60.3 x 3.2"\nroute = [[0, 300, 0], [900, 300, 0]]\n'
    return HEAD + carrier + ('[[mirror]]\nparts = ["M"]\n' if mirrored else "") + loose


AHEAD = "[points]\nA = [{x}, 0, 0]\nB = [{x}, 500, 0]\nC = [{x}, 0, 500]\n"
"""Three points of a plane across, ahead of the parts."""


def ahead(text: str, *parts: str, x: float = 1000) -> str:
    """A job with parts mirrored to the front too."""
    listed = ", ".join(f'"{part}"' for part in parts)
    return text + AHEAD.format(x=x) + f'[[mirror]]\nparts = [{listed}]\nplane = ["A", "B", "C"]\n'


SKEW = "[430, 420, 500]]\nfinish = { plane = { at = [430, 420, 500], normal = [0.3, 0.2, 1] } }"
LEFT_AND_RIGHT = '[[mirror]]\nparts = ["G"]\n'
FAULTS = {
    "turned round": angle(LEFT, "{ at = [380, -400, 0], along = [-1, 0, 0], up = [0, 0, 1] }"),
    "moved over": angle(LEFT, "{ at = [300, -360, 0], along = [1, 0, 0], up = [0, 0, 1] }"),
    "turned over": angle(LEFT, "{ at = [300, -400, 0], along = [1, 0, 0], up = [0, 0, -1] }"),
    "two pairs": angle(
        LEFT,
        "{ at = [380, -400, 0], along = [-1, 0, 0] }",
        "{ at = [900, 400, 0], along = [1, 0, 0] }",
        "{ at = [980, -400, 0], along = [-1, 0, 0] }",
    ),
    "without a place": unplaced(),
    "a tube made twice": tube(SKEW),
    "turned round, both mirrored to the front": ahead(
        angle(LEFT, "{ at = [380, -400, 0], along = [-1, 0, 0], up = [0, 0, 1] }"), "G"
    ),
    "a tube made twice, mirrored to the front": ahead(tube(SKEW), "M", "T"),
}
ONLY_LOOKS_SO = {
    "its own image": angle(LEFT, "{ at = [380, -400, 0], along = [-1, 0, 0], up = [0, 0, 1] }", hole=40),
    "from corner to corner": angle(LEFT, "{ at = [-300, -400, 0], along = [-1, 0, 0], up = [0, 0, 1] }"),
    "mirrored": angle(LEFT) + '[[mirror]]\nparts = ["G"]\n',
    "without a place, its own image": unplaced(hole=40),
    "without a place, one": unplaced(quantity=1),
    "without a place, four": unplaced(quantity=4),
    "without a place, nothing mirrored": unplaced(mirrored=False),
    "mirrored twice, near the second plane": ahead(angle(LEFT) + LEFT_AND_RIGHT, "G", "G-R", x=390),
    "without a place, two of either hand": unplaced() + LEFT_AND_RIGHT,
    "a tube mirrored twice, made twice": ahead(tube(SKEW) + '[[mirror]]\nparts = ["M", "T"]\n', "M", "T"),
    "a row across": angle(
        *(f"{{ at = [300, {y}, 0], along = [1, 0, 0], up = [0, 0, 1] }}" for y in (-450, -150, 150, 450))
    ),
    "a tube that turns into its image": tube("[400, 300, 500]]"),
}
