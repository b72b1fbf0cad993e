"""Times of a marking sleeve, its files, and the weld run of one end."""

import math
from typing import Any

import numpy as np
from coped_tubes import CASES

from fabgen.documents.dxf.sleeves import sleeve_stl
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import tube_parts
from fabgen.parts.tube.joint_welds import end_welds, jutted_over

PIECE = CASES["rectangular onto round"]


def test_stl(benchmark: Any) -> None:
    assert PIECE.length_part is not None
    benchmark(sleeve_stl, PIECE, PIECE.length_part.ends[0])


def test_weld_run_of_one_end(benchmark: Any) -> None:
    tubes = [
        {"mark": "T1", "section": "60.3 x 3.2", "route": [[-500, 0, 0], [500, 0, 0]]},
        {"mark": "T2", "section": "48.3 x 3.2", "route": [[0, 0, 0], [500, 500, 0]]},
    ]
    job = all_pieces(Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes}))
    parts, faces = tube_parts(job), jutted_over(job)
    (weld,) = benchmark(lambda: list(end_welds("T2", parts["T2"], parts["T2"].ends[0], parts, faces)))
    assert np.degrees(weld.run.least) < 46.0
    assert not math.isnan(weld.length)
