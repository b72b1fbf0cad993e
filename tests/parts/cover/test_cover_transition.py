"""Transitions and further rolled covers as a job file gives them."""

import math
from typing import Any

import pytest
from one_part import OnePart
from shapely import Polygon
from worded import fact_texts

from fabgen.geometry.plane.outline import Outline

COVER = OnePart("cover", mark="C1", thickness=2)
made, flat, faults = COVER.piece, COVER.flat, COVER.faults


SQUARE = {"shape": "transition", "bottom": {"rectangle": [200, 160]}, "top": 120, "height": 150}
HOPPER = {"shape": "transition", "bottom": {"rectangle": [200, 160]}, "top": {"rectangle": [100, 80]}, "height": 150}


@pytest.mark.parametrize("measured", ["outside", "inside", "middle"])
def test_round_to_round_is_the_cone(measured: str) -> None:
    """The same sheet as the cone of those diameters, whatever is measured."""
    size = {"bottom": 200, "top": 120, "height": 150, "measured": measured}
    cone, transition = flat(shape="cone", **size), flat(shape="transition", **size)
    assert transition.outline.area == pytest.approx(cone.outline.area, rel=1e-4)
    assert transition.outline.bounds[2:] == pytest.approx(cone.outline.bounds[2:], abs=0.02)
    assert dict(transition.sizes)["seam"] == pytest.approx(dict(cone.sizes)["slant"], abs=1e-3)


def test_square_to_round_in_words_and_bends() -> None:
    piece = made(**SQUARE)
    facts = fact_texts(piece.facts)
    assert "4 rounded parts, 24 bends" in facts["rounded"]
    assert "0.51 mm in" in facts["rounded"]  # 60 (1 - cos(90 / 12))
    assert facts["sizes"] == "outlines are those of the sheet's outside"
    part = piece.flat_part
    assert part is not None
    assert len(part.bends) == 24
    assert not any(bend.up for bend in part.bends)
    assert len(flat(**SQUARE, bends=3).bends) == 12
    assert part.surface
    assert part.outline.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-9)
    assert Polygon(part.outline.points(0.05)).is_valid


def test_hopper_is_shorter_by_its_bends() -> None:
    piece = made(**HOPPER, radius=2, k=0.4)
    part = piece.flat_part
    assert part is not None
    creases = [bend for bend in part.bends if bend.name.startswith("crease")]
    assert len(creases) == 4
    assert "K 0.4 from the job file" in fact_texts(piece.facts)["creases"]
    angle = creases[0].bend.angle
    saved = 2 * math.tan(angle / 2) * (2 + 1) - angle * (2 + 0.4 * 2)
    sharp = flat(**HOPPER, radius=0, k=0.5)
    none = 2 * math.tan(angle / 2) - angle
    gain = dict(sharp.sizes)["bottom edge, flat"] - dict(part.sizes)["bottom edge, flat"]
    # Along the edge, which meets the crease askew, a little more than square across it.
    assert 4 * (saved - none) <= gain < 4 * (saved - none) * 1.25


def test_seam_lap_and_gap() -> None:
    plain, lapped, gapped = flat(**SQUARE), flat(**SQUARE, seam=12), flat(**SQUARE, seam_gap=2)
    seam = dict(plain.sizes)["seam"]
    assert lapped.outline.area - plain.outline.area == pytest.approx(12 * seam, rel=0.02)
    assert plain.outline.area - gapped.outline.area == pytest.approx(2 * seam, rel=0.01)
    (line,) = [mark.line for mark in lapped.marks if mark.line]
    assert math.dist(line[0], line[-1]) == pytest.approx(seam - 2, abs=0.5)
    assert "gap at the seam 2 mm" in fact_texts(made(**SQUARE, seam_gap=2).facts)["development"]


def test_turned_shifted_and_tilted() -> None:
    turned = flat(**HOPPER, turn=45)
    assert len(turned.bends) == 8
    assert flat(**SQUARE, shift=[60, 0]).outline.area > flat(**SQUARE).outline.area
    tilted = flat(**SQUARE, tilt=15)
    # Its round edge is as long as ever, the sheet reaches farther up on one side, and tilted the other way it is
    # its own mirror image.
    plain, back = flat(**SQUARE), flat(**SQUARE, tilt=-15)
    assert dict(tilted.sizes)["top edge, flat"] == pytest.approx(dict(plain.sizes)["top edge, flat"], rel=1e-3)
    assert tilted.outline.bounds[3] > plain.outline.bounds[3] + 5.0
    assert back.outline.area == pytest.approx(tilted.outline.area, rel=1e-6)
    holes = flat(**SQUARE, holes=[{"at": [290, 60], "diameter": 10}]).holes
    assert len(holes) == 1


