"""Where plates, brackets and covers stand: points of the part on points of the job, and every fault by its line."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import trimesh
from folded_holes import hole_axes

from fabgen.app.work import built, movement_in
from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.plan.mass_and_centre import mass_and_centre

HEAD = """
[job]
title = "Placed"
number = "P-1"
units = "mm"

[points]
O = [1000, 200, 50]
FRONT = [1500, 200, 50]
"""

PLATE = (
    HEAD + '[[plate]]\nmark = "P1"\nthickness = 5\nrectangle = [100, 40]\nholes = [{ at = [80, 10], diameter = 9 }]\n'
)
ANGLE = (
    HEAD
    + '[[bracket]]\nmark = "B1"\nshape = "angle"\nthickness = 4\nradius = 4\nlength = 80\nlegs = [50, 30]\n'
    + 'holes = [{ at = [20, 18], diameter = 9, face = "b" }, { at = [60, 30], diameter = 11, face = "a" }]\n'
)


def piece(text: str, mark: str = "") -> Piece:
    pieces = all_pieces(read_text(text, Path("job.toml")).definitions)
    return next(each for each in pieces if mark in ("", each.mark))


def stood(text: str) -> EdgedMesh:
    part = piece(text).flat_part
    assert part is not None
    return sheet_body(part).in_frame(part.places[0].frame)


def box(text: str) -> Array:
    return np.array(stood(text).bounds)


def hole_middles(text: str) -> list[tuple[Array, Array]]:
    """Middle in mid-sheet and direction of every hole of a folded part, where it stands, in the order of its faces."""
    part = piece(text).flat_part
    assert part is not None
    assert part.tree is not None
    frame = part.places[0].frame
    return [(frame.outside(axis.centre), axis.direction @ frame.axes) for axis in hole_axes(part.tree, part.thickness)]


# -- plates ---------------------------------------------------------------------
def test_a_plate_lies_as_drawn_with_its_corner_on_the_point() -> None:
    assert np.allclose(box(PLATE + 'place = { at = "O" }'), [[1000, 200, 50], [1100, 240, 55]])


def test_a_plate_by_its_hole_stood_upright() -> None:
    """Its length runs across, its face looks forward: what was up on the paper is up in the vehicle."""
    found = box(PLATE + 'place = { at = "O", hole = 1, along = [0, 1, 0], up = [1, 0, 0] }')
    assert np.allclose(found, [[1000, 120, 40], [1005, 220, 80]])


@pytest.mark.parametrize(("lies", "low"), [("back", 50.0), ("middle", 47.5), ("front", 45.0)])
def test_the_point_lies_on_the_side_that_is_named(lies: str, low: float) -> None:
    assert box(PLATE + f'place = {{ at = "O", lies = "{lies}" }}')[0, 2] == pytest.approx(low)


def test_along_may_be_a_point_and_up_need_not_be_square_to_it() -> None:
    found = box(PLATE + 'place = { at = "O", along = "FRONT", up = [3, 0, 1], of = [100, 0] }')
    assert np.allclose(found, [[900, 200, 50], [1000, 240, 55]])


def test_where_along_runs_upright_up_looks_forward() -> None:
    assert np.allclose(box(PLATE + 'place = { at = "O", along = [0, 0, 1] }'), [[1000, 160, 50], [1005, 200, 150]])


def test_several_of_one_plate_each_stand_somewhere() -> None:
    text = PLATE + 'quantity = 3\nplace = [{ at = "O" }, { at = "FRONT" }]'
    part = piece(text).flat_part
    assert part is not None
    assert [place.frame.origin.tolist() for place in part.places] == [[1000, 200, 50], [1500, 200, 50]]
    whole = mass_and_centre([piece(text)])
    assert whole.unplaced == (("P1", 1),)
    assert whole.placed_mass == pytest.approx(2.0 * whole.mass / 3.0)


# -- brackets -------------------------------------------------------------------
def test_the_outside_corner_of_an_angle_lies_on_the_point() -> None:
    """Leg a of 50 lies on the bench toward -v, leg b of 30 stands on its bend."""
    low, high = box(ANGLE + 'place = { at = "O" }')
    assert np.allclose(high - low, [80.0, 50.0, 30.0])
    assert low[2] == pytest.approx(50.0)
    assert min(abs(low[1] - 200.0), abs(high[1] - 200.0)) < 1e-9


def test_holes_are_numbered_as_they_are_given() -> None:
    for number, face in ((1, "b"), (2, "a")):
        text = ANGLE + f'place = {{ at = "O", hole = {number}, lies = "middle" }}'
        part = piece(text).flat_part
        assert part is not None
        assert part.tree is not None
        on_face = [axis.face for axis in hole_axes(part.tree, part.thickness)].index(face)
        assert np.allclose(hole_middles(text)[on_face][0], [1000, 200, 50])


def test_a_named_face_is_what_along_and_up_speak_of() -> None:
    text = ANGLE + 'place = { at = "O", face = "b", of = [20, 18], along = [0, 1, 0], up = [1, 0, 0], lies = "middle" }'
    part = piece(text).flat_part
    assert part is not None
    assert part.tree is not None
    number = [axis.face for axis in hole_axes(part.tree, part.thickness)].index("b")
    middle, way = hole_middles(text)[number]
    assert np.allclose(middle, [1000, 200, 50])
    assert np.allclose(way, [1, 0, 0])


def test_the_pin_of_a_clevis_runs_through_the_point() -> None:
    text = (
        HEAD
        + '[[bracket]]\nmark = "B1"\nshape = "clevis"\nthickness = 3\ngap = 20\nlength = 56\n'
        + 'height = 36\nbolt = "M12"\n'
        + 'place = { at = "O", of = [28, 13], along = [0, -1, 0], up = [0, 0, -1] }'
    )
    for middle, way in hole_middles(text):
        assert middle[1] == pytest.approx(200.0)
        assert middle[2] == pytest.approx(50.0 - 36.0)
        assert abs(way[0]) == pytest.approx(1.0)
        assert abs(middle[0] - 1000.0) == pytest.approx(11.5)


# -- covers -----------------------------------------------------------------------
def test_a_panel_between_points_stands_between_them() -> None:
    corners = [[0, 0, 100], [400, 0, 200], [400, 300, 200], [0, 300, 100]]
    text = HEAD + f'[[cover]]\nmark = "C1"\nshape = "panel"\nthickness = 2\npoints = {corners}\n'
    body = stood(text)
    for corner in corners:
        assert np.linalg.norm(body.vertices - corner, axis=1).min() == pytest.approx(1.0)
    assert np.allclose(body.centre, [200, 150, 150])


def test_a_creased_panel_needs_no_place() -> None:
    corners = [[0, 0, 0], [400, 0, 100], [400, 300, 0], [0, 300, 0]]
    text = HEAD + f'[[cover]]\nmark = "C1"\nshape = "panel"\nthickness = 2\npoints = {corners}\ncreases = ["1-3"]\n'
    assert np.linalg.norm(stood(text).vertices - corners[1], axis=1).min() < 2.0
    with pytest.raises(JobError) as fault:
        piece(text + 'place = { at = "O" }')
    assert "points say" in fault.value.problems[0].what


def test_a_skirt_stands_on_its_bottom_about_its_axis() -> None:
    """Half round, opposite the seam forward: the middle of its sheet is on +x, its centre 2 r / pi from the axis."""
    text = HEAD + '[[cover]]\nmark = "C1"\nshape = "skirt"\nthickness = 2\ndiameter = 202\nheight = 60\narc = 180\n'
    low, high = box(text + 'place = { at = "O" }')
    assert np.allclose(low, [1000.0, 99.0, 50.0], atol=0.2)
    assert np.allclose(high, [1101.0, 301.0, 110.0], atol=0.2)
    # Sheet of mean radius R and thickness t: (2 / pi) R (1 + t^2 / (12 R^2)) from the axis.
    centre = mass_and_centre([piece(text + 'place = { at = "O" }')]).centre
    assert centre == pytest.approx((1000.0 + 2.0 / math.pi * 100.0, 200.0, 80.0), abs=0.15)


# -- centre of gravity --------------------------------------------------------------
@pytest.mark.parametrize("text", [PLATE, ANGLE], ids=["plate", "angle"])
def test_centre_of_gravity_as_an_independent_program_has_it(text: str) -> None:
    text += 'place = { at = "O", along = [0.6, 0.8, 0], up = [0.1, 0.2, 1] }'
    body = stood(text)
    mesh = trimesh.Trimesh(body.vertices, body.triangles, process=False)
    assert mesh.is_watertight
    centre = mass_and_centre([piece(text)]).centre
    assert centre is not None
    assert np.allclose(centre, mesh.center_mass, atol=1e-6)


def test_centre_of_a_plate_with_a_hole_by_hand() -> None:
    area, hole = 100.0 * 40.0, math.pi * 4.5**2
    x, y = ((area * middle - hole * at) / (area - hole) for middle, at in ((50.0, 80.0), (20.0, 10.0)))
    centre = mass_and_centre([piece(PLATE + 'place = { at = "O" }')]).centre
    assert centre == pytest.approx((1000.0 + x, 200.0 + y, 52.5), abs=0.02)


# -- faults ---------------------------------------------------------------------
def moved(text: str) -> None:
    loaded = read_text(text, Path("job.toml"))
    movement_in(loaded, built(loaded))


@pytest.mark.parametrize(
    ("text", "place", "key", "words"),
    [
        (PLATE, '"O"', "place", "as a place"),
        (PLATE, '{ at = "X" }', "at", 'no point "X"'),
        (PLATE, '{ at = "O", along = "O" }', "along", "toward the point that the part is placed at"),
        (PLATE, '{ at = "O", up = [1, 0, 0] }', "up", "in one line"),
        (PLATE, '{ at = "O", up = [0, 0, 0] }', "up", "no length"),
        (PLATE, '{ at = "O", hole = 2 }', "hole", "no hole 2"),
        (PLATE, '{ at = "O", hole = 1, of = [0, 0] }', "place", "hole"),
        (PLATE, '{ at = "O", face = "a" }', "face", 'no face "a"'),
        (PLATE, '{ at = "O", sid = "back" }', "sid", 'no key "sid"'),
        (PLATE, '[{ at = "O" }, { at = "FRONT" }]', "place", "2 places"),
        (ANGLE, '{ at = "O", face = "c" }', "face", 'no face "c"'),
        (ANGLE, '{ at = "O", hole = 3 }', "hole", "no hole 3"),
        (PLATE, '{ at = "O", on = "arm" }', "on", "no body"),
    ],
)
def test_faults_have_their_line_and_what_is_accepted(text: str, place: str, key: str, words: str) -> None:
    lines = text.splitlines()
    written = f"{text}place = {place}\n"
    with pytest.raises(JobError) as fault:
        moved(written)
    (problem,) = fault.value.problems
    assert words in problem.what
    assert problem.accepted
    assert problem.line == len(lines) + 1
    assert key in problem.where


def test_what_rolls_has_no_u_and_v() -> None:
    text = HEAD + '[[cover]]\nmark = "C1"\nshape = "skirt"\nthickness = 2\ndiameter = 202\nheight = 60\n'
    with pytest.raises(JobError) as fault:
        piece(text + 'place = { at = "O", of = [0, 0] }')
    assert fault.value.problems[0].path[-1] == "of"
