"""Saw set-ups: straight cuts, hole saws and what no saw makes."""

from __future__ import annotations

import math
from typing import Any

import manifold3d as m3
import numpy as np
import pytest

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart, Piece, SawSetup, length_parts
from fabgen.parts.single_cope import simple_cope
from fabgen.parts.tube.joined import joined
from fabgen.shop.section import Section


def round_tube(diameter: float, wall: float = 3.0) -> Section:
    return Section("round", diameter, diameter, wall)


def tube(mark: str, *route: tuple[float, float, float], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def built(*tubes: dict[str, Any]) -> list[Piece]:
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": list(tubes)})
    return all_pieces(job)


def setups(*tubes: dict[str, Any]) -> dict[tuple[str, str], SawSetup]:
    return saw_cuts(built(*tubes))


def saw_cuts(pieces: list[Piece]) -> dict[tuple[str, str], SawSetup]:
    ends = [(piece.mark, end) for piece, part in length_parts(pieces) for end in part.ends]
    return {(mark, end.at): end.saw for mark, end in ends if end.saw is not None}


MAIN = tube("T1", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2")
BOX = tube("T1", (-500, 0, 0), (500, 0, 0), section="80 x 60 x 3 r 6")


class TestHoleSaws:
    @pytest.mark.parametrize(("degrees", "offset"), [(90.0, 0.0), (60.0, 0.0), (45.0, 6.0), (35.0, -4.0)])
    def test_the_same_from_a_job_as_from_one_cope(self, degrees: float, offset: float) -> None:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        found = setups(MAIN, tube("T2", (0, 0, offset), (700 * c, 700 * s, offset)))["T2", "start"]
        one = simple_cope(round_tube(48.3, 3.2), round_tube(60.3, 3.2), math.radians(degrees), abs(offset)).saw
        for key in (
            "method",
            "angle_deg",
            "from_square_deg",
            "hole_saw_depth_mm",
            "long_point_mm",
            "hole_saw_ready_in",
        ):
            mine, wanted = getattr(found, key), getattr(one, key)
            assert mine == (pytest.approx(wanted, abs=1e-3) if isinstance(wanted, float) else wanted), key
        assert abs(found.offset_mm) == pytest.approx(abs(offset))

    def test_travel_square_across_is_the_branchs_diameter(self) -> None:
        saw = simple_cope(round_tube(48.3), round_tube(60.3), math.radians(90)).saw
        assert saw.hole_saw_depth_mm == pytest.approx(48.3)
        assert "the common cup cannot do it, it takes 38 mm; a deep cup, or by the template" in saw.advice.words()
        assert (
            "cannot do it" not in simple_cope(round_tube(33.7), round_tube(60.3), math.radians(90)).saw.advice.words()
        )

    def test_deeper_than_any_cup(self) -> None:
        saw = simple_cope(round_tube(88.9), round_tube(114.3), math.radians(90)).saw
        assert saw.method == "template"
        assert "no hole saw can do it" in saw.advice.words()

    def test_the_ready_made_saw_that_leaves_least_open(self) -> None:
        """48.3 mm main: 1 7/8 in is 47.625, 2 in is 50.8; the gap beside the branch by two sagittas."""
        saw = simple_cope(round_tube(33.7), round_tube(48.3), math.radians(90)).saw
        assert (saw.hole_saw_ready_in, saw.hole_saw_mm) == ("1 7/8 in", 48.3)

        def sagitta(diameter: float) -> float:
            return diameter / 2 - math.sqrt((diameter / 2) ** 2 - (33.7 / 2) ** 2)

        assert saw.hole_saw_open_mm == pytest.approx(sagitta(47.625) - sagitta(48.3), abs=1e-4)

    def test_where_the_cutter_stands(self) -> None:
        """Its axis is the main's: beyond the saw cut by the longest point's distance from the work point."""
        saw = simple_cope(round_tube(33.7), round_tube(60.3), math.radians(90), fit="outside").saw
        beyond = math.sqrt(30.15**2 - 16.85**2)
        assert saw.long_point_mm == pytest.approx(beyond, abs=1e-4)
        assert f"{beyond:.1f} mm beyond the saw cut" in saw.advice.words()
        shallow = simple_cope(round_tube(48.3), round_tube(60.3), math.radians(35)).saw
        assert shallow.long_point_mm is not None
        assert ("inside the saw cut" in shallow.advice.words()) == (shallow.long_point_mm < 0.0)

    @pytest.mark.parametrize(("wall", "off"), [(3.2, 2.30), (10.0, 5.80)])
    def test_the_square_cut_is_where_the_saw_makes_the_whole_cope(self, wall: float, off: float) -> None:
        """By Pythagoras: the skin of 48.3 mm meets a main of 60.3 mm at sqrt(30.15² - 24.15²); the saw length's
        cut lies at the bore's edge, and there the skin stands hypot(cut, 24.15) - 30.15 off."""
        cope = simple_cope(round_tube(48.3, wall), round_tube(60.3, 3.2), math.radians(90))
        saw, inner = cope.saw, 48.3 / 2 - wall
        meets, sawn = math.sqrt(30.15**2 - 24.15**2), math.sqrt(30.15**2 - inner**2)
        assert saw.long_point_mm == pytest.approx(sawn, abs=1e-4)
        assert saw.hole_saw_cut_mm == pytest.approx(meets, abs=1e-4)
        assert saw.hole_saw_longer_mm == pytest.approx(sawn - meets, abs=1e-4)
        assert math.hypot(sawn, 24.15) - 30.15 == pytest.approx(off, abs=0.01)
        assert f"saw square {sawn - meets:.1f} mm longer at this end" in saw.advice.words()
        assert f"up to {off:.1f} mm off the main" in saw.advice.words()
        assert f"{meets:.1f} mm beyond that saw cut" in saw.brief.words()

    @pytest.mark.parametrize(("degrees", "offset"), [(90.0, 0.0), (60.0, 0.0), (50.0, 5.0)])
    def test_nothing_stays_open_beyond_what_is_told(self, degrees: float, offset: float) -> None:
        """manifold3d: a tube sawn square where told, less a cutter of the ready-made size; all its outer skin that the
        cutter leaves is on the main but for what is told (along the tube)."""
        cope = simple_cope(round_tube(48.3, 6.0), round_tube(60.3, 3.2), math.radians(degrees), offset)
        saw = cope.saw
        assert saw.hole_saw_ready_mm is not None
        assert saw.hole_saw_cut_mm is not None
        assert saw.hole_saw_open_mm is not None
        stock = m3.Manifold.cylinder(300.0, 24.15, 24.15, 720).rotate((0.0, 90.0, 0.0))
        stock = stock.translate((saw.hole_saw_cut_mm, 0.0, 0.0))
        radius = saw.hole_saw_ready_mm / 2
        cutter = m3.Manifold.cylinder(900.0, radius, radius, 1440, True)
        cutter = cutter.rotate((-90.0, 0.0, degrees - 90.0)).translate((0.0, 0.0, offset))
        left = max((stock - cutter).decompose(), key=lambda part: part.bounding_box()[3])
        points = np.asarray(left.to_mesh64().vert_properties)[:, :3]
        skin = points[(np.hypot(points[:, 1], points[:, 2]) > 24.14) & (points[:, 0] < 250.0)]
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        off = np.hypot(skin[:, 0] * s - skin[:, 1] * c, skin[:, 2] - offset) - 30.15
        assert len(skin) > 500
        assert off.max() <= saw.hole_saw_open_mm + abs(radius - 30.15) + 0.02
        assert off.max() < 0.2

    def test_solid_bar(self) -> None:
        """25 mm on 60.3: fit clear saws it square at the crown, hypot(30.15, 12.5) - 30.15 off at the sides."""
        bar, main = round_tube(25.0, 0.0), round_tube(60.3, 3.2)
        saw = simple_cope(bar, main, math.radians(90)).saw
        assert (saw.method, saw.from_square_deg, saw.hole_saw_mm) == ("straight saw cut", 0.0, None)
        assert f"sawn square, leaves {math.hypot(30.15, 12.5) - 30.15:.1f} mm open at the sides" in saw.advice.words()
        assert 'fit = "outside" copes it' in saw.advice.words()
        coped = simple_cope(bar, main, math.radians(90), fit="outside")
        assert coped.saw.method == "hole saw"
        assert np.ptp(coped.line.x) == pytest.approx(30.15 - math.sqrt(30.15**2 - 12.5**2), abs=1e-6)

    def test_the_side_of_an_offset(self) -> None:
        section, main = round_tube(33.7), round_tube(60.3)
        assert (
            "6.0 mm off the tube's, toward 90°" in simple_cope(section, main, math.radians(70), 6.0).saw.advice.words()
        )
        assert (
            "6.0 mm off the tube's, toward 270°"
            in simple_cope(section, main, math.radians(70), -6.0).saw.advice.words()
        )

    def test_equal_tubes(self) -> None:
        assert "thin" in simple_cope(round_tube(60.3), round_tube(60.3), math.radians(90)).saw.advice.words()
        assert "thin" not in simple_cope(round_tube(48.3), round_tube(60.3), math.radians(90)).saw.advice.words()

    @pytest.mark.parametrize("offset", [0.0, 5.0])
    def test_it_makes_the_outside_line(self, offset: float) -> None:
        """manifold3d: a cutter of the main's diameter, set as told, leaves the outside where the line has it."""
        branch, main, angle = round_tube(42.4, 3.0), round_tube(60.3), math.radians(55)
        cope = simple_cope(branch, main, angle, offset, "outside")
        saw = cope.saw
        stock = m3.Manifold.cylinder(600.0, 21.2, 21.2, 720).rotate((0.0, 90.0, 0.0)).translate((-200.0, 0.0, 0.0))
        cutter = m3.Manifold.cylinder(900.0, saw.hole_saw_mm / 2, saw.hole_saw_mm / 2, 1440, True)  # type: ignore[operator]
        # Square to the tube it lies along y; turned from square toward the tube, then set off.
        cutter = (
            cutter.rotate((-90.0, 0.0, 0.0))
            .rotate((0.0, 0.0, -saw.from_square_deg))
            .translate((0.0, 0.0, saw.offset_mm))
        )
        left = max((stock - cutter).decompose(), key=lambda part: part.bounding_box()[3])
        points = np.asarray(left.to_mesh64().vert_properties)[:, :3]
        skin = points[np.hypot(points[:, 1], points[:, 2]) > 21.19]
        cut = skin[skin[:, 0] < 300.0]
        phi = np.arctan2(cut[:, 2], cut[:, 1]) % (2.0 * math.pi)
        line = np.interp(phi, cope.line.phi, cope.line.x, period=2.0 * math.pi)
        assert len(cut) > 500
        assert cut[:, 0] == pytest.approx(line, abs=0.02)


class TestNoHoleSaw:
    def test_no_size_near(self) -> None:
        saw = simple_cope(round_tube(139.7, 5.0), round_tube(219.1, 6.0), math.radians(90)).saw
        assert saw.method == "template"
        assert "6 in" in saw.advice.words()
        assert saw.hole_saw_mm is None
        saw = simple_cope(round_tube(188.0, 5.0), round_tube(219.1, 6.0), math.radians(90)).saw
        assert "no ready-made hole saw comes near" in saw.advice.words()

    def test_two_mains(self) -> None:
        found = setups(
            MAIN, tube("T2", (0, 0, 0), (0, 700, 0)), tube("T3", (0, 0, 0), (300, 500, 0), section="33.7 x 2.6")
        )["T3", "start"]
        assert found.method == "template"
        assert "T1 and T2" in found.advice.words()

    def test_a_main_that_the_job_does_not_hold(self) -> None:
        first, second = built(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)))
        assert saw_cuts(joined([second])) == {}
        assert set(saw_cuts([first, second])) == {("T2", "start")}

    def test_shallow(self) -> None:
        found = setups(MAIN, tube("T2", (0, 0, 0), (900, 400, 0)))["T2", "start"]
        assert found.method == "template"
        assert "below 30°" in found.advice.words()


