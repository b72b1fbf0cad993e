"""Unit slips in sections and sheets: firing and silent.

The limits are common practice, no source.
"""

from collections.abc import Sequence
from typing import Any

import pytest
from jobs import checked, definitions, findings

from fabgen.checks.rule import Finding
from fabgen.checks.sizes import RULES, flat_or_tube, section_doubt, size_as_sold
from fabgen.job.values.profile_text import parse_profile
from fabgen.job.values.section_text import parse_section
from fabgen.shop.profiles.as_sold import is_sold
from fabgen.shop.profiles.profile_section import Kind, ProfileSection


def found(units: str, **tables: list[dict[str, Any]]) -> list[Finding]:
    return findings(checked(definitions({"units": units}, **tables)), RULES)


def tube(section: str) -> list[dict[str, Any]]:
    return [{"mark": "T1", "section": section, "route": [["0 mm", 0, 0], ["3000 mm", 0, 0]]}]


def plate(thickness: float | str) -> list[dict[str, Any]]:
    side = "100 mm"
    return [{"mark": "P1", "thickness": thickness, "corners": [[0, 0], [side, 0], [side, side], [0, side]]}]


def test_metric_section_in_an_inch_job() -> None:
    (finding,) = found("in", tube=tube("48.3 x 3.2"))
    assert (finding.level, finding.mark, finding.rule) == ("stop", "T1", "section-size")
    assert finding.text.startswith(
        '"48.3 x 3.2" was read as inches, 48.299 x 3.200" [1226.8 x 81.28 mm]: meant "48.3 x 3.2 mm"?'
    )
    assert finding.source == "common practice, no source"


def test_inch_section_in_a_metric_job() -> None:
    (finding,) = found("mm", tube=tube("1.5 x 0.12"))
    assert finding.text.startswith('"1.5 x 0.12" was read as mm: meant "1.5 x 0.12 in"?')


@pytest.mark.parametrize("section", ["6 x 1", "350 x 10", "25.4 x 0.4", "60 x 40 x 3", "3 solid", "40 x 5 solid"])
def test_usual_sections_are_silent(section: str) -> None:
    assert not section_doubt(parse_section(section))


@pytest.mark.parametrize(
    ("section", "meant"),
    [
        ("5.9 x 1", '"5.9 x 1 in"'),
        ("2 x 1 x 0.12", '"2 x 1 x 0.12 in"'),
        ("1 solid", '"1 in solid"'),
        ("355.6 x 10", "no usual size"),
        ("25.4 x 0.035", "no usual size"),
        ("500 x 20", "no usual size"),
    ],
)
def test_unusual_sections_are_told(section: str, meant: str) -> None:
    assert meant in section_doubt(parse_section(section)).words()


def test_what_is_offered_reads_well() -> None:
    for section in ("2 x 1 x 0.12", "1 solid", "1.5 x 0.12"):
        offered = section_doubt(parse_section(section)).words().split('meant "')[1].split('"')[0]
        assert not section_doubt(parse_section(offered))


def test_sheets() -> None:
    (finding,) = found("in", plate=plate(3))
    assert (finding.level, finding.rule) == ("stop", "sheet-size")
    assert finding.text.startswith('"3" was read as inches, 3" [76.2 mm]: meant "3 mm"?')
    (finding,) = found("mm", plate=plate(0.125))
    assert finding.text.startswith('"0.125" was read as mm: meant "0.125 in"?')
    assert found("mm", plate=plate("1/8 in")) == []
    assert "60 mm is no usual size" in found("mm", plate=plate(60))[0].text
    assert '0.010" [0.254 mm] is no usual size' in found("in", plate=plate("0.01"))[0].text
    assert found("mm", plate=plate(50)) == []
    assert found("mm", plate=plate(0.3)) == []


