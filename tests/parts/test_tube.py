"""Tubes between points: who sits on whom, and saw lengths worked out by hand."""

import math
import tomllib
from typing import Any

import numpy as np
import pytest
from worded import fact_texts

from fabgen.geometry.tube.solids import RoundBar, distance
from fabgen.job.errors import JobError, Problem
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import LengthPart, Piece
from fabgen.parts.shape.cuts import side_lengths
from fabgen.parts.shape.sections import angle_about
from fabgen.parts.tube.tube import pieces

ROUND = "48.3 x 3.2"
WIDE = "60.3 x 3.2"


def tube(mark: str, *route: tuple[float, float, float], section: str = ROUND, **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def made(*tubes: dict[str, Any]) -> dict[str, Piece]:
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": list(tubes)})
    return {piece.mark: piece for piece in pieces(job)}


def part(piece: Piece) -> LengthPart:
    assert piece.length_part is not None
    return piece.length_part


def sits(piece: Piece) -> tuple[list[str], list[str]]:
    start, finish = part(piece).ends
    return [j.onto for j in start.joints], [j.onto for j in finish.joints]


def cuts(piece: Piece) -> list[str]:
    return [end.cut for end in part(piece).ends]


def problems(*tubes: dict[str, Any]) -> list[Problem]:
    with pytest.raises(JobError) as error:
        made(*tubes)
    return error.value.problems


MAIN = tube("T1", (-500, 0, 0), (500, 0, 0), section=WIDE)


class TestReaching:
    def test_a_tee_anywhere_along_a_main(self) -> None:
        for x in (-480.0, 0.0, 123.4):
            t2 = made(MAIN, tube("T2", (x, 0, 0), (x, 700, 0)))["T2"]
            assert sits(t2) == (["T1"], [])
            joint = part(t2).ends[0].joints[0]
            assert joint.angle == pytest.approx(math.pi / 2)
            assert joint.offset == pytest.approx(0.0, abs=1e-9)

    def test_saw_length_of_a_tee(self) -> None:
        """Longest points at the sides, where the inside skin meets the main last."""
        t2 = made(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)))["T2"]
        inner = 24.15 - 3.2
        assert part(t2).length == pytest.approx(700.0 - math.sqrt(30.15**2 - inner**2))
        assert part(t2).axis == pytest.approx(700.0)

    def test_outside_fit_of_the_job_and_of_an_end(self) -> None:
        t2 = made(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), start={"fit": "outside"}))["T2"]
        assert part(t2).length == pytest.approx(700.0 - math.sqrt(30.15**2 - 24.15**2))
        assert part(t2).ends[0].fit == "outside"

    def test_a_point_on_the_mains_skin_is_carried_to_it(self) -> None:
        from_axis = part(made(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)))["T2"]).length
        from_skin = part(made(MAIN, tube("T2", (0, 30.15, 0), (0, 700, 0)))["T2"]).length
        assert from_skin == pytest.approx(from_axis)

    def test_a_gap_is_not_reached(self) -> None:
        assert cuts(made(MAIN, tube("T2", (0, 33.0, 0), (0, 700, 0)))["T2"]) == ["plain", "plain"]

    def test_an_offset_is_signed_in_the_ends_frame(self) -> None:
        t2 = made(MAIN, tube("T2", (0, 0, 4), (400, 700, 4)))["T2"]
        end = part(t2).ends[0]
        assert abs(end.joints[0].offset) == pytest.approx(4.0)
        # The main's axis as the frame sees it: in the plane z = offset, leaning to +y and +x.
        seen = end.frame.inside(np.array([[0.0, 0, 0], [100.0, 0, 0]]))
        assert seen[:, 2] == pytest.approx([end.joints[0].offset] * 2)
        way = seen[1] - seen[0]
        assert way[0] * way[1] > 0

    def test_a_tube_alongside_is_not_reached(self) -> None:
        assert cuts(made(MAIN, tube("T2", (0, 54.3, 0), (700, 54.3, 0)))["T2"]) == ["plain", "plain"]

    @pytest.mark.parametrize("way", [(1000.0, 0.0, 0.0), (1000.0, 40.0, 0.0)])
    def test_in_line_tubes_butt(self, way: tuple[float, float, float]) -> None:
        assert cuts(made(MAIN, tube("T2", (500, 0, 0), way))["T2"]) == ["plain", "plain"]

    def test_a_corner(self) -> None:
        both = made(MAIN, tube("T2", (500, 0, 0), (500, 700, 0)))
        assert cuts(both["T1"]) == ["plain", "plain"]
        assert sits(both["T2"]) == (["T1"], [])

    def test_a_later_tube_that_runs_through_carries_the_end_too(self) -> None:
        both = made(tube("T2", (0, 0, 0), (0, 700, 0)), MAIN)
        assert cuts(both["T2"]) == ["cope", "plain"]
        assert cuts(both["T1"]) == ["plain", "plain"]

    def test_only_earlier_tubes_where_every_end_stays_as_drawn(self) -> None:
        both = made(tube("T2", (0, 0, 0), (0, 700, 0), corners="as drawn"), MAIN)
        assert cuts(both["T2"]) == ["plain", "plain"]

    def test_the_end_not_the_side(self) -> None:
        """A tube that crosses a main far from its own ends is not coped to it."""
        t2 = made(MAIN, tube("T2", (0, -300, 0), (0, 300, 0)))["T2"]
        assert cuts(t2) == ["plain", "plain"]


