"""Parts placed by points and directions are set out on what they touch, as if they were placed against it."""

from __future__ import annotations

from dataclasses import astuple
from pathlib import Path

import numpy as np
import pytest

from fabgen.app.hands import with_own_images
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import SetOut

HEAD = '[job]\ntitle = "Touching"\nnumber = "T-1"\nunits = "mm"\n'
TUBE = '[[tube]]\nmark = "S1"\nsection = "40 x 2"\nroute = [[0, 0, 0], [900, 0, 0]]\n'
BOX = '[[tube]]\nmark = "S2"\nsection = "40 x 40 x 3"\nroute = [[0, 300, 0], [900, 300, 0]]\n'
ANGLE = (
    '[[profile]]\nmark = "A1"\nmaterial = "S235"\nsection = "angle 40 x 40 x 4"\nroute = [[0, 600, 0], [900, 600, 0]]\n'
    'legs = ["top", "left"]\n'
)
FLOOR = '[[plate]]\nmark = "P9"\nthickness = 8\nrectangle = [200, 200]\nplace = { at = [0, 900, 0] }\n'
PLATE = '[[plate]]\nmark = "P1"\nthickness = 4\nrectangle = [60, 30]\nholes = [{ at = [10, 10], diameter = 6 }]\n'
CLEVIS = (
    '[[bracket]]\nmark = "P1"\nmaterial = "S235"\nshape = "clevis"\nthickness = 4\ngap = 20\nlength = 40\nheight = 45\n'
    'bolt = "M12"\n'
)
SKIRT = '[[cover]]\nmark = "P1"\nmaterial = "S235"\nshape = "skirt"\nthickness = 2\ndiameter = 80\nheight = 50\n'


def set_out(part: str, place: str) -> SetOut | None:
    job = read_text(HEAD + TUBE + BOX + ANGLE + FLOOR + part + f"place = {place}\n", Path("job.toml"))
    (piece,) = (piece for piece in all_pieces(job.definitions) if piece.mark == "P1")
    assert piece.flat_part is not None
    return piece.flat_part.places[0].set_out


@pytest.mark.parametrize(
    ("part", "by_points", "against"),
    [
        (PLATE, "at = [300, -15, 20]", "'S1', at = 330, side = 'top'"),
        (PLATE, "at = [300, 15, -20], up = [0, 0, -1]", "'S1', at = 330, side = 'bottom'"),
        (PLATE, "at = [300, 15, 20], up = [0, 0, -1], lies = 'front'", "'S1', at = 330, side = 'top', lies = 'front'"),
        (PLATE, "at = [300, 2, 20], up = [0, -1, 0]", "'S1', at = 330, side = 'top', stands_on = 'bottom'"),
        (PLATE, "at = [302, 15, -20], along = [0, 0, -1], up = [-1, 0, 0]",
         "'S1', at = 300, side = 'bottom', stands_on = 'left', turn = 90"),
        (PLATE, "at = [400, 285, 20]", "'S2', at = 430, side = 'top'"),
        (PLATE, "at = [300, 602, 0], up = [0, 1, 0], lies = 'back', along = [-1, 0, 0]", ""),
        (PLATE, "at = [300, 600, 0], up = [0, -1, 0], along = [1, 0, 0]",
         "'A1', at = 330, side = 'leg a outside', gauge = 15"),
        (PLATE, "at = [50, 1000, 8]", "'P9', at = [80, 115]"),
        (PLATE, "at = [50, 1030, 0], up = [0, 0, -1]", "'P9', at = [80, 115], side = 'back'"),
        (CLEVIS, "at = [300, -14, 20]", "'S1', at = 320, side = 'top'"),
        (SKIRT, "at = [100, 1000, 8]", "'P9', at = [100, 100]"),
        (SKIRT, "at = [100, 1000, -50]", "'P9', at = [100, 100], side = 'back', stands_on = 'top'"),
    ],
)  # fmt: skip
def test_by_points_or_against_it_is_the_same_row(part: str, by_points: str, against: str) -> None:
    found = set_out(part, f"{{ {by_points} }}")
    if not against:
        assert found is None
        return
    wanted = set_out(part, f"{{ against = {against} }}")
    assert found is not None
    assert wanted is not None
    assert (found.on, found.on_place, found.foot, found.face) == (wanted.on, wanted.on_place, wanted.foot, wanted.face)
    numbers = [[*(each.along or ()), *each.across, each.way or 0.0, each.over or 0.0] for each in (found, wanted)]
    assert np.allclose(*numbers, atol=1e-6)
    assert abs(np.remainder(found.turn - wanted.turn + 1.0, 2.0 * np.pi) - 1.0) < 1e-6
    assert [astuple(hole) for hole in found.holes] == [pytest.approx(astuple(hole)) for hole in wanted.holes]


