"""Bolts by their stacks: what is wrong is spoken of, what only looks wrong is not."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.bolt.bolts import BOLT_RULES
from fabgen.checks.rule import Finding
from fabgen.job.errors import JobError
from fabgen.shop.threaded.fasteners import bolt_of_length, least_beyond, longest_bolt
from fabgen.shop.threads import parse_thread
from fabgen.wording.levels import Level


def plate(mark: str, *bolts: str, thickness: float = 6, **keys: Any) -> dict[str, Any]:
    holes = [{"at": [40 + 40 * i, 30], "bolt": bolt} for i, bolt in enumerate(bolts)]
    return {"mark": mark, "thickness": thickness, "rectangle": [400, 60], "holes": holes} | keys


def clevis(gap: float, **keys: Any) -> dict[str, Any]:
    size = {"gap": gap, "length": 50, "height": 60, "thickness": 4, "bolt": "M12", "fit": "close"}
    return {"mark": "C1", "shape": "clevis"} | size | keys


LINK = {"mark": "L1", "section": "25.4 x 4", "length": 400, "rod_ends": ["M12 right", "M12 left"]}
"""Its eyes are 16 mm wide."""


def told(
    bolt: dict[str, Any], *plates: dict[str, Any], job: dict[str, Any] | None = None, **more: Any
) -> list[Finding]:
    tables = {"plate": list(plates), "link": [LINK], "bolt": [{"thread": "M12"} | bolt]} | more
    return findings(checked(definitions(**tables), planned=True), BOLT_RULES)


def rules(bolt: dict[str, Any], *plates: dict[str, Any], **more: Any) -> set[str]:
    return {finding.rule for finding in told(bolt, *plates, **more)} - {"thread-in-joint"}


# -- between ears ---------------------------------------------------------------------
EARS = {"through": ["C1", "L1", "C1"]}


def test_an_eye_that_floats_is_told_with_the_spacers_to_paste() -> None:
    (finding,) = (each for each in told(EARS, bracket=[clevis(20)]) if each.rule == "ear-gap")
    assert (finding.rule, finding.level) == ("ear-gap", Level.WARN)
    assert '2 mm on either side: through = ["C1", "2 mm", "L1", "2 mm", "C1"]' in finding.said.words("mm")
    assert not rules({"through": ["C1", "2 mm", "L1", "2 mm", "C1"]}, bracket=[clevis(20)])
    # In an inch job what is to be pasted is in inches.
    assert '"C1", "0.079 in", "L1", "0.079 in", "C1"]' in finding.said.words("in")


@pytest.mark.parametrize(("gap", "said"), [(16.99, set()), (17.03, {"ear-gap"}), (16, set()), (15.84, {"ear-gap"})])
def test_the_limits_of_a_gap(gap: float, said: set[str]) -> None:
    """16 mm of eye: a millimetre of play is let pass, 1 % more is not; 1 % too narrow is no fit."""
    found = told(EARS, bracket=[clevis(gap)])
    assert {finding.rule for finding in found} - {"thread-in-joint"} == said
    assert any(finding.is_stop for finding in found) == (gap < 16)


def test_nothing_between_two_ears() -> None:
    assert rules({"through": ["C1", "C1"]}, bracket=[clevis(20)]) == {"ear-gap"}
    assert not rules({"through": ["C1", 20, "C1"]}, bracket=[clevis(20)])


def test_a_clevis_that_counts_once() -> None:
    assert rules({"through": ["C1", "L1"]}, bracket=[clevis(16)]) == {"ears-named-once"}
    # The bolt that holds its base down goes through one thickness.
    held = clevis(40, holes=[{"at": [25, 24], "bolt": "M12", "fit": "close", "face": "base"}])
    assert "ears-named-once" not in rules({"through": ["C1", 6]}, bracket=[held])


# -- nuts -----------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("bolt", "said"),
    [
        ({"nut": "thin"}, {"thin-nut"}),
        ({"nut_class": "6"}, {"nut-class"}),
        ({"nut_class": "A2-70"}, {"nut-class"}),
        ({"property_class": "10.9", "nut_class": "8"}, {"nut-class"}),
        ({"thread": "1/2-13", "property_class": "grade 8", "nut_class": "grade 5"}, {"nut-class"}),
        ({"thread": "M18", "nut": "lock"}, {"fastener-standard"}),
        ({"property_class": "5.8"}, {"fastener-standard"}),
        ({"nut": "lock", "property_class": "A2-70"}, {"fastener-standard"}),
        ({"nut_class": "8"}, set()),
        ({"nut_class": "10"}, set()),
        ({"property_class": "A2-70"}, set()),
        ({"thread": "1/2-13", "nut_class": "grade 8"}, set()),
        ({"nut": "lock", "property_class": "10.9"}, set()),
    ],
)
def test_nuts(bolt: dict[str, Any], said: set[str]) -> None:
    assert rules({"through": [20, 20]} | bolt) == said


# -- stacks that no bolt reaches through ------------------------------------------------------
def longest(size: str, *through: Any) -> list[str]:
    of = checked(definitions(plate=[plate("P1")], bolt=[{"through": ["P1", *through], "thread": size}]), planned=True)
    return [each.text for each in findings(of, BOLT_RULES) if "long enough" in each.text]


@pytest.mark.parametrize("size", ["M8", "M12", "M16", "3/8-16 UNC", "1/2-20 UNF"])
def test_a_stack_that_no_bolt_reaches_through_is_told_and_the_rest_checked(size: str) -> None:
    """1 % of the grip more than the longest that is made takes, and 1 % less."""
    thread = parse_thread(size)
    bolt = bolt_of_length(thread, longest_bolt(thread), 0.0, 2, "plain")
    room = bolt.beyond - least_beyond(thread, "plain")
    own = plate("P1")["thickness"]
    (said,) = longest(size, 1.01 * room - own)
    assert "less grip, or threaded rod" in said
    assert longest(size, 0.99 * room - own) == []


@pytest.mark.parametrize("size", ["M8", "1/2-20 UNF"])
def test_a_short_stack_is_no_matter_of_length(size: str) -> None:
    assert longest(size, 20) == []


# -- pivots ---------------------------------------------------------------------------
def ear(diameter: float) -> dict[str, Any]:
    return plate("P1") | {"holes": [{"at": [30, 30], "diameter": diameter}]}


@pytest.mark.parametrize(
    ("bolt", "diameter", "said"),
    [
        # ISO 273: 13 mm is the fine series for M12, 13.5 the medium.
        ({"through": ["P1", "L1", "P1"]}, 13.5, {"pivot-hole"}),
        ({"through": ["P1", 20], "pivot": True}, 13.5, {"pivot-hole"}),
        ({"through": ["P1", "L1", "P1"]}, 13.13, {"pivot-hole"}),
        ({"through": ["P1", "L1", "P1"]}, 13.0, set()),
        ({"through": ["P1", 20]}, 13.5, set()),
        ({"through": ["P1", "L1", "P1"], "pivot": False}, 13.5, set()),
    ],
)
def test_pivots_want_close_holes(bolt: dict[str, Any], diameter: float, said: set[str]) -> None:
    assert rules(bolt, ear(diameter)) == said


def test_a_close_hole_beside_a_wide_one_is_the_pivots() -> None:
    both = plate("P1") | {"holes": [{"at": [30, 30], "diameter": 13}, {"at": [90, 30], "diameter": 20}]}
    assert not rules({"through": ["P1", "L1", "P1"]}, both)


# -- tapped parts -----------------------------------------------------------------------
def tapped(material: str, thickness: float, hole: float = 10.2) -> dict[str, Any]:
    holes = [{"at": [30, 30], "diameter": hole}]
    return {"mark": "P1", "material": material, "thickness": thickness, "rectangle": [90, 60], "holes": holes}


@pytest.mark.parametrize(
    ("part", "bolt", "said"),
    [
        (tapped("S235", 6), {}, {"tapped-thread"}),
        (tapped("S235", 11.88), {}, {"tapped-thread"}),
        (tapped("S235", 12.12), {}, set()),
        (tapped("5754", 23.76), {}, {"tapped-thread"}),
        (tapped("5754", 24.24), {}, set()),
        (tapped("5754", 30), {"engagement": 14}, {"tapped-thread"}),
        (tapped("5754", 30), {"property_class": "10.9"}, {"tapped-thread"}),
        (tapped("S235", 15, hole=13.5), {}, {"tapped-hole"}),
        (tapped("S235", 15), {"engagement": 15}, set()),
    ],
)
def test_a_thread_in_a_part(part: dict[str, Any], bolt: dict[str, Any], said: set[str]) -> None:
    assert rules({"through": [8], "nut": "none", "into": "P1"} | bolt, part) == said


def test_a_tapped_part_that_is_not_named_is_a_note_until_its_depth_is_given() -> None:
    (finding,) = [each for each in told({"through": [8], "nut": "none"}) if each.rule != "thread-in-joint"]
    assert (finding.rule, finding.level) == ("tapped-thread", Level.NOTE)
    assert not rules({"through": [8], "nut": "none", "engagement": 18})


def test_a_tubes_wall_is_thin_to_tap() -> None:
    wall = tube("T1", (0, 0, 0), (300, 0, 0))
    assert rules({"through": [8], "nut": "none", "into": "T1"}, tube=[wall]) == {"tapped-thread"}


# -- threads in joints ------------------------------------------------------------------
def test_what_brings_the_shank_through_is_said() -> None:
    (finding,) = told({"through": [7, 16, 9]})
    assert (finding.rule, finding.level) == ("thread-in-joint", Level.NOTE)
    assert "M12 x 60 with washers = 3 brings the shank through" in finding.text
    assert not told({"through": [7, 16, 9], "washers": 3})
    (pivot,) = told({"through": [7, 16, 9], "pivot": True})
    assert pivot.level is Level.WARN


# -- washers and spacers ------------------------------------------------------------------
def shank_advice(bolt: dict[str, Any]) -> str:
    return next(each.said.words("mm") for each in told(bolt) if each.rule == "thread-in-joint")


@pytest.mark.parametrize(
    ("bolt", "advice"),
    [
        # A clevis of 3/16 in over a bush of 2 in took five washers.
        ({"thread": "1/2-13", "through": [4.7625, 50.8, 4.7625]}, 'length = "95.25 mm" brings the shank through'),
        ({"through": [60, 1]}, "M12 x 100 with a spacer of 11.2 mm under its nut"),
        ({"through": [38, 3], "washers": 5}, 'length = "80 mm" brings the shank through'),
        ({"through": [7, 16, 9]}, "M12 x 60 with washers = 3"),
        ({"through": [7, 16, 9], "length": 55}, "M12 x 60 with washers = 3"),
    ],
)
def test_no_advice_asks_for_more_washers_than_one_a_side_beyond_the_usual(bolt: dict[str, Any], advice: str) -> None:
    assert advice in shank_advice(bolt)


def test_no_stack_is_told_to_take_more_than_four_washers() -> None:
    for size in ("M8", "M12", "1/2-13"):
        for middle in range(4, 60, 3):
            for rule in told({"thread": size, "through": [5, middle, 3]}):
                assert "washers = 5" not in rule.text
                assert "washers = 6" not in rule.text


def test_a_length_that_is_advised_is_silent_when_pasted() -> None:
    clevis_on_bush = {"thread": "1/2-13", "through": [4.7625, 50.8, 4.7625]}
    assert 'length = "3 3/4 in"' in next(iter(told(clevis_on_bush))).said.words("in")
    assert not told(clevis_on_bush | {"length": 95.25})


# -- a length that one has ----------------------------------------------------------------
def length_told(bolt: dict[str, Any], **more: Any) -> list[Finding]:
    return [each for each in told(bolt, **more) if each.rule == "bolt-length"]


HELD = {"through": [20, 20]}
"""Two washers of 2.5 mm, a nut of 10.8 mm (ISO 7089, ISO 4032) and two threads of 1.75 mm: M12 x 59.3 is needed."""


@pytest.mark.parametrize(
    ("bolt", "level"),
    [
        (HELD | {"length": 58.7}, Level.STOP),
        (HELD | {"length": 50}, Level.STOP),
        (HELD | {"length": 40}, Level.STOP),
        # ASME B18.2.2: a nut of 7/16 in, washers of 0.095 in and two threads of 1/13 in after 1 3/4 in: 2.531 in.
        ({"thread": "1/2-13", "through": [25.4, 19.05], "length": 2.125 * 25.4}, Level.STOP),
        # The bolt reaches 12 mm into a thread that is not named.
        ({"through": [8], "nut": "none", "length": 22.2}, Level.STOP),
        # ISO 888: 80 mm has a thread of 30, its plain shank reaches out of 45.
        ({"through": [20, 20], "length": 80, "thread": "1/2-13"}, Level.WARN),
        ({"through": [20, 20], "length": 120}, Level.WARN),
        # Threaded to the head, it stands out by more than twice its diameter.
        ({"through": [10, 10], "length": 60.5}, Level.WARN),
        (HELD | {"length": 59.9}, None),
        (HELD | {"length": 60}, None),
        (HELD | {"length": 75}, None),
        ({"through": [10, 10], "length": 59}, None),
        ({"through": [8], "nut": "none", "length": 22.8}, None),
        ({"thread": "1/2-13", "through": [25.4, 19.05], "length": 2.75 * 25.4}, None),
        ({"through": [20, 20]}, None),
    ],
)
def test_a_bolt_that_one_has(bolt: dict[str, Any], level: Level | None) -> None:
    assert [each.level for each in length_told(bolt)] == [level] * (level is not None)


def test_a_short_bolt_is_told_the_length_that_is_needed() -> None:
    (finding,) = length_told(HELD | {"length": 50})
    said = finding.said.words("mm")
    assert "M12 x 50 is 9.3 mm too short: 59.3 mm is needed" in said
    assert 'length = "60 mm"' in said
    assert not length_told(HELD | {"length": 60})


def test_a_short_bolt_in_inches() -> None:
    (finding,) = length_told({"thread": "1/2-13", "through": [25.4, 19.05], "length": 2.125 * 25.4})
    assert '1/2-13 UNC x 2 1/8 in is 13/32" [10.3 mm]' in finding.said.words("in")
    assert 'length = "2 3/4 in"' in finding.said.words("in")


def test_no_bolt_is_so_long() -> None:
    with pytest.raises(JobError, match="M12 x 900 is longer than any that is made"):
        told(HELD | {"length": 900})
