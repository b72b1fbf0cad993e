"""Bent tubes from the job: lengths, marks and rotations worked out by hand; copes on bends."""

import math
from typing import Any

import numpy as np
import pytest

from fabgen.geometry.tube.solids import distance
from fabgen.job.errors import JobError, Problem
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import LengthPart, Piece
from fabgen.parts.shape.tubes import as_met, solid_of
from fabgen.parts.tube.tube import pieces

Point = tuple[float, float, float]


def tube(mark: str, *route: Point, section: str = "40 x 2", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def made(*tubes: dict[str, Any], **tables: Any) -> dict[str, Piece]:
    job = {"job": {"title": "t", "number": "1", "units": "mm"}, "tube": list(tubes), **tables}
    return {piece.mark: piece for piece in pieces(Definitions.model_validate(job))}


def part(piece: Piece) -> LengthPart:
    assert piece.length_part is not None
    return piece.length_part


def problems(*tubes: dict[str, Any]) -> list[Problem]:
    with pytest.raises(JobError) as error:
        made(*tubes)
    return error.value.problems


QUARTER = tube("H", (0, 0, 0), (400, 0, 0), (400, 300, 0), bend_radius=120)
ARC = 120.0 * math.pi / 2.0
FORMER = {
    "tube": 40,
    "radius": 120,
    "springback": "3 %",
    "setback": 15,
    "neutral_shift": 2,
    "least_straight": 90,
    "name": "old one",
}


class TestLengths:
    def test_plain_ends(self) -> None:
        h = part(made(QUARTER)["H"])
        assert h.length == pytest.approx(280.0 + ARC + 180.0)
        assert h.axis == pytest.approx(h.length)
        assert h.straights == pytest.approx((280.0, 180.0))
        (bend,) = h.bends
        assert (bend.at, bend.length, bend.mark) == pytest.approx((280.0, ARC, 280.0))
        assert math.degrees(bend.angle) == pytest.approx(90.0)

    def test_mass_is_of_the_centrelines_length(self) -> None:
        straight = made(tube("T", (0, 0, 0), (1000, 0, 0)))["T"].mass
        assert made(QUARTER)["H"].mass == pytest.approx(straight * (460.0 + ARC) / 1000.0)

    def test_extensions_move_the_marks(self) -> None:
        h = part(made({**QUARTER, "start": {"extend": 50}, "finish": {"extend": -20}})["H"])
        assert h.length == pytest.approx(280.0 + ARC + 180.0 + 30.0)
        assert h.bends[0].mark == pytest.approx(330.0)
        assert h.straights == pytest.approx((330.0, 160.0))

    def test_a_cope_at_its_start(self) -> None:
        """Sawn where the inside skin meets the main first: sqrt(R^2 - r^2) short of the main's axis."""
        main = tube("M", (0, -400, 0), (0, 400, 0), section="60 x 3")
        h = part(made(main, QUARTER)["H"])
        lost = math.sqrt(30.0**2 - 18.0**2)
        assert h.length == pytest.approx(280.0 - lost + ARC + 180.0)
        assert h.bends[0].mark == pytest.approx(280.0 - lost)

    def test_radii_one_by_one(self) -> None:
        z = part(made(tube("Z", (0, 0, 0), (400, 0, 0), (400, 400, 0), (800, 400, 0), bend_radius=[100, 150]))["Z"])
        assert [bend.radius for bend in z.bends] == [100.0, 150.0]
        assert z.straights == pytest.approx((300.0, 150.0, 250.0))


class TestFormer:
    def test_springback_set_back_and_neutral_line(self) -> None:
        (bend,) = part(made(QUARTER, former=[FORMER])["H"]).bends
        assert math.degrees(bend.set_angle) == pytest.approx(92.7)
        assert bend.mark == pytest.approx(280.0 - 15.0)
        assert bend.length == pytest.approx((120.0 - 2.0) * math.pi / 2.0)
        assert bend.grip == 90.0
        assert bend.former.words() == "old one, radius 120 mm"

    def test_springback_as_an_angle(self) -> None:
        (bend,) = part(made(QUARTER, former=[{**FORMER, "springback": "2.5 deg"}])["H"]).bends
        assert math.degrees(bend.set_angle) == pytest.approx(92.5)

    def test_the_saw_length_counts_the_neutral_line(self) -> None:
        h = part(made(QUARTER, former=[FORMER])["H"])
        assert h.length == pytest.approx(280.0 + 118.0 * math.pi / 2.0 + 180.0)
        assert h.axis == pytest.approx(280.0 + ARC + 180.0)

    @pytest.mark.parametrize("other", [{"tube": 42.4}, {"radius": 100}])
    def test_one_that_does_not_fit(self, other: dict[str, Any]) -> None:
        (bend,) = part(made(QUARTER, former=[{**FORMER, **other}])["H"]).bends
        assert bend.former.words() == ""
        assert bend.set_angle == bend.angle
        assert bend.grip == pytest.approx(80.0)


class TestRotations:
    def test_up_then_left(self) -> None:
        """From +x up, then to +y: seen along the tube going up, its top line lies at -x, so +y is
        to the left of it... worked out with a rolled paper: a quarter anticlockwise."""
        z = part(made(tube("Z", (0, 0, 0), (400, 0, 0), (400, 0, 400), (400, 400, 400), bend_radius=100))["Z"])
        assert math.degrees(z.bends[0].from_top) == pytest.approx(0.0)
        assert math.degrees(z.bends[1].rotation) == pytest.approx(-90.0)
        assert math.degrees(z.bends[1].from_top) == pytest.approx(-90.0)

    def test_rebuilt_from_the_sheet(self) -> None:
        """Walking along the tube by the bend sheet's figures alone leads to the route's finish."""
        route = ((0, 0, 0), (400, 0, 50), (450, 300, 0), (200, 420, 300), (600, 700, 300))
        z = part(made(tube("Z", *route, section="25 x 2", bend_radius=[80, 90, 60]))["Z"])
        assert z.frame is not None
        place, ahead, top = np.array(route[0], dtype=float), z.frame.x, z.frame.z
        at, from_top = 0.0, 0.0
        for bend in z.bends:
            place, at = place + (bend.at - at) * ahead, bend.at
            from_top += bend.rotation if bend is not z.bends[0] else bend.from_top
            right = np.cross(ahead, top)
            inside = math.cos(from_top) * top + math.sin(from_top) * right
            c, s = math.cos(bend.angle), math.sin(bend.angle)
            place = place + bend.radius * (s * ahead + (1.0 - c) * inside)
            swing = np.cross(ahead, inside)
            ahead, turned = c * ahead + s * inside, c * inside - s * ahead
            # What of the top lies across the bend stays; what lies in it turns with the tube.
            top = (top @ swing) * swing + math.cos(from_top) * turned
            at += bend.length
        place = place + (z.length - at) * ahead
        assert place == pytest.approx(np.array(route[-1]), abs=1e-6)

    def test_the_same_way_again_is_no_rotation(self) -> None:
        u = part(made(tube("U", (0, 0, 0), (0, 0, 600), (0, 500, 600), (0, 500, 0), bend_radius=100))["U"])
        assert math.degrees(u.bends[1].rotation) == pytest.approx(0.0, abs=1e-9)

    def test_an_s_turns_by_half(self) -> None:
        s = part(made(tube("S", (0, 0, 0), (400, 0, 0), (400, 400, 0), (800, 400, 0), bend_radius=100))["S"])
        assert math.degrees(s.bends[1].rotation) == pytest.approx(180.0)


class TestTop:
    def test_the_finish_shows_the_line_carried_on(self) -> None:
        """Bent straight up, the top line leans back: at the finish it faces -x."""
        h = part(made(tube("H", (0, 0, 0), (400, 0, 0), (400, 0, 400), bend_radius=100))["H"])
        end = h.ends[1]
        top = math.cos(end.top) * end.frame.y + math.sin(end.top) * end.frame.z
        assert top == pytest.approx([-1.0, 0.0, 0.0], abs=1e-9)
        assert end.frame.x == pytest.approx([0.0, 0.0, -1.0], abs=1e-9)


HOOP = tube("H", (0, -300, 0), (0, -300, 600), (0, 300, 600), (0, 300, 0), bend_radius=120)
BEND = 120.0 * (1.0 - math.sqrt(0.5))


class TestOnABend:
    def test_joint_of_a_brace_at_the_middle_of_a_bend(self) -> None:
        brace = tube("B", (0, 300 - BEND, 600 - BEND), (500, 300 - BEND, 600 - BEND), section="25 x 2")
        (joint,) = part(made(HOOP, brace)["B"]).ends[0].joints
        assert joint.onto == "H"
        assert math.degrees(joint.angle) == pytest.approx(90.0)
        assert joint.offset == pytest.approx(0.0, abs=1e-6)

    def test_the_wall_touches_the_bend_all_round(self) -> None:
        brace = tube("B", (0, 300 - BEND, 600 - BEND), (-500, 250, 100), section="25 x 2")
        both = made(HOOP, brace)
        b = part(both["B"])
        end = b.ends[0]
        assert not end.line.misses
        solid = solid_of(both["H"].length_part)
        assert solid is not None
        ring = np.column_stack((np.zeros(360), np.cos(end.line.phi), np.sin(end.line.phi)))
        radii = np.linspace(10.5, 12.5, 201)[:, None, None]
        wall = end.frame.outside(ring * radii + end.line.x[:, None] * np.array([1.0, 0.0, 0.0]))
        away = distance(solid, wall)
        assert away.min(axis=0) == pytest.approx(np.zeros(360), abs=1e-3)
        assert away.min() > -1e-6

    def test_across_a_hoop_each_end_meets_its_own_leg(self) -> None:
        cross = part(made(HOOP, tube("X", (0, -300, 200), (0, 300, 200), section="25 x 2"))["X"])
        assert [[joint.onto for joint in end.joints] for end in cross.ends] == [["H"], ["H"]]
        assert cross.length == pytest.approx(600.0 - 2.0 * math.sqrt(20.0**2 - 10.5**2))

    def test_from_inside_the_bend(self) -> None:
        brace = tube("B", (0, 300 - BEND, 600 - BEND), (0, 0, 300), section="25 x 2")
        end = part(made(HOOP, brace)["B"]).ends[0]
        assert not end.line.misses
        # Coplanar and along the bend's own radius: the cut is the same on either side of the plane.
        assert end.line.x == pytest.approx(np.interp(-end.line.phi, end.line.phi, end.line.x, period=2 * math.pi))

    def test_a_rectangular_bend(self) -> None:
        hoop = {**HOOP, "section": "40 x 30 x 2 r 4", "bend_radius": 120, "turn": 0.0}
        brace = tube("B", (0, 300 - BEND, 600 - BEND), (400, 300 - BEND, 600 - BEND), section="20 x 2")
        end = part(made(hoop, brace)["B"]).ends[0]
        assert not end.line.misses
        # Sideways onto the flat face of the bend: half the depth from its centreline.
        assert np.median(end.line.x) == pytest.approx(20.0, abs=5.5)

    def test_bent_onto_bent(self) -> None:
        bow = tube("W", (0, 300 - BEND, 600 - BEND), (300, 300 - BEND, 600 - BEND), (300, 0, 300), section="25 x 2")
        both = made(HOOP, {**bow, "bend_radius": 90})
        end = part(both["W"]).ends[0]
        assert not end.line.misses
        solid = as_met(both["H"].length_part, part(both["W"]), end)
        assert solid is not None


class TestGapAndFit:
    def test_outside_fit(self) -> None:
        brace = tube("B", (0, 300 - BEND, 600 - BEND), (500, 300 - BEND, 600 - BEND), section="25 x 2")
        clear = part(made(HOOP, brace)["B"]).ends[0].line.x
        outside = part(made(HOOP, {**brace, "start": {"fit": "outside"}})["B"]).ends[0].line.x
        assert (clear >= outside - 1e-6).all()
        assert clear.max() > outside.max() - 1e-6


class TestFaults:
    def test_tighter_than_the_tube(self) -> None:
        (fault,) = problems({**QUARTER, "bend_radius": 18})
        assert "tighter than the tube itself" in fault.what

    def test_bends_that_overlap(self) -> None:
        (fault,) = problems(tube("H", (0, 0, 0), (400, 0, 0), (400, 150, 0), (0, 150, 0), bend_radius=100))
        assert fault.path == ("tube", 0, "route", 1)
        assert "take 200.0 mm" in fault.what

    def test_a_rectangular_tube_bends_square_to_a_face(self) -> None:
        (fault,) = problems({**QUARTER, "section": "40 x 30 x 2", "turn": 20})
        assert fault.path == ("tube", 0, "turn")
        assert "turn = 0," in fault.accepted
        level = {**QUARTER, "section": "40 x 30 x 2"}
        assert part(made(level)["H"]).bends[0].radius == 120.0
        on_edge = part(made({**level, "turn": 90})["H"])
        assert on_edge.bends[0].grip == pytest.approx(80.0)  # 40 mm lie in the bend
