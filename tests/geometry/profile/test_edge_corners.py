"""The corners of an edge that are measured: those of a notch all, of a rounded toe or a small fillet its two ends."""

import math

import numpy as np
import pytest

from fabgen.geometry.profile.development import edge_corners


def arc(x: float, y: float, r: float, first: float, last: float, count: int = 40) -> list[tuple[float, float]]:
    turns = np.radians(np.linspace(first, last, count))
    return [(x + r * math.cos(t), y + r * math.sin(t)) for t in turns.tolist()]


@pytest.mark.parametrize("radius", [2.0, 3.0, 6.0])
def test_of_a_rounded_toe_the_ends_are_measured(radius: float) -> None:
    toe = arc(40.0 - radius, 10.0 - radius, radius, 90.0, 0.0)
    edge = np.array([(0.0, 10.0), *toe])
    assert edge_corners(edge) == pytest.approx(
        np.array([(0.0, 10.0), (40.0 - radius, 10.0), (40.0, 10.0 - radius)]), abs=0.6
    )
    middle = edge_corners(edge, middles=True)
    assert len(middle) == 4
    # Halfway round, on the arc.
    assert math.hypot(middle[2, 0] - 40.0 + radius, middle[2, 1] - 10.0 + radius) == pytest.approx(radius)


def test_of_a_notch_every_corner_is_measured() -> None:
    """Even a slot of 3 mm with a chamfer of 2 mm."""
    notch = np.array([(0, 0), (10, 0), (10, 8), (13, 8), (13, 0), (20, 0), (22, 2), (40, 2)], dtype=float)
    assert edge_corners(notch) == pytest.approx(notch)


def test_a_long_curve_keeps_its_corners() -> None:
    """As where a leg sits on a round tube: its template and its table have it."""
    cope = np.array(arc(20.0, 0.0, 30.0, 130.0, 50.0, 200))
    assert len(edge_corners(cope)) > 8
