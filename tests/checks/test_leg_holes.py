"""Holes in legs of profiles under the eye of an old hand: five that are wrong, two that only look it, and each limit
1 % inside and 1 % outside."""

from __future__ import annotations

from typing import Any

import pytest
from hand_profiles import profile_part, profile_piece
from jobs import definitions

from fabgen.checks.checked import Checked, Checking
from fabgen.checks.profile.leg_holes import RULES
from fabgen.checks.rule import Finding
from fabgen.geometry.profile.end_cut import SawnPlane
from fabgen.shop.profiles import standard_sizes
from fabgen.shop.profiles.profile_section import ProfileSection

ANGLE = standard_sizes.angle(40, 40, 4)
FIFTY = standard_sizes.angle(50, 50, 5)
UPN = standard_sizes.channel_named("UPN 80")
FLAT = ProfileSection("flat", (40, 5))


def said(section: ProfileSection, *holes: dict[str, Any], units: str = "mm", **keys: Any) -> list[Finding]:
    part = profile_part(section, holes=holes, **keys)
    piece = profile_piece(part)
    job = Checked(definitions({"units": units}), [piece])
    return [finding for rule in RULES for finding in rule(Checking(piece, part, job))]


def names(*args: Any, **keys: Any) -> list[str]:
    return [finding.rule for finding in said(*args, **keys)]


def hole(diameter: float, at: float = 100.0, leg: str | None = "a", **keys: Any) -> dict[str, Any]:
    return {"at": at, "diameter": diameter, **({"leg": leg} if leg else {}), **keys}


# -- five that are wrong ----------------------------------------------------------------
def test_a_hole_that_breaks_out_of_the_toe() -> None:
    (finding,) = said(ANGLE, hole(11, gauge=36))
    assert (finding.rule, finding.level) == ("leg-hole-off", "stop")
    assert finding.text == ('hole 1 runs 1.5 mm off the edge of leg a: put it on the usual gauge line, gauge = "22 mm"')


def test_a_hole_in_the_heel() -> None:
    (finding,) = said(ANGLE, hole(11, gauge=8))
    assert finding.text.startswith("hole 1 runs 1.5 mm into the metal beside leg a")
    assert finding.level == "stop"


def test_a_hole_whose_end_distance_was_taken_from_the_wrong_side_of_a_mitre() -> None:
    """At 45 degrees leg b, 34 mm from the saw cut, has 12 mm along it before the middle of the hole on the gauge line,
    22 mm, and so 8.5 mm square to the cut; 10.8 mm are needed, which are 15.3 mm along."""
    lean = SawnPlane(0.0, (0.5**0.5, 0.5**0.5, 0.0))
    back = SawnPlane(0.0, (0.5**0.5, -(0.5**0.5), 0.0))
    cut = [plane for plane in (lean, back) if names(ANGLE, hole(9, 34, "b"), start=plane)]
    assert len(cut) == 1
    (finding,) = said(ANGLE, hole(9, 34, "b"), start=cut[0])
    assert finding.rule == "leg-hole-end"
    assert finding.text == "8.5 mm from the middle of hole 1 to the start's cut, move it in 3.3 mm; 10.8 mm needed"
    assert names(ANGLE, hole(9, 37.3, "b"), start=cut[0]) == []


@pytest.mark.parametrize(("diameter", "keys"), [(9, {}), (6, {"length": 14})])
def test_a_hole_off_a_mitre_is_moved_in_by_what_it_says(diameter: float, keys: dict[str, Any]) -> None:
    """Its middle 3.2 mm past the cut, measured along leg b, of the round hole: 4.5 + 3.2 / sqrt 2 = 6.8 mm off it."""
    # Of the two mitres that whose long point is at the heel.
    mitres = [SawnPlane(0.0, (0.5**0.5, side * 0.5**0.5, 0.0)) for side in (1.0, -1.0)]
    lean = next(plane for plane in mitres if names(ANGLE, hole(9, 36, "b"), start=plane))
    (finding,) = said(ANGLE, hole(diameter, 18.8, "b", **keys), start=lean)
    assert finding.rule == "leg-hole-off"
    off, move = (value.values[0] for value in finding.said.values)
    if not keys:
        assert off == pytest.approx(4.5 + 3.2 / 2**0.5, abs=0.05)
    assert names(ANGLE, hole(diameter, 18.8 + move, "b", **keys), start=lean) == []
    assert names(ANGLE, hole(diameter, 18.8 + move - 0.3, "b", **keys), start=lean) == ["leg-hole-end"]