@pytest.mark.parametrize(
    ("units", "size", "told"),
    [
        # 3000 x 1500 mm, and 10 x 5 ft = 3048 x 1524 mm.
        ("mm", ["2990 mm", "1490 mm"], False),
        ("mm", ["3030 mm", "1000 mm"], True),
        ("in", ["119 in", "59 in"], False),
        ("in", ["121.2 in", "40 in"], True),
        ("in", ["60.6 in", "60.6 in"], True),
        ("in", ["3040 mm", "1515 mm"], False),
    ],
)
def test_the_largest_sheet_is_that_of_the_jobs_units(units: str, size: list[str], told: bool) -> None:
    flat = [{"mark": "P1", "thickness": "3 mm", "rectangle": size}]
    texts = [finding.text for finding in found(units, plate=flat)]
    assert bool(texts) == told
    assert all('120" [3048 mm] x 60" [1524 mm]' in text for text in texts if units == "in")


# -- two figures: round tube or flat bar -----------------------------------------------------------
def asked(units: str, *sections: str) -> list[Finding]:
    tubes = [
        {"mark": f"T{i}", "section": section, "route": [["0 mm", f"{300 * i} mm", 0], ["3000 mm", f"{300 * i} mm", 0]]}
        for i, section in enumerate(sections)
    ]
    return findings(checked(definitions({"units": units}, tube=tubes)), (flat_or_tube,))


@pytest.mark.parametrize(
    ("units", "section"),
    [
        ("mm", "40 x 5"),
        ("mm", "50 x 6"),
        ("mm", "30 x 5"),
        ("mm", "80 x 8"),
        ("mm", "1 x 1/4 in"),
        ("in", "3/4 x 3/16"),
    ],
)
def test_flat_bar_written_as_two_figures_is_asked_back(units: str, section: str) -> None:
    (finding,) = asked(units, section)
    assert (finding.level, finding.rule) == ("warn", "flat-or-tube")
    assert f'section = "flat {section}" for flat bar, or "tube {section}" for tube' in finding.text
    assert not asked(units, f"flat {section}")
    assert not asked(units, f"{section} solid")
    assert not asked(units, f"tube {section}")


@pytest.mark.parametrize(
    "section", ["40 x 4", "40 x 3", "60.3 x 5", "1 1/2 x 1/8 in", "1 3/4 x 0.120 in", "2 x 1/4 in"]
)
def test_usual_round_tube_is_not_asked_back(section: str) -> None:
    assert not asked("mm", section)


def test_two_that_only_look_like_flat_bar() -> None:
    """A diameter that no flat bar has, and a wall that none is as thick as."""
    assert not asked("mm", "42 x 5", "40 x 4.4")


def test_one_question_for_all_tubes_of_a_section() -> None:
    both, other = asked("mm", "40 x 5", "40 x 5", "50 x 6")
    assert both.marks == ("T0", "T1")
    assert "50 x 6" in other.text


# -- sizes as sold -----------------------------------------------------------------------------------
def odd(units: str, *sections: str, material: str = "S235", stock: Sequence[dict[str, object]] = ()) -> list[Finding]:
    ways = {"ang": {"legs": ["top", "left"]}, "L 4": {"legs": ["top", "left"]}, "cha": {"back": "top"},
            "UPN": {"back": "top"}, "T 4": {"flange": "top"}, "T 1": {"flange": "top"}}  # fmt: skip
    routes = [[["0 mm", f"{300 * i} mm", 0], ["900 mm", f"{300 * i} mm", 0]] for i in range(len(sections))]
    profiles: list[dict[str, object]] = []
    tubes: list[dict[str, object]] = []
    for i, (section, route) in enumerate(zip(sections, routes, strict=True)):
        into = tubes if section.startswith(("bar", "tube")) else profiles
        into.append({"mark": f"P{i}", "section": section, "route": route, **ways.get(section[:3], {})})
    head = {"units": units, "material": material}
    return findings(checked(definitions(head, tube=tubes, profile=profiles, stock=list(stock))), (size_as_sold,))


