"""Speed of a travel: a hub on five rods, 200 steps."""

from typing import Any

import linkages
import numpy as np

from fabgen.geometry.mechanics.constraints import FRAME, ConstraintRow
from fabgen.geometry.mechanics.sweeping import sweep

Z = np.array([0.0, 0.0, 1.0])


def test_five_link_hub_200_steps(benchmark: Any) -> None:
    hub = linkages.five_link()
    wheel = np.array([0.0, 720.0, 10.0])
    made = hub.with_rows([ConstraintRow("drive", "gap", FRAME, 0, np.zeros(3), wheel, 10.0, Z)])

    def through() -> int:
        return len(sweep(made.system, 5, np.linspace(-80.0, 80.0, 200)).positions)

    assert benchmark.pedantic(through, rounds=3) == 200


def test_a_front_corner_with_its_clearances(benchmark: Any) -> None:
    """Two sweeps of 81 positions: mobility, positions, wheel figures, ball angles, clearances."""
    from moving_jobs import WISHBONE_JOB, studied

    text = WISHBONE_JOB.replace("steps = 9\n", "steps = 81\n").replace("steps = 13\n", "steps = 81\n")
    found = benchmark.pedantic(studied, (text,), rounds=3)
    assert [len(result.driver) for result in found.sweeps] == [81, 81]


def test_a_bracket_beside_a_tyre_200_positions(benchmark: Any) -> None:
    """A folded bracket with holes, skin for skin, against the ring of a tyre."""
    from pathlib import Path

    from fabgen.geometry.mechanics.envelopes import KeepOutShape, MovedShape
    from fabgen.geometry.mechanics.skin_clearance import MovedSkin, TriangleSkin, skin_clearances
    from fabgen.geometry.space.frame import Frame
    from fabgen.job.reader import read_text
    from fabgen.parts.build import all_pieces
    from fabgen.parts.shape.sheet_body import sheet_body

    text = """
[job]
title = "Bracket"
number = "B-1"
units = "mm"
[[bracket]]
mark = "B1"
shape = "channel"
thickness = 4
length = 120
web = 80
flanges = [40, 40]
holes = [{ at = [20, 40], bolt = "M12", face = "web", row = { count = 4, pitch = 26 } }]
"""
    (piece,) = all_pieces(read_text(text, Path("job.toml")).definitions)
    assert piece.flat_part is not None
    skin = TriangleSkin(sheet_body(piece.flat_part, 0.02).corners)
    rises = np.linspace(-80.0, 80.0, 200)
    moved = MovedSkin(skin, np.column_stack((0.2 * rises, 130.0 + 0.0 * rises, 250.0 + rises)), np.eye(3)[None])
    tyre = MovedShape.still(KeepOutShape.tyre(600.0, 165.0, 340.0, 5.0), Frame(np.zeros(3), *np.eye(3)[[1, 2, 0]]))
    clear, _ = benchmark.pedantic(skin_clearances, (tyre, moved), rounds=3)
    assert clear.shape == (200,)