@pytest.mark.parametrize(
    ("at", "is_on"),
    [("[300, -15, 20.495]", True), ("[300, -15, 20.505]", False), ("[300, -15, 19.505]", True),
     ("[300, -15, 19.495]", False), ("[300, 21, 20]", False), ("[300, 319.6, 20]", True), ("[300, 320.4, 20]", False)],
)  # fmt: skip
def test_it_touches_one_per_cent_inside_the_gap_and_not_outside(at: str, is_on: bool) -> None:
    assert (set_out(PLATE, f"{{ at = {at} }}") is not None) == is_on


def test_what_leans_on_nothing_stays_by_points() -> None:
    assert set_out(PLATE, "{ at = [300, -15, 20], up = [0.3, 0, 1], along = [1, 0, -0.3] }") is None


def test_a_bracket_that_leans_on_an_inclined_flange_stays_by_points() -> None:
    angle = '[[bracket]]\nmark = "P1"\nmaterial = "S235"\nshape = "angle"\nthickness = 3\nradius = 4\nbend_angle = 60\n'
    angle += "legs = [45, 45]\nlength = 60\n"
    assert set_out(angle, "{ at = [300, 10, 20] }") is not None
    tip = 20.0 + 45.0 * np.sin(np.radians(60.0))
    for y in (-45.0, -10.0):
        for height in np.arange(tip - 1.2, tip + 1.6, 0.8):
            assert set_out(angle, f"{{ at = [300, {y}, {height:.3f}], up = [0, 0, -1] }}") is None


EAR = (
    '[[bracket]]\nmark = "P1"\nshape = "ear"\nthickness = 6\nwidth = 40\nheight = 65\nbolt = "M12"\nfit = "close"\n'
    'material = "S235"\nsits = { onto = "S2", turn = 90 }\n'
)


def test_an_ear_saddled_to_a_square_tube_is_set_out_on_it_where_a_mirror_puts_it() -> None:
    place = 'place = { against = "S2", at = 310, side = "top", stands_on = "foot", turn = 90 }\n'
    mirror = '[[mirror]]\nparts = ["S2", "P1"]\n'
    job = with_own_images(read_text(HEAD + BOX + EAR + place + mirror, Path("job.toml")))
    (piece,) = (piece for piece in all_pieces(job.definitions) if piece.mark == "P1")
    assert piece.flat_part is not None
    one, image = (each.set_out for each in piece.flat_part.places)
    assert one is not None
    assert image is not None
    assert (one.on, image.on, one.foot, image.foot) == ("S2", "S2-R", "foot", "foot")
    assert image.along == pytest.approx(one.along)
    assert image.across == pytest.approx(one.across)
    assert image.over == pytest.approx(one.over)


@pytest.mark.parametrize(
    ("over", "beside", "is_on"),
    [(0.0, 0.0, True), (0.495, 0.0, True), (0.505, 0.0, False), (-0.495, 0.0, True), (-0.505, 0.0, False),
     (-6.0, 0.0, False), (0.0, 40.0, False), (-30.0, 0.0, False)],
)  # fmt: skip
def test_a_saddled_ear_by_points_touches_with_the_middle_of_its_foot(over: float, beside: float, is_on: bool) -> None:
    at = f"[300, {300 + beside}, {over}]"
    found = set_out(EAR, f"{{ at = {at}, along = [0, 1, 0], up = [1, 0, 0] }}")
    assert (found is not None and found.on == "S2" and found.foot == "bottom edge of face ear") == is_on


def test_no_two_parts_are_set_out_on_one_another() -> None:
    """Of two plates by points that lie on one another the later is set out on the earlier; and what carries a part that
    is placed against it is not set out on that."""
    one = '[[plate]]\nmark = "P2"\nthickness = 4\nrectangle = [60, 30]\nplace = { at = [0, 2000, 0] }\n'
    other = one.replace("P2", "P3").replace("2000, 0]", "2000, 4]")
    for tables, on in ((one + other, {"P3": "P2"}), (other + one, {"P2": "P3"})):
        job = read_text(HEAD + TUBE + tables, Path("job.toml"))
        flats = {piece.mark: piece.flat_part for piece in all_pieces(job.definitions) if piece.flat_part is not None}
        found = {mark: part.places[0].set_out for mark, part in flats.items()}
        assert {mark: each.on for mark, each in found.items() if each is not None} == on
    against = other.split("place =")[0] + "place = { against = 'P2', at = [30, 15] }\n"
    for tables in (one + against, against + one):
        job = read_text(HEAD + TUBE + tables, Path("job.toml"))
        flats = {piece.mark: piece.flat_part for piece in all_pieces(job.definitions) if piece.flat_part is not None}
        found = {mark: part.places[0].set_out for mark, part in flats.items()}
        assert {mark: each.on for mark, each in found.items() if each is not None} == {"P3": "P2"}
