"""Long parts are broken only where nothing is: each hole stands in a view, and where the view says it does."""

from __future__ import annotations

import random
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from hand_profiles import profile_part, profile_piece
from random_seeds import first_seed, how_many

from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.drawing.sheet.long_axis import GAP, LongAxis, about, shortest
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Picture, Stroke, Text
from fabgen.geometry.space.frame import Array
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.shop.profiles import standard_sizes

Make = Callable[[float, list[float]], Piece]
HEADER = Header.model_validate({"title": "Rack", "number": "R-1", "units": "mm"})
TUBE = """[job]
title = "Rail"
number = "R-1"
units = "mm"
material = "S235"
[[tube]]
mark = "T1"
section = "60 x 40 x 3"
turn = 0
route = [[0, 0, 0], [{length}, 0, 0]]
holes = [{holes}]
"""
PLACES = [
    pytest.param(1200.0, [100.0, 600.0, 1100.0], id="at the ends and in the middle"),
    pytest.param(1200.0, [600.0], id="in the middle"),
    pytest.param(2400.0, [600.0, 1200.0, 1800.0], id="quarters"),
    pytest.param(6000.0, [float(s) for s in range(250, 6000, 250)], id="everywhere"),
    pytest.param(3000.0, [40.0, 80.0, 2920.0, 2960.0], id="at the ends"),
]


def profile(length: float, places: list[float]) -> Piece:
    """An angle with its holes by turns in either leg."""
    holes = [{"at": place, "leg": "ab"[i % 2], "diameter": 11} for i, place in enumerate(places)]
    return profile_piece(profile_part(standard_sizes.angle(50, 50, 5), length, holes=holes))


def tube(length: float, places: list[float]) -> Piece:
    holes = ", ".join(f'{{ at = {place}, side = "right", diameter = 11 }}' for place in places)
    (piece,) = all_pieces(read_text(TUBE.format(length=length, holes=holes)).definitions)
    return piece


def page(piece: Piece) -> Picture:
    """The part's own sheet, its views first."""
    sheets = [each.picture for each in drawing_pages([piece], HEADER, paper.A4)]
    return next(each for each in sheets if any(item.text.startswith("saw length") for item in texts(each)))


def texts(picture: Picture) -> list[Text]:
    return [item for item in picture.items if isinstance(item, Text)]


def holes_drawn(picture: Picture) -> list[Array]:
    """Rings as wide as high, seen square on."""
    rings = [np.array(item.points) for item in picture.items if isinstance(item, Stroke) and item.closed]
    sizes = [(ring, *np.ptp(ring, axis=0)) for ring in rings if len(ring) > 12]
    return [ring for ring, width, height in sizes if height > 0.05 and abs(width / height - 1.0) < 0.05]


@pytest.mark.parametrize("make", [profile, tube])
@pytest.mark.parametrize(("length", "places"), PLACES)
def test_every_hole_is_drawn_and_has_its_dimension(make: Make, length: float, places: list[float]) -> None:
    picture = page(make(length, places))
    rings = holes_drawn(picture)
    assert len(rings) == len(places)
    assert len({round(float(ring[:, 0].mean()), 2) for ring in rings}) == len(places)
    said = [item.text for item in texts(picture)]
    if len(places) <= 12:
        assert all(f"{place:g}" in said for place in places)


def test_a_row_and_two_holes_of_the_other_leg() -> None:
    """A foot rail at 1 : 4: the middle one of three holes was left out while '3 x' was said of them."""
    row = {"at": 100, "leg": "b", "bolt": "M10", "row": {"count": 3, "pitch": 500}}
    holes = [{"at": 200, "leg": "a", "bolt": "M10"}, {"at": 1000, "leg": "a", "bolt": "M10"}, row]
    picture = page(profile_piece(profile_part(standard_sizes.angle(50, 50, 5), 1200.0, holes=holes)))
    assert len(holes_drawn(picture)) == 5
    assert {"100", "600", "1100", "200", "1000"} <= {item.text for item in texts(picture)}


def test_a_crushed_end_is_not_broken_out() -> None:
    text = TUBE.format(length=1800, holes="").replace("60 x 40 x 3", "26.9 x 2.3").replace("turn = 0\n", "")
    crush = '{ cut = "plain", crush = { length = 150, hole = 11, hole_at = 120 } }'
    (piece,) = all_pieces(read_text(text + f"start = {crush}\nfinish = {crush}\n").definitions)
    said = [item.text for item in texts(page(piece))]
    assert {"120", "150", "1650", "1680"} <= set(said)


@pytest.mark.parametrize("make", [profile, tube])
def test_random_rows_of_holes_are_all_drawn(make: Make) -> None:
    """150 of either in full: each hole drawn once, in the order in which they lie."""
    for seed in range(how_many(150, 8)):
        random_ = random.Random(first_seed(4100) + seed)
        length = random_.uniform(300.0, 6000.0)
        pitch = random_.choice([30.0, 60.0, 150.0, 400.0])
        first = random_.uniform(40.0, 0.6 * length)
        row = [first + i * pitch for i in range(random_.randint(1, 8)) if first + i * pitch < length - 40.0]
        single = [s for s in (random_.uniform(40.0, length - 40.0),) if all(abs(s - r) > 25.0 for r in row)]
        places = sorted([*row, *single])
        rings = holes_drawn(page(make(length, places)))
        assert len(rings) == len(places), (seed, length, places)


def test_random_axes_leave_out_nothing_that_is_kept() -> None:
    """On random spans: breaks lie where nothing is kept, two at most; the part takes the room there is or the least
    it can; what is shown is at scale, and a place's way back is itself."""
    for seed in range(how_many(20_000, 500)):
        random_ = random.Random(first_seed(5200) + seed)
        whole = (random_.uniform(-50.0, 0.0), random_.uniform(300.0, 6000.0))
        scale = random_.choice([0.1, 0.2, 0.5, 1.0])
        kept = [(whole[0], whole[0] + 40.0), (whole[1] - 40.0, whole[1])]
        kept += [about(random_.uniform(*whole), 5.5, scale) for _ in range(random_.randint(0, 6))]
        room, least = random_.uniform(40.0, 400.0), shortest(whole, scale, kept)
        axis = LongAxis.fitted(whole, scale, room, kept)
        assert len(axis.breaks) <= 2
        assert not any(axis.leaves_out(low + 1e-6, high - 1e-6) for low, high in kept)
        taken = axis.x(whole[1])
        assert taken == pytest.approx(max(least, min(room, (whole[1] - whole[0]) * scale)), abs=1e-6)
        for low, high in axis.spans(*whole):
            assert axis.x(high) - axis.x(low) == pytest.approx((high - low) * scale, abs=1e-6)
        pieces = axis.split((whole[0], 3.0), (whole[1], 3.0))
        assert [q[0] - p[0] for (_, p), (q, _) in pairwise(pieces)] == pytest.approx([GAP] * len(axis.breaks))
