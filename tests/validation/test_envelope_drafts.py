"""Six frames drawn as on the back of an envelope, whole jobs as a first draft has them: what `check` says, its line
written into the draft, and the metal before and after as reckoned from the drawing alone; the sums stand beside it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np
import pytest
from jobs import checked

from fabgen.checks.registry import run_checks
from fabgen.checks.rule import Finding
from fabgen.geometry.space.frame import Array
from fabgen.parts.shape.over_all import over_all
from fabgen.parts.shape.standing_faces import standing_faces

Point = tuple[float, float, float]


def job(*tables: str, points: str = "") -> str:
    return "\n".join(('[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"', points, *tables))


def tube(mark: str, section: str, *route: str | Sequence[float], more: str = "") -> str:
    drawn = ", ".join(f'"{point}"' if isinstance(point, str) else str(list(point)) for point in route)
    return f'[[tube]]\nmark = "{mark}"\nsection = "{section}"\nroute = [{drawn}]\n{more}'


def written(text: str, line: str, *marks: str) -> str:
    """A draft with a line in the tables of some marks."""
    for mark in marks:
        text = text.replace(f'mark = "{mark}"\n', f'mark = "{mark}"\n{line}\n')
    return text


def spoken(text: str) -> list[Finding]:
    """What `check` says that is more than a note."""
    return [finding for finding in run_checks(checked(text)) if finding.level != "note"]


def holds(text: str, reckoned: Mapping[str, float], size: Sequence[float] | None = None) -> None:
    """The saw lengths, mm, by mark, and the over-all size of the one frame."""
    made = checked(text)
    for mark, length in reckoned.items():
        assert made.tubes[mark].length == pytest.approx(length, abs=0.02), mark
    if size is not None:
        (frame,) = over_all(made.pieces)
        assert frame.size == pytest.approx(size, abs=0.05)


# -- sawhorse ------------------------------------------------------------------------------
SAWHORSE = job(
    tube("BEAM", "60 x 40 x 3", (0, 0, 720), (1100, 0, 720)),
    *(
        tube(f"L{i}", "40 x 40 x 3", (x, y, 0), (x, 0, 720))
        for i, (x, y) in enumerate([(150, 240), (150, -240), (950, 240), (950, -240)], 1)
    ),
    *(tube(f"TIE{i}", "30 x 30 x 3", (x, 160, 240), (x, -160, 240)) for i, x in enumerate((150, 950), 1)),
)


def test_sawhorse() -> None:
    """A leg leans by 240 in 720, a third: 18.43 degrees."""
    legs = ("L1", "L2", "L3", "L4")
    lean = math.atan2(240, 720)
    # The outer wall of a leg passes the beam's underside and comes to its side, 20 from the middle: the wall's inner
    # edge, 17 from the leg's axis, is there where 240 - s sin + 17 cos = 20.
    leg = (240 - 20 + 17 * math.cos(lean)) / math.sin(lean)
    # Between the legs' inside faces, 20 / cos from their axes, which are 5 farther apart at the tie's underside.
    tie = 2 * (160 + 15 * math.tan(lean) - 20 / math.cos(lean))
    low = 20 * math.sin(lean)  # how far the corner of a leg left square hangs below its point
    wide = 2 * (240 + 20 * math.cos(lean))
    holds(SAWHORSE, dict.fromkeys(legs, leg) | {"TIE1": tie, "TIE2": tie}, (1100, wide, 750 + low))
    (said,) = spoken(SAWHORSE)
    assert said.text.startswith("4 ends lean and are left square at floor height, open up to 12.6 mm under one side")
    assert '`start = { cut = "level" }` in the tables of L1, L2, L3 and L4 saws them level' in said.text
    level = written(SAWHORSE, 'start = { cut = "level" }', *legs)
    assert spoken(level) == []
    # The longer side goes on by half of 40 times the slope.
    wide = 2 * (240 + 20 / math.cos(lean))
    holds(level, dict.fromkeys(legs, leg + 20 / 3) | {"TIE1": tie}, (1100, wide, 750))


# -- stair ---------------------------------------------------------------------------------
STAIR = job(
    tube("S1", "120 x 60 x 4", "A", "B"),
    tube("S2", "120 x 60 x 4", "C", "D"),
    tube("LAND", "250 x 100 x 6", (1400, -100, 1050), (1400, 840, 1050)),
    *(tube(f"T{i}", "30 x 30 x 3", (280 * i, 0, 210 * i), (280 * i, 740, 210 * i)) for i in range(1, 5)),
    points="[points]\nA = [0, 0, 0]\nB = [1400, 0, 1050]\nC = [0, 740, 0]\nD = [1400, 740, 1050]",
)


def test_stair() -> None:
    """The stringers rise by 3 in 4, so 1750 long; the landing's beam, listed after them, has its face at 1350."""
    at_face = 1750 * 1350 / 1400 + 60 * 3 / 4  # plumb at the top, the upper edge 60 over the axis
    treads = {f"T{i}": 740.0 - 60 for i in range(1, 5)}
    square = {"S1": at_face, "S2": at_face, "LAND": 940.0} | treads
    holds(STAIR, square)
    (said,) = spoken(STAIR)
    # Square, the foot of 120 is open by its whole depth times the cosine of the rise, 4 / 5.
    assert said.text.startswith("2 ends lean and are left square at floor height, open up to 96 mm under one side")
    assert '`start = { cut = "level" }` in the tables of S1 and S2' in said.text
    level = written(STAIR, 'start = { cut = "level" }', "S1", "S2")
    assert spoken(level) == []
    stringer = at_face + 60 * 4 / 3
    # From the upper edge's point on the floor, 60 x 5 / 3 before the axis, to the beam's far face; up to its top.
    holds(level, square | {"S1": stringer, "S2": stringer}, (100 + 1450, 940, 1050 + 125))


