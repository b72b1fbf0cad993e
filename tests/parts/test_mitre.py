"""Flat cuts: seams from edge to edge, saw settings, ends on a plane, root gaps."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs import TUBE_RULES, findings, made_by_hand
from worded import fact_texts

from fabgen.geometry.tube.solids import RoundBar, distance
from fabgen.job.errors import JobError, Problem
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.sections import end_profile
from fabgen.parts.shape.tubes import solid_of
from fabgen.parts.tube.tube import pieces

Point = tuple[float, float, float]
MITRE = {"cut": "mitre"}


def tube(mark: str, *route: Point, section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def made(*tubes: dict[str, Any], **header: Any) -> dict[str, Piece]:
    job = {"job": {"title": "t", "number": "1", "units": "mm", **header}, "tube": list(tubes)}
    return {piece.mark: piece for piece in pieces(Definitions.model_validate(job))}


def part(piece: Piece) -> LengthPart:
    assert piece.length_part is not None
    return piece.length_part


def edge(made_part: LengthPart, end: WorkedEnd) -> np.ndarray:
    """The cut's outer edge in space, (n, 3)."""
    skin = end_profile(made_part.section, end).skin
    return end.frame.outside(np.column_stack((end.line.x, skin)))


def problems(*tubes: dict[str, Any]) -> list[Problem]:
    with pytest.raises(JobError) as error:
        made(*tubes)
    return error.value.problems


class TestUnequal:
    """A 60 high tube along x meets a 40 high one along z: upright, so first figures lie in the joint's plane."""

    ONE = tube("A", (0, 0, 0), (-600, 0, 0), section="60 x 40 x 3 r 6", start=MITRE)
    OTHER = tube("B", (0, 0, 0), (0, 0, -600), section="40 x 40 x 3 r 6", start=MITRE)

    def test_bisecting_plane(self) -> None:
        both = made(self.ONE, self.OTHER)
        assert math.degrees(part(both["A"]).ends[0].joints[0].angle) == pytest.approx(45.0)
        assert math.degrees(part(both["B"]).ends[0].joints[0].angle) == pytest.approx(45.0)

    def test_from_edge_to_edge(self) -> None:
        """The seam runs from (20, 30) to (-20, -30): atan(30 / 20) to A's axis, the rest of 90 to B's."""
        both = made({**self.ONE, "start": {**MITRE, "seam": "edges"}}, self.OTHER)
        a, b = part(both["A"]).ends[0], part(both["B"]).ends[0]
        assert math.degrees(a.joints[0].angle) == pytest.approx(math.degrees(math.atan2(30, 20)))
        assert math.degrees(b.joints[0].angle) == pytest.approx(math.degrees(math.atan2(20, 30)))
        for each, end in ((part(both["A"]), a), (part(both["B"]), b)):
            points = edge(each, end)
            off = points[:, 0] * 30.0 - points[:, 2] * 20.0
            assert off == pytest.approx(np.zeros(len(off)), abs=1e-6)
            assert points[:, 2].max() == pytest.approx(30.0, abs=1e-6)
            assert points[:, 0].max() == pytest.approx(20.0, abs=1e-6)

    @pytest.mark.parametrize("way", [(-500, 0, -300), (-200, 0, -500), (400, 0, -500)])
    def test_edges_meet_at_any_angle(self, way: Point) -> None:
        both = made({**self.ONE, "start": {**MITRE, "seam": "edges"}}, tube("B", (0, 0, 0), way, section="40 x 4"))
        a, b = (edge(part(both[mark]), part(both[mark]).ends[0]) for mark in "AB")
        for side in (np.argmax, np.argmin):
            # Highest and lowest points of the seam, along its own direction in the joint's plane.
            seam = a[np.argmax(a[:, 2])] - a[np.argmin(a[:, 2])]
            seam[1] = 0.0
            seam /= np.linalg.norm(seam)
            one, other = a[side(a @ seam)], b[side(b @ seam)]
            assert one @ seam == pytest.approx(other @ seam, abs=0.01)

    def test_of_equal_tubes_both_seams_are_one(self) -> None:
        one, other = tube("A", (0, 0, 0), (-600, 0, 0), start=MITRE), tube("B", (0, 0, 0), (200, 500, 0), start=MITRE)
        bisect = part(made(one, other)["A"]).ends[0]
        edges = part(made({**one, "start": {**MITRE, "seam": "edges"}}, other)["A"]).ends[0]
        assert edges.line.x == pytest.approx(bisect.line.x)

    def test_three_tubes_have_no_seam_from_edge_to_edge(self) -> None:
        (fault,) = problems(
            tube("A", (0, 0, 0), (500, 0, 0), start={**MITRE, "seam": "edges"}),
            tube("B", (0, 0, 0), (-250, 433, 0), start=MITRE),
            tube("C", (0, 0, 0), (-250, -433, 0), start=MITRE),
        )
        assert fault.path == ("tube", 0, "start", "seam")


