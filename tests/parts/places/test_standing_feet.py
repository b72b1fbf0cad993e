"""Ears, saddles and gussets placed against the tube that their foot is cut to: it sits on the skin, whatever the tube,
its side and the way round; and what does not fit is told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from random_seeds import first_seed, how_many

from fabgen.app.hands import with_own_images
from fabgen.app.work import built
from fabgen.geometry.space.frame import Array
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart, Piece, Place
from fabgen.parts.shape.bored.hole_ways import hole_ways
from fabgen.parts.shape.sheet_body import sheet_body

HEAD = '[job]\ntitle = "Feet"\nnumber = "F-1"\nunits = "mm"\n'
EAR = 'shape = "ear"\nthickness = 8\nwidth = 40\nheight = 75\ndiameter = 18\n'
SADDLE = 'shape = "saddle"\nthickness = 4\nlength = 90\nweb = 70\nheight = 60\n'
GUSSET = 'shape = "gusset"\nthickness = 4\nlegs = [110, 90]\nsnipe = 14\n'


def tube(section: str, route: str = "[[0, 0, 0], [1000, 0, 0]]", mark: str = "S1", more: str = "") -> str:
    return f'[[tube]]\nmark = "{mark}"\nsection = "{section}"\nroute = {route}\n{more}\n'


def bracket(keys: str, place: str, sits: str = '"S1"') -> str:
    return f'[[bracket]]\nmark = "B1"\nmaterial = "S235"\n{keys}sits = {sits}\nplace = {place}\n'


def pieces(*tables: str) -> dict[str, Piece]:
    job = read_text(HEAD + "".join(tables), Path("job.toml"))
    return {piece.mark: piece for piece in all_pieces(job.definitions)}


def faults(*tables: str) -> str:
    with pytest.raises(JobError) as caught:
        pieces(*tables)
    return str(caught.value)


def stood(made: dict[str, Piece], chord: float = 0.01) -> tuple[Place, Array]:
    """The bracket's place, and places on its metal's edges (n, 3) in the job."""
    part = made["B1"].flat_part
    assert part is not None
    (place,) = part.places
    body = sheet_body(part, chord)
    corners = body.vertices[body.triangles]
    share = np.linspace(0.0, 1.0, 9)[:, None, None, None]
    edges = corners + share * (np.roll(corners, 1, axis=1) - corners)
    return place, np.asarray(place.frame.outside(edges.reshape(-1, 3)))


def from_axis(made: dict[str, Piece], points: Array, mark: str = "S1") -> Array:
    shape = made[mark].shape
    assert isinstance(shape, LengthPart)
    assert shape.frame is not None
    away = points - shape.frame.origin
    return np.asarray(np.linalg.norm(away - np.outer(away @ shape.frame.x, shape.frame.x), axis=1))


@pytest.mark.parametrize("size", [38.0, 48.3, 60.3])
@pytest.mark.parametrize(("sits", "turn"), [('"S1"', 90), ('"S1"', -90), ('{ onto = "S1", turn = 0 }', 180)])
def test_an_ear_sits_on_the_skin_of_a_round_tube(size: float, sits: str, turn: int) -> None:
    made = pieces(
        tube(f"{size} x 3"),
        bracket(
            EAR.replace("40", "30"),
            f"{{ against = 'S1', at = 300, side = 'left', stands_on = 'foot', turn = {turn} }}",
            sits,
        ),
    )
    place, points = stood(made)
    assert from_axis(made, points).min() == pytest.approx(size / 2.0, abs=0.01)
    # The hole is 75 from the axis, over the left side, in the middle of the sheet.
    part = made["B1"].flat_part
    assert part is not None
    ((_, hole),) = part.numbered
    assert place.frame.outside(part.datums["ear" if "ear" in part.datums else ""].at(hole, 4.0)) == pytest.approx(
        [300.0, 75.0, 0.0]
    )
    assert place.foot == "foot"


@pytest.mark.parametrize(
    ("keys", "sits", "turn"),
    [
        (EAR, '"S1"', 90),
        (EAR, '{ onto = "S1", turn = 0 }', 180),
        (EAR + "holes = [{ at = [0, 35], diameter = 6 }]\n", '"S1"', 90),
    ],
)
def test_what_is_alike_both_ways_needs_no_turn(keys: str, sits: str, turn: int) -> None:
    """It stands as it does with either of the turns that fit."""
    place = "{ against = 'S1', at = 300, side = 'left', stands_on = 'foot'"
    found = []
    for more in ("", f", turn = {turn}", f", turn = {turn - 180}"):
        made = pieces(tube("48.3 x 3"), bracket(keys, f"{place}{more} }}", sits))
        corners, holes = stood(made, 0.5)[1], sorted(way.centre.round(3).tolist() for way in hole_ways(made["B1"]))
        found.append((*corners.min(axis=0), *corners.max(axis=0), *np.ravel(holes)))
    assert np.allclose(found[0], found[1], atol=5e-3)
    assert np.allclose(found[0], found[2], atol=5e-3)


def test_what_is_not_is_asked_for_it() -> None:
    place = "{ against = 'S1', at = 300, stands_on = 'foot' }"
    for keys in (EAR + "holes = [{ at = [10, 35], diameter = 6 }]\n", SADDLE):
        said = faults(tube("48.3 x 3"), bracket(keys, place))
        assert "its foot fits S1 two ways round, and it is not alike both ways" in said
        assert "turn = " in said


@pytest.mark.parametrize("turn", [0, 180])
def test_a_saddle_on_a_pipe_and_a_gusset_in_a_corner(turn: int) -> None:
    made = pieces(
        tube("48.3 x 3"),
        bracket(SADDLE, f"{{ against = 'S1', at = 400, side = 30, stands_on = 'foot', turn = {turn + 90} }}"),
    )
    _, points = stood(made)
    assert from_axis(made, points).min() == pytest.approx(24.15, abs=0.01)
    assert points[:, 0].min() + points[:, 0].max() == pytest.approx(800.0, abs=1e-6)
    corner = tube("42.4 x 3", "[[500, 0, 0], [500, 400, 0]]", "S2")
    place = f"{{ against = 'S1', near = [500, 0, 0], side = 'left', stands_on = 'foot', turn = {turn} }}"
    made = pieces(tube("48.3 x 3"), corner, bracket(GUSSET, place, '["S1", "S2"]'))
    _, points = stood(made)
    assert from_axis(made, points).min() == pytest.approx(24.15, abs=0.01)
    assert from_axis(made, points, "S2").min() == pytest.approx(21.2, abs=0.01)
    # By its other leg it stands in the same place: 60 from the inner corner, which lies on the first one's skin.
    side = "front" if turn == 0 else "back"
    other = (
        f"{{ against = 'S2', near = [500, 84.15, 0], of = [0, 60], side = '{side}', stands_on = 'foot', turn = 180 }}"
    )
    again = pieces(tube("48.3 x 3"), corner, bracket(GUSSET, other, '["S1", "S2"]'))
    assert np.allclose(stood(again)[1], points, atol=1e-6)


@pytest.mark.parametrize(("side", "roll", "out"), [("top", 0, 30.0), ("left", 90, 20.0)])
def test_a_foot_on_a_box_lies_as_its_section_does(side: str, roll: int, out: float) -> None:
    sits = f'{{ onto = "S1", roll = {roll} }}'
    made = pieces(
        tube("60 x 40 x 3"),
        bracket(
            EAR.replace("40", "24"),
            f"{{ against = 'S1', at = 300, side = '{side}', stands_on = 'foot', turn = 90 }}",
            sits,
        ),
    )
    _, points = stood(made)
    assert points[:, 2 if side == "top" else 1].min() == pytest.approx(out, abs=1e-6)
    told = faults(
        tube("60 x 40 x 3"),
        bracket(
            EAR.replace("40", "24"),
            f"{{ against = 'S1', at = 300, side = '{side}', stands_on = 'foot', turn = 90 }}",
            f'{{ onto = "S1", roll = {90 - roll} }}',
        ),
    )
    assert "does not lie so on that side of S1" in told


def test_it_follows_its_tube_along_and_another_point_may_lie_on_the_place() -> None:
    place = "{ against = 'S1', from = 'finish', at = 300, side = 'top', lies = 'back', stands_on = 'foot', turn = 90 }"
    _, points = stood(pieces(tube("48.3 x 3"), bracket(EAR, place)))
    assert sorted({float(points[:, 0].min().round(6)), float(points[:, 0].max().round(6))}) == [692.0, 700.0]


@pytest.mark.parametrize(
    ("place", "sits", "said"),
    [
        ("{ against = 'S1', at = 300, stands_on = 'foot', turn = 80 }", '"S1"', "turn = -90 or turn = 90"),
        ("{ against = 'S1', at = 300, stands_on = 'foot', turn = 90 }", '"60.3 x 3"', "the tube is 48.3 x 3"),
        ("{ against = 'S1', at = 300, offset = 5, stands_on = 'foot' }", '"S1"', "`offset` is a matter of `sits`"),
        ("{ against = 'P1', at = [50, 50], stands_on = 'foot', turn = 90 }", '"S1"', "that is no tube"),
        ("{ against = 'S1', at = 300 }", '"S1"', 'stands_on = "foot"; or lies = "back"'),
        ("{ against = 'S1', at = 300, stands_on = 'foot' }", '"flat"', "it has no foot that is cut to sit on a tube"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_told(place: str, sits: str, said: str) -> None:
    other = '[[plate]]\nmark = "P1"\nthickness = 8\nrectangle = [100, 100]\nplace = { at = [0, 500, 0] }\n'
    assert said in faults(tube("48.3 x 3"), other, bracket(EAR, place, sits))


def test_the_bend_of_a_tube_takes_no_foot() -> None:
    bent = tube("48.3 x 3", "[[0, 0, 0], [500, 0, 0], [500, 500, 0]]", more="bend_radius = 150")
    told = faults(
        bent, bracket(EAR, "{ against = 'S1', near = [460, 40, 0], side = 'top', stands_on = 'foot', turn = 90 }")
    )
    assert "the tube is bent there" in told
    _, points = stood(
        pieces(bent, bracket(EAR, "{ against = 'S1', at = 100, side = 'top', stands_on = 'foot', turn = 90 }"))
    )
    assert np.hypot(points[:, 1], points[:, 2]).min() == pytest.approx(24.15, abs=0.01)


def test_a_size_one_per_cent_inside_and_outside_what_a_foot_takes() -> None:
    place = "{ against = 'S1', at = 300, stands_on = 'foot', turn = 90 }"
    pieces(tube("48.3 x 3"), bracket(EAR, place, '"48.399 x 3"'))
    assert "the tube is" in faults(tube("48.3 x 3"), bracket(EAR, place, '"48.401 x 3"'))


def test_random_feet_on_random_tubes_touch_and_lie_in_nothing() -> None:
    for seed in range(first := first_seed(9300), first + how_many(200, 4)):
        rng = np.random.default_rng(seed)
        start, way = rng.uniform(-500, 500, 3).round(2), rng.normal(size=3)
        finish = (start + way / np.linalg.norm(way) * rng.uniform(300, 900)).round(2)
        size = round(rng.uniform(45.0, 90.0), 2)
        skew = int(rng.integers(20, 91))
        job = tube(f"{size} x 3", f"[{start.tolist()}, {finish.tolist()}]")
        sits = f'{{ onto = "S1", turn = {skew} }}'
        where = f"at = {rng.uniform(60, 240):.2f}, side = {rng.uniform(0, 360):.2f}"
        turn = -skew if seed % 2 else 180 - skew
        made = pieces(
            job,
            bracket(EAR.replace("40", "36"), f"{{ against = 'S1', {where}, stands_on = 'foot', turn = {turn} }}", sits),
        )
        _, points = stood(made)
        assert from_axis(made, points).min() == pytest.approx(size / 2.0, abs=0.02), seed


def test_a_skirt_stands_on_a_plate_with_either_end() -> None:
    plate = '[[plate]]\nmark = "P1"\nthickness = 8\nrectangle = [200, 200]\nplace = { at = [0, 0, 100] }\n'
    skirt = '[[cover]]\nmark = "C1"\nmaterial = "S235"\nshape = "skirt"\nthickness = 2\ndiameter = 150\nheight = 60\n'
    for end, side, low in (("bottom", "front", 108.0), ("top", "front", 108.0), ("top", "back", 40.0)):
        place = f'place = {{ against = "P1", at = [100, 100], side = "{side}", stands_on = "{end}" }}\n'
        part = pieces(plate, skirt + place)["C1"].flat_part
        assert part is not None
        points = part.places[0].frame.outside(sheet_body(part).vertices)
        assert points[:, 2].min() == pytest.approx(low)
        assert (part.places[0].frame.z[2] > 0.0) == ((end == "bottom") == (side == "front"))
        assert part.places[0].foot == end


@pytest.mark.parametrize("holes", ["", "holes = [{ at = [12, 50], diameter = 6 }]\n"])
def test_the_mirror_image_of_a_foot_stands_on_the_mirror_image_of_its_tube(holes: str) -> None:
    """A tube along x, mirrored, and one across the plane that is its own image, an ear and a gusset on them."""
    job = tube("48.3 x 3", "[[0, 300, 0], [900, 300, 0]]") + tube("42.4 x 3", "[[500, 300, 0], [500, -300, 0]]", "S2")
    ear = bracket(EAR + holes, "{ against = 'S1', at = 200, side = 'bottom', stands_on = 'foot', turn = 90 }")
    other = "{ against = 'S2', near = [500, 150, 0], side = 'top', stands_on = 'foot', turn = -90 }"
    job += ear + bracket(EAR + holes, other, '"S2"').replace('"B1"', '"B2"')
    corner = "{ against = 'S1', near = [500, 300, 0], side = 'right', stands_on = 'foot' }"
    job += bracket(GUSSET, corner, '["S1", "S2"]').replace('"B1"', '"B3"')
    job += '[[mirror]]\nparts = ["S1", "B1", "B2", "B3"]\n'
    made = built(with_own_images(read_text(HEAD + job, Path("job.toml"))))
    found = [
        np.asarray(place.frame.outside(sheet_body(part).vertices))
        for piece in made
        if (part := piece.flat_part) is not None
        for place in part.places
    ]
    assert len(found) == 6
    for points in found:
        image = points * np.array([1.0, -1.0, 1.0])
        apart = [np.linalg.norm(image[:, None] - each[None], axis=2).min(axis=1).max() for each in found]
        assert min(apart) < 1e-6
