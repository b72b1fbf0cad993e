"""Each check of tubes, firing and silent."""

import math
from typing import Any

import pytest
from jobs import TUBE_RULES, checked, definitions, findings, tube

from fabgen.checks.registry import run_checks
from fabgen.checks.rule import Finding
from fabgen.checks.tube.ends import missed_ends

MAIN = {"mark": "T1", "section": "60.3 x 3.2", "route": [[-500, 0, 0], [500, 0, 0]]}


def found(*tubes: dict[str, Any]) -> dict[tuple[str, str], Finding]:
    of = checked(definitions(tube=list(tubes)))
    return {(finding.mark, finding.rule): finding for finding in findings(of, TUBE_RULES)}


def test_a_plain_tee_has_nothing_to_report() -> None:
    assert found(MAIN, tube("T2", (0, 0, 0), (0, 700, 0))) == {}


class TestMisses:
    def test_in_part(self) -> None:
        finding = found(MAIN, tube("T2", (0, 0, 20), (0, 700, 20)))["T2", "end-misses"]
        assert finding.level == "warn"
        # 20 off: its inner skin misses too where 20.95 sin(phi) + 20 > 30.15, from 29 to 151 degrees.
        first, last = (24.15 * math.radians(phi) for phi in (29, 151))
        assert (
            f"runs past T1 over 34 % of its round, at the sides, {first:.0f} to {last:.0f} mm along the wrap"
            in finding.text
        )

    def test_altogether(self) -> None:
        finding = found(MAIN, tube("T2", (0, 0, 90), (0, 700, 90), start={"onto": ["T1"]}))["T2", "end-misses"]
        assert finding.level == "stop"
        assert "anywhere" in finding.text

    @staticmethod
    def past(share: float) -> Finding:
        """A branch whose inner skin, 20.95 in radius, misses the main, 30.15, over that share of its round."""
        aside = 30.15 - 20.95 * math.sin((math.pi - 2.0 * math.pi * share) / 2.0)
        branch = tube("T2", (0, 0, aside), (0, 700, aside), start={"onto": ["T1"]})
        return found(MAIN, branch)["T2", "end-misses"]

    def test_more_than_half_of_the_round_is_no_joint(self) -> None:
        inside, outside = self.past(0.495), self.past(0.505)
        assert (inside.level, outside.level) == ("warn", "stop")
        assert "that is no joint" in outside.text

    def test_an_end_aimed_off_a_bend_is_sent_to_the_nearest_point_of_it(self) -> None:
        """The route's corner is at (0, 0, 0), the bend of 200 cuts it by 82.8: nearest is (-58.6, 58.6, 0)."""
        main = tube("T1", (-900, 0, 0), (0, 0, 0), (0, 900, 0), section="60.3 x 3.2", bend_radius=200)
        near = (-25, 25, 0)
        finding = found(main, tube("T2", near, (-25, 25, 700), start={"onto": ["T1"]}))["T2", "end-misses"]
        assert "its point lies 47.5" in finding.text
        assert (
            "off a bend of T1; set the point of the start of T2 to [-58.6, 58.6, 0], the nearest on it" in finding.text
        )
        assert "thinner branch" not in finding.text
        moved = tube("T2", (-58.6, 58.6, 0), (-58.6, 58.6, 700), start={"onto": ["T1"]})
        assert ("T2", "end-misses") not in found(main, moved)

    def test_places_go_round_the_circle(self) -> None:
        """Missing about phi = 0 is one stretch, not two."""
        finding = found(
            tube("T1", (0, 0, -500), (0, 0, 500), section="60.3 x 3.2"),
            tube("T2", (0, 15, 0), (700, 15, 0)),
        )["T2", "end-misses"]
        assert finding.text.count(" mm") == 1

    def test_an_offset_within_the_main_is_silent(self) -> None:
        assert ("T2", "end-misses") not in found(MAIN, tube("T2", (0, 0, 5), (0, 700, 5)))


