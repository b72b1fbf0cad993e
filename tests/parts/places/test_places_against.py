"""Parts placed against tubes, profiles and other parts: on the skin, exactly; and every fault by its line."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_seeds import how_many

from fabgen.app.work import built
from fabgen.contact.contacts import Contacts
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.sheet_body import sheet_body

HEAD = '[job]\ntitle = "Places"\nnumber = "P-1"\nunits = "mm"\n'


def tube(section: str = "40 x 2", route: str = "[[0, 0, 0], [1000, 0, 0]]", mark: str = "S1", more: str = "") -> str:
    return f'[[tube]]\nmark = "{mark}"\nsection = "{section}"\nroute = {route}\n{more}\n'


def plate(place: str, mark: str = "P1", size: str = "[80, 30]", more: str = "") -> str:
    return f'[[plate]]\nmark = "{mark}"\nthickness = 4\nrectangle = {size}\nplace = {place}\n{more}\n'


def pieces(*tables: str) -> dict[str, Piece]:
    job = read_text(HEAD + "".join(tables), Path("job.toml"))
    return {piece.mark: piece for piece in all_pieces(job.definitions)}


def flat(piece: Piece) -> FlatPart:
    assert piece.flat_part is not None
    return piece.flat_part


def bodies(piece: Piece) -> list[EdgedMesh]:
    part = flat(piece)
    return [sheet_body(part, 0.005).in_frame(place.frame) for place in part.places]


def box(*tables: str, mark: str = "P1", number: int = 0) -> Array:
    return np.array(bodies(pieces(*tables)[mark])[number].bounds)


# -- which way ----------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("side", "numbers"), [("left", "[0, 1, 0]"), ("right", "[0, -1, 0]"), ("back", "[-1, 0, 0]"), ("top", "[0, 0, 1]")]
)
def test_a_side_of_the_job_is_a_way_as_three_numbers_are(side: str, numbers: str) -> None:
    by_name, by_numbers = (box(plate(f"{{ at = [10, 20, 30], along = {way} }}")) for way in (f'"{side}"', numbers))
    assert np.allclose(by_name, by_numbers)
    up, as_numbers = (
        box(plate(f'{{ at = [10, 20, 30], along = "front", up = {way} }}')) for way in ('"left"', "[0, 1, 0]")
    )
    assert np.allclose(up, as_numbers)


def test_a_point_that_is_called_like_a_side_is_the_point() -> None:
    points = "[points]\nleft = [500, 20, 30]\n"
    assert np.allclose(
        box(points + plate('{ at = [10, 20, 30], along = "left" }')), box(plate("{ at = [10, 20, 30] }"))
    )


def test_what_is_no_way_is_told_with_all_that_is_accepted() -> None:
    with pytest.raises(JobError) as fault:
        pieces(plate('{ at = [10, 20, 30], along = "lef" }'))
    (problem,) = fault.value.problems
    assert problem.nearest == "left"
    assert all(word in problem.accepted for word in ("top, bottom, left", "[0, 1, 0]", "[points]"))


# -- tubes ----------------------------------------------------------------------
@pytest.mark.parametrize("diameter", [40.0, 60.3])
def test_a_plate_lies_on_a_round_tube_and_moves_with_its_skin(diameter: float) -> None:
    """Its middle 300 from the start's saw cut, its back on the skin whatever the tube is."""
    found = box(tube(f"{diameter} x 2"), plate('{ against = "S1", at = 300, side = "top" }'))
    r = diameter / 2.0
    assert np.allclose(found, [[260, -15, r], [340, 15, r + 4]])


@pytest.mark.parametrize("diameter", [40.0, 60.3])
def test_a_gusset_stands_on_a_round_tube_by_its_edge(diameter: float) -> None:
    found = box(tube(f"{diameter} x 2"), plate('{ against = "S1", at = 300, side = "left", stands_on = "left" }'))
    r = diameter / 2.0
    assert np.allclose(found, [[285, r, -2], [315, r + 80, 2]])


