"""Sections of profiles as a job file writes them."""

from __future__ import annotations

import pytest

from fabgen.job.errors import InputError
from fabgen.job.values.profile_text import parse_profile
from fabgen.parts.shape.profiles import cross_section


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("angle 40 x 40 x 4", "angle 40 x 40 x 4"),
        ("L40x40x4", "angle 40 x 40 x 4"),
        ("angle iron 40 x 4", "angle 40 x 40 x 4"),
        ("RSA 60x40x5", "angle 60 x 40 x 5"),
        ("angle 40 x 60 x 5", "angle 40 x 60 x 5"),
        ("flat 40 x 5", "flat 40 x 5"),
        ("flat bar 40x5", "flat 40 x 5"),
        ("channel UPN 80", "UPN 80"),
        ("UNP80", "UPN 80"),
        ("upe 100", "UPE 100"),
        ("channel 80 x 45 x 6 x 8", "UPN 80"),
        ("channel 80 x 45 x 5", "channel 80 x 45 x 5"),
        ("U 40 x 20", "U 40 x 20"),
        ("T 40", "T 40 x 40 x 5"),
        ("tee 40 x 40 x 5", "T 40 x 40 x 5"),
        ("bar 12", "bar 12"),
        ("round bar Ø12", "bar 12"),
        ("square 16", "square bar 16"),
        ("hex bar 17", "hexagon bar 17"),
        ("angle 40 x 40 x 3 folded", "angle 40 x 40 x 3 folded"),
    ],
)
def test_trade_names_are_read(text: str, words: str) -> None:
    assert str(parse_profile(text)) == words


def test_what_is_metric_keeps_its_size_in_an_inch_job() -> None:
    assert parse_profile("angle 40 x 40 x 4").words("in") == "angle 40 x 40 x 4 mm"
    assert parse_profile("UPN 80").words("in") == "UPN 80"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("angle 2 x 2 x 1/8 in", 'angle 2 x 2 x 1/8"'),
        ("L 1 1/2 x 1 1/2 x 1/8 in", 'angle 1 1/2 x 1 1/2 x 1/8"'),
        ("flat 2 x 1/4 in", 'flat 2 x 1/4"'),
        ("bar 1/2 in", 'bar 1/2"'),
    ],
)
def test_inch_sizes(text: str, words: str) -> None:
    section = parse_profile(text)
    assert section.words("in") == words
    assert section.standard
    assert parse_profile(text.removesuffix(" in"), "in") == section


def test_an_angle_of_no_standard_has_the_radius_of_its_like() -> None:
    own, like = parse_profile("angle 40 x 40 x 3"), parse_profile("angle 40 x 40 x 4")
    assert (own.standard, own.root) == ("", like.root)
    assert parse_profile("angle 40 x 40 x 3 r 5").root == 5.0


def test_the_legs_of_an_angle_turn_with_their_order() -> None:
    one, other = (cross_section(parse_profile(f"angle {sizes}")) for sizes in ("60 x 40 x 5", "40 x 60 x 5"))
    assert one.area == pytest.approx(other.area)
    assert one.centroid == pytest.approx(other.centroid[::-1])
    assert parse_profile("angle 40 x 60 x 5").nominal == parse_profile("angle 60 x 40 x 5").nominal


def test_named_faces_look_outward_and_know_what_is_behind_them() -> None:
    shape = cross_section(parse_profile("angle 60 x 40 x 5"))
    back, under = shape.face("leg a outside"), shape.face("leg b outside")
    assert (back.outward, back.width, back.thickness) == ((-1.0, 0.0), 60.0, 5.0)
    assert (under.outward, under.width) == ((0.0, -1.0), 40.0)
    assert shape.face("leg a inside").width == pytest.approx(60.0 - 5.0 - 6.0 - 3.0)
    mirrored = shape.flipped()
    assert mirrored.face("leg a outside").outward == (1.0, 0.0)
    assert mirrored.centroid == pytest.approx((-shape.centroid[0], shape.centroid[1]))
    web = cross_section(parse_profile("UPN 80")).face("web outside")
    assert (web.outward, web.width, web.thickness) == ((-1.0, 0.0), 80.0, 6.0)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("40 x 5", "does not say what it is"),
        ("angle 4 x 40 x 40", "do not go together"),
        ("flat 5 x 40", "do not go together"),
        ("channel 20 x 30 x 12", "do not go together"),
        ("angle 40", "1 figure, which do not make"),
        ("T 41", "no T of EN 10055"),
        ("UPN 85", "no channel in the tables"),
        ("angle 40 x 40 x 4 r 36", "larger than its inside"),
        ("flat 40 x 5 r 2", "no radius"),
        ("girder", "cannot read"),
        ("", "is empty"),
    ],
)
def test_what_is_no_section_is_refused(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says) as fault:
        parse_profile(text)
    assert fault.value.accepted


@pytest.mark.parametrize(
    ("text", "units", "ways"),
    [
        ("40 x 40 x 4", "mm", ('"angle 40 x 40 x 4"', '"channel 40 x 40 x 4 folded"', "[[tube]]")),
        ("1 1/2 x 1/4", "in", ('"flat 1 1/2 x 1/4"', '"angle 1 1/2 x 1/4"', "[[tube]]")),
        ("17", "mm", ('"square bar 17"', '"hexagon bar 17"', '[[tube]] with section = "bar 17"')),
    ],
)
def test_figures_alone_name_what_they_may_be(text: str, units: str, ways: tuple[str, ...]) -> None:
    with pytest.raises(InputError, match="does not say what it is") as fault:
        parse_profile(text, units)
    for way in ways:
        assert way in fault.value.accepted
        if not way.startswith("["):
            assert parse_profile(way.strip('"'), units)


def test_two_figures_alone_name_both_readings() -> None:
    with pytest.raises(InputError) as fault:
        parse_profile("40 x 5")
    assert '"flat 40 x 5"' in fault.value.accepted
    assert "[[tube]]" in fault.value.accepted
