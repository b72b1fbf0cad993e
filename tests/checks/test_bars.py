"""Faults of bent bars that an old hand sees at once, and what only looks wrong."""

from __future__ import annotations

import pytest
from faulty_bars import FAULTY, ON_PLATE, PLATE, ROUND_IT, TIE, TUBE, U_BOLT, bar_job
from jobs import checked, findings


def rules(keys: str, before: str = "") -> list[str]:
    """The rules that say something of the bar."""
    return [each.rule for each in findings(checked(bar_job(keys, before))) if each.marks == ("U1",)]


@pytest.mark.parametrize(("keys", "rule", "before"), FAULTY)
def test_an_old_hand_sees_it(keys: str, rule: str, before: str) -> None:
    assert rule in rules(keys, before)


@pytest.mark.parametrize(
    ("keys", "before"),
    [
        # A stainless bolt on a plain steel tube: the small part is the nobler one.
        (ROUND_IT + 'clamps = [8]\nmaterial = "304"', TUBE.format("S235")),
        # An M10 thread turned on bar of 12: looks like the wrong size, and is a shoulder.
        ('diameter = 12\nlegs = [300]\nstart = { thread = "M10" }', ""),
        # Short legs with bar to cut off after bending.
        ("diameter = 12\nlegs = [10, 30, 10]\nbends = [90, 90]\nradius = 20\ntrim = 30", ""),
        # An eye: it comes back to its own leg and stops short of it.
        ("diameter = 8\nlegs = [80, 0, 0]\nbends = [-60, 300]\nradius = [10, 15]\ntrim = 20", ""),
        # An eye whose sawn end passes its shank by 2 mm.
        ("diameter = 10\nlegs = [120, 0, 0]\nbends = [-50, 320]\nradius = [12, 15]\ntrim = 20", ""),
        # Rings to be welded: end face on end face, and with a gap to fill.
        ("diameter = 10\nlegs = [0, 0]\nbends = [360]\nradius = 40\ntrim = 20\nweld = 31", ""),
        ("diameter = 10\nlegs = [0, 0]\nbends = [355]\nradius = 40\ntrim = 20\nweld = 31", ""),
        # An open ring, its gap just over the bar's diameter: something is hooked in.
        ("diameter = 10\nlegs = [0, 0]\nbends = [347.1]\nradius = 40\ntrim = 20", ""),
        # A turnbuckle's rod whose two threads meet in the middle, and one threaded all along.
        (TIE.format(150, 150), ""),
        ('diameter = 16\nlegs = [300]\nstart = { thread = "M16", length = 300 }', ""),
        # At the very end of its tube, all of it still on.
        (ROUND_IT + "clamps = [8]\nat = 894", TUBE.format("S235")),
        # A grade of bar, and one that is sold as bar and sheet.
        ('diameter = 10\nmaterial = "1018"\nlegs = [100]', ""),
        ('diameter = 10\nmaterial = "304"\nlegs = [100]', ""),
        # The thread reaches just to the tube, and so past all that is clamped.
        (U_BOLT, ""),
        # Holes with room for the legs.
        (ON_PLATE, TUBE.format("S235") + PLATE.format(13.5, 103.3)),
    ],
)
def test_what_only_looks_wrong(keys: str, before: str) -> None:
    assert rules(keys, before) == []