class TestBentMains:
    HOOP = tube("T1", (0, 0, 0), (600, 0, 0), (600, 0, 500), section="60.3 x 3.2", bend_radius=150)

    def test_on_a_straight_of_it_a_hole_saw_serves(self) -> None:
        found = setups(self.HOOP, tube("T2", (600, 0, 300), (600, 700, 300)))["T2", "start"]
        plain = setups(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)))["T2", "start"]
        assert (found.method, found.hole_saw_depth_mm) == ("hole saw", plain.hole_saw_depth_mm)

    def test_on_a_bend_none_does(self) -> None:
        found = setups(self.HOOP, tube("T2", (560, 0, 40), (560, 700, 40)))["T2", "start"]
        assert found.method == "template"
        assert "bent there" in found.advice.words()


class TestStraightCuts:
    def test_a_mitre(self) -> None:
        both = setups(
            tube("T1", (0, 0, 0), (800, 0, 0), finish={"cut": "mitre"}), tube("T2", (800, 0, 0), (800, 600, 0))
        )
        assert {key: (s.method, s.from_square_deg) for key, s in both.items()} == {
            ("T1", "finish"): ("straight saw cut", 45.0),
            ("T2", "start"): ("straight saw cut", 45.0),
        }

    def test_three_mitred_at_a_point_take_two_flats(self) -> None:
        mitre = {"cut": "mitre"}
        found = setups(
            tube("T1", (0, 0, 0), (500, 0, 0), start=mitre),
            tube("T2", (0, 0, 0), (-250, 433, 0), start=mitre),
            tube("T3", (0, 0, 0), (-250, -433, 0), start=mitre),
        )["T1", "start"]
        assert found.method == "template"
        assert "30.0° from square for T2 and 30.0° from square for T3" in found.advice.words()

    def test_a_root_gap_takes_a_larger_cutter(self) -> None:
        """1.5 mm all round the main: 60.3 + 3 mm."""
        found = setups(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), start={"gap": 1.5}))["T2", "start"]
        assert found.hole_saw_mm == pytest.approx(63.3)
        assert found.hole_saw_ready_in == "2 1/2 in"

    def test_an_end_cut_to_a_plane(self) -> None:
        """Square on the plane x + z = 0, the tube along x: 45 degrees."""
        plane = {"at": [0, 0, 0], "normal": [1, 0, 1]}
        found = setups(tube("T1", (0, 0, 0), (800, 0, 0), start={"plane": plane}))["T1", "start"]
        assert (found.method, found.from_square_deg) == ("straight saw cut", pytest.approx(45.0, abs=1e-3))

    def test_square_on_a_face(self) -> None:
        found = setups(BOX, tube("T2", (0, 0, 0), (0, 700, 0), section="33.7 x 2.6"))["T2", "start"]
        assert (found.method, found.from_square_deg, found.long_side_deg) == ("straight saw cut", 0.0, None)
        assert "square" in found.advice.words()

    def test_leaning_two_ways_on_a_face(self) -> None:
        """The face is y = const; the branch (300, 500, 200) makes an angle with its normal of acos(500 / |…|)."""
        found = setups(BOX, tube("T2", (0, 0, 0), (150, 500, 40), section="26.9 x 2.3"))["T2", "start"]
        lean = math.degrees(math.acos(500.0 / math.hypot(150.0, 500.0, 40.0)))
        assert found.method == "straight saw cut"
        assert found.from_square_deg == pytest.approx(lean, abs=1e-3)

    def test_the_long_side_is_where_the_line_is_lowest(self) -> None:
        piece = built(BOX, tube("T2", (0, 0, 0), (150, 500, 40), section="26.9 x 2.3"))
        end = part_of(piece[1]).ends[0]
        found = saw_cuts(piece)["T2", "start"]
        assert found.long_side_deg == pytest.approx(math.degrees(end.line.phi[end.line.x.argmin()]), abs=1.0)

    def test_corners(self) -> None:
        """The main's flat goes to 34 mm, its corner is 6: the bore's edge at 33.65 is on the flat, the skin at 36.85
        stands 6 - sqrt(36 - 2.85²) off it; 4 mm farther out the bore's edge is on the corner too."""
        found = setups(BOX, tube("T2", (0, 0, 20), (0, 700, 20), section="33.7 x 2.6"))["T2", "start"]
        assert (found.method, found.from_square_deg) == ("straight saw cut", 0.0)
        wide = 33.7 / 2 + 20 - 34
        assert f"leaves {6 - math.sqrt(36 - wide**2):.1f} mm open on the main's corners" in found.advice.words()
        found = setups(BOX, tube("T2", (0, 0, 22), (0, 700, 22), section="33.7 x 2.6"))["T2", "start"]
        assert found.method == "template"
        assert "corners" in found.advice.words()

    def test_what_the_template_leaves_open_on_corners(self) -> None:
        """40 x 40 x 3 on its like, corners of 6: the skin ends where the corner does, 6 mm down; the wall's inner edge,
        17 mm out, is 3 mm into the corner, 6 - sqrt(36 - 9) down, and that is where fit clear has it sawn."""
        box = Section("rect", 40.0, 40.0, 3.0, 6.0)
        clear = simple_cope(box, box, math.radians(90)).saw
        assert f"6.0 mm open there, by the template, fit clear, up to {math.sqrt(27):.1f} mm" in clear.advice.words()
        assert 'fit = "outside" closes it' in clear.advice.words()
        assert "the template closes it" in simple_cope(box, box, math.radians(90), fit="outside").saw.advice.words()