# -- motor mount ---------------------------------------------------------------------------
MOTOR_MOUNT = job(
    *(tube(f"RAIL{i}", "50 x 50 x 3", (0, y, 0), (900, y, 0)) for i, y in enumerate((0, 480), 1)),
    """
[[plate]]
mark = "FACE"
thickness = 10
rectangle = [400, 180]
holes = [
  { at = [60, 40], bolt = "M10" }, { at = [340, 40], bolt = "M10" },
  { at = [60, 140], bolt = "M10" }, { at = [340, 140], bolt = "M10" },
]
place = { at = [400, 240, 60], of = [200, 90], along = [0, 1, 0], up = [1, 0, 0] }""",
    tube("A1", "30 x 30 x 3", (150, 0, 0), (400, 150, 0)),
    tube("A2", "30 x 30 x 3", (150, 480, 0), (400, 330, 0)),
    """
[[bracket]]
mark = "SHELF"
shape = "angle"
thickness = 6
legs = [60, 60]
length = 140
holes = [{ face = "a", at = [40, 38], bolt = "M8" }]
place = { at = [200, 450, 25], of = [70, 30], along = [0, -1, 0] }""",
    tube("STRUT", "33.7 x 2.6", (230, 410, 65), (400, 410, 105)),
)


def test_motor_mount() -> None:
    arm = math.hypot(250, 150)
    # From the rail's face, 25 out of the 150, to the plate's back; the rear edge, 15 off the axis, is the longer at
    # both ends.
    arms = arm * (150 - 25) / 150 + 15 * 250 / 150 + 15 * 150 / 250
    # From the bracket's upright leg to the plate's back, 170 apart and 40 higher, both square to x: at either end half
    # of 33.7 times the slope beyond the axis.
    strut = math.hypot(170, 40) + 33.7 * 40 / 170
    reckoned = {"RAIL1": 900.0, "RAIL2": 900.0, "A1": arms, "A2": arms, "STRUT": strut}
    holds(MOTOR_MOUNT, reckoned)
    ends = {mark: [end.stands_on for end in part.ends] for mark, part in checked(MOTOR_MOUNT).tubes.items()}
    assert ends["A1"] == ends["A2"] == ["", "FACE"]
    assert ends["STRUT"] == ["SHELF", "FACE"]
    covered, said = spoken(MOTOR_MOUNT)
    assert "by RAIL2, drill RAIL2 there" in covered.text
    assert 'hole Ø9 for M8 in face "a"' in said.text
    assert "drill it after folding (drilled = true)" in said.text
    drilled = MOTOR_MOUNT.replace('at = [40, 38], bolt = "M8"', 'at = [40, 38], bolt = "M8", drilled = true')
    assert [finding.rule for finding in spoken(drilled)] == ["hole-covered"]
    holds(drilled, reckoned)


# -- straps --------------------------------------------------------------------------------
STRAPS = job(
    *(tube(f"RAIL{i}", "40 x 40 x 3", (0, y, 0), (800, y, 0)) for i, y in enumerate((0, 320), 1)),
    *(tube(f"C{i}", "40 x 40 x 3", (x, 0, 0), (x, 320, 0)) for i, x in enumerate((200, 600), 1)),
    """
[[strap]]
mark = "STRAP"
shape = "saddle"
quantity = 2
width = 40
thickness = 3
round = 250
bolt = "M10"
ear = 58
radius = 3""",
)