def test_two_bolts_at_one_place_in_both_legs() -> None:
    """At a gauge of 15 mm the head of the one, 7 mm high from 4 mm on, stands where that of the other is."""
    two = ({"at": 100, "leg": "a", "bolt": "M10", "gauge": 19}, {"at": 100, "leg": "b", "bolt": "M10", "gauge": 19})
    assert "leg-bolts-meet" in names(ANGLE, *two)
    apart = ({"at": 100, "leg": "a", "bolt": "M10", "gauge": 19}, {"at": 130, "leg": "b", "bolt": "M10", "gauge": 19})
    assert "leg-bolts-meet" not in names(ANGLE, *apart)


def test_a_row_on_too_small_a_pitch_is_one_finding() -> None:
    row = {"at": 100, "leg": "a", "bolt": "M10", "row": {"count": 6, "pitch": 18}}
    (finding,) = said(ANGLE, row)
    assert finding.rule == "leg-holes-apart"
    assert finding.text == (
        "7 mm of metal between hole 1 and hole 2, the closest of 5 pairs; 13.2 mm needed: move them apart"
    )
    (stop,) = said(ANGLE, row | {"row": {"count": 6, "pitch": 10}})
    assert stop.level == "stop"


# -- two that only look wrong -------------------------------------------------------------
def test_the_largest_usual_bolt_on_the_gauge_line_is_silent() -> None:
    """Near the toe as it looks."""
    for section, bolt in ((ANGLE, "M10"), (FIFTY, "M12"), (standard_sizes.angle(30, 30, 3), "M8")):
        assert names(section, {"at": 60, "leg": "a", "bolt": bolt}) == []
        assert names(section, {"at": 60, "leg": "a", "bolt": bolt}, {"at": 60, "leg": "b", "bolt": bolt}) == []


def test_a_slot_along_the_leg_and_one_in_the_other_leg_above_it_are_silent() -> None:
    slot = {"at": 100, "diameter": 9, "length": 40}
    assert names(ANGLE, {**slot, "leg": "a"}, {**slot, "leg": "b"}) == []


# -- limits, 1 % either side -------------------------------------------------------------------
@pytest.mark.parametrize(("gauge", "rules"), [(50 - 1.2 * 13 * 1.01, []), (50 - 1.2 * 13 * 0.99, ["leg-hole-edge"])])
def test_edge(gauge: float, rules: list[str]) -> None:
    assert names(FIFTY, hole(13, gauge=gauge)) == rules


@pytest.mark.parametrize(("at", "rules"), [(1.2 * 13 * 1.01, []), (1.2 * 13 * 0.99, ["leg-hole-end"])])
def test_end(at: float, rules: list[str]) -> None:
    assert names(FIFTY, hole(13, at)) == rules
    assert names(FIFTY, hole(13, at, **{"from": "finish"})) == rules


@pytest.mark.parametrize(("gauge", "rules"), [(12 + 6.5 * 1.01, []), (12 + 6.5 * 0.97, ["leg-hole-root"])])
def test_root(gauge: float, rules: list[str]) -> None:
    """The root of 7 mm begins 5 mm from the heel: it ends at 12."""
    assert names(FIFTY, hole(13, gauge=gauge)) == rules


