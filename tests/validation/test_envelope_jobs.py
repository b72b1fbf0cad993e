"""Frames drawn as on the back of an envelope, from point to point: the metal is what an old hand reckons.

Every length was reckoned from the drawing alone; the sum stands beside it.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence

import pytest
from jobs import pieces_of, read

Route = Sequence[Sequence[float]]
Row = tuple[str, str, Route]


def lengths(rows: Sequence[Row], more: str = "", header: str = "") -> dict[str, float]:
    """Saw lengths, mm, by mark."""
    text = f'[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n{header}\n'
    for mark, section, route in rows:
        text += f'[[tube]]\nmark = "{mark}"\nsection = "{section}"\nroute = {json.dumps(route)}\n'
        text += "bend_radius = 90\n" if len(route) > 2 and route[0] != route[-1] else ""
    return {piece.mark: piece.shape.length for piece in pieces_of(read(text + more)) if piece.kind == "tube"}


def holds(made: Mapping[str, float], reckoned: Mapping[str, float]) -> None:
    for mark, length in reckoned.items():
        assert made[mark] == pytest.approx(length, abs=0.02), mark


def test_workbench() -> None:
    feet = [(0, 0), (1400, 0), (1400, 600), (0, 600)]
    rows: list[Row] = [(f"L{i}", "50 x 50 x 3", [[x, y, 0], [x, y, 875]]) for i, (x, y) in enumerate(feet)]
    for name, z, section in (("T", 875, "50 x 50 x 3"), ("S", 200, "40 x 40 x 3")):
        for i, (one, other) in enumerate(zip(feet, [*feet[1:], feet[0]], strict=True)):
            rows.append((f"{name}{i}", section, [[*one, z], [*other, z]]))
    reckoned = {f"L{i}": 875 + 25 for i in range(4)}  # a leg runs on flush with the rails that land on it
    for name in "TS":  # rails stand between the legs' faces
        reckoned |= {f"{name}0": 1400 - 50, f"{name}1": 600 - 50, f"{name}2": 1400 - 50, f"{name}3": 600 - 50}
    holds(lengths(rows), reckoned)


def test_gate_with_an_x_brace() -> None:
    a, b, c, d = [0, 0, 0], [1200, 0, 0], [1200, 0, 1000], [0, 0, 1000]
    rows: list[Row] = [(mark, "40 x 40 x 3", ends) for mark, ends in (("S1", [a, d]), ("S2", [b, c]))]
    rows += [("BOT", "40 x 40 x 3", [a, b]), ("TOP", "40 x 40 x 3", [d, c])]
    rows += [("X1", "30 x 30 x 3", [a, c]), ("X2", "30 x 30 x 3", [b, d])]
    whole = math.hypot(1200, 1000)
    # Pointed into the corner of the opening, 20 mm along and 20 mm up from the drawn point.
    to_corner = (20 * 1200 + 20 * 1000) / whole
    cross = 2 * math.atan2(1000, 1200)
    # The other brace is sawn to the first one's sides: half of 30 mm along it, and its longer side beyond.
    half = whole / 2 - to_corner - 15 / math.sin(cross) + 15 / math.tan(cross)
    reckoned = {"S1": 1000 + 40, "S2": 1000 + 40, "BOT": 1200 - 40, "TOP": 1200 - 40}
    reckoned |= {"X1": whole - 2 * to_corner, "X2a": half, "X2b": half}
    holds(lengths(rows, header='crossings = "cut"'), reckoned)


def test_handrail_with_a_knee_rail_and_feet() -> None:
    rows: list[Row] = [("RAIL", "48.3 x 3.2", [[0, 0, 1000], [2000, 0, 1000]])]
    rows += [(f"P{i}", "48.3 x 3.2", [[1000 * i, 0, 0], [1000 * i, 0, 1000]]) for i in range(3)]
    rows += [("KNEE", "33.7 x 2.6", [[0, 0, 500], [2000, 0, 500]])]
    plates = "".join(
        f'[[plate]]\nmark = "F{i}"\nthickness = 8\nrectangle = [120, 120]\n'
        f"place = {{ at = [{1000 * i}, 0, 0], of = [60, 60] }}\n"
        for i in range(3)
    )
    # A coped end reaches as far as the inner edge of its wall beside the main lets it: sqrt(R R - r r) off the axis.
    post = 1000 - 8 - math.sqrt(24.15**2 - 20.95**2)
    knee = 1000 - 2 * math.sqrt(24.15**2 - 14.25**2)
    reckoned = {"RAIL": 2000 + 48.3, "P0": post, "P1": post, "P2": post, "KNEEa": knee, "KNEEb": knee}
    holds(lengths(rows, plates, 'crossings = "cut"'), reckoned)


def test_kart_rails_and_cross_members() -> None:
    rows: list[Row] = [("R1", "30 x 2", [[0, 300, 0], [1200, 300, 0], [1700, 200, 0]])]
    rows += [("R2", "30 x 2", [[0, -300, 0], [1200, -300, 0], [1700, -200, 0]])]
    rows += [("C1", "30 x 2", [[0, 300, 0], [0, -300, 0]]), ("C2", "30 x 2", [[600, 300, 0], [600, -300, 0]])]
    rows += [("C3", "30 x 2", [[1700, 200, 0], [1700, -200, 0]])]
    bend = math.atan2(100, 500)
    # Arc instead of the corner, 15 mm on at the rear to carry C1, and the long side of the mitre with C3.
    mitre = 15 / math.tan((math.pi / 2 + bend) / 2)
    rail = 1200 + math.hypot(500, 100) - 2 * 90 * math.tan(bend / 2) + 90 * bend + 15 + mitre
    between = 600 - 2 * math.sqrt(15**2 - 13**2)
    holds(lengths(rows), {"R1": rail, "R2": rail, "C1": between, "C2": between, "C3": 400 + 2 * mitre})


def test_engine_stand() -> None:
    rows: list[Row] = [("CROSS", "60 x 60 x 4", [[0, 400, 0], [0, -400, 0]])]
    rows += [("FRONT", "60 x 60 x 4", [[900, 250, 0], [900, -250, 0]])]
    rows += [("BASE", "60 x 60 x 4", [[0, 0, 0], [900, 0, 0]]), ("POST", "60 x 60 x 4", [[0, 0, 0], [0, 0, 900]])]
    rows += [("BRACE", "40 x 40 x 3", [[400, 0, 0], [0, 0, 400]])]
    # From face to face at 45 degrees, and half the brace's 40 mm beyond at either end.
    holds(lengths(rows), {"BASE": 900 - 60, "POST": 900 - 30, "BRACE": (400 - 60) * math.sqrt(2) + 40})


def test_battery_box_ring() -> None:
    ring = [[0, 0, 0], [260, 0, 0], [260, 180, 0], [0, 180, 0], [0, 0, 0]]
    made = lengths([("RING", "20 x 20 x 2", ring)])
    # Mitred: each side is as long as the ring outside.
    assert sorted(made.values()) == pytest.approx([180 + 20, 180 + 20, 260 + 20, 260 + 20])


def test_trailer_frame_with_its_drawbar() -> None:
    rows: list[Row] = [("R1", "80 x 40 x 3", [[0, 600, 0], [2000, 600, 0]])]
    rows += [("R2", "80 x 40 x 3", [[0, -600, 0], [2000, -600, 0]])]
    rows += [(f"C{i}", "80 x 40 x 3", [[500 * i, 600, 0], [500 * i, -600, 0]]) for i in range(5)]
    rows += [("D1", "80 x 40 x 3", [[2000, 600, 0], [3100, 0, 0]])]
    rows += [("D2", "80 x 40 x 3", [[2000, -600, 0], [3100, 0, 0]])]
    kink = math.atan2(600, 1100)
    # Rail and drawbar are one line with a kink, the drawbar's two sides meet at the nose: mitres, whose long sides
    # stand half of 40 mm over the tangent of half the angle between the two beyond the point.
    at_kink, at_nose = 20 / math.tan((math.pi - kink) / 2), 20 / math.tan(kink)
    reckoned = {"R1": 2000 + 20 + at_kink, "D1": math.hypot(1100, 600) + at_kink + at_nose}
    reckoned |= dict.fromkeys((f"C{i}" for i in range(4)), 1200 - 40)
    # The last one meets the drawbar too, so a template it is, which goes round the rails' corners of radius 6.
    reckoned["C4"] = 1200 - 40 + 2 * (6 - math.sqrt(6**2 - (6 - 3) ** 2))
    holds(lengths(rows), reckoned)


def test_roof_rack_of_bars_that_lie_across() -> None:
    rows: list[Row] = [(f"S{s}", "25 x 2", [[0, s * 500, 0], [1300, s * 500, 0]]) for s in (1, -1)]
    rows += [(f"B{x}", "25 x 2", [[x, 550, 25], [x, -550, 25]]) for x in (50, 450, 850, 1250)]
    rows += [(f"F{x}", "25 x 2", [[x, 500, 0], [x, 500, -120]]) for x in (150, 1150)]
    foot = 120 - math.sqrt(12.5**2 - 10.5**2)
    holds(lengths(rows), {"S1": 1300, "B50": 1100, "B1250": 1100, "F150": foot, "F1150": foot})


def test_column_with_a_bracket_arm() -> None:
    rows: list[Row] = [("COLUMN", "100 x 100 x 5", [[0, 0, 0], [0, 0, 2000]])]
    rows += [("ARM", "80 x 60 x 4", [[0, 0, 1500], [600, 0, 1500]])]
    rows += [("STRUT", "60 x 60 x 4", [[0, 0, 1050], [450, 0, 1500]])]
    base = '[[plate]]\nmark = "BASE"\nthickness = 12\nrectangle = [220, 220]\n'
    base += "place = { at = [0, 0, 0], of = [110, 110] }\n"
    # The strut goes from the column's face, x = 50, to the arm's underside, z = 1460, and half of its 60 mm beyond.
    strut = (1460 - 1050 - 50) * math.sqrt(2) + 60
    holds(lengths(rows, base), {"COLUMN": 2000 - 12, "ARM": 600 - 50, "STRUT": strut})
