"""Ears, saddles and gussets: what they sit on, their sizes and their faults.  That the edges fit is proved
against solids in tests/validation/test_solid_sheet.py."""

import math
from typing import Any

import pytest
from one_part import OnePart
from worded import fact_texts

from fabgen.job.values.section_text import parse_section
from fabgen.parts.piece import FlatPart
from fabgen.shop.section import Section

TUBE = parse_section("48.3 x 3.2", "mm")
BOX = Section("rectangular", 60.0, 40.0, 3.0)
EAR = {"shape": "ear", "thickness": 6, "width": 40, "height": 62, "bolt": "M10"}
SADDLE = {"shape": "saddle", "thickness": 4, "length": 90, "web": 70, "height": 60}
GUSSET = {"shape": "gusset", "thickness": 4, "legs": [90, 70]}


OTHERS = {
    "tube": [{"mark": "T1", "section": TUBE, "route": [[0, 0, 0], [500, 0, 0]]}],
    "plate": [{"mark": "P1", "thickness": 3, "rectangle": [20, 20]}],
}
BRACKET = OnePart("bracket", OTHERS, mark="B1")
piece_of, made, faults = BRACKET.piece, BRACKET.flat, BRACKET.faults


def radii(flat: FlatPart) -> list[float]:
    return sorted(edge.radius for edge in flat.outline.edges() if edge.is_arc)  # type: ignore[union-attr]


# -- ear ------------------------------------------------------------------------
def test_an_ear_on_a_flat() -> None:
    flat = made(**EAR)
    assert flat.bends == ()
    assert flat.tree is None
    assert flat.outline.bounds[3] == pytest.approx(62 + 20)  # the bolt's 2 d about the hole
    assert radii(flat) == pytest.approx([20.0])
    # As wide at its foot as its end: two straight sides.
    assert len(flat.outline.vertices) == 4  # type: ignore[union-attr]
    assert dict(flat.sizes)["hole over the foot"] == 62


def test_an_ear_across_a_tube_has_two_true_arcs() -> None:
    flat = made(**EAR, sits={"onto": TUBE})
    assert radii(flat) == pytest.approx([20.0, 24.15], abs=1e-6)
    sizes = dict(flat.sizes)
    assert sizes["hole over the tube's outside"] == pytest.approx(62 - 24.15)
    facts = fact_texts(piece_of(**EAR, sits={"onto": TUBE}).facts)
    assert facts["sits on"].startswith("tube 48.3 x 3.2, across it")


def test_an_ear_names_a_tube_by_its_mark() -> None:
    by_mark = piece_of(**EAR, sits={"onto": "T1", "turn": 0})
    assert fact_texts(by_mark.facts)["sits on"].startswith("T1, tube 48.3 x 3.2, along it")
    flat = by_mark.flat_part
    assert flat is not None
    # Along the tube the crown lies under the middle of the sheet: straight, at the tube's radius.
    assert radii(flat) == pytest.approx([20.0])
    assert dict(flat.sizes)["hole over the tube's outside"] == pytest.approx(62 - 24.15)


def test_a_wide_foot_tapers_to_the_rounded_end_and_a_narrow_one_spreads() -> None:
    for width in (80, 24):
        flat = made(**EAR | {"width": width})
        outline = flat.outline
        arc = next(edge for edge in outline.edges() if edge.is_arc)  # type: ignore[union-attr]
        heading = arc.heading_in
        before = [edge for edge in outline.edges() if edge.end == arc.start]  # type: ignore[union-attr]
        assert math.remainder(before[0].heading_out - heading, 2 * math.pi) == pytest.approx(0.0, abs=1e-9)


# -- saddle -----------------------------------------------------------------------
def test_a_saddle_across_a_tube_has_a_true_arc_in_each_flange() -> None:
    flat = made(**SADDLE, sits={"onto": TUBE})
    assert radii(flat) == pytest.approx([24.15, 24.15], abs=1e-6)
    assert len(flat.outline.vertices) == 8  # type: ignore[union-attr]
    assert dict(flat.sizes)["flanges, outside"] == 60
    # The tube's axis is etched on the web, square across its middle.
    lines = [mark.line for mark in flat.marks if mark.line and abs(mark.line[0][0] - 45) < 1e-6]
    assert lines


