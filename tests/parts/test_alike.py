"""Which ends share a template, and which tubes a drawing."""

from dataclasses import replace

import numpy as np
from coped_tubes import CASES, box_tube, coped_tube, round_tube

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.parts.shape.alike import EndOf, alike_ends, alike_tubes, names


def worked(made: list[Piece]) -> list[EndOf]:
    return [(piece, end) for piece in made if piece.length_part for end in piece.length_part.ends if end.cut != "plain"]


def marks(groups: list[list[Piece]]) -> list[list[str]]:
    return [[piece.mark for piece in group] for group in groups]


def ladder(more: str = "", spacing: float = 400.0, rungs: int = 3) -> list[Piece]:
    """Two rails along x and rungs between them; one more brace where `more` names a rung."""
    tubes = [
        {"mark": "L", "section": "48.3 x 3.2", "route": [[0, 300, 0], [1600, 300, 0]]},
        {"mark": "R", "section": "48.3 x 3.2", "route": [[0, -300, 0], [1600, -300, 0]]},
    ]
    for i in range(1, rungs + 1):
        x = spacing * i
        tubes.append({"mark": f"C{i}", "section": "33.7 x 2.6", "route": [[x, 300, 0], [x, -300, 0]]})
    if more:
        x = spacing * int(more[1:])
        tubes.append({"mark": "B", "section": "21.3 x 2", "route": [[x, 0, 0], [x, 0, 400]]})
    return all_pieces(Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes}))


class TestEnds:
    def test_rungs_of_a_ladder(self) -> None:
        groups = alike_ends(worked(ladder()))
        # Round tube: its start and finish have TOP on one side and on the other of the same line.
        assert [[(piece.mark, end.at) for piece, end in group] for group in groups] == [
            [("C1", "start"), ("C2", "start"), ("C3", "start")],
            [("C1", "finish"), ("C2", "finish"), ("C3", "finish")],
        ]

    def test_a_hundredth_of_a_degree_in_the_joint_parts_them(self) -> None:
        a, b = (
            coped_tube(round_tube(48.3), round_tube(60.3), angle, mark=mark) for angle, mark in ((60, "A"), (60.1, "B"))
        )
        assert len(alike_ends(worked([a, b]))) == 2
        assert len(alike_ends(worked([a, replace(b, shape=a.shape)]))) == 1

    def test_the_top_line_parts_them(self) -> None:
        made = [coped_tube(round_tube(48.3), round_tube(60.3), 60.0, top=top, mark=f"T{top:g}") for top in (0, 45)]
        assert len(alike_ends(worked(made))) == 2

    def test_the_faces_of_a_rectangular_tube_go_round_one_way_at_an_end(self) -> None:
        part = coped_tube(box_tube(40.0, 40.0), box_tube(60.0, 60.0), 60.0, top=0.0, both=True)
        assert len(alike_ends(worked([part]))) == 2

    def test_ends_that_miss_their_main_in_part(self) -> None:
        case = CASES["offset, partly missing"]
        assert len(alike_ends(worked([case, replace(case, mark="T2")]))) == 1

    def test_many_unlike_ends_stay_apart(self) -> None:
        angles = np.linspace(40.0, 80.0, 60)
        made = [coped_tube(round_tube(33.7), round_tube(60.3), a, mark=f"T{i}") for i, a in enumerate(angles)]
        assert len(alike_ends(worked(made))) == 60


class TestTubes:
    def test_rungs_share_a_drawing(self) -> None:
        assert marks(alike_tubes(ladder())) == [["L"], ["R"], ["C1", "C2", "C3"]]

    def test_what_lands_on_one_parts_it_from_the_rest(self) -> None:
        assert marks(alike_tubes(ladder("C2"))) == [["L"], ["R"], ["C1", "C3"], ["C2"], ["B"]]

    def test_a_title_of_its_own_parts_it(self) -> None:
        made = [replace(piece, title="jack point") if piece.mark == "C3" else piece for piece in ladder()]
        assert marks(alike_tubes(made)) == [["L"], ["R"], ["C1", "C2"], ["C3"]]


def test_names() -> None:
    assert names(["T3"]) == "T3"
    assert names(["T3", "T4", "T5"]) == "T3, T4 and T5"
    assert names([f"T{i}" for i in range(20)], 3) == "T0, T1, T2, … (20 in all)"