class TestSaw:
    """A straight cut over 45 degrees from square is spoken of once, with what to do."""

    @staticmethod
    def corner(from_square: float, section: str) -> dict[tuple[str, str], Finding]:
        """Two tubes mitred so that the saw stands that far from square."""
        between = math.radians(180.0 - 2.0 * from_square)
        way = (500 * math.cos(between), 500 * math.sin(between), 0)
        mitre = {"cut": "mitre"}
        one = tube("A", (0, 0, 0), (500, 0, 0), section=section, start=mitre)
        return found(one, tube("B", (0, 0, 0), way, section=section, start=mitre))

    @pytest.mark.parametrize("section", ["48.3 x 3.2", "40 x 40 x 3"])
    def test_one_per_cent_either_side(self, section: str) -> None:
        assert not any(rule == "saw-reach" for _, rule in self.corner(45.0 * 0.99, section))
        finding = self.corner(45.0 * 1.01, section)["A", "saw-reach"]
        assert finding.level == "note"
        assert "over 45°" in finding.text
        assert "square to the fence" in finding.text

    def test_a_compound_cut_counts_by_its_two_angles(self) -> None:
        """52 degrees from square, but 44.7 of swing and 30 of tilt: a saw reaches that."""
        mitre = {"cut": "mitre"}
        one = tube("A", (0, 0, 0), (-500, 0, 0), section="50 x 50 x 3", start=mitre)
        other = tube("B", (0, 0, 0), (-100, 300, 250), section="50 x 50 x 3", start=mitre)
        assert ("A", "saw-reach") not in found(one, other)


class TestAngle:
    def test_shallow(self) -> None:
        finding = found(MAIN, tube("T2", (0, 0, 0), (400, 200, 0)))["T2", "shallow-cope"]
        assert finding.level == "warn"
        assert "26.6°" in finding.text
        assert "EN 1993-1-8" in finding.source

    def test_30_degrees_is_silent(self) -> None:
        assert ("T2", "shallow-cope") not in found(MAIN, tube("T2", (0, 0, 0), (346.4, 200.01, 0)))


class TestWidth:
    def test_wider(self) -> None:
        assert found(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), section="76.1 x 3"))["T2", "branch-wider"].level == "warn"

    def test_as_wide_is_silent(self) -> None:
        assert ("T2", "branch-wider") not in found(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), section="60.3 x 3"))

    def test_rectangular_counts_across_the_joint(self) -> None:
        upright = tube("T2", (0, 0, 0), (0, 700, 0), section="80 x 40 x 3")
        assert ("T2", "branch-wider") in found(MAIN, upright)
        assert ("T2", "branch-wider") not in found(MAIN, {**upright, "turn": 90})


class TestThrough:
    def test_crossing(self) -> None:
        finding = found(MAIN, tube("T2", (0, -300, 10), (0, 300, 10)))["T2", "tubes-cross"]
        assert finding.level == "stop"
        assert "T1" in finding.text

    def test_a_thin_one_through_a_thick_one(self) -> None:
        assert ("T2", "tubes-cross") in found(MAIN, tube("T2", (0, -300, 10), (0, 300, 10), section="6 x 1"))

    def test_passing_by_is_silent(self) -> None:
        assert found(MAIN, tube("T2", (0, -300, 55), (0, 300, 55))) == {}

    def test_side_by_side(self) -> None:
        assert ("T2", "tubes-cross") in found(MAIN, tube("T2", (-100, 50, 0), (300, 50, 0)))
        assert found(MAIN, tube("T2", (-100, 54.4, 0), (300, 54.4, 0))) == {}

    def test_a_plain_end_run_into_a_tube(self) -> None:
        into = tube("T2", (0, 0, 0), (0, 700, 0), start={"cut": "plain", "extend": -20})
        assert ("T2", "tubes-cross") in found(MAIN, into)
        assert found(MAIN, {**into, "start": {"cut": "plain"}}) == {}

    @staticmethod
    def on_its_plane(z: float, way: float, at: str = "start") -> Finding | None:
        """A tube cut level at z that leans off from there, above a 60 x 60 whose top is at 30."""
        under = tube("A", (0, 0, 0), (1600, 0, 0), section="60 x 60 x 3")
        route = [(800, 0, z), (800 + way, 0, 430)]
        end = {at: {"plane": {"at": [800, 0, z], "normal": [0, 0, 1]}}}
        leaning = tube("B", *(route if at == "start" else route[::-1]), section="33.7 x 2.6", **end)
        return found(under, leaning).get(("B", "tubes-cross"))

    @pytest.mark.parametrize("way", [0, 400, -400, 150])
    @pytest.mark.parametrize("z", [30, 31, 60])
    def test_an_end_cut_to_the_plane_it_stands_on_only_touches(self, z: float, way: float) -> None:
        assert self.on_its_plane(z, way) is None
        assert self.on_its_plane(z, way, "finish") is None

    @pytest.mark.parametrize("way", [0, 400, -400, 150])
    @pytest.mark.parametrize("at", ["start", "finish"])
    def test_one_that_is_cut_too_low_is_as_deep_in_as_the_plane(self, at: str, way: float) -> None:
        for z, deep in ((20, "10 mm"), (28, "2 mm")):
            finding = self.on_its_plane(z, way, at)
            assert finding is not None
            assert finding.level == "stop"
            assert f", {deep} deep" in finding.text

    def test_what_passes_under_a_leaning_foot_is_not_in_the_tube_filled_up(self) -> None:
        """A bar through the main, its top 3 below the face that the foot sits on: under the slant of the cut."""
        main = tube("M", (-500, 0, 0), (500, 0, 0), section="60 x 60 x 3")
        for section in ("40 x 40 x 3", "48.3 x 3.2"):
            brace = tube("B", (0, 0, 0), (400, 0, 400), section=section)
            for x in (30, 42, 52):
                bar = tube("N", (x, -200, 17), (x, 200, 17), section="20 x 2", through="M")
                assert ("N", "tubes-cross") not in found(main, brace, bar)

    def test_coped_onto_one_of_two(self) -> None:
        post = tube("T2", (0, 0, 0), (0, 700, 0))
        brace = tube("T3", (0, 0, 0), (300, 500, 0), section="33.7 x 2.6", start={"onto": ["T1"]})
        assert ("T3", "tubes-cross") in found(MAIN, post, brace)
        del brace["start"]
        assert ("T3", "tubes-cross") not in found(MAIN, post, brace)

    def test_braces_side_by_side_on_a_chord_are_silent(self) -> None:
        chord = tube("T1", (-500, 0, 0), (500, 0, 0), section="114.3 x 5")
        braces = [tube(f"T{i}", (0, 0, 0), (x, 0, 500), section="33.7 x 2.6") for i, x in ((2, -400), (3, 400))]
        assert {rule for _, rule in found(chord, *braces)} == set()

    def test_butted_and_mitred_tubes_are_silent(self) -> None:
        assert found(MAIN, tube("T2", (500, 0, 0), (900, 0, 0))) == {}
        mitred = tube("T2", (500, 0, 0), (800, 400, 0), section="60.3 x 3.2", start={"cut": "mitre"})
        assert found(MAIN, mitred) == {}