class TestNodes:
    def test_three_tubes_at_a_point(self) -> None:
        all_ = made(
            MAIN, tube("T2", (0, 0, 0), (0, 700, 0)), tube("T3", (0, 0, 0), (300, 500, 0), section="33.7 x 2.6")
        )
        assert sits(all_["T3"])[0] == ["T1", "T2"]

    def test_the_branch_touches_each_main_where_that_main_rules(self) -> None:
        all_ = made(
            MAIN, tube("T2", (0, 0, 0), (0, 700, 0)), tube("T3", (0, 0, 0), (300, 500, 0), section="33.7 x 2.6")
        )
        end = part(all_["T3"]).ends[0]
        r = 33.7 / 2
        inner = r - 2.6
        ones, twos = RoundBar(np.zeros(3), np.eye(3)[0], 30.15), RoundBar(np.zeros(3), np.eye(3)[1], 24.15)
        phi = end.line.phi
        radii = np.linspace(inner, r, 101)[:, None, None]
        ring = np.stack((np.zeros_like(phi), np.cos(phi), np.sin(phi)), axis=-1)
        wall = end.frame.outside(ring * radii + (end.line.x[:, None] * np.array([1.0, 0, 0])))
        one, two = distance(ones, wall), distance(twos, wall)
        assert np.minimum(one, two).min(axis=0) == pytest.approx(np.zeros(len(phi)), abs=0.01)
        rules_one, rules_two = one.min(axis=0) < 0.01, two.min(axis=0) < 0.01
        assert rules_one.sum() > 30
        assert rules_two.sum() > 30

    def test_a_main_that_ends_at_the_node_does_not_cut_beyond_it(self) -> None:
        """T2 sits on T1 from one side; T3 comes straight up: its far side sits on T1 alone."""
        all_ = made(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)), tube("T3", (0, 0, 0), (0, 0, 600)))
        end = part(all_["T3"]).ends[0]
        assert [joint.onto for joint in end.joints] == ["T1", "T2"]
        far = end.frame.outside(
            np.column_stack((end.line.x, 24.15 * np.cos(end.line.phi), 24.15 * np.sin(end.line.phi)))
        )
        deepest = far[far[:, 1].argmin()]
        assert deepest[1] == pytest.approx(-24.15, abs=1e-6)
        assert deepest[2] == pytest.approx(math.sqrt(30.15**2 - (24.15 - 3.2) ** 2), abs=1e-6)

    def test_braces_that_meet_only_inside_the_chord_sit_on_the_chord(self) -> None:
        all_ = made(
            tube("T1", (-500, 0, 0), (500, 0, 0), section="114.3 x 5"),
            tube("T2", (0, 0, 0), (-400, 0, 500), section="33.7 x 2.6"),
            tube("T3", (0, 0, 0), (400, 0, 500), section="33.7 x 2.6"),
        )
        assert sits(all_["T3"])[0] == ["T1"]

    def test_onto_may_name_a_later_tube(self) -> None:
        both = made(tube("T2", (0, 0, 0), (0, 700, 0), start={"onto": ["T1"]}), MAIN)
        assert sits(both["T2"]) == (["T1"], [])
        alike = made(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)))
        assert part(both["T2"]).length == pytest.approx(part(alike["T2"]).length)

    def test_a_later_tube_is_not_coped_onto_one_that_sits_on_it(self) -> None:
        both = made(
            tube("T1", (0, 0, 0), (0, 700, 0), start={"onto": ["T2"]}),
            tube("T2", (0, 0, 0), (800, 0, 0), section=WIDE),
        )
        assert sits(both["T1"]) == (["T2"], [])
        assert cuts(both["T2"]) == ["plain", "plain"]

    def test_onto_leaves_out_what_it_does_not_name(self) -> None:
        all_ = made(
            MAIN,
            tube("T2", (0, 0, 0), (0, 700, 0)),
            tube("T3", (0, 0, 0), (300, 500, 0), section="33.7 x 2.6", start={"onto": ["T1"]}),
        )
        assert sits(all_["T3"])[0] == ["T1"]

    def test_plain_is_sawn_up_to_what_stands_there(self) -> None:
        part = made(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), start={"cut": "plain"}))["T2"].length_part
        assert part is not None
        assert part.length == pytest.approx(700.0 - 30.15)
        assert part.ends[0].is_sawn_to_face