def test_a_seam_elsewhere() -> None:
    part = flat(**SQUARE, seam_at=[100, -80])
    assert dict(part.sizes)["seam"] > dict(flat(**SQUARE).sizes)["seam"]
    assert isinstance(part.outline, Outline)


@pytest.mark.parametrize(
    ("keys", "path", "words"),
    [
        (SQUARE | {"tilt": 70, "height": 50}, ("tilt",), "below the bottom's plane"),
        (SQUARE | {"seam": 2000}, ("seam",), "wider than the sheet"),
        (SQUARE | {"bottom": {"rectangle": [20, 20], "corner_radius": 30}}, ("bottom", "corner_radius"), "of an edge"),
        (
            SQUARE | {"bottom": {"corners": [[0, 0], [9, 9], [9, 0], [0, 9]]}},
            ("bottom", "corners"),
            "crosses or touches itself",
        ),
    ],
)
def test_transition_faults(keys: dict[str, Any], path: tuple[str, ...], words: str) -> None:
    (problem,) = faults(**keys)
    assert problem.path == ("cover", 0, *path)
    assert words in problem.what


# -- skirts and cones -----------------------------------------------------------
SKIRT = {"shape": "skirt", "diameter": 200, "height": 160}
CONE = {"shape": "cone", "bottom": 240, "top": 120, "height": 140}


def test_several_cut_outs_also_in_a_cone() -> None:
    cuts = [{"diameter": 110}, {"diameter": 40, "height": 90, "around": 90}]
    for shape in (SKIRT, CONE):
        piece = made(**shape, cut_out=cuts)
        assert piece.flat_part is not None
        assert [hole.label for hole in piece.flat_part.holes] == ["cut-out"]
        assert "; " in fact_texts(piece.facts)["cut-outs"]


def test_cone_with_a_cut_keeps_its_sector() -> None:
    plain, cut = flat(**CONE), flat(**CONE, cut_out={"diameter": 90, "height": 20})
    assert plain.rolled is not None
    assert cut.rolled is not None
    assert cut.rolled.sector is not None
    assert plain.rolled.sector is not None
    assert cut.rolled.sector.outer == plain.rolled.sector.outer
    assert isinstance(cut.outline, Outline)
    arcs = [e for e in cut.outline.edges() if e.is_arc and e.radius == pytest.approx(cut.rolled.sector.outer)]
    assert len(arcs) == 2
    for edge in arcs:
        assert edge.centre == pytest.approx(cut.rolled.sector.apex, abs=1e-4)


@pytest.mark.parametrize(("bottom", "top"), [(240, 120), (120, 240)])
def test_a_cone_s_cut_out_says_how_far_it_is_over_the_bench(bottom: float, top: float) -> None:
    """The skins of the square-cut edge lie half the thickness off its middle along the wall's normal, which leans by
    60 in hypot(140, 60) either way; the lower of them stands on the bench."""
    facts = fact_texts(made(**CONE | {"bottom": bottom, "top": top}, cut_out={"diameter": 40, "height": 60}).facts)
    assert f"{60 + 60 / math.hypot(140, 60):.2f} mm over the bench" in facts["cut-out"]
    upright = fact_texts(made(**SKIRT, cut_out={"diameter": 40, "height": 60}).facts)["cut-out"]
    assert "above the lower edge" in upright
    assert "bench" not in upright


def test_a_tilted_wheel_cuts_higher() -> None:
    level, raised = (flat(**SKIRT, cut_out={"diameter": 60, "height": 40, "tilt": tilt}) for tilt in (0, 20))
    rise = 100 * math.tan(math.radians(20))
    middles = [(h.shape.bounds[1] + h.shape.bounds[3]) / 2 for part in (level, raised) for h in part.holes]
    assert middles[1] - middles[0] == pytest.approx(rise, abs=2.5)


def test_gap_at_the_seam_of_skirt_and_cone() -> None:
    assert flat(**SKIRT, seam_gap=2).outline.bounds[2] == pytest.approx(math.pi * 198 - 2)
    plain, gapped = flat(**CONE), flat(**CONE, seam_gap=2)
    slant = dict(plain.sizes)["slant"]
    assert plain.outline.area - gapped.outline.area == pytest.approx(2 * slant, rel=0.01)


def test_faults_of_one_of_several_cut_outs() -> None:
    (problem,) = faults(**SKIRT, cut_out=[{"diameter": 60}, {"diameter": 60, "height": 500}])
    assert problem.path == ("cover", 0, "cut_out", 1)
    assert "does not reach" in problem.what