@pytest.mark.parametrize("thickness", [1 / 8, 3 / 16, 1 / 4])
@pytest.mark.parametrize("section", ["1 1/2 in x 1/8 in", "2 in x 1/8 in", "2 1/2 in x 1/8 in"])
def test_a_saddle_down_to_the_axis_loses_half_a_disc_a_flange(section: str, thickness: float) -> None:
    """Round inch sizes: the arc may end on the level itself, with no other vertex on the tube."""
    tube = parse_section(section, "in")
    for web in (2.5, 3, 3.5):
        for height in (2, 2.5, 3, 4):
            keys = {"thickness": 25.4 * thickness, "length": 25.4 * 4, "web": 25.4 * web, "height": 25.4 * height}
            flat = made(shape="saddle", radius=25.4 * thickness, sits={"onto": tube}, **keys)
            bend, length = flat.bends[0].bend, 25.4 * 4
            whole = length * 25.4 * (web + 2 * height) - 2 * length * bend.deduction
            assert whole - flat.outline.area == pytest.approx(math.pi * tube.width**2 / 4, abs=0.05)


def test_a_saddle_that_ends_above_its_tube_is_refused() -> None:
    # The tube's top lies 35.85 mm below the web.
    (fault,) = faults(**SADDLE, sits={"onto": TUBE}, depth=35.8)
    assert fault.what == "the left flange does not reach the tube"
    assert radii(made(**SADDLE, sits={"onto": TUBE}, depth=36.0)) == pytest.approx([24.15, 24.15], abs=1e-6)


def test_a_saddle_over_a_square_tube_comes_down_its_sides() -> None:
    flat = made(**SADDLE, sits={"onto": BOX})
    xs = sorted({round(v.x, 3) for v in flat.outline.vertices})  # type: ignore[union-attr]
    assert xs == [0, 25, 65, 90]  # 40 mm across: the first figure stands upright
    assert radii(flat) == []


def test_a_saddle_along_a_tube_ends_where_its_flanges_touch() -> None:
    flat = made(**SADDLE | {"web": 30}, sits={"onto": TUBE, "turn": 0}, depth=55)
    # The flange's inner skin lies 11 mm off the axis.
    depth = 60 - math.sqrt(24.15**2 - 11**2)
    assert dict(flat.sizes)["over all, square to the web"] == pytest.approx(depth)


# -- gusset -----------------------------------------------------------------------
def test_a_plain_gusset() -> None:
    flat = made(**GUSSET)
    # Blunt ends of three thicknesses; legs as asked.
    assert flat.outline.bounds == pytest.approx((0, 0, 90, 70))
    assert flat.outline.area == pytest.approx(90 * 70 - 78 * 58 / 2)  # the rectangle less the cut corner
    assert len(flat.outline.vertices) == 5  # type: ignore[union-attr]


def corner_of_tubes(*far: tuple[float, float, float], start: float = 0.0) -> OnePart:
    """Two tubes from the origin (the first from x = `start`) to these points, and a gusset on both."""
    routes = [[[start, 0, 0], list(far[0])], [[0, 0, 0], list(far[1])]]
    tubes = [{"mark": f"T{i}", "section": TUBE, "route": route} for i, route in enumerate(routes, 1)]
    return OnePart("bracket", {"tube": tubes}, mark="B1", **GUSSET, sits=["T1", "T2"])


def test_a_gusset_between_two_tubes_of_the_job_takes_their_angle() -> None:
    """tan = 500 / 200; 0.1 degrees off it is a finding, less is none."""
    between = corner_of_tubes((500, 0, 0), (200, 0, 500))
    angle = math.degrees(math.atan2(500, 200))
    piece = between.piece()
    assert fact_texts(piece.facts)["angle"].startswith("68.2°")
    assert piece.concerns == ()
    for off, rules in ((0.09, []), (0.11, ["gusset-angle"]), (21.8, ["gusset-angle"]), (-30.0, ["gusset-angle"])):
        given = between.piece(angle=angle + off)
        assert [each.rule for each in given.concerns] == rules
        assert given.flat_part.outline.area == pytest.approx(piece.flat_part.outline.area)  # type: ignore[union-attr]
    # Listed from its far end, and out of the horizontal: still the angle inside the corner.
    assert fact_texts(corner_of_tubes((0, -500, 0), (0, -200, 500)).piece().facts)["angle"].startswith("68.2°")


