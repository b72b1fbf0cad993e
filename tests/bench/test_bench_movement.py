"""Speed of a travel: a hub on five rods, 200 steps."""

from typing import Any

import linkages
import numpy as np

from fabgen.geometry.constraints import FRAME, Row
from fabgen.geometry.sweeping import sweep

Z = np.array([0.0, 0.0, 1.0])


def test_five_link_hub_200_steps(benchmark: Any) -> None:
    hub = linkages.five_link()
    wheel = np.array([0.0, 720.0, 10.0])
    made = hub.with_rows([Row("drive", "gap", FRAME, 0, np.zeros(3), wheel, 10.0, Z)])

    def through() -> int:
        return len(sweep(made.system, 5, np.linspace(-80.0, 80.0, 200)).positions)

    assert benchmark.pedantic(through, rounds=3) == 200


def test_a_front_corner_with_its_clearances(benchmark: Any) -> None:
    """Two sweeps of 81 positions: mobility, positions, wheel figures, ball angles, clearances."""
    from moving_jobs import WISHBONE_JOB, studied

    text = WISHBONE_JOB.replace("steps = 9\n", "steps = 81\n").replace("steps = 13\n", "steps = 81\n")
    found = benchmark.pedantic(studied, (text,), rounds=3)
    assert [len(result.driver) for result in found.sweeps] == [81, 81]