def test_an_ear_beside_the_middle_comes_down_on_the_skin_there() -> None:
    """12 mm beside it, 4 thick: its inner skin, 10 from the middle, meets the tube first, at sqrt(20^2 - 10^2)."""
    found = box(tube(), plate('{ against = "S1", at = 300, side = "top", offset = 12, stands_on = "bottom" }'))
    low = math.sqrt(20.0**2 - 10.0**2)
    assert np.allclose(found, [[260, -14, low], [340, -10, low + 30]])


@pytest.mark.parametrize(("lies", "low", "high"), [("middle", -14, -10), ("back", -16, -12), ("front", -12, -8)])
def test_which_of_its_skins_stands_on_the_line(lies: str, low: float, high: float) -> None:
    place = '{ against = "S1", at = 300, side = "top", offset = 12, stands_on = "bottom"'
    found = box(tube("60 x 40 x 3"), plate(f'{place}, lies = "{lies}" }}'))
    assert np.allclose(found, [[260, low, 30], [340, high, 60]])


@pytest.mark.parametrize(
    ("side", "expected"),
    [
        ('"top"', [[260, -15, 30], [340, 15, 34]]),
        ('"bottom"', [[260, -15, -34], [340, 15, -30]]),
        ('"left"', [[260, 20, -15], [340, 24, 15]]),
        ('"right"', [[260, -24, -15], [340, -20, 15]]),
        ("90", [[260, -24, -15], [340, -20, 15]]),
        ('"270 deg"', [[260, 20, -15], [340, 24, 15]]),
    ],
)
def test_the_sides_of_a_rectangular_tube(side: str, expected: list[list[float]]) -> None:
    found = box(tube("60 x 40 x 3", more="turn = 0"), plate(f'{{ against = "S1", at = 300, side = {side} }}'))
    assert np.allclose(found, expected)


def test_from_the_finish_near_a_point_toward_one_and_turned() -> None:
    far = box(tube(), plate('{ against = "S1", from = "finish", at = 300, toward = [700, 0, -500], turn = 90 }'))
    assert np.allclose(far, [[685, -40, -24], [715, 40, -20]])
    assert np.allclose(far, box(tube(), plate('{ against = "S1", near = [700, 9, 99], side = 180, turn = 90 }')))


def test_its_own_point_its_front_on_the_skin_and_its_right_along_a_way() -> None:
    place = '{ against = "S1", at = 300, of = [80, 0], lies = "front", along = [-1, 0, 0.3] }'
    found = bodies(pieces(tube(), plate(place))["P1"])[0]
    assert np.allclose(found.bounds, [[300, 0, 20], [380, 30, 24]])


def test_a_hole_stands_at_the_distance() -> None:
    holes = "holes = [{ at = [60, 15], diameter = 9 }]"
    place = '{ against = "S1", at = 300, hole = 1, stands_on = "bottom" }'
    assert np.allclose(box(tube(), plate(place, more=holes)), [[240, -2, 20], [320, 2, 50]])


def test_a_bent_tube_in_its_bend() -> None:
    """90 degrees to the left of 100 mm radius; half-way round its outside is 120 from the bend's middle."""
    bent = tube(route="[[0, 0, 0], [500, 0, 0], [500, 500, 0]]", more="bend_radius = 100")
    along = 400.0 + 100.0 * math.pi / 4.0
    out = np.array([math.sqrt(0.5), -math.sqrt(0.5), 0.0])
    made = pieces(bent, plate(f'{{ against = "S1", at = {along}, toward = [900, -400, 0] }}'))["P1"]
    frame = flat(made).places[0].frame
    assert np.allclose(frame.outside(np.array([40.0, 15.0, 0.0])), np.array([400.0, 100.0, 0.0]) + 120.0 * out)
    assert np.allclose(frame.z, out)
    assert np.allclose(frame.x, [math.sqrt(0.5), math.sqrt(0.5), 0.0])
    with pytest.raises(JobError, match="inside of a bend of S1"):
        pieces(bent, plate(f'{{ against = "S1", at = {along}, toward = [0, 500, 0] }}'))
    across = f'{{ against = "S1", at = {along}, toward = [0, 500, 0], turn = 90, stands_on = "bottom" }}'
    frame = flat(pieces(bent, plate(across))["P1"]).places[0].frame
    assert np.allclose(frame.outside(np.array([40.0, 0.0, 2.0])), np.array([400.0, 100.0, 0.0]) + 80.0 * out)


