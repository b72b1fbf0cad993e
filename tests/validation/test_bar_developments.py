"""Developed lengths of bent bar against published worked examples."""

from __future__ import annotations

import math

import pytest

from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces

HEADER = '[job]\ntitle = "t"\nnumber = "n"\nunits = "mm"\n[[bar]]\nmark = "B"\n'


def length(keys: str) -> float:
    (piece,) = all_pieces(read_text(HEADER + keys).definitions)
    assert piece.length_part is not None
    return piece.length_part.length


def test_sharma_two_legs() -> None:
    """P. C. Sharma, Production Engineering, example 2.10: legs of 76 and 115 mm over the outside, 2.3 mm thick, inside
    radius 0.90 mm, 90 degrees, neutral line at a third: 187.22 mm."""
    straight = 2.3 + 0.90
    legs = f"legs = [{76 - straight}, {115 - straight}]"
    found = length(f"diameter = 2.3\n{legs}\nbends = [90]\nradius = 0.90\nneutral = {1 / 3}")
    assert found == pytest.approx(187.22, abs=0.005)


def test_sharma_three_bends() -> None:
    """P. C. Sharma, Production Engineering, last example of chapter 2: 10 mm thick, K 0.33; straights of 270, 140 and
    70 mm, two bends of 90 degrees on 20 mm and one of 180 degrees on 140 mm inside: 1003.39 mm."""
    keys = "diameter = 10\nlegs = [270, 140, 70, 0]\nbends = [90, 90, -180]\nradius = [20, 20, 140]\nneutral = 0.33"
    assert length(keys) == pytest.approx(1003.39, abs=0.005)


@pytest.mark.parametrize("d", [6, 8, 10, 12, 16])
def test_bs_8666(d: int) -> None:
    """BS 8666:2020, table 5 (from memory, check your copy), whose lengths are sums of sizes over the outside:
    shape 11, one square bend, A + B - 0.5 r - d; shape 21, two, A + B + C - r - 2 d.  Its figures are rounded for the
    least radius, 2 d; the middle line is as long to a tenth of the diameter a bend."""
    r, out = 2.0 * d, 3.0 * d
    one = length(f"diameter = {d}\nlegs = [{300 - out}, {200 - out}]\nbends = [90]\nradius = {r}")
    assert one == pytest.approx(300.0 + 200.0 - 0.5 * r - d, abs=0.1 * d)
    legs = f"[{300 - out}, {250 - 2 * out}, {200 - out}]"
    two = length(f"diameter = {d}\nlegs = {legs}\nbends = [90, 90]\nradius = {r}")
    assert two == pytest.approx(300.0 + 250.0 + 200.0 - r - 2.0 * d, abs=0.2 * d)


def test_half_circle() -> None:
    """By Pappus: the middle line of a half ring of inside diameter 60 and bar of 12 mm is pi x 36 mm."""
    assert length(
        'shape = "U-bolt"\ndiameter = 12\ninside = 60\nheight = 90\nends = { thread = "M12", length = 30 }'
    ) == (pytest.approx(2.0 * 60.0 + math.pi * 36.0))