def blade(swing: float, tilt: float) -> np.ndarray:
    """Normal of a blade square to a tube along x, swung about the upright z, then tilted about the
    level line that lies in it: rotation matrices, nothing of the code's own."""
    c, s = math.cos(swing), math.sin(swing)
    about_z = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    level = about_z @ np.array([0.0, 1.0, 0.0])
    normal = about_z @ np.array([1.0, 0.0, 0.0])
    return np.cos(tilt) * normal + np.sin(tilt) * np.cross(level, normal)


class TestSaw:
    @given(st.floats(-60, 60), st.floats(-60, 60))
    def test_swing_and_tilt_give_the_plane_back(self, side: float, up: float) -> None:
        """Any plane at a rectangular tube's end is that of the blade so set, whichever way each goes."""
        normal = np.array([1.0, math.tan(math.radians(side)), math.tan(math.radians(up))])
        normal /= np.linalg.norm(normal)
        end = {"plane": {"at": [0, 0, 0], "normal": normal.tolist()}}
        a = part(made(tube("A", (0, 0, 0), (600, 0, 0), section="60 x 40 x 3", start=end))["A"])
        (flat,) = a.ends[0].flats
        signs = [blade(i * flat.swing, j * flat.tilt) for i in (1, -1) for j in (1, -1)]
        assert min(float(np.linalg.norm(n - normal)) for n in signs) < 1e-6
        assert math.cos(flat.from_square) == pytest.approx(normal[0])

    def test_compound_corner_of_a_box_frame(self) -> None:
        """Two rectangular tubes in a plane tipped by 30 degrees: by the plane's normal in the tube's axes."""
        tip = math.radians(30.0)
        way = (0.0, 600.0 * math.cos(tip), 600.0 * math.sin(tip))
        both = made(
            tube("A", (0, 0, 0), (600, 0, 0), section="60 x 40 x 3", start=MITRE),
            tube("B", (0, 0, 0), way, section="60 x 40 x 3", start=MITRE),
        )
        (flat,) = part(both["A"]).ends[0].flats
        # The bisecting plane's normal: x less B's direction.
        n = np.array([1.0, -math.cos(tip), -math.sin(tip)]) / math.sqrt(2.0)
        assert flat.from_square == pytest.approx(math.radians(45.0))
        assert abs(flat.swing) == pytest.approx(math.atan2(abs(n[1]), n[0]))
        assert abs(flat.tilt) == pytest.approx(math.asin(abs(n[2])))
        assert "swing 40.9° (right longer) and tilt 20.7° (bottom longer)" in fact_texts(both["A"].facts)["saw, start"]

    def test_the_long_side(self) -> None:
        end = part(
            made(tube("A", (0, 0, 0), (600, 0, 0), start=MITRE), tube("B", (0, 0, 0), (0, 600, 0), start=MITRE))["A"]
        ).ends[0]
        (flat,) = end.flats
        assert flat.long_side == pytest.approx(float(end.line.phi[end.line.x.argmin()]))

    def test_three_tubes_take_two_cuts_each(self) -> None:
        three = made(
            tube("A", (0, 0, 0), (500, 0, 0), start=MITRE),
            tube("B", (0, 0, 0), (-250, 433, 0), start=MITRE),
            tube("C", (0, 0, 0), (-250, -433, 0), start=MITRE),
        )
        flats = part(three["A"]).ends[0].flats
        assert [flat.onto for flat in flats] == ["B", "C"]
        assert [math.degrees(flat.from_square) for flat in flats] == pytest.approx([30.0, 30.0], abs=0.01)


