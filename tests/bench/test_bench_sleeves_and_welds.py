"""Times of a marking sleeve, its files, and the weld run of one end."""

import math
from typing import Any

import numpy as np
from coped_tubes import CASES

from fabgen.documents.dxf.sleeves import sleeve_stl
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.tube.tube import pieces
from fabgen.parts.tube.welds import joint_welds, tube_parts

PIECE = CASES["rectangular onto round"]


def test_stl(benchmark: Any) -> None:
    assert PIECE.length_part is not None
    benchmark(sleeve_stl, PIECE, PIECE.length_part.ends[0])


def test_weld_run_of_one_end(benchmark: Any) -> None:
    tubes = [
        {"mark": "T1", "section": "60.3 x 3.2", "route": [[-500, 0, 0], [500, 0, 0]]},
        {"mark": "T2", "section": "48.3 x 3.2", "route": [[0, 0, 0], [500, 500, 0]]},
    ]
    job = pieces(Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes}))
    (weld,) = benchmark(joint_welds, job[1], tube_parts(job))
    assert np.degrees(weld.run.least) < 46.0
    assert not math.isnan(weld.length)
