"""The numbers behind a tube's views, against the job's own points and the parts' lengths."""

import math

import numpy as np
import pytest
from jobs import pieces_of, read

from fabgen.documents.drawing.tube.section_view import heel
from fabgen.documents.drawing.tube.tube_shape import TubeShape
from fabgen.parts.piece import LengthPart, Piece
from fabgen.parts.shape.cuts import side_lengths

JOB = """
[job]
title = "tubes"
number = "X-2"
units = "mm"
[points]
A = [0, 0, 0]
B = [1200, 0, 0]
C = [500, 0, 0]
D = [900, 500, 0]
E = [700, 0, 0]
F = [700, 0, 400]
G = [300, 600, 250]
[[tube]]
mark = "T1"
section = "60.3 x 3.2"
route = ["A", "B"]
[[tube]]
mark = "T2"
section = "42.4 x 2.6"
route = ["C", "D"]
[[tube]]
mark = "T3"
section = "42.4 x 2.6"
route = ["E", "F"]
[[tube]]
mark = "T4"
section = "40 x 30 x 3"
route = ["C", "G"]
start = { cut = "cope", onto = ["T1"] }
"""


@pytest.fixture(scope="module")
def tubes() -> dict[str, Piece]:
    return {piece.mark: piece for piece in pieces_of(read(JOB))}


def part_of(piece: Piece) -> LengthPart:
    assert piece.length_part is not None
    return piece.length_part


@pytest.mark.parametrize("mark", ["T1", "T2", "T3", "T4"])
def test_limits_are_the_saw_length_apart(tubes: dict[str, Piece], mark: str) -> None:
    shape = TubeShape(part_of(tubes[mark]))
    first, last = shape.limits
    assert last - first == pytest.approx(shape.part.length)


@pytest.mark.parametrize("mark", ["T2", "T3", "T4"])
def test_the_short_side_is_the_least_of_all_sides(tubes: dict[str, Piece], mark: str) -> None:
    shape = TubeShape(part_of(tubes[mark]))
    _, first, last = shape.shortest_side()
    assert last - first == pytest.approx(float(np.nanmin(side_lengths(shape.part))), abs=0.02)


def test_a_square_cope_seen_across_the_main_hides_nothing(tubes: dict[str, Piece]) -> None:
    """T3 stands square on T1: its two halves are alike seen along T1 and seen across it."""
    shape = TubeShape(part_of(tubes["T3"]))
    for side in ("front", "top"):
        seen = shape.seen_edge(False, side)  # type: ignore[arg-type]
        assert len(seen.solid) == 1
        assert not seen.hidden


def test_a_slanting_cope_has_a_hidden_half_or_shows_its_far_side(tubes: dict[str, Piece]) -> None:
    shape = TubeShape(part_of(tubes["T2"]))
    both = [shape.seen_edge(False, side) for side in ("front", "top")]  # type: ignore[arg-type]
    assert any(seen.hidden or len(seen.solid) > 1 for seen in both)
    # Seen along z the joint's plane is the paper's: both halves coincide.
    assert not both[1].hidden


def test_the_main_is_where_the_job_puts_it(tubes: dict[str, Piece]) -> None:
    """T2 meets T1 at C, at the angle between the two routes; seen from above both lie in the paper's plane."""
    (met,) = TubeShape(part_of(tubes["T2"])).mains(tubes, "top")
    assert met.mark == "T1"
    assert met.at == pytest.approx((0.0, 0.0), abs=1e-6)
    assert met.flatness == pytest.approx(1.0)
    assert met.half == pytest.approx(60.3 / 2.0)
    between = math.atan2(500.0, 400.0)
    assert abs(met.direction[0]) == pytest.approx(math.cos(between))
    assert met.angle == pytest.approx(between)


def test_a_main_seen_from_its_end_is_told_so(tubes: dict[str, Piece]) -> None:
    shape = TubeShape(part_of(tubes["T3"]))
    flat = sorted(shape.mains(tubes, side)[0].flatness for side in ("front", "top"))  # type: ignore[arg-type]
    assert flat == pytest.approx([0.0, 1.0], abs=1e-9)


def test_the_heel_turns_from_the_top_line(tubes: dict[str, Piece]) -> None:
    """T2 lies flat: its heel is on one side of it, a quarter turn from the top line."""
    end = part_of(tubes["T2"]).ends[0]
    assert math.sin(heel(end)) == pytest.approx(math.copysign(1.0, math.sin(heel(end))))
    assert math.cos(heel(end)) == pytest.approx(0.0, abs=1e-9)


def test_a_rectangular_skin_is_a_rounded_rectangle(tubes: dict[str, Piece]) -> None:
    shape = TubeShape(part_of(tubes["T4"]))
    angles = np.linspace(0.0, 2.0 * math.pi, 720)
    reach = shape.reach(angles)
    up, near = np.abs(reach * np.cos(angles)), np.abs(reach * np.sin(angles))
    r = shape.section.corner
    assert up.max() == pytest.approx(20.0)
    assert near.max() == pytest.approx(15.0)
    corner = (up > 20.0 - r + 1e-9) & (near > 15.0 - r + 1e-9)
    assert corner.any()
    assert np.allclose(np.hypot(up[corner] - (20.0 - r), near[corner] - (15.0 - r)), r)
