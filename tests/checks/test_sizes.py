"""Unit slips in sections and sheets: firing and silent.

The limits are common practice, no source.
"""

from typing import Any

import pytest
from jobs import checked, definitions, findings

from fabgen.checks.rule import Finding
from fabgen.checks.sizes import RULES, flat_or_tube, section_doubt
from fabgen.job.values.section_text import parse_section


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
        '"48.3 x 3.2" was read as inches, 1226.8 x 81.28 mm [48.299 x 3.200"]: meant "48.3 x 3.2 mm"?'
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
    assert finding.text.startswith('"3" was read as inches, 76.2 mm [3"]: meant "3 mm"?')
    (finding,) = found("mm", plate=plate(0.125))
    assert finding.text.startswith('"0.125" was read as mm: meant "0.125 in"?')
    assert found("mm", plate=plate("1/8 in")) == []
    assert "60 mm is no usual size" in found("mm", plate=plate(60))[0].text
    assert '0.254 mm [0.010"] is no usual size' in found("in", plate=plate("0.01"))[0].text
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
    assert all('3048 mm [120"] x 1524 mm [60"]' in text for text in texts if units == "in")


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