class TestPlainEnds:
    def test_extensions(self) -> None:
        t1 = made(tube("T1", (0, 0, 0), (500, 0, 0), start={"extend": 40}, finish={"extend": -15}))["T1"]
        assert part(t1).length == pytest.approx(525.0)
        assert part(t1).axis == pytest.approx(500.0)
        assert part(t1).ends[0].frame.origin == pytest.approx([-40, 0, 0])
        assert (part(t1).ends[0].line.x == 0).all()

    def test_an_extension_counts_for_who_reaches_it(self) -> None:
        post = tube("T2", (520, 0, 0), (520, 0, 400))
        short, long = tube("T1", (0, 0, 0), (480, 0, 0)), tube("T1", (0, 0, 0), (480, 0, 0), finish={"extend": 70})
        assert cuts(made(short, post)["T2"])[0] == "plain"
        assert cuts(made(long, post)["T2"])[0] == "cope"


class TestTop:
    def test_top_is_up(self) -> None:
        t1 = made(tube("T1", (0, 0, 0), (500, 300, 100)))["T1"]
        frame = part(t1).frame
        assert frame is not None
        assert frame.y[2] == pytest.approx(0.0)
        assert frame.z[2] > 0

    def test_top_of_a_vertical_tube_is_forward(self) -> None:
        for z in (400.0, -400.0):
            frame = part(made(tube("T1", (0, 0, 0), (0, 0, z)))["T1"]).frame
            assert frame is not None
            assert frame.z == pytest.approx([1.0, 0.0, 0.0])

    def test_both_ends_show_the_same_top_line(self) -> None:
        t2 = made(MAIN, tube("T9", (-500, 600, 200), (500, 500, 0)), tube("T2", (0, 0, 0), (100, 550, 100)))["T2"]
        shape = part(t2)
        assert shape.frame is not None
        for end in shape.ends:
            top = math.cos(end.top) * end.frame.y + math.sin(end.top) * end.frame.z
            assert top == pytest.approx(shape.frame.z)

    def test_first_figure_stands_upright_and_turn_lays_it_down(self) -> None:
        """Coped onto a round main along y, from x: upright 60 across the main's axis plane is z."""
        main = tube("T1", (0, -500, 0), (0, 500, 0), section=WIDE)
        for turn, half in ((0.0, 30.0), (90.0, 20.0)):
            t2 = made(main, tube("T2", (0, 0, 0), (600, 0, 0), section="60 x 40 x 3 r 6", turn=turn))["T2"]
            end = part(t2).ends[0]
            x_upward = end.line.x[np.abs(end.line.phi - angle_about(end.frame, np.array([0.0, 0, 1]))).argmin()]
            assert x_upward == pytest.approx(math.sqrt(30.15**2 - (half - 3.0) ** 2), abs=0.01)


class TestSquareJoints:
    """At 90 degrees both sides of the branch are alike: the heel is said by rule."""

    def test_heel_is_the_side_nearer_the_top(self) -> None:
        post = tube("T1", (0, 0, -400), (0, 0, 400), section=WIDE)
        t2 = made(post, tube("T2", (0, 0, 0), (700, 0, 0)))["T2"]
        assert part(t2).ends[0].frame.y == pytest.approx([0, 0, 1])

    def test_else_nearer_the_left(self) -> None:
        for far in (-500.0, 500.0):
            main = tube("T1", (far, 0, 0), (-far, 0, 0), section=WIDE)
            t2 = made(main, tube("T2", (0, 0, 0), (0, 700, 0)))["T2"]
            frame = part(t2).frame
            assert frame is not None
            assert part(t2).ends[0].frame.y == pytest.approx(frame.y)