@pytest.mark.parametrize(
    ("units", "section", "nearest"),
    [
        ("mm", "angle 37 x 37 x 4", "35 x 35 x 4 or 40 x 40 x 4"),
        ("mm", "angle 40 x 40 x 7", "40 x 40 x 6 or 50 x 50 x 8"),
        ("mm", "angle 55 x 35 x 5", "50 x 30 x 5 or 60 x 40 x 5"),
        ("mm", "flat 37 x 4", "35 x 4 or 40 x 4"),
        ("mm", "flat 40 x 7", "40 x 6 or 40 x 8"),
        ("mm", "channel 70 x 40 x 5", "UPN 50 or UPN 80"),
        ("mm", "T 45 x 45 x 5", "40 x 40 x 5 or 50 x 50 x 6"),
        ("mm", "square bar 17", "16 or 18"),
        ("mm", "bar 31", "30 or 32"),
        ("mm", "angle 1 5/8 x 1 5/8 x 1/8 in", "1 1/2 x 1 1/2 x 1/8 in or 1 3/4 x 1 3/4 x 1/8 in"),
        ("in", "angle 2 x 2 x 7/16", "2 x 2 x 3/8 in or 2 1/2 x 2 1/2 x 1/2 in"),
        ("in", "flat 2 x 7/16", "2 x 3/8 in or 2 x 1/2 in"),
        ("in", "channel 2 x 3/4 x 1/8", "2 x 1/2 x 1/8 in or 2 x 1 x 1/8 in"),
        ("in", "T 1 3/4 x 1 3/4 x 3/16", "1 1/2 x 1 1/2 x 3/16 in or 2 x 2 x 1/4 in"),
        ("in", "bar 1 5/16", "1 1/4 in or 1 3/8 in"),
    ],
)
def test_a_size_that_is_not_sold_names_the_nearest_that_are(units: str, section: str, nearest: str) -> None:
    (finding,) = odd(units, section)
    assert (finding.level, finding.rule) == ("warn", "size-as-sold")
    assert f"is no size that merchants keep, nearest {nearest}: take one of those" in finding.text


def test_several_odd_sizes_are_one_finding() -> None:
    (finding,) = odd("mm", "angle 37 x 37 x 4", "flat 37 x 4", "angle 37 x 37 x 4")
    assert "2 sections are no sizes that merchants keep (angle 37 x 37 x 4: nearest" in finding.text
    assert sorted(finding.marks) == ["P0", "P1", "P2"]


def test_what_only_looks_odd() -> None:
    """Folded, with its radius as measured, on the rack, extruded, and sizes as sold."""
    assert not odd(
        "mm", "angle 37 x 37 x 4 folded", "angle 37 x 37 x 4 r 5", "channel 70 x 40 x 5 r 4", "T 45 x 45 x 5 r 5"
    )
    assert not odd("mm", "angle 37 x 37 x 4", material="6082-T6")
    assert not odd("mm", "angle 37 x 37 x 4", stock=[{"section": "angle 37 x 37 x 4", "lengths": ["6 m"]}])
    assert not odd("mm", "angle 40 x 60 x 5", "UPN 80", "T 40", "flat 40 x 5", "bar 17", "square bar 16", "tube 37 x 5")
    assert not odd("in", "angle 1 x 1 x 1/8", "flat 2 x 1/4", "channel 2 x 1 x 1/8", "T 1 x 1 x 1/8", "bar 1/2")


@pytest.mark.parametrize(("kind", "size"), [("square bar", 40.0), ("hexagon bar", 30.0), ("bar", 80.0)])
def test_one_per_cent_off_a_size_as_sold(kind: Kind, size: float) -> None:
    assert is_sold(ProfileSection(kind, (size,)))
    assert not is_sold(ProfileSection(kind, (size * 1.01,)))
    assert not is_sold(ProfileSection(kind, (size * 0.99,)))


def test_no_metric_size_has_a_root_radius_of_inch_angle() -> None:
    """40 x 40 x 7 lies nearer to 1 1/2 in than 37 to 35; both have the radius of the metric size nearest to them."""
    assert parse_profile("angle 37 x 37 x 4").root == parse_profile("angle 35 x 35 x 4").root == 5.0
    assert parse_profile("angle 40 x 40 x 7").root == 6.0
    assert parse_profile("angle 1 1/2 x 1 1/2 x 5/16 in").root == pytest.approx(25.4 / 8.0)


def test_two_figures_in_the_stock_are_asked_back_too() -> None:
    stock = [{"section": "40 x 5", "lengths": ["6 m"]}]
    job = definitions({}, tube=[{"mark": "T", "section": "48.3 x 3.2", "route": [[0, 0, 0], [900, 0, 0]]}], stock=stock)
    (finding,) = findings(checked(job), (flat_or_tube,))
    assert '"40 x 5" is read as round tube' in finding.text
