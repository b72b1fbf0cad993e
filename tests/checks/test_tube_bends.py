"""Each check of bent tubes and of room to weld, firing and silent."""

import math
from typing import Any

import jobs
import pytest
from jobs import TUBE_RULES, checked, definitions, findings, pieces_of

from fabgen.checks.rule import Finding
from fabgen.parts.shape.tubes import outside_wall

Point = tuple[float, float, float]


def tube(mark: str, *route: Point, section: str = "40 x 2", **keys: Any) -> dict[str, Any]:
    return jobs.tube(mark, *route, section=section, **keys)


def found(*tubes: dict[str, Any], **tables: Any) -> dict[tuple[str, str], Finding]:
    of = checked(definitions(tube=list(tubes), **tables))
    return {(finding.mark, finding.rule): finding for finding in findings(of, TUBE_RULES)}


def quarter(radius: float, section: str = "40 x 2") -> dict[str, Any]:
    return tube("H", (0, 0, 0), (400, 0, 0), (400, 400, 0), bend_radius=radius, section=section)


class TestRadius:
    def test_three_tubes_and_more_is_silent(self) -> None:
        assert found(quarter(120)) == {}

    def test_tight(self) -> None:
        finding = found(quarter(100))["H", "bend-tight"]
        assert finding.level == "warn"
        assert "2.5 times" in finding.text
        assert "bend 1 is" in finding.text

    def test_a_rectangular_tube_counts_in_the_plane_of_the_bend(self) -> None:
        flat = quarter(100, section="40 x 30 x 2")
        assert ("H", "bend-tight") not in found(flat)
        assert ("H", "bend-tight") in found({**flat, "turn": 90})

    def test_several(self) -> None:
        zed = tube("Z", (0, 0, 0), (400, 0, 0), (400, 400, 0), (800, 400, 0), bend_radius=[100, 110])
        assert "bends 1 and 2 are" in found(zed)["Z", "bend-tight"].text


class TestWall:
    def test_formula(self) -> None:
        """t R / (R + d / 2), by hand: 2 mm, radius 60, tube 40: 2 * 60 / 80."""
        from fabgen.parts.piece import LengthPart

        part = pieces_of(definitions(tube=[quarter(60)]))[0].length_part
        assert isinstance(part, LengthPart)
        assert outside_wall(part.section, part.bends[0]) == pytest.approx(1.5)

    def test_thin(self) -> None:
        finding = found(quarter(60))["H", "bend-wall"]
        assert "about 1.5 mm of the 2 mm wall" in finding.text
        assert "constant volume" in finding.text

    def test_two_tubes_and_more_is_silent(self) -> None:
        assert ("H", "bend-wall") not in found(quarter(80))

    def test_solid_bar_is_silent(self) -> None:
        assert ("H", "bend-wall") not in found(quarter(30, section="20 solid"))


class TestStraights:
    ZED = tube("Z", (0, 0, 0), (400, 0, 0), (400, 300, 0), (800, 300, 0), bend_radius=120)

    def test_too_short_between_bends(self) -> None:
        finding = found(self.ZED)["Z", "bend-straight"]
        assert "between bends 1 and 2 there are 60 mm" in finding.text
        assert "80 mm" in finding.text
        assert "no former fits" in finding.source

    def test_a_former_that_holds_less_is_silent(self) -> None:
        former = {"tube": 40, "radius": 120, "least_straight": 50}
        assert ("Z", "bend-straight") not in found(self.ZED, former=[former])

    def test_a_former_that_holds_more(self) -> None:
        former = {"tube": 40, "radius": 120, "least_straight": 300, "name": "big"}
        got = found(self.ZED, former=[former])
        assert "300 mm" in got["Z", "bend-straight"].text
        assert "big" in got["Z", "bend-straight"].source
        assert "20 mm longer at the start" in got["Z", "bend-lead"].text


class TestCutInBend:
    MAIN = tube("M", (0, -500, 0), (0, 500, 0), section="60 x 3")

    def test_into_the_bend(self) -> None:
        short = tube("H", (0, 0, 0), (150, 0, 0), (150, 0, 400), bend_radius=120)
        assert found(self.MAIN, short)["H", "cut-in-bend"].level == "stop"

    def test_room_enough(self) -> None:
        long = tube("H", (0, 0, 0), (200, 0, 0), (200, 0, 400), bend_radius=120)
        assert ("H", "cut-in-bend") not in found(self.MAIN, long)


HOOP = tube("H", (0, -300, 0), (0, -300, 600), (0, 300, 600), (0, 300, 0), bend_radius=120)
BEND = 120.0 * (1.0 - math.sqrt(0.5))


