"""Places along a tube that the program cuts in pieces: on the piece that lies there, measured along the whole."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fabgen.geometry.space.frame import Array
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.shape.sheet_body import sheet_body

HEAD = '[job]\ntitle = "Pieces"\nnumber = "P-1"\nunits = "mm"\nmaterial = "S235"\n'
CROSSING = """
crossings = "cut"
[[tube]]
mark = "T1"
section = "40 x 2"
route = [[0, 0, 0], [1000, 0, 0]]
[[tube]]
mark = "T2"
section = "40 x 2"
route = [[500, -400, 0], [500, 400, 0]]
start = { extend = 10 }
finish = { extend = 20 }
"""
SPLICED = """
[[tube]]
mark = "T2"
section = "40 x 2"
route = [[500, -400, 0], [500, 400, 0]]
start = { extend = 10 }
finish = { extend = 20 }
splices = [300, 600]
"""
BENT = """
[[tube]]
mark = "T2"
section = "40 x 2"
route = [[-300, -400, 0], [500, -400, 0], [500, 400, 0]]
bend_radius = 100
finish = { extend = 20 }
splices = [500]
"""


def stood(tubes: str, place: str) -> tuple[str, Array]:
    """What the plate is against, and the middle of its metal."""
    part = '[[plate]]\nmark = "P1"\nthickness = 5\nrectangle = [40, 30]\n'
    job = read_text(HEAD + tubes + part + f"place = {place}\n", Path("job.toml"))
    plate = next(piece.flat_part for piece in all_pieces(job.definitions) if piece.mark == "P1")
    assert plate is not None
    (at,) = plate.places
    points = at.frame.outside(sheet_body(plate).vertices)
    return at.against, (points.min(axis=0) + points.max(axis=0)) / 2.0


@pytest.mark.parametrize(
    ("tubes", "where", "mark", "y"),
    [
        (CROSSING, "at = 100", "T2a", -310.0),
        (CROSSING, "at = 650", "T2b", 240.0),
        (CROSSING, "from = 'finish', at = 150", "T2b", 270.0),
        (CROSSING, "from = 'finish', at = 650", "T2a", -230.0),
        (CROSSING, "near = [500, 111, 3]", "T2b", 111.0),
        (SPLICED, "at = 100", "T2a", -310.0),
        (SPLICED, "at = 450", "T2b", 40.0),
        (SPLICED, "from = 'finish', at = 100", "T2c", 320.0),
        (BENT, "from = 'finish', at = 150", "T2b", 270.0),
    ],
)
def test_the_piece_that_lies_there_carries_it(tubes: str, where: str, mark: str, y: float) -> None:
    against, middle = stood(tubes, f"{{ against = 'T2', {where}, side = 'top' }}")
    assert against == mark
    assert np.allclose(middle, [500.0, y, 22.5])


def test_a_place_in_the_crossing_is_told_and_a_mark_of_a_piece_may_be_given() -> None:
    with pytest.raises(JobError, match="this place lies off T2b"):
        stood(CROSSING, "{ against = 'T2', at = 415, side = 'top' }")
    against, middle = stood(CROSSING, "{ against = 'T2b', from = 'finish', at = 150, side = 'top' }")
    assert (against, middle[1]) == ("T2b", pytest.approx(270.0))
    with pytest.raises(JobError, match='there is no part "T3"'):
        stood(CROSSING, "{ against = 'T3', at = 415, side = 'top' }")


def test_an_ear_sits_on_the_piece() -> None:
    ear = '[[bracket]]\nmark = "P1"\nshape = "ear"\nthickness = 5\nwidth = 30\nheight = 60\nbolt = "M10"\n'
    ear += 'sits = "40 x 2"\n'
    place = "place = { against = 'T2', at = 650, side = 'top', stands_on = 'foot', turn = 90 }\n"
    job = read_text(HEAD + CROSSING + ear + place, Path("job.toml"))
    part = next(piece.flat_part for piece in all_pieces(job.definitions) if piece.mark == "P1")
    assert part is not None
    assert part.places[0].against == "T2b"