class TestPlanes:
    def test_square_on_a_plate(self) -> None:
        on = {"plane": {"at": [0, 0, 10], "normal": [0, 0, 1]}}
        a = part(made(tube("A", (0, 0, 0), (0, 0, 500), start=on))["A"])
        assert a.length == pytest.approx(490.0)
        assert a.ends[0].cut == "plane"
        assert a.ends[0].joints == ()
        assert math.degrees(a.ends[0].plane_angle or 0.0) == pytest.approx(90.0)

    @pytest.mark.parametrize("normal", [(0.3, 0.2, 1.0), (-0.3, -0.2, -1.0)])
    def test_the_edge_lies_in_the_plane(self, normal: Point) -> None:
        on = {"plane": {"at": [5, 6, 7], "normal": list(normal)}}
        a = part(made(tube("A", (0, 0, 0), (100, 50, 500), section="60 x 40 x 3", finish={}, start=on))["A"])
        off = (edge(a, a.ends[0]) - [5, 6, 7]) @ np.array(normal)
        assert off == pytest.approx(np.zeros(len(off)), abs=1e-9)

    def test_three_points(self) -> None:
        points = {"plane": [[0, 0, 10], [100, 0, 10], [0, 100, 10]]}
        assert part(made(tube("A", (0, 0, 0), (0, 0, 500), start=points))["A"]).length == pytest.approx(490.0)

    def test_heel_is_the_acute_side(self) -> None:
        on = {"plane": {"at": [0, 0, 0], "normal": [0, 0, 1]}}
        end = part(made(tube("A", (0, 0, 0), (400, 0, 400), start=on))["A"]).ends[0]
        assert math.degrees(end.plane_angle or 0.0) == pytest.approx(45.0)
        assert end.line.x.argmax() == 0
        assert end.line.x[0] == pytest.approx(24.15)

    def test_other_tubes_leave_it_alone(self) -> None:
        on = {"plane": {"at": [0, 0, 10], "normal": [0, 0, 1]}}
        both = made(tube("M", (-500, 0, 0), (500, 0, 0)), tube("A", (0, 0, 0), (0, 0, 500), start=on))
        assert part(both["A"]).ends[0].cut == "plane"

    def test_a_tube_of_that_mark_is_not_the_plane(self) -> None:
        """A tube marked 'plane' keeps its words where another is mitred with it, and no end cut to a plane sits on
        it: where the two run through one another the check says so."""
        mitred = made(
            tube("plane", (-400, 0, 0), (0, 0, 0), finish={"cut": "mitre"}),
            tube("B", (0, 0, 0), (0, 400, 0), start={"cut": "mitre"}),
        )
        assert fact_texts(mitred["B"].facts)["saw, start"].startswith("for plane 45.0° from square")
        on = {"plane": {"at": [0, 0, 0], "normal": [0, 0, 1]}}
        crossing = made(tube("plane", (-500, 0, 200), (500, 0, 200)), tube("A", (0, 0, 0), (0, 0, 500), start=on))
        assert part(crossing["A"]).ends[0].joints == ()
        told = findings(made_by_hand(*crossing.values()), TUBE_RULES)
        assert [(finding.marks, finding.rule) for finding in told] == [(("A",), "tubes-cross")]

    def test_points_in_a_line(self) -> None:
        (fault,) = problems(tube("A", (0, 0, 0), (0, 0, 500), start={"plane": [[0, 0, 0], [1, 0, 0], [2, 0, 0]]}))
        assert fault.path == ("tube", 0, "start", "plane")
        assert "one line" in fault.what

    def test_a_tube_in_the_plane(self) -> None:
        on = {"plane": {"at": [0, 0, 0], "normal": [0, 1, 0]}}
        (fault,) = problems(tube("A", (0, 0, 0), (0, 0, 500), start=on))
        assert "within 5 degrees" in fault.what


