"""Tube ends that hang in the air short of what they aim at; figures by hand from the job's points."""

import math
from typing import Any

import jobs
import pytest
from jobs import checked, definitions, findings

from fabgen.checks.rule import Finding
from fabgen.checks.tube.ends import missed_ends
from fabgen.wording.figures import figure

Point = tuple[float, float, float]
RULES = ("short-end", "short-of-bend")


def tube(mark: str, *route: Point, section: str = "33.7 x 2.6", **keys: Any) -> dict[str, Any]:
    return jobs.tube(mark, *route, section=section, **keys)


MAIN = tube("M", (0, 0, 0), (600, 0, 0), section="48.3 x 3.2")
HOOP = tube("H", (0, 500, 0), (0, 500, 1000), (0, -500, 1000), (0, -500, 0), section="44.5 x 2.6", bend_radius=150)


def told(*tubes: dict[str, Any], units: str = "mm") -> list[Finding]:
    of = checked(definitions({"units": units}, tube=list(tubes)))
    return [finding for finding in findings(of, missed_ends.RULES) if finding.rule in RULES]


class TestAGap:
    @pytest.mark.parametrize(("first", "gap"), [((300, 0, 30), "5.9 mm"), ((300, 0, 40), "15.9 mm")])
    def test_short_of_the_skin(self, first: Point, gap: str) -> None:
        """The main's skin is 24.15 from its axis."""
        (finding,) = told(MAIN, tube("B", first, (300, 0, 300)))
        assert (finding.level, finding.mark, finding.rule) == ("warn", "B", "short-end")
        assert finding.text.startswith(f"its start ends {gap} short of M: nothing is coped there")

    def test_aslant_it_is_measured_along_the_branch(self) -> None:
        (finding,) = told(MAIN, tube("B", (300, 0, 40), (560, 0, 300)))
        assert f"{15.85 * math.sqrt(2.0):.1f} mm short" in finding.text

    def test_the_branch_listed_first(self) -> None:
        assert [f.mark for f in told(tube("B", (300, 0, 30), (300, 0, 300)), MAIN)] == ["B"]

    def test_of_two_ahead_the_nearer_is_named(self) -> None:
        beyond = tube("N", (0, 0, -50), (600, 0, -50), section="48.3 x 3.2")
        (finding,) = told(MAIN, beyond, tube("B", (300, 0, 30), (300, 0, 300)))
        assert "short of M" in finding.text

    @pytest.mark.parametrize(
        "branch",
        [
            tube("B", (300, 0, 30), (300, 0, 300), start={"cut": "plain"}),
            tube("B", (300, 0, 30), (300, 0, 300), start={"extend": 3}),
            tube("B", (300, 0, 20), (300, 0, 300)),  # coped
            tube("B", (300, 0, 24.15), (300, 0, 300)),  # coped: it touches
            tube("B", (300, 0, 90), (300, 0, 300)),  # 65.85 off: more than its size and 25
            tube("B", (300, 45, 0), (300, 45, 300)),  # beside it, aiming past
            tube("B", (0, 45, 0), (600, 45, 0)),  # side by side
            tube("B", (620, 0, 0), (900, 0, 0)),  # in line
        ],
    )
    def test_silent(self, branch: dict[str, Any]) -> None:
        assert told(MAIN, branch) == []

    def test_an_end_that_another_sits_on_does_not_hang(self) -> None:
        rail = tube("R", (300, -300, 40), (300, 300, 40), section="33.7 x 2.6")
        assert told(MAIN, tube("B", (300, 0, 40), (300, 0, 300)), rail) == []


class TestACornerOfABend:
    def test_the_route_s_corner(self) -> None:
        """The corner of a quarter turn lies (sqrt 2 - 1) of its radius outside it, and the bend's middle on the
        line from its centre at (350, 850)."""
        (finding,) = told(HOOP, tube("S", (-600, 500, 0), (0, 500, 1000), section="38 x 2.5"))
        assert (finding.level, finding.mark, finding.rule) == ("stop", "S", "short-of-bend")
        inside, along = 150.0 * (math.sqrt(2.0) - 1.0), 150.0 / math.sqrt(2.0)
        assert f"the bend runs {inside:.1f} mm inside it" in finding.text
        assert f"set the point of the finish of S to [0, {350 + along:.1f}, {850 + along:.1f}]" in finding.text

    def test_the_point_it_gives_is_coped(self) -> None:
        assert told(HOOP, tube("S", (-600, 500, 0), (0, 456.1, 956.1), section="38 x 2.5")) == []

    def test_also_where_another_is_coped_onto_the_floating_end(self) -> None:
        stay = tube("S", (-600, 500, 0), (0, 500, 1000), section="38 x 2.5")
        cross = tube("X", (0, 500, 1000), (-600, -500, 0), section="38 x 2.5")
        assert "S" in {mark for finding in told(HOOP, stay, cross) for mark in finding.marks}

    def test_in_inches(self) -> None:
        stay = {"mark": "S", "section": "38 x 2.5 mm", "route": [["-600 mm", "500 mm", 0], [0, "500 mm", "1000 mm"]]}
        legs = [[0, f"{y} mm", f"{z} mm"] for y, z in ((500, 0), (500, 1000), (-500, 1000), (-500, 0))]
        hoop = {"mark": "H", "section": "44.5 x 2.6 mm", "route": legs, "bend_radius": "150 mm"}
        (finding,) = told(hoop, stay, units="in")
        assert 'the bend runs 2.446" [62.1 mm] inside it' in finding.text
        along = 150.0 / math.sqrt(2.0)
        _, y, z = (float(v) for v in finding.text.rsplit("[")[-1].split("]")[0].split(","))
        assert (y, z) == pytest.approx(((350 + along) / 25.4, (850 + along) / 25.4), abs=0.0006)

    def test_plain_on_purpose(self) -> None:
        stay = tube("S", (-600, 500, 0), (0, 500, 1000), section="38 x 2.5", finish={"cut": "plain"})
        assert told(HOOP, stay) == []


