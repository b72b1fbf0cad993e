"""Members closed by their welds, and what is hot dip galvanized: once a job, and only where it is so."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, read, tube

from fabgen.checks.closed_members import RULES
from fabgen.checks.rule import Finding
from fabgen.checks.weld_metals import zinc_in_weld
from fabgen.parts.build import all_pieces
from fabgen.parts.shape.hollow.closed_members import closed_members
from fabgen.plan.buying.consumables import needs_of
from fabgen.shop.galvanizing import end_holes, overlap_hole
from fabgen.shop.section import Section

GALVANIZED = {"coating": "galvanized after"}
LONE = tube("T1", (0, 0, 0), (800, 0, 0), section="60 x 60 x 3")


def disc(mark: str = "D1", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "thickness": 3, "rectangle": [60, 60], **keys}


def ring(*parts: str, **keys: Any) -> dict[str, Any]:
    return {"parts": list(parts), "throat": 2, "all_round": True, **keys}


def found(job: dict[str, Any] | None = None, **tables: Any) -> list[Finding]:
    return findings(checked(definitions(job, **tables)), RULES)


def said(job: dict[str, Any] | None = None, **tables: Any) -> list[tuple[str, tuple[str, ...]]]:
    return [(each.rule, each.marks) for each in found(job, **tables)]


def frame(count: int = 12) -> list[dict[str, Any]]:
    """Rungs between two rails, both ends of each coped; the rails are open."""
    rails = [tube(m, (-100, y, 0), (1400, y, 0), section="60.3 x 3.2") for m, y in (("L", 300), ("R", -300))]
    return [*rails, *(tube(f"C{i}", (100 * i, 300, 0), (100 * i, -300, 0), section="33.7 x 2.6") for i in range(count))]


# -- what is closed ---------------------------------------------------------------------
def test_a_frame_of_closed_tubes_is_one_finding() -> None:
    (note,) = found(tube=frame())
    assert (note.level, note.rule, len(note.marks)) == ("note", "closed-tube", 12)
    assert (
        "can burst it when it is welded, heated or galvanized: drill a vent of 3 mm before its last weld" in note.text
    )


def test_discs_welded_all_round() -> None:
    assert said(tube=[LONE], plate=[disc(quantity=2)], weld=[ring("D1", "T1")]) == [("closed-tube", ("T1",))]
    two = [disc("D1"), disc("D2")]
    assert said(tube=[LONE], plate=two, weld=[ring("D1", "T1"), ring("D2", "T1")]) == [("closed-tube", ("T1",))]


def test_a_leg_on_a_foot_plate_under_a_coped_head() -> None:
    """Coped to the beam above, welded all round to its foot below, whose bolt holes lie outside the bore."""
    beam = tube("B", (-300, 0, 500), (300, 0, 500), section="60 x 60 x 3")
    leg = tube("T2", (0, 0, 500), (0, 0, 0), section="40 x 40 x 3")
    holes = [{"at": [x, y], "diameter": 11} for x in (15, 105) for y in (15, 105)]
    foot = {"mark": "P1", "thickness": 8, "rectangle": [120, 120], "holes": holes}
    weld = [ring("T2", "P1")]
    assert said(tube=[beam, leg], plate=[foot], weld=weld) == [("closed-tube", ("T2",))]
    open_foot = foot | {"holes": [*holes, {"at": [60, 60], "diameter": 12}]}
    assert said(tube=[beam, leg], plate=[open_foot], weld=weld) == []


def test_a_plug_of_solid_bar() -> None:
    pipe = tube("T1", (0, 0, 0), (800, 0, 0), section="48.3 x 3.2")
    plug = tube("S", (0, 100, 0), (30, 100, 0), section="41 solid", quantity=2)
    assert said(tube=[pipe, plug], weld=[ring("S", "T1")]) == [("closed-tube", ("T1",))]


def test_a_link_between_two_sleeves() -> None:
    eye = {"eye": "38.1 x 3.2", "width": 40}
    link = {"mark": "L1", "section": "25.4 x 3", "length": 400, "rod_ends": [eye, eye]}
    assert said(link=[link]) == [("closed-tube", ("L1",))]
    assert said(link=[link | {"rod_ends": [eye, "M12 right"]}]) == []


def test_one_disc_a_disc_in_spots_a_ring_and_a_plate_on_the_side_are_silent() -> None:
    assert said(tube=[LONE], plate=[disc()], weld=[ring("D1", "T1")]) == []
    spots = {"parts": ["D1", "T1"], "throat": 2}
    assert said(tube=[LONE], plate=[disc(quantity=2)], weld=[spots]) == []
    holed = disc(quantity=2, holes=[{"at": [30, 30], "diameter": 10}])
    assert said(tube=[LONE], plate=[holed], weld=[ring("D1", "T1")]) == []
    mount = disc(quantity=2, rectangle=[200, 80])
    assert said(tube=[LONE], plate=[mount], weld=[ring("D1", "T1")]) == []


def test_where_water_gathers() -> None:
    beams = [tube(f"M{i}", (-300, y, z), (300, y, z), section="60 x 3") for i, y, z in ((1, -300, 0), (2, 300, 200))]
    level = [tube(f"N{i}", (-300, y, 900), (300, y, 900), section="60 x 3") for i, y in ((1, -300), (2, 300))]
    braces = [tube("U", (0, -300, 0), (0, 300, 200)), tube("V", (0, -300, 900), (0, 300, 900))]
    (note,) = found(tube=[*beams, *level, *braces])
    assert note.text.endswith("near the start of U; near either end of V")


# -- galvanized -----------------------------------------------------------------------------
def test_holes_by_section_once_for_the_job() -> None:
    (note,) = found(GALVANIZED, tube=frame())
    assert (note.level, note.rule, len(note.marks)) == ("stop", "galvanizing-holes", 12)
    assert "on 33.7 x 2.6 one of 14 mm or two of 12 mm" in note.text


def test_paint_and_zinc_beforehand_ask_for_no_such_holes() -> None:
    for coating in ("none", "paint", "zinc before welding"):
        assert [rule for rule, _ in said({"coating": coating}, tube=frame(2))] == ["closed-tube"]


def box(width: float, depth: float) -> Section:
    return Section("rectangular", width, depth, 3.0, 6.0)


@pytest.mark.parametrize(
    ("section", "sizes"),
    [
        (Section("round", 60.0, 60.0, 3.0), (20, 12, 10)),
        (Section("round", 60.6, 60.6, 3.0), (25, 16, 12)),
        (box(60, 40), (16, 12, 10)),
        (box(40, 60), (16, 12, 10)),
        (box(60.6, 40), (20, 12, 10)),
        (box(60, 40.4), (25, 16, 12)),
        (box(15, 15), (8,)),
        (box(300, 300), (150, 100, 60)),
    ],
)
def test_rows_of_the_galvanizers_table(section: Section, sizes: tuple[float, ...]) -> None:
    """Mostostal Siedlce, Size of holes: hole for one, two, four at each end, by the next size up."""
    assert tuple(size for _, size in end_holes(section, 2000.0).sizes) == sizes


def test_long_or_large_members_want_three_tenths_of_their_section() -> None:
    assert end_holes(box(60, 60), 2772.0).sizes
    long = end_holes(box(60, 60), 2828.0)
    assert long.sizes == ()
    assert long.area == pytest.approx(0.3 * (3600 - (4 - 3.14159265) * 36), rel=1e-6)
    assert end_holes(box(303, 303), 1000.0).sizes == ()


def test_overlaps_of_102_and_104_square_centimetres() -> None:
    assert (overlap_hole(10_200), overlap_hole(10_400), overlap_hole(41_800)) == (0.0, 10.0, 13.0)
    base = disc("P2", thickness=6, rectangle=[300, 300])
    small, large = disc("P1", rectangle=[102, 100]), disc("P1", rectangle=[104, 100])
    weld = [ring("P1", "P2")]
    assert said(GALVANIZED, plate=[small, base], weld=weld) == []
    assert said(GALVANIZED, plate=[large, base], weld=weld) == [("galvanizing-overlap", ("P1",))]
    assert said(plate=[large, base], weld=weld) == []
    assert said(GALVANIZED, plate=[large | {"holes": [{"at": [50, 50], "diameter": 10}]}, base], weld=weld) == []


def test_the_bath_of_1_5_metres() -> None:
    """1400 long between the rails' ends, from -100 to 1400 along x."""
    holes = [("galvanizing-holes", ("C0",))]
    assert said(GALVANIZED | {"bath": 1515}, tube=frame(1)) == holes
    (look,) = (each for each in found(GALVANIZED | {"bath": 1485}, tube=frame(1)) if each.level == "warn")
    assert look.rule == "galvanizing-bath"
    assert "1500 mm long together, the bath 1485 mm" in look.text
    assert said({"bath": 100}, tube=frame(1)) == [("closed-tube", ("C0",))]