@pytest.mark.parametrize(("pitch", "rules"), [(2.2 * 13 * 1.01, []), (2.2 * 13 * 0.99, ["leg-holes-apart"])])
def test_pitch(pitch: float, rules: list[str]) -> None:
    assert names(FIFTY, hole(13, row={"count": 2, "pitch": pitch})) == rules


@pytest.mark.parametrize(("gauge", "rules"), [(23.5 * 1.01, []), (23.5 * 0.99, ["leg-bolt-seat"])])
def test_seat(gauge: float, rules: list[str]) -> None:
    """A washer of M12 is 24 mm wide, the root ends 12 mm from the heel; half a millimetre is let go."""
    assert names(FIFTY, {"at": 100, "leg": "a", "bolt": "M12", "gauge": gauge}) == rules


@pytest.mark.parametrize(
    ("gauge", "rules"), [(40 - 5.5 * 1.01, ["leg-hole-sliver"]), (40 - 5.5 * 0.99, ["leg-hole-off"])]
)
def test_off(gauge: float, rules: list[str]) -> None:
    assert names(ANGLE, hole(11, gauge=gauge)) == rules


@pytest.mark.parametrize(
    ("section", "holes", "words"),
    [
        (
            ANGLE,
            [hole(9, gauge=34.9)],
            "0.6 mm of metal between hole 1 and the edge of leg a: put it on the usual gauge",
        ),
        (FLAT, [hole(39, leg=None)], "0.5 mm of metal between hole 1 and the edge of the bar: make it smaller"),
        (ANGLE, [hole(9, at=5.2)], "0.7 mm of metal between hole 1 and the start's cut: move it in 5.6 mm"),
        (ANGLE, [hole(9), hole(9, at=109.8)], "0.8 mm of metal between hole 1 and hole 2: move them apart"),
        (ANGLE, [hole(9, gauge=30, length=20, turn=90)], "0 mm of metal between hole 1 and the edge of leg a"),
    ],
)
def test_slivers_that_tear_out(section: ProfileSection, holes: list[dict[str, Any]], words: str) -> None:
    (finding,) = [each for each in said(section, *holes) if each.rule == "leg-hole-sliver"]
    assert finding.level == "stop"
    assert finding.text.startswith(words)
    assert finding.text.endswith("; less than 1 mm tears out as it is drilled")


@pytest.mark.parametrize(("left", "rules"), [(1.01, ["leg-hole-edge"]), (0.99, ["leg-hole-sliver"])])
def test_limit_of_slivers(left: float, rules: list[str]) -> None:
    assert names(ANGLE, hole(9, gauge=40 - 4.5 - left)) == rules
    ends = [{"leg-hole-edge": "leg-hole-end"}.get(rule, rule) for rule in rules]
    assert names(ANGLE, hole(9, at=4.5 + left)) == ends


# -- other sections -----------------------------------------------------------------------
def test_a_tapered_flange_wants_a_taper_washer() -> None:
    assert UPN is not None
    assert names(UPN, {"at": 60, "leg": "flange a", "bolt": "M10"}) == ["taper-washer"]
    assert names(UPN, {"at": 60, "leg": "web", "bolt": "M10"}) == []


def test_a_web_has_a_root_on_either_side() -> None:
    assert UPN is not None
    assert names(UPN, hole(11, leg="web", gauge=25)) == ["leg-hole-root"]
    assert names(UPN, hole(11, leg="web", gauge=-25)) == ["leg-hole-root"]


def test_flat_bar_has_two_edges_and_no_root() -> None:
    assert names(FLAT, hole(11, leg=None)) == []
    assert names(FLAT, hole(11, leg=None, gauge=-12)) == ["leg-hole-edge"]
    assert names(FLAT, hole(11, leg=None, gauge=12)) == ["leg-hole-edge"]


def test_in_inches_the_gauge_to_paste_is_inches() -> None:
    section = standard_sizes.angle(1.5 * 25.4, 1.5 * 25.4, 25.4 / 8)
    (finding,) = said(section, hole(11, gauge=34), units="in")
    assert 'gauge = "7/8 in"' in finding.text