class TestMitres:
    def test_two_equal_tubes_at_a_right_angle(self) -> None:
        both = made(
            tube("T1", (0, 0, 0), (800, 0, 0), finish={"cut": "mitre"}),
            tube("T2", (800, 0, 0), (800, 600, 0)),
        )
        assert cuts(both["T1"]) == ["plain", "mitre"]
        assert cuts(both["T2"]) == ["mitre", "plain"]
        assert part(both["T1"]).length == pytest.approx(800 + 24.15)
        assert part(both["T2"]).length == pytest.approx(600 + 24.15)
        end = part(both["T1"]).ends[1]
        assert end.line.x == pytest.approx(24.15 * np.cos(end.line.phi))
        assert end.joints[0].angle == pytest.approx(math.pi / 4)

    def test_mating_cuts_lie_in_one_plane(self) -> None:
        both = made(
            tube("T1", (0, 0, 0), (800, 0, 0), finish={"cut": "mitre"}),
            tube("T2", (800, 0, 0), (1100, 600, 250), start={"cut": "mitre"}),
        )
        normal = np.array([1.0, 0, 0]) - np.array([300.0, 600, 250]) / math.hypot(300, 600, 250) * -1
        for end in (part(both["T1"]).ends[1], part(both["T2"]).ends[0]):
            ring = np.column_stack((end.line.x, 24.15 * np.cos(end.line.phi), 24.15 * np.sin(end.line.phi)))
            away = (end.frame.outside(ring) - [800, 0, 0]) @ normal
            assert away == pytest.approx(np.zeros(360), abs=1e-9)

    def test_a_third_tube_sits_on_both(self) -> None:
        all_ = made(
            tube("T1", (0, 0, 0), (800, 0, 0), finish={"cut": "mitre"}),
            tube("T2", (800, 0, 0), (800, 600, 0), start={"cut": "mitre"}),
            tube("T3", (800, 0, 0), (800, 0, 500)),
        )
        assert sits(all_["T3"])[0] == ["T1", "T2"]
        assert not part(all_["T3"]).ends[0].line.misses

    def test_three_tubes_mitred_at_a_point(self) -> None:
        mitre = {"cut": "mitre"}
        all_ = made(
            tube("T1", (0, 0, 0), (500, 0, 0), start=mitre),
            tube("T2", (0, 0, 0), (-250, 433, 0), start=mitre),
            tube("T3", (0, 0, 0), (-250, -433, 0), start=mitre),
        )
        end = part(all_["T1"]).ends[0]
        assert sits(all_["T1"])[0] == ["T2", "T3"]
        # A roof of two planes, each 60 degrees from the axis.
        roof = np.abs(24.15 * np.sin(end.line.phi - end.top)) / math.tan(math.radians(60))
        assert end.line.x == pytest.approx(roof, abs=0.01)


class TestLengthsAndMass:
    def test_sides_between_square_copes(self) -> None:
        t3 = made(MAIN, tube("T2", (-500, 900, 0), (500, 900, 0), section=WIDE), tube("T3", (0, 0, 0), (0, 900, 0)))[
            "T3"
        ]
        sides = side_lengths(part(t3))
        inner = 24.15 - 3.2
        assert sides.max() == pytest.approx(900 - 2 * math.sqrt(30.15**2 - inner**2))
        assert sides.min() == pytest.approx(900 - 2 * 30.15)
        assert part(t3).length == pytest.approx(sides.max())

    def test_mass_of_a_plain_tube(self) -> None:
        """EN 10219-2:2006, table B.1 (48.3 x 3.2): 3.56 kg/m."""
        assert made(tube("T1", (0, 0, 0), (1000, 0, 0)))["T1"].mass == pytest.approx(3.56, abs=0.005)

    def test_a_mitre_takes_no_metal_on_the_whole(self) -> None:
        both = made(
            tube("T1", (0, 0, 0), (800, 0, 0), finish={"cut": "mitre"}),
            tube("T2", (800, 0, 0), (800, 600, 0)),
        )
        plain = made(tube("T1", (0, 0, 0), (800, 0, 0)))
        assert both["T1"].mass == pytest.approx(plain["T1"].mass)

    def test_facts(self) -> None:
        facts = fact_texts(made(MAIN, tube("T2", (0, 0, 4), (350, 700, 4)))["T2"].facts)
        assert "start" not in facts
        assert facts["axis"] == "782.6 mm"