def test_aluminium_in_the_zinc_bath() -> None:
    cover = {"mark": "P1", "thickness": 2, "rectangle": [200, 100], "material": "5754"}
    assert said(GALVANIZED, plate=[cover]) == [("galvanized-metal", ("P1",))]
    assert said(GALVANIZED, plate=[cover | {"coating": "none"}]) == []


# -- the coating itself -----------------------------------------------------------------------
def test_zinc_on_the_bought_tube_is_in_the_weld() -> None:
    job = definitions({"coating": "zinc before welding"}, tube=frame(1))
    (look,) = findings(checked(job), [zinc_in_weld])
    assert look.marks == ("L", "R", "C0")


def test_a_part_s_own_coating_goes_first_and_paint_follows_it() -> None:
    job = definitions({"coating": "none"}, tube=[LONE], plate=[disc(coating="paint")])
    assert [piece.coating for piece in all_pieces(job)] == ["none", "paint"]
    needs = needs_of(job, all_pieces(job))
    assert needs.bare == ("T1",)


def test_closed_members_of_the_trailer() -> None:
    with open("sample_parts/curlew-trailer.toml", encoding="utf-8") as file:
        of = checked(read(file.read()))
    assert {piece.mark for piece in closed_members(of.job, of.pieces)} >= {"T3", "T4", "T5", "T6"}