# -- profiles ----------------------------------------------------------------------
ANGLE = (
    '[[profile]]\nmark = "A1"\nsection = "angle 50 x 30 x 4"\nroute = [[0, 0, 0], [600, 0, 0]]\n'
    'legs = ["top", "left"]\n'
)


@pytest.mark.parametrize(
    ("where", "expected"),
    [
        ('side = "leg b outside"', [[60, 0, -4], [140, 30, 0]]),
        ('side = "bottom"', [[60, 0, -4], [140, 30, 0]]),
        ('side = "leg a outside", gauge = 30', [[60, -4, 15], [140, 0, 45]]),
        ('side = "leg a inside", gauge = 30', [[60, 4, 15], [140, 8, 45]]),
        ('side = "right", offset = 3', [[60, -4, 13], [140, 0, 43]]),
    ],
)
def test_legs_of_an_angle_outside_and_inside(where: str, expected: list[list[float]]) -> None:
    found = box(ANGLE, plate(f'{{ against = "A1", at = 100, {where} }}'))
    if "offset" in where:  # clockwise seen from the start: on the right-hand side that is down
        assert np.allclose(found, [[60, -4, 25 - 3 - 15], [140, 0, 25 - 3 + 15]])
    else:
        assert np.allclose(found, expected)


@pytest.mark.parametrize("height", [60, 62])
def test_a_plate_lies_on_the_toe_of_a_t(height: int) -> None:
    """As sold its stem tapers, of a size of its own it does not; the flange on top, the toe looks down, and is no face
    of the stem, from whose end a gauge counts."""
    lies = ANGLE.replace('legs = ["top", "left"]', 'flange = "top"')
    section = lies.replace("angle 50 x 30 x 4", f"T {height} x 60 x 7")
    plates = plate('{ against = "A1", at = 100, side = "bottom" }')
    made = pieces(section, plates)["P1"]
    assert np.allclose(bodies(made)[0].bounds, [[60, -15, -height - 4], [140, 15, -height]])
    set_out = flat(made).places[0].set_out
    assert set_out is not None
    assert (set_out.face, set_out.datum, set_out.across) == ("stem toe", "the middle", pytest.approx((-15, 15)))
    with pytest.raises(JobError, match="has no gauge line"):
        pieces(section, plates.replace('"bottom"', '"stem toe", gauge = 20'))


# -- sheet parts -------------------------------------------------------------------
BRACKET = (
    '[[bracket]]\nmark = "B1"\nshape = "angle"\nthickness = 4\nradius = 4\nlength = 80\nlegs = [50, 30]\n'
    'holes = [{ at = [20, 18], diameter = 9, face = "b" }, { at = [60, 30], diameter = 11, face = "a" }]\n'
)


def test_a_plate_on_a_plate_on_its_front_its_back_and_at_its_hole() -> None:
    base = plate("{ at = [0, 0, 100] }", "P2", "[200, 100]", "holes = [{ at = [150, 40], diameter = 9 }]")
    on = '{ against = "P2", at = [50, 50], of = [0, 0] }'
    assert np.allclose(box(base, plate(on)), [[50, 50, 104], [130, 80, 108]])
    under = '{ against = "P2", at = [50, 50], of = [0, 0], side = "back" }'
    assert np.allclose(box(base, plate(under)), [[50, 20, 96], [130, 50, 100]])
    at_hole = '{ against = "P2", against_hole = 1, turn = -90 }'
    assert np.allclose(box(base, plate(at_hole)), [[135, 0, 104], [165, 80, 108]])
    near = '{ against = "P2", near = [150, 40, 0], toward = [0, 0, 0], stands_on = "left" }'
    assert np.allclose(box(base, plate(near)), [[135, 38, 20], [165, 42, 100]])