class TestFeet:
    def test_hanging_past_the_end(self) -> None:
        stops = {**MAIN, "finish": {"cut": "plain"}}
        finding = found(stops, tube("T2", (500, 0, 0), (500, 700, 0)))["T2", "foot-past-end"]
        assert "24.1 mm past the finish of T1" in finding.text or "24.2 mm past the finish of T1" in finding.text
        assert 'finish = { extend = "24.2 mm" }' in finding.text

    def test_what_is_to_be_pasted_is_in_the_jobs_unit(self) -> None:
        finding = found({**MAIN, "finish": {"cut": "plain"}}, tube("T2", (500, 0, 0), (500, 700, 0)))[
            "T2", "foot-past-end"
        ]
        assert 'finish = { extend = "0.953 in" }' in finding.said.words("in")

    def test_a_foot_that_is_past_altogether_is_a_stop_and_all_that_is_said_of_that_end(self) -> None:
        off = tube("T2", (620, 0, 0), (620, 700, 0), start={"onto": ["T1"], "opens": True})
        found = [each for each in run_checks(checked(definitions(tube=[MAIN, off]))) if "T2" in each.marks]
        (said,) = [each for each in found if each.rule != "open-ends"]  # that is its other end
        assert (said.rule, said.level) == ("foot-past-end", "stop")
        assert "its start sits on nothing, its foot ends 144.2 mm past the finish of T1" in said.text

    def test_extended_enough_is_silent(self) -> None:
        long = {**MAIN, "finish": {"extend": 25}}
        assert found(long, tube("T2", (500, 0, 0), (500, 700, 0))) == {}

    def test_an_extension_too_short_is_told_the_whole_of_it(self) -> None:
        short = {**MAIN, "finish": {"extend": 10}}
        finding = found(short, tube("T2", (500, 0, 0), (500, 700, 0)))["T2", "foot-past-end"]
        assert 'extend = "24.2 mm"' in finding.text

    def test_at_a_node_another_main_carries_the_foot(self) -> None:
        """T2 ends on T1 where T3 sits on both."""
        post = tube("T2", (0, 0, 0), (0, 700, 0))
        brace = tube("T3", (0, 0, 0), (300, 500, 0), section="33.7 x 2.6")
        assert ("T3", "foot-past-end") not in found(MAIN, post, brace)


class TestThroughCut:
    def test_cuts_that_cross(self) -> None:
        other = tube("T2", (-500, 50, 0), (500, 50, 0), section="60.3 x 3.2")
        stub = tube("T3", (0, 0, 0), (0, 50, 0))
        assert found(MAIN, other, stub)["T3", "cut-through"].level == "stop"

    def test_room_between_is_silent(self) -> None:
        other = tube("T2", (-500, 70, 0), (500, 70, 0), section="60.3 x 3.2")
        assert ("T3", "cut-through") not in found(MAIN, other, tube("T3", (0, 0, 0), (0, 70, 0)))


