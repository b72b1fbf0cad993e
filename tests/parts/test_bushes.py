"""Bushes: the hole follows from the bush, its length and number from what holds it, and where it stands."""

from __future__ import annotations

import math

import numpy as np
import pytest
from faulty_bushes import BOLTED, PLAIN, PLATE, WIDE, bush_job
from jobs import checked, findings, read

from fabgen.geometry.plane.outline import Circle
from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlatPart, LengthPart, Piece
from fabgen.parts.shape.welds.weld_families import total_weld_length, weld_families
from fabgen.parts.shape.welds.welded import welded_pairs
from fabgen.plan.buying.seams import seams
from fabgen.plan.job_plan import plan_job
from fabgen.shop.fits import hole_for, limits


def made(keys: str, parts: str = PLAIN) -> dict[str, Piece]:
    return {piece.mark: piece for piece in all_pieces(read(bush_job(keys, parts)))}


def length(piece: Piece) -> float:
    assert isinstance(piece.shape, LengthPart)
    return piece.shape.length


def holes(piece: Piece) -> list[float]:
    assert isinstance(piece.shape, FlatPart)
    return [hole.shape.diameter for hole in piece.shape.holes if isinstance(hole.shape, Circle)]


@pytest.mark.parametrize(("fit", "hole"), [("weld", 30.3), ("press", 30.0), ("slip", 30.0), ("rubber", 28.8)])
def test_the_hole_takes_its_size_from_the_bush(fit: str, hole: float) -> None:
    assert holes(made(f'fit = "{fit}"')["P1"]) == pytest.approx([hole])


def test_it_is_as_long_as_what_it_goes_through() -> None:
    assert length(made("")["B1"]) == pytest.approx(10.0)
    assert length(made("proud = 15")["B1"]) == pytest.approx(40.0)
    # Over both ears of a clevis: the gap of 40 and twice 5 of sheet.
    assert length(made("", WIDE)["B1"]) == pytest.approx(50.0)
    assert holes(made("", WIDE)["C1"]) == pytest.approx([30.3, 30.3])
    # Between them: the gap alone.
    assert length(made('between = "C1"', BOLTED)["B1"]) == pytest.approx(40.0)


def test_in_inches_it_is_the_same_bush() -> None:
    text = bush_job('section = "1 1/4 x 0.120"\nproud = 0.5', PLATE.format("0.375", "")).replace('"mm"', '"in"')
    text = text.replace("[120, 80]", "[5, 3]").replace("[60, 40]", "[2.5, 1.5]")
    pieces = {piece.mark: piece for piece in all_pieces(read(text))}
    assert length(pieces["B1"]) == pytest.approx(1.375 * 25.4)
    assert holes(pieces["P1"]) == pytest.approx([1.25 * 25.4 + 0.3])


def test_there_are_as_many_as_the_holes_take() -> None:
    parts = PLAIN.replace("rectangle", "quantity = 3\nrectangle").replace(
        "holes = [", 'holes = [{ at = [20, 20], bush = "B1" }, '
    )
    assert made("", parts)["B1"].quantity == 6
    assert made("", WIDE)["B1"].quantity == 1
    assert made("quantity = 2", parts)["B1"].quantity == 2


def test_its_mass_is_that_of_a_tube() -> None:
    assert made("")["B1"].mass == pytest.approx(np.pi / 4.0 * (30.0**2 - 22.0**2) * 10.0 * 7850e-9)


def test_it_stands_in_its_hole() -> None:
    place = 'place = [{ hole = 1, at = "A", up = [1, 0, 0], along = [0, 1, 0] }]\n'
    parts = f"[points]\nA = [100, 200, 300]\n{PLAIN}{place}"
    part = made("proud = 5", parts)["B1"].length_part
    assert part is not None
    assert part.frame is not None
    middle = part.frame.origin + part.length / 2.0 * part.frame.x
    assert abs(float(part.frame.x @ np.array([1.0, 0.0, 0.0]))) == pytest.approx(1.0)
    assert middle[1:] == pytest.approx([200.0, 300.0])
    assert abs(middle[0] - 100.0) <= 5.0 + 1e-9