def test_a_chain_is_placed_in_order_and_follows_the_tube() -> None:
    """A plate on the leg of a bracket on a plate on a tube, listed the other way round."""
    for size in (40.0, 50.0):
        found = box(
            plate('{ against = "B1", against_face = "b", against_hole = 1 }'),
            BRACKET + 'place = { against = "P2", at = [100, 50] }\n',
            plate('{ against = "S1", at = 500 }', "P2", "[200, 100]"),
            tube(f"{size} x 2"),
        )
        # The hole in leg b, given from the bracket's outside corner, is 18 over the plate's front.
        assert np.allclose(found.mean(axis=0)[2], size / 2.0 + 4.0 + 18.0)


def test_a_bracket_lies_outside_to_outside_on_the_place() -> None:
    found = box(tube("60 x 40 x 3", more="turn = 0"), BRACKET + 'place = { against = "S1", at = 300 }\n', mark="B1")
    assert np.allclose(found, [[260, -25, 30], [340, 25, 60]])


def test_between_two_points() -> None:
    assert np.allclose(box(plate("{ between = [[0, 0, 0], [0, 200, 0]] }")), [[-15, 60, 0], [15, 140, 4]])
    at = '{ between = [[0, 0, 0], [0, 200, 0]], at = 50, lies = "front", up = [0, 0, -1] }'
    assert np.allclose(box(plate(at)), [[-15, 10, 0], [15, 90, 4]])


def test_several_places_and_what_stands_against_the_second() -> None:
    twice = plate('[{ against = "S1", at = 100 }, { against = "S1", at = 800 }]', "P2", more="quantity = 2")
    found = box(tube(), twice, plate('{ against = "P2", against_place = 2, at = [40, 15] }'))
    assert np.allclose(found, [[760, -15, 24], [840, 15, 28]])


# -- the other way round: tubes that are cut to what is placed ------------------------------
def test_a_tube_is_sawn_to_a_plate_placed_on_another_and_a_third_part_counts_from_that_cut() -> None:
    post = tube("30 x 2", "[[500, 0, 0], [500, 0, 400]]", "S2")
    base = plate('{ against = "S1", at = 500 }', "P2", "[100, 100]")
    found = box(tube("60 x 60 x 3"), base, post, plate('{ against = "S2", at = 100, side = "front" }'))
    assert found.mean(axis=0)[2] == pytest.approx(30.0 + 4.0 + 100.0)


# -- repeats -------------------------------------------------------------------------
def test_a_repeat_places_copies_against_the_copies() -> None:
    turned = '[[repeat]]\nparts = ["S1", "P1"]\ncount = 2\nstep = [0, 300, 0]\n'
    made = bodies(pieces(tube(), plate('{ against = "S1", at = 300, side = "left" }'), turned)["P1"])
    assert np.allclose(np.array(made[1].bounds) - made[0].bounds, [0, 300, 0])
    with pytest.raises(JobError, match="P1 is placed against S1, of which this repeat makes no copy"):
        pieces(tube(), plate('{ against = "S1", at = 300 }'), turned.replace('"S1", ', ""))


ROW = '[[repeat]]\nparts = ["P1"]\ncount = 3\nstep = {}\n'


