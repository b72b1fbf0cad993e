"""Gauge lines by the tables, and by practice where they are silent."""

from __future__ import annotations

import pytest

from fabgen.shop.profiles import standard_sizes
from fabgen.shop.profiles.gauge_lines import MIDDLE, Leg, datum_of, legs_of, usual_gauge
from fabgen.shop.profiles.profile_section import ProfileSection

INCH = 25.4


@pytest.mark.parametrize(
    ("section", "leg", "gauge"),
    [
        (standard_sizes.angle(40, 40, 4), "a", 22.0),
        (standard_sizes.angle(60, 40, 5), "a", 35.0),
        (standard_sizes.angle(60, 40, 5), "b", 22.0),
        (standard_sizes.angle(1.5 * INCH, 1.5 * INCH, INCH / 8), "a", 0.875 * INCH),
        (standard_sizes.tee(50, 50, 6, 6), "flange a", 15.0),
        (ProfileSection("flat", (40, 5)), "face", 0.0),
    ],
)
def test_as_the_tables_have_them(section: ProfileSection, leg: Leg, gauge: float) -> None:
    assert usual_gauge(section, leg).distance == pytest.approx(gauge)


def test_a_channel() -> None:
    section = standard_sizes.channel_named("UPN 80")
    assert section is not None
    assert usual_gauge(section, "flange a").distance == 25.0
    assert usual_gauge(section, "web").distance == 0.0
    assert [datum_of(section, leg) for leg in legs_of(section)] == ["middle", "back", "back"]


@pytest.mark.parametrize(
    ("section", "leg", "gauge"),
    [
        # Not in a table: 33 mm wide, 4 behind the other leg: (33 + 4) / 2 = 18.5, the next whole mm.
        (standard_sizes.angle(33, 33, 4), "a", 19.0),
        (ProfileSection("T", (50, 50, 6, 6)), "stem", 28.0),
        # 1 1/8 in, 1/8 in behind: 5/8 in.
        (standard_sizes.angle(1.125 * INCH, 1.125 * INCH, INCH / 8), "b", 0.625 * INCH),
    ],
)
def test_elsewhere_the_middle_of_the_flat(section: ProfileSection, leg: Leg, gauge: float) -> None:
    found = usual_gauge(section, leg)
    assert found.distance == pytest.approx(gauge)
    assert found.source == MIDDLE


def test_round_bar_has_no_leg() -> None:
    assert legs_of(ProfileSection("bar", (20,))) == ()
