"""Slits in tubes' ends: where their edges lie on the skin, held against shapely's union of a strip and a disc."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from jobs import definitions, tube
from pydantic import ValidationError
from random_seeds import first_seed, how_many
from shapely import Point, Polygon, box

from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import DrilledHole, Piece


def made(section: str = "48.3 x 3.2", **keys: Any) -> Piece:
    return all_pieces(definitions(tube=[tube("T1", (0, 0, 0), (600, 0, 0), section=section, **keys)]))[0]


def slits(section: str = "48.3 x 3.2", **keys: Any) -> tuple[DrilledHole, ...]:
    part = made(section, **keys).length_part
    assert part is not None
    return part.drilled


def why(*others: dict[str, Any], **keys: Any) -> str:
    with pytest.raises(JobError) as raised:
        all_pieces(definitions(tube=[*others, tube("T1", (0, 0, 0), (600, 0, 0), **keys)]))
    return "; ".join(problem.what for problem in raised.value.problems)


@pytest.mark.parametrize("seed", range(first_seed(1321), first_seed(1321) + how_many(400, 20)))
def test_edge_seen_along_the_way_in_is_a_strip_and_a_disc(seed: int) -> None:
    random = np.random.default_rng(seed)
    outside, width = random.uniform(20, 120), random.uniform(1, 10)
    hole = random.choice([0.0, width, random.uniform(width, 1.5 * width)])
    depth, round_ = random.uniform(hole + 2, 90), random.uniform(0, 360)
    at = str(random.choice(["start", "finish"]))
    slit = {"width": width, "depth": depth, "hole": hole, "side": round_, "both_walls": True}
    strip_end = depth - hole / 2.0
    wanted = box(-width / 2, 0, width / 2, strip_end)
    if hole:
        wanted = wanted.union(Point(0, strip_end).buffer(hole / 2.0, quad_segs=720))
    for edge in slits(section=f"{outside} x 1.5", **{at: {"slit": slit}}):
        first = math.radians(round_) + (math.pi if edge.far else 0.0)
        across = outside / 2.0 * np.sin(2.0 * edge.edge.station / outside - first)
        along = edge.edge.along if at == "start" else 600 - edge.edge.along
        seen = Polygon(np.column_stack((across, along)))
        assert max(wanted.boundary.distance(Point(p)) for p in seen.exterior.coords) < 1e-3
        assert seen.area == pytest.approx(wanted.area, rel=1e-3)
        assert edge.width == pytest.approx(width)


def test_hole_at_the_bottom_left_out_is_as_wide_as_the_slit_and_five_at_least() -> None:
    (narrow,) = slits(start={"slit": {"width": 2, "depth": 40, "side": "top"}})
    (wide,) = slits(start={"slit": {"width": 8, "depth": 40, "side": "top"}})
    assert narrow.slit is not None
    assert wide.slit is not None
    assert (narrow.slit.hole, wide.slit.hole) == (5.0, 8.0)
    # A square tab stops where the hole is as narrow as it: 3-4-5 by halves of 3, 4 and 5.
    (each,) = slits(start={"slit": {"width": 3, "depth": 40, "side": "top"}})
    assert each.slit is not None
    assert each.slit.takes == pytest.approx(40 - 2.5 + 2.0)


def test_mass_is_less_by_the_walls_cut_out() -> None:
    whole = made("60 x 40 x 3")
    cut = made("60 x 40 x 3", start={"slit": {"width": 10, "depth": 20, "hole": 0, "side": "top", "both_walls": True}})
    assert whole.mass - cut.mass == pytest.approx(2 * 10 * 20 * 3 * 7850e-9, rel=1e-6)
    assert whole.length_part is not None
    assert cut.length_part is not None
    assert cut.length_part.length == whole.length_part.length


def test_several_slits_and_holes_are_numbered_on() -> None:
    two = [{"width": 2, "depth": 40, "side": side} for side in ("top", "left")]
    names = [each.name for each in slits(finish={"slit": two}, holes=[{"at": 100, "side": "top", "diameter": 9}])]
    assert names == ["hole 1", "slit 2", "slit 3"]


def test_ends_that_cannot_be_slit() -> None:
    main = tube("M", (0, -300, 0), (0, 300, 0), section="60.3 x 3.2")
    slit = {"width": 6, "depth": 40, "side": "top"}
    assert "coped to M" in why(main, start={"slit": slit})
    with pytest.raises(ValidationError, match="slit has no meaning here"):
        why(main, start={"cut": "cope", "slit": slit})
    assert "solid bar" in why(section="30 solid", start={"slit": slit})
    assert "from wall to wall" in why(section="20 x 2", start={"slit": slit | {"width": 16.2}})
    assert "does not fit" in why(start={"slit": slit | {"depth": 700}})
    assert "does not fit" in why(start={"slit": slit | {"depth": 6}})
    assert "narrower than the slit" in why(start={"slit": slit | {"hole": 5}})
    assert "no part has the mark" in why(start={"slit": slit | {"tab": "P9"}})
    assert "looks along this tube" in why(start={"slit": slit | {"side": "front"}})