class TestClosed:
    def test_both_ends_coped(self) -> None:
        other = tube("T2", (-500, 700, 100), (500, 700, 100), section="60.3 x 3.2")
        finding = found(MAIN, other, tube("T3", (0, 0, 0), (0, 700, 100)))["T3", "closed-tube"]
        assert finding.level == "note"
        assert "near the start" in finding.text

    def test_one_that_opens_into_an_open_main_is_silent(self) -> None:
        other = tube("T2", (-500, 700, 100), (500, 700, 100), section="60.3 x 3.2")
        brace = tube("T3", (0, 0, 0), (0, 700, 100), section="33.7 x 2.6", start={"opens": True})
        assert "closed-tube" not in {rule for _, rule in found(MAIN, other, brace)}

    def test_one_that_opens_into_a_closed_one_is_told_with_it(self) -> None:
        frame = [
            tube("A", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2"),
            tube("B", (-500, 800, 0), (500, 800, 0), section="60.3 x 3.2"),
            tube("C", (0, 0, 0), (0, 800, 0)),
            tube("D", (300, 0, 0), (300, 800, 0)),
            tube("E", (0, 400, 0), (300, 400, 0), section="33.7 x 2.6", start={"opens": True}),
        ]
        (said,) = (finding for finding in found(*frame).values() if finding.rule == "closed-tube")
        assert said.marks == ("C", "D", "E")

    def test_solid_bar_is_silent(self) -> None:
        other = tube("T2", (-500, 700, 100), (500, 700, 100), section="60.3 x 3.2")
        assert ("T3", "closed-tube") not in found(MAIN, other, tube("T3", (0, 0, 0), (0, 700, 100), section="20 solid"))


class TestPastTheMainsEnd:
    def told(self, *tubes: dict[str, Any]) -> dict[str, str]:
        of = checked(definitions(tube=list(tubes)))
        return {f.mark: f.text for f in findings(of, missed_ends.RULES) if f.rule == "past-main-end"}

    def test_a_point_mistyped(self) -> None:
        told = self.told(MAIN, tube("T2", (550, 0, 0), (550, 700, 0)))
        assert list(told) == ["T2"]
        assert told["T2"].startswith("its start would sit on T1, but lies 50 mm past the finish of that")

    def test_far_away_is_meant_so(self) -> None:
        assert self.told(MAIN, tube("T2", (650, 0, 0), (650, 700, 0))) == {}

    def test_one_that_says_it_is_plain_is_silent(self) -> None:
        assert self.told(MAIN, tube("T2", (550, 0, 0), (550, 700, 0), start={"cut": "plain"})) == {}

    def test_in_line_with_the_main_is_a_butt_joint(self) -> None:
        assert self.told(MAIN, tube("T2", (550, 0, 0), (900, 0, 0))) == {}

    def test_beside_the_mains_line_is_silent(self) -> None:
        assert self.told(MAIN, tube("T2", (550, 0, 60), (550, 700, 60))) == {}

    def test_a_beam_laid_on_two_posts_meets_them(self) -> None:
        """Flush with the posts' outsides, or past them: these are sawn to its face."""
        for start in (275, 240, 285):
            posts = [tube(f"P{x}", (x, 0, 0), (x, 0, 400), section="50 x 50 x 3") for x in (300, 700)]
            beam = tube("B", (start, 0, 425), (725, 0, 425), section="50 x 50 x 3", turn=0)
            assert "B" not in self.told(*posts, beam)

    def test_a_beam_that_a_post_does_not_reach_is_told(self) -> None:
        """Its end stands in the post's line, 25 mm above it, and the post says that it is plain."""
        post = tube("P", (300, 0, 0), (300, 0, 400), section="50 x 50 x 3", turn=0, finish={"cut": "plain"})
        assert "B" in self.told(post, tube("B", (300, 0, 425), (725, 0, 425), section="50 x 50 x 3", turn=0))

    def test_an_end_that_sits_on_another_is_silent(self) -> None:
        post = tube("P", (550, 0, -400), (550, 0, 400), section="60.3 x 3.2")
        assert self.told(MAIN, post, tube("T2", (550, 0, 0), (550, 700, 0))) == {}

    def test_past_the_leg_of_a_bent_main(self) -> None:
        hoop = tube(
            "H", (0, 300, 0), (0, 300, 600), (0, -300, 600), (0, -300, 0), section="38.1 x 2.1", bend_radius=115
        )
        assert list(self.told(hoop, tube("T2", (0, 300, -40), (500, 300, -40), section="25.4 x 2"))) == ["T2"]