class TestCompoundAngles:
    """Swing and tilt of a saw for a rectangular tube on its bottom face."""

    @pytest.mark.parametrize("last", [(500.0, 300.0, 0.0), (500.0, 0.0, 300.0), (400.0, 300.0, 200.0)])
    def test_a_blade_so_set_is_square_to_the_plane(self, last: tuple[float, float, float]) -> None:
        """The blade's normal: swung about the upright, then tilted, against the cut's plane in space."""
        pieces = built(
            tube("T1", (-600, 0, 0), (0, 0, 0), section="40 x 40 x 3", finish={"cut": "mitre"}),
            tube("T2", (0, 0, 0), last, section="40 x 40 x 3"),
        )
        found = saw_cuts(pieces)["T2", "start"]
        part = part_of(pieces[1])
        end, frame = part.ends[0], part.frame
        assert frame is not None
        assert found.swing_deg is not None
        assert found.tilt_deg is not None
        along = np.array(last) / np.linalg.norm(last)
        plane = np.array([-1.0, 0.0, 0.0]) - along
        plane = plane / np.linalg.norm(plane)
        swing, tilt = math.radians(found.swing_deg), math.radians(found.tilt_deg)
        blades = [
            frame.x * math.cos(swing) * math.cos(tilt)
            + side * frame.y * math.sin(swing) * math.cos(tilt)
            + up * frame.z * math.sin(tilt)
            for side in (-1.0, 1.0)
            for up in (-1.0, 1.0)
        ]
        assert max(abs(float(blade @ plane)) for blade in blades) == pytest.approx(1.0, abs=1e-6)
        assert end.cut == "mitre"

    def test_one_angle_alone(self) -> None:
        flat = setups(
            tube("T1", (-600, 0, 0), (0, 0, 0), section="40 x 40 x 3", finish={"cut": "mitre"}),
            tube("T2", (0, 0, 0), (0, 500, 0), section="40 x 40 x 3"),
        )["T1", "finish"]
        assert (flat.swing_deg, flat.tilt_deg) == (pytest.approx(45.0), pytest.approx(0.0, abs=1e-3))
        assert flat.advice.words().endswith("; lying on its bottom face: swing 45.0° (right longer)")
        assert flat.brief.words() == flat.advice.words()
        upright = setups(
            tube("T1", (-600, 0, 0), (0, 0, 0), section="40 x 40 x 3", finish={"cut": "mitre"}),
            tube("T2", (0, 0, 0), (0, 0, 500), section="40 x 40 x 3"),
        )["T1", "finish"]
        assert (upright.swing_deg, upright.tilt_deg) == (pytest.approx(0.0, abs=1e-3), pytest.approx(45.0))
        assert upright.advice.words().endswith(
            "lying on its bottom face: tilt 45.0° (bottom longer), or on its side: swing 45.0°"
        )


def part_of(piece: Piece) -> LengthPart:
    assert isinstance(piece.shape, LengthPart)
    return piece.shape