def test_a_bought_one_goes_with_what_holds_it() -> None:
    pieces = made('state = "bought"', WIDE)
    assert "B1" not in pieces
    (hardware,) = pieces["C1"].hardware
    assert (hardware.item, hardware.quantity, hardware.goods.words()) == ("bush", 1, "30 x 22 x 50")


def test_a_bolt_clamps_a_crush_tube_along_its_length() -> None:
    bolt = '[[bolt]]\nthread = "M12"\nthrough = ["C1", "B1", "C1"]\n'
    job = bush_job('section = "21.3 x 4"\nbetween = "C1"\nbolt = "M12"', BOLTED) + bolt
    of = checked(job, planned=True)
    (stack,) = of.plan.bolts
    assert [layer.thickness for layer in stack.layers] == pytest.approx([5.0, 40.0, 5.0])
    assert not {"bolt-through-tube", "ear-gap"} & {each.rule for each in findings(of)}


@pytest.mark.parametrize(
    ("keys", "parts", "said"),
    [
        ('section = "30 solid"', PLAIN, "round tube"),
        ("", PLAIN.replace('bush = "B1"', 'bush = "P1"'), "the mark of no bush"),
        ("", PLAIN.replace('bush = "B1"', "diameter = 30"), "no hole names this bush"),
        ('between = "P1"', PLAIN, "no two ears"),
        ("", PLATE.format(10, ', bolt = "M10"'), "bolt has no meaning"),
    ],
)
def test_what_cannot_be_is_refused(keys: str, parts: str, said: str) -> None:
    with pytest.raises(JobError) as fault:
        made(keys, parts)
    assert said in str(fault.value)


def test_limits_of_iso_286() -> None:
    """ISO 286-2, H7, p6 and f7 of 30 mm: +21; +35, +22; -20, -41 micrometres (from memory)."""
    press, slip = limits("press", 30.0), limits("slip", 30.0)
    assert press is not None
    assert slip is not None
    assert "30.021 mm" in press.words()
    assert "30.022 mm to 30.035 mm" in press.words()
    assert "29.959 mm to 29.98 mm" in slip.words()
    assert limits("weld", 30.0) is None
    assert limits("press", 200.0) is None
    assert hole_for("weld", 30.0) == pytest.approx(30.3)


def test_it_is_planned_from_bar() -> None:
    job = read(bush_job("", WIDE))
    plan = plan_job(job, all_pieces(job))
    assert [cut.mark for bar in plan.bars for cut in bar.cuts] == ["B1"]


@pytest.mark.parametrize(("proud", "angle"), [(5.0, math.pi / 2.0), (0.0, math.nan)])
def test_a_welded_one_is_welded_round_at_both_faces(proud: float, angle: float) -> None:
    """Pi x 30 at each face; a fillet in a square corner where it stands out, none where it is flush."""
    job = read(bush_job(f"proud = {proud}", PLAIN))
    pieces = all_pieces(job)
    count = next(piece.quantity for piece in pieces if piece.mark == "B1")
    (family,) = weld_families(pieces)
    assert [member.name for member in family.members] == ["B1 start on P1", "B1 finish on P1"]
    assert family.joint("mm").startswith("30 x 4 on ")
    assert [family.weld.run.least, family.weld.run.greatest] == pytest.approx([angle, angle], nan_ok=True)
    assert total_weld_length(pieces) == pytest.approx(count * 2.0 * math.pi * 30.0, rel=1e-3)
    found, unknown = seams(job, pieces)
    assert sum(seam.length for seam in found if seam.mark == "B1") == pytest.approx(
        count * 2.0 * math.pi * 30.0, rel=1e-3
    )
    assert "B1" not in unknown
    assert ("B1", "P1") in [(pair.one, pair.other) for pair in welded_pairs(job, pieces)]


@pytest.mark.parametrize("fit", ["press", "slip", "rubber"])
def test_one_that_is_not_welded_has_no_weld(fit: str) -> None:
    job = read(bush_job(f'fit = "{fit}"', PLAIN))
    pieces = all_pieces(job)
    assert weld_families(pieces) == []
    assert not [seam for seam in seams(job, pieces)[0] if seam.mark == "B1"]


