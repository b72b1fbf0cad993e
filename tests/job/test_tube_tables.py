"""Keys of bent tubes, formers and planes, as a file gives them."""

import math

import pytest

from fabgen.job.reader import JobError, read_text
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.tube_tables import PlaneAt, Springback

HEAD = '[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n[points]\nA = [0, 0, 0]\nB = [500, 0, 0]\nC = [500, 400, 0]\n'


def read(text: str) -> Definitions:
    return read_text(HEAD + text).definitions


def faults(text: str) -> str:
    with pytest.raises(JobError) as error:
        read(text)
    return "\n".join(f"{p.where}: {p.what} | {p.accepted}" for p in error.value.problems)


def a_tube(more: str, route: str = '["A", "B", "C"]') -> str:
    return f'[[tube]]\nmark = "T1"\nsection = "40 x 2"\nroute = {route}\n{more}\n'


class TestRadii:
    def test_one_for_all(self) -> None:
        assert read(a_tube('bend_radius = "4 in"')).tube[0].bend_radius == (101.6,)

    def test_a_list(self) -> None:
        assert read(a_tube("bend_radius = [90]")).tube[0].bend_radius == (90.0,)

    def test_as_many_as_inner_points(self) -> None:
        assert "1 inner points, but 2 bend radii" in faults(a_tube("bend_radius = [90, 100]"))

    def test_each_above_zero(self) -> None:
        told = faults(a_tube("bend_radius = [0]"))
        assert "key bend_radius, item 1" in told
        assert "not above zero" in told

    def test_no_figure(self) -> None:
        assert "key bend_radius" in faults(a_tube('bend_radius = "wide"'))


class TestPlane:
    def test_by_three_points(self) -> None:
        plane = read(a_tube('start = { plane = ["A", "C", [0, 0, 5]] }', '["A", "B"]')).tube[0].start.plane
        assert isinstance(plane, list)
        assert [p.xyz for p in plane] == [(0, 0, 0), (500, 400, 0), (0, 0, 5)]

    def test_by_a_point_and_a_direction(self) -> None:
        plane = read(a_tube('start = { plane = { at = "B", normal = [0, 1, 0.5] } }', '["A", "B"]')).tube[0].start.plane
        assert isinstance(plane, PlaneAt)
        assert plane.at.xyz == (500, 0, 0)
        assert plane.normal == (0.0, 1.0, 0.5)

    @pytest.mark.parametrize(
        ("given", "told"),
        [
            ('["A", "B"]', "3 items"),
            ('["A", "B", "Q"]', 'no point "Q"'),
            ('{ at = "B" }', "normal"),
            ('{ at = "B", normal = [0, 0, 0] }', "has no direction"),
            ('{ at = "B", normal = "up" }', "as a direction"),
            ('"A"', "as a list"),
        ],
    )
    def test_faults(self, given: str, told: str) -> None:
        assert told in faults(a_tube(f"start = {{ plane = {given} }}", '["A", "B"]'))

    @pytest.mark.parametrize("other", ['cut = "plain"', 'onto = ["T9"]', 'fit = "clear"', "extend = 5"])
    def test_it_goes_alone(self, other: str) -> None:
        told = faults(a_tube(f'start = {{ plane = ["A", "B", "C"], {other} }}', '["A", "B"]'))
        assert "plane" in told


class TestGapAndSeam:
    def test_gap(self) -> None:
        job = read(a_tube('start = { gap = "1/16 in" }', '["A", "B"]'))
        assert job.tube[0].start.gap == pytest.approx(1.5875)
        assert job.tube[0].finish.gap is None
        assert job.job.root_gap == 0.0

    def test_a_plain_end_has_none(self) -> None:
        assert "gap goes with" in faults(a_tube('start = { cut = "plain", gap = 1 }', '["A", "B"]'))

    def test_a_seam_is_a_mitres(self) -> None:
        assert "seam goes with" in faults(a_tube('start = { seam = "edges" }', '["A", "B"]'))


class TestFormer:
    def test_all_keys(self) -> None:
        (former,) = read(
            a_tube('bend_radius = "4 in"') + '[[former]]\nname = "a"\ntube = 40\nradius = "4 in"\nspringback = "3 %"\n'
            'setback = "-5 mm"\nneutral_shift = 1\nleast_straight = 80\n'
        ).former
        assert former.springback == Springback(share=0.03)
        assert former.springback.set_for(1.0) == pytest.approx(1.03)
        assert former.setback == -5.0
        assert former.fits(40.2, 101.6)
        assert not former.fits(42.4, 101.6)
        assert not former.fits(40.0, 105.0)

    def test_springback_in_degrees(self) -> None:
        text = a_tube("bend_radius = 90") + '[[former]]\ntube = 40\nradius = 90\nspringback = "2 deg"\n'
        assert read(text).former[0].springback == Springback(angle=math.radians(2.0))

    @pytest.mark.parametrize("given", ['"60 %"', '"much %"', '"40 deg"', '"-1 deg"'])
    def test_springback_faults(self, given: str) -> None:
        told = faults(a_tube("bend_radius = 90") + f"[[former]]\ntube = 40\nradius = 90\nspringback = {given}\n")
        assert "springback" in told