class TestWhatMeetsInTheAir:
    """Ends that meet one another at a bend's corner are not fitted to one another there: nothing carries them."""

    @staticmethod
    def cage(side: float, at_corner: tuple[float, float] = (500, 1000)) -> list[dict[str, Any]]:
        y, z = at_corner
        top = (0.0, side * y, z)
        return [
            tube("H", (0, 500, 0), (0, 500, 1000), (0, -500, 1000), (0, -500, 0), section="45 x 2.5", bend_radius=135),
            tube("ROOF", top, (900, side * 500, 1000)),
            tube("STAY", top, (-700, side * 500, 0)),
            tube("DIAG", (0, -side * 500, 0), top),
        ]

    @pytest.mark.parametrize("side", [1.0, -1.0])
    def test_each_end_is_named_and_none_is_fitted_to_the_other(self, side: float) -> None:
        """The bend's middle lies (sqrt 2 - 1) of its radius inside the corner, here 55.9."""
        of = checked(definitions(tube=self.cage(side)))
        (said,) = told(*self.cage(side))
        assert (said.marks, said.level) == (("ROOF", "STAY", "DIAG"), "stop")
        assert "(ROOF start 55.9 mm off H, STAY start 55.9 mm off H, DIAG finish 55.9 mm off H)" in said.text
        point = f"[0, {figure(side * 460.46, 1)}, 960.5]"
        ends = [f"of the {end} to {point}" for end in ("start of ROOF", "start of STAY", "finish of DIAG")]
        assert f"set the points {', '.join(ends)}, the nearest on the bend" in said.text
        assert [end.cut for end in of.tubes["ROOF"].ends + of.tubes["STAY"].ends] == ["plain"] * 4
        assert of.tubes["ROOF"].length == pytest.approx(900.0)
        assert of.tubes["DIAG"].ends[1].cut == "plain"
        assert not [f for f in findings(of) if f.rule in ("tubes-cross", "foot-past-end", "past-main-end", "runs-on")]

    def test_the_mirror_image_has_the_same_lengths(self) -> None:
        left, right = (checked(definitions(tube=self.cage(side))).tubes for side in (1.0, -1.0))
        assert {mark: part.length for mark, part in left.items()} == pytest.approx(
            {mark: part.length for mark, part in right.items()}, abs=1e-6
        )

    def test_the_points_that_are_named_mend_it(self) -> None:
        """500 - (1 - 1 / sqrt 2) x 135 = 460.46 and as much under 1000."""
        of = checked(definitions(tube=self.cage(1.0, (460.46, 960.46))))
        assert not told(*self.cage(1.0, (460.46, 960.46)))
        assert all("H" in [joint.onto for joint in of.tubes[mark].ends[0].joints] for mark in ("ROOF", "STAY"))

    def test_going_on_by_hand_in_the_air_is_told_too(self) -> None:
        roof = tube("ROOF", (0, 500, 1000), (900, 500, 1000), start={"extend": 20})
        assert [f.rule for f in told(self.cage(1.0)[0], roof)] == ["short-of-bend"]

    def test_a_tube_that_runs_through_there_carries_its_branches(self) -> None:
        """A rail over the corner carries what ends on it there."""
        rail = tube("RAIL", (-300, 500, 1000), (300, 500, 1000))
        assert told(self.cage(1.0)[0], rail, tube("UP", (0, 500, 1000), (0, 800, 1400))) == []

    def test_an_end_drawn_onto_the_bend_is_fitted_to_it(self) -> None:
        post = tube("POST", (0, 461, 961), (0, 900, 1400))
        assert told(self.cage(1.0)[0], post) == []