def test_one_that_sits_in_several_parts_is_welded_into_each() -> None:
    """One in 10 mm, two in the thinner plate that is made twice: a weld each on both, three bushes in all."""
    thin = PLATE.format(5, "").replace('"P1"', '"P2"\nquantity = 2')
    job = read(bush_job("", PLAIN + thin))
    pieces = all_pieces(job)
    names = {member.name for family in weld_families(pieces) for member in family.members}
    assert names == {f"B1 {at} on {mark}" for at in ("start", "finish") for mark in ("P1", "P2")}
    assert total_weld_length(pieces) == pytest.approx(3 * 2.0 * math.pi * 30.0, rel=1e-3)
    found, unknown = seams(job, pieces)
    assert sum(seam.length for seam in found if seam.mark == "B1") == pytest.approx(6 * math.pi * 30.0, rel=1e-3)
    assert not {"B1", "P1", "P2"} & set(unknown)
    # As long as the thicker asks for: 2.5 mm stand out of the thinner on each side, in a square corner.
    angles = {family.first.weld.onto: family.weld.run.least for family in weld_families(pieces)}
    assert math.isnan(angles["P1"])
    assert angles["P2"] == pytest.approx(math.pi / 2.0)


EYES = """[job]
title = "t"
number = "n"
units = "mm"
material = "S235"
[[link]]
mark = "L1"
section = "25 x 3"
between = [[0, 0, 100], [400, 0, 100]]
rod_ends = [{{ eye = "38 x 3", width = 45, bush = "B1" }}, {{ eye = "38 x 3", width = 45, bush = "B1" }}]
quantity = {quantity}
[[bush]]
mark = "B1"
section = "31.7 x 4"
{keys}
"""


@pytest.mark.parametrize(("keys", "long"), [("", 45.0), ("proud = 3", 51.0)])
def test_a_bush_stands_in_the_eye_of_a_link_rod(keys: str, long: float) -> None:
    """Its axis is that of the eye, its middle the pin; one stands in each eye."""
    pieces = {piece.mark: piece for piece in all_pieces(read(EYES.format(keys=keys, quantity=1)))}
    bush = pieces["B1"].length_part
    assert bush is not None
    assert bush.frame is not None
    assert length(pieces["B1"]) == pytest.approx(long)
    middles = sorted((frame.origin + long / 2.0 * frame.x).tolist() for frame in (bush.frame, *bush.also))
    assert middles == [pytest.approx([0.0, 0.0, 100.0]), pytest.approx([400.0, 0.0, 100.0])]
    for sleeve in (piece.length_part for piece in pieces.values() if piece.title.startswith("sleeve")):
        assert sleeve is not None
        assert sleeve.frame is not None
        assert abs(float(sleeve.frame.x @ bush.frame.x)) == pytest.approx(1.0)


@pytest.mark.parametrize(("keys", "count", "of_all"), [("", 4, 0.5), ('fit = "press"', 0, 0.0)])
def test_a_welded_bush_in_an_eye_has_a_weld_round_either_end(keys: str, count: int, of_all: float) -> None:
    """Round its outside, 31.7 mm, into the sleeve of each eye: of all such bushes half sit in either."""
    pieces = {piece.mark: piece for piece in all_pieces(read(EYES.format(keys=keys, quantity=2)))}
    bush = pieces["B1"].length_part
    assert bush is not None
    assert pieces["B1"].quantity == 4
    sleeves = {piece.mark for piece in pieces.values() if piece.title.startswith("sleeve")}
    assert len(bush.welds) == count
    for weld in bush.welds:
        assert weld.onto in sleeves
        assert weld.of_all == of_all
        assert weld.length == pytest.approx(math.pi * 31.7, rel=1e-3)


def test_of_a_link_without_a_place_it_has_none_but_its_weld() -> None:
    text = EYES.format(keys="", quantity=1).replace("between = [[0, 0, 100], [400, 0, 100]]", "length = 400")
    bush = {piece.mark: piece for piece in all_pieces(read(text))}["B1"].length_part
    assert bush is not None
    assert bush.frame is None
    assert len(bush.welds) == 4