class TestFaults:
    def test_no_length(self) -> None:
        (fault,) = problems(tube("T1", (1, 2, 3), (1, 2, 3)))
        assert fault.path == ("tube", 0, "route")

    def test_unknown_mark(self) -> None:
        (fault,) = problems(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), start={"onto": ["T11"]}))
        assert fault.path == ("tube", 1, "start", "onto", 0)
        assert fault.nearest == "T1"

    def test_itself(self) -> None:
        (fault,) = problems(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), start={"onto": ["T2"]}))
        assert "its own partner" in fault.what

    def test_each_onto_the_other(self) -> None:
        found = problems(
            tube("T1", (0, 0, 0), (800, 0, 0), start={"onto": ["T2"]}),
            tube("T2", (0, 0, 0), (0, 700, 0), start={"onto": ["T1"]}),
        )
        assert all("each coped onto the other" in fault.what for fault in found)

    def test_onto_a_parallel_tube(self) -> None:
        (fault,) = problems(MAIN, tube("T2", (0, 0, 0), (700, 20, 0), start={"onto": ["T1"]}))
        assert "parallel" in fault.what

    def test_cope_that_reaches_nothing(self) -> None:
        (fault,) = problems(MAIN, tube("T2", (0, 100, 0), (0, 700, 0), start={"cut": "cope"}))
        assert fault.path == ("tube", 1, "start", "cut")

    def test_mitre_with_nothing(self) -> None:
        (fault,) = problems(tube("T2", (0, 100, 0), (0, 700, 0), start={"cut": "mitre"}))
        assert "no other tube ends here" in fault.what

    def test_mitre_with_one_of_several(self) -> None:
        (fault,) = problems(
            tube("T1", (0, 0, 0), (800, 0, 0), start={"cut": "mitre"}),
            tube("T2", (0, 0, 0), (0, 700, 0)),
            tube("T3", (0, 0, 0), (0, 0, 700)),
        )
        assert "T2 and T3" in fault.what

    def test_mitre_with_a_plain_end(self) -> None:
        (fault,) = problems(
            tube("T1", (0, 0, 0), (800, 0, 0), start={"cut": "mitre", "onto": ["T2"]}),
            tube("T2", (0, 0, 0), (0, 700, 0), start={"cut": "plain"}),
        )
        assert "given as plain" in fault.what

    def test_an_extension_of_a_coped_end(self) -> None:
        (fault,) = problems(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), start={"extend": 20}))
        assert fault.path == ("tube", 1, "start", "extend")

    def test_cuts_that_leave_nothing(self) -> None:
        (fault,) = problems(
            MAIN, tube("T2", (-500, 40, 0), (500, 40, 0), section=WIDE), tube("T3", (0, 0, 0), (0, 40, 0))
        )
        assert fault.path == ("tube", 2)
        assert "leave nothing" in fault.what
        assert "T1 and T2" in fault.what

    @pytest.mark.parametrize(("half", "wide"), [(27, 20), (30, 20), (20, 12)])
    def test_a_sleeve_across_inside_a_tube_goes_with_its_hole(self, half: int, wide: int) -> None:
        box = tube("T1", (0, 0, 0), (500, 0, 0), section="60 x 60 x 3")
        sleeve = tube("T2", (250, -half, 0), (250, half, 0), section=f"{wide} x 2")
        (fault,) = problems(box, sleeve)
        assert fault.path == ("tube", 1)
        assert "it lies inside T1" in fault.what
        hole = f'near = [250, 0, 0], toward = [250, -{half}, 0], bolt = "…", both_walls = true, sleeve = "{wide} x 2"'
        assert fault.accepted.endswith(f"in the table of T1: holes = [{{ {hole} }}]")
        hole_keys = tomllib.loads("hole = { " + hole.replace("…", "M8" if wide > 12 else "M6") + " }")["hole"]
        made_again = made(box | {"holes": [hole_keys]})
        assert part(made_again["T1-S1"]).length == pytest.approx(60.0)

    @pytest.mark.parametrize(
        ("points", "section"),
        [(((250, -25, 0), (280, 25, 0)), "16 x 2"), (((250, -25, 0), (250, 25, 0)), "16 x 16 x 2"),
         (((250, -25, 15), (250, 25, 15)), "16 x 2")],
    )  # fmt: skip
    def test_no_other_tube_stands_inside_one(self, points: tuple[Any, Any], section: str) -> None:
        box = tube("T1", (0, 0, 0), (500, 0, 0), section="60 x 60 x 3")
        (fault,) = problems(box, tube("T2", *points, section=section))
        assert "it lies inside T1" in fault.what
        assert fault.accepted.startswith("points farther apart: ")

    def test_all_faults_at_once(self) -> None:
        found = problems(
            tube("T1", (1, 2, 3), (1, 2, 3)),
            tube("T2", (0, 0, 0), (0, 700, 0), start={"onto": ["T11"]}, finish={"cut": "mitre"}),
        )
        assert [fault.path[:2] for fault in found] == [("tube", 0), ("tube", 1), ("tube", 1)]
