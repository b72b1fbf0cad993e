"""One cope in its own coordinates (DEVELOPERS.md, "Conventions"), by formulas worked out on paper."""

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.documents.without_job.one_cope import cope_json, read_cope
from fabgen.job.errors import InputError
from fabgen.parts.single_cope import simple_cope
from fabgen.shop.section import Section

BRANCH = Section("round", 48.3, 48.3, 3.2)
MAIN = Section("round", 60.3, 60.3, 3.2)
BOX = Section("rectangular", 60.0, 40.0, 3.0, 6.0)
ANGLES = st.floats(math.radians(6), math.pi / 2)


def outside(r: float, big: float, angle: float, offset: float, phi: np.ndarray) -> np.ndarray:
    with np.errstate(invalid="ignore"):
        return (r * np.cos(phi) * math.cos(angle) + np.sqrt(big**2 - (r * np.sin(phi) - offset) ** 2)) / math.sin(angle)


@given(ANGLES, st.floats(-5.9, 5.9))
def test_outside_line_of_two_round_tubes(angle: float, offset: float) -> None:
    cope = simple_cope(BRANCH, MAIN, angle, offset, "outside")
    assert cope.line.x == pytest.approx(outside(24.15, 30.15, angle, offset, cope.line.phi))


@given(ANGLES, st.floats(-5.9, 5.9))
def test_clear_line_is_the_greatest_over_the_wall(angle: float, offset: float) -> None:
    cope = simple_cope(BRANCH, MAIN, angle, offset)
    radii = np.linspace(24.15 - 3.2, 24.15, 801)[:, None]
    through = outside(radii, 30.15, angle, offset, cope.line.phi)
    assert cope.line.x == pytest.approx(through.max(axis=0), abs=1e-4)
    assert (cope.line.x >= through.max(axis=0) - 1e-9).all()


def test_heel_is_at_phi_0_and_toe_at_180() -> None:
    x = simple_cope(BRANCH, MAIN, math.radians(60), fit="outside").line.x
    assert x[0] == pytest.approx((24.15 * 0.5 + 30.15) / math.sin(math.radians(60)))
    assert x[180] == pytest.approx((-24.15 * 0.5 + 30.15) / math.sin(math.radians(60)))
    assert x.argmax() == 0


def test_offset_moves_the_main_toward_z() -> None:
    x = simple_cope(BRANCH, MAIN, math.pi / 2, 5.0, "outside").line.x
    assert x[90] == pytest.approx(math.sqrt(30.15**2 - 19.15**2))
    assert x[270] == pytest.approx(math.sqrt(30.15**2 - 29.15**2))


def test_a_branch_that_partly_misses_has_no_x_there() -> None:
    data = cope_json(simple_cope(BRANCH, MAIN, math.pi / 2, 10.0))
    missing = [phi for phi, x in data["line"] if x is None]
    assert missing == [
        phi
        for phi in range(360)
        if 24.15 * math.sin(math.radians(phi)) - 10.0 < -30.15 and 20.95 * math.sin(math.radians(phi)) - 10 < -30.15
    ]
    assert 270 in missing
    assert data["saw"]["method"] == "template"


def test_flat_main_gives_a_plane() -> None:
    wide = Section("rectangular", 100.0, 80.0, 4.0, 8.0)
    cope = simple_cope(BRANCH, wide, math.radians(50), fit="outside")
    y = 24.15 * np.cos(cope.line.phi)
    assert cope.line.x == pytest.approx(y / math.tan(math.radians(50)) + 50.0 / math.sin(math.radians(50)))
    assert cope.saw.method == "straight saw cut"
    assert cope.saw.from_square_deg == 40.0


def test_first_figure_of_a_rectangular_section_lies_in_the_plane_of_the_joint() -> None:
    at_right_angle = math.pi / 2
    x = simple_cope(BRANCH, BOX, at_right_angle, fit="outside").line.x
    assert x[0] == pytest.approx(30.0)
    branch = cope_json(simple_cope(BOX, MAIN, at_right_angle, fit="outside"))
    x_of = dict(branch["line"])
    assert x_of[0] == pytest.approx(30.15)
    assert x_of[90] == pytest.approx(math.sqrt(30.15**2 - 20.0**2), abs=1e-4)


