"""Filler, gas, discs and paint: the formulas by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from jobs import pieces_of, read

from fabgen.plan.buying.consumables import estimates, left_out, needs_of, outside_area
from fabgen.plan.buying.seams import seams
from fabgen.plan.plan import Estimate

JOB = """
[job]
title = "Weld"
number = "W-1"
units = "mm"
[[tube]]
mark = "T1"
section = "60 x 60 x 4"
route = [[0, 0, 0], [1000, 0, 0]]
[[tube]]
mark = "T2"
section = "40 x 3"
route = [[500, 0, 0], [500, 0, 500]]
quantity = 2
"""


def reckoned(text: str) -> dict[str, Estimate]:
    job = read(text)
    return {one.item: one for one in estimates(job, pieces_of(job))}


def test_a_tube_square_on_a_flat_face() -> None:
    """The seam is the tube's circumference, the throat 0.7 of its 3 mm wall, twice."""
    job = read(JOB)
    found, unknown = seams(job, pieces_of(job))
    (seam,) = found
    assert unknown == []
    assert seam.length == pytest.approx(2 * math.pi * 40.0, rel=1e-3)
    assert seam.thickness == 3.0
    needs = needs_of(job, pieces_of(job))
    assert needs.metal["steel"] == pytest.approx((0.7 * 3.0) ** 2 * seam.length * 7850e-9, rel=1e-6)


@pytest.mark.parametrize("lean", [75.0, 60.0, 45.0])
def test_a_tube_leaning_on_a_flat_face_takes_the_wedge_of_the_true_angle(lean: float) -> None:
    """Its run is an ellipse with the half axes r and r / sin(lean); at phi from the heel the surfaces meet at psi with
    cos(psi) = cos(lean) x cos(phi), 45 at the heel and 135 at the toe of one that leans at 45; the section of a fillet
    there is throat^2 x tan(psi / 2), summed here in 100,000 steps.  At 45 degrees that is a sixth more metal."""
    phi = (np.arange(100_000) + 0.5) * 2.0 * math.pi / 100_000
    alpha = math.radians(lean)
    step = np.hypot(np.sin(phi) / math.sin(alpha), np.cos(phi))
    wedge = np.tan(np.arccos(math.cos(alpha) * np.cos(phi)) / 2.0)
    text = JOB.replace("[[500, 0, 0], [500, 0, 500]]", f"[[500, 0, 0], [{500 + 500 / math.tan(alpha)}, 0, 500]]")
    job = read(text)
    pieces = pieces_of(job)
    (seam,) = seams(job, pieces)[0]
    assert seam.wedge == pytest.approx(float((wedge * step).sum() / step.sum()), rel=2e-3)
    assert needs_of(job, pieces).metal["steel"] == pytest.approx(2.1**2 * seam.wedge * seam.length * 7850e-9, rel=1e-6)


def test_wide_corners_are_taken_as_at_135_degrees_and_unknown_ones_as_square() -> None:
    """Two equal tubes square on one another meet at 180 at the sides, where a fillet would have no end."""
    equal = JOB.replace("60 x 60 x 4", "40 x 3")
    (seam,) = seams(read(equal), pieces_of(read(equal)))[0]
    assert 1.0 < seam.wedge < math.tan(math.radians(67.5))
    stated = equal.replace('mark = "T2"', 'mark = "T2"\nweld = "100 mm"')
    (seam,) = seams(read(stated), pieces_of(read(stated)))[0]
    assert seam.wedge == 1.0


def test_filler_and_gas_follow_from_the_weld_metal() -> None:
    text = JOB.replace('mark = "T1"', 'mark = "T1"\nweld = "10 m"')
    found = reckoned(text + "[consumables]\nthroat = 3\nefficiency = 0.8\ndeposition = 1.5\ngas_flow = 10\n")
    metal = 9.0 * (10_000.0 + 2 * math.pi * 40.0) * 7850e-9
    filler, gas = found["filler wire"], found["shielding gas"]
    assert metal / 0.8 <= filler.quantity < metal / 0.8 + 0.1001
    litres = metal / 1.5 * 60.0 * 10.0
    assert litres <= gas.quantity < litres + 10.001
    assert filler.unit == "kg"
    assert "common practice" in filler.source


def test_stick_takes_no_gas_and_aluminium_takes_argon() -> None:
    assert "shielding gas" not in reckoned(JOB + '[consumables]\nprocess = "stick"\n')
    alloy = JOB.replace('units = "mm"', 'units = "mm"\nmaterial = "6060-T66"')
    assert reckoned(alloy)["shielding gas"].goods.words() == "argon"
    assert reckoned(alloy)["filler wire"].goods.words() == "for aluminium"


def test_paint_by_hand() -> None:
    """One plate of 1 m2, 10 mm thick: 2 faces and 4 m of edge, 2.04 m2; 2 x 50 um at half solids, no loss."""
    text = """
[job]
title = "Paint"
number = "P"
units = "mm"
[consumables]
paint_loss = 0
[[plate]]
mark = "P1"
thickness = 10
rectangle = [1000, 1000]
"""
    job = read(text)
    (piece,) = pieces_of(job)
    assert outside_area(piece) == pytest.approx(2.04e6)
    found = reckoned(text)
    assert list(found) == ["paint"]
    assert found["paint"].quantity == pytest.approx(0.5)  # 0.408 litres, rounded up to a tenth
    zinc = text.replace('mark = "P1"', 'mark = "P1"\nfinish = "zinc plated"')
    assert reckoned(zinc) == {}


def test_a_mitre_is_welded_once() -> None:
    text = """
[job]
title = "Mitre"
number = "M"
units = "mm"
[[tube]]
mark = "T1"
section = "40 x 40 x 3"
route = [[0, 0, 0], [500, 0, 0]]
finish = { cut = "mitre" }
[[tube]]
mark = "T2"
section = "40 x 40 x 3"
route = [[500, 0, 0], [500, 500, 0]]
start = { cut = "mitre" }
"""
    job = read(text)
    found, _ = seams(job, pieces_of(job))
    # Sharp corners would give 2 x 40 + 2 x 40 sqrt(2) = 193.1 mm; the corner radius takes a little off.
    assert 180.0 < sum(seam.length for seam in found) < 193.2
    assert found[0].length == pytest.approx(found[1].length, rel=1e-3)


def test_bungs_and_caps_are_counted_and_what_is_not_known_is_named() -> None:
    text = """
[job]
title = "Rest"
number = "R"
units = "mm"
[[link]]
mark = "L1"
section = "25.4 x 4"
length = 400
rod_ends = ["M12 right", "M12 left"]
[[cover]]
mark = "C1"
shape = "cap"
thickness = 2
rectangle = [100, 80]
[[plate]]
mark = "P1"
thickness = 5
rectangle = [100, 80]
[[plate]]
mark = "P2"
thickness = 5
rectangle = [100, 80]
weld = "120 mm"
quantity = 3
"""
    job = read(text)
    pieces = pieces_of(job)
    found, unknown = seams(job, pieces)
    length = {seam.mark: seam.length for seam in found}
    cap = next(piece for piece in pieces if piece.mark == "C1").flat_part
    assert cap is not None
    assert unknown == ["P1"]
    assert "Welds of P1 are not counted here" in left_out(job, pieces)[0]
    assert length["L1"] == pytest.approx(2 * math.pi * 25.4)
    assert length["C1"] == pytest.approx(cap.outline.perimeter)
    assert length["P2"] == pytest.approx(360.0)