class TestClashes:
    def test_through_a_leg(self) -> None:
        assert found(HOOP, tube("T", (-300, -300, 200), (300, -300, 200)))["T", "tubes-cross"].level == "stop"

    def test_through_a_bend(self) -> None:
        through = tube("T", (-300, 300 - BEND, 600 - BEND), (300, 300 - BEND, 600 - BEND), section="20 x 2")
        assert ("T", "tubes-cross") in found(HOOP, through)
        assert ("T", "tubes-cross") in found(through, HOOP), "the straight one, whichever is listed first"

    def test_through_the_hoop_without_touching_it_is_silent(self) -> None:
        assert found(HOOP, tube("T", (-300, 0, 300), (300, 0, 300))) == {}

    def test_inside_the_corner_is_silent(self) -> None:
        """Where the bend is rounded off nothing is left of the corner."""
        past = tube("T", (-300, 295, 595), (300, 295, 595), section="15 x 2")
        assert found(HOOP, past) == {}

    def test_beside_a_bend_is_silent(self) -> None:
        beside = tube("T", (40.5, 0, 300), (40.5, 600, 700))
        assert found(HOOP, beside) == {}

    def test_two_bent_tubes(self) -> None:
        other = tube("K", (-300, 0, 600), (60, 0, 600), (60, 0, 100), bend_radius=120, section="30 x 2")
        assert ("K", "tubes-cross") in found(HOOP, {**other, "start": {"cut": "plain"}, "finish": {"cut": "plain"}})

    def test_a_brace_coped_on_the_bend_is_silent(self) -> None:
        brace = tube("B", (0, 300 - BEND, 600 - BEND), (-500, 250, 100), section="25 x 2")
        assert found(HOOP, brace) == {}


class TestFeet:
    def test_past_the_finish_of_a_bent_main(self) -> None:
        stops = {**HOOP, "finish": {"cut": "plain"}}
        finding = found(stops, tube("T", (0, 300, 5), (500, 300, 5), section="25 x 2"))["T", "foot-past-end"]
        assert "past the finish of H" in finding.text
        assert "move the foot 7.5 mm back along H" in finding.text  # not into the floor

    def test_on_the_leg_is_silent(self) -> None:
        assert found(HOOP, tube("T", (0, 300, 50), (500, 300, 50), section="25 x 2")) == {}


class TestWidthOnABend:
    def test_as_wide_as_the_bent_tube(self) -> None:
        brace = tube("B", (0, 300 - BEND, 600 - BEND), (500, 300 - BEND, 600 - BEND), section="42 x 2")
        assert found(HOOP, brace)["B", "branch-wider"].level == "warn"


class TestDrain:
    def test_lowest_in_a_bend(self) -> None:
        """A sling hung from two beams: water gathers in its bends."""
        beams = [tube(f"M{i}", (-300, y, 0), (300, y, 0), section="60 x 3") for i, y in ((1, -300.0), (2, 300.0))]
        sling = tube("S", (0, -300, 0), (0, -300, -400), (0, 300, -400), (0, 300, 0), bend_radius=120)
        assert "from bend 1 to 2" in found(*beams, sling)["S", "closed-tube"].text


CHORD = tube("T1", (-500, 0, 0), (500, 0, 0), section="114.3 x 5")


def brace(mark: str, foot: float, head: float) -> dict[str, Any]:
    return tube(mark, (foot, 0, 0), (head, 0, 400), section="33.7 x 2.6")


class TestAccess:
    def test_a_gap_less_than_both_walls(self) -> None:
        finding = found(CHORD, brace("T2", -20, -20), brace("T3", 16.5, 16.5))["T3", "weld-access"]
        assert finding.level == "warn"
        assert "2.8 mm to T2 on T1" in finding.text
        assert "5.2 mm" in finding.text

    def test_a_gap_of_both_walls_is_silent(self) -> None:
        assert ("T3", "weld-access") not in found(CHORD, brace("T2", -60, -160), brace("T3", 60, 160))

    def test_too_sharp_between_two_braces(self) -> None:
        got = found(CHORD, brace("T2", -25, -25), brace("T3", 12, 112))["T3", "weld-access"]
        assert "only 14.0° from it" in got.text
        assert "7.1.2(3)" in got.source

    @pytest.mark.parametrize(("gap", "told"), [(19.8, True), (20.2, False), (30.0, False)])
    def test_parallel_posts_want_room_for_a_torch_alone(self, gap: float, told: bool) -> None:
        """Posts of 33.7 mm, square on the chord and so at 0 degrees to one another."""
        got = found(CHORD, brace("T2", 0, 0), brace("T3", 33.7 + gap, 33.7 + gap))
        assert (("T3", "weld-access") in got) == told
        if told:
            assert "19.8 mm to T2 on T1, too little for a torch: 20 mm" in got["T3", "weld-access"].text

    def test_braces_that_lean_together_are_no_parallel_posts(self) -> None:
        """At 14 degrees and 26 mm apart: leaning apart the torch comes in between, leaning together it does not."""
        assert ("T3", "weld-access") in found(CHORD, brace("T2", 0, 50), brace("T3", 60, 10))
        assert ("T3", "weld-access") not in found(CHORD, brace("T2", 0, -50), brace("T3", 60, 110))

    def test_one_coped_onto_the_other_is_silent(self) -> None:
        small = tube("T1", (-500, 0, 0), (500, 0, 0), section="42.4 x 2.6")
        got = found(small, brace("T2", 0, -300), brace("T3", 0, 300))
        assert ("T3", "weld-access") not in got

    def test_braces_that_cross_are_told_by_another_rule(self) -> None:
        got = found(CHORD, brace("T2", -10, -10), {**brace("T3", 10, 10), "start": {"onto": ["T1"]}})
        assert ("T3", "tubes-cross") in got
        assert ("T3", "weld-access") not in got or "only" in got["T3", "weld-access"].text