def test_json_is_that_of_the_contract() -> None:
    data = cope_json(simple_cope(BOX, MAIN, math.radians(60), 4.0))
    assert [phi for phi, _ in data["line"]] == list(range(360))
    assert data["branch"] == "60 x 40 x 3"
    assert data["onto"] == "60.3 x 3.2"
    assert data["angle_deg"] == 60.0
    assert data["offset_mm"] == 4.0
    assert data["fit"] == "clear"
    assert data["wrap_mm"] == pytest.approx(BOX.perimeter, abs=1e-3)
    assert {"method", "long_point_mm", "short_point_mm", "hole_saw_mm"} <= data["saw"].keys()
    json.dumps(data, allow_nan=False)


@pytest.mark.parametrize("degrees", [0.0, 4.9, 90.1, 120.0, -60.0, math.nan])
def test_no_such_angle(degrees: float) -> None:
    with pytest.raises(InputError, match="cannot be made"):
        simple_cope(BRANCH, MAIN, math.radians(degrees))


def test_an_obtuse_angle_is_told_its_acute_one() -> None:
    with pytest.raises(InputError) as fault:
        simple_cope(BRANCH, MAIN, math.radians(120))
    assert "for 120 give 60" in fault.value.accepted


class TestSaw:
    def test_hole_saw_of_the_mains_diameter(self) -> None:
        saw = simple_cope(BRANCH, MAIN, math.radians(60), 3.0).saw
        assert saw.method == "hole saw"
        assert saw.hole_saw_mm == 60.3
        assert saw.from_square_deg == 30.0
        assert "3.0 mm off" in saw.advice.words()
        assert saw.hole_saw_depth_mm is not None
        assert saw.hole_saw_depth_mm > 48.3 / math.sin(math.radians(60)) - 1.0

    def test_long_and_short_points_are_the_ends_of_the_line(self) -> None:
        cope = simple_cope(BRANCH, MAIN, math.radians(60))
        assert cope.saw.long_point_mm == pytest.approx(np.nanmin(cope.line.x), abs=1e-4)
        assert cope.saw.short_point_mm == pytest.approx(np.nanmax(cope.line.x), abs=1e-4)

    def test_too_shallow_for_a_hole_saw(self) -> None:
        thin = Section("round", 21.3, 21.3, 2.0)
        assert simple_cope(thin, MAIN, math.radians(29)).saw.method == "template"
        assert simple_cope(thin, MAIN, math.radians(31)).saw.method == "hole saw"

    def test_branch_on_a_mains_corners(self) -> None:
        saw = simple_cope(Section("rectangular", 40.0, 40.0, 3.0, 6.0), BOX, math.radians(90)).saw
        assert saw.method == "template"
        assert "mm open" in saw.advice.words()

    def test_missing_altogether(self) -> None:
        saw = simple_cope(BRANCH, MAIN, math.radians(60), 80.0).saw
        assert saw.long_point_mm is None
        assert saw.method == "template"


@pytest.mark.parametrize(
    ("branch", "onto", "fit", "used"),
    [
        ("33.7 x 2.6", "60 x 60 x 3", "", "outside"),  # sawn straight to the face
        ("33.7 x 2.6", "60 x 60 x 3", "clear", "clear"),
        ("33.7 x 2.6", "60.3 x 3.2", "", "clear"),
        ("33.7 x 2.6", "60.3 x 3.2", "outside", "outside"),
    ],
)
def test_the_command_fits_as_a_job_does(branch: str, onto: str, fit: str, used: str) -> None:
    cope = read_cope(branch, onto, "45", "0", fit).cope
    assert cope.end.fit == used
    assert (cope.saw.method == "straight saw cut") == ("60 x 60" in onto and used == "outside")
