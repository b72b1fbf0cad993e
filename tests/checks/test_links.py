"""Each check of link rods, firing and silent."""

from typing import Any

import pytest
from jobs import checked, definitions, findings

from fabgen.checks.links import RULES
from fabgen.checks.rule import Finding

GOOD: dict[str, Any] = {
    "mark": "L1",
    "section": "25.4 x 4",
    "length": 400,
    "rod_ends": [
        {"thread": "M12 right", "shank": 54, "thread_length": 33},
        {"thread": "M12 left", "shank": 54, "thread_length": 33},
    ],
    "adjust": 10,
}


def found(**keys: Any) -> dict[str, Finding]:
    of = checked(definitions(link=[GOOD | keys]))
    return {finding.rule: finding for finding in findings(of, RULES)}


def test_a_good_link_gets_only_the_caution() -> None:
    assert set(found()) == {"link-duty"}


def test_no_finding_says_safe() -> None:
    told = [*found().values(), *found(rod_ends=["M12", "M12"], section="25.4 x 1.5", adjust=40).values()]
    assert not any("safe" in finding.text for finding in told)


@pytest.mark.parametrize(
    ("rule", "level", "keys"),
    [
        ("link-adjustment", "stop", {"adjust": 16}),
        ("link-engagement", "stop", {"bung_length": 10}),
        ("link-engagement", "stop", {"rod_ends": [{"thread": "M12", "thread_length": 17}, "M12 left"]}),
        ("bung-fit", "stop", {"section": "19.05 x 3"}),
        ("bung-fit", "warn", {"section": "22 x 3"}),
        ("tapped-bore", "stop", {"bung": "none"}),
        ("tapped-wall", "warn", {"bung": "none", "section": "15 solid"}),
        ("same-hand", "warn", {"rod_ends": ["M12", "M12"]}),
        ("tube-too-short", "stop", {"length": 120}),
        ("thin-wall", "note", {"section": "25.4 x 1.6"}),
        ("rod-end-figures", "warn", {"rod_ends": ["M12 right", "M12 left"]}),
        ("rod-end-pitch", "warn", {"rod_ends": ["M12 x 1.25 right", "M12 left"]}),
    ],
)
def test_fires(rule: str, level: str, keys: dict[str, Any]) -> None:
    finding = found(**keys)[rule]
    assert finding.level == level
    assert finding.mark == "L1"


@pytest.mark.parametrize(
    ("rule", "keys"),
    [
        ("link-adjustment", {"adjust": 15}),
        ("link-engagement", {"bung_length": 12}),
        ("bung-fit", {"section": "22 x 2.5"}),
        ("tapped-bore", {"bung": "none", "section": "20 x 4.9"}),
        ("tapped-wall", {"bung": "none", "section": "20 solid"}),
        ("tube-too-short", {"length": 140}),
        ("thin-wall", {"section": "25.4 x 2"}),
        ("rod-end-pitch", {"rod_ends": ["M18 x 1.5 right", "M18 x 1.5 left"], "section": "48.3 x 5"}),
    ],
)
def test_stays_silent(rule: str, keys: dict[str, Any]) -> None:
    assert rule not in found(**keys)


def test_shanks_that_meet() -> None:
    assert "shanks meet" in found(length=105, bung_length=15, bung_head=1)["tube-too-short"].text