class TestRootGap:
    MAIN = tube("M", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2")

    @pytest.mark.parametrize("way", [(0, 700, 0), (500, 500, 0), (300, 400, 200)])
    def test_it_is_measured_square_to_a_round_main(self, way: Point) -> None:
        branch = tube("B", (0, 0, 4), (way[0], way[1], way[2] + 4), start={"gap": 1.5, "fit": "outside"})
        b = part(made(self.MAIN, branch)["B"])
        away = distance(RoundBar(np.zeros(3), np.array([1.0, 0, 0]), 30.15), edge(b, b.ends[0]))
        assert away == pytest.approx(np.full(360, 1.5), abs=1e-6)
        assert b.ends[0].gap == 1.5

    def test_and_to_a_rectangular_one(self) -> None:
        main = {**self.MAIN, "section": "60 x 40 x 3 r 6"}
        b = part(made(main, tube("B", (0, 0, 0), (150, 700, 0), start={"gap": 2, "fit": "outside"}))["B"])
        over = np.maximum(np.abs(edge(b, b.ends[0])[:, 1:]) - [14.0, 24.0], 0.0)
        assert np.linalg.norm(over, axis=1) - 6.0 == pytest.approx(np.full(360, 2.0), abs=1e-6)

    def test_and_to_a_bend(self) -> None:
        hoop = tube("H", (0, -300, 0), (0, -300, 600), (0, 300, 600), (0, 300, 0), section="40 x 2", bend_radius=120)
        sit = 120.0 * (1.0 - math.sqrt(0.5))
        brace = tube("B", (0, 300 - sit, 600 - sit), (500, 200, 400), section="25 x 2")
        both = made(hoop, {**brace, "start": {"gap": 1.2, "fit": "outside"}})
        solid = solid_of(both["H"].length_part)
        assert solid is not None
        assert distance(solid, edge(part(both["B"]), part(both["B"]).ends[0])) == pytest.approx(
            np.full(360, 1.2), abs=1e-5
        )

    def test_the_jobs_own_and_an_ends(self) -> None:
        both = made(self.MAIN, tube("B", (0, 0, 0), (0, 700, 0)), root_gap=1.0)
        assert part(both["B"]).ends[0].gap == 1.0
        none = made(self.MAIN, tube("B", (0, 0, 0), (0, 700, 0), start={"gap": 0}), root_gap=1.0)
        assert part(none["B"]).ends[0].gap == 0.0

    def test_plain_ends_have_none(self) -> None:
        assert part(made(self.MAIN, root_gap=1.0)["M"]).length == pytest.approx(1000.0)

    def test_a_mitre_shares_it(self) -> None:
        """1 mm between the two planes, half off each tube."""
        one = tube("A", (0, 0, 0), (-600, 0, 0), start={**MITRE, "gap": 1})
        both = made(one, tube("B", (0, 0, 0), (0, 600, 0), start=MITRE))
        normal = np.array([1.0, 1.0, 0.0]) / math.sqrt(2.0)
        a, b = (edge(part(both[m]), part(both[m]).ends[0]) @ normal for m in "AB")
        assert a == pytest.approx(np.full(360, -0.5))
        assert b == pytest.approx(np.full(360, 0.5))

    def test_on_a_plane(self) -> None:
        on = {"plane": {"at": [0, 0, 10], "normal": [1, 0, 1]}, "gap": 1.5}
        a = part(made(tube("A", (0, 0, 0), (0, 0, 500), start=on))["A"])
        off = (edge(a, a.ends[0]) - [0, 0, 10]) @ np.array([1.0, 0, 1.0]) / math.sqrt(2.0)
        assert off == pytest.approx(np.full(360, 1.5))