def test_where_one_tube_runs_past_the_other_both_angles_are_right() -> None:
    past = corner_of_tubes((500, 0, 0), (200, 0, 500), start=-500)
    (fault,) = past.faults()
    assert fault.accepted == "angle = 68.2 or angle = 111.8"
    for angle in (68.2, 111.8):
        assert past.piece(angle=angle).concerns == ()
    assert [each.rule for each in past.piece(angle=70).concerns] == ["gusset-angle"]
    # 90 is as far from the one as from the other: which is meant must be asked.
    for far in (90, 74, 140):
        (fault,) = past.faults(angle=far)
        assert fault.accepted == "angle = 68.2 or angle = 111.8"
    # Square: both are one.
    assert corner_of_tubes((500, 0, 0), (0, 0, 500), start=-500).piece().concerns == ()


def test_a_gusset_is_sniped() -> None:
    flat = made(**GUSSET, snipe=15)
    assert len(flat.outline.vertices) == 6  # type: ignore[union-attr]
    whole = made(**GUSSET)
    assert whole.outline.area - flat.outline.area == pytest.approx(15 * 15 / 2)


def test_a_lip_is_folded_along_the_free_edge() -> None:
    flat = made(**GUSSET | {"thickness": 3}, lip=15, holes=[{"face": "gusset", "at": [30, 25], "diameter": 20}])
    (bend,) = flat.bends
    assert bend.name == "gusset / lip"
    assert flat.tree is not None
    assert dict(flat.sizes)["over all, high"] == pytest.approx(15)
    assert dict(flat.sizes)["lip, outside"] == 15


@pytest.mark.parametrize("angle", [50, 60, 75, 90, 120, 135])
def test_the_usual_nose_lets_the_lip_s_bend_run_out_over_it(angle: float) -> None:
    """At any angle of the members the bend's zone ends on the noses, not on the members' edges."""
    flat = made(shape="gusset", thickness=4, legs=[160, 150], angle=angle, lip=15)
    (bend,) = flat.bends
    inner = flat.outline.bounds  # the inner corner is the origin of the first leg
    assert inner[:2] == pytest.approx((0, 0))
    turn = math.radians(angle)
    for x, y in (bend.start, bend.end):
        over = min(y, x * math.sin(turn) - y * math.cos(turn)) if angle <= 90 else y
        assert over > bend.bend.allowance / 2.0


def test_a_gusset_between_two_tubes_counts_from_where_its_edges_meet() -> None:
    flat = made(**GUSSET, sits=[{"onto": TUBE}, {"onto": BOX}])
    sizes = dict(flat.sizes)
    assert sizes["inner corner over the first member's axis"] == pytest.approx(24.15)
    assert sizes["inner corner from the axes' crossing, along the first member"] == pytest.approx(30)
    assert dict(flat.sizes)["leg on the first member"] == 90


# -- faults -----------------------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "path", "words"),
    [
        (EAR | {"width": 60, "sits": {"onto": TUBE}}, ("width",), "runs past tube 48.3 x 3.2"),
        (EAR | {"width": 20, "height": 15}, ("height",), "reaches over a corner of its foot"),
        (EAR | {"height": 28, "sits": {"onto": TUBE}}, ("bolt",), "leaves face"),
        (EAR | {"sits": {"onto": "P1"}}, ("sits", "onto"), "the mark of no tube"),
        (EAR | {"sits": [{"onto": TUBE}, {"onto": TUBE}]}, ("sits",), "sits on one tube"),
        (SADDLE | {"sits": {"onto": "flat"}}, ("sits",), "sits on a tube"),
        (SADDLE | {"sits": {"onto": TUBE}, "height": 31}, ("height",), "reaches into the bends"),
        (SADDLE | {"sits": {"onto": TUBE}, "depth": 20}, ("depth",), "does not reach the tube"),
        (SADDLE | {"sits": {"onto": TUBE}, "depth": 6}, ("depth",), "no deeper than the bend"),
        (GUSSET | {"snipe": 80}, ("snipe",), "takes all of a leg"),
        (GUSSET | {"lip": 5}, ("lip",), "too short for its bend"),
        (GUSSET | {"lip": 15, "nose": 2}, ("nose",), "takes all of the nose"),
        (GUSSET | {"lip": 15, "angle": 60}, ("nose",), "takes all of the nose of the second leg"),
        (GUSSET | {"sits": {"onto": TUBE, "offset": 60}}, ("sits",), "do not meet"),
    ],
)
def test_faults_name_the_key(keys: dict[str, Any], path: tuple[str, ...], words: str) -> None:
    found = faults(**keys)
    assert found[0].path == ("bracket", 0, *path)
    assert words in found[0].what
    assert found[0].accepted