@pytest.mark.parametrize(
    ("route", "at", "step", "places"),
    [
        ("[[0, 0, 0], [1000, 0, 0]]", "at = 300", "[150, 0, 0]", ["at = 300", "at = 450", "at = 600"]),
        ("[[0, 0, 0], [1000, 0, 0]]", 'at = 300, side = "left"', "[-100, 0, 0]",
         [f'at = {at}, side = "left"' for at in (300, 200, 100)]),
        ("[[0, 0, 0], [1000, 0, 0]]", 'at = 300, from = "finish"', "[-100, 0, 0]",
         [f'at = {at}, from = "finish"' for at in (300, 400, 500)]),
        ("[[0, 0, 0], [600, 0, 800]]", 'at = "10 cm"', "[60, 0, 80]", ["at = 100", "at = 200", "at = 300"]),
        ("[[0, 0, 0], [1000, 0, 0]]", "near = [200, 90, 0]", "[150, 0, 0]",
         [f"near = [{x}, 90, 0]" for x in (200, 350, 500)]),
    ],
)  # fmt: skip
def test_a_row_along_one_tube(route: str, at: str, step: str, places: list[str]) -> None:
    """Each copy on the tube of the first, as a list of places has it."""
    on = '{{ against = "S1", stands_on = "bottom", {} }}'
    row = pieces(tube(route=route), plate(on.format(at)), ROW.format(step))["P1"]
    listed = ", ".join(on.format(each) for each in places)
    wanted = pieces(tube(route=route), plate(f"[{listed}]", more="quantity = 3"))["P1"]
    assert row.quantity == 3
    for made, by_hand in zip(bodies(row), bodies(wanted), strict=True):
        assert np.allclose(made.bounds, by_hand.bounds, atol=1e-6)


def test_a_row_along_one_tube_in_inches() -> None:
    text = (
        '[job]\ntitle = "t"\nnumber = "1"\nunits = "in"\n[[tube]]\nmark = "S1"\nsection = "2 x 0.12"\n'
        'route = [[0, 0, 0], [40, 0, 0]]\n[[plate]]\nmark = "P1"\nthickness = 0.25\nrectangle = [2, 1]\n'
        'place = { against = "S1", at = "4 1/2 in" }\n' + ROW.format('["3 in", 0, 0]')
    )
    (made,) = (each for each in all_pieces(read_text(text).definitions) if each.mark == "P1")
    part = made.flat_part
    assert part is not None
    assert [each.set_out.middle for each in part.places if each.set_out] == pytest.approx([114.3, 190.5, 266.7])


@pytest.mark.parametrize(
    ("route", "more", "step", "said"),
    [
        ("[[0, 0, 0], [1000, 0, 0]]", "", "[0, 150, 0]", "of which this repeat makes no copy"),  # off the tube
        ("[[0, 0, 0], [1000, 0, 0]]", "", "[150, 1, 0]", "of which this repeat makes no copy"),  # askew
        ("[[0, 0, 0], [1000, 0, 0]]", "", "[400, 0, 0]", "this place lies off S1"),  # past its end
        ("[[0, 0, 0], [600, 0, 0], [600, 600, 0]]", "bend_radius = 150", "[100, 0, 0]", "makes no copy"),  # it bends
    ],
)
def test_a_row_that_leaves_its_tube(route: str, more: str, step: str, said: str) -> None:
    with pytest.raises(JobError, match=said):
        pieces(tube(route=route, more=more), plate('{ against = "S1", at = 300 }'), ROW.format(step))


