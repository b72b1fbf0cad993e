"""Straps round rectangular things, and straps that stand along a tube: sizes by hand, the made body against the thing
itself as a solid with rounded corners (shapely)."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from faulty_straps import BOLTED, SQUARE, strap_job
from jobs import read
from random_seeds import first_seed, how_many

from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Band, FlatPart, Piece
from fabgen.parts.shape.band_body import on_band
from fabgen.parts.shape.sheet_body import sheet_body


def made(keys: str, before: str = "") -> Piece:
    return next(piece for piece in all_pieces(read(strap_job(keys, before))) if piece.mark == "S1")


def parts(keys: str, before: str = "") -> tuple[FlatPart, Band]:
    part = made(keys, before).flat_part
    assert part is not None
    assert part.band is not None
    return part, part.band


def test_length_of_a_band_by_hand() -> None:
    """Inside 100 x 60 with corners of 8, t = 4, ears of 40 with bends of 6, gap 4; K given as 0.4, so that a right
    angle takes pi/2 (R + 1.6)."""
    part, _ = parts(BOLTED + "round = [100, 60]\ncorner = 8\nradius = 6\nsqueeze = 4\nk = 0.4\nrubber = 8")
    # With 8 of rubber the corners lie on it: clear inside 116 x 76.
    top = 58 - 8 - (2 + 4 + 6)
    straights = 2 * 40 + 2 * top + 2 * (76 - 16) + (116 - 16)
    corners, ears = 4 * math.pi / 2 * (8 + 1.6), 2 * math.pi / 2 * (6 + 1.6)
    assert part.size[0] == pytest.approx(straights + corners + ears)
    assert [bend.name for bend in part.bends] == ["ear 1", "corner 1", "corner 2", "corner 3", "corner 4", "ear 2"]


@pytest.mark.parametrize("shape", ["band", "half band", "saddle"])
@pytest.mark.parametrize("seed", range(first_seed(1341), first_seed(1341) + how_many(100, 8)))
def test_the_made_strap_lies_on_what_it_goes_round(shape: str, seed: int) -> None:
    """The strap's inner skin stands nowhere in the rubber round the thing, and touches it where it should."""
    random = np.random.default_rng(seed)
    across, up, rubber = random.uniform(80, 250), random.uniform(80, 250), random.choice([0.0, 3.0])
    corner, radius = random.uniform(4.5, 14), random.uniform(4.5, 9)
    keys = f"round = [{across}, {up}]\nrubber = {rubber}\ncorner = {corner}\nradius = {radius}"
    part, band = parts(BOLTED + keys + f'\nshape = "{shape}"\nquantity = 2')
    thing = shapely.box(-across / 2, -up / 2, across / 2, up / 2).buffer(rubber, quad_segs=64)
    body = sheet_body(part, 0.01).vertices[:, :2]
    frames = [band.path.frame_at(s) for s in band.path.stations(math.radians(0.5))]
    skin = shapely.LineString([(f.origin + part.thickness / 2.0 * f.z)[:2] for f in frames])
    within = shapely.contains_properly(thing.buffer(-0.02), shapely.points(body))
    if shape == "saddle":  # its ears lie where the thing itself lies, beside its rubber
        within &= body[:, 1] < up / 2 - band.gap - 20
    assert not within.any()
    assert shapely.distance(thing, skin) < 0.02
    low = body[:, 1].min()
    assert band.box is not None
    assert -low == pytest.approx(up / 2 + rubber + band.box.off + part.thickness, abs=1e-6)
    # A rounder corner than that of the rubber, by e, stands e (1 - 1/sqrt 2) off the faces.
    assert band.box.off == pytest.approx(max(0.0, corner - rubber) * (1 - math.sqrt(0.5)))
    assert np.ptp(sheet_body(part, 0.01).vertices[:, 2]) == pytest.approx(40.0)


def ears(keys: str, before: str = "") -> np.ndarray:
    """Middles of the two ears' holes in the made strap, (2, 3)."""
    part, band = parts(keys, before)
    middles = [((h.shape.bounds[0] + h.shape.bounds[2]) / 2.0, part.size[1] / 2.0) for h in part.holes[:2]]
    return on_band(part, band, np.array(middles), 0.0)