def test_straps_over_a_tank() -> None:
    """Over a tank of 250 that lies on two rails 320 apart, so that the bolts go down through these."""
    assert spoken(STRAPS) == []
    holds(STRAPS, {"RAIL1": 800.0, "RAIL2": 800.0, "C1": 320.0 - 40, "C2": 320.0 - 40})
    strap = next(piece for piece in checked(STRAPS).pieces if piece.mark == "STRAP")
    part = strap.flat_part
    assert part is not None
    # Half round on the mean diameter, down to the ears' bends, these by the K the drawing prints, and the ears.
    (k,) = {bend.bend.k for bend in part.bends}
    flat = math.pi * (250 + 3) / 2 + 2 * (125 - 3 - 3) + 2 * math.pi / 2 * (3 + k * 3) + 2 * 58
    assert part.size == pytest.approx((flat, 40))
    assert [(hole.shape.bounds[0] + hole.shape.bounds[2]) / 2 for hole in part.holes] == pytest.approx([29, flat - 29])
    said = {each.key: each.text.words("mm") for each in strap.facts}
    # 125 + 3 + 3 + 29 from the middle: 160, over each rail.
    assert said["ear_holes"].startswith("320 mm middle to middle")


# -- seat brackets -------------------------------------------------------------------------
SEAT = job(
    *(tube(f"SILL{i}", "40 x 40 x 2", (-100, y, 0), (700, y, 0)) for i, y in enumerate((0, 620), 1)),
    *(tube(f"X{i}", "30 x 30 x 2", (x, 0, 0), (x, 620, 0)) for i, x in enumerate((100, 430), 1)),
    """
[[bracket]]
mark = "SB"
quantity = 4
shape = "angle"
thickness = 4
radius = 6
legs = [30, 45]
length = 50
holes = [{ face = "b", at = [25, 28], bolt = "M8" }]
place = [
  { at = [100, 120, 15], of = [25, 15] },
  { at = [430, 120, 15], of = [25, 15] },
  { at = [100, 500, 15], of = [25, 15], along = [-1, 0, 0] },
  { at = [430, 500, 15], of = [25, 15], along = [-1, 0, 0] },
]""",
)


def test_seat_brackets() -> None:
    """Four alike on two cross tubes, each leg a flat on top of its tube, leg b upright on the side toward the seat."""
    assert spoken(SEAT) == []
    holds(SEAT, {"SILL1": 800.0, "X1": 620.0 - 40, "X2": 620.0 - 40}, (800, 660, 40))
    made = checked(SEAT)
    (part,) = (flat for piece in made.pieces if (flat := piece.flat_part) is not None)
    # Both legs to their outside, less what the bend takes: twice the setback, its arc on the neutral line given back.
    (bend,) = part.bends
    flat = 30 + 45 - 2 * (6 + 4) + math.pi / 2 * (6 + bend.bend.k * 4)
    assert sorted(part.size) == pytest.approx([50, flat])
    faces = list(standing_faces(made.pieces))
    level = [face for face in faces if face.frame.z[2] < -0.99]
    assert [round(float(face.frame.origin[2]), 6) for face in level] == [15.0] * 4
    # The seat goes between: its brackets stand 380 apart in the middle of their legs of 30.
    looking = {(round(float(face.frame.origin[1]), 6), round(float(face.frame.z[1]))) for face in faces}
    assert {(135.0, 1), (485.0, -1)} < looking


# -- cage ----------------------------------------------------------------------------------
TUBE = "42.4 x 2.6"
HOOP = ("M1", "M2", "M3", "M4")
CAGE = job(
    tube("MAIN", TUBE, *HOOP, more="bend_radius = 130"),
    tube("FRONT", TUBE, *(name.replace("M", "F") for name in HOOP), more="bend_radius = 130"),
    tube("ROOF1", TUBE, "M2", "F2"),
    tube("ROOF2", TUBE, "M3", "F3"),
    tube("SILL1", TUBE, "M1", "F1"),
    tube("SILL2", TUBE, "M4", "F4"),
    tube("STAY1", TUBE, (0, 450, 900), (-700, 450, 0)),
    tube("STAY2", TUBE, (0, -450, 900), (-700, -450, 0)),
    tube("DIAG", TUBE, "M1", "M3"),
    points="[points]\n"
    + "\n".join(
        f"{name}{i} = [{x}, {y}, {z}]"
        for name, x in (("M", 0), ("F", 850))
        for i, (y, z) in enumerate([(450, 0), (450, 1150), (-450, 1150), (-450, 0)], 1)
    ),
)
OUT, IN = 21.2, 18.6