# -- faults --------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("place", "key", "said"),
    [
        ('{ against = "S2", at = 1 }', "against", 'there is no part "S2"'),
        ('{ against = "P1", at = 1 }', "against", "P1 cannot stand against itself"),
        ('{ against = "S1", at = 1001 }', "at", "this place lies off S1, 1 mm past its finish"),
        ('{ against = "S1", from = "finish", at = -3 }', "at", "3 mm past its finish"),
        ('{ against = "S1", at = 10, side = "tpo" }', "side", "nearest: top"),
        ('{ against = "S1", at = 10, side = "front" }', "side", "its front looks along this tube"),
        ('{ against = "S1", at = 10, offset = 25, stands_on = "left" }', "offset", "off the skin of S1"),
        ('{ against = "S1", at = [10, 20] }', "at", "`at` is a length along it"),
        ('{ against = "S1", at = [10, 20, 30] }', "at", "near = a point"),
        ('{ against = "S1" }', "place", "does not say where on it"),
        ('{ against = "S1", at = 10, near = [0, 0, 0] }', "place", "only one of them may be given"),
        ('{ against = "S1", at = 10, gauge = 5 }', "gauge", "S1 is a tube: gauge has no meaning"),
        ('{ against = "S1", at = 10, up = [0, 0, 1] }', "up", "the skin says it"),
        ('{ against = "S1", at = 10, along = [0, 0, 1] }', "along", "looks square to the skin"),
        ('{ against = "S1", at = 10, lies = "middle" }', "lies", "half sunk"),
        ('{ against = "S1", at = 10, face = "a" }', "face", 'the part has no face "a"'),
        ('{ against = "A1", at = 10, side = "leg c" }', "side", "leg a outside"),
        ('{ against = "A1", at = 10, side = "front" }', "side", "no face of A1 looks that way"),
        ('{ against = "A1", at = 10, side = 90 }', "side", "no TOP to count degrees from"),
        ('{ against = "A1", at = 10, side = "bottom", offset = 16 }', "offset", "1 mm off the face"),
        ('{ against = "P2", at = [201, 10] }', "at", "lies off the metal of P2"),
        ('{ against = "P2", at = 10 }', "at", "at = [u, v]"),
        ('{ against = "P2", against_hole = 1 }', "against_hole", "P2 has no hole 1"),
        ('{ against = "P2", at = [1, 1], against_place = 2 }', "against_place", "P2 stands in 1 place, not in 2"),
        ('{ against = "P2", at = [1, 1], side = "top" }', "side", '"front" or "back"'),
        ('{ against = "P3", at = [1, 1] }', "against", "P3 has no place itself"),
        ('{ at = "300 mm" }', "at", ""),
        ("{ at = 300 }", "at", "is no point, and the place is not against anything"),
        ('{ at = [0, 0, 0], side = "front" }', "side", 'lies = "front"'),
        ('{ at = [0, 0, 0], stands_on = "left" }', "stands_on", "goes with against"),
        ("{ along = [1, 0, 0] }", "place", "neither `against` nor `between` nor `at`"),
    ],
)
def test_every_fault_by_its_line(place: str, key: str, said: str) -> None:
    loose = plate("", "P3").replace("place = \n", "")
    text = HEAD + tube() + ANGLE + plate("{ at = [0, 0, 100] }", "P2", "[200, 100]") + loose + plate(place)
    with pytest.raises(JobError) as caught:
        built(read_text(text, Path("job.toml")))
    line = 1 + text[: text.index(f"place = {place}")].count("\n")
    (problem,) = caught.value.problems
    assert problem.line == line
    assert f"key {key}" in problem.where or key == "place"
    assert said in str(caught.value)


def test_a_circle_is_told() -> None:
    with pytest.raises(JobError, match="in a circle: P1 against P2, P2 against P3, P3 against P1") as caught:
        pieces(*(plate(f'{{ against = "{other}", at = [1, 1] }}', mark)
                 for mark, other in (("P1", "P2"), ("P2", "P3"), ("P3", "P1"))))  # fmt: skip
    assert len(caught.value.problems) == 1


def mitred(at: float) -> str:
    corner = tube("60 x 40 x 3", "[[0, 0, 0], [0, 500, 0]]", "S2", 'turn = 0\nstart = { cut = "mitre" }')
    return "".join((
        tube("60 x 40 x 3", more='turn = 0\nstart = { cut = "mitre" }'),
        corner,
        plate(f'{{ against = "S1", at = {at}, side = "left" }}'),
    ))  # fmt: skip


def test_a_place_where_the_end_is_cut_away() -> None:
    """Mitred at 45 degrees the tube is 40 shorter on its inner side: 1 % less is refused, 1 % more is not."""
    with pytest.raises(JobError, match="S1 is cut back 40 mm on that side of its start"):
        pieces(mitred(39.6))
    assert "P1" in pieces(mitred(40.4))


@pytest.mark.parametrize(("at", "fits"), [(990.0, True), (1010.0, False)])
def test_the_end_of_a_tube_one_per_cent_inside_and_outside(at: float, fits: bool) -> None:
    if fits:
        assert "P1" in pieces(tube(), plate(f'{{ against = "S1", at = {at} }}'))
    else:
        with pytest.raises(JobError, match="10 mm past its finish"):
            pieces(tube(), plate(f'{{ against = "S1", at = {at} }}'))