def test_where_the_ears_are() -> None:
    sizes = BOLTED + "round = [100, 60]\nrubber = 3\ncorner = 3\nradius = 5\nsqueeze = 4\n"
    band = ears(sizes)
    # Ears of 40 stand up from bends of 5 on the strap's 4: 30 + 3 + 4 + 5, and half of 40.
    assert sorted(band[:, 0]) == pytest.approx([-4.0, 4.0])
    assert band[:, 1] == pytest.approx([62.0, 62.0])
    half = ears(sizes + 'shape = "half band"\nquantity = 2')
    assert half[:, 1] == pytest.approx([-4.0, -4.0])
    assert sorted(half[:, 0]) == pytest.approx([-82.0, 82.0])  # 50 + 3 + 4 + 5, and 20
    saddle = ears(sizes + 'shape = "saddle"')
    assert saddle[:, 1] == pytest.approx([30.0 - 4.0 - 2.0] * 2)  # the gap above what the thing lies on


def test_a_tube_gives_its_own_corners_and_sizes() -> None:
    _, band = parts(BOLTED + 'shape = "saddle"', SQUARE)
    assert band.box is not None
    assert band.box.thing == (40.0, 60.0)  # the first figure stands upright
    assert band.box.corner == 6.0  # 2 x 3 by EN 10219-2, which is more than the usual bend
    assert band.box.off == 0.0


@pytest.mark.parametrize(("turn", "thing"), [(0, (40.0, 60.0)), (90, (60.0, 40.0))])
def test_along_a_tube_it_goes_by_the_way_the_tube_lies(turn: int, thing: tuple[float, float]) -> None:
    part, band = parts(BOLTED + "at = 250", SQUARE.replace("turn = 0", f"turn = {turn}"))
    assert band.box is not None
    assert band.box.thing == thing
    (place,) = part.places
    assert place.frame.origin == pytest.approx([250.0, 0.0, 0.0])
    assert place.frame.y == pytest.approx([0.0, 0.0, 1.0])  # its ears up


def test_several_places_are_so_many_and_halves_come_in_pairs() -> None:
    assert made(BOLTED + "at = [100, 300, 500]", SQUARE).quantity == 3
    assert made(BOLTED + "at = [100, 300, 500]\nquantity = 5", SQUARE).quantity == 5
    pair = made(BOLTED + 'at = 300\nshape = "half band"\nears_to = "left"', SQUARE)
    part = pair.flat_part
    assert part is not None
    assert pair.quantity == 2
    assert [list(np.round(place.frame.y, 9)) for place in part.places] == [[0, 1, 0], [0, -1, 0]]


def test_along_a_bent_tube() -> None:
    bent = SQUARE.replace("60 x 40 x 3", "60.3 x 3.2").replace("turn = 0\n", "bend_radius = 200\n")
    bent = bent.replace("[900, 0, 0]]", "[600, 0, 0], [600, 600, 0]]")
    part, _ = parts(BOLTED + "at = 1000", bent)
    # 400 straight, a quarter of a ring of 200, the rest along y: 1000 - 400 - 314.16 past (600, 200).
    (place,) = part.places
    assert place.frame.origin == pytest.approx([600.0, 200.0 + 600.0 - 100.0 * math.pi, 0.0])
    assert abs(place.frame.z) == pytest.approx([0.0, 1.0, 0.0])


@pytest.mark.parametrize(
    ("keys", "before", "said"),
    [
        ("at = 950", SQUARE, "its tube is 900.0 mm long"),
        ('at = 450\nears_to = "front"', SQUARE, "the tube runs toward front there"),
        (
            "at = 450",
            SQUARE.replace("[900, 0, 0]", "[0, 0, 900]"),
            "key at: the tube runs toward top there, which is `ears_to`",
        ),
        ("at = 450\nround = 60", SQUARE, "needs the tube that it is along"),
        ("at = 450\nplace = { at = [450, 0, 0] }", SQUARE, "both say where it stands"),
        ("at = [100, 200]\nquantity = 1", SQUARE, "1 made, and `at` stands 2"),
        ('ears_to = "left"', SQUARE, "ears_to has no meaning"),
        ('shape = "arc"\narc = 90', SQUARE, "what it goes round has corners"),
        ("corner = 5\nround = 60", "", "is round and has no corners"),
        ("corner = 25", SQUARE, "leave no straight between them"),
        ("round = [100]", "", "the list has 1 item"),
    ],
)
def test_what_cannot_be_is_refused(keys: str, before: str, said: str) -> None:
    with pytest.raises(JobError, match=said):
        made(BOLTED + keys, before)