def off_hoop(points: Array) -> Array:
    """How far points, (..., 3), are from the centre line of the hoop at x = 0 whose feet go on by 21.2."""
    x, y, z = points[..., 0], np.abs(points[..., 1]), points[..., 2]
    leg = np.hypot(np.hypot(x, y - 450), np.maximum(0, np.maximum(z - 1020, -OUT - z)))
    top = np.hypot(np.hypot(x, z - 1150), np.maximum(0, y - 320))
    bend = np.hypot(np.hypot(y - 320, z - 1020) - 130, x)
    inside = (y > 320) & (z > 1020)
    return np.where(inside, bend, np.minimum(leg, top))


@cache
def deepest(point: Point, toward: Point, sill: bool = False) -> float:
    """How far from an end's point its longest side begins: at each place round the wall the cut lies where the last of
    the wall leaves the hoop, and a sill along x from the hoop's foot where there is one; the least of these."""
    start, along = np.array(point), np.subtract(toward, point) / math.dist(point, toward)
    aside = np.cross(along, [1, 0, 0]) if abs(along[0]) < 0.9 else np.cross(along, [0, 0, 1])
    aside /= np.linalg.norm(aside)
    angle = np.radians(np.arange(0, 360, 2))
    round_it = np.cos(angle)[:, None] * aside + np.sin(angle)[:, None] * np.cross(along, aside)
    skin = start + np.linspace(IN, OUT, 8)[:, None, None] * round_it

    def last_in(s: Array) -> Array:
        """The last of the places along each line of the wall, (8, 180, n), that lies in metal."""
        points = skin[:, :, None, :] + s[..., None] * along
        beside = np.hypot(points[..., 1] - point[1], points[..., 2] - point[2])
        metal = (off_hoop(points) <= OUT) | (sill & (points[..., 0] > 0) & (beside <= OUT))
        return np.where(metal, s, -200.0).max(axis=2)

    coarse = last_in(np.broadcast_to(np.arange(-30.0, 130.0), (*skin.shape[:2], 160)))
    return float(last_in(coarse[..., None] + np.arange(0.0, 1.0, 0.01)).max(axis=0).min())


def test_cage() -> None:
    (beside, stop, feet) = spoken(CAGE)
    assert (stop.level, beside.level, feet.level) == ("stop", "stop", "warn")
    assert "DIAG lies in MAIN" in beside.text  # past the cope, along the bend that it aims behind
    # The bend's middle lies in from the corner by 130 (1 - 1 / root of 2), along y and along z.
    in_from = 130 * (1 - math.sqrt(0.5))
    y, z = round(450 - in_from, 1), round(1150 - in_from, 1)
    assert f"of the start of ROOF1 to [0, {y}, {z}]" in stop.text
    assert f"of the finish of DIAG to [0, {-y}, {z}]" in stop.text
    assert '`finish = { cut = "level" }` in the tables of STAY1 and STAY2' in feet.text
    right = CAGE.replace('["M2", "F2"]', f"[[0, {y}, {z}], [850, {y}, {z}]]")
    right = right.replace('["M3", "F3"]', f"[[0, {-y}, {z}], [850, {-y}, {z}]]")
    right = right.replace('["M1", "M3"]', f'["M1", [0, {-y}, {z}]]')
    right = written(right, 'finish = { cut = "level" }', "STAY1", "STAY2")
    assert spoken(right) == []
    # Two legs and the top, at each corner an arc for twice the radius, and half the sill's size on at either foot.
    hoop = 2 * 1150 + 900 - 4 * 130 + 130 * math.pi + 42.4
    # Square on a post the inner edge of the wall, beside the middle, is the last to leave it.
    beside = math.sqrt(OUT**2 - IN**2)
    reckoned = {"MAIN": hoop, "FRONT": hoop} | dict.fromkeys(("SILL1", "SILL2"), 850 - 2 * beside)
    # The same across a bend, but for the tenth of a millimetre to which its point was advised.
    roof = 850 - 2 * deepest((0, y, z), (850, y, z))
    assert roof == pytest.approx(850 - 2 * beside, abs=0.2)
    reckoned |= {"ROOF1": roof, "ROOF2": roof}
    # The stay's foot goes on, on its longer side, by half its size times its slope.
    stay = math.hypot(700, 900) - deepest((0, 450, 900), (-700, 450, 0)) + OUT * 700 / 900
    reckoned |= {"STAY1": stay, "STAY2": stay}
    foot, head = (0.0, 450.0, 0.0), (0.0, -y, z)
    reckoned["DIAG"] = math.dist(foot, head) - deepest(foot, head, sill=True) - deepest(head, foot)
    made = checked(right)
    for mark, length in reckoned.items():
        assert made.tubes[mark].length == pytest.approx(length, abs=0.05), mark