# -- random places against points worked out by hand ------------------------------------------
def turned(way: Array, about: Array, by: float) -> Array:
    """Rodrigues: a direction turned about a unit axis, rad."""
    return way * math.cos(by) + np.cross(about, way) * math.sin(by) + about * float(about @ way) * (1.0 - math.cos(by))


class Hand:
    """A place worked out from its keys alone."""

    def __init__(self, route: tuple[Array, Array], at: float, degrees: float, half: float, turn: float) -> None:
        run = (route[1] - route[0]) / np.linalg.norm(route[1] - route[0])
        lift = np.array([0.0, 0.0, 1.0]) if math.hypot(run[0], run[1]) > 1e-6 else np.array([1.0, 0.0, 0.0])
        top = lift - (lift @ run) * run
        self.out = turned(top / np.linalg.norm(top), run, math.radians(degrees))
        self.beside = turned(self.out, run, math.pi / 2.0)
        self.skin = route[0] + at * run + half * self.out
        self.along = turned(run, self.out, -math.radians(turn))


@settings(max_examples=how_many(200, 25), deadline=None)
@given(
    st.tuples(*[st.integers(-500, 500)] * 3),
    st.tuples(*[st.integers(-500, 500)] * 3).filter(lambda way: np.linalg.norm(way) > 50.0),
    st.floats(0.0, 1.0),
    st.floats(-360.0, 360.0),
    st.floats(-360.0, 360.0),
    st.floats(-15.0, 15.0),
    st.tuples(st.floats(0.0, 80.0), st.floats(0.0, 30.0)),
    st.floats(25.0, 120.0),
    st.sampled_from(["", "bottom", "top", "left", "right"]),
)
def test_random_places_stand_where_points_by_hand_say(
    start: tuple[int, ...], way: tuple[int, ...], share: float, degrees: float, turn: float, offset: float,
    of: tuple[float, float], diameter: float, stands_on: str,
) -> None:  # fmt: skip
    """Against a round tube: of a part that lies its point and two more; of one that stands both ends of its foot."""
    if abs(offset) > diameter / 2.0 - 0.5:
        offset /= 2.0
    route = np.array(start, dtype=float), np.array(start, dtype=float) + np.array(way)
    at = share * float(np.linalg.norm(way))
    hand = Hand(route, at, degrees, diameter / 2.0, turn)
    place = f'against = "S1", at = {at!r}, side = {degrees!r}, turn = {turn!r}, offset = {offset!r}, of = {list(of)}'
    place += f', stands_on = "{stands_on}"' if stands_on else ""
    made = pieces(
        tube(f"{diameter!r} x 2", str([each.tolist() for each in route])), plate(f"{{ {place} }}", size="[80, 30]")
    )["P1"]
    frame = flat(made).places[0].frame

    def stood(u: float, v: float, height: float) -> Array:
        return frame.outside(np.array([u, v, height]))

    middle = hand.skin + offset * hand.beside
    if not stands_on:
        assert np.allclose(stood(*of, 0.0), middle, atol=1e-6)
        assert np.allclose(stood(of[0] + 1.0, of[1], 0.0), middle + hand.along, atol=1e-6)
        assert np.allclose(stood(*of, 4.0), middle + 4.0 * hand.out, atol=1e-6)
        return
    one, other, share = {
        "bottom": ((0, 0), (80, 0), of[0] / 80.0),
        "top": ((80, 30), (0, 30), 1.0 - of[0] / 80.0),
        "left": ((0, 30), (0, 0), 1.0 - of[1] / 30.0),
        "right": ((80, 0), (80, 30), of[1] / 30.0),
    }[stands_on]
    one, other = np.array(one, dtype=float), np.array(other, dtype=float)
    own = one + share * (other - one)
    long = float(np.linalg.norm(other - one))
    ahead = np.linalg.norm(other - own)
    foot = [
        s * float(hand.along @ hand.beside) + t * float(np.cross(hand.along, hand.out) @ hand.beside) + offset
        for s in (ahead - long, ahead)
        for t in (-2.0, 2.0)
    ]
    past = max(0.0, min(foot), -max(foot))
    r = diameter / 2.0
    touching = middle - (r - math.sqrt(r * r - past * past)) * hand.out
    assert np.allclose(stood(*own, 2.0), touching, atol=1e-6)
    assert np.allclose(stood(*other, 2.0), touching + ahead * hand.along, atol=1e-6)
    inward = frame.outside(np.array([40.0, 15.0, 2.0])) - (stood(*one, 2.0) + stood(*other, 2.0)) / 2.0
    assert np.allclose(inward / np.linalg.norm(inward), hand.out, atol=1e-6)


def test_the_frame_is_right_handed() -> None:
    for edge in ("bottom", "top", "left", "right"):
        made = pieces(tube(), plate(f'{{ against = "S1", at = 300, stands_on = "{edge}" }}'))["P1"]
        frame: Frame = flat(made).places[0].frame
        assert np.allclose(np.cross(frame.x, frame.y), frame.z)


# -- bent bars ------------------------------------------------------------------------------
HOOK = '[[bar]]\nmark = "H1"\ndiameter = 8\nlegs = [60, 40]\nbends = [90]\nradius = 12\nquantity = 2\n'


def test_a_hook_lies_on_a_tube_with_its_side() -> None:
    """Its first leg along the tube, from the place on; its second turned left of that, seen from outside."""
    for size in (40.0, 60.0):
        places = 'place = [{ against = "S1", at = 300 }, { against = "S1", at = 500, turn = -90 }]\n'
        part = pieces(tube(f"{size} x 2"), HOOK + places)["H1"].length_part
        assert part is not None
        assert part.path is not None
        assert np.allclose(part.path.start.origin, [300, 0, size / 2.0 + 4.0])
        assert np.allclose(part.path.finish.origin, [376, 56, size / 2.0 + 4.0])
        (other,) = part.also
        assert np.allclose(other.origin, [500, 0, size / 2.0 + 4.0])
        assert np.allclose(other.x, [0, 1, 0])


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ('{ against = "S1", at = 300, stands_on = "left" }', "no straight edge"),
        ('{ against = "S1", at = 300, hole = 1 }', "there is no hole 1"),
        ('{ against = "S9", at = 300 }', 'there is no part "S9"'),
    ],
)
def test_faults_of_placed_bars(place: str, said: str) -> None:
    with pytest.raises(JobError, match=re.escape(said)):
        pieces(tube(), HOOK + f"place = {place}\n")


# -- held against solids ----------------------------------------------------------------------
@pytest.mark.parametrize(
    "place",
    [
        '{ against = "S1", at = 300, side = 70 }',
        '{ against = "S1", at = 300, side = 70, stands_on = "left", offset = 14, turn = 20 }',
        '{ against = "S2", at = 300, side = "left", turn = 30, lies = "front" }',
        '{ against = "A1", at = 300, side = "leg a inside", stands_on = "bottom" }',
        '{ against = "P2", at = [60, 20], side = "back", stands_on = "top" }',
    ],
)
def test_what_stands_against_something_touches_it_and_lies_in_nothing(place: str) -> None:
    """By solids cut and measured by another library."""
    tables = tube() + tube("60 x 40 x 3", "[[0, 500, 0], [900, 500, 90]]", "S2") + ANGLE.replace("0, 0, 0", "0, 900, 0")
    tables = tables.replace("600, 0, 0", "600, 900, 0") + plate("{ at = [0, 1300, 0] }", "P2", "[200, 100]")
    job = read_text(HEAD + tables + plate(place), Path("job.toml"))
    contacts = Contacts(job.definitions, all_pieces(job.definitions))
    (stood,) = [solid for solid in contacts.solids if solid.mark == "P1"]
    assert contacts.into == []
    nearest = contacts.nearest(stood)
    assert nearest is not None
    assert nearest[0] < 0.1
